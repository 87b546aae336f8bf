"""What a block of a log means to the page for the office, whatever its words are and whoever made it.

A block carries these. The page is made of them alone, so that a limit of any plugin stands on it beside ours.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from safety.model.data import Compare

#: What the page asks after in every shop; "other" is what a plugin adds.
Tallied = Literal["solvent", "VOC", "HAP", "waste", "other"]
#: Over what time an amount is added up. "period": the month or the year of the log; "now": at its end.
TalliedOver = Literal["period", "month", "year", "rolling 12 months", "now"]
#: Who can settle what is not known. "": nobody has said who.
Settles = Literal["", "recorder", "maker", "files", "officer", "rules", "program"]


@dataclass(frozen=True, slots=True)
class Tally:
    """An amount of the books. ``whole`` is false where something is missing from it: then it is a least."""

    of: Tallied
    over: Literal["period", "rolling 12 months"]
    amount: float  # the careful, upper estimate, in ``unit``
    unit: Literal["kg", "m3"] = "kg"
    whole: bool = True
    name: str = ""  # what people call it; needed for "other", and where there are several of one kind


@dataclass(frozen=True, slots=True)
class TallyLimit:
    """An amount of the books against a limit, a permit or a threshold on it."""

    name: str
    over: TalliedOver
    amount: float  # so far, the careful, upper estimate, in ``unit``
    limit: float
    unit: Literal["kg", "m3"] = "kg"
    compare: Compare = "at or over"  # when the amount is too much
    whole: bool = True  # false: something is missing from ``amount``
    ahead: float = 0.0  # still planned in the period
    ahead_whole: bool = True
    rule: str = ""  # citation
    then: str = ""  # what holds once it is over, in a few words: "small quantity generator"


@dataclass(frozen=True, slots=True)
class LeavesBy:
    """Something that must be gone, or must not be used any more, after a day."""

    what: str  # a container, a lot with its product
    last: date
    why: str  # in a few words
    rule: str = ""


@dataclass(frozen=True, slots=True)
class OpenPoint:
    """Something nobody knows or has decided, and who can settle it.

    Points of one ``kind`` about one thing are one, however many months, tables and plugins meet it: it is said once,
    with the largest count.
    """

    text: str  # a whole sentence
    who: Settles = ""
    kind: str = ""  # a stable word; "": it stands for itself
    about: str = ""  # an id: of a product, a container, a job
    count: int = 1


LogRole = Tally | TallyLimit | LeavesBy | OpenPoint
