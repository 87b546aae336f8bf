"""The engine as a whole: mass balance, the coupled equations, and what must never happen."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from safety import timeline
from safety.exposure import Exposure
from safety.exposure.engine import compute
from safety.exposure.grid import FINEST
from safety.formulas.basis import GAS_CONSTANT
from safety.model import WATER, AirState, Job, Leftover, Part, Place, Product, Range
from tests.exposure.made_up import (
    AIR,
    BAY,
    HEPTANE,
    PRIMER,
    TOLUENE,
    TWIN,
    WASH,
    FewSubstances,
    demo_job,
    exact,
    job,
    part,
    product,
    step,
    wipe,
)


def run(a_job: Job, draws: int = 60, **other: Any) -> Exposure:
    return compute(a_job, timeline.build(a_job), FewSubstances(), draws=draws, **other)  # type: ignore[arg-type]


PURE = product((part(TOLUENE, 1.0),))
STILL = AirState("still", exact(1 / 3600), exact(0.1), "made up")
ROOM = Place("room", "room", 60.0, exact(295.0), (STILL,), exact(0.6))


def test_every_gram_is_somewhere() -> None:
    a_job = demo_job()
    wet_rubber = Leftover("stripped rubber", WASH, Range(0.02, 0.05), "", 0.3, "Bond")
    a_job = replace(a_job, steps=(replace(a_job.steps[0], leaves_wet=(wet_rubber,)), *a_job.steps[1:]))
    exposure = run(a_job)
    assert len(exposure.balances) == 4  # wipe, rubber, two coats
    for b in exposure.balances:
        assert b.applied == pytest.approx(b.evaporated + b.kept + b.solids + b.wet, rel=1e-9)
        assert sum(b.evaporated_by.values()) == pytest.approx(b.evaporated, rel=1e-9)
        for amount in (b.evaporated, b.kept, b.solids, b.wet):
            assert amount.min() > -1e-12
    rubber = exposure.balances[1]
    assert rubber.wet.max() > 0  # taken away before it was dry


def test_what_the_air_takes_in_is_what_evaporates() -> None:
    """In a place without air change all that evaporated must still be in the air at the end."""
    shut = AirState("shut", exact(0.0), exact(0.1), "made up")
    place = replace(BAY, airs=(shut,), near_radius=exact(0.6), volume=500.0)
    a_job = job(step("Wipe", 15, wipe(PURE, exact(0.1)), place=place), place=place)
    exposure = run(a_job, draws=5)
    near_volume = 2 / 3 * np.pi * 0.6**3
    near, far = (float(curve[-1, 0]) for curve in (exposure.curves.near_p50, exposure.curves.far_p50))
    # what is only compared is kept in single precision, with half of its last digit
    assert near * near_volume + far * (500.0 - near_volume) == pytest.approx(0.1, rel=6e-8)


def test_film_and_air_together_agree_with_integration() -> None:
    """One film laid at once into two zones: the cells' constant emission against the continuous equations."""
    a_job = job(step("Open", 60, wipe(PURE, exact(0.05), 0.5, work="pour"), place=ROOM), place=ROOM)
    exposure = run(a_job, draws=1, finest=2.0)
    dry = exposure.balances[0]
    assert dry.evaporated_by[TOLUENE.cas][0] == pytest.approx(0.05)
    # a pure film of one patch leaves at a constant rate until it is dry
    from safety.exposure import grid as grids  # what the engine itself cut the clock into
    from safety.exposure.draws import Draws
    from safety.exposure.plan import plan
    from safety.exposure.sources import Fill, Inputs, drawn_source

    planned = plan(a_job, exposure.timeline, FewSubstances())  # type: ignore[arg-type]
    fill = Fill(np.array([60.0 / 3600]), np.array([60.0 - 2 / 3 * np.pi * 0.6**3]), np.ones(1))
    film = drawn_source(planned.wets[0], Inputs(Draws(1, 1), planned), fill).laying.film
    assert film is not None
    dries = film.shares.sum()
    rate = 0.05 / dries
    near_volume = 2 / 3 * np.pi * 0.6**3
    beta, q = 0.5 * 2 * np.pi * 0.6**2 * (0.1 + 0.05), 60.0 / 3600  # the worker stirs all the time

    def rates(t: float, c: np.ndarray) -> list[float]:
        g = rate if t < dries else 0.0
        return [(g + beta * (c[1] - c[0])) / near_volume, (beta * (c[0] - c[1]) - q * c[1]) / (60.0 - near_volume)]

    nodes = grids.build(exposure.timeline, a_job.shift, 2.0).nodes
    assert exposure.curves.times[-1] == nodes[-1]
    times = exposure.curves.times[(exposure.curves.times > 60) & (exposure.curves.times < 0.95 * dries)]
    done = solve_ivp(rates, (0, times[-1]), [0.0, 0.0], t_eval=times, rtol=1e-10, atol=1e-16, max_step=5.0)
    at = np.searchsorted(exposure.curves.times, times)
    assert exposure.curves.near_p50[at, 0] == pytest.approx(done.y[0], rel=1e-6)
    assert exposure.curves.far_p50[at, 0] == pytest.approx(done.y[1], rel=1e-6)


