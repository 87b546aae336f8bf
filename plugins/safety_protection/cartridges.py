"""When a cartridge must be changed: the published rule of thumb and Wood's estimate, the shorter of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from safety.cited import Cited, Unknown
from safety.clock import clock
from safety.exposure.result import PRESSURE, Exposure, decisive
from safety.formulas.protection import (
    OSHA_BED_DENSITY,
    cartridge_service_life_rule_of_thumb,
    cartridge_service_life_wood,
)
from safety.model import Figure, Given, Job, Respirator, Substance
from safety.reference import Reference, past, settled
from safety.words import joined, say
from safety_protection import device_rules
from safety_protection.need import Need, StepNeed
from safety_protection.rules import as_threshold, cite, setting, threshold

#: Air drawn through the cartridges [m3/s]: 53.3 L/min, as in OSHA's service life table.
BREATHING = 53.3e-3 / 60
#: Blower air [m3/s] at the least, tight and loose facepieces: 115 and 170 L/min. 42 CFR 84, from memory.
BLOWER_TIGHT, BLOWER_LOOSE = 115e-3 / 60, 170e-3 / 60
#: Share let through at which the time ends: 10 %, as in OSHA's service life table; less where the need is higher.
BREAKTHROUGH = 0.10
#: Carbon [kg] and depth of bed [m] that stand for those of a stock list that gives none: less than any pair of
#: cartridges for vapour is known to hold (common practice, no source). So what is left out makes no time longer.
LEAST_CARBON, LEAST_DEPTH = 0.05, 0.01
#: What says when a vapour may pass, which boil too low, when air is dry, how often people change cartridges.
RULES = (
    "cartridge-light-share",
    "cartridge-boiling-point",
    "cartridge-dry-air",
    "cartridge-thumb-boiling-point",
    "cartridge-thumb-concentration",
    "cartridge-changes-most",
)
HUMID = 0.9  # stands for air that counts as humid, where the rule of thumb halves its time


@dataclass(frozen=True, slots=True)
class Life:
    """How long one set of cartridges may be used [s], from the first opening, and how that was found."""

    seconds: float
    words: str
    figures: tuple[Figure, ...]


def life(
    job: Job, exposure: Exposure, reference: Reference, respirator: Respirator, masked: Sequence[StepNeed]
) -> Life | Unknown:
    """Shortest time over the substances that matter, at the highest vapour of the steps that wear the mask.

    A mixture counts as if all of it were the substance that comes through first. A substance at a
    small share of its limit may pass and is left out. Unknown where neither method gives a time.
    """
    schedule = setting(job, "cartridge_change_time", "time", 60.0, 28800.0)
    if isinstance(schedule, Unknown):
        return schedule
    counted = _counted(exposure, reference, masked)
    total = max((_together(exposure, n) for n in masked), default=0.0)
    factor = max((n.factor for n in masked), default=1.0)
    humid = _humid(job, masked, reference)
    thumbs = [_thumb(s, total, humid, respirator, reference) for s, _ in counted]
    woods = [_wood(job, s, total, own, factor, humid, respirator, reference, masked) for s, own in counted]
    thumb, wood = _shortest(thumbs), _shortest(woods)
    if respirator.sorbent_mass is None or respirator.bed_depth is None:  # what stands for them may cap, not allow
        name = respirator.name or respirator.id
        wood = Unknown(say("the stock list gives no carbon mass and bed depth of {name}", name=name))
    found = [f for f in (thumb, wood) if isinstance(f, Figure)]
    if isinstance(schedule, float):
        found.append(
            Figure(
                say("the shop's written change schedule"), schedule, "s", inputs=(("setting", "cartridge_change_time"),)
            )
        )
    if not found:
        return Unknown(say("no change time: {both}", both=_both(thumb, wood)))
    # a method that has no time for one vapour still has one for another, and that holds
    part = [f for whole, each in ((thumb, thumbs), (wood, woods)) if isinstance(whole, Unknown) for f in each]
    parts = sorted((f for f in part if isinstance(f, Figure)), key=lambda f: f.value)[:1]
    legal = _legal(job, exposure, reference, masked)
    found += parts + legal
    least = min(found, key=lambda f: f.value)
    chosen = Figure(
        say("cartridge time"),
        least.value,
        "s",
        inputs=tuple((f.name, f) for f in found),
        note=say("the shortest rules"),
    )
    words = say("{both}; the shorter rules", both=_both(thumb, wood))
    for figure in parts:
        words = say("{thumb}; {wood}", thumb=_said(figure.name, figure), wood=words)
    if humid:
        words = say("{words}; halved for humid air", words=words)
    if legal:
        most = min(legal, key=lambda f: f.value)
        words = say("{words}; {law}: {hours:g} h at most", words=words, law=most.name, hours=most.value / 3600)
    return Life(least.value, words, (chosen, *found))


def _legal(job: Job, exposure: Exposure, reference: Reference, masked: Sequence[StepNeed]) -> list[Figure]:
    """The longest a cartridge may stay by the laws on what is in this air: never a time by itself, only a cap."""
    found = {}
    for own in masked:
        for row in device_rules.binding("cartridge_change", exposure, own.step, reference):
            seconds = job.shift if row.get("shift") else row["hours"] * 3600.0
            name = cite(row)
            found[name] = Figure(name, seconds, "s", inputs=((say("rule"), as_threshold(row, name, seconds, "s")),))
    return list(found.values())


def changes(exposure: Exposure, seconds: float, masked: Sequence[StepNeed]) -> tuple[float, ...]:
    """Seconds since the job's start at which new cartridges go on, while any step still wears the mask.

    The clock runs from the first step that wears it, idle time counted: vapour wanders on in the carbon. It runs until
    the slowest work is done.
    """
    start = min(exposure.timeline.span(n.step)[0] for n in masked)
    end = max(exposure.timeline.possible(n.step)[1] for n in masked)
    time = whole(seconds)
    return tuple(start + time * n for n in range(1, _whole_times(end - start, time) + 1))


def whole(seconds: float) -> float:
    """A time in whole minutes, of which there is one at least [s]."""
    return max(seconds // 60 * 60, 60.0)


def changes_a_shift(job: Job, exposure: Exposure, seconds: float, masked: Sequence[StepNeed]) -> float:
    """How many changes that is for each shift the work takes: of quick, planned and slow work the most."""
    changed = whole(seconds)
    worn = []
    for one in (exposure.timeline, *exposure.timeline.ends):
        spans = [one.span(n.step) for n in masked]
        worn.append(max(end for _, end in spans) - min(start for start, _ in spans))
    return max(_whole_times(time, changed) / max(1, math.ceil(settled(time / job.shift))) for time in worn)


def _whole_times(time: float, whole: float) -> int:
    return int((time - 1e-6) // whole)


def times(job: Job, moments: Sequence[float]) -> str:
    """Clock times of these moments in a row."""
    return joined((clock(job.start, m, "down") for m in moments), ", ")


def _together(exposure: Exposure, own: StepNeed) -> float:
    """All vapours of a step's worst quarter hour, careful end [mole fraction]."""
    return settled(float(decisive(exposure.ppm(exposure.steps[own.step].worst_15min).sum(axis=1)))) / 1e6


