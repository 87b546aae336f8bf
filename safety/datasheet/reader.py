"""One file to the drafts of the products in it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from safety.datasheet import across, amounts, checks, codes, dates, identity, temperatures
from safety.datasheet.composition import composition
from safety.datasheet.fraction import fraction, viscosity
from safety.datasheet.headings import Topic
from safety.datasheet.page import Source
from safety.datasheet.pages import read
from safety.datasheet.pairs import Pair, pairs
from safety.datasheet.parts import parts
from safety.datasheet.record import Draft, Quote
from safety.datasheet.rows import Row, rows
from safety.datasheet.sections import Sheet, sheets
from safety.datasheet.text import fold
from safety.datasheet.twice import without_repeats
from safety.words import say

_AMERICAN = re.compile(r"29 cfr|\bosha\b|\bsara\b|\btsca\b|proposition 65|\bansi\b|hazcom|\bu\.?s\.?a\b|\bdot\b")
_EUROPEAN = re.compile(r"1907/2006|1272/2008|2020/878|2015/830|453/2010|\breach\b|\bclp\b|eh40|gb-clp")
_NEEDED: tuple[Topic, ...] = ("identity", "hazards", "composition", "physical")
#: Of section 9, 1 and 14: what has no key, and is kept as a comment.
_TOLD = ("vapour pressure", "limits", "viscosity", "vocv")


def read_file(path: Path, today: date) -> list[Draft]:
    """The drafts of a file. Raises Refused where there is nothing to read or to trust."""
    source = read(path)
    body, margin = rows(source.pages)
    found = sheets(body)
    drafts = without_repeats([_draft(sheet, margin, source, today) for sheet in found])
    if len(drafts) > 1:
        for draft in drafts:
            draft.contradictory(
                say(
                    "The file holds {count} data sheets; each has a draft of its own. Check that none is mixed up.",
                    count=len(drafts),
                )
            )
    return drafts


def _draft(sheet: Sheet, margin: list[Row], source: Source, today: date) -> Draft:
    draft = Draft(language=sheet.language, american=_american(sheet))
    for remark in source.remarks:
        draft.careful(remark)
    _whole(draft, sheet, margin, source)
    margin = [row for row in margin if sheet.first <= row.page <= sheet.last]
    own = pairs(sheet.rows("identity"), "identity")
    identity.name(draft, own, sheet.before)
    identity.telephone(draft, own)
    identity.one_of_several(draft, sheet.rows("identity"))
    codes.hazards(draft, sheet.rows("hazards"), "hazards" in sheet.sections, "composition" in sheet.sections)
    _physical_and_parts(draft, sheet)
    _revised(draft, sheet, margin, own, today)
    checks.checks(draft)
    across.head_and_name(draft, margin, sheet.before)
    across.parts_and_limits(draft, sheet.rows("exposure"), sheet.rows("composition"))
    across.transport(draft, sheet.rows("transport"))
    _told(draft, sheet, own)
    return draft


def _revised(draft: Draft, sheet: Sheet, margin: list[Row], own: list[Pair], today: date) -> None:
    """A date beside a label is read there; where none is labelled, in the running text of the section."""
    running = [*sheet.before, *margin]
    labelled: list[Pair] = []
    places: tuple[tuple[Topic, list[Pair]], ...] = (("identity", own), ("other", pairs(sheet.rows("other"), "date")))
    for topic, found in places:
        dated = [pair for pair in found if pair.key in ("revised", "issued", "other date")]
        labelled += dated
        running += [] if dated else sheet.rows(topic)
    dates.revised(draft, running, labelled, draft.american, today)


def _physical_and_parts(draft: Draft, sheet: Sheet) -> None:
    found = pairs(sheet.rows("physical"), "physical")
    # old forms give the flash point under fire
    fire = [pair for pair in pairs(sheet.rows("fire"), "physical") if pair.key == "flash"]

    def of(key: str) -> list[Pair]:
        return [pair for pair in found if pair.key == key]

    temperatures.temperature(draft, "flash_point", say("flash point"), [*of("flash"), *fire])
    temperatures.temperature(draft, "boiling_point", say("boiling point"), of("boiling"))
    amounts.density(draft, of("density"))
    amounts.voc(draft, of("voc"))
    viscosity(draft, of("viscosity"))
    parts(draft, composition(sheet.rows("composition"), sheet.language) if "composition" in sheet.sections else None)
    fraction(draft, of)


def _american(sheet: Sheet) -> bool:
    # inventories of section 15 name the law of every country
    text = fold(
        " ".join(row.text for row in (*sheet.before, *sheet.rows("identity", "hazards", "composition", "physical")))
    )
    text = text if _AMERICAN.search(text) or _EUROPEAN.search(text) else fold(" ".join(row.text for row in sheet.all))
    return bool(_AMERICAN.search(text)) and not _EUROPEAN.search(text) and sheet.language == "en"


def _whole(draft: Draft, sheet: Sheet, margin: list[Row], source: Source) -> None:
    """Say which sections and pages are missing."""
    for topic in _NEEDED:
        if topic not in sheet.sections:
            draft.missing(say('Section "{topic}" was not found on this sheet.', topic=_called(topic)))
    told = {
        (int(a), int(b)) for row in (*margin, *sheet.before) for cell in row.cells for a, b in _page_numbers(cell.text)
    }
    most = max((b for _, b in told), default=0)
    absent = sorted(set(range(1, most + 1)) - {a for a, b in told if b == most})
    if not told:  # pages that only count
        counted = {int(n) for row in margin for n in _COUNTED.findall(fold(row.text))}
        most = max(counted, default=0)
        absent = sorted(set(range(1, most + 1)) - counted) if len(counted) > 1 else []
    if absent and len(source.pages) < most:
        draft.missing(
            say("Pages {pages} of {most} are missing from the file.", pages=", ".join(map(str, absent)), most=most)
        )


_COUNTED = re.compile(r"(?:page|pagina|seite)\W*(\d{1,3})\W*$")
_PAGE = re.compile(
    r"(?:page|pagina|seite|pag\.|blatt)\W*(\d{1,3})\s*(?:/|of|de|von)\s*(\d{1,3})|^\W*(\d{1,3})\s*(?:/|of|de|von)\s*(\d{1,3})\W*$"
)


def _page_numbers(text: str) -> Iterator[tuple[int, int]]:
    for found in _PAGE.finditer(fold(text)):
        a, b = (int(group) for group in found.groups() if group)
        if 0 < a <= b < 200:
            yield a, b


def _called(topic: Topic) -> str:
    return {
        "identity": say("1: identification"),
        "hazards": say("2: hazards"),
        "composition": say("3: composition"),
        "physical": say("9: physical and chemical properties"),
    }[topic]


def _told(draft: Draft, sheet: Sheet, own: list[Pair]) -> None:
    """Keep what has no key yet, with its page."""
    for pair in _worth(sheet, own):
        if pair.value and not (pair.key == "emergency" and "emergency_telephone" in draft.values):
            draft.quotes.append(Quote(pair.key, pair.quote[:300], pair.page))


def _worth(sheet: Sheet, own: list[Pair]) -> Iterator[Pair]:
    yield from (pair for pair in own if pair.key in ("emergency", "use"))
    yield from (pair for pair in pairs(sheet.rows("physical"), "physical") if pair.key in _TOLD)
    yield from (pair for pair in pairs(sheet.rows("exposure"), "exposure") if pair.key == "gloves")
    yield from (pair for pair in pairs(sheet.rows("transport"), "transport") if pair.key in ("un", "packing"))