def test_finer_cells_move_no_average_by_half_a_per_cent_and_no_peak_by_seven() -> None:
    coarse, fine = run(demo_job(), draws=80), run(demo_job(), draws=80, finest=FINEST / 8)
    for one, other in zip(coarse.steps, fine.steps, strict=True):
        for name, within in (("mean", 0.005), ("worst_15min", 0.005), ("peak", 0.07)):
            a, b = getattr(one, name), getattr(other, name)
            assert np.percentile(a, 95, axis=0) == pytest.approx(np.percentile(b, 95, axis=0), rel=within)
    assert coarse.worker.shift_average == pytest.approx(fine.worker.shift_average, rel=0.005)


@pytest.mark.parametrize("days", [1, 13])
def test_no_rise_of_the_air_falls_between_two_nodes_of_a_curve(monkeypatch: pytest.MonkeyPatch, days: int) -> None:
    """A wipe of one second at the end of a long clock, in a draught: over and gone within minutes after the job."""
    windy = AirState("open", exact(30 / 3600), exact(0.3), "made up")
    place = replace(ROOM, airs=(windy,))
    quiet = [step(f"Wait {day}", 24 * 60, place=place) for day in range(days)]
    a_job = job(*quiet, step("Wipe", 1 / 60, wipe(PURE, exact(0.003), 0.5), place=place), place=place)
    few = run(a_job, draws=20).curves
    monkeypatch.setattr("safety.exposure.courses.CURVE_NODES", 10**6)
    all_nodes = run(a_job, draws=20).curves
    assert len(few.times) < len(all_nodes.times) / 3
    for name in ("near_p95", "far_p95", "near_fraction_p95", "far_fraction_p95"):
        shown, true = getattr(few, name), getattr(all_nodes, name)
        at = np.searchsorted(few.times, all_nodes.times)  # the shown node that stands for each
        assert (shown[at] >= true).all()
        assert shown.max() == pytest.approx(true.max(), rel=0.05)


def test_shift_average_is_all_that_was_breathed_over_eight_hours() -> None:
    """A worker who leaves: the average is the sum of mean times duration over 8 h (29 CFR 1910.1000(d)(1)(i))."""
    a_job = demo_job(afterwards="away")
    exposure = run(a_job)
    spans = [exposure.timeline.span(i) for i in range(len(a_job.steps))]
    total = sum(s.mean * (end - start) for s, (start, end) in zip(exposure.steps, spans, strict=True))
    assert exposure.worker.shift_average == pytest.approx(total / 28800.0, rel=1e-9)


