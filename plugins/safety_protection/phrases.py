"""Joining words into sentences."""

from __future__ import annotations

from collections.abc import Sequence

from safety.words import say


def listed(items: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(items) < 2:
        return "".join(items)
    return say("{first} and {last}", first=", ".join(items[:-1]), last=items[-1])


def lower(text: str) -> str:
    """The same with a small first letter."""
    return text[:1].lower() + text[1:]
