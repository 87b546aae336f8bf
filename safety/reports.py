"""The story of an owed report in one function: open the ledger, ask the plugins for tables, gather what is missing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from safety import __version__
from safety.ledger.store import open_ledger
from safety.ledger.tidy import KIND, tables
from safety.ledger.verify import chained
from safety.ledger.view import View, view
from safety.logbook import each_once, last_day
from safety.model import OpenPoint, OwedReport, Period, ReportKind, unrecorded
from safety.problems import Problem, Problems
from safety.words import say
from safety.workplace import InForce, Workplace


def kinds(workplace: Workplace, period: Period) -> Mapping[str, ReportKind]:
    """Every report that the core and the plugins of the shop make, by name."""
    return _kinds(workplace.on(last_day(period)))


def _kinds(in_force: InForce) -> Mapping[str, ReportKind]:
    made = [KIND, *in_force.plugins.reports]
    return {one.name: one for one in sorted(made, key=lambda one: one.name)}


@contextmanager
def opened(workplace: Workplace, name: str, period: Period) -> Iterator[OwedReport]:
    """A report of some months, while the ledger is open: its longest tables are read only when they are written.

    Only lines of this shop are counted. Raises Problems for a report nobody makes, mistakes in the files of the shop,
    or a ledger that cannot be read.
    """
    shop, in_force = workplace.shop, workplace.on(last_day(period))
    known = _kinds(in_force)
    if name not in known:
        raise Problems([_none_such(name, known)])
    with open_ledger(shop) as ledger:
        held = chained(ledger)
        with view(ledger, shop, called=in_force.reference.called) as seen:
            found = list(tables(seen, period)) if name == KIND.name else []
            asked: dict[str, Any] = {
                "report": name,
                "period": period,
                "ledger": seen,
                "reference": in_force.reference,
                "shop": shop,
            }
            for _, answer in in_force.plugins.ask("report_tables", None, **asked) if name != KIND.name else ():
                found += answer
            points = [OpenPoint(say("{what}: see hazstep verify.", what=what), "officer") for what in held.wrong]
            points += _missing(seen, period, workplace, in_force)
            points += [
                one if isinstance(one, OpenPoint) else OpenPoint(one) for table in found for one in table.unknown
            ]
            yield OwedReport(
                known[name],
                shop,
                period,
                tuple(found),
                each_once(points),
                in_force.plugins.failures,
                in_force.reference.packs,
                __version__,
                held,
            )


def _missing(seen: View, period: Period, workplace: Workplace, in_force: InForce) -> Iterator[OpenPoint]:
    yield from (OpenPoint(text, "rules") for text in in_force.reference.conflicts)
    if seen.left_out:
        yield OpenPoint(seen.left_out, "files", "left out")
    yield from unrecorded(period, seen.begins, workplace.shop.began)
    yield from (OpenPoint(text, "program") for text in in_force.plugins.gaps(workplace.shop.expects))


def _none_such(name: str, known: Mapping[str, ReportKind]) -> Problem:
    names = ", ".join(known)
    return Problem(
        "report", 0, "KIND", say('no report is called "{name}"', name=name), say("write one of: {names}", names=names)
    )
