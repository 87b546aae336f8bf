"""The page for the office in letters."""

from __future__ import annotations

from collections.abc import Iterator

from safety.model import Grid
from safety.render.office import Bar, Office
from safety.render.text import grid, heading, wrapped
from safety.words import say

_LIMIT, _END = 40, 50  # letters up to the limit, and to the end of a bar


def lines(office: Office) -> Iterator[str]:
    """What the first page of the PDF shows, nothing left out."""
    yield from wrapped(office.title)
    yield from wrapped("; ".join(say("{word}: {count}", word=word, count=count) for word, count in office.counts))
    yield from heading(say("How much"))
    yield from grid(Grid("", ("", *office.heads), office.amounts))
    yield from heading(say("Against each limit"))
    for bar in office.drawn:
        yield from wrapped(say("{state}: {name}", state=bar.state_word, name=bar.of.name), "  ")
        yield "    " + drawn(bar)
        yield from wrapped(bar.words, "    ")
    for text in filter(None, (*office.small, office.no_bars)):
        yield from wrapped(text, "  ")
    yield from heading(say("Must leave, or must not be used"))
    for one in office.leaving:
        text = say("{when}. {what}: {why}", when=one.words, what=one.of.what, why=one.of.why)
        yield from wrapped(text, "  # " if one.over else "  - ", "    ")
    if office.none_leaving:
        yield from wrapped(office.none_leaving, "  ")
    yield from heading(say("Not known, and who can settle it"))
    for point in office.open:
        text = say("{who}: {text}", who=point.who, text=point.text)
        text = say("{text} And {more} more like it.", text=text, more=point.more) if point.more else text
        yield from wrapped(text, "  - ", "    ")
    if office.none_open:
        yield from wrapped(office.none_open, "  ")


def drawn(bar: Bar) -> str:
    """ "[########//////......|.....]": so far, still planned, the limit."""
    so_far = min(_END, round(_LIMIT * max(bar.share, 0.0)))
    end = min(_END, round(_LIMIT * (max(bar.share, 0.0) + bar.ahead)))
    letters = "#" * so_far + "/" * (end - so_far) + "." * (_END - end)
    mark = "" if bar.of.whole and bar.of.ahead_whole else " ?"
    return f"[{letters[:_LIMIT]}|{letters[_LIMIT:]}]{mark}"
