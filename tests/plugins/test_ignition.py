"""What the ignition plugin says about hand-made air. Sources stand beside the figures."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import safety_ignition
from safety_ignition.explosive_limits import careful_limit
from safety_ignition.task import FireTask

from safety import timeline
from safety.cited import Unknown
from safety.exposure.result import Balance, Neighbour
from safety.model import Finding, Range

TOLUENE, BUTANONE, NMP, DCM, KEROSENE = "108-88-3", "78-93-3", "872-50-4", "75-09-2", "8008-20-6"
PACK = safety_ignition.contribute().packs[0]


@pytest.fixture
def data(make_substance: Any, make_cited: Any) -> Any:
    """Substances with published values; lower explosive limits as shares of the air."""
    return (
        # toluene: IEC 60079-20-1:2010 1.0 % and 4 degC, NFPA 497:2008 1.1 % and 4.4 degC; conductivity
        # of an accumulator (ISGOTT table 3.1: 0.1 to 50 pS/m)
        make_substance(
            TOLUENE,
            lower_explosive_limit=(make_cited(0.010), make_cited(0.011)),
            flash_point=(make_cited(277.15, "K"), make_cited(277.55, "K")),
            conductivity=1e-12,
        ),
        # MEK: -9 degC and 1.4 %; ketones conduct 1e5 pS/m (ISGOTT table 3.1)
        make_substance(BUTANONE, lower_explosive_limit=0.014, flash_point=264.15, conductivity=1e-7),
        make_substance(NMP, lower_explosive_limit=0.013, flash_point=364.15, conductivity=1e-6),
        # dichloromethane: burns from 13 % in air, no flash point (NIOSH Pocket Guide, entry 0414)
        make_substance(DCM, lower_explosive_limit=0.13, conductivity=1e-9),
        make_substance("7732-18-5", "water"),
    )


@pytest.fixture
def reference(make_reference: Any, data: Any) -> Any:
    """The test thresholds with the plugin's own rule data."""
    return make_reference(data, packs=[PACK])


@pytest.fixture
def judge(make_exposure: Any, reference: Any, data: Any) -> Any:
    """All findings for a job; ``air`` as for make_exposure."""

    def run(job: Any, ppm: Any = None, **air: Any) -> list[Finding]:
        known = {s.cas: s for s in data}
        ppm = {TOLUENE: 1.0} if ppm is None else ppm
        exposure = make_exposure(job, ppm, substances=[known[cas] for cas in ppm], **air)
        found = safety_ignition.assess(job, exposure, reference)
        steps = {f.step for f in found}
        assert steps >= set(range(len(job.steps)))  # every step has an answer
        assert {f.topic for f in found} == {"fire"}
        return found

    return run


def stops(found: list[Finding]) -> list[str]:
    return [f.key for f in found if f.level == "stop"]


def only(found: list[Finding], key: str) -> Finding:
    return next(f for f in found if f.key == key)


# ---------------------------------------------------------------- the air and its 10 %


@pytest.mark.parametrize(("fraction", "stop"), [(0.0999, False), (0.10, True)])
def test_ten_per_cent_in_the_whole_place_is_a_stop(judge: Any, make_job: Any, fraction: float, stop: bool) -> None:
    # 29 CFR 1915.13(b)(3)(i): "maintained below 10 percent of the lower explosive limit"
    assert ("fire-far" in stops(judge(make_job(), far_fraction=fraction, near_fraction=fraction))) == stop


@pytest.mark.parametrize("case", ["alone", "tool", "pilot", "enclosed", "small", "no size", "fuel"])
@pytest.mark.parametrize("fraction", [0.10, 0.5])
def test_ten_per_cent_near_the_work_is_never_just_a_note(
    judge: Any, make_job: Any, make_step: Any, make_place: Any, make_use: Any, case: str, fraction: float
) -> None:
    places = {
        "pilot": {"ignition_sources": ("pilot light in the next room",)},
        "enclosed": {"kind": "enclosed"},
        "small": {"kind": "room", "volume": 19.9},
        "no size": {"kind": "room", "volume": Unknown("not measured")},
    }
    changes = {"tool": {"ignition_sources": ("heat gun",)}, "fuel": {"structure_holds": KEROSENE}}
    step = make_step("wipe", make_use(), at=make_place(**places.get(case, {})), **changes.get(case, {}))
    found = judge(make_job(step), near_fraction=fraction)
    assert bool(stops(found)) == (case != "alone")
    assert only(found, "fire-zone").level == "control"