def _counted(exposure: Exposure, reference: Reference, masked: Sequence[StepNeed]) -> list[tuple[Substance, float]]:
    """Substances whose coming through would matter, each with its own highest share of the air."""
    small = threshold(reference, "cartridge-light-share")
    found = []
    for column, substance in enumerate(exposure.substances):
        own = max(
            (float(decisive(exposure.ppm(exposure.steps[n.step].worst_15min)[:, column])) * 1e-6 for n in masked),
            default=0.0,
        )
        ratios = [ratio_of(need, substance) for n in masked for need in (*n.short, *((n.shift,) if n.shift else ()))]
        known = [r for r in ratios if r is not None]
        if own > 0 and (not known or past(max(known), small)):
            found.append((substance, own))
    return found


def ratio_of(need: Need, substance: Substance) -> float | None:
    """How much of its own limit one substance uses up in a need, or None where it has no such limit."""
    return next((t.value for t in need.terms if t.substance.cas == substance.cas), None)


def _humid(job: Job, masked: Sequence[StepNeed], reference: Reference) -> bool:
    """Whether the air may be too humid for the published times; unknown humidity counts as humid."""
    dry = threshold(reference, "cartridge-dry-air")
    return any((h := job.steps[n.step].place.humidity) is None or past(h, dry) for n in masked)


def _airflow(respirator: Respirator) -> float:
    if respirator.kind != "powered air-purifying":
        return BREATHING
    return BLOWER_LOOSE if respirator.facepiece in ("hood", "loose-fitting") else BLOWER_TIGHT


def _thumb(
    substance: Substance, total: float, humid: bool, respirator: Respirator, reference: Reference
) -> Figure | Unknown:
    boiling = substance.best("boiling_point")
    if isinstance(boiling, Unknown):
        return boiling
    least, most = (threshold(reference, f"cartridge-thumb-{name}") for name in ("boiling-point", "concentration"))
    if past(boiling.value, least):
        return Unknown(say("the rule says nothing of a liquid that boils at or under {least}", least=least.written))
    if past(total, most):
        return Unknown(say("the rule says nothing of {most} and more", most=most.written))
    humidity, rate = HUMID if humid else 0.5, _airflow(respirator) / BREATHING
    try:
        seconds = float(cartridge_service_life_rule_of_thumb(boiling.value, total, humidity, rate))
    except ValueError as error:
        return Unknown(str(error))
    inputs = (
        ("boiling point", boiling),
        ("concentration", _vapour(total)),
        ("humidity", humidity),
        ("work rate", rate),
    )
    return Figure(
        say("rule of thumb, {name}", name=substance.name), seconds, "s", "cartridge_service_life_rule_of_thumb", inputs
    )


