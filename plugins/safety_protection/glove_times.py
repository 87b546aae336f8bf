"""What one glove of the stock is good for in one task: its wear time by the maker's own figures."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from pathlib import Path

from safety import levels, units
from safety.formulas.protection import glove_wear_time, permeation_lag_time
from safety.model import Breakthrough, Figure, Given, Glove, Job, Part
from safety.reference import Reference, crossed, past, settled
from safety.words import say
from safety_protection import glove_data
from safety_protection.contact import Contact
from safety_protection.rules import threshold


@dataclass(frozen=True, slots=True)
class Task:
    """What a pair of gloves must stand in one step."""

    job: Job
    contact: Contact
    parts: tuple[Part, ...]  # each needs a figure of its own
    wetting: tuple[Part, ...]  # these, and water: what may rule a glove out
    gaps: tuple[str, ...]  # what is not known of the products: no glove can be offered
    refer: tuple[str, ...]  # why no glove may be wetted on purpose: a splash guard at most
    warmest: float  # K, of the place or the surface
    movement: float  # factor the shop sets for moving hands, 1 = none

    @property
    def harmless(self) -> bool:
        """Nothing in the product calls for a breakthrough time."""
        return not (self.parts or self.gaps or self.refer)

    @property
    def seconds(self) -> float:
        return self.contact.end - self.contact.start


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one glove of the stock is good for. ``wear`` [s] is 0 where it grants none."""

    glove: Glove
    wear: float
    splash: bool
    why_not: str
    standard: str = ""
    figures: tuple[Figure, ...] = ()
    advice: tuple[glove_data.Advice, ...] = ()  # the published words that rule it out or let it guard against drops

    @property
    def ruled_out(self) -> tuple[glove_data.Advice, ...]:
        return tuple(one for one in self.advice if one.rules_out)


def verdict(task: Task, glove: Glove, reference: Reference) -> Verdict:
    """Judge one glove. Knowing nothing about a pair means not offering it."""
    if not glove_data.material(glove.material):
        why = say(
            'its material "{material}" is not one we know, such as {names}',
            material=glove.material,
            names=glove_data.names(),
        )
        return Verdict(glove, 0.0, False, why)
    for part in task.wetting:
        out = glove_data.ruled_out(part.cas, glove.material)
        if out is not None:
            return Verdict(glove, 0.0, False, out.brief, advice=(out,))
    wear, standard, figures, why = _wear_time(task, glove, reference)
    unmeasured = [p for p in task.parts if not _figures_of(glove, p.cas)]
    advice = [glove_data.advice(p.cas, glove.material) for p in unmeasured]
    # a rating that another list contradicts is no ground for anything
    undisputed = all(any(word.disputed is None for word in words) for words in advice)
    splash = undisputed and not task.gaps and (bool(task.parts) or task.harmless)
    if is_thin(glove, reference):
        why, wear, figures = say("it is thin, so a splash guard at most"), 0.0, (*figures, *_lags(task, glove))
    # where several speak of a pair, one that a person has read is enough
    told = tuple(
        min(words, key=lambda word: (word.disputed is not None, bool(word.unverified))) for words in advice if words
    )
    return Verdict(glove, wear, splash, why, standard, figures, told)


def _figures_of(glove: Glove, cas: str) -> tuple[Breakthrough, ...]:
    return tuple(b for b in glove.breakthrough if b.cas == cas)


def _wear_time(task: Task, glove: Glove, reference: Reference) -> tuple[float, str, tuple[Figure, ...], str]:
    """Seconds this glove may be worn from the first wetting, the standard, figures, and why there are none."""
    if task.gaps or task.refer:
        return 0.0, "", (), "; ".join((*task.gaps, *task.refer))
    figures: list[Figure] = []
    standards: set[str] = set()
    for part in task.parts:
        own = _figures_of(glove, part.cas)
        if not own:
            return 0.0, "", (), say("its maker gives no breakthrough time for {part}", part=part.name)
        if len(own) > 1:
            return 0.0, "", (), say("the stock list gives two breakthrough times for {part}", part=part.name)
        granted = _granted(task, glove, part, own[0], reference)
        if isinstance(granted, str):
            return 0.0, "", (), granted
        figures.append(granted)
        standards.add(family(own[0].standard))
    if not figures:
        return 0.0, "", (), say("no part of the product has a breakthrough time to go by")
    if len(standards) > 1:
        return (
            0.0,
            "",
            (),
            say("its times are by different standards ({all}), which do not compare", all=", ".join(sorted(standards))),
        )
    least = min(figures, key=lambda f: f.value)
    minutes = math.floor(least.value / 60 + 1e-6)
    total = Figure(
        say("wear time of {glove}", glove=name_of(glove)),
        minutes * 60.0,
        "s",
        inputs=tuple((f.name, f) for f in figures),
        note=say("the part that comes through first rules; whole minutes"),
    )
    why = "" if minutes else say("{part} comes through at once", part=least.name)
    return total.value, standards.pop(), (total,), why


