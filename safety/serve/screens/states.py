"""The states of a sheet: each a shape and a word, the gravest first."""

from __future__ import annotations

from typing import Any

#: In the order of a screen. "" is: no stop found, and nothing more is said.
ORDER = ("STOP", "UNKNOWN", "Control", "")


def states(page: dict[str, Any]) -> tuple[str, ...]:
    """What a sheet says of its job: STOP and UNKNOWN stand together where both hold."""
    stop = ("STOP",) if page["stops"] else ()
    unknown = ("UNKNOWN",) if page["missing"] else ()
    return (*stop, *unknown) or (("Control",) if page["result"][0] == "Control" else ("",))


def worst(found: tuple[str, ...]) -> int:
    """Where a job stands in a list; one whose sheet is not there yet stands among the unknown."""
    return ORDER.index(found[0]) if found else ORDER.index("UNKNOWN")
