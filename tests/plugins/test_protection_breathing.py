"""Respirators: which step needs one, how strong, which of the stock, when cartridges go, what would do instead."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import safety_protection
from safety_protection import restricted
from safety_protection.rules import packs

from safety.cited import Unknown
from safety.model import AirState, Figure, Finding, Range, Respirator
from safety.reference.hazards import product_hazards

TOLUENE, BUTANONE, DCM, ACETONE = "108-88-3", "78-93-3", "75-09-2", "67-64-1"

Assess = Callable[..., dict[int | None, Finding]]

HALF = Respirator(
    "half", "air-purifying", "half mask", "organic vapour", name="Half mask", sorbent_mass=0.052, bed_depth=0.026
)
FULL = replace(HALF, id="full", facepiece="full facepiece", name="Full mask")
AIRLINE = Respirator("airline", "supplied air", "full facepiece", "", "continuous flow", "Airline")


def _tables(pack: str) -> dict[str, list[Mapping[str, Any]]]:
    found: dict[str, list[Mapping[str, Any]]] = {}
    for one in packs():
        for name, rows in one.tables.items() if one.id == pack else ():
            found.setdefault(name, []).extend({**row, "pack": pack} for row in rows)
    return found


@pytest.fixture
def toluene(make_substance: Any) -> Any:
    """Toluene with what the cartridge methods ask for (handbook values)."""
    return make_substance(TOLUENE, hazards=("H225",), boiling_point=383.75, density=862.3, refractive_index=1.4941)


@pytest.fixture
def breathe(make_step: Any, make_use: Any, make_product: Any, make_part: Any, make_place: Any, make_job: Any,
            make_exposure: Any, make_reference: Any, make_limit: Any, toluene: Any) -> Assess:  # fmt: skip
    """The breathing finding of each step, for a stock of respirators. Each of ``air`` is a step's ppm of toluene."""

    def assess(*stock: Respirator, air: Sequence[Any] = (0.0,), limits: Any = None, pack: str = "us-federal",
               substances: Any = None, shift_average: Any = None, peaks: Any = None, minutes: Any = 30.0,
               work: str = "wipe", kind: str = "room", humidity: float | None = 0.4, settings: Any = None,
               job: Any = None, more: Any = None, pascal: float = 3240.0, place: Any = None, thresholds: Any = (),
               **exposure: Any) -> dict[int | None, Finding]:  # fmt: skip
        here = make_place(kind=kind, humidity=humidity, temperature=Range(295.15, 295.15), **(place or {}))
        product = make_product("solvent", make_part(TOLUENE))
        long = minutes if isinstance(minutes, Sequence) else [minutes] * len(air)
        steps = [make_step(f"step {i}", make_use(product, work), minutes=m, at=here) for i, m in enumerate(long)]
        made = make_job(*steps, shop_={"respirators": stock, "settings": settings or {}}, **(job or {}))
        known = substances or [toluene]
        if limits is None:
            limits = [make_limit(TOLUENE, "short-term", 150)]
        per_step = [
            {"mean": {TOLUENE: c}, "worst_15min": {TOLUENE: c}, "peak": {TOLUENE: p}, **(more or {})}
            for c, p in zip(air, peaks or air, strict=True)
        ]
        average = {TOLUENE: 0.0 if shift_average is None else shift_average}
        held = make_exposure(made, {TOLUENE: 0.0}, substances=known, steps=per_step, shift_average=average, **exposure)
        reference = make_reference(known, limits, thresholds=thresholds, tables=_tables(pack))
        # toluene at 22 degC by the Antoine equation of Poling and others: 3.2 kPa
        reference.vapour_pressure = lambda cas, kelvin: Figure("vapour pressure", pascal, "Pa")
        found = safety_protection.assess(made, held, reference)
        return {f.step: f for f in found if f.topic == "breathing"}

    return assess


def _brief(make_limit: Any) -> list[Any]:
    """Limits for short times far over any air of these tests, so that only the shift's own decides."""
    return [make_limit(TOLUENE, "short-term", 5000), make_limit(TOLUENE, "idlh", 9000)]


def _value(finding: Finding, name: str) -> float:
    return next(f.value for f in finding.figures if name in f.name)


# ---------------------------------------------------------------- whether, and how strong


@pytest.mark.parametrize(("ppm", "level"), [(150.0, "note"), (150.1, "stop")])
def test_at_the_limit_is_not_over_it(breathe: Assess, ppm: float, level: str) -> None:
    assert breathe(air=[ppm])[0].level == level


@pytest.mark.parametrize(("compare", "level"), [("over", "note"), ("at or over", "stop")])
def test_exactly_at_the_limit_hangs_on_its_sign(breathe: Assess, make_limit: Any, compare: str, level: str) -> None:
    limit = make_limit(TOLUENE, "short-term", 150, compare=compare)
    assert breathe(air=[150.0], limits=[limit])[0].level == level


@pytest.mark.parametrize("signs", [("over", "at or over"), ("at or over", "over")])
def test_of_two_equal_limits_the_one_that_must_not_be_met_rules(
    breathe: Assess, make_limit: Any, signs: tuple[str, str]
) -> None:
    """Our choice, no source: the careful one of two lists, whichever is read first."""
    limits = [make_limit(TOLUENE, "short-term", 150, compare=sign) for sign in signs]
    assert breathe(air=[150.0], limits=limits)[0].level == "stop"


def test_a_need_of_the_shift_and_of_a_quarter_hour_alike_is_said_by_the_quarter_hour(
    breathe: Assess, make_limit: Any
) -> None:
    """75 / (80 - 60) = 3.75 by the shift, 600 of 160 ppm by the quarter hour; our choice, no source: it is nearer."""
    limits = [make_limit(TOLUENE, "twa", 80), make_limit(TOLUENE, "short-term", 160)]
    found = breathe(HALF, air=[480.0, 600.0], minutes=[60.0, 60.0], limits=limits, shift_average=135.0,
                    settings={"cartridge_change_time": "60 min"})[1]  # fmt: skip
    assert _value(found, "protection factor needed") == 3.75
    assert "3.75 times the 15-minute limit" in found.statement


def test_no_respirator_says_how_near_the_limit_is(breathe: Assess) -> None:
    found = breathe(air=[75.0])[0]
    assert found.statement == (
        "step 0: no respirator because of these products. "
        "The breathed air is at most at 50 % of the 15-minute limit. "
        "What the work itself brings, such as sparks, heat, noise, dust and fume, was not looked at."
    )
    assert found.short == "None because of these products; the work itself may need it"


@pytest.mark.parametrize(("ratio", "level"), [(10.0, "control"), (10.01, "stop")])
def test_a_half_mask_is_good_to_ten_times(breathe: Assess, make_limit: Any, ratio: float, level: str) -> None:
    """29 CFR 1910.134 Table 1."""
    found = breathe(HALF, air=[10 * ratio], limits=[make_limit(TOLUENE, "short-term", 10)])[0]
    assert found.level == level
    assert _value(found, "protection factor needed") == pytest.approx(ratio)
    assert any(f.name == "cartridge time" for f in found.figures) is (level == "control")
    if level == "stop":
        assert "Half mask: factor 10 is too low" in found.statement
        assert "It takes:" in found.statement
        assert "(factor 25)" in found.statement


