"""Substances: which published value is used, who gives another, and what nobody has checked."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from safety.cited import Cited
from safety.exposure import Exposure
from safety.model import ANTOINE, PROPERTY_NAMES, Block, Figure, Finding, Grid, Job, Substance, Threshold
from safety.reference import Reference, past
from safety.words import joined, say, term

PLUGIN = "properties"
#: Compared between sources. Explosive limits that disagree are the fire plugin's to say.
COMPARED = ("molar_mass", "density", "vapour_pressure", "flash_point")
#: What a figure of the sheet is made from, so worth a word where nobody has checked it.
USED = ("molar_mass", ANTOINE[0], "flash_point", "lower_explosive_limit", "heat_of_vaporisation")
SHOWN = ("molar_mass", "vapour_pressure", "flash_point", "lower_explosive_limit")
#: Vapour pressures are comparable at one temperature only [K].
SAME_TEMPERATURE = 0.5
#: From where on two sources count as not agreeing.
APART, APART_TEMPERATURE = "sources-disagree", "sources-disagree-temperature"


def judge(job: Job, exposure: Exposure, reference: Reference) -> list[Finding]:
    """Remarks on every substance in the job's air, a finding each."""
    found = []
    for substance in exposure.substances:
        texts = [
            *_missing(substance),
            *_disagreements(substance, reference),
            *_unverified(substance, reference),
            *([substance.notes["not_used"]] if "not_used" in substance.notes else []),
        ]
        figures = _extrapolated(job, substance, reference)
        texts += [
            say("The vapour pressure of {name} is outside its range: {note}.", name=substance.name, note=f.note)
            for f in figures
        ]
        if texts:
            short = say("{name}: see its data", name=substance.name)
            key = f"data-substance:{substance.cas}"
            grounds = _grounds(substance, reference)
            text = joined(texts)
            found.append(Finding("note", "data", text, short, PLUGIN, None, figures, key=key, grounds=grounds))
    return found


def _grounds(substance: Substance, reference: Reference) -> tuple[Any, ...]:
    """What was looked at: the values that figures are made from or that are compared, the limits, what says "apart"."""
    values = (v for name in dict.fromkeys((*USED, *COMPARED)) for v in substance.properties.get(name, ()))
    apart = (reference.threshold(name) for name in (APART, APART_TEMPERATURE))
    return (*values, *reference.limits(substance.cas), *(one for one in apart if isinstance(one, Threshold)))


def _missing(substance: Substance) -> list[str]:
    """Only what no other plugin misses: the fire plugin stamps a limit it needs, the engine a pressure."""
    if "flash_point" in substance.properties or "not_flammable" in substance.notes:
        return []
    return [say("No flash point of {name} is loaded.", name=substance.name)]


def _disagreements(substance: Substance, reference: Reference) -> list[str]:
    texts = []
    for name in COMPARED:
        values = _comparable(name, substance.properties.get(name, ()))
        if len(values) < 2:
            continue
        low, high = min(values, key=lambda v: v.value), max(values, key=lambda v: v.value)
        if name == "flash_point":
            apart = past(high.value - low.value, reference.threshold(APART_TEMPERATURE))
        else:
            apart = past(high.value / low.value - 1, reference.threshold(APART))
        if apart:
            used = low if name == "flash_point" else values[0]
            texts.append(
                say(
                    "Sources differ on the {property} of {name}: {low} to {high}. Used: {used} ({title}).",
                    property=term(PROPERTY_NAMES[name]),
                    name=substance.name,
                    low=low.written,
                    high=high.written,
                    used=used.written,
                    title=used.source.title,
                )
            )
    return texts


def _comparable(name: str, values: tuple[Cited, ...]) -> list[Cited]:
    """The first value and those given at its temperature."""
    if not values:
        return []
    if name not in ("vapour_pressure", "density"):
        return list(values)
    at = values[0].condition("temperature")
    return [v for v in values if _same(v.condition("temperature"), at)]


def _same(one: float | None, other: float | None) -> bool:
    return one is other or (one is not None and other is not None and abs(one - other) <= SAME_TEMPERATURE)


def _unverified(substance: Substance, reference: Reference) -> list[str]:
    values = [(name, v) for name in USED for v in substance.properties.get(name, ())[:1] if v.unverified]
    texts = [
        say(
            "The {property} of {name} ({value}) is unverified: {why}.",
            property=term(PROPERTY_NAMES[name]),
            name=substance.name,
            value=value.written,
            why=term(value.unverified),
        )
        for name, value in values
    ]
    limits = [x for x in reference.limits(substance.cas) if x.unverified]
    if limits:
        listed = _listed(say("{list} {written}", list=x.list, written=x.written) for x in limits)
        texts.append(say("Limits of {name} that are unverified: {limits}.", name=substance.name, limits=listed))
    return texts


def _extrapolated(job: Job, substance: Substance, reference: Reference) -> tuple[Figure, ...]:
    """Vapour pressures at the job's lowest and highest temperature that lie outside their equation's range."""
    ranges = [step.place.temperature for step in job.steps]
    ranges += [step.surface_temperature for step in job.steps if step.surface_temperature is not None]
    if not ranges:
        return ()
    figures = []
    for temperature in {min(r.low for r in ranges), max(r.high for r in ranges)}:
        pressure = reference.vapour_pressure(substance.cas, temperature)
        if isinstance(pressure, Figure) and pressure.note:
            figures.append(pressure)
    return tuple(sorted(figures, key=lambda f: f.value))


def blocks(exposure: Exposure) -> list[Block]:
    """The values used, each with the place a person can check it at."""
    rows = [_row(substance, name) for substance in exposure.substances for name in SHOWN]
    if not rows:
        return []
    columns = (say("Substance"), say("Property"), say("Used"), say("Read at"), say("Others give"))
    return [Grid(say("Data behind the figures"), columns, tuple(rows), key="data-values")]


def _row(substance: Substance, name: str) -> tuple[str, ...]:
    values = substance.properties.get(name, ())
    label = term(PROPERTY_NAMES[name])
    if not values:
        known = "not_flammable" in substance.notes and name in ("flash_point", "lower_explosive_limit")
        return substance.name, label, say("does not burn") if known else say("UNKNOWN"), "", ""
    used = min(values, key=lambda v: v.value) if name in ("flash_point", "lower_explosive_limit") else values[0]
    others = _listed(_written(v) for v in values if v is not used)
    place = say("{title}, {edition}, {at}", title=used.source.title, edition=used.source.edition, at=used.at)
    if used.unverified:
        place = say("{place}; unverified", place=place)
    return substance.name, label, _written(used), place, others


def _written(value: Cited) -> str:
    at = value.condition("temperature")
    return value.written if at is None else say("{written} at {at:.0f} °C", written=value.written, at=at - 273.15)


def _listed(texts: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(texts))
