"""What the loaded substance data say of a draft: a figure or a number that cannot be the printed substance's."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from safety import reference
from safety.datasheet.record import Draft, Part
from safety.datasheet.text import key
from safety.model import Substance
from safety.reference import Reference
from safety.words import say

_ZERO = 273.15
_MUCH = 20.0  # % at least: what no small part can hide
#: How far a blend can lie above its main part [K]: our choice, wide enough for water and slow partners.
_FLASH_ABOVE, _BOILS_ABOVE = 30.0, 30.0
_SPREAD = 0.06  # of a density beside those of its parts: our choice


def against_known(draft: Draft) -> None:
    """Compare a draft with the data that come with the program; what cannot be right is left out."""
    data = reference.load((), Path(), date.today())
    for part in draft.parts:
        _named_otherwise(draft, part, data)
    known = [(part, one) for part in draft.parts if isinstance(one := data.substance(part.cas), Substance)]
    _too_high(draft, "flash_point", say("flash point"), known, _FLASH_ABOVE)
    _too_high(draft, "boiling_point", say("boiling point"), known, _BOILS_ABOVE)
    _density(draft, known)


def _named_otherwise(draft: Draft, part: Part, data: Reference) -> None:
    """A right CAS number of another substance than the one named beside it."""
    if not part.cas or not part.name:
        return
    own = data.substance(part.cas)
    if isinstance(own, Substance) and key(part.name) in {key(name) for name in own.names}:
        return
    right = data.number_of(part.name)
    if right in ("", part.cas):
        return
    sentence = say(
        "{name} and {cas} do not agree: {name} is {right}. No CAS number was taken; look it up.",
        name=part.name,
        cas=part.cas,
        right=right,
    )
    draft.contradictory(sentence)
    part.remarks.append(sentence)
    part.cas = ""


def _first(substance: Substance, name: str) -> float | None:
    values = substance.properties.get(name, ())
    return values[0].value if values else None


def _too_high(draft: Draft, what: str, name: str, known: list[tuple[Part, Substance]], above: float) -> None:
    value = draft.values.get(what)
    if value is None or value.size is None:
        return
    for part, substance in known:
        own = _first(substance, what)
        if own is not None and part.low >= _MUCH and value.size > own - _ZERO + above:
            draft.contradictory(
                say(
                    "The {what} is far above that of {name} ({own:.0f} degC), of which at least {low:.4g} % is in it; left out: \"{quote}\".",
                    what=name, name=part.name, own=own - _ZERO, low=part.low, quote=value.quote,
                )
            )  # fmt: skip
            del draft.values[what]
            return


def _density(draft: Draft, known: list[tuple[Part, Substance]]) -> None:
    """Where every part is known, a blend is no lighter than the lightest and no heavier than the heaviest."""
    value = draft.values.get("density")
    weights = [one for _, substance in known if (one := _first(substance, "density")) is not None]
    whole = draft.parts and len(weights) == len(draft.parts) and sum(part.high for part in draft.parts) >= 99
    if value is None or value.size is None or not whole:
        return
    if not min(weights) * (1 - _SPREAD) <= value.size <= max(weights) * (1 + _SPREAD):
        draft.contradictory(
            say(
                'The {what} lies outside those of all parts; left out: "{quote}".',
                what=say("density"),
                quote=value.quote,
            )
        )
        del draft.values["density"]