#: The test standards whose minutes compare with each other, by the number in their own notation: the European one was
#: numbered anew, and the international one is the same test.
_FAMILIES = {"374": "EN", "374-1": "EN", "374-3": "EN", "16523": "EN", "16523-1": "EN", "F739": "ASTM"}
_STANDARD = re.compile(r"(?:(?:EN|ISO|ASTM|BS|DIN|NF|UNE|UNI) )*(F\d+|\d+(?:-\d+)?)(?:[:-][\d:+A-Z]+)?")


def family(standard: str) -> str:
    """The family of a test standard: minutes of one family do not compare with another's.

    What is not written as a standard is numbered, whole, is a family of its own.
    """
    found = _STANDARD.fullmatch(" ".join(standard.upper().split()))
    return _FAMILIES.get(found[1], standard.strip()) if found else standard.strip()


def _granted(task: Task, glove: Glove, part: Part, given: Breakthrough, reference: Reference) -> Figure | str:
    """The time one part leaves, or why its figure grants none."""
    hand = threshold(reference, "glove-hand-temperature")
    coldest = threshold(reference, "glove-test-temperature")
    quick = threshold(reference, "glove-splash-only")
    divisor = threshold(reference, "glove-time-divisor")
    name = part.name
    if not given.standard.strip():
        return say("the time for {part} names no test standard", part=name)
    if past(given.time, quick):
        return say(
            "{part} comes through in {minutes:g} min, so it is no more than a splash guard",
            part=name,
            minutes=given.time / 60,
        )
    if past(given.temperature, coldest):
        cold = levels.shown(given.temperature, coldest.value, _celsius)
        return say("the time for {part} was measured too cold, at {degrees}", part=name, degrees=cold)
    tested_warm = not past(given.temperature, hand)
    covered = max(hand.value, given.temperature)
    if crossed(settled(task.warmest), settled(covered), "over"):
        warm = levels.shown(task.warmest, covered, _celsius)
        return say("it may get {degrees} here, more than its time for {part} covers", degrees=warm, part=name)
    factor = (1.0 if tested_warm else 1 / divisor.value) * task.movement
    seconds = float(glove_wear_time(given.time, factor))
    tested = levels.shown(given.temperature, hand.value, _celsius)
    warmth = say("measured at {degrees}, so not divided", degrees=tested) if tested_warm else divisor
    return Figure(
        name=say("time for {part}", part=name),
        value=seconds,
        unit="s",
        formula="glove_wear_time",
        inputs=(
            (
                "breakthrough",
                Given(
                    Path(task.job.shop.file).name,
                    ("glove", task.job.shop.gloves.index(glove), "breakthrough", part.cas),
                    say(
                        "{minutes:g} min, maker's figure, {standard}, {degrees}",
                        minutes=given.time / 60,
                        standard=given.standard,
                        degrees=tested,
                    ),
                ),
            ),
            ("factor", factor),
            ("hand warmth", warmth),
            ("movement", task.movement),
        ),
    )


def _celsius(kelvin: float) -> str:
    return say("{number:.0f} °C", number=kelvin - 273.15)


def is_thin(glove: Glove, reference: Reference) -> bool:
    """Disposable, or a thin rubber film. A laminate is thin by nature and is judged by its figures."""
    thin = past(glove.thickness, threshold(reference, "thin-glove"))
    return glove.disposable or (thin and not glove_data.is_laminate(glove.material))


def _lags(task: Task, glove: Glove) -> tuple[Figure, ...]:
    """How soon each part begins to creep through this thickness: an estimate that grants nothing."""
    found = []
    for part in task.parts:
        diffusivity = glove_data.diffusivity(part.cas, glove.material)
        if diffusivity is not None:
            lag = float(permeation_lag_time(glove.thickness, diffusivity.value))
            inputs = (("thickness", units.show(glove.thickness, "length", "mm")), ("diffusivity", diffusivity))
            found.append(
                Figure(
                    say("{part} begins to creep through", part=part.name),
                    lag,
                    "s",
                    "permeation_lag_time",
                    inputs,
                    note=say("estimate; grants nothing"),
                )
            )
    return tuple(found)


def name_of(glove: Glove) -> str:
    """What people call this glove."""
    return glove.name or glove.id
