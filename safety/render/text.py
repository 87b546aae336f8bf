"""The sheet as plain text, 100 columns wide."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from itertools import zip_longest

from safety import units
from safety.clock import clock
from safety.model import Block, Chart, Grid, Lines, Report
from safety.render import symbols, text_safe
from safety.render.arrange import Judgement, Sheet, arrange, where
from safety.render.merging import Merged, titled, word
from safety.render.sides import listed
from safety.render.step_rows import Card, Line, by_mark
from safety.words import say

WIDTH = 100


def sheet(report: Report, full: bool = False) -> str:
    """The sheet as text, lines of at most 100 columns, ending in a line break.

    ``full`` adds every note, the figures behind every finding, and the long tables.
    """
    page = arrange(report)
    return "\n".join(str(line).rstrip() for line in _lines(report, page, full)) + "\n"


def _lines(report: Report, page: Sheet, full: bool) -> Iterator[str]:
    yield from wrapped(say("Pre-task sheet, {shop}", shop=page.shop))
    yield from wrapped(page.title)
    yield "=" * WIDTH
    for label, value in page.facts:
        yield from wrapped(value, say("{label:<12} ", label=label))
    yield ""
    yield from wrapped(page.result[1], "*** ")
    yield from _urgent(report, page)
    yield from _band(page)
    yield from heading(say("Step by step"))
    for card in page.cards:
        yield from _card(card)
    if page.unchecked:
        yield from wrapped(page.unchecked)
    for block in (*listed(page.sides.back), *page.blocks, *page.assumed, page.cautions):
        yield from _block(report, block)
    for sentence, fields in (page.certification, page.read):
        yield ""
        yield from wrapped(sentence)
        for field in fields:
            yield say("{label:<44}{line}", label=field, line="_" * 50)
    yield from _closing(report, page, full)


def _urgent(report: Report, page: Sheet) -> Iterator[str]:
    """What is not known, and what has to change before anybody starts."""
    if page.missing:
        yield ""
        yield from wrapped(say("INCOMPLETE - this is not known or was not assessed:"), "### ")
        for reason in page.missing:
            yield from wrapped(reason, "###   - ", "###     ")
    if page.stops:
        yield from heading(say("Change this before anybody starts"))
        for stop in page.stops:
            head = say(
                "STOP  {topic}, {where}: ",
                topic=titled(stop.title, bool(stop.unchecked)),
                where=where(report, stop.steps),
            )
            yield from wrapped(say("{head}{short}", head=head, short=stop.short))
            yield from wrapped(stop.remedy or stop.statement, "    ")


def _closing(report: Report, page: Sheet, full: bool) -> Iterator[str]:
    """What stands in full behind the steps."""
    if full:
        yield from heading(say("Every finding in full"))
        for finding in page.all:
            yield from _judgement(finding)
    elif page.asked:
        yield from heading(say("What has to be done, in full"))
        for one in page.asked:
            yield from _merged(report, one)
    for closing in (*(page.appendix if full else ()), *page.closing):
        yield from _block(report, closing)
    yield ""
    if page.left_out and not full:
        yield from wrapped(page.left_out)
    if page.notice:
        yield from wrapped(page.notice)
    yield from wrapped(page.small_print)


def heading(title: str) -> Iterator[str]:
    yield ""
    yield from wrapped(title)
    yield "-" * WIDTH


def wrapped(text: str, first: str = "", later: str | None = None) -> Iterator[str]:
    """``text`` in lines after a hanging head; the head is ours and kept as it is."""
    rest = " " * len(first) if later is None else later
    lines = textwrap.wrap(text_safe(text), WIDTH, initial_indent=str(first), subsequent_indent=str(rest))
    yield from lines or [first]


def _band(page: Sheet) -> Iterator[str]:
    yield from heading(say("For the whole job"))
    for line in page.band.lines:
        yield from _topic(line, "")
    for codes, products in page.band.signs:
        words = say(
            "{signs} ({products})", signs="; ".join(symbols.words(c) for c in codes), products=", ".join(products)
        )
        yield from wrapped(words, say("{title:<11} ", title=say("Signs")))
    for name in page.band.unclassified:
        yield from wrapped(say("UNKNOWN: no hazard statements of {product}", product=name))
    for name in page.band.unsigned:
        yield from wrapped(say("UNKNOWN: nobody says which signs {product} carries", product=name))


def _topic(line: Line, pad: str) -> Iterator[str]:
    """A topic with its words, a line for each mark."""
    head = say("{title:<11} ", title=line.title)
    for mark, text in by_mark(line):
        sign = say("{mark}: ", mark=word(mark)) if mark and text else word(mark)
        yield from wrapped(say("{mark}{text}", mark=sign, text=text), pad + head, pad + " " * len(head))
        head = " " * len(head)


def _card(card: Card) -> Iterator[str]:
    name = say("{number}. {name}", number=card.number, name=card.name)
    pad = " " * 16
    head = say("{when:<15} ", when=card.when)
    if len(head) > len(pad):  # a time with the words for its day
        yield from wrapped(card.when)
        head = pad
    yield from wrapped(name, head)
    for line in (card.where, *card.products, *card.waits):
        if line:
            yield from wrapped(line, pad)
    if card.stopped:
        yield from wrapped(say("STOP: {topics}, see the top", topics=", ".join(card.stopped)), pad)
    for topic in card.lines:
        yield from _topic(topic, pad)
    for window in card.windows:
        yield from wrapped(str(window), pad + ">> ")
    yield ""


def _merged(report: Report, one: Merged) -> Iterator[str]:
    head = say("{topic}: {short}", topic=titled(one.title, bool(one.unchecked)), short=one.short)
    yield from wrapped(head, say("{mark}  ", mark=word(one.mark)))
    yield from wrapped(where(report, one.steps), "    ")
    yield from _reasons(one)
    yield from wrapped(say("Why: {references}", references=", ".join(one.references)), "    ")
    yield ""


def _judgement(one: Judgement) -> Iterator[str]:
    mark = say("{mark}  ", mark=word(one.mark)) if one.mark else say("Note  ")
    yield from wrapped(say("{where} ({topic})", where=one.where, topic=one.topic), mark)
    yield from _reasons(one)
    for figure in one.figures:
        yield from wrapped(figure, "      - ", "        ")
    yield from wrapped(say("From: {plugin}, why {reference}", plugin=one.plugin, reference=one.reference), "    ")
    yield ""


def _reasons(one: Merged | Judgement) -> Iterator[str]:
    yield from wrapped(one.statement, "    ")
    if one.unknown:
        yield from wrapped(say("UNKNOWN: {what}", what=one.unknown), "    ")
    if one.remedy:
        yield from wrapped(say("What would change it: {remedy}", remedy=one.remedy), "    ")
    if one.rule:
        yield from wrapped(say("Rule: {rule}", rule=one.rule), "    ")
    if one.unchecked:
        yield from wrapped(say("Nobody has checked: {what}", what="; ".join(one.unchecked)), "    ")


def _block(report: Report, block: Block) -> Iterator[str]:
    yield from heading(block.title)
    if isinstance(block, Lines):
        for line in block.lines:
            yield from wrapped(line, "  - ", "    ")
    elif isinstance(block, Grid):
        yield from grid(block)
    else:
        yield from _chart(report, block)


def grid(block: Grid) -> Iterator[str]:
    """A table as aligned columns, wide cells wrapped; one record a paragraph where even that does not fit."""
    rows = [tuple(text_safe(cell) for cell in row) for row in (block.columns, *block.rows)]
    columns = list(zip(*rows, strict=True))
    widths = [max(map(len, column)) for column in columns]
    least = [max((len(word) for cell in column for word in cell.split()), default=1) for column in columns]
    room = WIDTH - 2 * len(widths)
    if sum(least) <= room:
        while sum(widths) > room:
            spare = [width - floor for width, floor in zip(widths, least, strict=True)]
            widths[spare.index(max(spare))] -= 1
        for row in rows:
            cells = [textwrap.wrap(cell, width) or [""] for cell, width in zip(row, widths, strict=True)]
            for line in zip_longest(*cells, fillvalue=""):
                yield "  " + "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True))
        return
    for row in rows[1:]:
        for label, cell in zip(rows[0], row, strict=True):
            yield from wrapped(cell, say("  {label}: ", label=label[:40]))
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
        yield from wrapped(sentence, "  - ", "    ")
    for name, level in block.levels:
        yield from wrapped(
            say("{name}: {level} {unit}", name=name, level=units.significant(level), unit=block.unit), "  = ", "    "
        )
