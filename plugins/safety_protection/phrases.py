"""Joining words into sentences."""

from __future__ import annotations

from collections.abc import Sequence

from safety.words import joined, say


def listed(items: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(items) < 2:
        return "".join(items)
    return say("{first} and {last}", first=", ".join(items[:-1]), last=items[-1])


def none() -> str:
    """That nothing has to be worn, in few words: the products are all that was looked at."""
    return joined((say("None because of these products"), say("the work itself may need it")), "; ")


def beyond() -> str:
    """The same in full, after what was found."""
    return say("What the work itself brings, such as sparks, heat, noise, dust and fume, was not looked at.")


def add_a_limit() -> str:
    """What helps where no loaded limit judges a vapour."""
    return say(
        "Write the limit in section 8 of its data sheet on the part in the product's file, or have the air measured "
        "and ask the safety officer."
    )
