"""What is still wet in a step, and whether it can be lit at the temperature it is at."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Literal, TypeAlias

from safety import levels
from safety.cited import Cited, Unknown
from safety.exposure.lying import Lying, lying
from safety.formulas.ignition import mixture_flash_point
from safety.model import WATER, Figure, Given, Product, Step, Use
from safety.reference import past
from safety.reference.hazards import product_hazards
from safety.words import say
from safety_ignition import in_water
from safety_ignition.sources import TABLE, named
from safety_ignition.task import FireTask, air_pressure, here

#: From this share of water on, what else is in a mist does not make it burn. Common practice, no source.
MOSTLY_WATER = 0.5
#: What takes vapour apart and also heats a wet surface past any flash point. Common practice, no source.
HEATS = frozenset({"flame", "arc"})
#: Hazard statements of liquids that burn.
FLAMMABLE = frozenset({"H224", "H225", "H226"})


#: A flash point [K], whose it is in words, and where it comes from.
_Flash: TypeAlias = tuple[float, str, Cited | Given | Figure]


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a wet product can be lit. "unknown" is treated as yes."""

    wet: Lying
    answer: Literal["yes", "no", "unknown"]
    why: str  # a whole sentence
    figures: tuple[Figure, ...] = ()
    grounds: tuple[Any, ...] = ()

    @property
    def burns(self) -> bool:
        return self.answer != "no"


def present(task: FireTask, index: int) -> list[Lying]:
    """What is wet at some time in a step; of one product put there in one way, only the last time it was."""
    found = lying(task.exposure, index)
    return list({(w.job.id, w.product.id, _how(w), w.beside and w.at): w for w in found}.values())


#: Ways of working that throw drops.
THROWN = ("spray", "wash")


def _how(wet: Lying) -> str:
    """A way of working; "" where it was left lying."""
    return wet.thing.work if isinstance(wet.thing, Use) else ""


def verdict(task: FireTask, wet: Lying, step: Step) -> Verdict:
    """Whether a wet product can be lit in this step.

    A flash point over the temperature by the published margin clears it, unless it is a mist, a soaked cloth, or met by
    a flame or an arc of the step itself. Of the product's flash point and those of its parts the lowest is used.
    """
    found = _verdict(task, wet, wet.step if wet.beside else step, _heating(task, step))
    return replace(found, why=say("“{job}”: {why}", job=wet.job.title, why=found.why)) if wet.beside else found


def _heating(task: FireTask, step: Step) -> str:
    """The flame or arc that a step names; "" where it names none. It warms what it is held to, at once."""
    found = named(step.ignition_sources, task.reference.table(TABLE))
    return next((source.described for source in found if source.decomposes in HEATS), "")


def _verdict(task: FireTask, wet: Lying, step: Step, heating: str) -> Verdict:
    product = wet.product
    marked = _marked_flammable(task, product) if isinstance(product.flash_point, Unknown) else ()
    unmarked = isinstance(product.flash_point, Unknown) and not marked
    if unmarked and not task.burning(product):
        if _how(wet) in THROWN and _mist_may_burn(product):
            text = say("A mist of {product} may be lit: its flash point is not known.", product=product.name)
            return Verdict(wet, "unknown", text)
        text = say("{product} gives off no vapour that burns.", product=product.name)
        return Verdict(wet, "no", text, grounds=task.unburning(product))
    untrusted = [(p, row) for p in task.volatile(product) if (row := task.row("no-safe-flash-point", p.cas))]
    if untrusted:
        (part, row), *_ = untrusted
        text = say(
            "{product} holds {part}. With it a flash point gives no safe bound, and the vapour can burn.",
            product=product.name,
            part=part.name,
        )
        return Verdict(wet, "yes", text, grounds=(row,))
    diluted = in_water.flash_point(task, product)
    if isinstance(product.flash_point, Unknown) and diluted is None:
        text = say(
            "The flash point of {product} is not known ({why}), so it is treated as one that can be lit.",
            product=product.name,
            why=product.flash_point.reason,
        )
        return Verdict(wet, "unknown", text, _computed(task, product), marked)
    return _by_flash(task, wet, step, _flashes(task, product, diluted), heating)


def _mist_may_burn(product: Product) -> bool:
    """Whether what does not evaporate is sprayed with little water in it: a mist burns without any vapour."""
    water = sum(part.low for part in product.parts if part.cas == WATER)
    return water < MOSTLY_WATER and any(not part.volatile and part.high > 0 for part in product.parts)


def _marked_flammable(task: FireTask, product: Product) -> tuple[Any, ...]:
    """By what the data sheet or the classes of the parts say that it burns; nothing where neither does."""
    return product_hazards(product, task.reference).by(FLAMMABLE)


