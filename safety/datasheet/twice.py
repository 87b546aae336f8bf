"""One sheet in two languages in one file: it is one product."""

from __future__ import annotations

from difflib import SequenceMatcher

from safety.datasheet.record import Draft
from safety.datasheet.text import key
from safety.words import say

_ALIKE = 0.85
_CLOSE = 0.01


def without_repeats(drafts: list[Draft]) -> list[Draft]:
    """The drafts without the same sheet in another language; where the two differ, the value is left out."""
    kept: list[Draft] = []
    for draft in drafts:
        first = next((one for one in kept if one.language != draft.language and _same(one, draft)), None)
        if first is None:
            kept.append(draft)
        else:
            _compare(first, draft)
    return kept


def _same(one: Draft, other: Draft) -> bool:
    if one.parts and {part.cas for part in one.parts if part.cas} == {part.cas for part in other.parts if part.cas}:
        return True
    return SequenceMatcher(None, key(one.name), key(other.name)).ratio() >= _ALIKE


def _compare(first: Draft, second: Draft) -> None:
    first.careful(say("The file holds the sheet in two languages; the first was read and compared with the second."))
    for name, value in list(first.values.items()):
        other = second.values.get(name)
        if other is None or name == "name":
            continue
        close = (
            value.size is not None
            and other.size is not None
            and abs(value.size - other.size) <= _CLOSE * abs(value.size)
        )
        if name == "hazards" and isinstance(value.written, list) and isinstance(other.written, list):
            more = [code for code in other.written if code not in value.written]
            if more:
                first.contradictory(
                    say("The other language has more hazard statements, taken too: {codes}.", codes=", ".join(more))
                )
                value.written = [*value.written, *more]
        elif value.written != other.written and not close:
            first.contradictory(
                say('The two languages differ, left out: "{one}"; "{other}".', one=value.quote, other=other.quote)
            )
            del first.values[name]
    have = {(part.cas or key(part.name)) for part in first.parts}
    for part in second.parts:
        same = next((one for one in first.parts if part.cas and one.cas == part.cas), None)
        if same is None and part.cas and part.cas not in have:
            first.contradictory(
                say("{name} ({cas}) stands only in the other language; it was taken too.", name=part.name, cas=part.cas)
            )
            first.parts.append(part)
        elif same is not None and (same.low, same.high) != (part.low, part.high):
            first.contradictory(
                say(
                    '{name}: the shares differ between the languages ("{one}", "{other}"); the wider was taken.',
                    name=same.name,
                    one=same.share,
                    other=part.share,
                )
            )
            same.low, same.high = min(same.low, part.low), max(same.high, part.high)
