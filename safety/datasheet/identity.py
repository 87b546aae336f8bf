"""Section 1: the name on the can, and whether it is the whole product."""

from __future__ import annotations

import re

from safety.datasheet.pairs import Pair, pairs
from safety.datasheet.record import Draft, Value
from safety.datasheet.rows import Row
from safety.datasheet.text import fold, key, squeezed
from safety.datasheet.words_of_value import absent
from safety.words import say

#: Labels that give the name itself; "identifier" can be a code.
_BEST = re.compile(
    r"trade ?name|product ?name|commercial name|material name|nombre (?:comercial|del producto)|handelsname|produktname|handelsbezeichnung|denominacion comercial|marca"
)
_TITLE = re.compile(
    r"safety data sheet|data sheet|\bm?sds\b|ficha de datos|hoja de (?:datos )?de? ?seguridad|hoja de datos|sicherheitsdatenblatt|according to|conforme|gemas|regulation|reglamento|verordnung|29 cfr|osha|page|pagina|seite|version|fecha|datum|date|revis"
)
#: "Product and company identification": a heading, and no name.
_GOES_ON = re.compile(r"(?:and|or|y|und|information|details|identif\w+|code|use|data|description|number|no\.)(?![a-z])")
_PART = re.compile(
    r"two[- ]?(?:component|pack|part)|2[- ]?(?:component|k\b)|(?:part|component|teil|komponente|parte|componente) ?[ab12]\b|zwei-?komponenten|2k-|bicomponente|dos componentes|mix(?:ed)? with|catalyst for|curing agent"
)


#: A telephone number: seven figures at least, in groups.
_TELEPHONE = re.compile(r"\+?\(?\d(?:[\s()./-]{0,3}\d){6,14}")


def telephone(draft: Draft, found: list[Pair]) -> None:
    """Put the emergency telephone into the draft, with its hours, where the sheet gives one number and no other."""
    given = [pair for pair in found if pair.key == "emergency" and _TELEPHONE.search(pair.value)]
    numbers = {re.sub(r"\D", "", number) for pair in given for number in _TELEPHONE.findall(pair.value)}
    if len(numbers) == 1:
        draft.values["emergency_telephone"] = Value(
            "emergency_telephone", squeezed(given[0].value)[:120], given[0].page, given[0].quote
        )


def name(draft: Draft, found: list[Pair], before: list[Row]) -> None:
    """Put the product's name into the draft; where several stand there, say so."""
    named = _named(found)
    best = [pair for pair in named if _BEST.search(fold(pair.label))] or named
    if not best and (above := _named(pairs(before, "identity"))):  # old forms name it over the first section
        best = above[:1]
    if not best:
        title = next(
            (row for row in before if not _TITLE.search(fold(row.text)) and re.search(r"[^\W\d_]{3}", row.text)), None
        )
        if title is None:
            draft.name = say("name not read")
            draft.missing(say("No {what} was found.", what=say("product name")))
            return
        draft.name = squeezed(title.text)[:120]
        draft.missing(
            say('No label of a product name was found; "{name}" stands at the head of the sheet.', name=draft.name)
        )
        draft.values["name"] = Value("name", draft.name, title.page, draft.name)
        return
    first = best[0]
    draft.name = _clean(first.value)
    draft.values["name"] = Value("name", draft.name, first.page, first.quote)
    if re.search(r"\S\s+/\s+\S", draft.name):
        draft.careful(say('The name may be that of several products: "{name}". Compare with the can.', name=draft.name))
    others = [pair for pair in best[1:] if key(pair.value) != key(first.value)]
    if others:
        both = "; ".join(f'"{pair.quote}"' for pair in (first, *others))
        draft.contradictory(
            say("Several names of the product: {both}. The first was taken; compare with the can.", both=both)
        )


def _named(found: list[Pair]) -> list[Pair]:
    return [
        pair
        for pair in found
        if pair.key == "name" and pair.value and not absent(pair.value) and not _GOES_ON.match(fold(pair.value))
    ]


def _clean(text: str) -> str:
    text = re.split(r"\s{2,}|(?<=\S)\s+(?:product (?:code|no|number)|code|sku|item)\b", text, flags=re.IGNORECASE)[0]
    return squeezed(text).strip(" .,;:")[:150]


def one_of_several(draft: Draft, rows: list[Row]) -> None:
    """Say where the can is mixed with another that has a sheet of its own."""
    for row in rows:
        if _PART.search(fold(row.text)):
            draft.careful(
                say(
                    'This is one component of a product that is mixed (part A, part B): the other has its own sheet, and the mix may have more hazards. "{quote}"',
                    quote=squeezed(row.text)[:160],
                )
            )
            return
