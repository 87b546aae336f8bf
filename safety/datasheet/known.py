"""What the loaded substance data say of a draft: a figure or a number that cannot be the printed substance's."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from safety import reference
from safety.datasheet.demanded import demanded
from safety.datasheet.record import Draft, Part
from safety.datasheet.text import key
from safety.hosting import host
from safety.model import Substance
from safety.model.data import WATER
from safety.reference import Reference
from safety.words import say

_ZERO = 273.15
_MUCH = 20.0  # % at least: what no small part can hide
#: How far a blend can lie above its main part [K]: our choice, wide enough for water and slow partners.
_FLASH_ABOVE, _BOILS_ABOVE = 30.0, 30.0
_SPREAD = 0.06  # of a density beside those of its parts: our choice
#: From which share a part tells where a blend begins to boil, and how far it may still lie above that part: our choice.
_SOME, _BEGINS_ABOVE = 5.0, 5.0
#: Directive 2004/42/EC, Article 2(5): what boils at up to 250 degC at 101.3 kPa is a volatile organic compound.
_VOLATILE = 250.0 + _ZERO
_APART = 0.15  # of a VOC content beside that of the volatile parts: our choice


def shipped() -> Reference:
    """The substances, and the rules for mixtures, that come with the program and its plugins."""
    added = host.load().contributions()
    packs = [pack.id for _, one in added for pack in one.packs if "mixture_cutoff" in pack.tables]
    return reference.load(packs, Path(), date.today(), added)


def against_known(draft: Draft, data: Reference) -> None:
    """Compare a draft with the data; a figure that cannot be right is left out, a hazard never is."""
    for part in draft.parts:
        _named_otherwise(draft, part, data)
    known = [(part, one) for part in draft.parts if isinstance(one := data.substance(part.cas), Substance)]
    _too_high(draft, "flash_point", say("flash point"), known, _FLASH_ABOVE)
    _too_high(draft, "boiling_point", say("boiling point"), known, _BOILS_ABOVE)
    _begins_to_boil(draft, known)
    _density(draft, known)
    _voc(draft, known)
    demanded(draft, data)


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


def _begins_to_boil(draft: Draft, known: list[tuple[Part, Substance]]) -> None:
    """A blend begins to boil no higher than the lowest-boiling of its parts, but for traces."""
    value = draft.values.get("boiling_point")
    boils = [
        (own - _ZERO, part)
        for part, one in known
        if part.low >= _SOME and (own := _first(one, "boiling_point")) is not None
    ]
    if value is None or value.size is None or not boils:
        return
    lowest, part = min(boils, key=lambda pair: pair[0])
    if value.size > lowest + _BEGINS_ABOVE:
        draft.contradictory(
            say(
                "It is said to begin to boil above its part {name} ({own:.0f} degC, at least {low:.4g} %): \"{quote}\". Ask which holds.",
                name=part.name, own=lowest, low=part.low, quote=value.quote,
            )
        )  # fmt: skip


def _voc(draft: Draft, known: list[tuple[Part, Substance]]) -> None:
    """The VOC content beside the shares of the parts that count as one."""
    value, density = draft.values.get("voc"), draft.values.get("density")
    if value is None or value.size is None or density is None or density.size is None:
        return
    boils = {part.cas: _first(one, "boiling_point") for part, one in known if part.cas != WATER}
    some = [part for part in draft.parts if (own := boils.get(part.cas)) is not None and own <= _VOLATILE]
    stays = {part.cas for part, one in known if part.cas == WATER or "not_volatile" in one.notes}
    least = density.size * sum(part.low for part in some) / 100
    most = density.size * min(100.0, sum(part.high for part in draft.parts if part.cas not in stays)) / 100
    if value.size > most * (1 + _APART):
        draft.contradictory(
            say(
                'The VOC content is more than all volatile parts together ({most:.4g} g/L): "{quote}". Ask which holds.',
                most=most,
                quote=value.quote,
            )
        )
    elif value.size < least * (1 - _APART):
        draft.careful(
            say(
                'The VOC content is less than the volatile parts come to ({least:.4g} g/L at least): "{quote}". A law may not count some of them: ask which.',
                least=least,
                quote=value.quote,
            )
        )
