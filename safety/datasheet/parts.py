"""Printed entries of section 3 to the parts of a product file."""

from __future__ import annotations

import re
from collections.abc import Callable

from safety.datasheet.composition import Composition
from safety.datasheet.entry import Entry
from safety.datasheet.identifiers import is_cas, last_digit
from safety.datasheet.record import Draft, Part
from safety.datasheet.shares import WITHHELD
from safety.datasheet.text import fold, key
from safety.words import say

_MOST_PARTS = 60


def parts(draft: Draft, found: Composition | None) -> None:
    """Put the parts into the draft, each with what had to be left open."""
    if found is None:
        draft.missing(say("Section 3 (composition) was not found: what the product is made of is unknown."))
        return
    for entry in found.entries[:_MOST_PARTS]:
        known = {part.cas for part in draft.parts if part.cas}
        if entry.share is None and known & set(entry.cas):
            continue  # named again in a second table, of limits
        draft.parts.append(_part(draft, entry))
    if len(found.entries) > _MOST_PARTS:
        draft.missing(say("Section 3 has more than {count} parts; the rest was not read.", count=_MOST_PARTS))
    if found.others:
        draft.contradictory(
            say(
                "CAS numbers in section 3 that were not taken as parts: {numbers}. Look at the sheet.",
                numbers=", ".join(found.others),
            )
        )
    if not draft.parts:
        draft.missing(say("No part could be read from section 3: what the product is made of is unknown."))
        return
    _twice(draft)
    _ends(draft, found)
    _sums(draft)


def _part(draft: Draft, entry: Entry) -> Part:
    part = Part(
        entry.name,
        "",
        0.0,
        100.0,
        entry.page,
        entry.quote,
        ec=entry.ec[0] if len(entry.ec) == 1 else "",
        share=entry.printed,
        codes=entry.codes,
    )
    good = [one for one in entry.cas if is_cas(one)]
    named = entry.name or (entry.cas[0] if entry.cas else say("a part without a name"))
    if len(good) == 1:
        part.cas = good[0]
    elif len(good) > 1:
        _say(
            draft.contradictory,
            part,
            say(
                "{name}: several CAS numbers ({numbers}); none was taken. Ask which holds.",
                name=named,
                numbers=", ".join(good),
            ),
        )
    elif entry.cas:
        _say(
            draft.contradictory,
            part,
            say(
                "{name}: {number} is no CAS number, its last digit would have to be {digit}; none was taken. Look it up.",
                name=named,
                number=entry.cas[0],
                digit=last_digit(entry.cas[0]),
            ),
        )
    elif entry.withheld:
        _say(draft.missing, part, say("{name}: no CAS number, it is withheld (trade secret, proprietary).", name=named))
    elif not (entry.share and entry.share.kind == "balance"):
        _say(draft.missing, part, say("{name}: no CAS number on the sheet.", name=named))
    if not part.name and not part.cas:
        part.name = named
    _share(draft, entry, part, named)
    return part


def _say(tell: Callable[[str], None], part: Part, sentence: str) -> None:
    tell(sentence)
    part.remarks.append(sentence)


def _share(draft: Draft, entry: Entry, part: Part, named: str) -> None:
    if entry.share is None:
        _say(
            draft.missing,
            part,
            say(
                '{name}: no share that can be read ("{printed}"); it may be anything.',
                name=named,
                printed=entry.printed,
            ),
        )
        return
    part.low, part.high = entry.share.low, entry.share.high
    kind = entry.share.kind
    if kind == "volume":
        part.low, part.high = 0.0, 100.0
        _say(
            draft.missing,
            part,
            say(
                '{name}: the share "{printed}" is by volume, not by weight; it was left open.',
                name=named,
                printed=entry.printed,
            ),
        )
    elif kind == "withheld":
        _say(
            draft.missing,
            part,
            say(
                '{name}: the share is withheld or not given ("{printed}"); it was left open.',
                name=named,
                printed=entry.printed,
            ),
        )
    elif kind == "balance":
        part.remarks.append("balance")
    elif kind == "about":
        _say(
            draft.careful,
            part,
            say('{name}: the share is only given as about "{printed}".', name=named, printed=entry.printed),
        )
    elif kind == "lower":
        part.remarks.append(say('Only the lower end is printed: "{printed}".', printed=entry.printed))


def _ends(draft: Draft, found: Composition) -> None:
    """What the named shares leave for a balance, and for a withheld share."""
    for part in draft.parts:
        balance = part.remarks == ["balance"]
        if not balance and (part.low, part.high) != (0.0, 100.0):
            continue
        others = [one for one in draft.parts if one is not part and one.remarks != ["balance"]]
        part.high = max(0.0, 100.0 - sum(one.low for one in others))
        if balance:
            part.low = max(0.0, 100.0 - sum(one.high for one in others))
            part.remarks = []
            sentence = say(
                "{name}: given as the balance; computed from the others as {low:.4g} % to {high:.4g} %.",
                name=part.name or part.cas,
                low=part.low,
                high=part.high,
            )
            _say(draft.careful, part, sentence)
    if found.upper_ends:
        draft.careful(say('The shares are upper ends ("less than"): the lower ends are unknown and stand as 0 %.'))
    low = fold(found.notes)
    if WITHHELD.search(low) and re.search(
        r"percent|concentration|exact|range|porcentaje|concentracion|konzentration|gehalt|%", low
    ):
        draft.careful(
            say(
                "The sheet withholds identities or exact shares (trade secret): printed ranges may be prescribed ones, not the true spread."
            )
        )


def _twice(draft: Draft) -> None:
    """One substance in two rows: a product file takes it once."""
    kept: list[Part] = []
    for part in draft.parts:
        same = next((one for one in kept if part.cas and one.cas == part.cas), None)
        if same is None:
            kept.append(part)
            continue
        again = (same.low, same.high) == (part.low, part.high) and key(same.name) == key(part.name)
        if not again:
            same.low, same.high = min(100.0, same.low + part.low), min(100.0, same.high + part.high)
            same.quote = f"{same.quote}; {part.quote}"
            _say(
                draft.contradictory,
                same,
                say(
                    "{name} ({cas}) stands in two rows; the shares were added. Ask whether that is right.",
                    name=same.name,
                    cas=same.cas,
                ),
            )
        else:
            _say(
                draft.careful,
                same,
                say(
                    "{name} ({cas}) is printed twice with the same share; it was taken once.",
                    name=same.name,
                    cas=same.cas,
                ),
            )
    draft.parts = kept


def _sums(draft: Draft) -> None:
    low, high = sum(part.low for part in draft.parts), sum(part.high for part in draft.parts)
    if low > 100.01:
        draft.contradictory(
            say(
                "The lowest shares add up to {sum:.4g} %, over 100 %. They stand as printed; the file is not valid until this is settled.",
                sum=low,
            )
        )
    elif high < 99:
        draft.missing(
            say("The named parts add up to at most {sum:.4g} %; the rest is not named on the sheet.", sum=high)
        )
