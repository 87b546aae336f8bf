"""The first page: what, where and when, the line everybody reads, the whole job at once, and a row for each step."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import zip_longest
from textwrap import shorten
from typing import Any

from reportlab.lib.colors import black, white
from reportlab.platypus import Flowable, Spacer, Table

from safety.render import text_safe
from safety.render.arrange import Sheet
from safety.render.layout import (
    BARE,
    GREY,
    PALE,
    RULE,
    SMALL,
    Badge,
    Label,
    SignRow,
    Verdict,
    When,
    badge_room,
    padding,
    para,
    pieces,
    terms,
)
from safety.render.merging import Mark, Merged, numbered, titled
from safety.render.step_rows import Card, Line, by_mark
from safety.words import say

_TALLEST = 400.0  # what a cell may grow to before it is cut in two [pt]


def facts(page: Sheet) -> Flowable:
    """What, where and when, run on in a few lines."""
    return terms(list(page.facts), 9.5, timed=True)


def result(page: Sheet, width: float) -> list[Flowable]:
    """The result, and in a black box what is not known."""
    return verdict(page.result, *brief_reasons(page), width)


def verdict(result: tuple[Mark, str], reasons: Sequence[str], all_of_them: int, width: float) -> list[Flowable]:
    """The line everybody reads over a black box of reasons; where there are more, their number."""
    parts: list[Flowable] = [Verdict(*result, width)]
    if reasons:
        rows: list[list[Flowable]] = [
            [para(say("INCOMPLETE - this is not known or was not assessed:"), 11, bold=True, color=white)],
        ]
        rows += [[para(reason, 9, color=white, lead="-")] for reason in reasons]
        if all_of_them:
            words = say("All {count} are listed in full after the steps.", count=all_of_them)
            rows.append([para(words, 9.5, color=white)])
        box = [
            ("BACKGROUND", (0, 0), (-1, -1), black),
            *padding(left=12, right=12, top=0, bottom=1),
            *padding(0, 0, top=2),
            *padding(-1, -1, bottom=5),
        ]
        parts += [Spacer(0, 3), Table(rows, colWidths=[width], style=box)]
    return parts


def brief_reasons(page: Sheet) -> tuple[list[str], int]:
    """The first reasons, as many as leave room for the card, and the number of all where that is not every word."""
    shown = [shorten(text_safe(reason), 200, placeholder=" ...") for reason in page.missing[:6]]
    whole = len(shown) == len(page.missing) and not any(text.endswith(" ...") for text in shown)
    return shown, 0 if whole else len(page.missing)


def stops(page: Sheet, width: float) -> Flowable:
    """What has to change before the start, a few lines each; why is said in full after the steps."""
    rows: list[list[Any]] = []
    style: list[Any] = [*BARE]
    for one in page.stops:
        steps = numbered(one.steps)
        words: list[Flowable] = [para(piece, 10, bold=True, timed=True) for piece in pieces(one.short)]
        if one.unknown:
            words.append(para(_brief(one.unknown), 9, lead=say("UNKNOWN:")))
        words.append(para(_brief(one.remedy or one.statement), 9))
        for i, cell in enumerate(cut(words, width - 168)):
            at = len(rows)
            rows.append(["" if i else Badge(one.mark), *(["", ""] if i else [_topic(one), para(steps, SMALL)]), cell])
            style += padding(at, at, top=0 if i else 2, bottom=3)
            if not i:
                style.append(("LINEABOVE", (0, at), (-1, at), 0.4, RULE))
    return Table(rows, colWidths=[44.0, 54.0, 70.0, width - 168], style=style)


def _topic(one: Merged) -> Flowable:
    return Label(titled(one.title, bool(one.unchecked)), 10)


def _brief(text: str) -> str:
    return shorten(text_safe(text), 250, placeholder=str(say(" ... (in full after the steps)")))


def band(page: Sheet, width: float) -> list[Flowable]:
    """What holds for the whole job: what to do, and the hazard signs with the products that carry them."""
    rows: list[list[Any]] = []
    for line in page.band.lines:
        for i, (mark, said) in enumerate(by_mark(line)):
            for j, piece in enumerate(pieces(said)):
                badge = Badge(mark, 9.5) if mark and not j else ""
                rows.append(["" if i or j else Label(line.title), badge, para(piece, 9.5, timed=True)])
    parts: list[Flowable] = []
    if rows:
        title = para(say("For the whole job"), 11, bold=True, after=2)
        widths = [labels := 48.0, marks := badge_room(), width - labels - marks]
        parts += [title, Table(rows, colWidths=widths, style=[*BARE, *padding(bottom=1)])]
    cells = [_signed(codes, names, width / 2 - 4) for codes, names in page.band.signs]
    unknown = [say("hazards of {product}", product=name) for name in page.band.unclassified]
    unknown += [say("signs of {product}", product=name) for name in page.band.unsigned]
    cells += [[Badge("UNKNOWN"), *(para(piece, SMALL) for piece in pieces(text))] for text in unknown]
    if cells:
        pairs = [[left, right] for left, right in zip_longest(cells[::2], cells[1::2], fillvalue="")]
        parts += [Spacer(0, 4), Table(pairs, colWidths=[width / 2] * 2, style=[*BARE, *padding(right=4, bottom=3)])]
    return [*parts, Spacer(0, 5)] if parts else []


def _signed(codes: tuple[str, ...], names: tuple[str, ...], width: float) -> list[Flowable]:
    words = pieces(", ".join(names))
    return [*(para(piece, SMALL, color=GREY, after=1) for piece in words), SignRow(codes, width)]


def steps(page: Sheet, width: float) -> Flowable:
    """The work card: clock and mark, the step, what to wear in large type, what else to do."""
    first, second, gap = 96.0, 146.0, 7.0
    third = (width - first - second - 3 * gap) * 0.55
    fourth = width - first - second - third - 3 * gap
    heads = (say("Clock, real start"), say("Step"), say("Hands and breathing"), say("Wear and do too"))
    clock, step, wear, do = (para(text, SMALL, bold=True) for text in heads)
    rows: list[list[Any]] = [[clock, "", step, "", wear, "", do]]
    style: list[Any] = [*BARE, *padding(0, 0, bottom=2), ("LINEBELOW", (0, 0), (-1, 0), 1.2, black)]
    for card in page.cards:
        cells = (
            cut([When(card.when, first, card.states, card.wear)], first),
            cut(_step(card), second),
            cut(_said(line for line in card.lines if line.large), third),
            cut(_rest(card), fourth),
        )
        for i, (when, what, worn, do_too) in enumerate(zip_longest(*cells, fillvalue="")):
            at = len(rows)
            rows.append([when or para(say("Continued"), SMALL, color=GREY), "", what, "", worn, "", do_too])
            style += padding(at, at, top=0 if i else 3, bottom=3)
            if i == 0 and at > 1:
                style.append(("LINEABOVE", (0, at), (-1, at), 0.5, RULE))
        for window in card.windows:
            for piece in pieces(str(window)):
                at = len(rows)
                rows.append([para(piece, 10, timed=True), *[""] * 6])
                style += [
                    ("SPAN", (0, at), (-1, at)),
                    ("BACKGROUND", (0, at), (-1, at), PALE),
                    ("LINEBEFORE", (0, at), (0, at), 3, black),
                    *padding(at, at, left=10, top=2, bottom=4),
                ]
                if len(piece) < 400:
                    style.append(("NOSPLIT", (0, at - 1), (-1, at)))
    style.append(("LINEBELOW", (0, -1), (-1, -1), 1.2, black))
    return Table(rows, colWidths=[first, gap, second, gap, third, gap, fourth], repeatRows=1, style=style)


def cut(flowables: Sequence[Any], width: float) -> list[list[Any]]:
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


def _step(card: Card) -> list[Flowable]:
    name = say("{number}. {name}", number=card.number, name=card.name)
    cell: list[Flowable] = [para(piece, 10.5, bold=True, after=1) for piece in pieces(name)]
    for text in filter(None, (card.where, *card.products)):
        cell += [para(piece, SMALL, color=GREY) for piece in pieces(text)]
    return [*cell, *(para(text, 9, timed=True) for text in card.waits)]


def _said(lines: Iterable[Line]) -> list[Flowable]:
    """Topic by topic; a stop or an unknown stands out with its word and shape, what asks for nothing is set plain."""
    cell: list[Flowable] = []
    for line in lines:
        for i, (mark, said) in enumerate(by_mark(line)):
            if mark not in ("", "Control"):
                cell.append(Badge(mark))
            size, bold = (10.0, mark in ("STOP", "Control")) if line.large else (9.0, False)
            for j, piece in enumerate(pieces(said)):
                cell.append(terms([("" if i or j else line.title, piece)], size, timed=True, bold=bold))
    return cell


def _rest(card: Card) -> list[Flowable]:
    cell: list[Flowable] = []
    if card.stopped:
        stopped = say("{topics}: see the top", topics=", ".join(card.stopped))
        cell += [Badge("STOP"), para(stopped, 9, bold=True)]
    return cell + _said(line for line in card.lines if not line.large)