def test_the_least_burdensome_of_the_stock_is_taken(breathe: Assess, make_limit: Any) -> None:
    limits = [make_limit(TOLUENE, "short-term", 80), make_limit(TOLUENE, "idlh", 9000)]
    assert breathe(AIRLINE, FULL, HALF, air=[300.0], limits=limits)[0].short.startswith("Half mask, OV (black)")
    assert breathe(AIRLINE, FULL, HALF, air=[850.0], limits=limits)[0].short.startswith("Full mask")
    # whatever its factor, without its maker's word a cartridge is good to what its approval says: 42 CFR 84.190(a)
    assert breathe(AIRLINE, FULL, HALF, air=[1001.0], limits=limits)[0].short.startswith("Airline")


def test_a_lighter_mask_that_is_strong_enough_is_said_not_to_do(breathe: Assess, make_limit: Any) -> None:
    """Ten times the limit is what a half mask is good to (29 CFR 1910.134 Table 1), so its cartridge is why not."""
    limits = [make_limit(TOLUENE, "short-term", 10)]
    dusty = replace(HALF, cartridge="P100")
    at, over = (breathe(dusty, FULL, air=[ppm], limits=limits)[0].statement for ppm in (100.0, 101.0))
    assert "Not Half mask: its cartridge is for particles." in at
    assert "Not Half mask" not in over
    same = breathe(replace(dusty, name="Other"), HALF, air=[100.0], limits=limits)[0].statement
    assert "Not Other" not in same  # no lighter than the one to wear


def test_decisions_rest_on_the_careful_end(breathe: Assess) -> None:
    """One draw in ten over the limit is over it at the 95th percentile."""
    draws = np.where(np.arange(40) % 10 == 0, 300.0, 10.0)
    found = breathe(air=[draws])[0]
    assert found.level == "stop"
    assert _value(found, "protection factor needed") == pytest.approx(2.0)
    assert next(f.p50 for f in found.figures if "against its" in f.name) == pytest.approx(10 / 150)


def test_a_ceiling_meets_the_peak_and_a_quarter_hour_the_average(breathe: Assess, make_limit: Any) -> None:
    instant = make_limit(TOLUENE, "ceiling", 300)
    quarter = make_limit(TOLUENE, "ceiling", 300, averaging=900.0)
    assert breathe(air=[100.0], peaks=[310.0], limits=[instant])[0].level == "stop"
    assert breathe(air=[100.0], peaks=[310.0], limits=[quarter])[0].level == "note"
    assert "ceiling" in breathe(air=[100.0], peaks=[310.0], limits=[instant])[0].statement


def test_vapours_add_up(breathe: Assess, make_limit: Any, make_substance: Any, toluene: Any) -> None:
    """29 CFR 1910.1000(d)(2): 90/150 + 180/300 = 1.2."""
    butanone = make_substance(BUTANONE, hazards=("H225",))
    limits = [make_limit(TOLUENE, "short-term", 150), make_limit(BUTANONE, "short-term", 300)]
    both = {"worst_15min": {TOLUENE: 90.0, BUTANONE: 180.0}}
    found = breathe(air=[90.0], limits=limits, substances=[toluene, butanone], more=both)[0]
    assert found.level == "stop"
    assert _value(found, "sum over") == pytest.approx(1.2)
    assert "all vapours added up" in found.statement


def test_vapours_add_up_whatever_their_short_limits_are_called(
    breathe: Assess, make_limit: Any, make_substance: Any, toluene: Any
) -> None:
    """29 CFR 1910.1000(d)(2): 90/150 + 180/300 = 1.2, though one list says ceiling and the other short-term."""
    butanone = make_substance(BUTANONE, hazards=("H225",))
    limits = [make_limit(TOLUENE, "ceiling", 150), make_limit(BUTANONE, "short-term", 300)]
    both = {"worst_15min": {TOLUENE: 90.0, BUTANONE: 180.0}, "peak": {TOLUENE: 90.0, BUTANONE: 180.0}}
    found = breathe(air=[90.0], limits=limits, substances=[toluene, butanone], more=both)[0]
    assert found.level == "stop"
    assert _value(found, "sum over") == pytest.approx(1.2)


def test_a_limit_by_mass_counts_by_molecules(breathe: Assess, make_limit: Any) -> None:
    """375 mg/m3 of toluene at 25 degC are 99.6 ppm (29 CFR 1910.1000 Table Z-1 note)."""
    limit = make_limit(TOLUENE, "short-term", unit="mg/m3", value=375e-6, written="375 mg/m3")
    assert _value(breathe(air=[199.0], limits=[limit])[0], "protection factor needed") == pytest.approx(
        199 / 99.6, rel=1e-3
    )


# ---------------------------------------------------------------- danger and what is not known


@pytest.mark.parametrize(("ppm", "short"), [(500.0, "Air dangerous to life"), (499.0, "Half mask")])
def test_danger_to_life_leaves_two_devices(breathe: Assess, make_limit: Any, ppm: float, short: str) -> None:
    """Toluene: 500 ppm (NIOSH Pocket Guide). 29 CFR 1910.134(d)(2)(i) and (d)(3)(i)(B)."""
    limits = [make_limit(TOLUENE, "short-term", 150), make_limit(TOLUENE, "idlh", 500, compare="at or over")]
    found = breathe(
        HALF, FULL, AIRLINE, air=[140.0], peaks=[ppm], limits=[*limits, make_limit(TOLUENE, "ceiling", 200)]
    )[0]
    assert found.short.startswith(short)
    if short == "Air dangerous to life":
        assert found.level == "stop"
        assert "rated for 30 minutes or more; or supplied air" in found.statement
        assert "Half mask" not in found.statement


def test_most_the_device_may_be_used_in_stops_at_the_danger_limit(breathe: Assess, make_limit: Any) -> None:
    """Half mask, limit 100, danger at 500: 500 and not 1,000 ppm (NIOSH Pocket Guide, toluene)."""
    limits = [make_limit(TOLUENE, "short-term", 100), make_limit(TOLUENE, "idlh", 500)]
    found = breathe(HALF, air=[200.0], limits=limits)[0]
    assert _value(found, "this device may be used in") == pytest.approx(500.0)
    free = breathe(HALF, air=[200.0], limits=limits[:1])[0]
    assert _value(free, "this device may be used in") == pytest.approx(1000.0)
    capped = breathe(replace(HALF, cartridge_limit=300e-6), air=[200.0], limits=limits)[0]
    assert _value(capped, "this device may be used in") == pytest.approx(300.0)


def test_air_that_cannot_be_estimated_counts_as_dangerous(breathe: Assess) -> None:
    """29 CFR 1910.134(d)(1)(iii)."""
    found = breathe(AIRLINE, air=[1.0], more={"unknown": ("The amount of thinner is not known.",)})[0]
    assert (found.level, found.short) == ("stop", "Vapour unknown")
    assert "The amount of thinner is not known." in found.statement
    assert "pressure demand, rated for 30 minutes" in found.statement
    assert found.unknown
    assert "1910.134(d)(1)(iii)" in found.rule


