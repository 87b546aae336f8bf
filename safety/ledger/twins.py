"""Likely twins: one real use that was written down at a terminal, and stands in a file as well."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, Literal

from sqlalchemy import Connection, bindparam, select

from safety.ledger import quick
from safety.ledger.drafts import IMPORTED, Draft
from safety.ledger.tables import entry, standing

#: What is said of all likely twins of a file: they are the same and stay out, or each is a second one; "": ask.
Twins = Literal["same", "second", ""]

#: Share by which two amounts of one use may differ, on two scales or by rounding (common practice, no source).
_ALIKE = 0.01
#: Between two times that may be of one use (common practice, no source).
_NEAR = timedelta(hours=1)
#: Between the time of a record and its writing, where nobody gave a time: it is when somebody typed.
_TYPED = timedelta(minutes=2)
#: What both may say; where they differ these are two uses.
_TELLING = ("who", "job", "step", "operation", "basis")

_ON_THAT_DAY = select(entry).where(
    entry.c.day == bindparam("day"),
    entry.c.product == bindparam("product"),
    entry.c.kind == bindparam("kind"),
    entry.c.way == bindparam("way"),
    entry.c.lot == bindparam("lot"),
    entry.c.container == bindparam("container"),
    *standing(),
)


@dataclass(slots=True)
class Pairs:
    """Looks for the twins of drafts that are recorded together; no line is the twin of two of them."""

    connection: Connection
    shops: frozenset[str]  # names under which the shop's own lines stand
    own: set[str] = field(default_factory=set)  # keys of the drafts themselves
    taken: set[str] = field(default_factory=set)

    def of(self, draft: Draft) -> Mapping[str, Any] | None:
        """A line that may be the same as a draft, or None."""
        values = {
            "day": draft.day, "product": draft.product.product if draft.product else "", "kind": draft.kind,
            "way": draft.way, "lot": draft.lot, "container": draft.container,
        }  # fmt: skip
        for line in quick.rows(self.connection, _ON_THAT_DAY, values):
            if line["shop"] in self.shops and line["key"] not in self.own | self.taken and self._alike(draft, line):
                return line
        return None

    def _alike(self, draft: Draft, line: Mapping[str, Any]) -> bool:
        if not draft.imported and not line["key"].startswith(IMPORTED):
            return False  # two at a terminal are told apart by all they say
        if any(getattr(draft, name) and line[name] and getattr(draft, name) != line[name] for name in _TELLING):
            return False
        return _same_amount(draft, line) and _same_time(draft, line)


def _same_amount(draft: Draft, line: Mapping[str, Any]) -> bool:
    if draft.amount is None:
        return not line["typed_in"]
    there = line["mass_ug"] if draft.amount.kind == "mass" else line["volume_nl"]
    return there is not None and abs(there - draft.amount.number) <= _ALIKE * draft.amount.number


def _same_time(draft: Draft, line: Mapping[str, Any]) -> bool:
    if not draft.happened or not line["happened"]:
        return True
    here, there = (datetime.fromisoformat(text) for text in (draft.happened, line["happened"]))
    typed = abs(datetime.fromisoformat(line["recorded"]) - there) < _TYPED
    return typed or not draft.timed or abs(here - there) <= _NEAR
