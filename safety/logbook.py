"""The story of a log in one function: read the shop, open its ledger, ask the plugins, report."""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from safety import __version__
from safety.assessment import Progress, silent
from safety.cited import Unknown
from safety.ledger.store import open_ledger
from safety.ledger.verify import chained
from safety.ledger.view import view
from safety.model import PRINTED, Block, Chart, Edition, Entry, LogReport, OpenPoint, Period, Settles, unrecorded
from safety.words import say
from safety.workplace import Workplace


def make_log(workplace: Workplace, period: Period, progress: Progress = silent, every: bool = True) -> LogReport:
    """Make the log of a shop for some months.

    Only lines of this shop are counted, where several keep one ledger. Raises Problems for
    mistakes in the files of the shop, or a ledger that is not there or cannot be read.
    ``progress`` hears how far it has come. Without ``every``, records that would fill a book are counted and not read.
    """
    jobs, shop = workplace.jobs(), workplace.shop
    in_force = workplace.on(workplace.rules_of or last_day(period))
    plugins, data = in_force.plugins, in_force.reference
    blocks: list[Block] = []
    with open_ledger(shop) as ledger:
        held = chained(ledger)
        with view(ledger, shop, called=data.called) as seen:
            others = tuple(name for name in seen.everybody if name not in (shop.name, *shop.earlier_names))
            left_out = [OpenPoint(seen.left_out, "files", "left out")] if seen.left_out else []
            editions, begins, count = seen.editions(), seen.begins, seen.count(period)
            entries = seen.entries(period) if every or count <= PRINTED else seen.telling(period)
            recorded, without = seen.recorded(period), seen.without_mass(period)
            asked: dict[str, Any] = {"period": period, "ledger": seen, "reference": data, "shop": shop, "jobs": jobs}
            for at, (_, answer) in enumerate(plugins.ask("log_blocks", None, **asked), 1):
                blocks += answer
                progress(min(1.0, at / len(plugins.names)))
        progress(1.0)
    before = unrecorded(period, begins, shop.began)
    conflicts = [OpenPoint(text, "rules") for text in data.conflicts]
    gaps = [OpenPoint(text, "program") for text in plugins.gaps(shop.expects)]
    changed = [OpenPoint(say("{what}: see hazstep verify.", what=what), "officer") for what in held.wrong]
    points = (
        *_by_other_rules(workplace),
        *changed,
        *conflicts,
        *left_out,
        *before,
        *gaps,
        *_without_mass(without, editions),
        *_unknown(blocks),
    )
    return LogReport(
        shop=shop,
        period=period,
        entries=entries,
        count=count,
        recorded=recorded,
        editions=editions,
        begins=begins,
        other_shops=others,
        blocks=tuple(blocks),
        failures=plugins.failures,
        points=each_once(points),
        packs=data.packs,
        version=__version__,
        chained=held,
    )


def month_of(text: str) -> Period | None:
    """The month that is written so, "2026-11"; None where it is none."""
    return Period(text, text) if re.fullmatch(r"\d{4}-(0[1-9]|1[0-2])", text, re.ASCII) else None


def year_of(text: str) -> Period | None:
    """The calendar year that is written so, "2026"; None where it is none."""
    return Period(f"{text}-01", f"{text}-12") if re.fullmatch(r"\d{4}", text, re.ASCII) else None


def last_day(period: Period) -> date:
    """The last day of a period: the rules in force then are the rules of the log."""
    year, month = int(period.last[:4]), int(period.last[5:])
    return date(year, month, monthrange(year, month)[1])


def each_once(points: Iterable[OpenPoint]) -> tuple[OpenPoint, ...]:
    """Every point once, with its largest count, where the first of them stood."""
    found: dict[tuple[str, str], OpenPoint] = {}
    for point in points:
        same = (point.kind, point.about) if point.kind else ("", point.text)
        if same not in found or point.count > found[same].count:
            found[same] = point
    return tuple(found.values())


def _by_other_rules(workplace: Workplace) -> Iterator[OpenPoint]:
    """That a log was asked for by the rules of another day: it is an answer to a question, and none to file."""
    if workplace.rules_of:
        text = say(
            "The limits and duties are those of {day}, as asked for. This is no log to file.", day=workplace.rules_of
        )
        yield OpenPoint(text, "rules")


def _without_mass(found: Iterable[tuple[Entry, int]], editions: Mapping[int, Edition]) -> Iterator[OpenPoint]:
    """One point for each product, and for mixed waste, with records of which nobody knows the mass."""
    for first, count in found:
        text = say(
            "{what}: records without a known mass: {count}. The first is of {day} ({why}).",
            what=first.name or say("mixed waste"),
            count=count,
            day=first.day.isoformat(),
            why=first.mass.reason if isinstance(first.mass, Unknown) else "",
        )
        made = None if first.edition is None else editions[first.edition]
        who: Settles = "files" if made and isinstance(made.density, Unknown) else "recorder"
        yield OpenPoint(text, who, "no mass", first.product, count)


def _unknown(blocks: list[Block]) -> Iterator[OpenPoint]:
    """What the plugins say is missing from their totals."""
    for block in blocks:
        if not isinstance(block, Chart):
            for one in block.unknown:
                yield one if isinstance(one, OpenPoint) else OpenPoint(one)