@pytest.mark.parametrize("ppm", [0.0, 10.0, 300.0])
def test_a_step_of_known_air_says_that_the_shift_is_not_all_counted(breathe: Assess, ppm: float) -> None:
    """Its own air may be judged; an average over steps whose vapour nobody can estimate is the least there is."""
    words = "Vapour that could not be counted is not in the 8-hour average."
    assert words in breathe(AIRLINE, air=[ppm], unknowns=("The amount of thinner is not known.",))[0].statement
    assert words not in breathe(AIRLINE, air=[ppm])[0].statement


def test_a_substance_without_a_limit_is_said(breathe: Assess) -> None:
    found = breathe(HALF, air=[10.0], limits=[])[0]
    assert found.unknown == "No exposure limit is loaded for toluene: the protection that takes cannot be computed"
    assert (found.level, found.short) == ("control", "Respirator: not known if needed")
    assert "no respirator needed" not in found.statement
    assert breathe(HALF, air=[0.0], limits=[])[0].unknown == ""


def test_a_vapour_without_a_limit_leaves_no_all_clear_beside_one_under_its_own(
    breathe: Assess, make_limit: Any, make_substance: Any, toluene: Any
) -> None:
    acetone = make_substance(ACETONE, "acetone", molar_mass=0.05808)
    own = {"worst_15min": {TOLUENE: 15.0, ACETONE: 900.0}, "peak": {TOLUENE: 15.0, ACETONE: 900.0}}
    found = breathe(HALF, air=[15.0], substances=[toluene, acetone], more=own)[0]
    assert (found.level, found.short) == ("control", "Respirator: not known if needed")
    assert "at most at 10 % of the 15-minute limit" in found.statement
    assert "no respirator needed" not in found.statement
    assert "acetone" in found.unknown


def test_no_cartridge_against_a_vapour_without_a_limit(breathe: Assess, make_substance: Any, toluene: Any) -> None:
    """Toluene alone asks for a factor of 2; what the cartridge must hold back of the other nobody can say."""
    xylene = make_substance("1330-20-7", "xylene", boiling_point=412.0, density=864.0, refractive_index=1.497)
    own = {"worst_15min": {TOLUENE: 300.0, "1330-20-7": 50.0}, "peak": {TOLUENE: 300.0, "1330-20-7": 50.0}}
    found = breathe(HALF, air=[300.0], substances=[toluene, xylene], more=own)[0]
    assert (found.level, found.short) == ("stop", "No respirator in stock will do (not all known)")
    assert "no limit of xylene is loaded" in found.statement
    line = breathe(HALF, AIRLINE, air=[300.0], substances=[toluene, xylene], more=own)[0]
    assert line.short == "Airline (not all known)"
    assert line.unknown


def test_what_is_not_in_the_air_bars_no_cartridge(breathe: Assess, make_substance: Any, toluene: Any) -> None:
    """29 CFR 1910.1052(g)(3) bars cartridges against dichloromethane; of it, and of a secret, this step has none."""
    dcm = make_substance(DCM, hazards=("H351",), boiling_point=312.9)
    secret = make_substance("0-00-0", "secret", molar_mass=0.1)
    found = breathe(HALF, air=[300.0], substances=[toluene, dcm, secret])[0]
    assert found.short.startswith("Half mask")
    assert "dichloromethane" not in found.statement


def test_a_vapour_as_thick_as_its_liquid_allows_counts_by_its_own_share(
    breathe: Assess, make_limit: Any, make_substance: Any, toluene: Any
) -> None:
    """Together the two come to exactly the vapour pressure of either: no air can hold that much of one alone."""
    xylene = make_substance("1330-20-7", "xylene", boiling_point=412.0, density=864.0, refractive_index=1.497)
    limits = [make_limit(TOLUENE, "short-term", 150), make_limit("1330-20-7", "short-term", 150)]
    both = {"worst_15min": {TOLUENE: 300.0, "1330-20-7": 200.0}, "peak": {TOLUENE: 300.0, "1330-20-7": 200.0}}
    found = breathe(HALF, air=[300.0], substances=[toluene, xylene], limits=limits, more=both, pascal=50.6625)[0]
    wood = next(f for f in found.figures if f.name == "Wood's estimate, toluene")
    assert dict(wood.inputs)["concentration"].value == pytest.approx(300.0)


def test_a_change_due_between_two_masked_steps_is_made_at_the_start_of_the_next(breathe: Assess) -> None:
    """29 CFR 1910.134(d)(3)(iii)(B)(2): changed before the end of service life, which runs on in idle time too.

    The first and third half hour wear the mask, the second does not; the shop's schedule is 40 minutes.
    """
    found = breathe(HALF, air=[190.0, 1.0, 190.0], settings={"cartridge_change_time": "40 min"})
    assert "New cartridges at the start." in found[0].statement
    assert found[1].level == "note"
    assert "New cartridges at the start." in found[2].statement  # 40 min ran out in the second step
    kept = breathe(HALF, air=[190.0, 1.0, 190.0], settings={"cartridge_change_time": "100 min"})
    assert "New cartridges" not in kept[2].statement


@pytest.mark.parametrize(
    ("schedule", "first", "second"),
    [
        ("29 min", "08:29", "08:58"),
        ("30 min", "", ""),  # it ends with the first step, and the second begins with new ones
        ("31 min", "", "08:31"),
        ("59 min", "", "08:59"),
        ("60 min", "", ""),  # it lasts the whole job
    ],
)
def test_a_cartridge_whose_time_ends_with_a_step(breathe: Assess, schedule: str, first: str, second: str) -> None:
    """29 CFR 1910.134(d)(3)(iii)(B)(2): changed before the end of service life; the two half hours begin at 08:00."""
    found = breathe(HALF, air=[190.0, 190.0], settings={"cartridge_change_time": schedule})
    for step, time in ((0, first), (1, second)):
        assert (f"Change them at {time}, and" in found[step].statement) is bool(time)
        assert ("No change in this step" in found[step].statement) is (not time)
    assert "New cartridges at the start." in found[0].statement
    assert ("New cartridges at the start." in found[1].statement) is (schedule == "30 min")


def test_a_cartridge_that_ends_with_a_step_is_new_in_the_next_that_wears_it(breathe: Assess) -> None:
    """29 CFR 1910.134(d)(3)(iii)(B)(2): 30 minutes end at 08:30, with the first step; the third begins at 08:40."""
    found = breathe(HALF, air=[190.0, 1.0, 190.0], minutes=[30.0, 10.0, 10.0],
                    settings={"cartridge_change_time": "30 min"})  # fmt: skip
    assert "New cartridges at the start. No change in this step" in found[2].statement


@pytest.mark.parametrize(("cartridge", "boiling", "again"), [("A2", 383.75, False), ("AX", 329.3, True)])
def test_a_filter_for_single_use_is_never_put_on_again(
    breathe: Assess, make_substance: Any, cartridge: str, boiling: float, again: bool
) -> None:
    """EN 14387: AX filters are for single use. It was kept for the next step that wears it."""
    vapour = make_substance(TOLUENE, boiling_point=boiling, density=862.3, refractive_index=1.4941)
    found = breathe(replace(HALF, cartridge=cartridge), air=[190.0, 1.0, 190.0], minutes=[30.0, 10.0, 10.0],
                    substances=[vapour], pack="eu", settings={"cartridge_change_time": "60 min"})  # fmt: skip
    assert found[2].level == "control"
    assert ("New cartridges at the start." in found[2].statement) is again