def test_who_is_away_breathes_nothing() -> None:
    exposure = run(job(step("Wipe", 20, wipe(), people="away"), afterwards="away"))
    assert np.all(exposure.worker.shift_average == 0.0)
    assert np.all(exposure.steps[0].peak == 0.0)
    assert exposure.steps[0].near_peak.min() > 0.0  # the vapour is there all the same


def test_a_quiet_step_is_not_blamed_for_the_loud_one_beside_it() -> None:
    exposure = run(demo_job())
    wait, prime = exposure.steps[1], exposure.steps[2]
    assert np.median(wait.worst_15min[:, 0]) < 0.1 * np.median(prime.worst_15min[:, 0])
    assert wait.worst_15min.max() <= exposure.worker.worst_15min.max()


@given(st.lists(st.floats(0.1, 10.0), min_size=2, max_size=5), st.lists(st.floats(2.0, 12.0), min_size=5, max_size=5))
@settings(max_examples=25, deadline=None)
def test_protecting_every_step_over_a_level_brings_every_quarter_hour_under_it(
    amounts: list[float], minutes: list[float]
) -> None:
    """What worst_15min promises: the steps left are under the level in every window together."""
    steps = [
        step(str(i), m, wipe(PURE, exact(0.02 * a), work="spray"))
        for i, (a, m) in enumerate(zip(amounts, minutes, strict=False))
    ]
    exposure = run(job(*steps, afterwards="away"), draws=1)
    levels = [s.worst_15min[0, 0] for s in exposure.steps]
    level = sorted(levels)[len(levels) // 2]
    left = [replace(s, people="away") if levels[i] > level * (1 + 1e-9) else s for i, s in enumerate(steps)]
    assert run(job(*left, afterwards="away"), draws=1).worker.worst_15min[0, 0] <= level * 1.005


def test_no_air_holds_more_than_saturation() -> None:
    tank = Place("tank", "enclosed", 2.0, exact(295.0), (AirState("shut", exact(0.0), exact(0.1), ""),), exact(0.5))
    exposure = run(job(step("Wipe", 180, wipe(PURE, exact(2.0), 2.0), place=tank), place=tank), draws=3)
    log_pressure = 9.1595 - 1386.0 / (295.0 - 49.78)
    saturated = 10**log_pressure * 0.09214 / (GAS_CONSTANT * 295.0)
    # what is only compared is kept in single precision, with half of its last digit
    assert float(exposure.steps[0].peak.max()) == pytest.approx(saturated, rel=6e-8)
    assert exposure.steps[0].mean.max() <= saturated * (1 + 1e-12)


def test_water_dries_but_is_nobody_s_exposure() -> None:
    water = replace(HEPTANE, cas=WATER, names=("water",))

    class WithWater(FewSubstances):
        def substance(self, cas: str) -> Any:
            return water if cas == WATER else super().substance(cas)

    wet = product((part(TOLUENE, 0.5), Part("water", WATER, 0.5, 0.5)))
    a_job = job(step("Wipe", 10, wipe(wet)))
    exposure = compute(a_job, timeline.build(a_job), WithWater(), draws=5)  # type: ignore[arg-type]
    assert [s.cas for s in exposure.substances] == [TOLUENE.cas]
    assert set(exposure.balances[0].evaporated_by) == {TOLUENE.cas, WATER}


@pytest.mark.parametrize(
    ("parts", "word"),
    [
        ((part(TOLUENE, 0.5), Part("secret", "", 0.5, 0.5)), "does not say"),
        ((part(TOLUENE, 0.5), Part("stranger", "64-17-5", 0.5, 0.5)), "64-17-5"),
    ],
)
def test_what_is_not_known_is_said_for_its_step_and_every_later_one(parts: tuple[Part, ...], word: str) -> None:
    thing: Product = product(parts)
    exposure = run(job(step("Before", 5), step("Wipe", 5, wipe(thing)), step("After", 5)), draws=4)
    assert len(exposure.unknowns) == 1
    assert word in exposure.unknowns[0]
    assert [len(s.unknown) for s in exposure.steps] == [0, 1, 1]
    assert exposure.steps[1].peak.min() > 0  # the known part is still computed


def test_same_input_same_numbers_and_chunks_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    one, again = run(demo_job(), draws=90), run(demo_job(), draws=90)
    monkeypatch.setattr("safety.exposure.engine.CHUNK", 20_000)
    other = run(demo_job(), draws=90)
    for name in ("peak", "worst_15min", "shift_average"):
        assert getattr(one.worker, name) == pytest.approx(getattr(other.worker, name), rel=1e-10)
        assert np.array_equal(getattr(one.worker, name), getattr(again.worker, name))
    assert one.curves.near_p95 == pytest.approx(other.curves.near_p95, rel=1e-10, abs=1e-15)


changes = st.floats(0.1, 20.0)


@given(changes, st.floats(1.05, 10.0), st.floats(0.02, 1.0))
@settings(max_examples=25, deadline=None)
def test_more_air_never_raises_the_average(per_hour: float, factor: float, mass: float) -> None:
    def average(ach: float) -> np.ndarray:
        state = AirState("s", exact(ach / 3600), AIR.air_speed, "")
        place = replace(BAY, volume=200.0, airs=(state,))
        return run(
            job(step("Wipe", 20, wipe(mass=exact(mass)), place=place), place=place), draws=8
        ).worker.shift_average

    assert np.all(average(per_hour * factor) <= average(per_hour) * (1 + 1e-9))


WORKS = st.sampled_from(["wipe", "brush", "spray", "pour", "gel", "soak"])


@given(st.floats(0.01, 0.5), WORKS, st.booleans())
@settings(max_examples=30, deadline=None)
def test_twice_the_amount_never_lowers_it(mass: float, work: str, mixed: bool) -> None:
    """In moles of all vapour together: in a thicker film of a mixture the slow part alone may leave later."""

    def average(amount: float) -> np.ndarray:
        thing = WASH if mixed else PURE
        exposure = run(job(step("Work", 20, wipe(thing, exact(amount), work=work))), draws=8)
        return (exposure.worker.shift_average / exposure.molar_mass).sum(axis=1)

    assert np.all(average(2 * mass) >= average(mass) * (1 - 1e-9))


@given(st.floats(0.05, 0.95), st.floats(0.01, 0.5))
@settings(max_examples=25, deadline=None)
def test_a_mixture_of_one_part_twice_equals_the_part(share: float, mass: float) -> None:
    both = product((part(TOLUENE, share), part(TWIN, 1 - share)))
    split = run(job(step("Wipe", 20, wipe(both, exact(mass)))), draws=6)
    whole = run(job(step("Wipe", 20, wipe(PURE, exact(mass)))), draws=6)
    assert split.worker.shift_average.sum(axis=1) == pytest.approx(whole.worker.shift_average[:, 0], rel=1e-9)
    assert split.steps[0].mean.sum(axis=1) == pytest.approx(whole.steps[0].mean[:, 0], rel=1e-9)
    assert split.steps[0].peak.sum(axis=1) == pytest.approx(whole.steps[0].peak[:, 0], rel=3e-7)  # seven digits


def test_moving_along_a_part_never_gives_more_than_staying() -> None:
    stays = run(job(step("Wipe", 15, wipe())))
    moves = run(job(step("Wipe", 15, wipe(), length=4.0)))
    assert np.all(moves.steps[0].mean <= stays.steps[0].mean * (1 + 1e-9))
    assert np.median(moves.steps[0].mean) < 0.8 * np.median(stays.steps[0].mean)


def test_a_coat_for_each_layer_the_surface_takes() -> None:
    exposure = run(demo_job(), draws=4)
    coats = [b for b in exposure.balances if b.product == PRIMER.id]
    assert len(coats) == 2
    assert coats[0].solids.min() > 0.02 * 0.1
