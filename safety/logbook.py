"""The story of a log in one function: read the shop, open its ledger, ask the plugins, report."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterator
from datetime import date
from typing import Any

from safety import __version__
from safety.assessment import Progress, silent
from safety.cited import Unknown
from safety.hosting.host import Host
from safety.ledger.store import open_ledger
from safety.ledger.view import view
from safety.model import Block, Chart, Entry, LogReport, Period, unrecorded
from safety.words import say
from safety.workplace import Workplace


def make_log(workplace: Workplace, period: Period, progress: Progress = silent) -> LogReport:
    """Make the log of a shop for some months.

    Only lines of this shop are counted, where several keep one ledger. Raises Problems for
    mistakes in the files of the shop, or a ledger that is not there or cannot be read.
    ``progress`` hears how far it has come.
    """
    jobs, shop = workplace.jobs(), workplace.shop
    in_force = workplace.on(last_day(period))
    plugins, data = in_force.plugins, in_force.reference
    blocks: list[Block] = []
    with open_ledger(shop) as ledger:
        with view(ledger) as everybody:
            others = tuple(name for name in everybody.shops if name not in (shop.name, *shop.earlier_names))
        with view(ledger, shop) as seen:
            left_out = [seen.left_out] if seen.left_out else []
            entries, editions, begins = seen.entries(period), seen.editions(), seen.begins
            asked: dict[str, Any] = {"period": period, "ledger": seen, "reference": data, "shop": shop, "jobs": jobs}
            for at, (_, answer) in enumerate(plugins.ask("log_blocks", None, **asked), 1):
                blocks += answer
                progress(min(1.0, at / len(plugins.names)))
        progress(1.0)
    before = unrecorded(period, begins, shop.began)
    missing = (*data.conflicts, *left_out, *before, *_missing(entries, plugins, shop.expects), *_unknown(blocks))
    return LogReport(
        shop=shop,
        period=period,
        entries=entries,
        editions=editions,
        begins=begins,
        other_shops=others,
        blocks=tuple(blocks),
        failures=plugins.failures,
        missing=tuple(dict.fromkeys(missing)),
        packs=data.packs,
        version=__version__,
    )


def last_day(period: Period) -> date:
    """The last day of a period: the rules in force then are the rules of the log."""
    year, month = int(period.last[:4]), int(period.last[5:])
    return date(year, month, monthrange(year, month)[1])


def _missing(entries: tuple[Entry, ...], plugins: Host, expects: tuple[str, ...] | None) -> Iterator[str]:
    yield from plugins.gaps(expects)
    for entry in entries:
        counts = entry.kind not in ("open", "weigh") and not entry.reverses and not entry.reversed_by
        if counts and isinstance(entry.mass, Unknown):
            what = entry.name or entry.container
            yield say(
                "{day}, {kind} of {what}: {why}.", day=entry.day, kind=entry.kind, what=what, why=entry.mass.reason
            )


def _unknown(blocks: list[Block]) -> Iterator[str]:
    """What the plugins say is missing from their totals."""
    for block in blocks:
        if not isinstance(block, Chart):
            yield from block.unknown
