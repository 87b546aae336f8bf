"""A draft as the text of a product file: every value under the page and the words it was read from."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from datetime import date
from typing import get_args

from safety.datasheet.record import Draft, Part, Value
from safety.model import Purpose
from safety.words import printable, say

#: Keys of a product that a data sheet can fill, in the order of the file.
KEYS = ("density", "flash_point", "boiling_point", "voc", "viscosity", "hazards", "sds_revised", "emergency_telephone")
#: Of these: what few sheets give, or nothing waits for. It is left out where it was not read.
_SPARE = ("viscosity", "emergency_telephone")
_WIDTH = 116
_LONGEST_NAME = 150
_DEVICES = frozenset(["con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(10))])


def identifier(name: str) -> str:
    """An id for a product of this name."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    made = re.sub(r"[^a-z0-9]+", "-", plain.casefold()).strip("-")[:50].strip("-")
    return f"product-{made}".strip("-") if made in _DEVICES or not made else made


def text(draft: Draft, id_: str, sheet: str, day: date) -> str:
    """The product file. ``sheet`` is the name of the data sheet's file."""
    return "\n".join([*_head(draft, id_, sheet, day), *_product(draft, id_), *_parts(draft), *_told(draft)]) + "\n"


def _head(draft: Draft, id_: str, sheet: str, day: date) -> Iterator[str]:
    yield "#:schema ../schemas/product.json"
    yield from _comment(say('Read by the program from the safety data sheet "{sheet}" on {day}.', sheet=sheet, day=day))
    yield from _comment(
        say(
            "Above each value: the page and the words it was read from. Compare each with the sheet and the can, mend what is wrong, and write role and purpose. Then: hazstep confirm {id} --who NAME",
            id=id_,
        )
    )
    warnings = list(draft.warnings)
    if warnings:
        yield "#"
        yield from _comment(say("To settle:"))
        for warning in warnings:
            yield from _comment(f"- {warning}")
    yield ""


def _product(draft: Draft, id_: str) -> Iterator[str]:
    yield "[product]"
    yield "draft = true"
    yield f"id = {_quoted(id_)}"
    name = draft.values.get("name")
    if name:
        yield from _comment(_source(name))
    yield f"name = {_quoted(draft.name[:_LONGEST_NAME])}"
    use = next((one for one in draft.quotes if one.what == "use"), None)
    if use:
        yield from _comment(say('page {page}: "{quote}"', page=use.page, quote=use.quote))
    yield from _comment(say("What it is for, in a word of the shop: a person decides."))
    yield 'role = "unknown"'
    yield from _comment(say("For the rules, one of: {purposes}.", purposes=", ".join(get_args(Purpose))))
    yield from _comment('purpose = "..."')
    not_classified = draft.values.get("not_classified")
    for key in KEYS:
        if key == "hazards" and not_classified:
            yield from _comment(_source(not_classified))
            yield "not_classified = true"
            continue
        value = draft.values.get(key)
        if value is None and key in _SPARE:
            continue
        if value is None:
            yield from _comment(say("Not read, or not certain: see the list above."))
            yield f'{key} = "unknown"'
            continue
        yield from _comment(_source(value))
        for remark in value.remarks:
            yield from _comment(remark)
        yield f"{key} = {_written(value)}"


def _parts(draft: Draft) -> Iterator[str]:
    for part in draft.parts or [_nothing()]:
        yield ""
        yield "[[product.part]]"
        if part.quote:
            yield from _comment(say('page {page}: "{quote}"', page=part.page, quote=part.quote))
        for remark in part.remarks:
            yield from _comment(remark)
        if part.codes:
            yield from _comment(say("its own classification, not the product's: {codes}", codes=", ".join(part.codes)))
        if part.cas:
            yield f"cas = {_quoted(part.cas)}"
        if part.name:
            yield f"name = {_quoted(part.name)}"
        yield f"weight = [{_quoted(_percent(part.low))}, {_quoted(_percent(part.high))}]"
        for value in part.stated:
            yield from _comment(_source(value))
            yield f"{value.key} = {_written(value)}"


def _nothing() -> Part:
    return Part(say("unknown: no composition was read"), "", 0.0, 100.0, 0, "")


def _told(draft: Draft) -> Iterator[str]:
    rest = [one for one in draft.quotes if one.what != "use"]
    if rest:
        yield ""
        yield from _comment(say("The sheet says besides (not used by the program):"))
        for one in rest:
            yield from _comment(say('page {page}: "{quote}"', page=one.page, quote=one.quote))


def _source(value: Value) -> str:
    return say('page {page}: "{quote}"', page=value.page, quote=value.quote)


def _written(value: Value) -> str:
    if isinstance(value.written, bool):
        return "true" if value.written else "false"
    if isinstance(value.written, list):
        return f"[{', '.join(map(_quoted, value.written))}]"
    return value.written if value.key == "sds_revised" else _quoted(value.written)


def _percent(share: float) -> str:
    figure = f"{share:.6f}".rstrip("0").rstrip(".")
    return f"{figure} %"


def _quoted(words: str) -> str:
    plain = printable(words).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{plain}"'


def _comment(words: str) -> Iterator[str]:
    """Lines of a comment. What a data sheet holds stays inside them, whatever signs it is made of."""
    line = "#"
    for word in printable(words).split():
        if len(line) + len(word) + 1 > _WIDTH and line != "#":
            yield line
            line = "#  "
        line += f" {word}"
    yield line
