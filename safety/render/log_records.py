"""The log as plain records, ready for JSON."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from safety.cited import Unknown
from safety.model import Block, Chart, Entry, Grid, LogReport
from safety.render.log import arrange
from safety.render.records import plain


def log(report: LogReport) -> dict[str, Any]:
    """All a log says. What is unknown is null beside the word in ``shown``, never zero."""
    page = arrange(report)
    record: dict[str, Any] = plain(
        {
            "title": page.title,
            "shop": report.shop.name,
            "period": {"first": report.period.first, "last": report.period.last},
            "facts": [{"name": name, "text": text} for name, text in page.facts],
            "complete": report.complete,
            "result": page.result,
            "missing": report.missing,
            "records": [
                {**_numbers(entry), "shown": asdict(shown)}
                for entry, shown in zip(report.entries, page.records, strict=True)
            ],
            "blocks": [_block(block) for block in page.blocks],
            "sign_off": {"sentence": page.sign_off[0], "fields": page.sign_off[1]},
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
            "missing": block.unknown,
        }
    return {"title": block.title, "key": block.key, "lines": block.lines, "missing": block.unknown}
