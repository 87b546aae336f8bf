"""What the properties plugin says about the data a sheet stands on."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
import safety_properties

from safety.cited import Unknown
from safety.model import Figure, Finding, Grid, Range
from tests.answered import blocks, findings

TOLUENE, BUTANONE = "108-88-3", "78-93-3"
PACK = safety_properties.contribute().packs[0]


@pytest.fixture
def judge(make_exposure: Any, make_reference: Any) -> Any:
    """Findings by key for a job whose air holds the given substances."""

    def run(job: Any, substances: Any = (), limits: Any = (), reference: Any = None) -> dict[str, Finding]:
        exposure = make_exposure(job, {s.cas: 1.0 for s in substances}, substances=substances)
        reference = reference or make_reference(substances, limits, packs=[PACK])
        found = findings(safety_properties.assess(job, exposure, reference))
        assert {(f.topic, f.level, f.step) for f in found} == {("data", "note", None)}
        return {f.key: f for f in found}

    return run


def test_good_data_are_said_to_be_good(judge: Any, make_job: Any, make_substance: Any) -> None:
    found = judge(make_job(), [make_substance(TOLUENE, flash_point=277.15)])
    assert list(found) == ["data"]


@pytest.mark.parametrize(("revised", "old"), [(date(2023, 3, 11), False), (date(2023, 3, 10), True)])
def test_a_data_sheet_is_old_after_three_years(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_product: Any, revised: date, old: bool
) -> None:
    # 1095 days before 2026-03-10 is 2023-03-11; three years: common practice, no source
    product = make_product("primer", sds_revised=revised)
    found = judge(make_job(make_step("brush", make_use(product))))
    assert ("data-product:primer" in found) == old


def test_a_data_sheet_without_a_date_is_said(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_product: Any
) -> None:
    product = make_product("primer", sds_revised=Unknown("not given"))
    found = judge(make_job(make_step("brush", make_use(product))))
    assert "no revision date" in found["data-product:primer"].statement


@pytest.mark.parametrize(("high", "wide"), [(0.39, False), (0.40, True)])
def test_a_wide_range_is_named(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_product: Any, make_part: Any, high: float, wide: bool
) -> None:
    # a spread of 10 percentage points and more: common practice, no source
    product = make_product("primer", make_part(TOLUENE, 0.30, high), make_part(BUTANONE, 0.65))
    found = judge(make_job(make_step("brush", make_use(product))))
    assert ("data-product:primer" in found) == wide
    if wide:
        assert "toluene 30 to 40 %" in found["data-product:primer"].statement


def test_what_the_maker_leaves_out_is_said(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_product: Any, make_part: Any, make_carried: Any
) -> None:
    hidden = make_product("primer", make_part(TOLUENE, 0.9), make_part("", 0.1, name="trade secret"))
    short = make_product("cleaner", make_part(TOLUENE, 0.9))
    found = judge(make_job(make_step("brush", make_use(hidden)), carried=(make_carried(short),)))
    assert "does not say what trade secret is" in found["data-product:primer"].statement
    assert "reach 90 % at most" in found["data-product:cleaner"].statement


@pytest.mark.parametrize(
    ("name", "unit", "values", "differ"),
    [
        ("molar_mass", "kg/mol", (0.100, 0.110), False),
        ("molar_mass", "kg/mol", (0.100, 0.1101), True),
        # MEK: -9 degC and -6 degC are 3 K apart, -10 degC and -6 degC more (published flash points)
        ("flash_point", "K", (264.15, 267.15), False),
        ("flash_point", "K", (267.15, 263.15), True),
    ],
)
def test_sources_that_differ_are_named_with_the_one_used(
    judge: Any, make_job: Any, make_substance: Any, make_cited: Any,
    name: str, unit: str, values: tuple[float, float], differ: bool,
) -> None:  # fmt: skip
    given = {"flash_point": 264.15, name: tuple(make_cited(v, unit) for v in values)}
    found = judge(make_job(), [make_substance(BUTANONE, **given)])
    assert (f"data-substance:{BUTANONE}" in found) == differ
    if differ:
        used = min(values) if name == "flash_point" else values[0]
        assert f"Used: {used:g} {unit}" in found[f"data-substance:{BUTANONE}"].statement


def test_vapour_pressures_are_compared_at_one_temperature(
    judge: Any, make_job: Any, make_substance: Any, make_cited: Any
) -> None:
    # toluene 2907 Pa at 20 degC (Poling et al.) and 3789 Pa at 25 degC do not disagree
    apart = (make_cited(2907.0, "Pa", temperature=293.15), make_cited(3789.0, "Pa", temperature=298.15))
    assert list(judge(make_job(), [make_substance(TOLUENE, flash_point=277.15, vapour_pressure=apart)])) == ["data"]
    same = (make_cited(2907.0, "Pa", temperature=293.15), make_cited(3789.0, "Pa", temperature=293.15))
    assert len(judge(make_job(), [make_substance(TOLUENE, flash_point=277.15, vapour_pressure=same)])) == 1


def test_what_nobody_checked_is_said(
    judge: Any, make_job: Any, make_substance: Any, make_cited: Any, make_limit: Any
) -> None:
    shaky = make_substance(TOLUENE, flash_point=(make_cited(277.15, "K", unverified="from memory"),))
    limits = [make_limit(ppm=50, unverified="not read in the law", list="County list")]
    found = judge(make_job(), [shaky], limits)[f"data-substance:{TOLUENE}"]
    assert "is unverified: from memory" in found.statement
    assert "County list 50 ppm" in found.statement


def test_a_pressure_outside_its_equation_is_said(
    judge: Any, make_job: Any, make_step: Any, make_place: Any, make_substance: Any, make_reference: Any
) -> None:
    class Reference(make_reference):  # type: ignore[misc]
        def vapour_pressure(self, cas: str, temperature: float) -> Figure:
            note = "fitted to 300 K; 311 K lies outside" if temperature > 300 else ""
            return Figure("vapour pressure", 1.0, "Pa", note=note)

    liquid = make_substance(TOLUENE, flash_point=277.15)
    reference = Reference([liquid], packs=[PACK])
    hot = make_job(make_step("mark", at=make_place(temperature=Range(290.0, 311.0))))
    found = judge(hot, [liquid], reference=reference)[f"data-substance:{TOLUENE}"]
    assert "311 K lies outside" in found.statement
    assert list(judge(make_job(), [liquid], reference=reference)) == ["data"]


def test_the_table_names_where_each_value_was_read(
    make_job: Any, make_exposure: Any, make_reference: Any, make_substance: Any, make_cited: Any
) -> None:
    liquid = make_substance(TOLUENE, lower_explosive_limit=(make_cited(0.011), make_cited(0.010)))
    job = make_job()
    exposure = make_exposure(job, {TOLUENE: 1.0}, substances=[liquid])
    (grid,) = blocks(safety_properties.assess(job, exposure, make_reference([liquid], packs=[PACK])))
    assert isinstance(grid, Grid)
    rows = {row[1]: row for row in grid.rows}
    assert rows["lower explosive limit"][2:] == ("0.01 1", "A handbook made for the tests, 1st, table 1", "0.011 1")
    assert rows["flash point"][2] == "UNKNOWN"


def test_data_are_not_called_good_where_some_are_missing(
    make_job: Any, make_exposure: Any, make_reference: Any
) -> None:
    """Without a substance in the air there was nothing to remark, though that was because nothing could be computed."""
    job = make_job()
    air = make_exposure(job, {}, unknowns=["wipe: the amount of thinner is not known."])
    (found,) = findings(safety_properties.assess(job, air, make_reference(packs=[PACK])))
    assert found.short == "data: not all known"
    assert "the amount of thinner is not known" in found.statement
    assert "sources agree" not in found.statement