def _wood(
    job: Job,
    substance: Substance,
    total: float,
    own: float,
    factor: float,
    humid: bool,
    respirator: Respirator,
    reference: Reference,
    masked: Sequence[StepNeed],
) -> Figure | Unknown:
    carbon = LEAST_CARBON if respirator.sorbent_mass is None else respirator.sorbent_mass
    depth = LEAST_DEPTH if respirator.bed_depth is None else respirator.bed_depth
    temperature = max(job.steps[n.step].place.temperature.high for n in masked)
    pressure = reference.vapour_pressure(substance.cas, temperature)
    if isinstance(pressure, Unknown):
        return pressure
    values = _properties(substance)
    if isinstance(values, Unknown):
        return values
    # a vapour cannot be thicker than its liquid allows: then only its own share counts
    share = total if total * PRESSURE < pressure.value else own
    through = min(BREAKTHROUGH, 1 / factor)
    area = carbon / OSHA_BED_DENSITY / depth
    try:
        seconds = float(
            cartridge_service_life_wood(
                share,
                through,
                values["molar_mass"].value,
                values["density"].value,
                pressure.value,
                values["refractive_index"].value,
                carbon,
                area,
                OSHA_BED_DENSITY,
                _airflow(respirator),
                temperature,
            )
        )
    except ValueError as error:
        return Unknown(str(error))
    inputs = (
        ("concentration", _vapour(share)),
        ("share let through", through),
        *values.items(),
        ("vapour pressure", pressure),
        *_stated(job, respirator, "sorbent_mass", say("{g:g} g of carbon", g=carbon * 1e3)),
        *_stated(job, respirator, "bed_depth", say("{mm:g} mm deep", mm=depth * 1e3)),
        ("packing of the bed, kg/m3", OSHA_BED_DENSITY),
        ("airflow, m3/s", _airflow(respirator)),
        ("temperature, K", temperature),
    )
    full = Figure(
        say("Wood's estimate, {name}", name=substance.name), seconds, "s", "cartridge_service_life_wood", inputs
    )
    return _in_humid_air(full, reference) if humid else full


def _in_humid_air(dry: Figure, reference: Reference) -> Figure:
    """Half of the time: water takes up carbon too."""
    inputs = ((dry.name, dry), ("humid air", threshold(reference, "cartridge-dry-air")))
    return Figure(dry.name, dry.value / 2, "s", inputs=inputs)


def _properties(substance: Substance) -> dict[str, Cited] | Unknown:
    """What Wood's equation asks of a substance, or the first of it that is not known."""
    values: dict[str, Cited] = {}
    for name in ("molar_mass", "density", "refractive_index"):
        value = substance.best(name)
        if isinstance(value, Unknown):
            return value
        values[name] = value
    return values


def _stated(job: Job, respirator: Respirator, key: str, text: str) -> tuple[tuple[str, Given | str], ...]:
    """A value of the stock list with its place in the shop's file; the words alone where another stands for it."""
    if getattr(respirator, key) is None:
        return ((key.replace("_", " "), text),)
    at = job.shop.respirators.index(respirator)
    return ((key.replace("_", " "), Given(Path(job.shop.file).name, ("respirator", at, key), text)),)


def _vapour(share: float) -> Figure:
    return Figure(say("vapour breathed, all substances together"), share * 1e6, "ppm")


def _shortest(results: Sequence[Figure | Unknown]) -> Figure | Unknown:
    """The shortest time; unknown as soon as one substance's is."""
    unknown = [r for r in results if isinstance(r, Unknown)]
    if unknown:
        return unknown[0]
    if not results:
        return Unknown(say("no vapour to hold back"))
    return min((r for r in results if isinstance(r, Figure)), key=lambda f: f.value)


def _both(thumb: Figure | Unknown, wood: Figure | Unknown) -> str:
    """What the two methods say, beside each other."""
    return say("{thumb}; {wood}", thumb=_said(say("rule of thumb"), thumb), wood=_said(say("Wood's estimate"), wood))


def _said(name: str, result: Figure | Unknown) -> str:
    if isinstance(result, Unknown):
        return say("{name}: none, {why}", name=name, why=result.reason)
    return say("{name}: {minutes:.0f} min", name=name, minutes=result.value // 60)