def test_the_ignition_free_zone_has_clock_times_and_a_distance(judge: Any, make_job: Any) -> None:
    # 0.4 of the limit till 08:15, then half every 30 min: 0.1 at 09:15 and under it at 09:20
    us = judge(make_job(shop_={"print_units": "us"}), near_fraction=0.4)
    assert (
        only(us, "fire-zone").short == "No ignition source; 5 ft is the least distance; no ignition source until 09:20"
    )
    assert "off the floor up to 18 inch" in only(us, "fire-zone").statement  # NFPA 70, 513.3: 5 ft, 18 in
    si = judge(make_job(), near_fraction=0.0)
    assert only(si, "fire-zone").short == "No ignition source; 1.5 m is the least distance"


@pytest.mark.parametrize(("metres", "text"), [(1.0, "3 ft"), (0.99, "39 inch")])
def test_a_distance_is_in_feet_from_a_metre_on(
    make_job: Any, make_exposure: Any, make_reference: Any, make_threshold: Any, metres: float, text: str
) -> None:
    """Our choice, no source."""
    job = make_job(shop_={"print_units": "us"})
    task = FireTask(job, make_exposure(job, {}), make_reference(thresholds=[make_threshold("reach", metres, "m")]))
    assert task.length("reach") == text


def test_an_unknown_share_of_the_limit_is_stamped_and_treated_as_dangerous(
    judge: Any, make_job: Any, make_step: Any, make_use: Any
) -> None:
    dark = {"near_fraction": Unknown("no limit of X is loaded"), "far_fraction": Unknown("no limit of X is loaded")}
    found = judge(make_job(make_step("wipe", make_use(), ignition_sources=("drill",))), **dark)
    assert "fire-pair" in stops(found)
    assert any("no limit of X is loaded" in f.unknown for f in found)


def test_vapour_that_is_not_counted_makes_the_share_unknown(judge: Any, make_job: Any, make_step: Any) -> None:
    reason = "primer: the maker does not say what its solvent is."
    step = make_step("mark", ignition_sources=("drill",))
    found = judge(make_job(step), steps=[{"unknown": [reason]}])
    assert reason in only(found, "fire-unknown").unknown
    assert "fire-pair" in stops(found)


def test_no_distance_is_given_where_the_air_of_the_whole_place_can_catch_fire(
    judge: Any, make_job: Any, make_step: Any, make_place: Any
) -> None:
    """29 CFR 1915.13(b)(3)(i): 10 %. Five feet from a flame are no help in a room that is full of vapour."""
    small = make_place(kind="room", volume=19.0)
    full = (
        judge(make_job(), near_fraction=0.5, far_fraction=0.3),
        judge(make_job(make_step("mark", at=small)), near_fraction=0.5),
    )
    for found in full:
        zone = only(found, "fire-zone")
        assert zone.short.startswith("No ignition source in the whole place")
        assert "No flame, spark, heater or power switch in the whole place" in zone.statement
        assert " away" not in zone.statement
    near = only(judge(make_job(), near_fraction=0.5, far_fraction=0.05), "fire-zone")
    assert near.short.startswith("No ignition source; ")


def test_a_lower_published_limit_than_the_engines_raises_the_share(
    judge: Any, make_job: Any, make_substance: Any, make_cited: Any, make_exposure: Any, reference: Any
) -> None:
    # NFPA 497:2008 1.1 % first, IEC 60079-20-1:2010 1.0 %: a share of 0.095 becomes 0.1045
    both = make_substance(TOLUENE, lower_explosive_limit=(make_cited(0.011), make_cited(0.010)), flash_point=277.15)
    job = make_job()
    exposure = make_exposure(job, {TOLUENE: 1.0}, substances=[both], far_fraction=0.095)
    found = safety_ignition.assess(job, exposure, reference)
    assert "fire-far" in stops(found)
    assert "0.01 1" in only(found, f"fire-explosive-limit:{TOLUENE}").short  # which one is used


def test_the_limit_falls_with_heat(make_job: Any, make_exposure: Any, make_reference: Any, make_substance: Any) -> None:
    # Burgess-Wheeler: toluene 1.1 %, 892 kcal/mol, 1.037 % at 100 degC (form in Crowl & Louvar, from memory)
    hot = make_substance(TOLUENE, lower_explosive_limit=0.011, heat_of_combustion=892 * 4184.0)
    job = make_job()
    task = FireTask(job, make_exposure(job, {TOLUENE: 1.0}), make_reference([hot]))
    at_100, at_25 = careful_limit(task, hot, 373.15), careful_limit(task, hot, 298.15)
    assert not isinstance(at_100, Unknown)
    assert not isinstance(at_25, Unknown)
    assert at_100.value == pytest.approx(0.01037, abs=2e-5)
    assert at_25.value == 0.011


