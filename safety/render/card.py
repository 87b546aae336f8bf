"""The first page: what, where and when, the one line everybody reads, and a row for each step."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from textwrap import shorten
from typing import Any

from reportlab.lib.colors import black, white
from reportlab.platypus import Flowable, Spacer, Table

from safety.render import text_safe
from safety.render.arrange import Card, Sheet
from safety.render.layout import (
    BARE,
    BOLD,
    GREY,
    PALE,
    RULE,
    SMALL,
    TIME,
    Badge,
    Label,
    Signs,
    When,
    octagon,
    padding,
    para,
    pieces,
    terms,
    triangle,
)
from safety.render.signs import RED
from safety.words import say

_TOPIC = [*BARE, *padding(bottom=1.5)]
_TALLEST = 400.0  # what a cell may grow to before it is cut in two [pt]


def facts(page: Sheet, width: float) -> Flowable:
    """Label and value in two columns."""
    cells: list[list[list[Any]]] = []
    for label, value in page.facts:
        timed = label == say("Clock")
        words = [para(piece, 9.5, timed=timed) for piece in pieces(value)]
        cells.append([["" if i else Label(label, TIME if timed else 9.5), part] for i, part in enumerate(words)])
    rows: list[list[Any]] = []
    nothing: list[list[Any]] = []
    for left, right in zip_longest(cells[::2], cells[1::2], fillvalue=nothing):
        rows += [[*one, "", *other] for one, other in zip_longest(left, right, fillvalue=["", ""])]
    half, label_width = (width - 16) / 2, 62.0
    columns = [label_width, half - label_width, 16, label_width, half - label_width]
    return Table(rows, colWidths=columns, style=_TOPIC)


class _Result(Flowable):  # type: ignore[misc]
    """The one line everybody reads: shape, words, and a frame that shows in black and white."""

    def __init__(self, mark: str, words: str, width: float):
        super().__init__()
        self.mark, self.words, self.width, self.height = mark, words, width, 33.0

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        c, stop = self.canv, self.mark == "STOP"
        c.setStrokeColor(black)
        c.setFillColor(RED if stop else white)
        c.setLineWidth(1.4)
        c.rect(0.7, 0.7, self.width - 1.4, self.height - 1.4, stroke=0 if stop else 1, fill=1)
        c.setFillColor(white if stop else black)
        c.setLineJoin(1)
        x = 12.0
        if stop:
            octagon(c, x, 6.5, 20)
            x += 32
        elif self.mark == "Control":
            c.setLineWidth(2.2)
            triangle(c, x, 8, 19)
            x += 32
        c.setFont(BOLD, 20)
        c.drawString(x, 9.5, self.words)


def result(page: Sheet, width: float) -> list[Flowable]:
    """The result, and in a black box what is not known."""
    parts: list[Flowable] = [_Result(*page.result, width)]
    if page.missing:
        rows: list[list[Flowable]] = [
            [para(say("INCOMPLETE"), 15, bold=True, color=white)],
            [para(say("This is not known or was not assessed:"), 9.5, color=white)],
        ]
        shown, more = brief_reasons(page)
        rows += [[para(reason, 9.5, color=white, lead="-")] for reason in shown]
        if more:
            rows.append([para(say("All {count} are listed in full after the steps.", count=more), 9.5, color=white)])
        box = [
            ("BACKGROUND", (0, 0), (-1, -1), black),
            *padding(left=12, right=12, top=1, bottom=1.5),
            *padding(0, 0, top=5),
            *padding(-1, -1, bottom=7),
        ]
        parts += [Spacer(0, 5), Table(rows, colWidths=[width], style=box)]
    return parts


def brief_reasons(page: Sheet) -> tuple[list[str], int]:
    """The first reasons, as many as leave room for the card, and the number of all where that is not every word."""
    shown = [shorten(text_safe(reason), 200, placeholder=" ...") for reason in page.missing[:6]]
    whole = len(shown) == len(page.missing) and not any(text.endswith(" ...") for text in shown)
    return shown, 0 if whole else len(page.missing)


def stops(page: Sheet, width: float) -> Flowable:
    """What has to change before the start, a few lines each."""
    rows: list[list[Any]] = []
    style: list[Any] = [*BARE]
    for one in page.stops:
        where = para(shorten(text_safe(one.where), 150, placeholder=" ..."), SMALL, color=GREY)
        words = [where, *(para(piece, 10.5, bold=True, after=1) for piece in pieces(one.short))]
        words.append(para(_brief(one.statement), 9.5))
        if one.unknown:
            words.append(para(_brief(one.unknown), 9.5, lead=say("UNKNOWN:")))
        if one.remedy:
            words.append(para(_brief(one.remedy), 9.5, lead=say("What would change it:")))
        for i, cell in enumerate(_cut(words, width - 118)):
            at = len(rows)
            rows.append(["" if i else Badge(one.mark), "" if i else Label(one.topic), cell])
            style += [*padding(at, at, top=0 if i else 4, bottom=5)]
            if not i:
                style.append(("LINEABOVE", (0, at), (-1, at), 0.5, RULE))
    return Table(rows, colWidths=[64.0, 54.0, width - 118], style=style)


def _brief(text: str) -> str:
    return shorten(text_safe(text), 330, placeholder=say(" ... (in full after the steps)"))


def steps(page: Sheet, width: float) -> Flowable:
    """The work card: clock and step on the left, what to wear and do in the middle, hazard signs on the right."""
    left, gap, right = 134.0, 8.0, 74.0
    middle = width - left - right - 2 * gap
    clock, wear = para(say("Clock (box: real start)"), SMALL, bold=True), para(say("Wear and do"), SMALL, bold=True)
    hazards = para(say("Hazard signs"), SMALL, bold=True, centred=True)
    rows: list[list[Any]] = [[clock, "", wear, "", hazards]]
    style: list[Any] = [*BARE, *padding(0, 0, bottom=3), ("LINEBELOW", (0, 0), (-1, 0), 1.2, black)]
    for card in (*([page.whole] if page.whole else []), *page.cards):
        topics: list[Flowable] = [
            Table([row], colWidths=[46.0, 60.0, middle - 106], style=_TOPIC) for row in _boxes(card)
        ]
        topics += _quiet(card)
        cells = (_cut(_left(card, left), left), _cut(topics, middle), _cut(_signs(card, right), right))
        for i, (when, words, drawn) in enumerate(zip_longest(*cells, fillvalue="")):
            at = len(rows)
            rows.append([when or para(say("Continued"), SMALL, color=GREY), "", words, "", drawn])
            style += padding(at, at, top=0 if i else 5, bottom=5)
            if i == 0 and at > 1:
                style.append(("LINEABOVE", (0, at), (-1, at), 0.5, RULE))
        for window in card.windows:
            for piece in pieces(str(window)):
                at = len(rows)
                rows.append([para(piece, 10, timed=True), "", "", "", ""])
                style += [
                    ("SPAN", (0, at), (-1, at)),
                    ("BACKGROUND", (0, at), (-1, at), PALE),
                    ("LINEBEFORE", (0, at), (0, at), 3, black),
                    *padding(at, at, left=10, top=4, bottom=6),
                ]
                if len(piece) < 400:
                    style.append(("NOSPLIT", (0, at - 1), (-1, at)))
    style.append(("LINEBELOW", (0, -1), (-1, -1), 1.2, black))
    return Table(rows, colWidths=[left, gap, middle, gap, right], repeatRows=1, style=style)


def _cut(flowables: Sequence[Any], width: float) -> list[list[Any]]:
    """Stack the contents of a cell, and begin a new cell where it would grow too tall for a page."""
    cells: list[list[Any]] = [[]]
    used = 0.0
    for flowable in flowables:
        height = flowable.wrap(width, 1e6)[1]
        if cells[-1] and used + height > _TALLEST:
            cells.append([])
            used = 0.0
        cells[-1].append(flowable)
        used += height
    return cells


def _left(card: Card, width: float) -> list[Flowable]:
    name = say("{number}. {name}", number=card.number, name=card.name) if card.number else card.name
    cell: list[Flowable] = [When(card.when, width)] if card.number else []
    cell += [para(piece, 10.5, bold=True, after=1.5) for piece in pieces(name)]
    for text in filter(None, (card.where, *card.products)):
        cell += [para(piece, SMALL, color=GREY, after=1) for piece in pieces(text)]
    return [*cell, *(para(text, 9, timed=True) for text in card.waits)]


def _signs(card: Card, width: float) -> list[Flowable]:
    cell: list[Flowable] = [Signs(card.signs, width)] if card.signs else []
    for name in card.unclassified:
        cell.append(Badge("UNKNOWN"))
        cell += [para(piece, SMALL) for piece in pieces(say("hazards of {product}", product=name))]
    return cell


def _boxes(card: Card) -> list[list[Any]]:
    """Rows of topic, level and words."""
    rows: list[list[Any]] = []
    for box in card.boxes:
        if box.quiet:
            continue
        size = 10.0 if box.big else 9.5
        for i, entry in enumerate(box.entries):
            for j, piece in enumerate(pieces(entry.text)):
                topic = "" if i or j else Label(box.title, size)
                badge = "" if j or not entry.mark else Badge(entry.mark, size)
                bold = box.big and entry.mark in ("STOP", "Control")
                words = para(piece, size, bold=bold, timed=True) if piece else ""
                rows.append([topic, badge, words])
    return rows


def _quiet(card: Card) -> list[Flowable]:
    """The topics that ask for nothing, in one paragraph, so that what has to be done stands out."""
    quiet = [(box.title, ", ".join(entry.text for entry in box.entries)) for box in card.boxes if box.quiet]
    if sum(len(words) for _, words in quiet) > 800:
        return [
            para(piece, 9, lead="" if i else title) for title, words in quiet for i, piece in enumerate(pieces(words))
        ]
    return [terms(quiet, 9)] if quiet else []