@pytest.mark.parametrize(("name", "bound", "says"), [
    ("boiling-point", 383.75, "boils at or under"), ("concentration", 190e-6, "and more"),
])  # fmt: skip
def test_a_pack_that_tightens_the_rule_of_thumb_is_heard(
    breathe: Assess, make_threshold: Any, name: str, bound: float, says: str
) -> None:
    """Our choice: where the rule of thumb says something stood in the pack, and only the formula's own copy decided."""
    sign = "at or under" if name == "boiling-point" else "at or over"
    own = make_threshold(f"cartridge-thumb-{name}", bound, compare=sign)
    found = breathe(replace(HALF, sorbent_mass=None), air=[190.0], thresholds=[own])[0]
    assert found.level == "stop"
    assert says in found.statement


@pytest.mark.parametrize(("schedule", "level"), [("60 s", "control"), ("59 s", "stop")])
def test_a_cartridge_must_last_a_whole_minute(breathe: Assess, schedule: str, level: str) -> None:
    """Our choice, no source: clock times are of whole minutes."""
    found = breathe(HALF, air=[190.0], settings={"cartridge_change_time": schedule})[0]
    assert found.level == level


def test_the_clock_of_a_cartridge_begins_in_the_first_step_that_really_wears_it(breathe: Assess) -> None:
    """The first step is past what the half mask's cartridge is good to, so that mask is new in the second and says so."""
    half = replace(HALF, cartridge_limit=300e-6)
    found = breathe(half, FULL, air=[400.0, 190.0], settings={"cartridge_change_time": "300 min"})
    assert found[0].short.startswith("Full mask")
    assert found[1].short.startswith("Half mask")
    assert "New cartridges at the start." in found[1].statement


def test_nobody_breathes_where_people_are_away(
    make_step: Any, make_use: Any, make_job: Any, make_exposure: Any, make_reference: Any, make_limit: Any
) -> None:
    job = make_job(make_step("dry", make_use(), people="away"))
    air = make_exposure(job, {TOLUENE: 5000.0}, shift_average={TOLUENE: 0.0})
    reference = make_reference([], [make_limit(TOLUENE, "short-term", 150), make_limit(TOLUENE, "idlh", 500)])
    found = next(f for f in safety_protection.assess(job, air, reference) if f.topic == "breathing")
    assert (found.level, found.short) == ("note", "Nobody in this air")


# ---------------------------------------------------------------- the shift


def test_the_fewest_steps_that_add_most_carry_the_mask(breathe: Assess, make_limit: Any) -> None:
    """Three half hours at 100, 800 and 1,200 ppm are 6.25, 50 and 75 ppm of the 8 hours; the limit is 80."""
    limits = [make_limit(TOLUENE, "twa", 40), *_brief(make_limit)]
    found = breathe(FULL, HALF, air=[50.0, 400.0, 600.0], limits=limits, shift_average=65.625)
    # masking the last alone leaves 28.125 outside: 37.5 / (40 - 28.125) = 3.16, which a half mask gives
    assert [found[i].level for i in range(3)] == ["note", "note", "control"]
    assert _value(found[2], "protection factor needed") == pytest.approx(37.5 / (40 - 28.125))
    assert (
        "at most at 1 % of the 15-minute limit. The masks of the other steps keep the 8-hour average."
        in found[0].statement
    )


@pytest.mark.parametrize(("average", "level"), [(100.0, "note"), (100.01, "control")])
def test_a_shift_at_its_limit_needs_no_mask(breathe: Assess, make_limit: Any, average: float, level: str) -> None:
    """29 CFR 1910.1000(a)(2): the 8-hour average "shall not exceed" the limit."""
    limits = [make_limit(TOLUENE, "twa", 100), *_brief(make_limit)]
    found = breathe(HALF, air=[200.0, 200.0], limits=limits, shift_average=average, minutes=240.0,
                    settings={"cartridge_change_time": "60 min"})  # fmt: skip
    assert found[0].level == level


@pytest.mark.parametrize(("compare", "level"), [("over", "note"), ("at or over", "stop")])
def test_a_shift_exactly_at_its_limit_hangs_on_its_sign(
    breathe: Assess, make_limit: Any, compare: str, level: str
) -> None:
    """A shop's own list may say that its 8-hour limit must not even be met. One step makes all of it: no mask is
    needed by the one sign, and one of any factor by the other."""
    limits = [make_limit(TOLUENE, "twa", 50, compare=compare), *_brief(make_limit)]
    assert breathe(air=[400.0], limits=limits, shift_average=50.0, minutes=60.0)[0].level == level


@pytest.mark.parametrize(("hours", "level"), [(8.0, "note"), (8.1, "control")])
def test_a_shift_of_eight_hours_is_not_a_long_one(breathe: Assess, make_limit: Any, hours: float, level: str) -> None:
    """Brief and Scala (1975) lower the limit for shifts of more than 8 hours."""
    limits = [make_limit(TOLUENE, "twa", 100), *_brief(make_limit)]
    found = breathe(HALF, air=[200.0, 200.0], limits=limits, shift_average=100.0, minutes=240.0,
                    job={"shift": hours * 3600}, settings={"cartridge_change_time": "60 min"})  # fmt: skip
    assert found[0].level == level


def test_more_steps_are_masked_before_a_stronger_device(breathe: Assess, make_limit: Any) -> None:
    """The last step alone would need 37.5/(30-28.125) = 20; with the second one a half mask does for both."""
    found = breathe(
        FULL,
        HALF,
        air=[50.0, 400.0, 600.0],
        limits=[make_limit(TOLUENE, "twa", 30), *_brief(make_limit)],
        shift_average=65.625,
    )
    assert [found[i].level for i in range(3)] == ["note", "control", "control"]
    assert all(found[i].short.startswith("Half mask") for i in (1, 2))
    assert _value(found[1], "protection factor needed") == pytest.approx(62.5 / (30 - 3.125))


def test_a_step_that_takes_exactly_what_a_half_mask_gives_takes_no_more(breathe: Assess, make_limit: Any) -> None:
    """29 CFR 1910.134 Table 1: 10. Half hours that add 0.5, 4 and 37.5 ppm to the shift, against 8.25: 37.5 / 3.75."""
    limits = [make_limit(TOLUENE, "twa", 8.25), *_brief(make_limit)]
    found = breathe(FULL, HALF, air=[8.0, 64.0, 600.0], limits=limits, shift_average=42.0)
    assert [found[i].level for i in range(3)] == ["note", "note", "control"]
    assert found[2].short.startswith("Half mask")
    assert _value(found[2], "protection factor needed") == 10.0


def test_air_after_the_job_may_keep_the_average_over(breathe: Assess, make_limit: Any) -> None:
    found = breathe(FULL, air=[100.0], limits=[make_limit(TOLUENE, "twa", 50)], shift_average=60.0)[0]
    assert found.level == "stop"
    assert "What is breathed outside the masked steps alone keeps it over." in found.statement
    assert "No class of device gives that factor." in found.statement


def test_a_long_shift_tightens_the_limit(breathe: Assess, make_limit: Any) -> None:
    """Brief and Scala 1975: half for 12 hours."""
    limits = [make_limit(TOLUENE, "twa", 100), *_brief(make_limit)]
    assert breathe(air=[960.0], limits=limits, shift_average=60.0)[0].level == "note"
    assert breathe(air=[960.0], limits=limits, shift_average=60.0, job={"shift": 12 * 3600.0})[0].level == "stop"