def test_the_limit_falls_from_25_degrees_on(
    make_job: Any, make_exposure: Any, make_reference: Any, make_substance: Any
) -> None:
    # lower limits are given at 25 degC (ASTM E 681; IEC 60079-20-1 gives them for room temperature)
    warm = make_substance(TOLUENE, lower_explosive_limit=0.011, heat_of_combustion=892 * 4184.0)
    task = FireTask(make_job(), make_exposure(make_job(), {TOLUENE: 1.0}), make_reference([warm]))
    found = [careful_limit(task, warm, kelvin) for kelvin in (297.15, 298.15, 299.15)]
    assert [isinstance(f, Unknown) or f.value < 0.011 for f in found] == [False, False, True]


@pytest.mark.parametrize(("kelvin", "falls"), [(373.15, False), (373.25, True)])
def test_a_limit_measured_hot_stands_up_to_its_own_temperature(
    make_job: Any, make_exposure: Any, make_reference: Any, make_substance: Any, make_cited: Any, kelvin: float, falls: bool
) -> None:  # fmt: skip
    """IEC 60079-20-1 gives limits of liquids that boil high at 100 degC. Over that it counts as one of 25 degC."""
    measured = make_cited(0.011, temperature=373.15)
    hot = make_substance(TOLUENE, lower_explosive_limit=(measured,), heat_of_combustion=892 * 4184.0)
    task = FireTask(make_job(), make_exposure(make_job(), {TOLUENE: 1.0}), make_reference([hot]))
    found = careful_limit(task, hot, kelvin)
    assert not isinstance(found, Unknown)
    assert (found.value < 0.011) is falls


def test_one_published_limit_is_no_disagreement_and_raises_nothing(judge: Any, make_job: Any) -> None:
    found = judge(make_job(), {BUTANONE: 1.0}, near_fraction=0.2)
    assert not any(f.key.startswith("fire-explosive-limit") for f in found)
    assert only(found, "fire-zone").figures[0].note == ""


def test_no_vapour_at_all_leaves_nothing_unknown(judge: Any, make_job: Any, make_step: Any) -> None:
    dark = {"near_fraction": Unknown("no limit of X is loaded"), "far_fraction": Unknown("no limit of X is loaded")}
    job = make_job(make_step("mask"))
    assert not any(f.unknown for f in judge(job, {TOLUENE: 0.0}, **dark))
    assert any(f.unknown for f in judge(job, {TOLUENE: 1e-6}, **dark))


# ---------------------------------------------------------------- flash points


@pytest.mark.parametrize(
    ("parts", "flash", "work", "burns"),
    [
        # margins 5 K pure, 15 K mixture: German statutory insurer, explosion protection, answer 2.1
        ("pure", 298.15 + 5.0, "brush", False),
        ("pure", 298.15 + 4.99, "brush", True),
        ("mixture", 298.15 + 15.0, "brush", False),
        ("mixture", 298.15 + 14.99, "brush", True),
        # mist and soaked cloth are lit below the flash point (OSHA shipyard guide on mist)
        ("pure", 298.15 + 60.0, "spray", True),
        ("pure", 298.15 + 60.0, "wipe", True),
    ],
)
def test_the_margin_below_the_flash_point(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_product: Any, make_part: Any,
    parts: str, flash: float, work: str, burns: bool,
) -> None:  # fmt: skip
    listed = [make_part(NMP)] if parts == "pure" else [make_part(NMP, 0.5), make_part("", 0.5, volatile=False)]
    product = make_product("cleaner", *listed, flash_point=flash)
    found = judge(make_job(make_step("brush", make_use(product, work))), {NMP: 1.0})
    assert any(f.key == "fire-zone" for f in found) == burns


def test_the_published_example_of_a_cleaner_brushed_on(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_product: Any, make_part: Any, make_place: Any
) -> None:
    # same answer 2.1: flash point 45 degC, room at most 30 degC, brushed on: no explosive atmosphere
    product = make_product("cleaner", make_part(NMP, 0.5), make_part("", 0.5, volatile=False), flash_point=318.15)
    warm = make_place(temperature=Range(293.15, 303.15))
    found = judge(make_job(make_step("brush", make_use(product, "brush"), at=warm)), {NMP: 1.0})
    assert only(found, "fire-step").short == "Nothing wet that can be lit; the work itself may set fire"
    hot = make_step("brush", make_use(product, "brush"), at=warm, surface_temperature=Range(304.0, 304.0))
    assert "fire-zone" in [f.key for f in judge(make_job(hot), {NMP: 1.0})]


def test_the_lowest_flash_point_of_product_and_parts_rules(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_product: Any, make_part: Any
) -> None:
    product = make_product("blend", make_part(NMP, 0.8), make_part(TOLUENE, 0.2), flash_point=340.0)
    found = judge(make_job(make_step("brush", make_use(product, "brush"))))
    assert "4 °C, that of its part toluene" in only(found, "fire-zone").statement


