"""The sheet as plain text, 100 columns wide."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from safety import units
from safety.clock import clock
from safety.model import Block, Chart, Grid, Lines, Report
from safety.render import text_safe
from safety.render.arrange import Card, Judgement, Sheet, arrange
from safety.render.symbols import WORDS
from safety.words import say

WIDTH = 100


def sheet(report: Report) -> str:
    """The whole sheet as text, lines of at most 100 columns, ending in a line break."""
    page = arrange(report)
    return "\n".join(line.rstrip() for line in _lines(report, page)) + "\n"


def _lines(report: Report, page: Sheet) -> Iterator[str]:
    yield from _wrapped(say("Pre-task sheet, {shop}", shop=page.shop))
    yield from _wrapped(page.title)
    yield "=" * WIDTH
    for label, value in page.facts:
        yield from _wrapped(value, say("{label:<12} ", label=label))
    yield ""
    yield from _wrapped(page.result[1], "*** ")
    if page.missing:
        yield ""
        yield from _wrapped(say("INCOMPLETE - this is not known or was not assessed:"), "### ")
        for reason in page.missing:
            yield from _wrapped(reason, "###   - ", "###     ")
    if page.stops:
        yield from _heading(say("Change this before anybody starts"))
        for stop in page.stops:
            yield from _judgement(stop, brief=True)
    yield from _heading(say("Step by step"))
    for card in (*([page.whole] if page.whole else []), *page.cards):
        yield from _card(card)
    for block in (*page.blocks, page.cautions):
        yield from _block(report, block)
    for sentence, fields in (page.certification, page.read):
        yield ""
        yield from _wrapped(sentence)
        for field in fields:
            yield say("{label:<44}{line}", label=field, line="_" * 50)
    yield from _heading(say("Every finding in full"))
    for finding in page.all:
        yield from _judgement(finding)
    for closing in (*page.appendix, *page.closing):
        yield from _block(report, closing)
    yield ""
    if page.notice:
        yield from _wrapped(page.notice)
    yield from _wrapped(page.small_print)


def _heading(title: str) -> Iterator[str]:
    yield ""
    yield from _wrapped(title)
    yield "-" * WIDTH


def _wrapped(text: str, first: str = "", later: str | None = None) -> Iterator[str]:
    """``text`` in lines after a hanging head; the head is ours and kept as it is."""
    rest = " " * len(first) if later is None else later
    lines = textwrap.wrap(text_safe(text), WIDTH, initial_indent=first, subsequent_indent=rest)
    yield from lines or [first]


def _card(card: Card) -> Iterator[str]:
    number = say("{number}. ", number=card.number) if card.number else ""
    yield from _wrapped(say("{number}{name}", number=number, name=card.name), say("{when:<15} ", when=card.when))
    pad = " " * 16
    for line in (card.where, *card.products, *card.waits):
        if line:
            yield from _wrapped(line, pad)
    signs = [WORDS[s] for s in card.signs]
    if signs:
        yield from _wrapped(say("Signs: {signs}", signs="; ".join(signs)), pad)
    for name in card.unclassified:
        yield from _wrapped(say("UNKNOWN: no hazard statements of {product}", product=name), pad)
    for box in card.boxes:
        head = say("{title:<10} ", title=box.title)
        for entry in box.entries:
            mark = say("{mark}: ", mark=entry.mark) if entry.mark and entry.text else entry.mark
            yield from _wrapped(say("{mark}{text}", mark=mark, text=entry.text), pad + head, pad + " " * len(head))
            head = " " * len(head)
    for window in card.windows:
        yield from _wrapped(str(window), pad + ">> ")
    yield ""


def _judgement(one: Judgement, brief: bool = False) -> Iterator[str]:
    mark = say("{mark}  ", mark=one.mark) if one.mark else say("Note  ")
    yield from _wrapped(say("{where} ({topic})", where=one.where, topic=one.topic), mark)
    yield from _wrapped(one.statement, "    ")
    if one.unknown:
        yield from _wrapped(say("UNKNOWN: {what}", what=one.unknown), "    ")
    if one.remedy:
        yield from _wrapped(say("What would change it: {remedy}", remedy=one.remedy), "    ")
    if brief:
        yield ""
        return
    for figure in one.figures:
        yield from _wrapped(figure, "      - ", "        ")
    if one.rule:
        yield from _wrapped(say("Rule: {rule}", rule=one.rule), "    ")
    yield from _wrapped(say("From: {plugin}", plugin=one.plugin), "    ")
    yield ""


def _block(report: Report, block: Block) -> Iterator[str]:
    yield from _heading(block.title)
    if isinstance(block, Lines):
        for line in block.lines:
            yield from _wrapped(line, "  - ", "    ")
    elif isinstance(block, Grid):
        yield from _grid(block)
    else:
        yield from _chart(report, block)


def _grid(block: Grid) -> Iterator[str]:
    """A table as aligned columns; one record a paragraph where the columns would not fit."""
    rows = [tuple(text_safe(cell) for cell in row) for row in (block.columns, *block.rows)]
    widths = [max(len(row[i]) for row in rows) for i in range(len(block.columns))]
    if sum(widths) + 2 * len(widths) <= WIDTH:
        for row in rows:
            yield "  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        return
    for row in rows[1:]:
        for label, cell in zip(rows[0], row, strict=True):
            yield from _wrapped(cell, say("  {label}: ", label=label[:40]))
        yield ""


def _chart(report: Report, block: Chart) -> Iterator[str]:
    for curve in block.curves:
        if not curve.high:
            continue
        at = max(range(len(curve.high)), key=curve.high.__getitem__)
        sentence = say(
            "{name}: highest {high} {unit} at {time} (careful estimate), {low} {unit} (middle estimate)",
            name=curve.name,
            high=units.significant(curve.high[at]),
            low=units.significant(max(curve.low)),
            unit=block.unit,
            time=clock(report.job.start, block.times[at]),
        )
        yield from _wrapped(sentence, "  - ", "    ")
    for name, level in block.levels:
        yield from _wrapped(
            say("{name}: {level} {unit}", name=name, level=units.significant(level), unit=block.unit), "  = ", "    "
        )
