"""The log as plain records, ready for JSON."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from safety.cited import Unknown
from safety.model import Block, Chart, Entry, Grid, Lines, LogReport, OpenPoint
from safety.render.log import arrange
from safety.render.office import Office
from safety.render.records import plain
from safety.words import spoken


def log(report: LogReport) -> dict[str, Any]:
    """All a log says. What is unknown is null beside the word in ``shown``, never zero."""
    page = arrange(report)
    record: dict[str, Any] = plain(
        {
            "language": spoken(),
            "title": page.title,
            "shop": report.shop.name,
            "period": {"first": report.period.first, "last": report.period.last},
            "facts": [{"name": name, "text": text} for name, text in page.facts],
            "office": _office(page.office),
            "complete": report.complete,
            "result": page.result,
            "missing": report.missing,
            "records": [
                {**_numbers(entry), "shown": asdict(shown)}
                for entry, shown in zip(report.entries, page.records, strict=True)
            ],
            "blocks": [_block(block) for block in page.blocks],
            "sign_off": {"sentence": page.sign_off[0], "fields": page.sign_off[1]},
            "ledger": asdict(report.chained) if report.chained else None,
            "filed": [{**asdict(one), "at": one.at.isoformat()} for one in report.filed],
            "failures": [asdict(failure) for failure in report.failures],
            "packs": [
                {"id": p.id, "title": p.title, "jurisdiction": p.jurisdiction, "edition": p.edition}
                for p in report.packs
            ],
            "notice": page.notice,
            "version": report.version,
        }
    )
    return record


def _numbers(entry: Entry) -> dict[str, Any]:
    def known(value: float | Unknown) -> float | None:
        return None if isinstance(value, Unknown) else value

    return {
        "key": entry.key,
        "kind": entry.kind,
        "way": entry.way,
        "day": entry.day.isoformat(),
        "happened": entry.happened.isoformat() if entry.happened else None,
        "product": entry.product,
        "edition": entry.edition,
        "mass_kg": known(entry.mass),
        "volume_m3": known(entry.volume),
        "density_kg_m3": known(entry.density),
        "area_m2": known(entry.area),
        "solvent_low_kg": known(entry.solvent_low),
        "solvent_high_kg": known(entry.solvent_high),
        "reverses": entry.reverses or None,
        "replaces": entry.replaces or None,
        "reversed_by": entry.reversed_by or None,
    }


def _block(block: Block) -> dict[str, Any]:
    if isinstance(block, Chart):
        return {
            "title": block.title,
            "key": block.key,
            "unit": block.unit,
            "labels": block.labels,
            "curves": [{"name": c.name, "middle": c.low, "at_most": c.high} for c in block.curves],
            "levels": [{"name": name, "value": level} for name, level in block.levels],
        }
    if isinstance(block, Grid):
        return {
            "title": block.title,
            "key": block.key,
            "columns": block.columns,
            "rows": block.rows,
            "missing": _missing(block),
        }
    return {"title": block.title, "key": block.key, "lines": block.lines, "missing": _missing(block)}


def _missing(block: Lines | Grid) -> list[str]:
    return [one.text if isinstance(one, OpenPoint) else one for one in block.unknown]


def _office(office: Office) -> dict[str, Any]:
    """The office's page: the figures in SI units, and what they are in words."""
    return {
        "counts": [{"state": state, "count": count} for state, count in office.counts],
        "amounts": [asdict(one) for one in office.tallies],
        "limits": [
            {**asdict(bar.of), "state": bar.state, "share": bar.share, "shown": bar.words} for bar in office.bars
        ],
        "leaving": [
            {**asdict(one.of), "last": one.of.last.isoformat(), "over": one.over, "shown": one.words}
            for one in office.leaving
        ],
        "open": [asdict(point) for point in office.points],
    }
