"""Every wet thing of a job with its numbers drawn: how much, how fast it dries, where it ends up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

import numpy as np

from safety.exposure.draws import Draws, Stream
from safety.exposure.emission import Laying
from safety.exposure.film import Film, SettingFilm
from safety.exposure.liquids import AGITATION, CORRELATION_SPREAD, Conditions, Liquid, wetted
from safety.exposure.plan import Plan, Wet
from safety.exposure.result import COMPARED, Balance, Floats
from safety.formulas.air import doorway_exchange
from safety.formulas.evaporation import film_drying_time
from safety.formulas.transfer import held_back
from safety.model import AirState, Place, Range

#: What a person adds to the speed of the air close by [m/s]. Anemometers on workers read 0.05 m/s more than standing
#: ones, most often (Baldwin & Maynard, Annals of Occupational Hygiene 42 (1998) 303-313, abstract). The spread around
#: it, from somebody who hardly moves to twice that, is our judgement.
STIRRING = (0.0, 0.1)

#: Of a surface laid evenly that dries slowly, the area over the one that slows the mean of its vapour as much: the mean
#: falls by 0.15 k A t / V to first order, and a third of A stands for one that is wet all the time.
LAID_EVENLY = 1 / 0.45

#: Share of what is sprayed that stays in the near field: the jet carries the rest out of it. Our judgement, chosen with
#: one measurement in view (near over far 2 to 5, where all of it near gives 10 to 18), which proves nothing about it.
SPRAY_SHARE = (0.1, 0.6)

#: Share of its solvent that a setting film holds, and how long it takes to leave [s]: our judgement. Of an alkyd paint
#: over 90 % left rapidly (Fortmann et al., EPA/600/A-98/024 (1997), abstract).
HELD = (0.05, 0.25)
HELD_FOR = Range(6 * 3600.0, 60 * 3600.0, basis="our judgement")
#: After how many times of its slowest part a setting film counts as dry: 95 % of what is not held has left.
SET_AFTER = 3.0

#: What a doorway lets through of what it would without friction and mixing [1]: from 0.4, as a handbook takes it where
#: the two streams mix at little difference of temperature (ASHRAE Fundamentals 1997, seen in a summary), to all of it.
DISCHARGE = (0.4, 1.0)
#: Least that goes over each way through a door that people use [m3/s]: who walks through takes about a cubic metre, and
#: the door another (Kalliomaki et al., Building and Environment 107 (2016) 154-168: abstract read, the volume
#: recalled). Once in three minutes: our judgement.
PASSING = 2.0 / 180

#: Time below which nothing counts as wet [s].
SHORTEST = 1e-3

#: The fields of a balance that hold a figure for each draw, and how each is kept.
_DRAWN: dict[str, type[np.floating[Any]]] = {
    **dict.fromkeys(("applied", "evaporated", "kept", "solids", "wet"), np.float64),  # they must add up
    **dict.fromkeys(("dry_after", "wet_until_at_least"), COMPARED),
}


@dataclass(frozen=True, slots=True)
class Inputs:
    """What nobody knows exactly: the same place has the same air in every step; each (draws,)."""

    chance: Draws
    plan: Plan
    #: The wet things of these draws by their numbers: the same on every clock, and in every coat.
    spread: dict[tuple[int, int], Spread] = field(default_factory=dict)

    def temperature(self, place: Place, given: Range) -> Floats:
        return self.chance.normal(Stream("temperature", self.plan.number_of(place)), given)

    def radius(self, place: Place) -> Floats:
        return self.chance.positive(Stream("near radius", self.plan.number_of(place)), place.near_radius)

    def speed(self, place: Place, air: AirState, stirred: bool) -> Floats:
        """Over the work: in a booth not less than that of its stream; ``stirred`` where somebody works in it."""
        drawn = self.chance.positive(Stream("air speed", self.plan.number_of(place, air)), air.air_speed)
        stream = self.stream(place, air)
        still = drawn if stream is None else np.maximum(drawn, stream)
        return still + self.chance.between(Stream("stirring"), *STIRRING) if stirred else still

    def stream(self, place: Place, air: AirState) -> Floats | None:
        """Speed of the stream through a booth; None where there is none, or nobody knows it."""
        if air.face_velocity is None:
            return None
        return self.chance.positive(Stream("face velocity", self.plan.number_of(place, air)), air.face_velocity)

    def near_share(self, step: int, given: Range) -> Floats:
        return self.chance.share(Stream("near share", (step,)), given)

    def changes(self, place: Place, air: AirState) -> Floats:
        return self.chance.positive(Stream("air changes", self.plan.number_of(place, air)), air.air_changes)

    def capture(self, place: Place, air: AirState) -> Floats:
        return self.chance.share(Stream("capture", self.plan.number_of(place, air)), air.capture)

    def over(self, number: int) -> Floats | None:
        """How much air goes over each way through a door of the plan [m3/s]; None where nobody can say."""
        door, ends = self.plan.passages[number]
        if door.airflow is not None:
            return self.chance.positive(Stream("door flow", (number,)), door.airflow)
        if door.open_share is None or door.temperature_difference is None or door.area is None or door.height is None:
            return None
        temperatures = [self.temperature(p, p.temperature) for p in (self.plan.places[end] for end in ends)]
        exchange = doorway_exchange(
            door.area,
            door.height,
            self.chance.positive(Stream("door difference", (number,)), door.temperature_difference),
            np.mean(temperatures, axis=0),
            self.chance.between(Stream("door discharge", (number,)), *DISCHARGE),
        )
        open_share = self.chance.share(Stream("door open", (number,)), door.open_share)
        return np.asarray(np.maximum(open_share * exchange, PASSING))

    def applied(self, wet: Wet) -> Floats:
        return self.chance.positive(Stream("mass", wet.number), wet.mass)

    def kept(self, wet: Wet) -> Floats:
        return self.chance.share(Stream("kept", wet.number), wet.kept)

    def heat_supply(self, wet: Wet) -> Floats:
        return self.chance.between(Stream("heat", wet.number), *wet.heat_supply)

    def weights(self, wet: Wet) -> Floats:
        """Weight fractions of the product's parts, (parts, draws): one can, whatever it is used for."""
        return self.chance.weights(wet.can, wet.product.parts)

    def liquid(self, wet: Wet) -> Liquid:
        """What it is made of: of a petroleum fraction nobody knows exactly how fast its slices leave."""
        cuts = wet.liquid.cuts
        if not cuts:
            return wet.liquid
        at = [(*wet.can, wet.liquid.parts[first]) for first, _ in cuts]
        share = [self.chance.between(Stream("distillation", one), 0.0, 1.0) for one in at]
        streams = [Stream("slice pressure", one) for one in at]
        logs = [self.chance.between(s, *np.log(cut.band)) for s, (_, cut) in zip(streams, cuts, strict=True)]
        return wet.liquid.drawn(share, [np.exp(log) for log in logs])

    def stance(self, wet: Wet) -> Floats:
        return self.chance.between(Stream("stance", wet.number), *wet.stance)

    def agitation(self, wet: Wet) -> Floats | float:
        return self.chance.positive(Stream("agitation", wet.number), AGITATION) if wet.what == "wash" else 1.0

    def setting(self, wet: Wet, film: Film) -> Film | SettingFilm:
        """The film itself, or what holds it where the product forms one."""
        if not wet.product.forms_film:
            return film
        setting = self.chance.between(Stream("setting", wet.number), 0.0, 1.0)
        held = self.chance.between(Stream("held", wet.number), *HELD)
        return SettingFilm(film, setting, held, self.chance.positive(Stream("held for", wet.number), HELD_FOR))

    def spray_share(self, wet: Wet) -> Floats | None:
        """Of what a spray gives off in a room; None where all of it comes from where the hands are, or from afar."""
        stream = wet.air.face_velocity is not None  # it takes what the jet throws past the worker too
        if wet.what != "spray" or not wet.near or wet.place.kind in ("enclosed", "outdoor") or stream:
            return None
        return self.chance.between(Stream("spray share", wet.number), *SPRAY_SHARE)

    def around(self, wet: Wet) -> Conditions:
        """The air over a wet thing."""
        return Conditions(
            air=self.temperature(wet.place, wet.place.temperature),
            surface=self.temperature(wet.place, wet.surface),
            speed=self.speed(wet.place, wet.air, wet.stirred),
            correlation=self.chance.positive(Stream("correlation"), CORRELATION_SPREAD),
            stance=self.stance(wet),
            agitation=self.agitation(wet),
            freeboard=wet.freeboard,
        )


