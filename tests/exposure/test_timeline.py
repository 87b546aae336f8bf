"""Steps on a clock: coats and waits expand, windows open and close."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from itertools import pairwise

import pytest
from safety_clock import windows

from safety import timeline
from safety.cited import Unknown
from safety.clock import clock
from safety.exposure.engine import compute
from safety.model import Application, Finding, Job, Range
from tests.exposure.made_up import PRIMER, TOLUENE, FewSubstances, demo_job, exact, job, part, product, step, wipe

MINUTE = 60.0


def clock_findings(a_job: Job) -> list[Finding]:
    exposure = compute(a_job, timeline.build(a_job), FewSubstances(), draws=20)  # type: ignore[arg-type]
    return windows.judge(a_job, exposure)


def test_two_coats_on_aluminium_three_on_composite() -> None:
    """5 min between coats, 10 min after the last (common practice, no source)."""
    brush = step("Prime", 5, wipe(PRIMER, Range(0.1, 0.15), work="brush"))
    two = timeline.build(job(brush)).segments
    assert [(s.kind, s.start / MINUTE, s.end / MINUTE) for s in two] == [
        ("coat", 0, 5),
        ("dry", 5, 10),
        ("coat", 10, 15),
        ("dry", 15, 25),
    ]
    three = timeline.build(replace(job(brush), surface="composite")).segments
    assert [s.kind for s in three] == ["coat", "dry", "coat", "dry", "coat", "dry"]
    assert three[-1].end == 35 * MINUTE


def test_a_product_with_no_number_of_coats_still_dries_as_long_as_its_maker_says() -> None:
    """A floor adhesive: spread once, 15 min until it takes the tile, 60 min to lay it (made up)."""
    adhesive = replace(PRIMER, application=Application(dry_final=15 * MINUTE, start_within=60 * MINUTE))
    spread = step("Spread", 40, wipe(adhesive, exact(5.0), work="brush"))
    built = timeline.build(job(spread, step("Lay", 30, joins=adhesive.id)))
    assert [(s.kind, s.start / MINUTE, s.end / MINUTE) for s in built.segments] == [
        ("work", 0, 40),
        ("dry", 40, 55),
        ("work", 55, 85),
    ]
    assert (built.windows[0].last_coat, built.windows[0].opens) == (40 * MINUTE, 55 * MINUTE)
    assert built.windows[0].closes == 100 * MINUTE
    can = step("Keep the can open", 40, wipe(adhesive, exact(5.0), work="open"))
    assert [s.kind for s in timeline.build(job(can)).segments] == ["work"]


def test_steps_follow_one_another_without_gaps() -> None:
    segments = timeline.build(demo_job()).segments
    assert segments[0].start == 0.0
    assert all(a.end == b.start for a, b in pairwise(segments))


def test_window_runs_from_the_end_of_the_last_coat() -> None:
    window = timeline.build(demo_job()).windows[0]
    assert (window.step, window.joins) == (2, 3)
    assert window.last_coat == (25 + 5 + 5 + 5) * MINUTE
    assert window.opens == window.last_coat + 10 * MINUTE
    assert window.closes == window.last_coat + 120 * MINUTE
    assert window.recoat_until == window.last_coat + 180 * MINUTE


def test_a_missed_window_costs_one_coat_or_all_of_them_and_the_wipe() -> None:
    window = timeline.build(demo_job()).windows[0]
    assert window.extra_coat == Range(0.1, 0.15)
    assert isinstance(window.redo, Range)
    assert (window.redo.low, window.redo.high) == pytest.approx((2 * 0.1 + 0.1, 2 * 0.15 + 0.2))


def test_unknown_amount_makes_the_cost_unknown() -> None:
    brush = wipe(PRIMER, work="brush")
    window = timeline.build(job(step("Prime", 5, replace(brush, mass=Unknown("no density"))))).windows[0]
    assert isinstance(window.extra_coat, Unknown)
    assert isinstance(window.redo, Unknown)


def plan_with_wait(minutes: float) -> Job:
    """Primer, a wait, then the bond: the bond begins 10 min of drying plus the wait after the last coat."""
    return job(
        step("Prime", 5, wipe(PRIMER, Range(0.1, 0.15), work="brush")),
        step("Wait", minutes, people="away"),
        step("Bond", 30, joins="primer"),
    )


@pytest.mark.parametrize(
    ("wait", "level"),
    [(110, "note"), (110.5, "control"), (170, "control"), (170.5, "stop")],
)
def test_both_edges_of_both_windows(wait: float, level: str) -> None:
    """Bond within 2 h; between 2 and 3 h one more coat; later start again (common practice, no source)."""
    finding = next(f for f in clock_findings(plan_with_wait(wait)) if f.key == "window-primer")
    assert finding.level == level
    assert finding.step == 2


def test_a_plan_that_is_seconds_too_late_does_not_read_as_in_time() -> None:
    """The window closes at 10:45:00; the clock time of a start 20 s after it rounds down to the same minute."""
    finding = next(f for f in clock_findings(plan_with_wait(170 + 1 / 3)) if f.key == "window-primer")
    assert "one more coat" in finding.statement
    assert "After 10:45 clean the surface" in finding.statement
    assert "The plan begins it at 10:46: too late." in finding.statement


def test_the_sentence_gives_clock_times_and_what_it_costs() -> None:
    finding = next(f for f in clock_findings(plan_with_wait(20)) if f.key == "window-primer")
    assert "between 07:55 and 09:45" in finding.statement
    assert "one more coat: that takes up to 150 g of product, 135 g of it solvent" in finding.statement
    assert "After 10:45 clean the surface and start again" in finding.statement


def test_a_softener_that_dries_before_it_has_stood_is_said() -> None:
    thin = product((part(TOLUENE, 1.0),), Application(stand_at_least=1800.0), id="softener")
    finding = next(
        f for f in clock_findings(job(step("Soften", 5, wipe(thin, exact(0.02), work="gel")))) if f.topic == "clock"
    )
    assert finding.level == "control"
    thick = clock_findings(job(step("Soften", 5, wipe(thin, exact(5.0), work="gel"))))
    assert thick[0].level == "note"


def test_clock_rounds_to_the_careful_side_and_counts_days() -> None:
    start = datetime(2026, 2, 28, 23, 30)
    assert clock(start, 29 * MINUTE) == "23:59"
    assert clock(start, 31 * MINUTE) == "00:01 next day"
    assert clock(start, 25 * 60 * MINUTE) == "00:30 (2 days later)"
    assert clock(start, -24 * 60 * MINUTE) == "23:30 the day before"
    assert clock(start, -48 * 60 * MINUTE) == "23:30 (2 days before)"
    assert clock(start, 90.0, "up") == "23:32"
    assert clock(start, 90.0, "down") == "23:31"
    assert clock(start, 600.0 + 1e-9, "up") == "23:40"


def test_a_coat_whose_drying_cannot_be_computed_is_said_to_be_so() -> None:
    gel = Application(coats={"aluminium": 1}, dry_final=600.0, stand_at_least=1200.0, start_within=7200.0)
    secret = replace(PRIMER, application=gel)
    brush = step("Prime", 5, wipe(secret, Unknown("nobody weighed it"), work="brush"))
    found = {f.key: f for f in clock_findings(job(brush, step("Bond", 5)))}
    for key in (f"drying-{PRIMER.id}", f"stand-{PRIMER.id}"):
        assert "not known" in found[key].short
        assert found[key].unknown
