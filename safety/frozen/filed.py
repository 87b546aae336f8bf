"""A log beside the one of the same time that was filed: what is not as it was then."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from safety.model import Filed
from safety.words import ENGLISH, say, spoken

if TYPE_CHECKING:
    from safety.ledger.sheets import Frozen
    from safety.model import LogReport
    from safety.problems import Problems

#: Differences that are told one by one; of more only how many.
_TOLD = 20


def with_earlier(report: LogReport) -> LogReport:
    """The log with those named that were filed of the same shop and time, the newest first. Raises Problems."""
    from safety.ledger.sheets import frozen_called
    from safety.ledger.store import open_ledger
    from safety.ledger.view import view
    from safety.render import forms
    from safety.render.log import named

    with open_ledger(report.shop) as ledger:
        kept = frozen_called(ledger, "log", named(report.period))
        everything = report
        if kept and not report.whole:
            with view(ledger, report.shop) as seen:
                entries = seen.entries(report.period)
            everything = replace(report, entries=entries, count=len(entries))
    now: dict[str, Any] | None = None
    found = []
    for one in kept:
        then = _content(one)
        if then is None or then.get("shop") not in (report.shop.name, *report.shop.earlier_names):
            continue
        signed = tuple(say("{name}, {role}", name=s.name, role=s.role) for s in one.signed)
        if spoken() != ENGLISH:  # what was filed is English, and every word would differ
            found.append(Filed(one.id, one.at, signed, None))
            continue
        now = json.loads(forms.log(everything, "json")) if now is None else now
        found.append(Filed(one.id, one.at, signed, tuple(differences(then, now))))
    return replace(report, filed=tuple(found))


def again(kept: Frozen, folder: Path, mistakes: Problems | None) -> list[str]:
    """Sentences: what the log of the same time would say otherwise today, with today's program, rules and ledger."""
    from safety.logbook import make_log
    from safety.model import Period
    from safety.problems import Problems
    from safety.render import forms
    from safety.workplace import Workplace

    if mistakes:
        first = mistakes.problems[0]
        return [say("Not computed again today: the files of the shop have mistakes ({first}).", first=first)]
    then = json.loads(kept.result)
    try:
        report = make_log(Workplace.open(folder), Period(then["period"]["first"], then["period"]["last"]))
    except Problems as error:
        return [say("Not computed again today: {why}.", why=error.problems[0].wrong)]
    found = list(differences(then, json.loads(forms.log(report, "json"))))
    if not found:
        return [say("Computed again today: the same in every record and every figure.")]
    return [say("Computed again today, it says otherwise:"), *(say("  {text}", text=text) for text in found)]


def _content(kept: Frozen) -> dict[str, Any] | None:
    """What a filed log said; None for what is no log of ours."""
    try:
        then = json.loads(kept.result)
        return then if isinstance(then, dict) and isinstance(then["records"], list) else None
    except (ValueError, KeyError, RecursionError):
        return None


def differences(then: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    """A sentence on each record and each figure that is not the same."""
    found = [*_records(then, now), *_lines(then, now), *_blocks(then, now)]
    yield from found[:_TOLD]
    if len(found) > _TOLD:
        yield say("further differences: {count}", count=len(found) - _TOLD)


def _records(then: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    old, new = ({str(one["key"]): one["shown"] for one in log["records"]} for log in (then, now))
    for key, shown in new.items():
        if key not in old:
            yield say("record {key} came since: {what}", key=key, what=_record(shown))
        elif _said(shown) != _said(old[key]):
            yield say("record {key}: then {old}; now {new}", key=key, old=_record(old[key]), new=_record(shown))
    yield from (say("record {key} is gone: {what}", key=key, what=_record(old[key])) for key in old if key not in new)


def _said(shown: Mapping[str, Any]) -> dict[str, Any]:
    """What both know of a record: a later program may say more of it."""
    return {name: shown.get(name) for name in ("day", "time", "what", "thing", "lot", "typed", "kilograms", "remarks")}


def _record(shown: Mapping[str, Any]) -> str:
    return ", ".join(str(shown[name]) for name in ("day", "what", "thing", "typed", "remarks") if shown.get(name))


def _lines(then: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    """What kept the totals from being whole."""
    yield from (say("missing now: {text}", text=text) for text in now["missing"] if text not in then["missing"])
    yield from (say("no longer missing: {text}", text=text) for text in then["missing"] if text not in now["missing"])


def _blocks(then: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    old, new = (
        {(one["key"], one["title"]): one for one in log["blocks"] if one["key"] != "log-filed"} for log in (then, now)
    )
    for name in (*old, *(name for name in new if name not in old)):
        before, after = _rows(old.get(name)), _rows(new.get(name))
        if before == after:
            continue
        gone = [row for row in before if row not in after]
        came = [row for row in after if row not in before]
        columns = (old.get(name) or new[name]).get("columns", ())
        for row in gone:
            like = next((one for one in came if len(one) == len(row) > 1 and one[0] == row[0]), None)
            if like is None:
                yield say("{title}: gone: {row}", title=name[1], row=" | ".join(row))
            else:
                came.remove(like)
                yield say("{title}, {row}: {cells}", title=name[1], row=row[0], cells=_cells(columns, row, like))
        yield from (say("{title}: new: {row}", title=name[1], row=" | ".join(row)) for row in came)


def _cells(columns: Sequence[str], old: Sequence[str], new: Sequence[str]) -> str:
    """The cells of a row that are not the same, each under the name of its column."""
    return "; ".join(
        say("{column} {old}, now {new}", column=column, old=before or say("nothing"), new=after or say("nothing"))
        for column, before, after in zip(columns, old, new, strict=False)
        if before != after
    )


def _rows(block: Mapping[str, Any] | None) -> list[tuple[str, ...]]:
    """The rows of a table, or the lines; a chart draws figures that stand in tables."""
    if block is None:
        return []
    if "rows" in block:
        return [tuple(map(str, row)) for row in block["rows"]]
    return [(str(line),) for line in block.get("lines", ())]
