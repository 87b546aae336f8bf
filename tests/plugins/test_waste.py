"""Waste on a sheet: every step answered, nothing put where it may not go, the month it makes.

Rules: 40 CFR 261 and 262 in the pack; the mass of a waste is the engine's own balance.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest
import safety_waste
from safety_waste import fill, forecast

from safety.cited import Unknown
from safety.exposure.result import Balance
from safety.model import Finding, Job, Part, Range
from tests.answered import findings
from tests.waste.made_up import US, container, ledger, line, lot, product, rules, threshold, with_pack

FED = rules(*US)
ACETONE, DCM, TOLUENE = "67-64-1", "75-09-2", "108-88-3"
EVERY = (
    container("rags-1", "satellite", "wet-cloths"),
    container("can-1", "satellite", "free-liquid"),
    container("pail-1", "satellite", "scrapings"),
    container("box-1", "satellite", "tools-and-gloves"),
)
Make = Callable[..., Any]


def balance(step: int, what: str, product: str = "solvent", **kilograms: float) -> Balance:
    masses = {"applied": 1.0, "evaporated": 0.0, "kept": 0.0, "solids": 0.0, "wet": 0.0} | kilograms
    none = np.zeros(40)
    return Balance(step, product, what, *(np.full(40, v) for v in masses.values()), {}, none, none)


@pytest.fixture
def judge(make_job: Make, make_exposure: Make) -> Callable[..., list[Finding]]:
    def ask(
        *steps: Any, containers: Any = EVERY, balances: Any = (), reference: Any = FED, book: Any = None, **changes: Any
    ) -> list[Finding]:
        job: Job = make_job(*steps, shop_={"containers": containers, "rules": US}, **changes)
        return findings(safety_waste.assess(job, make_exposure(job, balances=balances), reference, book))  # type: ignore[no-any-return]

    return ask


def boxes(found: list[Finding], step: int) -> list[tuple[str, str]]:
    return [(f.level, f.short) for f in found if f.step == step]


def by_key(found: list[Finding]) -> Mapping[str, Finding]:
    return {f.key: f for f in found}


# ---------------------------------------------------------------- which container


def test_a_wipe_leaves_rags_and_what_is_in_them(judge: Make, make_step: Make, make_use: Make) -> None:
    wipe = make_use(work="wipe", kept=Range(0.2, 0.4, "20 % to 40 %"))
    found = judge(make_step("wipe", wipe), balances=[balance(0, "wipe", evaporated=0.7, kept=0.3)])
    assert boxes(found, 0) == [("note", "rags: rags-1; brushes and gloves: box-1")]
    (figure,) = by_key(found)["waste:0"].figures
    assert (figure.value, figure.unit) == (pytest.approx(0.3), "kg")
    assert "Wring out rags that drip, into can-1." in by_key(found)["waste:0"].statement


def test_a_cloth_whose_share_nobody_gave_may_hold_all_of_it(judge: Make, make_step: Make, make_use: Make) -> None:
    found = judge(make_step("wipe", make_use(work="wipe")), balances=[balance(0, "wipe", evaporated=1.0)])
    (figure,) = by_key(found)["waste:0"].figures
    assert figure.value == pytest.approx(1.0)
    assert "does not say" in figure.note


def test_a_gel_is_waste_where_it_is_lifted(judge: Make, make_step: Make, make_use: Make) -> None:
    gel = make_use(work="gel", lifted_by="scrape")
    found = judge(
        make_step("spread", gel), make_step("scrape"), balances=[balance(0, "gel", evaporated=0.3, wet=0.6, solids=0.1)]
    )
    assert boxes(found, 0) == [("note", "brushes and gloves: box-1")]
    assert boxes(found, 1) == [("note", "scrapings: pail-1; brushes and gloves: box-1")]
    assert by_key(found)["waste:1"].figures[0].value == pytest.approx(0.7)


def test_a_step_without_waste_says_so(judge: Make, make_step: Make, make_use: Make) -> None:
    found = judge(make_step("wipe", make_use()), make_step("wait"))
    assert boxes(found, 1) == [("note", "none planned of these products")]


def test_waste_without_a_container_stops_the_job(judge: Make, make_step: Make, make_use: Make) -> None:
    found = judge(make_step("wipe", make_use()), containers=EVERY[1:])
    assert ("stop", "rags: no container") in boxes(found, 0)
    assert 'accepts = ["wet-cloths"]' in by_key(found)["waste-nowhere:wet-cloths"].remedy


@pytest.mark.parametrize(
    ("what", "form", "box"),
    [
        ("a bag", "wet-cloths", ("note", "rags: rags-1")),
        ("tray", "scrapings", ("note", "scrapings: pail-1")),
        ("rubber", "tools-and-gloves", ("note", "brushes and gloves: box-1")),
        # words for people: each of these was a form before
        ("wet rags in a bag", "", ("control", "wet rags in a bag: hold, and ask where it goes")),
        ("wet rubber", "held", ("control", "wet rubber: hold, and ask where it goes")),
    ],
)
def test_what_is_left_lying(
    judge: Make, make_step: Make, make_leftover: Make, what: str, form: str, box: tuple[str, str]
) -> None:
    found = judge(make_step("peel", leaves_wet=(make_leftover(what=what, form=form),)))
    assert boxes(found, 0) == [box]


def test_what_is_held_gets_no_code_until_somebody_says_what_it_is(
    judge: Make, make_step: Make, make_leftover: Make
) -> None:
    found = judge(make_step("peel", leaves_wet=(make_leftover(what="strips of wet rubber", form=""),)))
    assert not [k for k in by_key(found) if k.startswith("waste-code")]
    assert "write its form" in by_key(found)["waste-held:strips of wet rubber"].remedy


def test_what_nobody_discloses_is_offered_no_container_and_no_code(
    judge: Make, make_step: Make, make_use: Make, make_product: Make
) -> None:
    secret = replace(make_product("secret"), parts=(Part("a blend", "", 0.9, 1.0),))
    wipe = make_use(secret, work="wipe", kept=Range(0.2, 0.4, ""))
    own = [balance(0, "wipe", "secret", kept=0.3, wet=0.1)]
    found = judge(make_step(uses=(wipe,)), balances=own)
    mine = [f for f in found if f.step == 0]
    assert mine
    assert all(f.level == "control" and f.unknown and "hold, and ask where it goes" in f.short for f in mine)
    assert not [f for f in found if f.key.startswith("waste-code")]


def test_a_month_with_an_unknown_amount_is_at_least_and_stamped(judge: Make, make_step: Make, make_use: Make) -> None:
    step = make_step(uses=(make_use(work="gel", mass=Unknown("no density")),))
    month = by_key(judge(step, book=ledger([line("2026-03-02", "can-1", mass=1.0)])))["waste-month"]
    assert "at least" in month.short
    assert "is not known: no amount of" in month.unknown


def test_what_has_no_container_in_two_steps_is_told_in_one_line(judge: Make, make_step: Make, make_use: Make) -> None:
    """The sheet joins findings of one topic, words and key; the step stands beside them."""
    found = judge(make_step("wipe", make_use()), make_step("wipe again", make_use()), containers=EVERY[1:])
    stops = [f for f in found if f.level == "stop" and f.short == "rags: no container"]
    assert [f.step for f in stops] == [0, 1]
    assert len({f.key for f in stops}) == 1


def test_incompatible_liquids_are_not_offered_the_same_container(
    judge: Make, make_step: Make, make_use: Make, make_product: Make, make_part: Make
) -> None:
    def pour(cas: str, name: str) -> Any:
        liquid = make_product(name, make_part(cas, name=name))
        return make_step(name, make_use(liquid, work="pour"))

    two = (container("can-1", "satellite"), container("can-2", "satellite"), EVERY[3])
    found = judge(pour(ACETONE, "acetone"), pour(DCM, "dichloromethane"), containers=two)
    assert "liquid: can-1" in boxes(found, 0)[0][1]
    assert "liquid: can-2" in boxes(found, 1)[0][1]
    one = judge(pour(ACETONE, "acetone"), pour(DCM, "dichloromethane"), containers=(two[0], EVERY[3]))
    assert ("stop", "liquid: no container") in boxes(one, 1)
    stop = by_key(one)["waste-nowhere:free-liquid"]
    assert "Halogenated" in stop.statement
    assert "40 CFR 265.177" in stop.rule


def test_what_the_ledger_says_is_inside_counts(
    judge: Make, make_step: Make, make_use: Make, make_product: Make, make_part: Make
) -> None:
    methylene = make_product("dcm", make_part(DCM, name="dichloromethane"))
    acetone = make_product("acetone", make_part(ACETONE, name="acetone"))
    steps = (make_step("pour", make_use(acetone, work="pour")), make_step("later", make_use(methylene, work="open")))
    can = (container("can-1", "satellite"), EVERY[3])
    assert boxes(judge(*steps, containers=can), 0)[0][0] == "note"
    book = ledger([line("2026-03-01", "can-1", product="dcm", name="dcm")])
    assert ("stop", "liquid: no container") in boxes(judge(*steps, containers=can, book=book), 0)


def test_cloths_with_chromate_are_not_put_among_excluded_wipes(
    judge: Make, make_step: Make, make_use: Make, make_product: Make, make_part: Make
) -> None:
    primer = make_product(
        "primer", make_part(TOLUENE, 0.8), make_part("7789-06-2", 0.2, name="strontium chromate", volatile=False)
    )
    step = make_step("wipe", make_use(primer))
    assert ("stop", "rags: no container") in boxes(judge(step), 0)
    own = container("rags-2", "satellite", "wet-cloths", reactivity=("chromate",))
    assert "rags: rags-2" in boxes(judge(step, containers=(*EVERY, own)), 0)[0][1]


def test_excluded_wipes_do_not_go_among_other_hazardous_waste(judge: Make, make_step: Make, make_use: Make) -> None:
    drum = container("drum", "central", "free-liquid", "wet-cloths")
    assert ("stop", "rags: no container") in boxes(judge(make_step("wipe", make_use()), containers=(drum, EVERY[3])), 0)


def test_the_words_of_a_stream_say_nothing_of_a_container(judge: Make, make_step: Make, make_use: Make) -> None:
    """They said what goes in: "no wet cloths, please" took wet cloths."""
    from dataclasses import replace

    named = tuple(replace(c, accepts=(), stream="no wet cloths, please") for c in EVERY)
    found = judge(make_step("wipe", make_use()), containers=named)
    assert ("stop", "rags: no container") in boxes(found, 0)
    assert "write what each accepts" in " ".join(f.statement for f in found)


def test_nothing_goes_where_nobody_says_what_may_not_meet(judge: Make, make_step: Make, make_use: Make) -> None:
    from dataclasses import replace

    unsaid = tuple(replace(c, reactivity=None) for c in EVERY)
    found = judge(make_step("wipe", make_use()), containers=unsaid)
    assert ("stop", "rags: no container") in boxes(found, 0)
    assert "write its reactivity" in " ".join(f.statement for f in found)


# ---------------------------------------------------------------- what it is


def test_codes_come_with_rule_and_what_to_confirm(judge: Make, make_step: Make, make_use: Make) -> None:
    code = by_key(judge(make_step("wipe", make_use())))["waste-code:US:solvent:wet-cloths"]
    assert "F005" in code.short
    assert "Excluded wipes while every condition" in code.statement
    assert "To be confirmed by the person responsible" in code.statement
    assert "40 CFR 261.31(a)" in code.rule
    assert "40 CFR 261.4(b)(18)" in code.rule


def test_every_condition_of_the_wipes_exclusion_is_listed(judge: Make, make_step: Make, make_use: Make) -> None:
    text = by_key(judge(make_step("wipe", make_use())))["waste-wipes"].statement
    rows = FED.table("wipes_condition")
    assert len(rows) == 16  # eight for laundered wipes, eight for those thrown away
    assert all(row["text"] in text for row in rows)


def test_a_shop_no_pack_covers_gets_no_code(judge: Make, make_step: Make, make_use: Make) -> None:
    found = judge(make_step("wipe", make_use()), reference=rules())
    assert boxes(found, 0) == [("note", "rags: rags-1; brushes and gloves: box-1")]
    assert not [k for k in by_key(found) if k.startswith(("waste-code", "waste-shipping"))]
    assert by_key(found)["waste-rules"].unknown


# ---------------------------------------------------------------- the month


def month_of(judge: Make, make_step: Make, make_use: Make, before: float, job: float, **more: Any) -> Finding:
    """A job on 10 March 2026 that leaves ``job`` kg in a pail, after ``before`` kg in the month."""
    gel = make_use(work="gel", lifted_by="scrape")
    step, scrape = make_step("spread", gel), make_step("scrape")
    lines = [line("2026-03-02", "can-1", mass=before), line("2026-02-28", "can-1", mass=500.0)]
    balances = [balance(0, "gel", applied=job, wet=job)]
    found = judge(step, scrape, balances=balances, book=ledger(more.pop("lines", lines)), **more)
    return by_key(found)["waste-month"]


def test_the_job_that_takes_the_month_over_the_limit(judge: Make, make_step: Make, make_use: Make) -> None:
    # 40 CFR 262.13 table 1: over 100 kg
    found = month_of(judge, make_step, make_use, 92.0, 12.0)
    assert found.level == "control"
    assert (
        "This job would take March 2026 from 92 kg to 104 kg: over the limit for a very small quantity generator "
        "(VSQG) (100 kg). It would be a small quantity generator (SQG)." in found.statement
    )
    assert "pack us-federal" in found.rule


@pytest.mark.parametrize(("job", "level"), [(8.0, "note"), (8.01, "control")])
def test_the_limit_is_crossed_over_one_hundred_not_at_it(
    judge: Make, make_step: Make, make_use: Make, job: float, level: str
) -> None:
    assert month_of(judge, make_step, make_use, 92.0, job).level == level


@pytest.mark.parametrize(("job", "level"), [(99.9, "note"), (100.0, "control")])
def test_the_next_limit_is_crossed_at_a_ton(
    judge: Make, make_step: Make, make_use: Make, job: float, level: str
) -> None:
    found = month_of(judge, make_step, make_use, 900.0, job)
    assert found.level == level


def test_a_county_limit_rules_and_is_named(judge: Make, make_step: Make, make_use: Make) -> None:
    local = with_pack(threshold("generator-small", 50.0, "kg", "over", "50 kg"))
    found = month_of(judge, make_step, make_use, 45.0, 6.0, reference=local)
    assert found.level == "control"
    assert "pack county" in found.rule


def test_what_the_job_has_recorded_already_is_not_counted_twice(judge: Make, make_step: Make, make_use: Make) -> None:
    lines = [line("2026-03-02", "can-1", mass=92.0), line("2026-03-10", "can-1", mass=7.0, job="job")]
    assert "from 92 kg to 99 kg" in month_of(judge, make_step, make_use, 0, 5.0, lines=lines).statement


def test_a_month_with_waste_of_no_code_is_not_known(make_job: Make, make_step: Make, make_use: Make) -> None:
    """200 kg that nobody could name a code for were in no sum, and the sheet said nothing of them."""
    water = replace(product(Part("water", "7732-18-5", 1.0, 1.0), flash_point=380.0, hazards=()), id="wash")
    job = make_job(make_step("wipe", make_use()), shop_={"containers": EVERY, "rules": US})
    job = replace(job, shop=replace(job.shop, products={**job.shop.products, "wash": water}))
    book = ledger([line("2026-03-02", "can-1", mass=200.0, product="wash")])
    found = by_key(forecast.judge(job, (), FED, book, fill.on(job.start.date(), job.shop, FED, book)))["waste-month"]
    assert "from at least 0 kg" in found.statement
    assert "No waste code was found for 200 kg of March 2026" in found.unknown
    assert found.unknown in found.statement


def test_without_a_ledger_the_month_is_said_to_be_unknown(judge: Make, make_step: Make, make_use: Make) -> None:
    found = by_key(judge(make_step("wipe", make_use())))["waste-month"]
    assert "is not known" in found.statement


def test_an_unknown_amount_is_in_no_total_and_said(judge: Make, make_step: Make, make_use: Make) -> None:
    step = make_step("wipe", make_use(work="pour", mass=Unknown("not weighed")))
    found = by_key(judge(step, book=ledger([line("2026-03-02", "can-1", mass=1.0)])))
    assert "amount not known, into can-1" in found["waste:0"].statement
    assert "is not in it" in found["waste-month"].statement


@pytest.mark.parametrize(("held", "named"), [(997.9, False), (998.0, True)])
def test_what_is_on_site_against_the_limit(
    judge: Make, make_step: Make, make_use: Make, held: float, named: bool
) -> None:
    # 40 CFR 262.14(a)(4): at or over 1000 kg; the job adds 2 kg, all of it made in earlier months
    gel = make_use(work="gel", lifted_by="scrape")
    book = ledger([line("2026-01-02", "can-1", mass=held)])
    found = judge(
        make_step("spread", gel), make_step("scrape"), balances=[balance(0, "gel", applied=2.0, wet=2.0)], book=book
    )
    assert ("waste-on-site" in by_key(found)) is named


def test_without_a_ledger_the_month_is_not_known_and_the_sheet_says_so(
    judge: Any, make_step: Any, make_use: Any, make_product: Any
) -> None:
    """40 CFR 262.13 counts by calendar month: what went before decides what this job's waste may do."""
    found = by_key(judge(make_step("wipe", make_use(make_product()))))["waste-month"]
    assert (found.level, found.gap, found.short) == ("note", "books", "waste of the month not known")
    assert found.unknown == "There is no ledger, so how much waste this month has already is not known."