def test_a_part_of_nought_percent_is_not_in_the_product(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_product: Any, make_part: Any, make_place: Any,
    make_carried: Any,
) -> None:  # fmt: skip
    """A product file may say "0 %": what is not in it has no flash point, keeps no charge and takes no space."""
    none = make_part(TOLUENE, 0.0)
    soap = make_product("soap", make_part("7732-18-5", name="water"), none, flash_point=Unknown("not given"))
    bay = make_place(kind="enclosed", volume=6.0)
    quiet = judge(make_job(make_step("wash", make_use(soap), at=bay), carried=(make_carried(soap),)), {})
    assert not any(f.unknown or f.level != "note" for f in quiet)
    blend = make_product("blend", make_part(NMP), none, make_part("", 0.0, name="secret"), flash_point=340.0)
    found = judge(make_job(make_step("spray", make_use(blend, "spray"), at=bay)), {NMP: 1.0})
    assert "the product's own" in only(found, "fire-zone").statement
    assert not any(f.key == "fire-static" for f in found)
    assert not only(found, "fire-stock:bay").unknown


def test_the_computed_flash_point_is_there_for_information(
    make_job: Any, make_step: Any, make_use: Any, make_product: Any, make_part: Any, make_reference: Any,
    make_substance: Any, make_exposure: Any,
) -> None:  # fmt: skip
    """Of toluene alone it is toluene's own, 4 degC (IEC 60079-20-1:2010); with a part nobody has data of, none."""
    # Antoine's constants of toluene from Poling and others, The Properties of Gases and Liquids (bar, K)
    full = make_substance(TOLUENE, flash_point=277.15, antoine_a=9.05043, antoine_b=1327.62, antoine_c=-55.525)
    for parts, flash in (
        ([make_part(TOLUENE)], [pytest.approx(277.15, abs=0.1)]),
        ([make_part(TOLUENE), make_part(BUTANONE)], []),
        ([make_part(TOLUENE, 0.0)], []),
    ):
        job = make_job(make_step("brush", make_use(make_product("p", *parts, flash_point=Unknown("none")), "brush")))
        air = make_exposure(job, {TOLUENE: 1.0}, substances=[full])
        bare = make_substance(BUTANONE, flash_point=264.15)
        found = safety_ignition.assess(job, air, make_reference([full, bare], packs=[PACK]))
        assert [g.value for f in found for g in f.figures if "computed flash point" in g.name] == flash


def test_an_unknown_flash_point_is_unknown_and_can_be_lit(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_product: Any
) -> None:
    product = make_product("mystery", flash_point=Unknown("the product file gives no flash point"))
    found = judge(make_job(make_step("brush", make_use(product, "brush"), ignition_sources=("grinder",))))
    assert "gives no flash point" in only(found, "fire-unknown").unknown
    assert "fire-pair" in stops(found)


def test_no_flash_point_is_not_no_fire(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_product: Any, make_part: Any
) -> None:
    product = make_product("stripper", make_part(DCM), flash_point=Unknown("none in the closed-cup test"))
    found = judge(make_job(make_step("strip", make_use(product, "brush"), ignition_sources=("torch",))), {DCM: 1.0})
    assert "fire-pair" in stops(found)
    assert only(found, f"fire-no-flash-point:{DCM}").level == "note"
    assert not any(f.unknown for f in found)


def test_water_needs_no_flash_point(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_product: Any, make_part: Any
) -> None:
    product = make_product("soap", make_part("7732-18-5", name="water"), flash_point=Unknown("not given"))
    found = judge(make_job(make_step("wash", make_use(product), ignition_sources=("heater",))), {})
    assert not stops(found)
    assert not any(f.unknown for f in found)


# ---------------------------------------------------------------- forbidden pairs


WHYS = {row["name"]: row["why"].casefold() for row in PACK.tables["ignition-source"] if "why" in row}


@pytest.mark.parametrize(
    ("text", "name", "told"),
    [
        ("open flame", "open flame", "open flame"),
        ("Kerosene heater", "heater", "heater (Kerosene heater)"),
        ("hot lamp", "hot lamp", "hot lamp"),
        ("heat gun", "heat gun", "heat gun"),
        ("brushed drill", "brushed tool", "brushed tool (brushed drill)"),
        ("pneumatic sanding", "sanding", "sanding (pneumatic sanding)"),
        ("angle grinder", "grinding", "grinding (angle grinder)"),
        ("ground power on", "power on", "power on (ground power on)"),
        ("battery charging", "battery charging", "battery charging"),
        ("refuelling", "fuelling", "fuelling (refuelling)"),
        ("refuelling next door", "refuelling next door", "refuelling next door"),  # no name, whole: it counts
        ("open tank", "open tank", "open tank"),
        ("Compressed air blow off", "compressed-air blow-off", "Compressed air blow off"),
        ("weldding", "weldding", "weldding"),  # a slip of the pen: hazstep check offers the name
        ("frobnicator", "frobnicator", "frobnicator"),  # nobody knows what it is: it counts
    ],
)
def test_wet_solvent_and_an_ignition_source_never_meet(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, text: str, name: str, told: str
) -> None:
    found = judge(make_job(make_step("wipe", make_use(), ignition_sources=(text,))))
    assert stops(found) == ["fire-pair"]
    assert WHYS.get(name, "not in the list of known sources") in only(found, "fire-pair").statement.casefold()
    assert only(found, "fire-pair").short == f"No {told} in this step"


