"""Lower explosive limits: which of several values is used, and what heat does to it."""

from __future__ import annotations

from safety.cited import Cited, Unknown
from safety.formulas.ignition import lower_limit_at
from safety.model import Figure, Finding, Substance
from safety.units import significant
from safety.words import joined, message, say
from safety_ignition.task import PLUGIN, FireTask

#: Temperature [K] at which lower limits are given where their source gives none.
GIVEN_AT = 298.15
#: Name of the threshold that stands in for a lower limit nobody gives.
UNKNOWN_LIMIT = "unknown-lower-limit"


def judge(task: FireTask) -> list[Finding]:
    """Say where sources disagree, and where a liquid without a flash point can burn all the same."""
    found = []
    for substance in task.exposure.substances:
        values = substance.properties.get("lower_explosive_limit", ())
        if len({v.value for v in values}) > 1:
            found.append(_disagree(substance, values))
        if values and "flash_point" not in substance.properties:
            lowest = min(values, key=lambda v: v.value)
            text = say(
                "No flash point of {name} is known. "
                "That does not make it safe: its vapour can burn from {limit} in air.",
                name=substance.name,
                limit=lowest.written,
            )
            short = say("{name}: no flash point, can still burn", name=substance.name)
            key = f"fire-no-flash-point:{substance.cas}"
            found.append(Finding("note", "fire", text, short, PLUGIN, key=key, grounds=(lowest,)))
        found += _burns(task, substance)
    return found


def _burns(task: FireTask, substance: Substance) -> list[Finding]:
    """Between which shares vapour burns, and how hot a surface lights it: of several values the widest and the lowest.

    Air over the upper limit is no safe air: it passes through all between while it is cleared.
    """
    low, hot = task.least(substance, "lower_explosive_limit"), task.least(substance, "autoignition")
    uppers = substance.properties.get("upper_explosive_limit", ())
    high = max(uppers, key=lambda v: v.value) if uppers else None
    texts, figures = [], []
    if high is not None and not isinstance(low, Unknown):
        rich = say(
            "Vapour of {name} burns from {low} to {high} in air. Air with more of it burns while it is cleared.",
            name=substance.name,
            low=low.written,
            high=high.written,
        )
        texts.append(rich)
        name = say("upper explosive limit of {name}", name=substance.name)
        figures.append(Figure(name, high.value * 100, message("% of the air"), inputs=(("value", high),)))
    if not isinstance(hot, Unknown):
        degrees = task.degrees(hot.value)
        texts.append(say("From {degrees} on a surface can light {name}.", degrees=degrees, name=substance.name))
        name = say("ignition temperature of {name}", name=substance.name)
        figures.append(Figure(name, hot.value, "K", inputs=(("value", hot),)))
    if not texts:
        return []
    short = say("{name}: from where to where it burns", name=substance.name)
    key = f"fire-burns:{substance.cas}"
    return [Finding("note", "fire", joined(texts), short, PLUGIN, figures=tuple(figures), key=key)]


def _disagree(substance: Substance, values: tuple[Cited, ...]) -> Finding:
    ordered = sorted(values, key=lambda v: v.value)
    used = ordered[0]
    text = say(
        "Sources put the lower explosive limit of {name} at {all}. The lowest is used: {used} ({title}).",
        name=substance.name,
        all=", ".join(dict.fromkeys(v.written for v in ordered)),
        used=used.written,
        title=used.source.title,
    )
    figure = Figure(
        say("lower explosive limit of {name}", name=substance.name),
        used.value * 100,
        message("% of the air"),
        inputs=tuple((v.source.title, v) for v in ordered),
    )
    short = say("{name}: explosive limit {used} used", name=substance.name, used=used.written)
    key = f"fire-explosive-limit:{substance.cas}"
    return Finding("note", "fire", text, short, PLUGIN, figures=(figure,), rule=used.source.title, key=key)


def careful_limit(task: FireTask, substance: Substance | Unknown, temperature: float) -> Figure | Unknown:
    """The lowest published lower explosive limit [mole fraction], lowered further for heat over 25 degC."""
    limit = task.least(substance, "lower_explosive_limit")
    if isinstance(limit, Unknown):
        return limit
    name = say("lower explosive limit")
    at = limit.condition("temperature") or GIVEN_AT
    heat = substance if isinstance(substance, Unknown) else substance.best("heat_of_combustion")
    if temperature <= max(at, GIVEN_AT) or isinstance(heat, Unknown):
        return Figure(name, limit.value, "1", inputs=(("value", limit),))
    hot = float(lower_limit_at(limit.value, temperature, heat.value))
    inputs = (
        ("lower limit", limit),
        ("temperature", Figure(say("temperature"), temperature, "K")),
        ("heat of combustion", heat),
    )
    return Figure(name, hot, "1", "lower_limit_at", inputs)


def bound(task: FireTask) -> Figure | Unknown:
    """What is taken for a lower explosive limit [mole fraction] that nobody gives; said wherever it is used."""
    lowest = task.reference.threshold(UNKNOWN_LIMIT)
    if isinstance(lowest, Unknown):
        return lowest
    name = say("lower explosive limit")
    return Figure(name, lowest.value, "1", inputs=(("value", lowest),), note=say("none is known, so this is taken"))


def correction(task: FireTask, temperature: float) -> tuple[float, str]:
    """What the engine's fraction of the explosive limit must be multiplied by, and why.

    The engine divides by the first value of each substance. Where a source gives a lower one, or
    the place is hotter than 25 degC, the fraction is higher; the worst substance's factor is taken
    for all, the careful side.
    """
    worst = 1.0
    for substance in task.exposure.substances:
        used, careful = substance.best("lower_explosive_limit"), careful_limit(task, substance, temperature)
        if isinstance(used, Cited) and not isinstance(careful, Unknown):
            worst = max(worst, used.value / careful.value)
    note = say("raised by {percent} % for heat or a lower published limit", percent=significant((worst - 1) * 100, 2))
    return worst, note if worst > 1 else ""