# a lot is good through the day on its label, and what is used up is no waste; the job is on 10 March 2026
@pytest.mark.parametrize(
    ("expires", "mass", "named"),
    [
        (date(2026, 3, 10), 1.0, False),
        (date(2026, 3, 9), 1.0, True),
        (date(2026, 3, 9), 0.0, False),
        (date(2026, 3, 9), Unknown("no density"), True),
        (None, 1.0, False),
    ],
)
def test_a_lot_is_expired_from_the_day_after_its_last(
    judge: Make, make_step: Make, make_use: Make, expires: date | None, mass: Any, named: bool
) -> None:
    found = judge(make_step("wipe", make_use()), book=ledger([line("2026-03-02")], lot(expires, mass)))
    assert ("waste-expired:solvent:L1" in by_key(found)) is named


# 40 CFR 261.4(b)(18)(ii): 180 days; 11 September 2025 and 180 days are 10 March 2026, the day of the job
@pytest.mark.parametrize(
    ("started", "short"),
    [(date(2025, 9, 11), "rags-1: 0 days left"), (date(2025, 9, 10), "rags-1 is over its time")],
)
def test_a_container_on_its_last_day_is_not_over_its_time(
    judge: Make, make_step: Make, make_use: Make, started: date, short: str
) -> None:
    rags = (container("rags-1", "satellite", "wet-cloths", started=started), *EVERY[1:])
    found = by_key(judge(make_step("wipe", make_use()), containers=rags, book=ledger([])))
    assert found["waste-due:rags-1"].short == short


def test_a_month_just_over_its_limit_does_not_read_as_at_it(judge: Make, make_step: Make, make_use: Make) -> None:
    found = month_of(judge, make_step, make_use, 92.0, 8.02)
    assert "from 92 kg to just over 100 kg: over the limit" in found.statement
    assert found.short == "month: at least just over 100 kg"
