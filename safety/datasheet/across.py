"""What two sections of one sheet say of the same thing: the head of the pages, sections 3 and 8, 9 and 14.

A person is told where they disagree. A value is left out only where the other one is graver.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from difflib import SequenceMatcher

from safety.datasheet.checks import CATEGORY_2, CATEGORY_3, codes_of
from safety.datasheet.identifiers import cas_numbers
from safety.datasheet.numbers import TEMPERATURE, readings
from safety.datasheet.pairs import pairs
from safety.datasheet.record import Draft, Value
from safety.datasheet.rows import Row
from safety.datasheet.temperatures import SAME
from safety.datasheet.text import fold, key, squeezed
from safety.words import say

#: UN Model Regulations, 2.3.2.6 (ADR 2.2.3.1.3): of class 3 packing group I boils at up to this [degC], II has a flash
#: point below 23 degC and III one of 23 to 60 degC. What is thick may be in III below that (2.3.2.2).
_BOILS_LOW = 35.0
_GROUP = re.compile(
    r"(?:pack(?:ing|aging) group|\bpg\b|grupo de (?:embalaje|envasado)|verpackungsgruppe|\bvg\b|\bge\b)[^a-z0-9]{0,6}(i{1,3})\b"
)
_CLASS = re.compile(
    r"(?:class(?:\(es\)|es)?|clases?(?: de peligro)?(?:\(s\))?|klassen?)[^a-z0-9]{0,6}(\d(?:\.\d)?)(?![\d.])"
)
#: What goes with a packing group, by the statements of section 2.
_OF_GROUP = {"i": {"H224"}, "ii": {"H225"}, "iii": {"H226"}}
#: How alike a line must be to a name for it to be meant as that name, and not as the maker's.
_ALIKE = 0.72


def head_and_name(draft: Draft, margin: Iterable[Row], before: Iterable[Row]) -> None:
    """Say where the head of the pages names another product than section 1 does."""
    name = draft.values.get("name")
    if name is None:
        return
    own = key(draft.name)
    texts = list(dict.fromkeys(cell.text for row in (*margin, *before) for cell in row.cells))
    named = {squeezed(pair.value) for pair in pairs([*margin], "identity") if pair.key == "name"}
    for text in texts:
        other = key(_PAGE.sub(" ", fold(text)))
        if not other or other in own or own in other:
            continue
        words = " ".join(other.split()[: len(own.split())])
        if text in named or SequenceMatcher(None, own, words).ratio() >= _ALIKE:
            draft.contradictory(
                say(
                    'The head of the pages says "{other}", section 1 says "{name}". Compare with the can.',
                    other=squeezed(text)[:120],
                    name=draft.name,
                )
            )
            return


_PAGE = re.compile(r"\b(?:page|pagina|seite|version|rev(?:ision)?)\b.*")


def parts_and_limits(draft: Draft, exposure: Iterable[Row], composition: Iterable[Row]) -> None:
    """Say which substances section 8 gives limits for and section 3 does not name."""
    told = {number for row in composition for number in cas_numbers(row.text)} | {part.cas for part in draft.parts}
    spare = [(number, row) for row in exposure for number in cas_numbers(row.text) if number not in told]
    if not spare or not draft.parts:
        return
    numbers = list(dict.fromkeys(number for number, _ in spare))
    draft.contradictory(
        say(
            'Section 8 has limits for substances that are no parts in section 3: {numbers}. Ask whether they are in it: "{quote}".',
            numbers=", ".join(numbers),
            quote=squeezed(spare[0][1].text)[:160],
        )
    )


def transport(draft: Draft, rows: list[Row]) -> None:
    """Hold the packing group and the flash point of section 14 against sections 2 and 9."""
    _packing_group(draft, rows)
    flash = draft.values.get("flash_point")
    for pair in pairs(rows, "physical"):
        found = readings(pair.value, TEMPERATURE, draft.language) if pair.key == "flash" else []
        if len(found) != 1 or not found[0].plain or found[0].bound:
            continue
        low, high = found[0].low[0], found[0].high[0]
        if flash is None:
            draft.missing(say('Section 14 gives a flash point that section 9 does not: "{quote}".', quote=pair.quote))
        elif flash.size is not None and not low - SAME <= flash.size <= high + SAME:
            _another_flash(draft, flash, high, pair.quote)
        return


def _another_flash(draft: Draft, flash: Value, other: float, quote: str) -> None:
    if flash.size is not None and other < flash.size:
        del draft.values["flash_point"]
        draft.contradictory(
            say(
                'Section 14 gives a lower flash point than section 9, left out: "{one}"; "{other}". Ask which holds.',
                one=flash.quote,
                other=quote,
            )
        )
        return
    draft.contradictory(
        say(
            'Section 14 gives a higher flash point than section 9: "{one}"; "{other}". Ask which holds; the lower stands.',
            one=flash.quote,
            other=quote,
        )
    )


def _packing_group(draft: Draft, rows: list[Row]) -> None:
    texts = [fold(row.text) for row in rows]
    groups = {found[1] for text in texts for found in _GROUP.finditer(text)}
    classes = {found[1] for text in texts for found in _CLASS.finditer(text)}
    if len(groups) != 1 or classes - {"3"}:
        return  # none, another by each mode, or that of another class
    group, (row, *_) = groups.pop(), [row for row in rows if _GROUP.search(fold(row.text))]
    quote = squeezed(row.text)
    codes = codes_of(draft) & {"H224", "H225", "H226"}
    if codes and not codes & _OF_GROUP[group]:
        draft.contradictory(
            say(
                'Packing group {group} does not go with {code}: "{quote}". Ask which holds; what is thick may have III.',
                group=group.upper(),
                code=", ".join(sorted(codes)),
                quote=quote,
            )
        )
        return
    flash, boiling = (draft.values.get(one) for one in ("flash_point", "boiling_point"))
    if any(_against(group, flash, boiling)):
        draft.contradictory(
            say(
                'Packing group {group} does not go with the flash point or the boiling point: "{quote}"; "{other}". Ask which holds; what is thick may have III.',
                group=group.upper(),
                quote=quote,
                other="; ".join(one.quote for one in (flash, boiling) if one),
            )
        )


def _against(group: str, flash: Value | None, boiling: Value | None) -> Iterator[bool]:
    if group == "i" and boiling and boiling.size is not None:
        yield boiling.size > _BOILS_LOW + SAME
    if flash and flash.size is not None and group != "i":
        yield (
            flash.size >= CATEGORY_2 + SAME
            if group == "ii"
            else not CATEGORY_2 - SAME <= flash.size <= CATEGORY_3 + SAME
        )