def test_a_short_time_far_over_an_8_hour_limit_is_not_called_under_the_limits(breathe: Assess, make_limit: Any) -> None:
    """ACGIH's excursion guideline: three times the 8-hour limit, where no short-term limit is set."""
    limits = [make_limit(TOLUENE, "twa", 100)]
    assert breathe(air=[300.0], limits=limits, shift_average=18.75)[0].level == "note"
    found = breathe(air=[301.0], limits=limits, shift_average=18.8)[0]
    assert (found.level, found.short) == ("control", "Respirator: not known if needed")
    assert "No limit for a short time is loaded for toluene" in found.unknown


def test_a_mask_is_said_to_rest_on_no_danger_limit_where_none_is_loaded(breathe: Assess, make_limit: Any) -> None:
    """The European lists hold no values of what is dangerous to life; 29 CFR 1910.134(d)(2) needs one."""
    limits = [make_limit(TOLUENE, "short-term", 150)]
    found = breathe(HALF, air=[200.0], limits=limits)[0]
    assert found.short.endswith("(not all known)")
    assert "From what level toluene is dangerous to life is not known" in found.unknown
    assert breathe(HALF, air=[200.0], limits=[*limits, make_limit(TOLUENE, "idlh", 500)])[0].unknown == ""
    peak = breathe(HALF, air=[200.0], limits=[*limits, make_limit(TOLUENE, "peak", 500)])[0]
    assert peak.unknown == found.unknown  # a peak that is not reached takes nothing from it


# ---------------------------------------------------------------- cartridges