@dataclass(frozen=True, slots=True)
class Fill:
    """How fast a place's air fills where it is cleared best, each (draws,): the careful side for what is held back."""

    airflow: Floats  # m3/s
    volume: Floats  # m3
    let_through: Floats  # share that local exhaust leaves

    @classmethod
    def of(cls, fills: Sequence[Fill], own: Fill) -> Fill:
        """Of a place whose doors join it to others: it fills no slower than all of them as one room."""
        return cls(sum(f.airflow for f in fills), sum(f.volume for f in fills), own.let_through)  # type: ignore[arg-type]

    def held_back(self, film: Film, wet: Wet) -> Film:
        """The film as the vapour it gives off itself slows it, up to the end of the step that lays it.

        What other things give off slows it further, and what hangs about the hands: left out, the careful side.
        """
        dries = np.maximum(film.first, SHORTEST)
        laid = wet.end - wet.start
        lasts = laid + dries
        # what is wet in the mean: all that is laid at once; of what is laid evenly a third of its square, as for
        # slowing what grows with it, or as long a piece as dries while the next is laid
        alone = film.area if laid <= 0 else film.area * dries / (laid + LAID_EVENLY * dries)
        time = np.minimum(lasts, max(min(wet.over, wet.lifted) - wet.start, SHORTEST))
        return film.slowed(held_back(film.transfer * self.let_through, alone, self.airflow, self.volume, time))


