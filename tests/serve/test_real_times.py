"""The job assessed with what really happened: the sheet of a plan that had said so from the beginning."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety import timeline
from safety.compare.changes import read_alternatives
from safety.exposure.engine import MeasuredAt
from safety.model import Done, Job, Range, Real, Report, Timeline
from safety.render import records
from safety.workplace import Workplace
from tests.serve.shop import slipway

MINUTE = 60.0


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Workplace:
    return Workplace.open(slipway(tmp_path_factory.mktemp("slipway")))


@pytest.fixture(scope="module")
def job(shop: Workplace) -> Job:
    return shop.planned(["patch"])[0].job


def changed(shop: Workplace, *changes: str) -> Report:
    """The sheet of the job with something else written in its file."""
    (planned,) = shop.planned(["patch"])
    (one,) = read_alternatives([";".join(changes)], shop.find("patch"), planned.job)
    return shop.edited(one.edit).assess("patch", draws=200, measured_at=MeasuredAt(planned.job))


def said(report: Report) -> dict[str, Any]:
    """All of a sheet but what it says of the file's own figures."""
    return {name: value for name, value in records.sheet(report).items() if name != "assumed"}


def hands_on(clock: Timeline) -> Iterator[Done]:
    return (Done(s.step, s.coat, s.start, s.end) for s in clock.segments if s.kind in ("work", "coat"))


def test_a_step_done_faster_is_the_sheet_of_a_plan_that_took_as_long(shop: Workplace) -> None:
    """Else the masks of the plan rule a job that gives off the same in half the time."""
    real = shop.assess("patch", draws=200, real=Real((Done(0, 0, 0.0, 10 * MINUTE),), 10 * MINUTE))
    assert said(real) == said(changed(shop, 'step.1.duration=["10 min", "10 min"]'))


def test_a_coat_more_is_in_the_air_and_in_the_solvent(shop: Workplace) -> None:
    """A third coat was in no use of the job: its solvent was in nobody's air."""
    ends = [(Done(0, 0, 0, 20 * MINUTE)), Done(1, 1, 20 * MINUTE, 28 * MINUTE), Done(1, 2, 33 * MINUTE, 41 * MINUTE)]
    real = Real((*ends, Done(1, 3, 46 * MINUTE, 54 * MINUTE)), 54 * MINUTE)
    report = shop.assess("patch", draws=200, real=real)
    pace = 'step.1.duration=["20 min", "20 min"]', 'step.2.duration=["8 min", "8 min"]'
    plan = changed(shop, *pace, "product.primer.application.coats={ any = 3 }")
    assert report.timeline.segments == plan.timeline.segments
    assert said(report) == said(plan)


def test_the_real_start_is_the_sheet_of_that_start(shop: Workplace) -> None:
    start = datetime(2026, 11, 25, 13, 5, 20)
    real = shop.assess("patch", draws=200, start=start, real=Real((), 0.0))
    assert said(real) == said(shop.assess("patch", draws=200, start=start))


@given(done=st.integers(0, 4))
def test_a_job_done_by_the_plan_keeps_its_clock(job: Job, done: int) -> None:
    plan = timeline.build(job)
    stretches = tuple(hands_on(plan))[:done]
    real = Real(stretches, stretches[-1].end or 0.0 if stretches else 0.0)
    clock = timeline.build(timeline.as_done(job, real), real)
    assert (clock.segments, clock.windows, clock.end) == (plan.segments, plan.windows, plan.end)


@st.composite
def stories(draw: st.DrawFn) -> Real:
    """What may really happen: gaps, waits cut short, pauses, a third coat even after the bonding, work going on."""
    order = [(0, 0), (1, 1), (1, 2), *draw(st.sampled_from([[(2, 0)], [(1, 3), (2, 0)], [(2, 0), (1, 3)]]))]
    order = order[: draw(st.integers(0, len(order)))]
    clock, found = 0.0, []
    goes_on = draw(st.booleans())
    for at, (step, coat) in enumerate(order):
        begin = clock + draw(st.integers(0, 300)) * MINUTE
        clock = begin + draw(st.integers(0, 5400))
        last = at == len(order) - 1
        paused = draw(st.sampled_from([0.0, (clock - begin) / 3]))
        found.append(Done(step, coat, begin, None if last and goes_on else clock, paused))
    return Real(tuple(found), clock + draw(st.integers(0, 3600)))


@given(real=stories())
def test_a_clock_has_no_gap_and_nothing_twice(job: Job, real: Real) -> None:
    made = timeline.as_done(job, real)
    clock = timeline.build(made, real)
    for one in (clock, *clock.ends):
        assert one.segments[0].start == 0.0
        assert all(a.end == pytest.approx(b.start) for a, b in zip(one.segments, one.segments[1:], strict=False))
        assert all(s.end > s.start for s in one.segments)
        assert one.end == one.segments[-1].end
        worked = [(s.step, s.coat) for s in one.segments if s.kind in ("work", "coat")]
        coats = max([2, *(d.coat for d in real.stretches)])
        assert sorted(worked) == [(0, 0), *((1, c + 1) for c in range(coats)), (2, 0)]
        assert [s.kind for s in one.segments] == [s.kind for s in clock.segments]
    ends = {(s.step, s.coat): s for s in clock.segments if s.kind in ("work", "coat")}
    for done in real.stretches:
        if all(d.end is None or d.end - d.begin - d.paused >= timeline.SHORTEST for d in real.stretches):
            here = ends[done.step, done.coat]
            assert here.end == pytest.approx(done.end) if done.end is not None else here.end >= real.now
            assert here.start == pytest.approx(done.begin + done.paused)
    begun = {(d.step, d.coat) for d in real.stretches}
    assert all(s.start >= real.now - MINUTE for key, s in ends.items() if key not in begun)


@given(real=stories())
def test_a_window_opens_after_the_last_coat_and_its_rest(job: Job, real: Real) -> None:
    (window,) = timeline.build(timeline.as_done(job, real), real).windows
    assert window.opens == pytest.approx(window.last_coat + 10 * MINUTE)
    assert window.closes == pytest.approx(window.last_coat + 120 * MINUTE)
    coats = [d for d in real.stretches if d.step == 1]
    if len(coats) >= 2 and coats[-1].end is not None:
        assert window.last_coat >= coats[-1].end - 1e-6


def test_a_step_that_is_over_took_just_as_long_as_it_did(job: Job) -> None:
    made = timeline.as_done(job, Real((Done(0, 0, 0.0, 600.0, 120.0), Done(1, 1, 700.0)), 800.0))
    assert made.steps[0].lasts == Range(480.0, 480.0)
    assert made.steps[1] == job.steps[1]


def test_a_gap_is_part_of_the_air(shop: Workplace) -> None:
    """Between two steps the film goes on drying: who comes back later breathes less of it."""
    wiped = Done(0, 0, 0.0, 20 * MINUTE)
    late = shop.assess("patch", draws=200, real=Real((wiped,), 140 * MINUTE))
    assert late.timeline.span(1)[0] == pytest.approx(140 * MINUTE)
    assert [s.kind for s in late.timeline.of_step(0)] == ["work", "wait"]
