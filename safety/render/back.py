"""The back of a technician's sheet: whom to call, what to do in the first minute, who may be there, and who signs.

What is done in the first minute is never left out: lists that can be read before the work, or after it, give way.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.lib.colors import black, white
from reportlab.platypus import Flowable, Spacer, Table

from safety.render.arrange import Sheet
from safety.render.layout import BARE, BOLD, GREY, padding, para
from safety.render.side import BODY, Columns, Run, Side, brief, flagged
from safety.render.sides import Back, lights_title, nobody_judged
from safety.words import say

_GUTTER = 14.0
_MOST = 14  # things that can light vapour
_FEWEST = 2  # lines of a list that stay even where a plugin's own words are too many for any paper


def back(page: Sheet, width: float, height: float) -> Flowable:
    """The back with as much as there is room for: what is not done in the first minute goes to the annex first."""
    return _Back(page, width, height)


class _Back(Flowable):  # type: ignore[misc]
    """Two columns, and what goes across both of them under these."""

    def __init__(self, page: Sheet, width: float, height: float):
        super().__init__()
        self.width, self.height = width, height
        self.column = (width - _GUTTER) / 2
        own = page.sides.back
        self.foot = Side(list(_signing(page, width)), width, 1e6)
        self.head = Side(list(_before(own, width)), width, 1e6)
        room = height - sum(self.foot.heights) - sum(self.head.heights) - 6
        blocks = {block.key: _List(block.title, block.lines, *least) for block, *least in own.blocks}
        groups: list[list[Flowable] | _List] = [
            [*_phones(own, self.column), *_stations(own, self.column)],
            *(blocks[key] for key in ("first-aid", "spill") if key in blocks),
            _List(say("Who may stay"), _stay(own, self.column), 1, 5),
            *(blocks[key] for key in ("fire",) if key in blocks),
            list(_lights(own, self.column)),
            _List(say("Who does not do this work"), own.kept_out, 1, 5),
            *(blocks[key] for key in ("respirator-use",) if key in blocks),
            *([_List(say("Waste"), own.waste, 2, 2)] if own.waste else []),
        ]
        self.sides = _evened(groups, self.column, room)

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        top = self.height - sum(self.head.heights)
        for side, x in zip(self.sides, (0.0, self.column + _GUTTER), strict=True):
            side.height = sum(side.heights)
            side.drawOn(self.canv, x, top - side.height)
        for side, y in ((self.head, top), (self.foot, 0.0)):
            side.height = sum(side.heights)
            side.drawOn(self.canv, 0, y)


def _heading(text: str) -> Flowable:
    return para(text, 11.5, bold=True, after=1)


def _phones(own: Back, width: float) -> Iterator[Flowable]:
    """Large numbers, and a line to write on where none is known."""
    yield _heading(say("Telephone"))
    rows: list[list[Any]] = []
    style: list[Any] = [*BARE, *padding(bottom=3), ("VALIGN", (0, 0), (-1, -1), "BOTTOM")]
    for whom, number, name in own.phones:
        # one line each: numbers that are long, and who answers, go below it
        long = len(number) > 12
        number_cell: Any = para(brief(number, 60), 13, bold=True) if number else Spacer(0, 18)
        rows.append([para(whom, BODY), number_cell, "" if long else para(brief(name, 60), BODY)])
        if long:
            style.append(("SPAN", (1, len(rows) - 1), (2, len(rows) - 1)))
        if long and name:
            rows.append(["", para(brief(name, 60), BODY), ""])
            style.append(("SPAN", (1, len(rows) - 1), (2, len(rows) - 1)))
        if not number:
            style.append(("LINEBELOW", (1, len(rows) - 1), (2, len(rows) - 1), 0.8, black))
    yield Table(rows, colWidths=[74, 72, width - 146], style=style)
    yield Spacer(0, 4)


def _stations(own: Back, width: float) -> Iterator[Flowable]:
    for what, where in own.stations:
        lead = say("{what}:", what=brief(what, 60))
        yield para(brief(where, 90) or "_" * 30, BODY, lead=lead, after=2)
    yield Spacer(0, 3)


@dataclass(frozen=True)
class _List:
    """A heading, and lines with a dash each."""

    title: str
    lines: Sequence[Any]
    matters: int  # the higher, the sooner its last lines go to the annex
    least: int  # lines that stay

    def set(self, width: float, fewer: int) -> Iterator[Flowable]:
        """It without its last lines, where there is no room for them; that is said."""
        if not self.lines:
            return
        texts = [*self.lines[: len(self.lines) - fewer]]
        if fewer:
            texts.append(say("{count} more: see the annex, part 1 or 2.", count=fewer))
        yield _heading(self.title)
        cells = (text if isinstance(text, Flowable) else para(brief(text, 220), BODY, timed=True) for text in texts)
        rows = [[para("-", BODY), cell] for cell in cells]
        yield Table(rows, colWidths=[8, width - 8], style=[*BARE, *padding(bottom=1)])
        yield Spacer(0, 4)


def _stay(own: Back, width: float) -> list[Any]:
    return [
        Run([flagged(said.mark, para(brief(said.text, 120), BODY, timed=True))], width - 8)
        if said.mark in ("STOP", "UNKNOWN", "NOT ASSESSED")
        else said.text
        for said in own.stay
    ]


def _evened(groups: Sequence[list[Flowable] | _List], width: float, height: float) -> tuple[Side, Side]:
    """The groups in their order in two columns, parted where these are most alike.

    Until both fit, lists give up their last lines: what matters most gives up last, and what is done at once never.
    """
    cuts = [0 for _ in groups]
    sides = [Side(_set(group, width, 0), width, 0) for group in groups]
    while True:
        heights = [sum(side.heights) for side in sides]
        at = min(range(1, len(groups)), key=lambda i: max(sum(heights[:i]), sum(heights[i:])))
        shorter = None if max(sum(heights[:at]), sum(heights[at:])) <= height else _shorter(groups, cuts)
        if shorter is None:
            left, right = ([part for side in some for part in side.parts] for some in (sides[:at], sides[at:]))
            return Side(left, width, height), Side(right, width, height)
        cuts[shorter] += 1 if cuts[shorter] else 2  # the word that one line is left out takes a line itself
        sides[shorter] = Side(_set(groups[shorter], width, cuts[shorter]), width, 0)


def _shorter(groups: Sequence[list[Flowable] | _List], cuts: Sequence[int]) -> int | None:
    """Which list gives up its next line."""
    left = [(g, len(g.lines) - cuts[i], i) for i, g in enumerate(groups) if isinstance(g, _List)]
    more = [(g.matters, many, i) for g, many, i in left if many > g.least]
    more = more or [(g.matters, many, i) for g, many, i in left if many > _FEWEST]
    return max(more)[2] if more else None


def _set(group: list[Flowable] | _List, width: float, fewer: int) -> list[Flowable]:
    return list(group.set(width, fewer)) if isinstance(group, _List) else group


def _lights(own: Back, width: float) -> Iterator[Flowable]:
    """Each thing by name with its yes or no: a word in a full box, or in an open one."""
    yield _heading(lights_title())
    if own.until:
        yield para(own.until, BODY, timed=True, after=2)
    if not own.lights:
        yield para(nobody_judged(), BODY, bold=True, after=4)
        return
    # all that are named may not be used; of very many the list is in the annex
    shown = sorted(own.lights, key=lambda one: one[1])[:_MOST] if len(own.lights) > _MOST else own.lights
    cells = [[_Answer(allowed), para(brief(thing, 60), BODY)] for thing, allowed in shown]
    if len(shown) < len(own.lights):
        words = say("{count} more: see the annex, part 1", count=len(own.lights) - len(shown))
        cells.append([_Answer(False), para(words, BODY)])
    half = -(-len(cells) // 2)
    rows = [[*cells[at], *(cells[at + half] if at + half < len(cells) else ("", ""))] for at in range(half)]
    room = _Answer.WIDTH + 4
    yield Table(rows, colWidths=[room, width / 2 - room] * 2, style=[*BARE, *padding(bottom=2)])
    yield Spacer(0, 4)


class _Answer(Flowable):  # type: ignore[misc]
    """Whether a thing may be used: NO stands white in a black box, yes black in an open one."""

    WIDTH = 26.0

    def __init__(self, allowed: bool):
        super().__init__()
        self.allowed, self.width, self.height = allowed, self.WIDTH, 12.5

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        c = self.canv
        c.setStrokeColor(black)
        c.setFillColor(black)
        c.setLineWidth(0.8)
        c.rect(0.4, 0, self.width - 0.8, 12, stroke=1, fill=0 if self.allowed else 1)
        c.setFillColor(black if self.allowed else white)
        c.setFont(BOLD, BODY)
        c.drawCentredString(self.width / 2, 2.6, say("yes") if self.allowed else say("NO"))


def _before(own: Back, width: float) -> Iterator[Flowable]:
    """Boxes to tick, in two columns."""
    yield _heading(say("Before the start"))
    room = (width - _GUTTER) / 2 - 18
    ticks = [
        Table([[_Tick(), para(brief(text, 90), BODY)]], colWidths=[18, room], style=[*BARE, *padding(bottom=2)])
        for text in own.before
    ]
    yield Columns(ticks, width, _GUTTER)
    yield Spacer(0, 2)


class _Tick(Flowable):  # type: ignore[misc]
    """A box to tick."""

    def wrap(self, *_: float) -> tuple[float, float]:
        return 13.0, 13.0

    def draw(self) -> None:
        self.canv.setStrokeColor(black)
        self.canv.setLineWidth(1)
        self.canv.rect(0.5, 0, 12, 12, stroke=1, fill=0)


def _signing(page: Sheet, width: float) -> Iterator[Flowable]:
    """Empty boxes for the people who do the work, and what every sheet says of itself."""
    yield from to_sign(*page.read, width)
    yield para(" ".join(page.cautions.lines[1:4]), BODY)  # from which files it was computed, the annex says


def to_sign(sentence: str, fields: Sequence[str], width: float) -> Iterator[Flowable]:
    """A sentence, and under it boxes high enough to sign in."""
    yield para(brief(sentence, 320), BODY, after=1)
    yield Table(
        [[para(field, BODY, color=GREY) for field in fields]],
        colWidths=[width / len(fields)] * len(fields),
        rowHeights=[32],
        style=[*BARE, *padding(left=4, top=1), ("GRID", (0, 0), (-1, -1), 0.8, black)],
    )
    yield Spacer(0, 3)