@dataclass(frozen=True, slots=True)
class EmissionSource:
    """One wet thing, all draws; masses in kg, (draws,)."""

    wet: Wet
    laying: Laying
    spray_share: Floats | None
    applied: Floats
    kept: Floats
    solids: Floats
    dry_after: Floats
    wet_until_at_least: Floats

    def balance(self, gone: Floats) -> Balance:
        """Where it all went, once ``gone`` kg of each part, (parts, draws), are in the air."""
        evaporated = gone.sum(axis=0)
        return Balance(
            step=self.wet.step,
            product=self.wet.product.id,
            what=self.wet.what,
            applied=self.applied,
            evaporated=evaporated,
            kept=self.kept,
            solids=self.solids,
            wet=self.applied - self.kept - self.solids - evaporated,
            evaporated_by=MappingProxyType(self._by_substance(gone)),
            dry_after=self.dry_after,
            wet_until_at_least=self.wet_until_at_least,
            whole=not self.wet.liquid.unknowns,
        )

    def _by_substance(self, gone: Floats) -> dict[str, Floats]:
        """What went into the air of each substance, whatever number of liquids it is in the film."""
        found: dict[str, Floats] = {}
        for substance, mass in zip(self.wet.liquid.substances, gone, strict=True):
            found[substance.cas] = found[substance.cas] + mass if substance.cas in found else mass
        return found


def roomy(piece: Balance, draws: int) -> Balance:
    """A balance like ``piece`` with room for so many draws, to be filled by :func:`put`."""
    room: dict[str, Any] = {name: np.empty(draws, kind) for name, kind in _DRAWN.items()}
    return replace(piece, evaporated_by={cas: np.empty(draws) for cas in piece.evaporated_by}, **room)


def slower(balance: Balance, other: Balance) -> Balance:
    """The balance of one pace of the work, dry when it and that of another pace are."""
    return replace(balance, dry_after=np.maximum(balance.dry_after, other.dry_after))


def put(piece: Balance, part: slice, whole: Balance) -> None:
    """Write the figures of some of the draws where they belong."""
    for name in _DRAWN:
        getattr(whole, name)[part] = getattr(piece, name)
    for cas, mass in piece.evaporated_by.items():
        whole.evaporated_by[cas][part] = mass


@dataclass(frozen=True, slots=True)
class Spread:
    """A wet thing with its numbers drawn, whenever it is laid; each (draws,), the masses (parts, draws)."""

    applied: Floats
    kept: Floats
    solids: Floats
    masses: Floats
    film: Film | None  # under clean air; None for mist
    slowest: Film | None
    dries_at_least: Floats

    @classmethod
    def of(cls, wet: Wet, inputs: Inputs) -> Spread:
        """Draw one wet thing's amount and composition and find how its film dries under clean air."""
        applied = inputs.applied(wet)
        kept = applied * inputs.kept(wet)
        weights = inputs.weights(wet)
        masses = (applied - kept) * weights[list(wet.liquid.parts)] * wet.liquid.shares
        solid = [i for i, p in enumerate(wet.product.parts) if not p.volatile]
        solids = (applied - kept) * weights[solid].sum(axis=0)
        if wet.area is None:
            return cls(applied, kept, solids, masses, None, None, np.zeros(len(applied)))
        surface = wetted(inputs.liquid(wet), masses, np.full(len(applied), wet.area), inputs.around(wet))
        return cls(
            applied,
            kept,
            solids,
            masses,
            film=surface.film(inputs.heat_supply(wet)),
            slowest=surface.slowest(inputs.speed(wet.place, wet.air, stirred=False)),
            dries_at_least=_drying_time(surface.film(np.ones(len(applied)))),
        )


def drawn_source(wet: Wet, inputs: Inputs, fill: Fill) -> EmissionSource:
    """One wet thing laid in the times of its plan, drying in air that fills so."""
    if wet.number not in inputs.spread:
        inputs.spread[wet.number] = Spread.of(wet, inputs)
    spread = inputs.spread[wet.number]
    film: Film | SettingFilm | None = None
    slow: Floats = np.zeros(len(spread.applied))
    if spread.film is not None and spread.slowest is not None:
        liquid = fill.held_back(spread.film, wet)
        film = inputs.setting(wet, liquid)
        slowest = fill.held_back(spread.slowest, wet)
        slow = _drying_time(slowest) if film is liquid else np.asarray(SET_AFTER * slowest.first.max(axis=0))
    return EmissionSource(
        wet=wet,
        laying=Laying(
            wet.start,
            wet.end,
            wet.lifted,
            spread.masses,
            film,
            None if wet.hand_speed is None else inputs.radius(wet.place) / wet.hand_speed,
        ),
        spray_share=inputs.spray_share(wet),
        applied=spread.applied,
        kept=spread.kept,
        solids=spread.solids,
        dry_after=slow,
        wet_until_at_least=spread.dries_at_least,
    )


def _drying_time(film: Film) -> Floats:
    ones = np.ones(len(film.area))
    parts = [(moles, speeds, ones) for moles, speeds in zip(film.moles, film.speeds, strict=True)]
    return np.asarray(film_drying_time(parts, film.area, film.temperature))