def test_a_source_named_none_is_none_but_only_alone(judge: Any, make_job: Any, make_step: Any, make_use: Any) -> None:
    assert not stops(judge(make_job(make_step("wipe", make_use(), ignition_sources=("None",)))))
    assert stops(judge(make_job(make_step("wipe", make_use(), ignition_sources=("none but a torch",)))))


def test_a_source_where_nothing_is_wet_is_no_stop(judge: Any, make_job: Any, make_step: Any) -> None:
    found = judge(make_job(make_step("sand", ignition_sources=("sander",))), {})
    assert not stops(found)
    assert "Sanding may be used in this step" in only(found, "fire-step").statement


@pytest.mark.parametrize(("taken_away", "stop"), [("", True), ("sand", True), ("wipe", False)])
def test_wet_leftovers_count_until_they_are_taken_away(
    judge: Any, make_job: Any, make_step: Any, make_leftover: Any, taken_away: str, stop: bool
) -> None:
    left = make_step("wipe", leaves_wet=(make_leftover(taken_away=taken_away),))
    found = judge(make_job(left, make_step("sand", ignition_sources=("sander",))))
    assert bool([f for f in found if f.level == "stop" and f.step == 1]) == stop


@pytest.mark.parametrize(("minutes", "stop"), [(9.0, False), (10.0, False), (10.01, True)])
def test_a_film_counts_until_it_is_dry(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, minutes: float, stop: bool
) -> None:
    job = make_job(
        make_step("wipe", make_use()), make_step("mask", minutes=10.0), make_step("sand", ignition_sources=("sander",))
    )
    none, dry = np.zeros(40), np.full(40, minutes * 60.0)
    balance = Balance(0, "solvent", "wipe", none, none, none, none, none, {}, dry, dry)
    found = judge(job, balances=[balance])
    assert bool([f for f in found if f.level == "stop" and f.step == 2]) == stop


def test_a_gel_counts_through_the_step_that_lifts_it(judge: Any, make_job: Any, make_step: Any, make_use: Any) -> None:
    # wet until the step that takes it up has ended, which is the last step with it
    tool = {"ignition_sources": ("sander",)}
    spread = make_step("spread", make_use(work="gel", lifted_by="scrape"))
    found = judge(make_job(spread, make_step("scrape", **tool), make_step("sand", **tool)))
    assert [f.step for f in found if f.level == "stop"] == [1]


# a step is from its first moment to before its last: what ends as it begins, or begins as it ends, is not beside it
@pytest.mark.parametrize(
    ("begins", "beside"), [(-900.0, False), (-899.0, True), (0.0, True), (899.0, True), (900.0, False)]
)
@pytest.mark.parametrize("what", ["tool", "cloth"])
def test_a_job_next_to_this_one_counts_while_both_go_on(
    make_job: Any, make_step: Any, make_use: Any, make_leftover: Any, make_exposure: Any, reference: Any, data: Any,
    begins: float, beside: bool, what: str,
) -> None:  # fmt: skip
    mine, theirs = (make_step("wipe", make_use()),), (make_step("sand", ignition_sources=("sander",)),)
    if what == "cloth":
        cloth = make_leftover(taken_away="wipe")
        mine, theirs = (make_step("sand", ignition_sources=("sander",)),), (make_step("wipe", leaves_wet=(cloth,)),)
    other, job = make_job(*theirs, title="other"), make_job(*mine)
    made = make_exposure(job, {TOLUENE: 1.0} if what == "tool" else {TOLUENE: 0.0}, substances=data[:1])
    next_to = Neighbour(other, timeline.moved(make_exposure(other, {}).timeline, begins))
    found = safety_ignition.assess(job, replace(made, neighbours=(next_to,)), reference)
    assert ("fire-pair" in stops(found)) is beside


