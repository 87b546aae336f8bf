"""The sheet as plain records, ready for JSON."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Any

from safety.cited import Unknown
from safety.marks import Mark
from safety.model import (
    AgainstLimit,
    Block,
    Chart,
    ClockSpan,
    ExplosiveShare,
    Figure,
    Finding,
    Grid,
    Ignites,
    KeptOut,
    Lights,
    Planned,
    Report,
    Role,
    SaidUnder,
    Worn,
)
from safety.render import amounts, text_safe
from safety.render.arrange import arrange
from safety.render.clock import limits
from safety.render.sides import listed
from safety.render.step_rows import Card
from safety.words import spoken


def sheet(report: Report) -> dict[str, Any]:
    """All a sheet says as dicts, lists, text, finite numbers and None. Times are ISO clock times."""
    job, page = report.job, arrange(report)
    record: dict[str, Any] = plain(
        {
            "job": {
                "id": job.id,
                "title": job.title,
                "unit": job.unit,
                "place": job.place.id,
                "crew": job.crew,
                "start": job.start.isoformat(),
                "end": _iso(job.start, report.timeline.end),
                "shop": job.shop.name,
            },
            "asked": asked(report),
            "language": spoken(),
            "complete": report.complete,
            "reasons": report.missing,
            "books": report.books,
            "result": page.result[1],
            "stops": [_finding(report, f, page.marks[id(f)]) for f in report.stops],
            "findings": [_finding(report, f, page.marks[id(f)]) for f in report.findings],
            "steps": [_step(report, index, card) for index, card in enumerate(page.cards)],
            "windows": [_window(report, index) for index in range(len(report.timeline.windows))],
            "exposure": _exposure(report),
            "signs": [asdict(one) for one in report.signs],
            "back": [_block(report, block) for block in listed(page.sides.back)],
            "blocks": [_block(report, block) for block in report.blocks],
            "failures": [asdict(f) for f in report.failures],
            "packs": [
                {"id": p.id, "title": p.title, "jurisdiction": p.jurisdiction, "edition": p.edition}
                for p in report.packs
            ],
            "sources": [asdict(s) for s in report.sources],
            "notice": job.shop.notice,
            "assumed": job.assumed,
            "cautions": page.cautions.lines,
            "version": report.version,
            "seed": report.seed,
            "draws": report.draws,
        }
    )
    return record


def plain(value: Any) -> Any:
    """Turn records into what JSON can hold: no NaN, no infinity, no control characters.

    Numbers keep six figures: what is beyond them is the machine's, not the job's.
    """
    if isinstance(value, dict):
        return {text_safe(key): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if value is None or isinstance(value, (bool, int)):
        return value
    if isinstance(value, float):
        return float(f"{value:.6g}") if math.isfinite(value) else None
    return text_safe(value)


def _iso(start: datetime, seconds: float) -> str:
    return (start + timedelta(seconds=round(seconds))).isoformat()


def _figure(figure: Figure, system: str) -> dict[str, Any]:
    return {
        "name": figure.name,
        "value": float(figure.value),
        "unit": figure.unit,
        "p50": None if figure.p50 is None else float(figure.p50),
        "text": amounts.figure(figure, system),
        "formula": figure.formula,
        "inputs": [{"name": label, "text": amounts.datum(value, system)} for label, value in figure.inputs],
    }


def asked(report: Report) -> dict[str, str | None]:
    """What was given for this sheet alone, ready for JSON."""
    start, as_of = report.asked.start, report.asked.as_of
    return {
        "start": start.isoformat() if start else None,
        "air": report.asked.air,
        "as_of": as_of.isoformat() if as_of else None,
    }


def _finding(report: Report, finding: Finding, marks: Sequence[Mark]) -> dict[str, Any]:
    return {
        "level": finding.level,
        "topic": finding.topic,
        "step": None if finding.step is None else report.job.steps[finding.step].name,
        "step_number": None if finding.step is None else finding.step + 1,
        "statement": finding.statement,
        "short": finding.short,
        "figures": [_figure(f, report.job.shop.print_units) for f in finding.figures],
        "rule": finding.rule,
        "unchecked": [str(mark) for mark in marks],
        "unknown": finding.unknown or None,
        "gap": finding.gap if finding.unknown else None,
        "remedy": finding.remedy or None,
        "close": finding.close or None,
        "plugin": finding.plugin,
        "key": finding.key,
        "roles": [_role(report, role) for role in finding.roles],
    }


_ROLES: dict[type[Role], str] = {
    Worn: "worn",
    AgainstLimit: "against a limit",
    ExplosiveShare: "share of the explosive limit",
    Ignites: "ignition source",
    ClockSpan: "clock",
    Planned: "planned mass",
    KeptOut: "kept out",
    Lights: "can light vapour",
    SaidUnder: "said under another topic",
}


def _role(report: Report, role: Role) -> dict[str, Any]:
    told = {"role": _ROLES[type(role)], **asdict(role)}
    if isinstance(role, ClockSpan):
        told["begin"] = _iso(report.job.start, role.begin)
        told["end"] = None if role.end is None else _iso(report.job.start, role.end)
    return told


def _step(report: Report, index: int, card: Card) -> dict[str, Any]:
    job, timeline = report.job, report.timeline
    step = job.steps[index]
    begin, end = timeline.span(index)
    return {
        "number": index + 1,
        "name": step.name,
        "start": _iso(job.start, begin),
        "end": _iso(job.start, end),
        "place": step.place.id,
        "air": step.air.state,
        "people": step.people,
        "uses": [{"product": u.product.id, "work": u.work, "amount": u.written} for u in step.uses],
        "segments": [
            {
                "kind": s.kind,
                "coat": s.coat or None,
                "label": s.label,
                "start": _iso(job.start, s.start),
                "end": _iso(job.start, s.end),
            }
            for s in timeline.of_step(index)
        ],
        "boxes": [
            {
                "topic": box.topic,
                "unchecked": box.unchecked,
                "entries": [{"mark": e.mark, "text": e.text} for e in box.said],
            }
            for box in card.boxes
        ],
    }


def _window(report: Report, index: int) -> dict[str, Any]:
    start, window = report.job.start, report.timeline.windows[index]
    return {
        "product": window.product.id,
        "put_on_by": report.job.steps[window.step].name,
        "joins": None if window.joins is None else report.job.steps[window.joins].name,
        "opens": _iso(start, window.opens),
        "closes": None if window.closes is None else _iso(start, window.closes),
        "recoat_until": None if window.recoat_until is None else _iso(start, window.recoat_until),
        "text": str(limits(report.job, window)),
    }


def _exposure(report: Report) -> list[dict[str, Any]]:
    """Each step and substance in ppm at the worker's position: [50th, 95th percentile]; none where there is no air."""
    exposure = report.exposure
    if exposure is None or isinstance(exposure, Unknown) or not exposure.substances:
        return []
    import numpy as np

    rows = []
    for step, air in zip(report.job.steps, exposure.steps, strict=True):
        measures = {"mean": air.mean, "worst_15min": air.worst_15min, "peak": air.peak}
        ppm = {f"{name}_ppm": np.percentile(exposure.ppm(m), (50, 95), axis=0) for name, m in measures.items()}
        for column, substance in enumerate(exposure.substances):
            values = {name: {"p50": float(v[0, column]), "p95": float(v[1, column])} for name, v in ppm.items()}
            rows.append({"step": step.name, "cas": substance.cas, "substance": substance.name, **values})
    return rows


def _block(report: Report, block: Block) -> dict[str, Any]:
    if isinstance(block, Chart):
        return {
            "title": block.title,
            "key": block.key,
            "unit": block.unit,
            "times": [_iso(report.job.start, t) for t in block.times],
            "curves": [
                {"name": c.name, "p50": list(map(float, c.low)), "p95": list(map(float, c.high))} for c in block.curves
            ],
            "levels": [{"name": name, "value": float(value)} for name, value in block.levels],
        }
    if isinstance(block, Grid):
        return {"title": block.title, "key": block.key, "columns": block.columns, "rows": block.rows}
    return {"title": block.title, "key": block.key, "lines": block.lines}
