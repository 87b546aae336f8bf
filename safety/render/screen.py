"""The sheet as a screen shows it: the same words in the same order as on paper, as plain records."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from safety.model import Lines, Report
from safety.render.arrange import Sheet, arrange
from safety.render.merging import Merged, numbered
from safety.render.records import plain
from safety.render.step_rows import Card, Line, by_mark

#: Blocks that somebody needs in a hurry, by their keys.
HELP = ("first-aid", "spill", "fire")


def screen(report: Report) -> dict[str, Any]:
    """What a screen shows of a sheet, ready for JSON: the whole job, its stops, and each step by itself."""
    page = arrange(report)
    told: dict[str, Any] = plain(
        {
            "title": page.title,
            "facts": page.facts,
            "result": page.result,
            "missing": page.missing,
            "stops": [_merged(one) for one in page.stops],
            "asked": [_merged(one) for one in page.asked],
            "band": _lines(page.band.lines),
            "cards": [_card(card) for card in page.cards],
            "signs": _signs(page),
            "unchecked": page.unchecked,
            "help": [
                {"key": b.key, "title": b.title, "lines": b.lines}
                for b in page.blocks
                if isinstance(b, Lines) and b.key in HELP
            ],
            "cautions": page.cautions.lines,
            "small_print": page.small_print,
            "notice": page.notice,
        }
    )
    return told


def _merged(one: Merged) -> dict[str, Any]:
    return {
        "mark": one.mark,
        "topic": one.topic,
        "title": one.title,
        "steps": numbered(one.steps),
        "short": one.short,
        "statement": one.statement,
        "unknown": one.unknown,
        "remedy": one.remedy,
        "references": one.references,
    }


def _lines(lines: Iterable[Line]) -> list[dict[str, Any]]:
    return [
        {
            "topic": line.topic,
            "title": line.title,
            "entries": [{"mark": mark, "text": text} for mark, text in by_mark(line)],
        }
        for line in lines
    ]


def _card(card: Card) -> dict[str, Any]:
    return {
        "number": card.number,
        "name": card.name,
        "when": card.when,
        "where": card.where,
        "products": card.products,
        "waits": card.waits,
        "windows": list(map(str, card.windows)),
        "states": card.states,
        "wear": card.wear,
        "boxes": _lines(card.boxes),
    }


def _signs(page: Sheet) -> dict[str, Any]:
    """Hazard symbols with the products that carry them, and the products nobody knows all the symbols of."""
    return {
        "carried": [{"codes": codes, "products": names} for codes, names in page.band.signs],
        "unknown": list(dict.fromkeys((*page.band.unclassified, *page.band.unsigned))),
    }
