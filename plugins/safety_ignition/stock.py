"""Small and enclosed places: everything carried in, held against what makes the air dangerous."""

from __future__ import annotations

from safety import levels, units
from safety.cited import Unknown
from safety.formulas.ignition import flammable_mass
from safety.model import Carried, Figure, Finding, Leftover, Place, Range, Threshold, Use
from safety.reference import past
from safety.words import joined, say
from safety_ignition.explosive_limits import bound, careful_limit
from safety_ignition.task import PLUGIN, FireTask, air_pressure


def judge(task: FireTask) -> list[Finding]:
    places = {step.place.id: step.place for step in task.job.steps} | {task.job.place.id: task.job.place}
    return [_judge(task, place) for place in places.values() if task.is_small(place)]


def _judge(task: FireTask, place: Place) -> Finding:
    name = place.name or place.id
    stop = task.fire_stop
    if isinstance(place.volume, Unknown) or isinstance(stop, Unknown):
        missing = place.volume if isinstance(place.volume, Unknown) else stop
        assert isinstance(missing, Unknown)
        return _unknown(
            place,
            say(
                "How much solvent {place} can take before its air is dangerous is not known: {why}.",
                place=name,
                why=missing.reason,
            ),
        )
    return _held(task, place, place.volume, stop)


def _held(task: FireTask, place: Place, volume: float, stop: Threshold) -> Finding:
    """Everything carried in, as a share of what the place's air can take."""
    name = place.name or place.id
    temperature = max(
        [place.temperature.high, *(task.temperature(s) for s in task.job.steps if s.place.id == place.id)]
    )
    share = 0.0
    inputs: list[tuple[str, Figure]] = []
    unknown: list[str] = []
    for what, thing in _everything(task, place):
        if isinstance(thing.mass, Unknown):
            unknown.append(say("the amount of {what} is not given", what=what))
            continue
        part, figures, reasons_here = _share(task, thing, place, volume, stop, temperature)
        share += part
        inputs += [(what, f) for f in figures]
        unknown += reasons_here
    figure = Figure(
        name=say("everything carried in, as a share of what is allowed"),
        value=share * 100,
        unit="%",
        formula="flammable_mass",
        inputs=(("fire limit", stop), *inputs),
    )
    unburning = [row for _, thing in _everything(task, place) for row in task.unburning(thing.product)]
    over = past(share * stop.value, stop)
    reasons = "; ".join(dict.fromkeys(unknown))
    sentences = [_sentence(task, name, volume, share, stop, over, bool(reasons))]
    sentences.append(
        say("Counted: what is used, what is left wet, and stock carried in, even where one holds the other.")
    )
    short = say(
        "{place}: {share} % of the solvent it can take", place=name, share=levels.compared(share * 100, 100.0, digits=2)
    )
    if reasons:
        short = say("How full of solvent {place} may get is not known", place=name)
    return Finding(
        level="stop" if over else "control" if reasons else "note",
        topic="fire",
        statement=joined(sentences),
        short=say("Too much solvent in {place}", place=name) if over else short,
        plugin=PLUGIN,
        figures=(figure,) if share > 0 or not reasons else (),
        rule=task.rule("enclosed"),
        grounds=(*task.grounds("enclosed"), *task.size(place), *unburning),
        unknown=say("Not all that is carried into {place} could be counted: {reasons}.", place=name, reasons=reasons)
        if reasons
        else "",
        remedy=say("Carry in only what one small piece of the work needs, in closed cans.") if over or reasons else "",
        key=f"fire-stock:{place.id}",
    )


def _sentence(task: FireTask, name: str, volume: float, share: float, stop: Threshold, over: bool, partly: bool) -> str:
    us = task.job.shop.print_units == "us"
    words = {
        "place": name,
        "volume": units.show(volume, "volume", "ft3" if us else "m3"),
        "share": levels.compared(share * stop.value * 100, stop.value * 100, digits=2),
        "limit": stop.written,
    }
    if over:
        return say(
            "If all solvent carried into {place} ({volume}) turned to vapour, its air would be at {share} "
            "% of the lower explosive limit. The limit is {limit}.",
            **words,
        )
    if partly and share <= 0:
        return say(
            "What the solvent carried into {place} ({volume}) makes of the lower explosive limit is not known. "
            "The limit is {limit}.",
            **words,
        )
    if partly:
        return say(
            "What could be counted of the solvent carried into {place} ({volume}) makes {share} % of the lower "
            "explosive limit. How much more there may be is not known. The limit is {limit}.",
            **words,
        )
    return say(
        "All solvent carried into {place} ({volume}) makes {share} % of the lower explosive limit at "
        "most. The limit is {limit}.",
        **words,
    )


def _unknown(place: Place, text: str) -> Finding:
    name = place.name or place.id
    short = say("How much solvent {place} can take", place=name)
    return Finding("control", "fire", text, short, PLUGIN, unknown=text, key=f"fire-stock:{place.id}")


def _everything(task: FireTask, place: Place) -> list[tuple[str, Use | Leftover | Carried]]:
    """Uses and leftovers of the steps in this place, and all stock: nobody knows where a can ends up."""
    things: list[tuple[str, Use | Leftover | Carried]] = [(c.product.name, c) for c in task.job.carried]
    for step in task.job.steps:
        if step.place.id == place.id:
            things += [(u.product.name, u) for u in step.uses]
            things += [(left.what, left) for left in step.leaves_wet]
    return things


def _share(
    task: FireTask, thing: Use | Leftover | Carried, place: Place, volume: float, stop: Threshold, temperature: float
) -> tuple[float, list[Figure], list[str]]:
    """What one thing's vapour takes up of the mass allowed in the place [1], with figures and what is missing."""
    share, figures, missing = 0.0, [], []
    assert isinstance(thing.mass, Range)  # one that nobody gave was told apart before
    product, mass, pressure = thing.product, thing.mass.high, air_pressure(place)
    for part in task.burning(product):
        substance = task.of(product, part)
        if not part.cas and isinstance(substance, Unknown):
            missing.append(say("{product} has a part its maker does not name", product=product.name))
            continue
        limit = careful_limit(task, substance, temperature)
        if isinstance(limit, Unknown):
            missing.append(limit.reason)
            limit = bound(task)
        molar_mass = substance if isinstance(substance, Unknown) else substance.best("molar_mass")
        if isinstance(limit, Unknown) or isinstance(molar_mass, Unknown):
            why = limit if isinstance(limit, Unknown) else molar_mass
            assert isinstance(why, Unknown)
            missing.append(why.reason)
            continue
        allowed = float(flammable_mass(volume, limit.value, stop.value, molar_mass.value, temperature, pressure.value))
        share += mass * part.high / allowed
        inputs = (
            ("lower limit", limit),
            ("molar mass", molar_mass),
            (pressure.name, pressure),
            ("carried in", Figure(part.name, mass * part.high, "kg")),
        )
        figures.append(
            Figure(say("{part} that may be in the place", part=part.name), allowed, "kg", "flammable_mass", inputs)
        )
    return share, figures, missing