@pytest.mark.parametrize(
    ("kind", "level"), [("room", "stop"), ("enclosed", "stop"), ("hangar", "control"), ("outdoor", "control")]
)
def test_a_pilot_light_next_door(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_place: Any, kind: str, level: str
) -> None:
    # floor sealer, vapour reached a pilot light in another room: NIOSH FACE report, 2 September 2004
    where = make_place(kind=kind, ignition_sources=("pilot light in the next room",))
    found = judge(make_job(make_step("seal", make_use(), at=where)))
    assert only(found, "fire-around").level == level


# ---------------------------------------------------------------- structures that hold fuel


@pytest.mark.parametrize(
    ("celsius", "level"),
    [
        # kerosene-type fuel can burn from 35 degC at sea level (Nestor 1967; Shepherd et al. 2000), margin 15 K
        (20.0, "note"),
        (20.01, "control"),
        (34.99, "control"),
        (35.0, "stop"),
        (38.0, "stop"),  # a hot day
    ],
)
def test_how_warm_a_structure_with_fuel_may_be(
    judge: Any, make_job: Any, make_step: Any, celsius: float, level: str
) -> None:
    warm = Range(celsius + 273.15, celsius + 273.15)
    found = judge(make_job(make_step("mark", structure_holds=KEROSENE, surface_temperature=warm)), {})
    assert only(found, "fire-held").level == level


def test_a_hot_day_over_fuel_stops_without_a_measured_surface(
    judge: Any, make_job: Any, make_step: Any, make_place: Any
) -> None:
    hot = make_place(temperature=Range(308.0, 311.15))  # up to 38 degC, doors shut
    assert "fire-held" in stops(judge(make_job(make_step("mark", at=hot, structure_holds=KEROSENE)), {}))


@pytest.mark.parametrize("holds", ["unknown", "64742-47-8"])
def test_a_structure_that_holds_nobody_knows_what(judge: Any, make_job: Any, make_step: Any, holds: str) -> None:
    found = only(judge(make_job(make_step("mark", structure_holds=holds)), {}), "fire-held")
    assert found.level == "stop"
    assert found.unknown


def test_any_source_over_held_fuel_is_a_stop(judge: Any, make_job: Any, make_step: Any) -> None:
    cool = Range(283.15, 283.15)
    step = make_step("sand", structure_holds=KEROSENE, surface_temperature=cool, ignition_sources=("pneumatic sander",))
    assert stops(judge(make_job(step), {})) == ["fire-held-source"]


# ---------------------------------------------------------------- everything carried into a small place


def litres(volume: float, make_carried: Any, make_product: Any) -> Any:
    """So many litres of toluene, 866.9 kg/m3 at 20 degC."""
    return make_carried(make_product("toluene"), volume * 0.8669)


def test_the_published_tenth_of_a_litre_in_six_cubic_metres(
    judge: Any, make_job: Any, make_step: Any, make_place: Any, make_carried: Any, make_product: Any
) -> None:
    # own arithmetic of the job note: 100 mL of toluene in 6 m3 = 3800 ppm = 38 % of 1.0 % (IEC 60079-20-1:2010)
    bay = make_place(kind="enclosed", volume=6.0)
    found = judge(make_job(make_step("mark", at=bay), carried=(litres(0.1, make_carried, make_product),)), {})
    stock = only(found, "fire-stock:bay")
    assert stock.level == "stop"
    assert stock.figures[0].value * 0.10 == pytest.approx(38.4, abs=0.4)  # per cent of the lower explosive limit
    assert stock.figures[0].value * 0.10 * 100 == pytest.approx(3840, abs=40)  # the same as ppm of a 1.0 % limit


@pytest.mark.parametrize(("litre_per_m3", "level"), [(4.2e-3, "note"), (4.4e-3, "stop")])
def test_how_much_toluene_a_small_space_takes(
    judge: Any, make_job: Any, make_step: Any, make_place: Any, make_carried: Any, make_product: Any,
    litre_per_m3: float, level: str,
) -> None:  # fmt: skip
    # 4.3 mL of toluene a cubic metre make 10 % of the lower explosive limit (IEC 60079-20-1:2010, 25 degC)
    bay = make_place(kind="room", volume=19.0)
    stock = litres(litre_per_m3 * 19.0, make_carried, make_product)
    found = only(judge(make_job(make_step("mark", at=bay), carried=(stock,)), {}), "fire-stock:bay")
    assert found.level == level


def test_stock_is_not_counted_in_a_large_place_and_unknown_without_a_size(
    judge: Any, make_job: Any, make_step: Any, make_place: Any, make_carried: Any, make_product: Any
) -> None:
    stock = litres(50.0, make_carried, make_product)
    large = judge(make_job(make_step("mark", at=make_place(kind="room", volume=20.0)), carried=(stock,)), {})
    assert not any(f.key.startswith("fire-stock") for f in large)
    sizeless = make_place(kind="enclosed", volume=Unknown("the shop file gives no volume"))
    found = only(judge(make_job(make_step("mark", at=sizeless), carried=(stock,)), {}), "fire-stock:bay")
    assert "gives no volume" in found.unknown


