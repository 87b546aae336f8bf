"""What the ventilation plugin says about hand-made air. Sources stand beside the figures."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import safety_ventilation

from safety import timeline
from safety.cited import Unknown
from safety.exposure.result import Balance, Neighbour
from safety.model import AirState, Chart, Finding, Grid, Range
from tests.answered import blocks, findings

TOLUENE, BUTANONE, NMP, XYLENE = "108-88-3", "78-93-3", "872-50-4", "1330-20-7"


@pytest.fixture
def judge(make_exposure: Any, make_reference: Any) -> Any:
    """Findings of the plugin by key, for a job and air in ppm against limits."""

    def run(job: Any, ppm: Any, limits: Any, **air: Any) -> dict[str, Finding]:
        exposure = make_exposure(job, ppm, **air)
        reference = make_reference(exposure.substances, limits)
        found = findings(safety_ventilation.assess(job, exposure, reference))
        assert {f.topic for f in found} <= {"air"}
        return {f.key if f.step is None else f"{f.key}@{f.step}": f for f in found}

    return run


def test_each_step_is_answered_and_clean_air_says_so(judge: Any, make_job: Any, make_step: Any) -> None:
    job = make_job(make_step("mask"), make_step("mark", people="away"))
    found = judge(job, {}, [])
    assert found["air-step@0"].short == "No vapour of these products in this step"
    assert found["air-step@1"].short == "Nobody in the air of this step"
    assert not any(f.unknown for f in found.values())


@pytest.mark.parametrize(
    ("compare", "ppm", "level"),
    [
        # 29 CFR 1910.1000(a)(2): exposure "shall not exceed" the limit; toluene 200 ppm, table Z-2
        ("over", 200.0, "note"),
        ("over", 200.001, "control"),
        ("at or over", 199.999, "note"),
        ("at or over", 200.0, "control"),
    ],
)
def test_the_sign_of_a_limit_is_kept_at_its_boundary(
    judge: Any, make_job: Any, make_limit: Any, compare: str, ppm: float, level: str
) -> None:
    found = judge(make_job(), {TOLUENE: ppm}, [make_limit(ppm=200, compare=compare)])
    assert found[f"air-shift:{TOLUENE}"].level == level
    assert found["air-step@0"].level == level


def test_the_lowest_list_governs_and_is_named_with_its_pack(judge: Any, make_job: Any, make_limit: Any) -> None:
    # toluene: OSHA PEL 200 ppm, NIOSH REL 100 ppm (NIOSH Pocket Guide, entry 0619)
    limits = [make_limit(ppm=200), make_limit(ppm=100, list="NIOSH REL", pack="us-federal", averaging=36000.0)]
    found = judge(make_job(), {TOLUENE: 150.0}, limits)[f"air-shift:{TOLUENE}"]
    assert found.level == "control"
    assert "100 ppm (NIOSH REL, pack us-federal)" in found.statement
    assert "10 hours; the 8-hour average is held against it" in found.statement
    assert found.rule.startswith("29 CFR 1910.1000")


def test_decisions_rest_on_the_95th_percentile(judge: Any, make_job: Any, make_limit: Any) -> None:
    draws = np.linspace(0.0, 200.0, 41)  # median 100, 95th percentile 190 (numpy's linear rule)
    limits = [make_limit(kind="short-term", ppm=150, list="NIOSH REL")]
    found = judge(make_job(), {TOLUENE: draws}, limits, draws=41)[f"air-15min:{TOLUENE}"]
    assert "This is over the limit." in found.statement
    assert found.figures[0].value == pytest.approx(190.0)
    assert found.figures[0].p50 == pytest.approx(100.0)


@pytest.mark.parametrize(("ppm", "level"), [(100.0, "note"), (100.1, "control")])
def test_a_long_shift_lowers_the_limit(judge: Any, make_job: Any, make_limit: Any, ppm: float, level: str) -> None:
    # Brief & Scala 1975: factor 0.5 for 12 h, so 200 ppm becomes 100 ppm
    found = judge(make_job(shift=12 * 3600.0), {TOLUENE: ppm}, [make_limit(ppm=200)])[f"air-shift:{TOLUENE}"]
    assert found.level == level
    assert "multiplied by 0.5" in found.statement


def test_a_shift_as_long_as_a_day_is_judged_and_not_an_error(judge: Any, make_job: Any, make_limit: Any) -> None:
    found = judge(make_job(shift=24 * 3600.0), {TOLUENE: 50.0}, [make_limit(ppm=200)])
    assert found[f"air-shift:{TOLUENE}"].level == "control"


@pytest.mark.parametrize(("averaging", "key"), [(0.0, "peak"), (300.0, "peak"), (900.0, "worst_15min")])
def test_a_ceiling_is_held_against_the_peak_unless_it_is_an_average(
    judge: Any, make_job: Any, make_limit: Any, averaging: float, key: str
) -> None:
    limits = [make_limit(kind="ceiling", ppm=300, averaging=averaging)]
    low, high = {TOLUENE: 10.0}, {key: {TOLUENE: 301.0}}
    assert "This is over the limit." in judge(make_job(), low, limits, **high)[f"air-ceiling:{TOLUENE}"].statement
    other = {"worst_15min" if key == "peak" else "peak": {TOLUENE: 301.0}}
    assert "over the limit" not in judge(make_job(), low, limits, **other)[f"air-ceiling:{TOLUENE}"].statement


def test_no_credit_for_the_minutes_above_a_ceiling(judge: Any, make_job: Any, make_limit: Any) -> None:
    # 29 CFR 1910.1000(b)(3): ceiling 25 ppm, peak 50 ppm for 10 minutes in the rule's own example
    limits = [
        make_limit(kind="ceiling", ppm=25),
        make_limit(kind="peak", ppm=50, peak_duration=600.0),
    ]
    found = judge(make_job(), {TOLUENE: 30.0}, limits)[f"air-ceiling:{TOLUENE}"]
    assert "This is over the limit." in found.statement
    assert "pass 25 ppm for 10 minutes in any 8 hours, up to 50 ppm" in found.statement


def test_the_minutes_above_a_ceiling_are_those_of_the_limits_own_hours(
    judge: Any, make_job: Any, make_limit: Any
) -> None:
    # 29 CFR 1910.1000 Table Z-2, styrene: 200 ppm, up to 600 ppm for "5 mins. in any 3 hrs."
    limits = [
        make_limit(kind="ceiling", ppm=200),
        make_limit(kind="peak", ppm=600, peak_duration=300.0, peak_window=10800.0),
    ]
    found = judge(make_job(), {TOLUENE: 250.0}, limits)[f"air-ceiling:{TOLUENE}"]
    assert "pass 200 ppm for 5 minutes in any 3 hours, up to 600 ppm" in found.statement


@pytest.mark.parametrize(("ppm", "level"), [(499.9, "note"), (500.0, "stop")])
def test_a_level_dangerous_to_life_is_a_stop(
    judge: Any, make_job: Any, make_limit: Any, ppm: float, level: str
) -> None:
    # toluene IDLH 500 ppm (NIOSH Pocket Guide, entry 0619)
    limits = [make_limit(ppm=20000), make_limit(kind="idlh", ppm=500, compare="at or over", list="NIOSH IDLH")]
    found = judge(make_job(), {TOLUENE: ppm}, limits)
    assert found[f"air-idlh:{TOLUENE}"].level == level
    assert ("air-idlh@0" in found) == (level == "stop")


def test_vapour_without_any_limit_is_unknown(judge: Any, make_job: Any, make_limit: Any) -> None:
    found = judge(make_job(), {TOLUENE: 5.0}, [make_limit(kind="idlh", ppm=500)])
    assert "toluene" in found[f"air-no-limit:{TOLUENE}"].unknown
    assert found["air-step@0"].unknown


def test_what_the_engine_could_not_count_is_stamped_in_its_step(judge: Any, make_job: Any, make_limit: Any) -> None:
    reason = "primer: the maker does not say what resin solvent is."
    found = judge(make_job(), {TOLUENE: 5.0}, [make_limit()], steps=[{"unknown": [reason]}])
    assert found["air-uncounted@0"].unknown == reason


def test_no_all_clear_without_saying_what_was_not_counted(judge: Any, make_job: Any, make_limit: Any) -> None:
    air = {"bystander": {TOLUENE: 1.0}, "unknowns": ["primer: the maker does not say what its solvent is."]}
    found = judge(make_job(), {TOLUENE: 5.0}, [make_limit()], **air)
    for key in ("air-clear", "air-bystanders", f"air-shift:{TOLUENE}"):
        assert found[key].statement.endswith("Vapour that could not be counted is not in it.")


@pytest.mark.parametrize("cause", ["uncounted", "no limit", "fire"])
def test_no_clock_time_reads_as_all_clear_while_something_is_not_judged(
    judge: Any, make_job: Any, make_limit: Any, cause: str
) -> None:
    more = {
        "uncounted": {"unknowns": ["primer: the maker does not say what its solvent is."]},
        "no limit": {},
        "fire": {"near_fraction": Unknown("no limit of it is loaded")},
    }[cause]
    air = {TOLUENE: 5.0, BUTANONE: 5.0} if cause == "no limit" else {TOLUENE: 5.0}
    found = judge(make_job(), air, [make_limit()], **more)["air-clear"]
    assert "not known" in found.short
    assert not found.short.startswith("Air clear")
    assert found.unknown
    if cause != "fire":
        assert found.level == "control"
        assert "is clear at" not in found.statement


@pytest.mark.parametrize("level", [1.0, 1000.0])
def test_bystanders_are_not_called_under_the_limits_while_something_is_not_judged(
    judge: Any, make_job: Any, make_limit: Any, level: float
) -> None:
    air = {"bystander": {TOLUENE: level}, "far": {TOLUENE: level}, "unknowns": ["primer: part of it is secret."]}
    found = judge(make_job(), {TOLUENE: 5.0}, [make_limit()], **air)["air-bystanders"]
    assert found.level == "control"
    assert "not known" in found.short
    assert found.unknown


def test_the_air_is_clear_when_the_last_zone_is(judge: Any, make_job: Any, make_limit: Any) -> None:
    far = judge(make_job(), {TOLUENE: 1.0}, [make_limit(ppm=100)], far={TOLUENE: 1000.0}, halves_after=1800)[
        "air-clear"
    ]
    near = judge(make_job(), {TOLUENE: 1.0}, [make_limit(ppm=100)], far={TOLUENE: 1.0}, halves_after=1800)["air-clear"]
    assert far.short > near.short


@pytest.mark.parametrize(("third", "index", "level"), [(40.0, 0.925, "note"), (56.0, 1.005, "control")])
def test_the_rules_own_example_of_a_mixture(
    judge: Any, make_job: Any, make_limit: Any, third: float, index: float, level: str
) -> None:
    # 29 CFR 1910.1000(d)(2)(ii): 500/1000 + 45/200 + 40/200 = 0.925
    a, b, c = TOLUENE, BUTANONE, "1330-20-7"
    limits = [make_limit(a, ppm=1000), make_limit(b, ppm=200), make_limit(c, ppm=200)]
    found = judge(make_job(), {a: 500.0, b: 45.0, c: third}, limits)["air-mixture-shift"]
    assert found.figures[0].value == pytest.approx(index)
    assert found.level == level


@pytest.mark.parametrize(("ppm", "level"), [(50.0, "note"), (50.001, "control")])
@pytest.mark.parametrize("kind", ["twa", "short-term"])
def test_a_sum_of_one_is_not_over(
    judge: Any, make_job: Any, make_limit: Any, kind: str, ppm: float, level: str
) -> None:
    # 29 CFR 1910.1000(d)(2)(i): "The value of Em shall not exceed unity (1)"; here 50/100 + 50/100
    limits = [make_limit(cas, kind=kind, ppm=100) for cas in (TOLUENE, BUTANONE)]
    air = {TOLUENE: ppm, BUTANONE: ppm}
    found = judge(make_job(), air, limits, bystander=air, far=air, halves_after=1e12)
    assert {key: f.level for key, f in found.items() if key in ("air-step@0", "air-bystanders", "air-clear")} == {
        "air-step@0": level,
        "air-bystanders": level,
        "air-clear": level,
    }


@pytest.mark.parametrize(("ppm", "level"), [(300.0, "note"), (300.001, "control")])
def test_air_at_the_limit_itself_is_clear(judge: Any, make_job: Any, make_limit: Any, ppm: float, level: str) -> None:
    # 29 CFR 1910.1000(a): exposure "shall not exceed" the limit
    found = judge(make_job(), {TOLUENE: ppm}, [make_limit(ppm=300)], far={TOLUENE: ppm}, halves_after=1e12)
    assert found["air-clear"].level == level


def test_vapours_add_up_within_a_draw_not_across_draws(judge: Any, make_job: Any, make_limit: Any) -> None:
    one = np.tile([100.0, 0.0], 20)  # never both at once, so the sum is 1 in every draw
    limits = [make_limit(TOLUENE, ppm=100), make_limit(BUTANONE, ppm=100)]
    found = judge(make_job(), {TOLUENE: one, BUTANONE: 100.0 - one}, limits)["air-mixture-shift"]
    assert found.figures[0].value == 1.0
    assert found.level == "note"


def test_people_standing_by_are_kept_out_by_the_clock(judge: Any, make_job: Any, make_limit: Any) -> None:
    job, limits = make_job(), [make_limit(kind="short-term", ppm=150)]
    fine = judge(job, {TOLUENE: 90.0}, limits, far={TOLUENE: 90.0}, bystander={TOLUENE: 90.0})["air-bystanders"]
    assert fine.level == "note"
    # 300 ppm till 08:15, then half every 30 min: 150 ppm, no longer over, at 08:45
    out = judge(job, {TOLUENE: 300.0}, limits, far={TOLUENE: 300.0}, bystander={TOLUENE: 300.0})["air-bystanders"]
    assert out.level == "control"
    assert out.short == "Keep others out 08:00 to 08:45"


def test_others_are_kept_out_of_vapours_that_are_over_together_by_that_reason(
    judge: Any, make_job: Any, make_limit: Any
) -> None:
    """Each is under its own limit, so to name one of them would give no reason."""
    limits = [make_limit(cas, kind="short-term", ppm=100) for cas in (TOLUENE, BUTANONE)]
    air = {TOLUENE: 60.0, BUTANONE: 50.0}
    found = judge(make_job(), air, limits, bystander=air, far=air)["air-bystanders"]
    assert "breathe vapours that together reach 1.1 times what is allowed (worst 15 minutes)." in found.statement
    assert "toluene" not in found.statement


def test_the_air_clears_as_fast_as_published_air_changes_say(judge: Any, make_job: Any, make_limit: Any) -> None:
    # ln(10)/0.4 per hour = 5.8 h from 10 times the limit down to it: tracer decay in closed hangars, ASTM STP 904
    job, limits, half = make_job(), [make_limit(ppm=100)], math.log(2) / 0.4 * 3600
    found = judge(job, {TOLUENE: 1000.0}, limits, far={TOLUENE: 1000.0}, halves_after=half)["air-clear"]
    # work ends 08:15; 5 h 45.4 min later is 14:00:24, and the curve has a point every 5 min
    assert found.short == "Air clear 14:05"
    assert found.level == "control"


@pytest.mark.parametrize(("fraction", "clear"), [(0.0999, "08:15"), (0.1, "08:20")])
def test_the_air_is_not_clear_at_the_fire_limit(
    judge: Any, make_job: Any, make_limit: Any, fraction: float, clear: str
) -> None:
    # 29 CFR 1915.13(b)(3)(i): below 10 % of the lower explosive limit
    found = judge(make_job(), {TOLUENE: 1.0}, [make_limit()], near_fraction=fraction)["air-clear"]
    assert found.short == f"Air clear {clear}"


def test_air_that_does_not_clear_or_cannot_be_judged_is_said(judge: Any, make_job: Any, make_limit: Any) -> None:
    found = judge(make_job(), {TOLUENE: 1000.0}, [make_limit(ppm=1)], halves_after=1e6)["air-clear"]
    assert found.short == "Air not clear within 24 h"
    dark = judge(make_job(), {TOLUENE: 1.0}, [make_limit()], near_fraction=Unknown("no limit of it is loaded"))
    assert "no limit of it is loaded" in dark["air-clear"].unknown
    # under every limit for people, and nobody knows whether it can burn: no sentence calls it clear
    assert "is not clear before" in dark["air-clear"].statement
    assert "is clear at" not in dark["air-clear"].statement


@pytest.mark.parametrize(
    ("kind", "volume", "level"),
    [("room", 20.0, None), ("room", 19.99, "control"), ("enclosed", 500.0, "control"), ("outdoor", 5.0, None)],
)
def test_small_and_enclosed_places(
    judge: Any, make_job: Any, make_step: Any, make_place: Any, kind: str, volume: float, level: str | None
) -> None:
    # 20 m3: common practice, no source (the shipped threshold)
    found = judge(make_job(make_step(at=make_place(kind=kind, volume=volume))), {}, [])
    assert (found["air-place:bay"].level if "air-place:bay" in found else None) == level


def test_a_place_of_unknown_size_is_unknown_unless_it_is_outdoors(
    judge: Any, make_job: Any, make_step: Any, make_place: Any
) -> None:
    nobody = Unknown("the shop file gives no volume")
    inside = judge(make_job(make_step(at=make_place(volume=nobody))), {}, [])
    assert "gives no volume" in inside["air-place:bay"].unknown
    outside = judge(make_job(make_step(at=make_place(kind="outdoor", volume=nobody))), {}, [])
    assert "air-place:bay" not in outside


def test_air_that_nobody_measured_is_said(judge: Any, make_job: Any, make_step: Any, make_place: Any) -> None:
    # 0.32-0.47 changes an hour: tracer decay in two closed hangars (published abstract)
    guessed = AirState("doors shut", Range(0.32 / 3600, 0.47 / 3600), Range(0.05, 0.2), "published tracer decay")
    found = judge(make_job(make_step(at=make_place(airs=(guessed,)))), {}, [])
    assert "0.32 to 0.47 changes an hour" in found["air-basis:bay:doors shut"].statement
    assert "air-basis:bay:doors shut" not in judge(make_job(), {}, [])  # measured 2026-03-02


def test_wind_is_not_told_in_changes_of_air(judge: Any, make_job: Any, make_step: Any, make_place: Any) -> None:
    wind = AirState("wind", Range(0.0, 0.0), Range(0.5, 3.0), "our guess")
    found = judge(make_job(make_step(at=make_place(kind="outdoor", airs=(wind,)))), {}, [])
    said = found["air-basis:bay:wind"].statement
    assert "changes an hour" not in said
    assert "gives no day on which it was measured" in said


@pytest.mark.parametrize(("ppm", "share"), [(400.0, "75 %"), (500.0, "80 %")])
def test_near_air_asks_for_local_exhaust(judge: Any, make_job: Any, make_limit: Any, ppm: float, share: str) -> None:
    # 4 times the limit needs 1 - 1/4 = 75 % caught
    found = judge(make_job(), {TOLUENE: ppm}, [make_limit(kind="short-term", ppm=100)])
    remedy = found[f"air-15min:{TOLUENE}"].remedy
    assert "More air for the room alone does not do it" in remedy
    assert f"at least {share} of the vapour" in remedy


@pytest.mark.parametrize(
    ("ppm", "text"),
    [
        # what is left to breathe is 1 part in 1.001, 1.098, 1.112, 100 and 100.1 of the vapour
        (100.1, "A little less vapour is enough, 1 %: use less, or catch some of it at the source."),
        (109.8, "A little less vapour is enough, 9 %: use less, or catch some of it at the source."),
        (111.2, "Catch at least 11 % of the vapour at the source."),
        (10000.0, "Catch at least 99 % of the vapour at the source."),
        (10010.0, "To catch vapour at the source alone does not do it: it would take more than 99 %."),
    ],
)
def test_what_is_to_be_caught_is_neither_next_to_nothing_nor_all_of_it(
    judge: Any, make_job: Any, make_limit: Any, ppm: float, text: str
) -> None:
    """The plugin does not know what the respirators of the shop can do, nor whether anybody has answered that."""
    found = judge(make_job(), {TOLUENE: ppm}, [make_limit(kind="short-term", ppm=100)])
    for key in (f"air-15min:{TOLUENE}", "air-step@0"):
        assert text in found[key].remedy
        assert found[key].remedy.endswith('Whether a respirator will do instead stands under "Breathing".')
        assert "100 %" not in found[key].remedy


def test_air_at_a_limit_that_must_not_be_reached_asks_for_less(judge: Any, make_job: Any, make_limit: Any) -> None:
    limit = make_limit(kind="ceiling", ppm=100, compare="at or over")
    assert "A little less vapour is enough, 1 %" in judge(make_job(), {TOLUENE: 100.0}, [limit])["air-step@0"].remedy


@pytest.mark.parametrize(
    ("near", "room", "text"),
    [
        # what the room does not bring is the hands' own: 100 ppm of it is at the limit, and not over it
        (250.0, 150.0, "of clean air."),
        (250.1, 150.0, "not enough close to the hands"),
        (250.0, 100.0, "More air for the room alone does not do it"),  # the room itself is at the limit
        (200.0, 100.1, "of clean air."),
    ],
)
def test_whether_more_air_for_the_room_is_enough(
    judge: Any, make_job: Any, make_limit: Any, near: float, room: float, text: str
) -> None:
    grams, none = np.full(40, 28.8e-3), np.zeros(40)
    balance = Balance(0, "solvent", "wipe", grams, grams, none, none, none, {TOLUENE: grams}, none, none)
    limits = [make_limit(ppm=100)]
    found = judge(make_job(), {TOLUENE: near}, limits, bystander={TOLUENE: room}, balances=[balance])
    remedy = found[f"air-shift:{TOLUENE}"].remedy
    assert text in remedy
    assert ("close to the hands" in remedy) is (text != "of clean air.")


def test_a_sum_of_one_needs_nothing_caught(judge: Any, make_job: Any, make_limit: Any) -> None:
    limits = [make_limit(cas, ppm=100) for cas in (TOLUENE, BUTANONE)]
    assert judge(make_job(), {TOLUENE: 50.0, BUTANONE: 50.0}, limits)["air-mixture-shift"].remedy == ""
    more = judge(make_job(), {TOLUENE: 50.0, BUTANONE: 51.0}, limits)["air-mixture-shift"].remedy
    assert "A little less vapour is enough, 1 %: use less, or catch some of it" in more  # 1 - 1/1.01


def test_a_vapour_that_is_not_there_needs_no_limit(judge: Any, make_job: Any, make_limit: Any) -> None:
    assert judge(make_job(), {TOLUENE: 5.0, BUTANONE: 0.0}, [make_limit()])["air-clear"].unknown == ""
    assert judge(make_job(), {TOLUENE: 5.0, BUTANONE: 1e-6}, [make_limit()])["air-clear"].unknown


@pytest.fixture
def next_to(make_job: Any, make_step: Any, make_limit: Any, make_exposure: Any, make_reference: Any) -> Any:
    """What is said of another job of 15 minutes that begins so many seconds after this one; the limit is 150 ppm."""

    def say(begins: float, theirs: float, mine: float) -> Finding:
        job, other = make_job(), make_job(make_step("wait"), title="other")
        alone = make_exposure(other, {TOLUENE: theirs}, far={TOLUENE: theirs})
        air = make_exposure(job, {TOLUENE: 0.0}, far={TOLUENE: mine})
        neighbour = Neighbour(other, timeline.moved(alone.timeline, begins), alone)
        reference = make_reference(air.substances, [make_limit(ppm=150)])
        found = findings(safety_ventilation.assess(job, replace(air, neighbours=(neighbour,)), reference))
        return next(f for f in found if f.key == "air-beside:job")

    return say


@pytest.mark.parametrize(
    ("begins", "short", "level"),
    [
        # 300 ppm while it goes on, then half every 30 min: 150 ppm, no longer over, 45 min after its start
        (1.0, "Beside “other”", "note"),  # it comes second, so this job need not wait for it
        (0.0, "After “other” not before 08:45", "control"),
        (-2640.0, "After “other” not before 08:01", "control"),
        (-2700.0, "Beside “other”", "note"),
    ],
)
def test_a_job_may_start_when_the_air_of_the_other_is_clear(
    next_to: Any, begins: float, short: str, level: str
) -> None:
    found = next_to(begins, 300.0, 0.0)
    assert (found.short, found.level, bool(found.figures)) == (short, level, level == "control")


@pytest.mark.parametrize(
    ("begins", "mine", "level"),
    # the same air: over 150 ppm until 08:45, when it is at it
    [(1.0, 150.0, "note"), (1.0, 150.001, "control"), (2400.0, 300.0, "control"), (2700.0, 300.0, "note")],
)
def test_the_other_crew_stays_out_while_the_air_is_over_a_limit(
    next_to: Any, begins: float, mine: float, level: str
) -> None:
    assert next_to(begins, 0.0, mine).level == level


@pytest.mark.parametrize(
    ("begins", "out"),
    [
        # 300 ppm till 08:15, then half every 30 min: 150 ppm, no longer over, at 08:45; a point every 5 min
        (2100.0, "From 08:35 to 08:45 the air of the place may be over a limit"),
        (2400.0, "From 08:40 to 08:45 the air of the place may be over a limit"),
        (2520.0, "From 08:42 to 08:45 the air of the place may be over a limit"),  # begins between two points
    ],
)
def test_the_other_crew_stays_out_to_the_end_of_the_bad_air(next_to: Any, begins: float, out: str) -> None:
    """The last point that is over is not the end: the air comes under the limit after it."""
    assert out in next_to(begins, 0.0, 300.0).statement


@pytest.mark.parametrize(("print_units", "text"), [("us", "1300 cfm"), ("si", "2100 m3/h")])
def test_air_for_the_room_is_the_published_dilution_airflow(
    judge: Any, make_job: Any, make_step: Any, make_place: Any, make_limit: Any, print_units: str, text: str
) -> None:
    # ACGIH manual: 2 pints of toluene an hour, 100 ppm, K 4 need 5051 cfm at 70 degF, so 1263 cfm at K 1
    grams = np.full(40, 2 * 473.2e-6 * 866)
    none = np.zeros(40)
    balance = Balance(0, "solvent", "wipe", grams, grams, none, none, none, {TOLUENE: grams}, none, none)
    job = make_job(
        make_step(minutes=60.0, at=make_place(temperature=Range(294.26, 294.26))), shop_={"print_units": print_units}
    )
    limits = [make_limit(kind="short-term", ppm=100)]
    found = judge(job, {TOLUENE: 110.0}, limits, bystander={TOLUENE: 105.0}, balances=[balance])
    needed = found[f"air-15min:{TOLUENE}"].figures[-1]
    assert needed.value == pytest.approx(1263 * 0.3048**3 / 60, rel=0.01)
    assert text in found[f"air-15min:{TOLUENE}"].remedy


def test_a_shift_limit_spreads_the_vapour_over_eight_hours(judge: Any, make_job: Any, make_limit: Any) -> None:
    # 29 CFR 1910.1000(d)(1)(i) divides by 8 h; 28.8 g of vapour are then 1 mg/s
    grams, none = np.full(40, 28.8e-3), np.zeros(40)
    balance = Balance(0, "solvent", "wipe", grams, grams, none, none, none, {TOLUENE: grams}, none, none)
    found = judge(make_job(), {TOLUENE: 110.0}, [make_limit(ppm=100)], bystander={TOLUENE: 105.0}, balances=[balance])
    # 100 ppm of toluene are 377 mg/m3 (ppm x M / 24.45 at 25 degC)
    assert found[f"air-shift:{TOLUENE}"].figures[-1].value == pytest.approx(1e-6 / 377e-6, rel=0.002)


def test_chart_names_every_limit_and_grid_the_lowest(
    make_job: Any, make_step: Any, make_limit: Any, make_exposure: Any, make_reference: Any
) -> None:
    job = make_job(make_step("wipe"), make_step("wait"))
    draws = np.linspace(80.0, 120.0, 41)
    exposure = make_exposure(
        job,
        {TOLUENE: draws, BUTANONE: 20.0, NMP: 3.0, XYLENE: 5.0},
        draws=41,
        steps=[{}, {name: {TOLUENE: 0.0, BUTANONE: 0.1} for name in ("mean", "worst_15min", "peak")}],
    )
    limits = [
        make_limit(ppm=200),
        make_limit(kind="short-term", ppm=150, list="NIOSH REL"),
        make_limit(BUTANONE, ppm=200),
        make_limit(NMP, ppm=100),
    ]
    chart, grid = blocks(safety_ventilation.assess(job, exposure, make_reference(exposure.substances, limits)))
    assert isinstance(chart, Chart)
    assert isinstance(grid, Grid)
    assert chart.title.startswith("Toluene")  # 118/150 is nearer its limit than 20/200
    assert chart.levels == (
        ("NIOSH REL, 15 min", pytest.approx(150.0)),
        ("OSHA PEL, shift average", pytest.approx(200.0)),
    )
    assert chart.curves[0].low[0] == pytest.approx(100.0)
    assert chart.curves[0].high[0] == pytest.approx(118.0)
    # a row from a tenth of a limit on, the nearest first; under 1 % of the limit no digits; the rest by name
    assert grid.rows == (
        ("toluene", "100/120", "0", "shift average 200 (OSHA PEL); 15 min 150 (NIOSH REL)"),
        ("butanone", "20/20", "<2", "shift average 200 (OSHA PEL)"),
        ("NMP", "", "", "under a tenth of every limit"),
        ("xylene (up to 5 ppm)", "", "", "UNKNOWN: no limit is loaded"),
    )


# ---------------------------------------------------------------- what is not known never reads as an all-clear


def test_vapour_close_to_the_work_without_a_limit_bars_the_all_clear_even_if_nobody_breathes_it(
    make_job: Any, make_limit: Any, make_exposure: Any, make_reference: Any
) -> None:
    """Outdoors the worker far from it breathes nothing of it; whoever goes in then does."""
    job = make_job()
    air = make_exposure(job, {TOLUENE: 5.0, BUTANONE: 5.0})
    nothing = replace(air.worker, **dict.fromkeys(("peak", "worst_15min", "shift_average"), 0 * air.worker.peak))
    found = findings(
        safety_ventilation.assess(job, replace(air, worker=nothing), make_reference(air.substances, [make_limit()]))
    )
    clear = next(f for f in found if f.key == "air-clear")
    assert "not known" in clear.short
    assert (clear.level, "butanone" in clear.statement) == ("control", True)


def test_a_step_with_a_vapour_that_no_limit_judges_is_no_note(judge: Any, make_job: Any, make_limit: Any) -> None:
    found = judge(make_job(), {TOLUENE: 5.0, BUTANONE: 5000.0}, [make_limit()])
    assert found["air-step@0"].level == "control"
    assert found["air-step@0"].short.endswith("; no limit for butanone")
    assert found["air-step@0"].unknown
    assert found[f"air-no-limit:{BUTANONE}"].level == "control"
    assert judge(make_job(), {BUTANONE: 5.0}, [])["air-step@0"].level == "control"


def test_where_nothing_could_be_counted_others_and_the_clear_time_are_still_answered(judge: Any, make_job: Any) -> None:
    reason = "the amount of thinner is not known."
    found = judge(make_job(), {}, [], unknowns=[reason], steps=[{"unknown": [reason]}])
    assert found["air-clear"].short == "When the air is clear is not known"
    assert found["air-bystanders"].short == "Others in the place: not known"
    for key in ("air-clear", "air-bystanders", "air-uncounted@0"):
        assert found[key].level == "control"
        assert found[key].unknown


def test_the_table_of_steps_has_a_row_for_what_could_not_be_counted(
    make_job: Any, make_exposure: Any, make_reference: Any, make_limit: Any
) -> None:
    job = make_job()
    air = make_exposure(job, {TOLUENE: 5.0}, steps=[{"unknown": ["the rest is secret."]}], unknowns=["the rest"])
    found = safety_ventilation.assess(job, air, make_reference(air.substances, [make_limit()]))
    grid = next(b for b in found if isinstance(b, Grid))
    assert grid.rows[-1] == ("what could not be counted", "UNKNOWN", "UNKNOWN")


@pytest.mark.parametrize(
    ("steps", "tables"),
    [(1, (1,)), (7, (7,)), (8, (4, 4)), (9, (4, 5)), (10, (5, 5)), (12, (6, 6)), (15, (5, 5, 5))],
)
def test_the_table_of_many_steps_is_cut_so_that_it_fits_on_paper(
    make_job: Any,
    make_step: Any,
    make_exposure: Any,
    make_reference: Any,
    make_limit: Any,
    steps: int,
    tables: tuple[int, ...],
) -> None:
    """Seven columns of levels leave the limits some words on a line, and no step stands alone in a table."""
    job = make_job(*(make_step(f"step {i}") for i in range(1, steps + 1)))
    air = make_exposure(job, {TOLUENE: 50.0}, steps=[{"worst_15min": {TOLUENE: 100.0 + i}} for i in range(steps)])
    found = safety_ventilation.assess(job, air, make_reference(air.substances, [make_limit()]))
    grids = [b for b in found if isinstance(b, Grid)]
    assert tuple(len(grid.columns) - 2 for grid in grids) == tables
    assert [n for grid in grids for n in grid.columns[1:-1]] == [str(i) for i in range(1, steps + 1)]
    for grid in grids:
        first, last = grid.columns[1], grid.columns[-2]
        assert (f"of steps {first} to {last} " in grid.title) is (len(tables) > 1)
        assert grid.rows[0] == ("toluene", *grid.rows[0][1:-1], "shift average 200 (OSHA PEL)")
        assert len(grid.rows[0]) == len(grid.columns)


def test_the_sum_of_vapours_says_what_is_not_in_it(judge: Any, make_job: Any, make_limit: Any) -> None:
    limits, air = [make_limit(), make_limit(BUTANONE)], {TOLUENE: 5.0, BUTANONE: 5.0}
    assert judge(make_job(), air, limits)["air-mixture-shift"].short.startswith("Vapours together")
    found = judge(make_job(), air, limits, unknowns=["the rest is secret."])["air-mixture-shift"]
    assert found.short.startswith("Counted vapours together")
    assert found.statement.endswith("Vapour that could not be counted is not in it.")


def test_what_others_breathe_opens_with_what_is_not_known(judge: Any, make_job: Any, make_limit: Any) -> None:
    air = {"bystander": {TOLUENE: 1.0}, "unknowns": ["the rest is secret."]}
    found = judge(make_job(), {TOLUENE: 5.0}, [make_limit()], **air)["air-bystanders"]
    assert found.statement.startswith("What people elsewhere in the place breathe is not all known.")
    assert "People elsewhere in the place stay under every limit" not in found.statement


# ---------------------------------------------------------------- a level and a limit that round to the same figure


@pytest.mark.parametrize(
    ("ppm", "told", "over"),
    [(150.3, "just over 150", ": over"), (149.7, "just under 150", ""), (154.0, "154", ": over"), (150.0, "150", "")],
)
def test_a_level_that_rounds_to_its_limit_says_on_which_side_it_is(
    judge: Any, make_job: Any, make_limit: Any, ppm: float, told: str, over: str
) -> None:
    limits = [make_limit(kind="short-term", ppm=150)]
    air = {"bystander": {TOLUENE: ppm}, "far": {TOLUENE: ppm}}
    found = judge(make_job(), {TOLUENE: ppm}, limits, **air)
    for key in (f"air-15min:{TOLUENE}", "air-step@0"):
        assert found[key].short == f"toluene {told} ppm (15 min), limit 150{over}"
    assert f"15 min: {told} ppm for the worker. The limit is 150 ppm" in found[f"air-15min:{TOLUENE}"].statement
    assert f"reaches {told} ppm over the worst 15 minutes. The limit is 150 ppm" in found["air-step@0"].statement
    assert f"{told} ppm" in found["air-bystanders"].statement


def test_a_mean_and_a_deadly_level_say_on_which_side_they_are(judge: Any, make_job: Any, make_limit: Any) -> None:
    limits = [make_limit(ppm=500), make_limit(kind="idlh", ppm=500, compare="at or over")]
    found = judge(make_job(), {TOLUENE: 500.4}, limits)
    assert "oluene near the worker can reach just over 500 ppm. At 500 ppm" in found["air-idlh@0"].statement
    mean = judge(make_job(), {TOLUENE: 499.8}, limits)["air-step@0"]
    assert (
        "is at just under 500 ppm on average in this step. The limit for the whole shift is 500 ppm" in mean.statement
    )


@pytest.mark.parametrize(
    ("ppm", "told"),
    [(50.1, "just over 1"), (49.9, "0.998"), (49.99, "just under 1"), (50.0, "1"), (55.0, "1.1"), (45.0, "0.9")],
)
def test_a_sum_that_rounds_to_one_says_on_which_side_it_is(
    judge: Any, make_job: Any, make_limit: Any, ppm: float, told: str
) -> None:
    limits = [make_limit(cas, kind="short-term", ppm=100) for cas in (TOLUENE, BUTANONE)]
    found = judge(make_job(), {TOLUENE: ppm, BUTANONE: ppm}, limits)
    assert found["air-mixture-15min"].short == f"Vapours together: {told} times what is allowed (worst 15 minutes)"
    assert f"{told} times what is allowed" in found["air-mixture-15min"].statement


def test_air_at_a_limit_that_must_not_be_reached_is_not_called_over_it(
    judge: Any, make_job: Any, make_limit: Any
) -> None:
    found = judge(make_job(), {TOLUENE: 200.0}, [make_limit(ppm=200, compare="at or over")])
    for key in (f"air-shift:{TOLUENE}", "air-step@0"):
        assert (found[key].level, found[key].short.split(", ")[1]) == ("control", "limit 200: not under it")
    assert "This is at the limit, and it must stay under it." in found[f"air-shift:{TOLUENE}"].statement


def test_outdoors_nobody_is_told_of_the_air_of_a_room(
    judge: Any, make_job: Any, make_step: Any, make_place: Any, make_limit: Any
) -> None:
    outside = make_place(kind="outdoor")
    job = make_job(make_step(at=outside))
    remedy = judge(job, {TOLUENE: 150.0}, [make_limit(ppm=100)], far={})[f"air-shift:{TOLUENE}"].remedy
    assert "room" not in remedy
    assert "Catch at least 34 % of the vapour at the source." in remedy


@pytest.mark.parametrize(("hours", "why"), [(10.0, True), (12.0, False)])
def test_a_limit_meant_for_ten_hours_says_why_it_is_cut_for_a_shift_of_ten(
    judge: Any, make_job: Any, make_limit: Any, hours: float, why: bool
) -> None:
    # NIOSH Pocket Guide, introduction: a REL's TWA is for "up to a 10-hour workday during a 40-hour workweek". The
    # length of the week is not known: cut to 25 * (8/10) * (14/16) = 17.5 ppm, and the sheet owns up to it
    limits = [make_limit(ppm=25, averaging=36000.0, list="NIOSH REL")]
    found = judge(make_job(shift=hours * 3600), {TOLUENE: 20.0}, limits)[f"air-shift:{TOLUENE}"]
    assert ("How many such days the week has is not known here, so it is cut all the same" in found.statement) is why
    assert ("This limit is meant for 10 hours;" in found.statement) is not why
    assert f"for a shift of {hours:g} hours" in found.statement
    assert found.level == "control"


# ---------------------------------------------------------------- a step without a length


@pytest.mark.parametrize(("ppm", "key"), [(250.0, "air-step@1"), (600.0, "air-idlh@1")])
def test_a_step_without_length_beside_a_long_wet_part_says_what_counts_as_close(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_limit: Any, ppm: float, key: str
) -> None:
    """Rollers cleaned beside a long laminate: the engine takes all of it as within reach (docs/engine.md)."""
    limits = [make_limit(ppm=200, kind="ceiling"), make_limit(ppm=500, kind="idlh", list="IDLH")]

    def remedy(ppm: float, clean: Any) -> str:
        laminate = replace(make_step("laminate", make_use()), length=8.0)
        return judge(make_job(laminate, clean), {TOLUENE: ppm}, limits)[key if ppm > 200 else "air-step@1"].remedy

    assert "all that is still wet of step 1 counts as close" in remedy(ppm, make_step("clean"))
    assert "gives no length" not in remedy(ppm, replace(make_step("clean"), length=8.0))
    assert "gives no length" not in remedy(ppm, make_step("clean", people="far"))
    assert "gives no length" not in remedy(150.0, make_step("clean"))
