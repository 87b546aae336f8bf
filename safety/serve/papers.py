"""What the office asks the engine: a month or a year of the books, and the papers that are made of them."""

from __future__ import annotations

import base64
from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import Any

from safety.files.notation import nearest
from safety.files.toml import plain
from safety.logbook import make_log, month_of, year_of
from safety.model import Grid, LogReport, Period
from safety.problems import Problem, Problems
from safety.words import say
from safety.workplace import Workplace

Record = dict[str, Any]
Told = Callable[[float], None]


def log(place: Workplace, question: Mapping[str, Any], heard: Told) -> Record:
    """The board of a period, or with ``form`` a paper of it: the very bytes that the command gives."""
    report = make_log(place, _period(question), heard)
    if not question.get("form"):
        return board(report)
    return {"base64": base64.b64encode(_paper(report, str(question["form"]))).decode()}


def keep(place: Workplace, question: Mapping[str, Any], heard: Told) -> Record:
    """Keep the log of a period in the ledger for good, as it is filed."""
    from safety.frozen.pages import freeze_log

    return {"id": freeze_log(place, make_log(place, _period(question), heard))}


def _period(question: Mapping[str, Any]) -> Period:
    text = str(question.get("period", ""))
    period = month_of(text) or year_of(text)
    if period is None:
        raise Problems([Problem(plain(text), 0, "", say("this is no month and no year"), say("write 2026-11 or 2026"))])
    return period


def _paper(report: LogReport, form: str) -> bytes:
    from safety.render import forms, log_text
    from safety.render.log_pdf import log as pdf

    kinds: dict[str, Callable[[], bytes]] = {
        "pdf": lambda: pdf(report),
        "csv": lambda: log_text.table(report),
        "json": lambda: forms.log(report, "json").encode(),
    }
    return kinds[form]()


def board(report: LogReport) -> Record:
    """The page of the office as it stands before a log, and what is in each container."""
    from safety.render import log_records
    from safety.render.log import arrange

    page = arrange(report)
    office = page.office
    return {
        "title": office.title,
        "complete": page.complete,
        "result": page.result,
        "missing": list(page.missing),
        "heads": list(office.heads),
        "amounts": [list(row) for row in office.amounts],
        "counts": [list(pair) for pair in office.counts],
        "limits": [
            {
                "name": bar.of.name,
                "state": bar.state,
                "word": bar.state_word,
                "share": bar.share,
                "ahead": bar.ahead,
                "whole": bar.of.whole and bar.of.ahead_whole,
                "shown": bar.words,
                "rule": bar.of.rule,
            }
            for bar in office.bars
        ],
        "no_limits": office.no_bars,
        "leaving": [
            {"shown": one.words, "what": one.of.what, "why": one.of.why, "over": one.over, "rule": one.of.rule}
            for one in office.leaving
        ],
        "none_leaving": office.none_leaving,
        "open": [asdict(one) for one in office.open],
        "none_open": office.none_open,
        "containers": [
            {"id": block.key.partition(":")[2], "title": block.title, "rows": [list(row) for row in block.rows]}
            for block in page.blocks
            if isinstance(block, Grid) and block.key.startswith("container:")
        ],
        "records": log_records.log(report)["records"],
        "notice": page.notice,
    }


def label(place: Workplace, question: Mapping[str, Any], heard: Told) -> Record:
    """The label of a container at the end of a month, as the PDF that the command writes."""
    from datetime import date

    from safety.paper_codes import of_container
    from safety.render import label as render
    from safety.waste_label import labelled, on_label

    name, period = str(question.get("container", "")), _period(question)
    known = labelled(place, today=False)
    if name not in known:
        wrong = say('there is no container "{id}"', id=plain(name))
        raise Problems([Problem("shop.toml", 0, "[[container]]", wrong, nearest(name, known))])
    grid, shown, failures = on_label(place, name, date.fromisoformat(f"{period.first}-01"), today=False)
    if grid is None:
        return {"base64": "", "missing": failures}
    content = render.pdf(grid, place.shop, shown, of_container(name))
    return {"base64": base64.b64encode(content).decode(), "missing": failures}