def test_used_and_left_wet_count_too_and_an_unknown_amount_is_said(
    judge: Any, make_job: Any, make_step: Any, make_place: Any, make_use: Any, make_leftover: Any
) -> None:
    bay = make_place(kind="enclosed", volume=6.0)
    step = make_step("wipe", make_use(mass=(0.0, 0.012)), at=bay, leaves_wet=(make_leftover(mass=0.012),))
    found = only(judge(make_job(step)), "fire-stock:bay")
    assert found.level == "stop"  # 24 g; 10 % of 1.0 % in 6 m3 is 22.6 g
    dark = make_step("wipe", make_use(mass=Unknown("nobody weighed it")), at=bay)
    assert only(judge(make_job(dark)), "fire-stock:bay").unknown


def test_stock_counts_the_highest_share_a_data_sheet_allows(
    judge: Any, make_job: Any, make_step: Any, make_place: Any, make_carried: Any, make_product: Any, make_part: Any
) -> None:
    bay = make_place(kind="enclosed", volume=6.0)
    blend = make_product("blend", make_part(TOLUENE, 0.1, 0.5), make_part("", 0.5, volatile=False))
    found = judge(make_job(make_step("mark", at=bay), carried=(make_carried(blend, 0.05),)), {})
    assert only(found, "fire-stock:bay").level == "stop"  # 25 g at most; 10 % of 1.0 % in 6 m3 is 22.6 g


# ---------------------------------------------------------------- static


@pytest.mark.parametrize(("picosiemens", "charged"), [(49.9, True), (50.0, False)])
def test_static_by_conductivity(
    make_job: Any, make_exposure: Any, make_reference: Any, make_substance: Any, picosiemens: float, charged: bool
) -> None:
    # under 50 pS/m a liquid keeps its charge (ISGOTT table 3.1; NFPA 35 definition)
    liquid = make_substance(TOLUENE, flash_point=277.15, lower_explosive_limit=0.01, conductivity=picosiemens * 1e-12)
    job = make_job()
    exposure = make_exposure(job, {TOLUENE: 1.0}, substances=[liquid])
    found = safety_ignition.assess(job, exposure, make_reference([liquid], packs=[PACK]))
    assert any(f.key == "fire-static" for f in found) == charged


def test_a_conductivity_nobody_knows_is_said(
    make_job: Any, make_exposure: Any, make_reference: Any, make_substance: Any
) -> None:
    liquid = make_substance(TOLUENE, flash_point=277.15, lower_explosive_limit=0.01)
    job = make_job()
    found = safety_ignition.assess(
        job, make_exposure(job, {TOLUENE: 1.0}, substances=[liquid]), make_reference([liquid])
    )
    assert "not known; it is treated as if it did" in only(found, "fire-static").statement


# ---------------------------------------------------------------- a lower limit nobody knows


@pytest.mark.parametrize(("ppm", "stop"), [(499.0, False), (501.0, True)])
def test_without_a_lower_limit_the_air_is_held_against_one_lower_than_any_loaded(
    judge: Any, make_job: Any, ppm: float, stop: bool
) -> None:
    """10 % of 0.5 % is 500 ppm; kerosene's 0.7 % is the lowest lower limit of the shipped substances."""
    dark = Unknown("no lower explosive limit of it is loaded")
    found = judge(make_job(), {TOLUENE: ppm}, far={TOLUENE: ppm}, near_fraction=dark, far_fraction=dark)
    assert ("fire-far" in stops(found)) == stop
    unknown = [f for f in found if f.key == "fire-unknown"]
    assert unknown
    assert all(f.level == "control" and f.unknown for f in unknown)


def test_a_source_always_there_stops_the_job_while_the_air_is_not_known(
    judge: Any, make_job: Any, make_step: Any, make_place: Any, make_use: Any
) -> None:
    step = make_step("wipe", make_use(), at=make_place(ignition_sources=("pilot light",)))
    assert "fire-around" not in stops(judge(make_job(step), near_fraction=0.01))
    assert "fire-around" in stops(judge(make_job(step), near_fraction=Unknown("no limit of it is loaded")))


def test_vapour_that_is_not_counted_leaves_the_whole_place_unknown_too(judge: Any, make_job: Any) -> None:
    found = judge(make_job(), near_fraction=0.2, far_fraction=0.01, steps=[{"unknown": ["the rest is secret."]}])
    assert any(f.key == "fire-unknown" and "the rest is secret" in f.unknown for f in found)