def test_wood_gives_the_published_table_and_a_clock_time(breathe: Assess) -> None:
    """OSHA service life table: toluene, 200 ppm, 2 x 26 g, 53.3 L/min, 22 degC, dry air, 10 %: 307 min."""
    found = breathe(HALF, air=[200.0], minutes=400.0)[0]
    wood = next(f for f in found.figures if f.name.startswith("Wood's estimate"))
    assert wood.value / 60 == pytest.approx(307, rel=0.03)
    assert "rule of thumb: none, the rule says nothing of 200 ppm and more" in found.statement
    minutes = int(wood.value // 60)
    assert f"new cartridges {8 + minutes // 60:02d}:{minutes % 60:02d}" in found.short


def test_the_shorter_of_the_two_methods_rules(breathe: Assess) -> None:
    """150.5 ppm: 8 h by the rule of thumb, less by Wood; both are said."""
    found = breathe(HALF, air=[150.5], minutes=600.0)[0]
    assert _value(found, "rule of thumb") == 8 * 3600
    assert _value(found, "cartridge time") == _value(found, "Wood's estimate") < 8 * 3600
    assert "rule of thumb: 480 min; Wood's estimate:" in found.statement
    assert "the shorter rules" in found.statement


@pytest.mark.parametrize("left_out", ["sorbent_mass", "bed_depth"])
def test_what_the_stock_list_leaves_out_makes_no_time_longer(breathe: Assess, left_out: str) -> None:
    """The shorter estimate fell away with it: at 150.5 ppm the cartridges lasted all of the rule of thumb's 8 h."""
    known = breathe(HALF, air=[150.5], minutes=600.0)[0]
    unknown = breathe(replace(HALF, **{left_out: None}), air=[150.5], minutes=600.0)[0]  # type: ignore[arg-type]
    assert _value(unknown, "cartridge time") <= _value(known, "cartridge time") < 8 * 3600
    assert "no carbon mass and bed depth of Half mask" in unknown.statement
    assert "Wood's estimate, toluene" in unknown.statement


@pytest.mark.parametrize(("humidity", "half"), [(0.5, False), (0.51, True), (None, True)])
def test_humid_or_unknown_air_halves_the_time(breathe: Assess, humidity: float | None, half: bool) -> None:
    dry = _value(breathe(HALF, air=[160.0], humidity=0.4)[0], "cartridge time")
    found = breathe(HALF, air=[160.0], humidity=humidity)[0]
    assert _value(found, "cartridge time") == pytest.approx(dry / 2 if half else dry)
    assert ("halved for humid air" in found.statement) is half


def test_no_change_time_means_no_cartridge(breathe: Assess) -> None:
    """29 CFR 1910.134(d)(3)(iii): without a change schedule on objective data no air-purifying respirator."""
    bare = replace(HALF, sorbent_mass=None)
    found = breathe(bare, air=[300.0])[0]
    assert found.level == "stop"
    assert "no change time" in found.statement
    assert "no carbon mass and bed depth of Half mask" in found.statement
    assert breathe(bare, AIRLINE, air=[300.0])[0].short.startswith("Airline")
    written = breathe(bare, air=[300.0], settings={"cartridge_change_time": "20 min"})[0]
    assert written.level == "control"
    assert "new cartridges 08:20" in written.short


def test_a_written_schedule_may_only_shorten(breathe: Assess) -> None:
    long = breathe(HALF, air=[200.0], settings={"cartridge_change_time": "8 h"})[0]
    assert _value(long, "cartridge time") < 8 * 3600 * 0.7
    wrong = breathe(HALF, air=[200.0], settings={"cartridge_change_time": "8 apples"})[0]
    assert wrong.level == "stop"
    assert "the setting cartridge_change_time cannot be read" in wrong.statement


def test_the_cartridge_clock_runs_through_the_steps_between(breathe: Assess) -> None:
    """Vapour wanders on in the carbon: opened at 08:00, 100 min of life end in the third half hour's pause."""
    found = breathe(HALF, air=[300.0, 10.0, 10.0, 300.0], settings={"cartridge_change_time": "100 min"})
    assert "new cartridges at start" in found[0].short
    assert "new cartridges 09:40" in found[3].short
    assert [found[i].level for i in range(4)] == ["control", "note", "note", "control"]


def test_low_boilers_are_not_left_to_carbon(
    breathe: Assess, make_limit: Any, make_substance: Any, toluene: Any
) -> None:
    """Acetone boils at 56 degC (EN 14387 would ask for AX): over a tenth of its limit no cartridge."""
    acetone = make_substance(ACETONE, "acetone", hazards=("H225",), boiling_point=329.25, molar_mass=0.05808)
    limits = [make_limit(TOLUENE, "short-term", 150), make_limit(ACETONE, "short-term", 1000)]

    def with_acetone(ppm: float, pack: str = "us-federal", mask: Respirator = HALF) -> Finding:
        both = {TOLUENE: 200.0, ACETONE: ppm}
        more = {"worst_15min": both, "peak": both}
        return breathe(mask, air=[200.0], limits=limits, substances=[toluene, acetone], more=more, pack=pack,
                       settings={"cartridge_change_time": "1 h"})[0]  # fmt: skip

    assert with_acetone(99.0).level == "control"
    assert with_acetone(101.0).level == "stop"
    assert "carbon hardly holds acetone" in with_acetone(101.0).statement
    assert "It takes: supplied air demand half mask or self-contained demand half mask" in with_acetone(101.0).statement
    ax = replace(HALF, cartridge="AX", name="AX mask")
    assert with_acetone(101.0, "eu", ax).short.startswith("AX mask, AX (brown)")
    assert with_acetone(101.0, "eu", replace(HALF, cartridge="A2")).level == "stop"


def test_dichloromethane_bars_every_cartridge_and_every_half_mask(
    breathe: Assess, make_limit: Any, make_substance: Any
) -> None:
    """29 CFR 1910.1052(g)(3)(i): a respirator that supplies air, and no half mask of any type. 300 ppm against 125."""
    dcm = make_substance(DCM, hazards=("H351",), boiling_point=313.0)
    more = {"worst_15min": {DCM: 300.0}, "peak": {DCM: 300.0}}
    limits = [make_limit(DCM, "short-term", 125), make_limit(DCM, "idlh", 2300)]  # NIOSH Pocket Guide, entry 0414
    line = replace(AIRLINE, facepiece="half mask", mode="demand", name="Half mask airline")
    found = breathe(FULL, line, air=[0.0], limits=limits, substances=[dcm], more=more)[0]
    assert found.level == "stop"
    assert "Full mask: Against dichloromethane only a respirator that supplies air will do" in found.statement
    assert "Half mask airline: Against dichloromethane no half mask of any kind" in found.statement
    # what is left of Table 1 at the lowest factor that will do, 10 being that of a half mask
    assert "It takes: supplied air continuous flow hood or supplied air continuous flow loose-fitting (factor 25)" in (
        found.statement
    )
    airline = breathe(FULL, line, AIRLINE, air=[0.0], limits=limits, substances=[dcm], more=more)[0]
    assert airline.short == "Airline"


def test_the_ban_itself_stops_the_job(
    make_step: Any,
    make_use: Any,
    make_product: Any,
    make_part: Any,
    make_job: Any,
    make_exposure: Any,
    make_reference: Any,
) -> None:
    """40 CFR 751 subpart B; de minimis under 0.1 % by weight."""

    def stops(share: float) -> list[Finding]:
        stripper = make_product("stripper", make_part(DCM, 0.0, share), make_part(TOLUENE, 1 - share))
        job = make_job(make_step("strip", make_use(stripper)))
        air = make_exposure(job, {}, substances=[])
        found = safety_protection.assess(job, air, make_reference(tables=_tables("us-federal")))
        return [f for f in found if f.key == f"restricted-tsca-{DCM}"]

    assert [f.level for f in stops(0.001)] == ["stop"]
    assert "40 CFR 751" in stops(0.001)[0].rule
    assert stops(0.00099) == []


def test_what_nobody_names_may_be_barred_by_law(
    make_job: Any,
    make_step: Any,
    make_use: Any,
    make_product: Any,
    make_part: Any,
    make_exposure: Any,
    make_reference: Any,
) -> None:
    """40 CFR part 751 bars uses of dichloromethane and others; a maker who is silent may have used one."""
    product = make_product("thinner", make_part(TOLUENE, 0.5), make_part("", 0.5, name="a secret"))
    job = make_job(make_step("wipe", make_use(product)))
    air = make_exposure(job, {}, substances=[])

    def judged(reference: Any) -> list[Finding]:
        return restricted.judge(job, air, reference, {product.id: product_hazards(product, reference)})

    (found,) = judged(make_reference(tables=_tables("us-federal")))
    assert (found.level, found.short) == ("control", "thinner: not known if its use is restricted")
    assert found.unknown
    assert judged(make_reference()) == []


def test_spraying_needs_a_particle_filter(breathe: Assess) -> None:
    found = breathe(HALF, air=[200.0], work="spray")[0]
    assert found.level == "stop"
    assert "spraying needs a particle filter" in found.statement
    both = replace(HALF, cartridge="organic vapour/P100")
    assert breathe(both, air=[200.0], work="spray")[0].short.startswith("Half mask, OV/P100 (black and magenta)")


def test_a_cartridge_is_not_used_over_its_own_limit(breathe: Assess) -> None:
    weak = replace(HALF, cartridge_limit=250e-6)
    assert breathe(weak, air=[240.0])[0].level == "control"
    over = breathe(weak, air=[240.0], peaks=[251.0])[0]
    assert over.level == "stop"
    assert "good to 250 ppm, and 251 ppm may come" in over.statement


@pytest.mark.parametrize(("peak", "level"), [(250.0, "control"), (250.01, "stop")])
def test_a_cartridge_is_good_to_its_own_limit_and_no_further(breathe: Assess, peak: float, level: str) -> None:
    """Its maker says up to how much, so the figure itself is still in."""
    found = breathe(replace(HALF, cartridge_limit=250e-6), air=[240.0], peaks=[peak])[0]
    assert found.level == level


def test_a_particle_filter_is_no_vapour_cartridge(breathe: Assess) -> None:
    found = breathe(replace(HALF, cartridge="P100"), air=[200.0])[0]
    assert "its cartridge is for particles" in found.statement


def test_a_cartridge_makes_no_oxygen(breathe: Assess) -> None:
    """29 CFR 1910.134(d)(2)(iii): 19.5 %."""
    assert "under 19.5 % stay out" in breathe(HALF, air=[200.0], kind="enclosed")[0].statement
    assert "19.5" not in breathe(HALF, air=[200.0], kind="room")[0].statement
    assert "19.5" not in breathe(AIRLINE, air=[200.0], kind="enclosed")[0].statement


# ---------------------------------------------------------------- what would do instead


def test_a_control_that_would_do_is_named_with_its_number(breathe: Assess) -> None:
    found = breathe(HALF, air=[300.0], far={TOLUENE: 30.0})[0]
    assert "at most 50 % of this vapour" in found.remedy
    assert "a hood at the work that takes 50 %" in found.remedy
    assert "The rest of the room stays at 20 % of the limits" in found.remedy


def test_at_a_limit_that_must_not_be_met_no_share_of_the_vapour_is_promised(breathe: Assess, make_limit: Any) -> None:
    """To allow "at most 100 % of this vapour" would ask for no change at all."""
    limits = [make_limit(TOLUENE, "short-term", 150, compare="at or over")]
    found = breathe(HALF, air=[150.0], limits=limits)[0]
    assert found.remedy == "Less vapour: a smaller amount, a hood at the work, or more air."


@pytest.mark.parametrize(("times", "hood"), [(100.0, True), (101.0, False)])
def test_a_hood_is_asked_to_take_99_percent_and_no_more(breathe: Assess, times: float, hood: bool) -> None:
    """Our choice, no source."""
    remedy = breathe(air=[150.0 * times])[0].remedy
    assert ("a hood at the work that takes 99 %" in remedy) is hood
    assert ("use another product or way of working" in remedy) is not hood


def test_a_room_exactly_at_its_limits_is_not_over(breathe: Assess) -> None:
    """29 CFR 1910.1000(a)(2): "shall not exceed"."""
    remedy = breathe(HALF, air=[300.0], far={TOLUENE: 150.0})[0].remedy
    assert "The rest of the room stays at 100 % of the limits" in remedy


def test_no_multiple_of_no_air_is_asked_for(breathe: Assess) -> None:
    still = {"airs": (AirState("sealed", Range(0.0, 0.0), Range(0.1, 0.1), "measured 2026-03-02"),)}
    found = breathe(HALF, air=[600.0], far={TOLUENE: 300.0}, place=still)[0]
    assert found.remedy.endswith("a hood at the work that takes 75 %.")


def test_a_foul_room_asks_for_air_changes(breathe: Assess) -> None:
    """1 air change an hour, and the room at twice the limit: 2 an hour."""
    found = breathe(HALF, air=[600.0], far={TOLUENE: 300.0})[0]
    assert "The room itself is over: about 2 air changes an hour in place of 1." in found.remedy


def test_a_place_of_one_zone_is_all_near(breathe: Assess) -> None:
    found = breathe(HALF, air=[300.0], kind="enclosed")[0]
    assert "about 2 air changes an hour in place of 1" in found.remedy


def test_without_a_table_nothing_is_promised(breathe: Assess, make_limit: Any) -> None:
    """A shop with only its own pack has no protection factors: no device can be assigned one."""
    rules = _tables("us-federal")
    assert rules["protection_factor"]
    found = breathe(HALF, air=[200.0], pack="general")[0]
    assert found.level == "stop"
    assert "the rules assign no factor" in found.statement


def test_unknown_boiling_point_counts_as_low(breathe: Assess, make_substance: Any) -> None:
    bare = make_substance(TOLUENE, hazards=("H225",))
    assert isinstance(bare.best("boiling_point"), Unknown)
    assert "carbon hardly holds toluene" in breathe(HALF, air=[200.0], substances=[bare])[0].statement


def test_a_shift_over_the_limit_looks_at_the_room_s_own_shift(breathe: Assess, make_limit: Any) -> None:
    """The far field all through the shift is what a bystander breathes: 120 of 100 ppm, so 1.2 times the air."""
    limits = [make_limit(TOLUENE, "twa", 100)]
    found = breathe(FULL, air=[3200.0], limits=limits, shift_average=200.0, bystander={TOLUENE: 120.0})[0]
    assert "at most 50 % of this vapour" in found.remedy
    assert "about 1.2 air changes an hour in place of 1" in found.remedy
    clean = breathe(FULL, air=[3200.0], limits=limits, shift_average=200.0, bystander={TOLUENE: 100.0})[0]
    assert "The rest of the room stays at 100 % of the limits" in clean.remedy


def test_what_would_remove_a_danger_is_said_by_the_harder_limit(breathe: Assess, make_limit: Any) -> None:
    """600 ppm: 1.2 times the danger limit, 4 times the 15-minute limit: a quarter needs no mask."""
    limits = [make_limit(TOLUENE, "short-term", 150), make_limit(TOLUENE, "idlh", 500)]
    assert "at most 25 % of this vapour" in breathe(air=[600.0], limits=limits)[0].remedy
    only = breathe(air=[600.0], limits=limits[1:])[0]
    assert "at most 83 % of this vapour" in only.remedy


def test_what_needs_no_mask_is_said_by_the_limit_that_is_passed_most(breathe: Assess, make_limit: Any) -> None:
    """300 of 150 ppm over 15 minutes and 120 of 100 ppm over the shift: half of the vapour needs no mask, not 83 %.

    The shift asks for the stronger mask (only this step can bring it down), so it leads and still is not the measure.
    """
    limits = [make_limit(TOLUENE, "short-term", 150), make_limit(TOLUENE, "twa", 100)]
    found = breathe(FULL, air=[300.0], limits=limits, shift_average=120.0, bystander={TOLUENE: 0.0})[0]
    assert "at most 50 % of this vapour" in found.remedy


def test_no_hood_is_asked_to_take_all_of_the_vapour(breathe: Assess) -> None:
    remedy = breathe(air=[150.0 * 830])[0].remedy
    assert "at most 0.12 % of this vapour" in remedy
    assert "hood" not in remedy


def test_outdoors_no_air_changes_are_asked_for(breathe: Assess) -> None:
    found = breathe(HALF, air=[600.0], far={TOLUENE: 300.0}, kind="outdoor")[0]
    assert "air changes" not in found.remedy
    assert "at most 25 % of this vapour" in found.remedy


def test_the_figures_lead_from_the_shop_s_file_to_the_factor(breathe: Assess) -> None:
    """Concentration over limit is the factor; the concentration names what was used."""
    found = breathe(HALF, air=[300.0])[0]
    term = next(f for f in found.figures if f.name == "toluene against its 15-minute limit")
    given = dict(term.inputs)
    assert (given["concentration"].value, given["concentration"].unit) == (pytest.approx(300.0), "ppm")
    assert given["concentration"].value / (given["limit"].value * 1e6) == pytest.approx(term.value)
    assert any("step 1" in label for label, _ in given["concentration"].inputs)
    carbon = next(f for f in found.figures if f.name.startswith("Wood's estimate"))
    assert dict(carbon.inputs)["sorbent mass"].path == ("respirator", 0, "sorbent_mass")


def test_the_kind_of_limit_that_asks_for_most_leads(breathe: Assess, make_limit: Any) -> None:
    both = [make_limit(TOLUENE, "short-term", 150), make_limit(TOLUENE, "ceiling", 200)]
    assert "1.5 times the ceiling" in breathe(air=[160.0], peaks=[300.0], limits=both)[0].statement
    assert "2 times the 15-minute limit" in breathe(air=[300.0], peaks=[300.0], limits=both)[0].statement


def test_the_tightest_of_several_lists_rules(breathe: Assess, make_limit: Any) -> None:
    lists = [make_limit(TOLUENE, "short-term", ppm, list=name) for name, ppm in (("A", 300), ("B", 100), ("C", 200))]
    assert "3 times the 15-minute limit (100 ppm, B, toluene)" in breathe(air=[300.0], limits=lists)[0].statement


def test_the_substance_that_uses_most_of_its_limit_is_named(
    breathe: Assess, make_limit: Any, make_substance: Any, toluene: Any
) -> None:
    butanone = make_substance(BUTANONE, hazards=("H225",))
    limits = [make_limit(TOLUENE, "short-term", 150), make_limit(BUTANONE, "short-term", 300)]
    both = {"worst_15min": {TOLUENE: 100.0, BUTANONE: 400.0}}
    found = breathe(air=[100.0], limits=limits, substances=[toluene, butanone], more=both)[0]
    assert "(300 ppm, OSHA PEL, butanone; all vapours added up)" in found.statement


def test_over_eight_hours_every_step_carries_the_mask(breathe: Assess, make_limit: Any) -> None:
    """The worst 8 hours of a longer day cannot be told apart by step."""
    limits = [make_limit(TOLUENE, "twa", 100)]
    written = {"cartridge_change_time": "2 h"}
    eight = breathe(HALF, air=[10.0, 500.0], minutes=240.0, limits=limits, shift_average=255.0, settings=written)
    assert [eight[i].level for i in (0, 1)] == ["note", "control"]
    longer = breathe(HALF, air=[10.0, 500.0], minutes=241.0, limits=limits, shift_average=255.0, settings=written)
    assert [longer[i].level for i in (0, 1)] == ["control", "control"]
    assert _value(longer[0], "protection factor needed") == pytest.approx(2.55)


def test_a_class_of_filter_caps_the_most(breathe: Assess, make_limit: Any) -> None:
    """EN 14387: class 1 to 1,000 ppm; a half mask also not over 10 times the limit (50: 500 ppm)."""
    mask = replace(HALF, cartridge="A1")
    low = breathe(mask, air=[60.0], limits=[make_limit(TOLUENE, "short-term", 50)], pack="eu")[0]
    assert _value(low, "this device may be used in") == pytest.approx(500.0)
    high = breathe(mask, air=[300.0], limits=[make_limit(TOLUENE, "short-term", 200)], pack="eu")[0]
    assert _value(high, "this device may be used in") == pytest.approx(1000.0)
    over = breathe(mask, air=[300.0], peaks=[1001.0], limits=[make_limit(TOLUENE, "short-term", 200)], pack="eu")[0]
    assert "its cartridge is good to 1000 ppm" in over.statement


# ---------------------------------------------------------------- spray mist


@pytest.fixture
def spray(make_step: Any, make_use: Any, make_product: Any, make_part: Any, make_job: Any, make_exposure: Any,
          make_reference: Any, toluene: Any, make_limit: Any) -> Callable[..., Finding]:  # fmt: skip
    """The breathing finding of one step that sprays a coating of half toluene, half resin."""

    def one(hazards: Any, *parts: Any, work: str = "spray") -> Finding:
        half = parts or (make_part(TOLUENE, 0.5), make_part("", 0.5, 0.5, False, "resin"))
        job = make_job(make_step("coat", make_use(make_product("coating", *half, hazards=hazards), work)))
        air = make_exposure(job, {TOLUENE: 10.0}, substances=[toluene], shift_average={TOLUENE: 0.0})
        reference = make_reference([toluene], [make_limit(TOLUENE, "short-term", 150)], tables=_tables("us-federal"))
        return next(f for f in safety_protection.assess(job, air, reference) if (f.topic, f.step) == ("breathing", 0))

    return one


def test_mist_that_may_do_grave_harm_counts_as_unknown_air(spray: Any) -> None:
    """29 CFR 1910.134(d)(1)(iii): vapour figures say nothing of droplets of a resin or a chromate."""
    found = spray(("H225", "H350"))
    assert found.level == "stop"
    assert "The sprayed mist of coating is not computed" in found.statement
    assert spray(("H225", "H350"), work="brush").level == "note"


def test_other_mist_is_said_and_stamps_the_sheet(spray: Any, make_part: Any) -> None:
    found = spray(("H225", "H319"))
    assert (found.level, found.short) == ("control", "At least a particle filter; the rest is not known")
    assert "no respirator needed" not in found.statement
    assert found.unknown == "The sprayed mist of coating is not computed: wear at least a particle filter"
    assert spray(("H225",), make_part(TOLUENE)).unknown == ""
    assert spray(Unknown("not given")).level == "stop"


def test_a_word_on_smell_is_said_even_under_the_limit(breathe: Assess, make_limit: Any, make_substance: Any) -> None:
    """OSHA letter of 2000-07-18 on diisocyanates."""
    made = make_substance("822-06-0", "hexamethylene diisocyanate", hazards=("H334",), molar_mass=0.1682)
    hdi = replace(made, groups={"NCO": 2})
    more = {"worst_15min": {"822-06-0": 0.001}, "peak": {"822-06-0": 0.001}}
    found = breathe(air=[0.0], limits=[make_limit("822-06-0", "ceiling", 0.02)], substances=[hdi], more=more)[0]
    assert found.level == "note"
    assert "smell does not warn of a diisocyanate" in found.statement


@pytest.mark.parametrize(("facepiece", "litres"), [("half mask", 115), ("loose-fitting", 170), ("hood", 170)])
def test_a_blower_uses_a_cartridge_up_sooner(breathe: Assess, make_limit: Any, facepiece: str, litres: float) -> None:
    """Life goes down with the air drawn through (rule of thumb); 53.3 L/min are OSHA's breathing rate."""
    powered = replace(HALF, kind="powered air-purifying", facepiece=facepiece)
    found = breathe(powered, air=[150.0], limits=[make_limit(TOLUENE, "short-term", 10)])[0]
    assert _value(found, "rule of thumb") == pytest.approx(8 * 3600 * 53.3 / litres)


def test_the_foulest_masked_step_sets_the_time_for_all(breathe: Assess) -> None:
    alone = _value(breathe(HALF, air=[190.0])[0], "cartridge time")
    for air in ([160.0, 190.0], [190.0, 160.0]):
        both = breathe(HALF, air=air)
        assert [_value(both[i], "cartridge time") for i in (0, 1)] == [alone, alone]


def test_more_protection_means_less_may_come_through(breathe: Assess, make_limit: Any) -> None:
    """At 20 times the limit only 5 % may come through, so the time is shorter than at 10 %."""
    ten = breathe(FULL, air=[200.0], limits=[make_limit(TOLUENE, "short-term", 20)])[0]
    twenty = breathe(FULL, air=[200.0], limits=[make_limit(TOLUENE, "short-term", 10)])[0]
    five = next(f for f in twenty.figures if f.name.startswith("Wood's estimate"))
    assert dict(five.inputs)["share let through"] == pytest.approx(0.05)
    assert _value(twenty, "Wood's estimate") < _value(ten, "Wood's estimate")


# ---------------------------------------------------------------- a level and a limit that round to the same figure


def test_levels_that_round_to_a_limit_say_on_which_side_they_are(breathe: Assess, make_limit: Any) -> None:
    limits = [make_limit(TOLUENE, "short-term", 150), make_limit(TOLUENE, "idlh", 500, compare="at or over")]
    under = breathe(HALF, air=[149.95], limits=limits)[0]
    assert "at most at just under 100 % of the 15-minute limit" in under.statement
    over = breathe(HALF, air=[150.03], limits=limits)[0]
    assert "may reach just over 1 times the 15-minute limit" in over.statement
    assert "so a factor of just over 1 is needed" in over.statement
    assert "at most just under 100 % of this vapour" in over.remedy
    deadly = breathe(HALF, air=[500.04], limits=limits)[0]
    assert "may reach just over 500 ppm. From 500 ppm" in deadly.statement
    weak = replace(HALF, cartridge_limit=250e-6)
    capped = breathe(weak, air=[240.0], peaks=[250.02], limits=limits)[0]
    assert "good to 250 ppm, and just over 250 ppm may come" in capped.statement


def test_a_factor_that_is_needed_does_not_read_like_one_that_is_too_low(breathe: Assess, make_limit: Any) -> None:
    """A half mask has 10 (29 CFR 1910.134, table 1); 10.02 is more."""
    limits = [make_limit(TOLUENE, "short-term", 50), make_limit(TOLUENE, "idlh", 5000)]
    found = breathe(replace(HALF, cartridge_limit=1e-3), air=[501.0], limits=limits)[0]
    assert "so a factor of 10.02 is needed" in found.statement
    assert "Half mask: factor 10 is too low" in found.statement


@pytest.mark.parametrize(
    ("bystander", "text"), [(100.1, "about just over 1 air changes"), (99.97, "at just under 100 %")]
)
def test_a_room_near_its_limit_says_on_which_side_it_is(
    breathe: Assess, make_limit: Any, bystander: float, text: str
) -> None:
    limits = [make_limit(TOLUENE, "twa", 100)]
    found = breathe(FULL, air=[3200.0], limits=limits, shift_average=200.0, bystander={TOLUENE: bystander})[0]
    assert text in found.remedy
