"""What a change does to each job of a shop: a table for the terminal, and CSV that is safe in a spreadsheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING

from safety.render.log_text import as_written, cells
from safety.words import joined, say, term

if TYPE_CHECKING:
    from safety.compare.impact import Touched, Verdict

_HEAD = ("job", "title", "step", "finding", "level before", "before", "level after", "after",
         "stops before", "stops after", "times a limit before", "times a limit after")  # fmt: skip


def text(found: Sequence[Touched], draws: int) -> str:
    """Each job that is touched with what changes in it; how many are not."""
    touched = [one for one in found if one.touched]
    lines = [summary(found)]
    for one in touched:
        lines += ["", say("{job}  {title}", job=one.job, title=one.title)]
        lines += [say("  {change}", change=change) for change in changes(one)]
    lines += ["", first_pass(draws)]
    return "\n".join(lines) + "\n"


def summary(found: Sequence[Touched]) -> str:
    return say("{count} of {all} jobs are touched.", count=sum(one.touched for one in found), all=len(found))


def first_pass(draws: int) -> str:
    return say("A first pass with {draws} draws. Print the sheet of a job before you decide on it.", draws=draws)


def title(as_of: date | None, rules: Sequence[str], edition: str) -> str:
    """What is otherwise, in a line; ``edition`` is the name of the file of another edition of a product."""
    return joined(
        (
            say("What changes in each job"),
            *([say("by the rules of {day}", day=as_of)] if as_of else []),
            *([say("under {packs}", packs=", ".join(rules))] if rules else []),
            *([say("with the product of {file}", file=edition)] if edition else []),
        ),
        ", ",
    )


def changes(one: Touched) -> Iterator[str]:
    """Each thing that a change does to a job, in a line."""
    if one.stops[0] != one.stops[1]:
        yield say("stops: {before} before, {after} after", before=one.stops[0], after=one.stops[1])
    if one.worst[0] != one.worst[1]:
        yield say(
            "worst exposure: {before} before, {after} after", before=_times(one.worst[0]), after=_times(one.worst[1])
        )
    if one.complete[0] != one.complete[1]:
        yield say("not all is known any more") if one.complete[0] else say("all is known now")
    yield from map(_verdict, one.verdicts)


def _times(ratio: float | None) -> str:
    return say("not assessed") if ratio is None else say("{ratio:.2g} times a limit", ratio=ratio)


def _verdict(one: Verdict) -> str:
    before = (
        say("{level}: {what}", level=term(one.level_before), what=one.before) if one.level_before else say("nothing")
    )
    after = say("{level}: {what}", level=term(one.level_after), what=one.after) if one.level_after else say("nothing")
    if one.step:
        return say("{step}: {before} -> {after}", step=one.step, before=before, after=after)
    return say("{before} -> {after}", before=before, after=after)


def table(found: Sequence[Touched]) -> bytes:
    """A row for each change, one for each job that has none. Heads are keys: they are the same in every language."""
    rows: list[Sequence[str]] = [_HEAD]
    for one in found:
        ends = (*map(str, one.stops), *("" if x is None else f"{x:.4g}" for x in one.worst))
        rows += [
            (one.job, one.title, v.step, v.key, v.level_before, v.before, v.level_after, v.after, *ends)
            for v in one.verdicts
        ] or [(one.job, one.title, *[""] * 6, *ends)]
    return cells(rows)


def is_table(content: bytes) -> bool:
    """Whether a file is an earlier table of this kind: nothing else may be written over."""
    return content.startswith(cells([_HEAD])) and as_written(content)