def test_a_product_marked_flammable_is_not_cleared_by_its_parts(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_product: Any, make_part: Any
) -> None:
    """Its data sheet says H226 and no flash point; the parts it lists are a resin that stays."""
    resin = make_part("", 1.0, 1.0, False, "resin")
    for hazards, level in ((("H226",), "control"), ((), "note")):
        coat = make_product("coat", resin, flash_point=Unknown("not given"), hazards=hazards)
        found = judge(make_job(make_step("brush", make_use(coat, "brush"))), near_fraction=0.0)
        assert max(f.level != "note" for f in found if f.step == 0) == (level == "control")


@pytest.mark.parametrize("cause", ["amount", "part", "limit"])
def test_what_is_not_counted_in_a_small_place_never_reads_as_so_many_per_cent(
    judge: Any,
    make_job: Any,
    make_step: Any,
    make_place: Any,
    make_use: Any,
    make_product: Any,
    make_part: Any,
    cause: str,
) -> None:
    """0 % of the solvent it can take: that was said of a tank into which nobody knew how much was carried."""
    tank = make_place(kind="enclosed", volume=10.0)
    parts = {"part": make_part("", name="a secret"), "limit": make_part("67-64-1", name="acetone")}
    product = make_product("thinner", parts.get(cause, make_part(TOLUENE)))
    mass = Unknown("nobody weighed it") if cause == "amount" else 1e-6
    found = only(judge(make_job(make_step("wipe", make_use(product, mass=mass), at=tank))), "fire-stock:bay")
    assert (found.level, found.short) == ("control", "How full of solvent bay may get is not known")
    assert "at most" not in found.statement
    if cause != "limit":  # nothing could be counted, so no figure stands there
        assert found.statement.startswith(
            "What the solvent carried into bay (10 m3) makes of the lower explosive limit is not"
        )
        assert found.figures == ()
    assert found.unknown


def test_a_part_without_a_lower_limit_still_counts_in_a_small_place(
    make_job: Any, make_step: Any, make_place: Any, make_use: Any, make_product: Any, make_part: Any, make_substance: Any,
    make_reference: Any, make_exposure: Any
) -> None:  # fmt: skip
    """10 % of 0.5 % of 10 m3 is 5 L of vapour, 19 g of toluene at 25 degC (0.09214 kg/mol, 24.47 L/mol)."""
    bare = make_substance(TOLUENE)  # no lower explosive limit
    for grams, level in ((18.0, "control"), (19.0, "stop")):
        use = make_use(make_product("thinner", make_part(TOLUENE)), mass=grams / 1000)
        job = make_job(make_step("wipe", use, at=make_place(kind="enclosed", volume=10.0)))
        air = make_exposure(job, {TOLUENE: 1.0}, substances=[bare])
        found = safety_ignition.assess(job, air, make_reference([bare], packs=[PACK]))
        assert only(found, "fire-stock:bay").level == level


# ---------------------------------------------------------------- a level and a limit that round to the same figure


def test_a_share_that_rounds_to_the_fire_limit_says_on_which_side_it_is(
    judge: Any, make_job: Any, make_step: Any, make_place: Any, make_carried: Any, make_product: Any
) -> None:
    small = make_place(kind="room", volume=19.0)
    found = judge(make_job(make_step("mark", at=small)), near_fraction=0.10003)
    assert "reaches just over 10 % of its lower explosive limit. The limit is" in only(found, "fire-enclosed").statement
    whole = judge(make_job(), near_fraction=0.10003, far_fraction=0.10003)
    assert "reaches just over 10 % of its lower explosive limit." in only(whole, "fire-far").statement
    assert "reaches just over 10 % of its lower explosive limit." in only(whole, "fire-zone").statement
    stock = litres(4.3e-3 * 19.0, make_carried, make_product)
    most = only(judge(make_job(make_step("mark", at=small), carried=(stock,)), {}), "fire-stock:bay").figures[0].value
    for share, told in ((99.97, "just under 10 %"), (100.03, "just over 10 %"), (99.0, "9.9 %")):
        stock = litres(4.3e-3 * 19.0 * share / most, make_carried, make_product)
        found = judge(make_job(make_step("mark", at=small), carried=(stock,)), {})
        assert told in only(found, "fire-stock:bay").statement


def test_a_structure_just_colder_than_its_fuel_can_burn_does_not_read_as_warm(
    judge: Any, make_job: Any, make_step: Any
) -> None:
    warm = Range(34.9 + 273.15, 34.9 + 273.15)
    found = only(
        judge(make_job(make_step("mark", structure_holds=KEROSENE, surface_temperature=warm)), {}), "fire-held"
    )
    assert "is at up to just under 35 °C, near 35 °C, from which" in found.statement
