"""A limit cut for a long working day never stands under its list's own name alone.

Brief and Scala (1975): 0.5 for 12 h, so the invented list's 85 ppm become 42.5 ppm.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
import safety_protection
import safety_ventilation
from safety_protection.rules import packs

from safety.model import Block, Chart, Figure, Finding, Grid, Limit, Lines, Respirator
from safety.reference import long_shift
from tests.answered import blocks, findings

TOLUENE, BUTANONE = "108-88-3", "78-93-3"
CUT = "cut for a 12 h shift"
MASK = Respirator("airline", "supplied air", "half mask", "", "continuous flow", "Airline half mask")


@pytest.fixture
def sheet(make_job: Any, make_step: Any, make_limit: Any, make_exposure: Any, make_reference: Any) -> Any:
    """Everything the two plugins say of a job in one vapour, or two, held against limits of 85 ppm, or another."""

    def judge(
        hours: float, ppm: float = 60.0, by_mass: bool = False, butanone: float = 0.0, limit: float = 85, **air: Any
    ) -> tuple[list[Finding], list[Block]]:
        job = make_job(make_step("wipe", minutes=480.0), shift=hours * 3600.0, shop_={"respirators": (MASK,)})
        held = {TOLUENE: ppm, **({BUTANONE: butanone} if butanone else {})}
        exposure = make_exposure(job, held, **air)
        limits = [make_limit(cas, ppm=limit, list="House list") for cas in held]
        if by_mass:
            limits = [make_limit(list="House list", unit="mg/m3", value=320e-6, written="320 mg/m3")]
        limits += [make_limit(cas, kind, 1e5) for cas in held for kind in ("short-term", "idlh")]
        tables = {k: [{**r, "pack": "us-federal"} for r in rows] for k, rows in packs()[1].tables.items()}
        reference = make_reference(exposure.substances, limits, tables=tables, packs=packs()[:1])
        reference._tables |= tables
        air = safety_ventilation.assess(job, exposure, reference)
        return [*findings(air), *safety_protection.assess(job, exposure, reference)], blocks(air)

    return judge


def said(findings: list[Finding], blocks: list[Block]) -> Iterator[str]:
    """Every text of a sheet, cell by cell."""
    for finding in findings:
        yield from (finding.statement, finding.short, finding.unknown, finding.remedy)
    for block in blocks:
        if isinstance(block, Chart):
            yield from (f"{name}: {level:g}" for name, level in block.levels)
        elif isinstance(block, Grid):
            yield from (cell for row in block.rows for cell in row)
        else:
            assert isinstance(block, Lines)
            yield from block.lines


def behind(figure: Figure) -> Iterator[object]:
    """A figure and all that it was made from."""
    yield figure
    for _, given in figure.inputs:
        yield from behind(given) if isinstance(given, Figure) else (given,)


@pytest.mark.parametrize("air", [{}, {"bystander": {TOLUENE: 60.0}, "far": {TOLUENE: 60.0}}, {"butanone": 10.0}])
@pytest.mark.parametrize("ppm", [30.0, 60.0])
def test_wherever_the_cut_figure_stands_it_says_that_it_is_cut(sheet: Any, ppm: float, air: dict[str, Any]) -> None:
    findings, blocks = sheet(12.0, ppm, **air)
    texts = [text for text in said(findings, blocks) if "42.5" in text]
    assert len(texts) >= 4
    assert [text for text in texts if CUT not in text] == []


def test_a_shift_of_eight_hours_has_the_lists_own_limits(sheet: Any) -> None:
    findings, blocks = sheet(8.0)
    assert [text for text in said(findings, blocks) if "cut" in text] == []
    assert any("limit 85" in text for text in said(findings, blocks))


def test_each_place_names_the_list_its_value_and_the_cut(sheet: Any) -> None:
    findings, blocks = sheet(12.0)
    by_key = {(f.plugin, f.key): f for f in findings}
    shift = by_key["ventilation", f"air-shift:{TOLUENE}"]
    assert shift.short == f"toluene 60 ppm (shift average), limit 42.5 {CUT}: over"
    assert f"The limit is 42.5 ppm (House list: 85 ppm, {CUT}, pack test-pack)." in shift.statement
    mask = by_key["protection", "respirator"]
    assert f"1.41 times the 8-hour limit, {CUT} (42.5 ppm, from 85 ppm, House list, toluene)" in mask.statement
    chart, grid = blocks
    assert isinstance(chart, Chart)
    assert isinstance(grid, Grid)
    assert (f"House list, {CUT}", pytest.approx(42.5)) in chart.levels
    assert grid.rows[0][-1].startswith(f"shift average 42.5 (House list: 85 ppm, {CUT})")


def test_no_respirator_needed_by_a_cut_limit_says_so(sheet: Any) -> None:
    findings, _ = sheet(12.0, 34.0)
    answer = next(f for f in findings if f.key == "respirator")
    assert f"at most at 80 % of the 8-hour limit, {CUT}." in answer.statement


def test_a_sum_of_parts_of_cut_limits_and_the_clear_time_say_so(sheet: Any) -> None:
    findings, _ = sheet(12.0, 40.0, butanone=10.0)
    for key in ("air-mixture-shift", "air-clear"):
        found = next(f for f in findings if f.key == key)
        assert f"The limits for the shift average are {CUT}." in found.statement


def test_a_limit_by_mass_gives_the_lists_own_words(sheet: Any) -> None:
    findings, _ = sheet(12.0, by_mass=True)
    shift = next(f for f in findings if f.key == f"air-shift:{TOLUENE}")
    # 320 mg/m3 of toluene are 84.9 ppm (24.45 L/mol at 25 degC), half of it 42.5 ppm
    assert f"42.5 ppm (House list: 320 mg/m3, {CUT}, pack test-pack)" in shift.statement


def test_the_lists_own_value_and_the_cut_stand_behind_each_figure_held_against_it(sheet: Any) -> None:
    findings, _ = sheet(12.0, 60.0, butanone=30.0)
    held = [
        figure
        for finding in findings
        for figure in finding.figures
        if any(isinstance(x, Limit) and x.kind == "twa" for x in behind(figure))
    ]
    assert {f.formula for f in held} >= {"ppm_from_mass", "additive_index", "protection_factor_needed"}
    assert "most toluene this device may be used in" in {f.name for f in held}
    for figure in held:
        cuts = [x for x in behind(figure) if isinstance(x, Figure) and x.formula == "extended_shift_factor"]
        assert cuts, figure.name
        for cut in cuts:
            limit = dict(cut.inputs)["limit"]
            assert isinstance(limit, Limit)
            assert (limit.written, cut.value) == ("85 ppm", pytest.approx(42.5))
            assert "multiplied by 0.5" in cut.note


def test_a_device_may_be_used_in_no_more_than_its_factor_times_the_cut_limit(sheet: Any) -> None:
    # 29 CFR 1910.134(d)(3)(i)(B)(1): assigned factor times the limit; 50 for this device (table 1)
    findings, _ = sheet(12.0)
    most = next(x for f in findings for x in f.figures if x.name == "most toluene this device may be used in")
    assert most.value == pytest.approx(50 * 42.5)


def test_the_rest_of_the_room_is_held_against_the_cut_limit_too(sheet: Any) -> None:
    findings, _ = sheet(12.0, bystander={TOLUENE: 34.0})
    answer = next(f for f in findings if f.key == "respirator")
    assert "The rest of the room stays at 80 % of the limits" in answer.remedy


def test_a_shift_of_a_whole_day_is_cut_alike_everywhere(make_job: Any, make_limit: Any) -> None:
    job = make_job(shift=24 * 3600.0)
    assert 0 < long_shift.factor(job, make_limit()) < 0.01
    assert long_shift.words(job, make_limit()) == "cut for a 24 h shift"
    for kind in ("short-term", "ceiling", "peak", "idlh"):
        assert (long_shift.factor(job, make_limit(kind=kind)), long_shift.words(job, make_limit(kind=kind))) == (1, "")


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (28800.0, ""),
        (28801.0, "cut for a just over 8 h shift"),
        (8.004 * 3600, "cut for a 8.004 h shift"),
        (8.25 * 3600, "cut for a 8.25 h shift"),
    ],
)
def test_a_shift_that_is_cut_never_reads_as_one_of_eight_hours(
    sheet: Any, make_job: Any, make_limit: Any, seconds: float, words: str
) -> None:
    job = make_job(shift=seconds)
    assert long_shift.words(job, make_limit()) == words
    assert (long_shift.factor(job, make_limit()) < 1) == bool(words)
    shift = next(f for f in sheet(seconds / 3600)[0] if f.key == f"air-shift:{TOLUENE}")
    assert "multiplied by 1 for" not in shift.statement


def test_a_limit_of_four_figures_is_printed_as_the_air_is_held_against_it(sheet: Any) -> None:
    # 14.5 ppm times 0.7 for 10 h (Brief and Scala) are 10.15 ppm; to three figures air and limit would both be 10.2
    findings, blocks = sheet(10.0, 10.18, limit=14.5)
    by_key = {(f.plugin, f.key): f for f in findings}
    shift = by_key["ventilation", f"air-shift:{TOLUENE}"]
    cut = "cut for a 10 h shift"
    assert shift.short == f"toluene 10.2 ppm (shift average), limit 10.15 {cut}: over"
    assert f"The limit is 10.15 ppm (House list: 14.5 ppm, {cut}, pack test-pack)." in shift.statement
    assert f"{cut} (10.15 ppm, from 14.5 ppm, House list, toluene)" in by_key["protection", "respirator"].statement
    assert isinstance(blocks[1], Grid)
    assert blocks[1].rows[0][-1].startswith(f"shift average 10.15 (House list: 14.5 ppm, {cut})")


# ---------------------------------------------------------------- work that is longer than the shift


@pytest.mark.parametrize(
    ("hours", "shift", "words"),
    [
        ([4, 4], 8.0, ""),
        ([4, 4.001], 8.0, "Work of 8.001 h in a shift of 8 h: change crews"),
        ([12], 8.0, "Work of 12 h in a shift of 8 h: change crews"),
        ([12], 12.0, ""),
        ([6, "away 1", 6], 12.0, "Work of 13 h in a shift of 12 h: change crews"),  # a break is part of the shift
        # a night's rest: 11 hours in a row, Directive 2003/88/EC, Article 3
        (["away 12", 8, "away 11", 8], 8.0, ""),
        ([8, "away 10.9", 8], 8.0, "Work of 26.9 h in a shift of 8 h: change crews"),
        (["away 20"], 8.0, ""),
    ],
)
def test_who_is_planned_to_stay_for_longer_than_the_shift_is_told_so(
    make_job: Any,
    make_step: Any,
    make_limit: Any,
    make_exposure: Any,
    make_reference: Any,
    hours: list[Any],
    shift: float,
    words: str,
) -> None:
    """The shift is 8 h where the job file says nothing, and no limit is cut for what the steps come to."""
    steps = []
    for number, one in enumerate(map(str, hours)):
        people, length = ("away", one.removeprefix("away ")) if "away" in one else ("near", one)
        steps.append(make_step(f"step {number}", minutes=float(length) * 60, people=people))
    job = make_job(*steps, shift=shift * 3600)
    exposure = make_exposure(job, {TOLUENE: 1.0})
    found = findings(safety_ventilation.assess(job, exposure, make_reference(exposure.substances, [make_limit()])))
    assert [f.short for f in found if f.key == "air-longer-than-shift"] == ([words] if words else [])
    assert {f.level for f in found if f.key == "air-longer-than-shift"} <= {"control"}
