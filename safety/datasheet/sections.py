"""Rows to the sections of one sheet, or of several in one file."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field, replace

from safety.datasheet.headings import TOPICS, Topic, heading, inner
from safety.datasheet.refused import Refused
from safety.datasheet.rows import Row
from safety.datasheet.tables import is_head
from safety.words import say

#: A file with fewer of the sixteen headings is not a data sheet.
LEAST_HEADINGS = 5
_ENGLISH = "en"
#: A line of a table of contents.
_LISTED = re.compile(r"(?:\.\s?){4,}\s*\d{0,3}\s*$|_{4,}\s*\d{0,3}\s*$")
#: A group of headings with less below it than this share of the fullest is a table of contents.
_BARE = 0.15


@dataclass(slots=True)
class Sheet:
    """One data sheet: what stands before its first heading, and the rows of each section."""

    before: list[Row] = field(default_factory=list)
    sections: dict[Topic, list[Row]] = field(default_factory=dict)
    language: str = _ENGLISH
    first: int = 0  # page
    last: int = 0

    def rows(self, *topics: Topic) -> list[Row]:
        return [row for topic in topics for row in self.sections.get(topic, ())]

    @property
    def all(self) -> list[Row]:
        return [*self.before, *self.rows(*TOPICS)]


@dataclass(slots=True)
class _Segment:
    topic: Topic
    language: str
    number: int
    head: Row
    rows: list[Row] = field(default_factory=list)


def sheets(rows: list[Row]) -> list[Sheet]:
    """The data sheets of a file. Raises Refused where there is none."""
    before, segments = _segments(rows)
    groups = _without_contents(_grouped(segments))
    found = [_sheet(group) for group in groups]
    kept = [sheet for sheet in found if len(sheet.sections) >= LEAST_HEADINGS]
    if not kept:
        if not _most(found):
            raise Refused(
                say(
                    "this is no safety data sheet, or its fonts have no character map: none of its 16 headings was found"
                )
            )
        raise Refused(say("this is no safety data sheet: {count} of its 16 headings were found", count=_most(found)))
    kept[0].before = before
    return kept


def _most(found: list[Sheet]) -> int:
    return max((len(sheet.sections) for sheet in found), default=0)


def _segments(rows: list[Row]) -> tuple[list[Row], list[_Segment]]:
    before: list[Row] = []
    segments: list[_Segment] = []
    headed = [_heading(rows, at) for at in range(len(rows))]
    numbered = len({found[0] for found in headed if found and found[2]}) >= LEAST_HEADINGS
    for row, found in zip(rows, headed, strict=True):
        if found and numbered and not found[2]:
            found = None  # where headings have numbers, "Disposal" alone is a line of the text
        if (
            found
            and segments
            and found[0] == segments[-1].topic
            and found[2] in (0, segments[-1].number)
            and segments[-1].rows
        ):
            continue  # "Section 3 (continued)"
        within = inner(row.text)
        if found is None and within and segments and within not in {one.topic for one in segments}:
            segments.append(_Segment(within, "", 0, row))
        elif found:
            heads = _heads_a_table(row)
            segments.append(_Segment(*found, row, [heads[1]] if heads else []))
        elif segments:
            segments[-1].rows.append(row)
        else:
            before.append(row)
    return before, segments


def _heading(rows: list[Row], at: int) -> tuple[Topic, str, int] | None:
    row = rows[at]
    text = row.text
    if both := _heads_a_table(row):
        return both[0]
    if len(row.cells) > 3 or _LISTED.search(text):
        return None
    found = heading(text)
    goes_on = at + 1 < len(rows) and rows[at + 1].page == row.page
    if goes_on and ((found is None and len(text) > 40) or (found and not found[1])):
        wrapped = heading(f"{text} {rows[at + 1].text}")  # the title may stand, or end, on the next line
        found = wrapped if wrapped and wrapped[2] and wrapped[1] else found
    if found and not found[2] and (len(row.cells) > 1 or text.rstrip().endswith(".")):
        return None  # without a number only a line of its own heads anything
    return found


def _heads_a_table(row: Row) -> tuple[tuple[Topic, str, int], Row] | None:
    """The heading of section 3 where the heads of its table stand in the same line, and these heads."""
    if len(row.cells) < 2 or not is_head(row):
        return None
    for count in (1, 2):  # "Section I" may be a cell by itself
        found = heading(" ".join(cell.text for cell in row.cells[:count]))
        if found and found[0] == "composition" and found[1] and found[2]:
            kept = row.cells[count - 1 :]
            return found, replace(row, cells=kept, words=[w for w in row.words if w.left >= kept[0].left])
    return None


def _grouped(segments: list[_Segment]) -> list[list[_Segment]]:
    """A new sheet begins where section 1 comes again after others."""
    groups: list[list[_Segment]] = []
    for segment in segments:
        seen = {one.topic for one in groups[-1]} if groups else set()
        if not groups or (segment.topic == "identity" and seen - {"identity"}):
            groups.append([])
        groups[-1].append(segment)
    return groups


def _without_contents(groups: list[list[_Segment]]) -> list[list[_Segment]]:
    """Without tables of contents: headings with hardly anything below them."""
    counts = [sum(len(one.rows) for one in group) for group in groups]
    fullest = max(counts, default=0)
    return [group for group, count in zip(groups, counts, strict=True) if count >= _BARE * fullest]


def _sheet(group: list[_Segment]) -> Sheet:
    sheet = Sheet(first=group[0].head.page, last=group[-1].head.page)
    for segment in group:
        sheet.sections.setdefault(segment.topic, []).extend(segment.rows)
        sheet.last = max([sheet.last, *(row.page for row in segment.rows)])
    spoken = Counter(one.language for one in group if one.language)
    sheet.language = spoken.most_common(1)[0][0] if spoken else _ENGLISH
    return sheet
