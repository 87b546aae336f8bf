"""The technician's sheet on paper: two sides for up to ten steps, and as many such sheets as there are steps for.

Nothing is set smaller where paper is short. What matters least is left to the annex, and how much that is, is said;
a stop, a mask, a glove and a window stay.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from reportlab.lib.colors import black, white
from reportlab.platypus import Flowable, PageBreak, Spacer, Table

from safety.model import Report
from safety.render import fixed, mandatory_signs, qr
from safety.render.arrange import Sheet
from safety.render.back import back
from safety.render.layout import BOLD, FONT, GREY, PALE, RULE, TIME, Verdict, padding, para, shortened
from safety.render.merging import UNCHECKED, Mark, Merged, numbered
from safety.render.pages import AROUND, Section
from safety.render.side import BODY, Columns, Run, Side, Worn, brief, flagged
from safety.render.sides import FACTS, LEFT, USES, Item, Row
from safety.render.step_rows import Line
from safety.words import joined, say, term

MARGIN = 20.0
#: Steps on one sheet at most.
MOST = 10
_FEW = 6  # reasons why a sheet is not complete that stand on its front
_BOX = (29.5, 29.0)  # a box to write in: 10 mm at least each way [pt]
_CODE = 40.0  # the code of a step: 14 mm with the white around it [pt]
_EDGE = 4.0  # how much of that white lies in the margin [pt]
_CLOCK, _GAP, _BOXES = 60.0, 2.0, 3 * _BOX[0] + 1
#: Down to what everything is shown: what is left out first stands first.
DEPTHS = (FACTS, 17, 14, 12, LEFT, 7, 6, 5, 4, 3, USES, 1, 0)


class Level(NamedTuple):
    """How a front is set."""

    depth: int  # down to what is shown
    large: float  # the type of what is worn [pt]
    letters: int  # of the name of a step
    on: bool  # whether words begin in what is left of a line, and go on in the next
    one: bool = False  # whether what is worn begins so behind the products and times of its step


#: Tried in their order until there is room. What is worn stays at the beginning of a line as long as it can, and large
#: until nothing else is left to give; what it then is set in is never less than ten points.
LEVELS = (
    tuple(Level(depth, TIME, 90, on=False) for depth in DEPTHS if depth >= 5),
    tuple(Level(depth, TIME, 90, on=True) for depth in DEPTHS if depth >= USES),
    (
        *(Level(depth, TIME, 90, on=True, one=True) for depth in DEPTHS if depth >= USES),
        *(Level(depth, TIME, 54, on=True, one=True) for depth in DEPTHS if depth <= USES),
    ),
    tuple(Level(depth, BODY, 54, on=True, one=True) for depth in DEPTHS if depth <= USES),
)


def section(report: Report, page: Sheet, size: tuple[float, float]) -> Section:
    """The sides of one job, each sheet whole in itself."""
    width, height = size[0] - 2 * MARGIN, size[1] - AROUND
    fronts = _fronts(page, width, height, report.job.shop.pages)
    turned = back(page, width, height)
    story: list[Flowable] = []
    heads: list[str] = []
    # in the head, where no lack of room takes it away: whether anybody of the trade has read this language
    read = say("{label}: {value}", label=_read_by(), value=fixed.translation()) if fixed.translation() else ""
    for number, front in enumerate(fronts, 1):
        story += [PageBreak()] if story else []
        story += [front.side(), PageBreak(), turned]
        which = say("Sheet {number} of {all}", number=number, all=len(fronts)) if len(fronts) > 1 else ""
        first, second = say("Side 1"), say("Side 2")
        heads += [joined((which, first, read, page.shop), ". "), joined((which, second, page.title, page.shop), ". ")]
    return Section(
        title=page.title,
        heads=tuple(heads),
        story=story,
        complete=page.complete,
        small_print=page.small_print,
        notice=page.notice,
        margin=MARGIN,
        small=BODY,
    )


def _read_by() -> str:
    return say("Translation")


def _fronts(page: Sheet, width: float, height: float, pages: str) -> list[_Front]:
    """As few fronts as hold all steps, at most ten on each and about as many on all."""
    steps = [_Step(row, width, page.result[0] != "STOP", pages) for row in page.sides.rows]
    for sheets in range(-(-len(steps) // MOST), len(steps) + 1):
        each = -(-len(steps) // sheets)
        parts = [steps[at : at + each] for at in range(0, len(steps), each)]
        fronts = [_Front(page, part, width, height, last=part is parts[-1]) for part in parts]
        if each == 1 or all(front.fits for front in fronts):
            break
    return fronts


class _Front:
    """The front of one sheet, with as much as there is room for."""

    def __init__(self, page: Sheet, steps: Sequence[_Step], width: float, height: float, last: bool):
        self.page, self.steps, self.width, self.height, self.last = page, steps, width, height, last
        self._set: dict[int, tuple[list[Flowable], list[Flowable]]] = {}
        self.whole = [(item, _item(item, width)) for item in page.sides.whole]
        numbers = {step.row.number for step in steps}
        stops = [one for one in page.stops if not one.steps or numbers & set(one.steps)]
        for dense in (False, True):
            self._set.clear()
            self.top = [*_missing(page, width), *_stops(stops, width, dense)]
            self.level = self._first()
            if self.fits:
                break

    @property
    def fits(self) -> bool:
        return self._needs(self.level) <= self.height

    def _first(self) -> Level:
        """The first level that fits; of those in a row each needs less than the one before it."""
        levels = next((some for some in LEVELS if self._needs(some[-1]) <= self.height), LEVELS[-1])
        return levels[bisect_left(levels[:-1], True, key=lambda level: self._needs(level) <= self.height)]

    def side(self) -> Side:
        return Side(list(self._parts(self.level)), self.width, self.height)

    def _needs(self, level: Level) -> float:
        return sum(Side(list(self._parts(level)), self.width, self.height).heights)

    def _parts(self, level: Level) -> Iterator[Flowable]:
        if level.depth not in self._set:
            self._set[level.depth] = list(self._head(level.depth)), list(self._foot(level.depth))
        head, foot = self._set[level.depth]
        for step in self.steps:
            step.level = level
        yield from (*head, *self.steps, *foot)

    def _head(self, depth: int) -> Iterator[Flowable]:
        page, width = self.page, self.width
        yield para(shortened(page.title, BOLD, 15, width), 15, bold=True, after=2)
        facts = page.facts[:5] if depth < FACTS else [fact for fact in page.facts if fact[0] != _read_by()]
        told = joined((say("{label} {value}", label=label, value=brief(value, 60)) for label, value in facts), ", ")
        yield para(brief(told, 220), BODY, after=3)
        yield Verdict(*page.result, width, size=15.0)
        yield from self.top
        yield Spacer(0, 3)
        yield from (part for item, part in self.whole if item.rank <= depth)
        yield _Heads(width, boxes=page.result[0] != "STOP")

    def _foot(self, depth: int) -> Iterator[Flowable]:
        sides, width = self.page.sides, self.width
        rows = [step.row for step in self.steps]
        yield Spacer(0, 3)
        begins = self.page.result[0] != "STOP"
        if self.last and begins:
            yield from (_item(item, width) for item in sides.after)
        if told := joined((*_said_once(rows), sides.late if begins else "")):
            yield para(told, BODY, after=2)
        items = [*sides.whole, *(item for row in rows for item in row.rest)]
        left = sides.aside + sum(item.rank > depth and bool(item.mark) for item in items)
        more = say("{count} more controls: see the annex, part 1.", count=left) if left else ""
        doubt = say("{sign} rests on a value that nobody has checked: annex, part 4.", sign=UNCHECKED)
        used = depth < USES and any(row.uses for row in rows)
        products = say("Products and amounts: annex, part 1.") if used else ""
        if ends := joined((more, products, doubt if self.page.unchecked else "")):
            yield para(ends, BODY, bold=bool(more or products))


def _said_once(rows: Sequence[Row]) -> list[str]:
    """What is added, in step after step, to the words that nothing has to be worn."""
    plain = [[one.text for one in line.said if not one.mark] for row in rows for line in row.worn]
    more = (say("{first}: {more}.", first=one[0], more=joined(one[1:], ". ")) for one in plain if one[1:])
    return [brief(text) for text in dict.fromkeys(more)][:2]


def _missing(page: Sheet, width: float) -> Iterator[Flowable]:
    """What is not known, in a black box; of many the first, and the number of all."""
    if not page.missing:
        return
    rows = [[para(say("INCOMPLETE - not known or not assessed:"), 11, bold=True, color=white)]]
    rows += [[para(brief(reason), BODY, color=white, lead="-")] for reason in page.missing[:_FEW]]
    if len(page.missing) > _FEW:
        rows.append([para(say("All {count} are in the annex, part 1.", count=len(page.missing)), BODY, color=white)])
    box = [("BACKGROUND", (0, 0), (-1, -1), black), *padding(left=8, right=8, top=0, bottom=1)]
    yield Table(rows, colWidths=[width], style=[*box, *padding(-1, -1, bottom=4)])


def _stops(stops: Sequence[Merged], width: float, dense: bool) -> Iterator[Flowable]:
    """Each stop with its steps: why, and what would change it, is in the annex.

    ``dense``: those of the same steps behind each other.
    """
    if not stops:
        return
    yield Spacer(0, 3)
    held: dict[tuple[int, ...], list[str]] = {}
    for number, one in enumerate(stops):
        held.setdefault(one.steps if dense else (*one.steps, -number - 1), []).append(brief(one.short))
    flags = []
    for steps, texts in held.items():
        where, words = numbered([step for step in steps if step > 0]), joined(texts, "; ")
        text = say("{where}: {what}", where=where, what=words) if max(steps, default=0) > 0 else words
        flags.append(para(text, BODY, bold=True, timed=True))
    if dense:
        yield from (Run([flagged("STOP", words, said=False)], width) for words in flags)
    else:
        yield Columns([Run([flagged("STOP", words, said=False)], width / 2 - 4) for words in flags], width, 8)
    yield para(say("Why, and what would change it: annex, part 1."), BODY, after=2)


def _item(item: Item, width: float) -> Flowable:
    if item.mark in ("", "Control"):
        return para(brief(item.text), BODY, lead=say("{topic}:", topic=item.topic), timed=True, after=1)
    words = say("{topic}: {text}", topic=item.topic, text=item.text) if item.text else item.topic
    return Run([flagged(item.mark, para(brief(words), BODY, timed=True))], width)


# ---------------------------------------------------------------- the steps


def _boxes(width: float) -> float:
    """Where the boxes begin: the codes stand at the edge, where no pen comes over them."""
    return width + _EDGE - _CODE - _BOXES


class _Step(Flowable):  # type: ignore[misc]
    """One step: the clock; what is done, worn and looked after; boxes to write in, its code, and what comes next.

    Nothing is written down or looked up, and nothing counts from a real start, where the job may not begin.
    """

    def __init__(self, row: Row, width: float, begins: bool, pages: str):
        super().__init__()
        self.row, self.width, self.begins, self.pages = row, width, begins, pages
        self.middle = (_boxes(width) if begins else width) - _CLOCK - 2 * _GAP
        clock = [para(row.begin, TIME + 1, bold=True), para(row.after, BODY)]
        self.clock = Side([*clock, para(row.takes, BODY)] if begins else clock, _CLOCK, 0)
        waits = para(brief(joined(row.waits, ". "), 300), BODY, timed=True)
        self.waits: list[tuple[Sequence[Flowable], Any]] = [([], waits)] if row.waits and begins else []
        self.rest = [(item, _item(item, self.middle)) for item in row.rest]
        self.windows = [para(brief(text, 320), BODY, timed=True, bold=True) for text in row.windows if begins]
        self.under = [one.wrap(width - 8, 1e6)[1] + 3 for one in self.windows]
        self.level = LEVELS[0][0]
        self._cells: dict[object, Side] = {}

    @property
    def cell(self) -> Side:
        """The middle, at the level that is set."""
        depth, large, letters, on, one = self.level
        rest = [part for item, part in self.rest if item.rank <= depth]
        # many levels differ in what other steps show
        shown = (depth >= USES, depth >= LEFT, len(rest), *self.level[1:])
        if shown not in self._cells:
            named = [*_named(self.row, depth, letters), *self.waits]
            worn = list(_worn(self.row, large))
            # a job that may not begin is looked at before it is worked by
            runs = [named, worn] if self.begins and not one else [[*named, *worn]]
            self._cells[shown] = Side([*(Run(some, self.middle, on) for some in runs), *rest], self.middle, 0)
        return self._cells[shown]

    @property
    def high(self) -> float:
        """Of the row without the windows under it."""
        high = max(sum(self.clock.heights), sum(self.cell.heights)) + 4.5
        return max(high, _CODE + 2.5) if self.begins else high

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.high + sum(self.under)

    def draw(self) -> None:
        c, top = self.canv, self.high + sum(self.under)
        for part, x in ((self.clock, 0.0), (self.cell, _CLOCK + _GAP)):
            part.height = sum(part.heights)
            part.drawOn(c, x, top - 1.5 - part.height)
        c.setStrokeColor(GREY)
        c.setLineWidth(0.8)
        for at in range(3 if self.begins else 0):
            c.rect(_boxes(self.width) + at * _BOX[0], top - 2.5 - _BOX[1], _BOX[0] - 1, _BOX[1], stroke=1, fill=0)
        if self.begins:
            qr.square(c, self.row.code.content(self.pages), self.width + _EDGE - _CODE, top - 1.5 - _CODE, _CODE)
        y = top - self.high
        for words, high in zip(self.windows, self.under, strict=True):
            c.setFillColor(PALE)
            c.rect(0, y - high, self.width, high, stroke=0, fill=1)
            c.setFillColor(black)
            c.rect(0, y - high, 3, high, stroke=0, fill=1)
            words.drawOn(c, 8, y - high + 2)
            y -= high
        c.setStrokeColor(RULE)
        c.setLineWidth(0.6)
        c.line(0, y, self.width, y)


def _named(row: Row, depth: int, letters: int) -> Iterator[tuple[Sequence[Flowable], Any]]:
    """The number and name of a step, and what it uses."""
    yield (
        [],
        para(brief(say("{number}. {name}", number=row.number, name=row.name), letters), 11, bold=True),
    )
    for text in (row.where, *(row.uses if depth >= USES else ()), *(row.left if depth >= LEFT else ())):
        if text:
            yield [], para(brief(text, 110), BODY)


def _worn(row: Row, large: float) -> Iterator[tuple[Sequence[Flowable], Any]]:
    """What is worn; the stops of all else point to where they are said."""
    stopped = [*row.stopped, *(term(line.name) for line in row.worn if any(one.mark == "STOP" for one in line.said))]
    if stopped:
        words = say("{topics}: see above", topics=joined(stopped, ", "))
        yield flagged("STOP", para(words, BODY, bold=True))
    masks = {one.item for line in row.worn if line.topic == "breathing" for one in line.said} - {""}
    covered = [line for line in row.worn if line.topic == "eyes" and {one.item for one in line.said} <= masks]
    for line in row.worn:
        if line not in covered:
            yield from _wear(line, bool(covered) and line.topic == "breathing", large)


def _wear(line: Line, eyes: bool, large: float) -> Iterator[tuple[Sequence[Flowable], Any]]:
    """What is worn: its sign and its name; what is not known, and a stop, by their words and shapes.

    ``eyes``: the mask is what covers the eyes as well. ``large``: the type of what is read at arm's length.
    """
    held: dict[Mark, list[str]] = {}
    for one in line.said:
        held.setdefault(one.mark, []).append(one.text)
    sign = UNCHECKED if line.unchecked else ""
    held.pop("STOP", None)  # said above the steps
    for mark, (text, *others) in held.items():
        first, tail = brief(text, 240), joined((joined(map(brief, others), ". "), sign))
        if mark == "Control" and line.topic in mandatory_signs.SIGNS:
            words = para(first, large if line.large else BODY, bold=True, timed=True, tail=tail, small=BODY)
            yield [Worn(topic) for topic in ((line.topic, "eyes") if eyes else (line.topic,))], words
        elif mark in ("", "Control"):
            # what a note adds stands once, under the steps
            said = joined((first, *(others if mark else ())), ". ")
            yield [], para(brief(said), BODY, lead=say("{topic}:", topic=term(line.name)), timed=True, tail=sign)
        else:
            words = say("{topic}: {text}", topic=term(line.name), text=first) if first else term(line.name)
            yield flagged(mark, para(words, BODY, bold=True, timed=True, tail=tail, small=BODY))


class _Heads(Flowable):  # type: ignore[misc]
    """The heads of the columns, those of the boxes each over its own."""

    def __init__(self, width: float, boxes: bool):
        super().__init__()
        self.width, self.height, self.boxes = width, 16.0, boxes

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        c = self.canv
        c.setFillColor(black)
        c.setFont(BOLD, BODY)
        boxes = _boxes(self.width)
        c.drawString(0, 4, shortened(say("Clock"), BOLD, BODY, _CLOCK))
        c.drawString(_CLOCK + _GAP, 4, shortened(say("Step, gloves, mask, eyes"), BOLD, BODY, boxes - _CLOCK))
        c.setFont(FONT, BODY)
        for at, word in enumerate((say("Began"), say("Amt."), say("Lot")) if self.boxes else ()):
            c.drawCentredString(boxes + (at + 0.5) * _BOX[0], 4, shortened(word, FONT, BODY, _BOX[0] + 6))
        c.setStrokeColor(black)
        c.setLineWidth(1.2)
        c.line(0, 0.6, self.width, 0.6)