def _flashes(task: FireTask, product: Product, diluted: Figure | None) -> list[_Flash]:
    """The product's own flash point and those of its parts; an alcohol in water flashes as the two of them do."""
    found: list[_Flash] = []
    if isinstance(product.flash_point, float):
        given = Given(product.file, ("product", "flash_point"), task.degrees(product.flash_point))
        found.append((product.flash_point, say("the product's own"), given))
    if diluted is not None:
        return [*found, (diluted.value, say("computed for ethanol in water"), diluted)]
    for part in task.volatile(product):
        own = task.least(task.of(product, part), "flash_point")
        if isinstance(own, Cited):
            found.append((own.value, say("that of its part {part}", part=part.name), own))
    return found


def _label(whose: str, value: Cited | Given | Figure) -> str:
    return "flash point of the product" if isinstance(value, Given) else say("flash point, {whose}", whose=whose)


def _by_flash(task: FireTask, wet: Lying, step: Step, flashes: list[_Flash], heating: str) -> Verdict:
    product = wet.product
    printed, whose, _ = min(flashes, key=lambda f: f[0])
    temperature, pressure = task.temperature(step), air_pressure(step.place)
    lowest = here(printed, pressure)
    margin = task.reference.threshold("flash-margin-pure" if len(product.parts) == 1 else "flash-margin-mixture")
    named = say("{flash}, {whose}", flash=task.degrees(printed), whose=whose)
    if lowest < printed:
        named = say("{here} in this air ({named})", here=task.degrees(lowest), named=named)
    figure = Figure(
        name=say("margin below the flash point of {product}", product=product.name),
        value=lowest - temperature,
        unit="K (difference)",
        formula="flash_point_at",
        inputs=(
            *((_label(words, value), value) for _, words, value in flashes),
            (pressure.name, pressure),
            ("temperature", Figure(say("highest of air and surface"), temperature, "K")),
            *((("margin", margin),) if not isinstance(margin, Unknown) else ()),
        ),
    )
    counts_from = lowest if isinstance(margin, Unknown) else lowest - margin.value
    at = levels.shown(temperature, lowest, task.degrees, counts_from)
    words = {"product": product.name, "temperature": at, "named": named}
    if isinstance(margin, Unknown) or past(lowest - temperature, margin):
        text = say("{product} can be lit: it is at up to {temperature}, its flash point is {named}.", **words)
        if temperature < lowest:
            text = say(
                "{product} can be lit: it is at up to {temperature}. Its flash point is {named}, and from {bound} on "
                "it counts as one that can be lit.",
                **words,
                bound=task.degrees(counts_from),
            )
        return Verdict(wet, "yes", text, (figure,))
    if _how(wet) == "spray":
        text = say("{product} is sprayed. A mist can be lit below the flash point ({named}).", **words)
        return Verdict(wet, "yes", text, (figure,))
    if _how(wet) == "wash":
        text = say("Parts are washed in {product}. Its drops can be lit below the flash point ({named}).", **words)
        return Verdict(wet, "yes", text, (figure,))
    if _how(wet) in ("wipe", "soak", ""):
        text = say("A cloth soaked with {product} can be lit below the flash point ({named}).", **words)
        return Verdict(wet, "yes", text, (figure,))
    if heating:
        text = say(
            "{product} is still wet, and {source} warms it past its flash point ({named}).", **words, source=heating
        )
        return Verdict(wet, "yes", text, (figure,))
    text = say("{product} stays well below its flash point ({named}; at most {temperature} here).", **words)
    return Verdict(wet, "no", text, (figure,))


def _computed(task: FireTask, product: Product) -> tuple[Figure, ...]:
    """The flash point by Liaw's rule where every part has data. For information only; it decides nothing."""
    moles, parts = [], []
    for part in product.parts:
        substance = task.of(product, part)
        if not part.volatile or isinstance(substance, Unknown):
            return ()
        values = [task.least(substance, "flash_point"), *substance.equation, substance.best("molar_mass")]
        known = [v.value for v in values if isinstance(v, Cited)]
        if len(known) != len(values):
            return ()
        moles.append((part.low + part.high) / 2 / known[4])
        parts.append(known[:4])
    if not sum(moles):
        return ()
    try:
        value = float(
            mixture_flash_point([(n / sum(moles), f, a, b, c) for n, (f, a, b, c) in zip(moles, parts, strict=True)])
        )
    except ValueError:
        return ()
    return (
        Figure(
            say("computed flash point of {product}", product=product.name),
            value,
            "K",
            "mixture_flash_point",
            note=say("for information only: blends can flash lower, and a computed value replaces no test"),
        ),
    )
