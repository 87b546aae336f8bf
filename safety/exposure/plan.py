"""Everything wet in a job: which liquid lies where, from when to when, on what area."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from safety.cited import Unknown
from safety.exposure.liquids import ANY_WAY, HEAT_SUPPLY, IN_A_CLOTH, STANCE, Liquid, liquid_of
from safety.exposure.result import Neighbour
from safety.model import (
    IN_A_VESSEL,
    WATER,
    AirState,
    Door,
    Job,
    Leftover,
    Place,
    Product,
    Range,
    Shop,
    Step,
    Substance,
    Timeline,
    Use,
    in_step,
)
from safety.reference import Reference
from safety.timeline import laid_in
from safety.words import say

NEVER = float("inf")

_Numbers = tuple[tuple[int, int], tuple[int, int]]  # of a wet thing and of its can, as in Wet


@dataclass(frozen=True, slots=True)
class Wet:
    """One liquid laid down once: the fixed part of a laying, before anything is drawn [SI]."""

    step: int
    what: str
    product: Product
    liquid: Liquid
    place: Place
    air: AirState
    surface: Range  # K, of what lies under it
    mass: Range
    written: str
    kept: Range
    area: float | None  # None: mist
    heat_supply: tuple[float, float]
    stance: tuple[float, float]
    freeboard: float
    start: float
    end: float
    over: float  # when the step that lays it is over
    lifted: float
    near: bool
    stirred: bool  # somebody works beside it: he moves the air over it
    hand_speed: float | None  # m/s along the part; None: the hands stay
    number: tuple[int, int]  # whose it is (0: of the job itself) and the how manieth wet thing of that job's work
    can: tuple[int, int]  # the same of the first to use its product, and the how manieth product
    own: bool = True  # False: of another job in the same place. It never feeds this job's near field


class Passage(NamedTuple):
    """A door with the numbers of the two places it is between, among those of the plan."""

    door: Door
    ends: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Plan:
    wets: tuple[Wet, ...]
    substances: tuple[Substance, ...]  # in the air, in order of first use
    places: tuple[Place, ...]  # the job's own first, then those behind their doors
    passages: tuple[Passage, ...]
    unknowns: tuple[str, ...]
    unknown_steps: tuple[tuple[str, ...], ...]  # for each step, what its air holds beside the figures

    def columns(self, liquid: Liquid) -> tuple[int, ...]:
        """Column of each of a liquid's parts; -1 for water."""
        at = {s.cas: i for i, s in enumerate(self.substances)}
        return tuple(at.get(s.cas, -1) for s in liquid.substances)

    @property
    def groups(self) -> tuple[tuple[int, ...], ...]:
        """The places by their numbers, those that doors join together."""
        leader = list(range(len(self.places)))
        for passage in self.passages:
            first, last = sorted(leader[end] for end in passage.ends)
            leader = [first if one == last else one for one in leader]
        return tuple(tuple(i for i, one in enumerate(leader) if one == name) for name in dict.fromkeys(leader))

    def known_to(self, place: Place) -> bool:
        """Whether somebody says how much air goes over through every door that joins a place to others."""
        number = self.number_of(place)[0]
        group = next(group for group in self.groups if number in group)
        return all(passage.door.known for passage in self.passages if passage.ends[0] in group)

    def number_of(self, place: Place, air: AirState | None = None) -> tuple[int, ...]:
        """A place by the order of the work, and one of its states by the order of the shop's file."""
        number = next(i for i, p in enumerate(self.places) if p.id == place.id)
        if air is None:
            return (number,)
        return number, next((i for i, a in enumerate(place.airs) if a.state == air.state), len(place.airs))


def plan(job: Job, timeline: Timeline, reference: Reference, neighbours: Sequence[Neighbour] = ()) -> Plan:
    """Find every wet surface of the job; what lacks data becomes a sentence for its step and all after it.

    Of ``neighbours`` come the wet surfaces in places this job uses, after the job's own.
    """
    wets, unknown = _found(job, timeline, reference)
    cans = {w.product.id: w.can for w in wets}
    places = {p.id: p for p in job.places}
    doors = _opened(places, job.shop)
    ends = [timeline.span(i)[1] for i in range(len(job.steps))]
    for whose, other in enumerate(neighbours, 1):
        theirs, missing = _found(other.job, other.timeline, reference, whose)
        for wet in theirs:
            can = cans.setdefault(wet.product.id, wet.can)
            if wet.place.id in places:
                wets.append(replace(wet, own=False, near=False, hand_speed=None, can=can))
        for at, reason in missing:
            if other.job.steps[at].place.id in places:
                begins = other.timeline.span(at)[0]
                first = next((i for i, end in enumerate(ends) if end > begins), None)
                text = say("From “{job}”: {reason}", job=other.job.title, reason=reason)
                unknown += [(len(ends) if first is None else first, text)]
    substances = {s.cas: s for w in wets for s in w.liquid.substances if s.cas != WATER}
    return Plan(
        tuple(wets),
        tuple(substances.values()),
        tuple(places.values()),
        doors,
        tuple(dict.fromkeys(reason for _, reason in unknown)),
        tuple(tuple(dict.fromkeys(reason for at, reason in unknown if at <= index)) for index in range(len(job.steps))),
    )


