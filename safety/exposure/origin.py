"""What a concentration was made from, for those who ask: files, data and equations of the engine."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Iterator
from functools import wraps
from pathlib import Path
from typing import Any, Concatenate, ParamSpec

from safety.exposure.equations import equations
from safety.exposure.liquids import CORRELATION_SPREAD
from safety.exposure.plan import doors_of
from safety.exposure.result import Exposure
from safety.model import ANTOINE, Given, Job, Leftover, Range, Step, Use
from safety.words import say, spoken

Inputs = tuple[tuple[str, Any], ...]
_P = ParamSpec("_P")

#: What has been put together of the air a thread asks about: a sheet asks for the same hundreds of times. Plugins are
#: asked in threads of their own, so what one does to its inputs reaches nobody else's.
_noted = threading.local()


def _once(
    make: Callable[Concatenate[Exposure, _P], Iterable[tuple[str, Any]]],
) -> Callable[Concatenate[Exposure, _P], Inputs]:
    """The same, put together once as long as a thread asks about the same air in the same language."""

    @wraps(make)
    def noted(exposure: Exposure, /, *args: _P.args, **kwargs: _P.kwargs) -> Inputs:
        if getattr(_noted, "air", None) is not exposure or _noted.language != spoken():
            _noted.air, _noted.language, _noted.found = exposure, spoken(), {}
        found: dict[object, Inputs] = _noted.found
        key = make, args, tuple(kwargs.items())
        if key not in found:
            found[key] = tuple(make(exposure, *args, **kwargs))
        return found[key]

    return noted


@_once
def made_of(exposure: Exposure, cas: str, step: int | None = None) -> Iterator[tuple[str, Any]]:
    """Everything that went into the air figures of one substance, up to a step (None: the whole job).

    (label, value) pairs: what was used where, the part's share in each product, the place's air,
    and the data of the substance and of what evaporates beside it, with the place in the file or the source of each.
    """
    last = len(exposure.job.steps) if step is None else step + 1
    for index in range(last):
        yield from _used(exposure, None, cas, index)
    until = exposure.timeline.span(last - 1)[1]
    for number, other in enumerate(exposure.neighbours):
        for index in range(len(other.job.steps)):
            if other.timeline.span(index)[0] < until:
                yield from _used(exposure, number, cas, index)
    yield from _air(exposure, last - 1)
    yield from _doors(exposure)
    yield from data_of(exposure, cas)
    for beside in _beside(exposure, cas, last, until):
        yield from data_of(exposure, beside)
    yield from _computed(exposure, _cut(exposure, cas))


@_once
def _computed(exposure: Exposure, cut: bool) -> Iterator[tuple[str, Any]]:
    yield say("equations"), ", ".join(equations(exposure, cut))
    yield say("draws and seed"), say("{draws}, seed {seed}", draws=exposure.draws, seed=exposure.seed)


def _cut(exposure: Exposure, cas: str) -> bool:
    """Whether a substance is a petroleum fraction in a product of this air."""
    column = exposure.column(cas)
    listed = column is not None and "boiling_end" in exposure.substances[column].properties
    products = [p for job in (exposure.job, *(n.job for n in exposure.neighbours)) for p in job.products]
    return listed or any(p.key == cas and p.stated.boiling_range for product in products for p in product.parts)


@_once
def _used(exposure: Exposure, neighbour: int | None, cas: str, index: int) -> Iterator[tuple[str, Any]]:
    """Each thing of a step that holds the substance: its amount, its area, and the substance's share in it.

    The step is the job's own (None) or that of one of its neighbours.
    """
    job = exposure.job if neighbour is None else exposure.neighbours[neighbour].job
    whose = "" if neighbour is None else say("“{job}”, ", job=job.title)
    step = job.steps[index]
    yield from _taking(job, index)
    tables: tuple[tuple[str, tuple[Use | Leftover, ...]], ...] = (("use", step.uses), ("leaves_wet", step.leaves_wet))
    for key, things in tables:
        for at, thing in enumerate(things):
            part = next((i for i, p in enumerate(thing.product.parts) if p.key == cas), None)
            if part is None:
                continue
            where = ("step", index, key, at)
            label = say("{whose}step {number}, {product}", whose=whose, number=index + 1, product=thing.product.name)
            yield label, Given(job.file, (*where, "amount"), _amount(thing))
            share = thing.product.parts[part]
            yield (
                say("share of it"),
                Given(
                    thing.product.file,
                    ("product", "part", part, "weight"),
                    say("{low:.4g} % to {high:.4g} %", low=share.low * 100, high=share.high * 100),
                ),
            )
            boils = share.stated.boiling_range
            if boils is not None:
                named = ("product", "part", part, "boiling_range")
                yield say("boiling range"), Given(thing.product.file, named, boils.written)


def _taking(job: Job, index: int) -> Iterator[tuple[str, Any]]:
    """Between which times a step that uses something is done: each figure is the higher of those at both ends."""
    span = job.steps[index].lasts
    if span is None or span.exact or not job.steps[index].wet_things:
        return
    text = say("{low:.3g} min to {high:.3g} min", low=span.low / 60, high=span.high / 60)
    label = say("step {number} done in", number=index + 1)
    yield label, Given(job.file, ("step", index, "duration"), text)


def _amount(thing: Use | Leftover) -> str:
    mass = thing.mass
    kilograms = (
        say("{low:.3g} to {high:.3g} g", low=mass.low * 1e3, high=mass.high * 1e3) if isinstance(mass, Range) else ""
    )
    area = say(" on {area:.3g} m2", area=thing.area) if isinstance(thing.area, float) else ""
    return say("{written} ({mass}){area}", written=thing.written or say("by coverage"), mass=kilograms, area=area)


@_once
def _air(exposure: Exposure, index: int) -> Iterator[tuple[str, Any]]:
    shop, step = exposure.job.shop, exposure.job.steps[index]
    place = step.place
    at = list(shop.places).index(place.id)
    state = [a.state for a in shop.places[place.id].airs].index(step.air.state)
    file = Path(shop.file).name
    path = ("place", at, "air", state)
    for name, words, given in (
        ("air_changes", say("air changes"), step.air.air_changes),
        ("air_speed", say("air speed"), step.air.air_speed),
    ):
        label = say("{name} of {place}, {state}", name=words, place=place.id, state=step.air.state)
        yield label, Given(file, (*path, name), given.written)
    taken, stream = step.air.capture, step.air.face_velocity
    if taken.high:
        text = say("{text}; {basis}", text=taken.written, basis=taken.basis) if taken.basis else taken.written
        yield say("share a hood takes"), Given(file, (*path, "capture"), text)
    if stream is not None:
        yield say("stream through the booth"), Given(file, (*path, "face_velocity"), stream.written)
    yield say("basis of both"), Given(file, (*path, "basis"), step.air.basis)
    if place.kind != "outdoor":
        yield say("volume"), Given(file, ("place", at, "volume"), say("{volume} m3", volume=place.volume))
    radius = place.near_radius
    yield (
        say("near-field radius"),
        radius if radius.basis else Given(file, ("place", at, "near_radius"), radius.written),
    )
    yield say("temperature"), _temperature(exposure.job, step, index)
    yield say("spread of the evaporation equations"), CORRELATION_SPREAD


@_once
def _doors(exposure: Exposure) -> Iterator[tuple[str, Any]]:
    """What says how much air goes over between the places of this air and those behind their doors."""
    shop = exposure.job.shop
    for at, number, door in doors_of(exposure.job):
        path = ("place", at, "door", number)
        for key, words, given in (
            ("airflow", say("air through it"), door.airflow),
            ("open_share", say("share of the time it is open"), door.open_share),
            ("temperature_difference", say("temperature difference"), door.temperature_difference),
        ):
            if given is not None:
                yield (
                    say("{what}, door to {place}", what=words, place=door.to),
                    Given(Path(shop.file).name, (*path, key), given.written),
                )
        if door.area is not None and door.height is not None:
            text = say("{area:.3g} m2, {height:.3g} m high", area=door.area, height=door.height)
            label = say("opening, door to {place}", place=door.to)
            yield label, Given(Path(shop.file).name, (*path, "area"), text)
        if not door.known:
            yield say("door to {place}", place=door.to), say("not known: both places count as one air")


def _temperature(job: Job, step: Step, index: int) -> Given:
    """The temperature of a step's air: the place's own, or what the job or the step says in place of it."""
    given = step.place.temperature
    if given == job.shop.places[step.place.id].temperature:
        at = list(job.shop.places).index(step.place.id)
        return Given(Path(job.shop.file).name, ("place", at, "temperature"), given.written)
    of_job = given == job.place.temperature != job.shop.places[job.place.id].temperature
    return Given(job.file, ("job", "temperature") if of_job else ("step", index, "temperature"), given.written)


def _beside(exposure: Exposure, cas: str, last: int, until: float) -> list[str]:
    """What a product holds beside a substance: it dilutes it while it is there, and leaves it alone when it is gone."""
    things = [thing for step in exposure.job.steps[:last] for thing in step.wet_things]
    for other in exposure.neighbours:
        steps = (step for i, step in enumerate(other.job.steps) if other.timeline.span(i)[0] < until)
        things += [thing for step in steps for thing in step.wet_things]
    held = [{part.cas for part in thing.product.parts} for thing in things]
    shared = set[str]().union(*(parts for parts in held if cas in parts))
    return [s.cas for s in exposure.substances if s.cas in shared and s.cas != cas]


@_once
def data_of(exposure: Exposure, cas: str) -> Iterator[tuple[str, Any]]:
    """What of a substance's own data its vapour is computed from."""
    substance = next(s for s in exposure.substances if s.cas == cas)
    words = (say("molar mass"), say("antoine a"), say("antoine b"), say("antoine c"))
    for name, word in zip(("molar_mass", *ANTOINE), words, strict=True):
        yield say("{name} of {substance}", name=word, substance=substance.name), substance.best(name)
