"""Some steps quick and others slow, or a pace between: how far a figure may lie over both ends that are computed.

The sheet says so with a number. Of 150 jobs made up for it (seeds 0 to 149), of which these are the worst and some
others, 124 stay under 1.15 times in every figure, and none is over 2.5 times.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product as every
from typing import Any

import numpy as np
import pytest
from safety_ventilation.width import BETWEEN_PACES

from safety import timeline
from safety.exposure import Exposure
from safety.exposure.engine import compute
from safety.model import AirState, Job, Place, Range
from tests.exposure.made_up import BUTANONE, TOLUENE, FewSubstances, exact, job, part, product, step, substance, wipe

HEAVY = substance("64-17-5", "a heavy one", 0.14, 9.0, 1700.0, -70.0, 0.007)
QUICK, SLOW = 2 / 3, 3 / 2


class _Known(FewSubstances):
    def substance(self, cas: str) -> Any:
        return HEAVY if cas == HEAVY.cas else super().substance(cas)


REFERENCE: Any = _Known()


def _job(seed: int, paces: Sequence[float] = ()) -> Job:
    """One to three steps with mixtures of a quick and a slow part; in ranges of time, or at these paces."""
    chance = np.random.default_rng(seed)
    count = int(chance.integers(1, 4))
    volume, changes = float(chance.choice([20, 100, 1000])), float(chance.choice([0.3, 2, 8])) / 3600
    air = AirState("as it is", exact(changes), exact(float(chance.choice([0.05, 0.2]))), "made up")
    place = Place("bay", "room", volume, exact(295.0), (air,), exact(0.6))
    steps = []
    for at in range(count):
        minutes = float(chance.choice([5, 10, 20, 40, 90]))
        shares = chance.dirichlet([0.5, 0.5, 0.5])
        mixed = product(
            tuple(part(one, float(x)) for one, x in zip((BUTANONE, TOLUENE, HEAVY), shares, strict=True)), id=f"w{at}"
        )
        work = str(chance.choice(["wipe", "pour", "gel"]))
        lifted = {"lifted_by": f"s{at}"} if chance.random() < 0.5 else {}
        mass, area = exact(float(chance.choice([0.02, 0.1, 0.5]))), float(chance.choice([0.2, 1, 5]))
        uses = [] if count > 1 and chance.random() < 0.2 else [wipe(mixed, mass, area, work=work, **lifted)]
        people = str(chance.choice(["near", "near", "far", "away"]))
        one = step(f"s{at}", minutes * (paces[at] if paces else 1.0), *uses, people=people, place=place)
        ends = Range(minutes * 60 * QUICK, minutes * 60 * SLOW)
        steps.append(one if paces else replace(one, lasts=ends))
    return job(*steps, place=place, afterwards=str(chance.choice(["far", "away"])))


def _figures(a_job: Job) -> dict[tuple[Any, ...], float]:
    return dict(_each(compute(a_job, timeline.build(a_job), REFERENCE, draws=1)))


def _each(air: Exposure) -> Iterator[tuple[tuple[Any, ...], float]]:
    """What limits are held against: of people over the shift and in each step, and how near the air is to burning."""
    for name, people in (("worker", air.worker), ("bystander", air.bystander)):
        for what in ("peak", "worst_15min", "shift_average"):
            for column, one in enumerate(air.substances):
                yield (name, what, one.cas), float(getattr(people, what)[0, column])
    for index, own in enumerate(air.steps):
        for what in ("mean", "peak", "worst_15min"):
            for column, one in enumerate(air.substances):
                yield (index, what, one.cas), float(getattr(own, what)[0, column])
        for zone in ("near_explosive_fraction", "far_explosive_fraction"):
            yield (index, zone), float(getattr(own, zone)[0])


@pytest.mark.parametrize("seed", [67, 50, 68, 134, 119, 89, 143, 36, 1, 2, 3])
def test_no_mix_of_paces_lies_over_the_ends_by_more_than_is_said(seed: int) -> None:
    ends = _figures(_job(seed))
    count = len(_job(seed).steps)
    for paces in (*every((QUICK, SLOW), repeat=count), [1.0] * count, [0.8] * count, [1.25] * count):
        for key, value in _figures(_job(seed, paces)).items():
            assert value <= BETWEEN_PACES * ends[key] or value < 1e-7, (key, paces)


def test_the_number_is_no_larger_than_what_was_found() -> None:
    """A residue that is lifted before it has got going, at one and a quarter of the plan: 2.46 times."""
    ends, done = _figures(_job(67)), _figures(_job(67, [1.25] * 3))
    key = (0, "worst_15min", HEAVY.cas)
    assert 0.95 * BETWEEN_PACES < done[key] / ends[key] <= BETWEEN_PACES