def behind(job: Job) -> tuple[Place, ...]:
    """The places that doors join to a job's, none of them its own."""
    places = {p.id: p for p in job.places}
    own = len(places)
    _opened(places, job.shop)
    return tuple(places.values())[own:]


def doors_of(job: Job) -> list[tuple[int, int, Door]]:
    """Every door that joins its places to others and those to more: number of the place in the shop, of the door."""
    joined = {place.id for place in (*job.places, *behind(job))}
    return [
        (at, number, door)
        for at, place in enumerate(job.shop.places.values())
        for number, door in enumerate(place.doors)
        if place.id in joined
    ]


def _opened(places: dict[str, Place], shop: Shop) -> tuple[Passage, ...]:
    """Put to the places those that doors join to them, one after the other; return all doors between them."""
    doors = [(place.id, door) for place in shop.places.values() for door in place.doors]
    more = True
    while more:
        joined = {end for here, door in doors if here in places or door.to in places for end in (here, door.to)}
        more = not joined <= places.keys()
        for name, place in shop.places.items():
            if name in joined:
                places.setdefault(name, place)
    number = {name: at for at, name in enumerate(places)}
    return tuple(Passage(door, (number[here], number[door.to])) for here, door in doors if here in number)


def _found(
    job: Job, timeline: Timeline, reference: Reference, whose: int = 0
) -> tuple[list[Wet], list[tuple[int, str]]]:
    """One job's wet surfaces, and what could not be planned with the step it belongs to."""
    liquids = {p.id: liquid_of(p, reference) for p in job.products}
    cans = {p.id: (whose, number) for number, p in enumerate(job.products)}
    wets: list[Wet] = []
    unknown: list[tuple[int, str]] = []
    things = [(index, step, thing) for index, step in enumerate(job.steps) for thing in step.wet_things]
    for number, (index, step, thing) in enumerate(things):
        liquid = liquids[thing.product.id]
        unknown += [(index, reason) for reason in liquid.unknowns]
        missing = _missing(thing)
        if missing:
            unknown.append((index, in_step(job, index, missing)))
        elif liquid.substances:
            numbers = (whose, number), cans[thing.product.id]
            wets += _wets(job, timeline, index, step, thing, liquid, numbers)
    return wets, unknown


def _missing(thing: Use | Leftover) -> str:
    if isinstance(thing.mass, Unknown):
        return say(
            "the amount of {product} is not known ({reason}).", product=thing.product.name, reason=thing.mass.reason
        )
    mist = isinstance(thing, Use) and thing.work == "spray"
    if isinstance(thing.area, Unknown) and not mist:
        return say("the wet area of {product} is not known.", product=thing.product.name)
    return ""


def _wets(
    job: Job, timeline: Timeline, index: int, step: Step, thing: Use | Leftover, liquid: Liquid, numbers: _Numbers
) -> list[Wet]:
    if isinstance(thing, Leftover):
        start, end = timeline.span(index)
        lifted = _end_of(job, timeline, thing.taken_away)
        return [_wet(step, index, thing, liquid, start, end, end, lifted, IN_A_CLOTH, thing.near, None, numbers)]
    lifted = _end_of(job, timeline, thing.lifted_by)
    at_once = thing.work in ("pour", *IN_A_VESSEL)
    return [
        _wet(
            step,
            index,
            thing,
            liquid,
            s.start,
            s.start if at_once else s.end,
            timeline.span(index)[1],
            lifted,
            HEAT_SUPPLY[thing.work],
            True,
            None if at_once or step.length is None else step.length / (s.end - s.start),
            numbers,
        )
        for s in laid_in(timeline, index, thing, job.surface)
    ]


def _end_of(job: Job, timeline: Timeline, name: str) -> float:
    """When the step called ``name`` is over; never where no step is named: what nobody takes away stays."""
    at = next((i for i, s in enumerate(job.steps) if s.name == name), None)
    return NEVER if at is None else timeline.span(at)[1]


def _wet(
    step: Step,
    index: int,
    thing: Use | Leftover,
    liquid: Liquid,
    start: float,
    end: float,
    over: float,
    lifted: float,
    heat_supply: tuple[float, float],
    near: bool,
    hand_speed: float | None,
    numbers: _Numbers,
) -> Wet:
    assert isinstance(thing.mass, Range)
    what = thing.what if isinstance(thing, Leftover) else thing.work
    return Wet(
        step=index,
        what=what,
        product=thing.product,
        liquid=liquid,
        place=step.place,
        air=step.air,
        surface=step.surface_temperature or step.place.temperature,
        mass=thing.mass,
        written=thing.written,
        kept=Range(0.0, 0.0) if isinstance(thing, Leftover) else thing.kept,
        area=None if isinstance(thing.area, Unknown) or what == "spray" else thing.area,
        heat_supply=heat_supply,
        stance=ANY_WAY if isinstance(thing, Leftover) else STANCE[thing.work],
        freeboard=0.0 if isinstance(thing, Leftover) else thing.freeboard,
        start=start,
        end=end,
        over=over,
        lifted=lifted,
        near=near,
        stirred=near and step.people == "near",
        hand_speed=hand_speed,
        number=numbers[0],
        can=numbers[1],
    )
