"""Totals against published arithmetic, and against the entries added up by hand in any order."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import pairwise
from math import fsum
from pathlib import Path
from random import Random
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from safety.cited import Unknown
from safety.ledger.corrections import correct, draft_of
from safety.ledger.entries import record
from safety.ledger.store import Ledger, open_at
from safety.ledger.totals import months_back, months_of
from safety.ledger.view import view
from safety.model import Balance, Edition, Part, Period, Shop
from safety.units import read
from tests.ledger.made_up import ACETONE, SHOP, STRIPPER, WASH, draft, product

NOVEMBER = Period("2026-11", "2026-11")
YEAR = Period("2026-01", "2026-12")
POUND = 0.45359237


def shop_of(*products: Any) -> Shop:
    return replace(SHOP, products={p.id: p for p in products})


# ---------------------------------------------------------------- published arithmetic


def test_a_gallon_product_and_its_substances_by_weight(ledger: Ledger) -> None:
    """Mecklenburg County Air Quality, VOC calculation examples: 4,000 gal at 12.19 lb/gal.

    3 % ethylbenzene is printed as 1,463 lb and 15 % xylene as 7,314 lb.
    """
    paint = product(
        "paint",
        (Part("ethylbenzene", "100-41-4", 0.03, 0.03), Part("xylene", "1330-20-7", 0.15, 0.15)),
        read("12.19 lb/US_gal", "density"),
    )
    shop = shop_of(paint)
    record(ledger, [draft("receive", "paint", "4000 US_gal", shop), draft("use", "paint", "4000 US_gal", shop)])
    with view(ledger) as seen:
        ethylbenzene, xylene = sorted(seen.by_substance(NOVEMBER), key=lambda t: t.name)
        (whole,) = seen.by_product(NOVEMBER)
    assert ethylbenzene.mid / POUND == pytest.approx(1463, abs=0.5)
    assert xylene.mid / POUND == pytest.approx(7314, abs=0.5)
    assert whole.mass / POUND == pytest.approx(48760, abs=0.5)  # 4,000 x 12.19
    assert ethylbenzene.low == ethylbenzene.mid == ethylbenzene.high


def test_the_middle_of_a_range_is_the_midpoint(ledger: Ledger) -> None:
    """EPA EPCRA section 313 questions and answers (2019), no. 175: from 2 % to 20 % counts as the midpoint, 11 %."""
    cleaner = product("cleaner", (Part("toluene", "108-88-3", 0.02, 0.20),), 1000.0)
    shop = shop_of(cleaner)
    record(ledger, [draft("receive", "cleaner", "100 kg", shop), draft("use", "cleaner", "100 kg", shop)])
    with view(ledger) as seen:
        (toluene,) = seen.by_substance(NOVEMBER)
    assert (toluene.low, toluene.mid, toluene.high) == pytest.approx((2.0, 11.0, 20.0), rel=1e-12)


def test_a_part_is_no_more_than_the_others_leave(ledger: Ledger) -> None:
    """All parts are the whole: of 60 to 70 % toluene and 0 to 100 % xylene, the xylene is 30 to 40 %."""
    parts = (Part("toluene", "108-88-3", 0.60, 0.70), Part("xylene", "1330-20-7", 0.0, 1.0))
    shop = shop_of(product("mixed", parts, 1000.0))
    record(ledger, [draft("receive", "mixed", "100 kg", shop), draft("use", "mixed", "100 kg", shop)])
    with view(ledger) as seen:
        toluene, xylene = seen.by_substance(NOVEMBER)
    assert (toluene.low, toluene.mid, toluene.high) == pytest.approx((60, 65, 70), rel=1e-12)
    assert (xylene.low, xylene.mid, xylene.high) == pytest.approx((30, 40, 40), rel=1e-12)


def test_a_share_of_a_mixture_received(ledger: Ledger) -> None:
    """40 CFR 355.13: 150 lb of a mixture that holds 20 % of a substance hold 30 lb of it."""
    shop = shop_of(product("mixture", (Part("a substance", "108-95-2", 0.2, 0.2),), Unknown("none")))
    record(ledger, [draft("receive", "mixture", "150 lb", shop)])
    with view(ledger) as seen:
        (phenol,) = seen.by_substance(NOVEMBER, "received")
    assert phenol.mid / POUND == pytest.approx(30, rel=1e-9)


def test_mass_balance_of_a_year(ledger: Ledger) -> None:
    """City of Eugene toxics reporting instructions: 8,000 lb bought and 2,000 lb recycled in; 6,000 lb leave in the
    product, 1,500 lb in solid waste and 2,000 lb are recycled out: 500 lb went out of the vents.

    In our words: both came in, what leaves in the product and what is recycled out goes back, the rest is lost.
    """
    lines = [
        draft("receive", "acetone", "8000 lb"),
        draft("receive", "acetone", "2000 lb"),
        draft("return", "acetone", "6000 lb", way="supplier"),
        draft("return", "acetone", "2000 lb", way="supplier"),
        draft("use", "acetone", "2000 lb"),
        draft("waste", "acetone", "1500 lb", way="job", solvent="1500 lb", anyway="the drums of a year in one line"),
    ]
    record(ledger, lines)
    with view(ledger) as seen:
        (year,) = seen.balance(YEAR)
    assert year.lost / POUND == pytest.approx(500, abs=1e-6)
    assert year.closing == pytest.approx(0, abs=1e-9)


# ---------------------------------------------------------------- what cannot be known


def test_an_unknown_mass_is_counted_and_named_and_never_zero(ledger: Ledger) -> None:
    record(
        ledger,
        [draft("receive", "stripper", "10 kg"), draft("use", "stripper", "2 L"), draft("use", "stripper", "1 kg")],
    )
    with view(ledger) as seen:
        (total,) = seen.by_product(NOVEMBER)
        nameless, toluene = seen.by_substance(NOVEMBER)
        (sheet,) = seen.balance(NOVEMBER)
        (lot,) = seen.lots()
        (flow,) = (f for f in seen.flows(NOVEMBER) if f.kind == "use")
    assert (total.mass, total.volume, total.entries) == (1.0, 0.002, 2)
    assert (total.mass_unknown, total.volume_unknown, total.complete) == (1, 1, False)
    assert (flow.mass_unknown, flow.volume_unknown) == (1, 1)
    assert toluene.unknown == ("stripper: records without a known mass: 1",)
    assert toluene.mid == pytest.approx(0.2)
    assert nameless.cas == ""
    assert nameless.unknown == ("stripper: a solvent blend", "stripper: records without a known mass: 1")
    assert sheet.unknown == ("records without a known mass: 1",)
    assert isinstance(lot.mass, Unknown)


def test_mixed_waste_is_a_line_of_its_own(ledger: Ledger) -> None:
    record(ledger, [draft("waste", "", "12 kg", way="job"), draft("waste", "", "5 L", way="job")])
    with view(ledger) as seen:
        (total,) = seen.by_product(NOVEMBER, "wasted")
        (sheet,) = seen.balance(NOVEMBER)
        (nameless,) = seen.by_substance(NOVEMBER, "wasted")
    assert (total.product, total.mass, total.mass_unknown) == ("", 12.0, 1)
    assert (sheet.waste_from_jobs, sheet.unknown) == (12.0, ("records without a known mass: 1",))
    assert nameless.unknown == ("mixed waste: records without a product: 2",)


def test_what_was_weighed_measured_or_guessed(ledger: Ledger) -> None:
    lines = [draft("receive", "acetone", "10 kg")]
    lines += [
        draft("use", "acetone", f"{n} kg", basis=basis) for n, basis in ((1, "weighed"), (2, "guessed"), (3, "weighed"))
    ]
    record(ledger, lines)
    with view(ledger) as seen:
        (total,) = seen.by_product(NOVEMBER)
    assert total.by_basis == (("guessed", 2.0), ("weighed", 4.0))


def test_a_count_stands_beside_what_the_records_say(ledger: Ledger) -> None:
    record(ledger, [draft("receive", "acetone", "10 kg"), draft("receive", "acetone", "5 kg", lot="L2")])
    record(ledger, [draft("use", "acetone", "1 kg"), draft("weigh", "acetone", "8.5 kg", way="count")])
    with view(ledger) as seen:
        (sheet,) = seen.balance(NOVEMBER)
    assert isinstance(sheet.counted, Unknown)  # lot L2 has not been counted
    record(ledger, [draft("weigh", "acetone", "5 kg", way="count", lot="L2")])
    with view(ledger) as seen:
        (sheet,) = seen.balance(NOVEMBER)
    assert (sheet.closing, sheet.counted) == (14.0, 13.5)


# ---------------------------------------------------------------- months


def test_months() -> None:
    assert months_back("2026-01", 1) == "2025-12"
    assert months_back("2026-11", 11) == "2025-12"
    assert months_back("2025-12", -1) == "2026-01"
    assert months_of(Period("2025-11", "2026-02")) == ["2025-11", "2025-12", "2026-01", "2026-02"]


def test_the_rolling_year_ends_with_the_month_and_holds_twelve(ledger: Ledger) -> None:
    record(ledger, [draft("receive", "acetone", "100 kg", when="2024-01-01")])
    # one kilogram on the first and the last day of each of two years
    days = [f"{year}-{month:02d}-{day}" for year in (2025,) for month in range(1, 13) for day in ("01", "28")]
    record(ledger, [draft("use", "acetone", "1 kg", when=day) for day in days])
    with view(ledger) as seen:
        rolling = seen.by_product(Period("2024-12", "2026-12"), span=12)
    assert {t.last: t.mass for t in rolling} == {
        **{f"2025-{m:02d}": 2.0 * m for m in range(1, 13)},
        **{f"2026-{m:02d}": 24.0 - 2.0 * m for m in range(1, 12)},  # nothing is left by the end of 2026
    }
    assert (rolling[0].first, rolling[0].last) == ("2024-02", "2025-01")


def test_a_day_counts_in_the_month_of_the_shops_own_clock(ledger: Ledger) -> None:
    record(ledger, [draft("receive", "acetone", "10 kg", when="2026-10-01")])
    late = replace(
        draft("use", "acetone", "1 kg"), day="2026-10-31", happened="2026-10-31T23:30:00-05:00"
    )  # UTC: November
    record(ledger, [late])
    with view(ledger) as seen:
        assert [t.last for t in seen.by_product(YEAR)] == ["2026-10"]
        assert str(seen.begins) == "2026-10-01"


# ---------------------------------------------------------------- properties

PRODUCTS = {p.id: p for p in (WASH, ACETONE, STRIPPER)}
lines_of = st.lists(
    st.tuples(
        st.sampled_from(["receive", "use", "return stock", "return supplier", "waste job"]),
        st.sampled_from(sorted(PRODUCTS)),
        st.integers(1, 10**6),
        st.sampled_from(["mg", "mL", "g", "US_fl_oz"]),
        st.integers(0, 15),
    ),
    min_size=1,
    max_size=8,
)


def drafts_of(lines: list[tuple[str, str, int, str, int]]) -> list[Any]:
    made = []
    for number, (what, name, amount, unit, month) in enumerate(lines):
        kind, _, way = what.partition(" ")
        when = f"{2025 + month // 12}-{month % 12 + 1:02d}-15"
        texts = {"anyway": "drawn by chance", **({"way": way} if way else {})}
        made.append(draft(kind, name, f"{amount} {unit}", when=when, key=f"k{number}", **texts))
    return made


PERIOD = Period("2025-01", "2026-12")


def by_hand(seen: Any) -> dict[tuple[str, str], tuple[Fraction, int]]:
    """The used mass of each month and product, added up from the entries in fractions."""
    sums: dict[tuple[str, str], tuple[Fraction, int]] = defaultdict(lambda: (Fraction(0), 0))
    for entry in seen.entries(PERIOD):
        sign = {("use", ""): 1, ("return", "to stock"): -1}.get((entry.kind, entry.way))
        if sign:
            mass, unknown = sums[entry.day.isoformat()[:7], entry.product]
            if isinstance(entry.mass, Unknown):
                sums[entry.day.isoformat()[:7], entry.product] = mass, unknown + (-1 if entry.reverses else 1)
            else:
                sums[entry.day.isoformat()[:7], entry.product] = (
                    mass + sign * Fraction(round(entry.mass * 10**9)),
                    unknown,
                )
    return dict(sums)


@cache
def empty() -> bytes:
    """A new ledger's file: copying it is quicker than making hundreds."""
    with TemporaryDirectory() as folder:
        with open_at("sqlite:///x.db", Path(folder), "S", create=True):
            pass
        return (Path(folder) / "x.db").read_bytes()


def scratch(check: Callable[[Ledger], None]) -> None:
    with TemporaryDirectory() as folder:
        (Path(folder) / "x.db").write_bytes(empty())
        with open_at("sqlite:///x.db", Path(folder), "S") as ledger:
            ledger.connection.exec_driver_sql("PRAGMA synchronous = OFF")  # nobody needs these later
            check(ledger)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(lines_of, st.randoms(use_true_random=False))
def test_totals_are_the_sum_of_the_entries_in_any_order(lines: Any, random: Any) -> None:
    seen_totals = []

    def check(ledger: Ledger) -> None:
        shuffled = drafts_of(lines)
        random.shuffle(shuffled)
        for one in shuffled:
            record(ledger, [replace(one, again=True)])
        with view(ledger) as seen:
            monthly = {(t.last, t.product): (t.mass, t.mass_unknown) for t in seen.by_product(PERIOD)}
            expected = by_hand(seen)
            assert monthly == {key: (float(mass) / 10**9, unknown) for key, (mass, unknown) in expected.items()}
            for total in seen.by_product(PERIOD, span=12):
                window = {months_back(total.last, n) for n in range(12)}
                own = sum(
                    mass for (month, name), (mass, _) in expected.items() if name == total.product and month in window
                )
                assert total.mass == float(own) / 10**9
            substances = {(t.last, t.cas): (t.low, t.mid, t.high) for t in seen.by_substance(PERIOD)}
            editions: dict[str, Edition] = {e.product: e for e in seen.editions().values()}
            for (month, cas), (low, mid, high) in substances.items():
                own_parts = [
                    (float(mass) / 10**9, part)
                    for (when, name), (mass, _) in expected.items()
                    for part in editions[name].parts
                    if when == month and part.cas == cas
                ]
                assert low == pytest.approx(fsum(m * p.low for m, p in own_parts), rel=1e-12, abs=1e-15)
                assert mid == pytest.approx((low + high) / 2, rel=1e-12, abs=1e-15)
            seen_totals.append((monthly, substances, seen.balance(PERIOD)))

    scratch(check)
    scratch(check)
    assert seen_totals[0] == seen_totals[1]


def figures(sheet: Balance) -> tuple[float, ...]:
    names = ("received", "used", "returned", "waste_from_stock", "waste_from_jobs", "closing", "lost")
    return tuple(getattr(sheet, name) for name in names)


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(lines_of)
def test_the_balances_of_the_months_add_up_to_that_of_the_years(lines: Any) -> None:
    """What flows adds up, what a month leaves the next one begins with, and what is lost is what was used and not wasted."""

    def check(ledger: Ledger) -> None:
        record(ledger, [replace(d, again=True) for d in drafts_of(lines)])
        with view(ledger) as seen:
            whole = {s.product: s for s in seen.balance(PERIOD)}
            months = [{s.product: s for s in seen.balance(Period(m, m))} for m in months_of(PERIOD)]
        for one, years in whole.items():
            own = [month[one] for month in months if one in month]
            for name in (
                "received",
                "used",
                "returned",
                "waste_from_stock",
                "waste_from_jobs",
                "solvent_in_waste",
                "lost",
            ):
                assert getattr(years, name) == pytest.approx(fsum(getattr(m, name) for m in own), rel=1e-9, abs=1e-12)
            assert years.closing == pytest.approx(own[-1].closing, rel=1e-9, abs=1e-12)
            assert own[0].opening == pytest.approx(years.opening, abs=1e-12)
            assert years.lost == pytest.approx(years.used - years.solvent_in_waste, rel=1e-9, abs=1e-9)
            for earlier, later in pairwise(own):
                assert earlier.closing == pytest.approx(later.opening, rel=1e-9, abs=1e-12)

    scratch(check)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(lines_of, st.data())
def test_correcting_and_correcting_again_keeps_the_balance(lines: Any, data: st.DataObject) -> None:
    """After any chain of corrections the balance is that of a ledger in which the last wording was entered at once."""
    drafts = drafts_of(lines)

    def check(ledger: Ledger) -> None:
        record(ledger, drafts)
        final = {d.key: d for d in drafts}
        newest = {d.key: d.key for d in drafts}
        for _ in range(data.draw(st.integers(1, 6))):
            key = data.draw(st.sampled_from(sorted(newest)))
            if final[key] is None:
                continue  # withdrawn
            base = draft_of(ledger, newest[key])
            amount = data.draw(st.integers(1, 10**6))
            unit = data.draw(st.sampled_from(["mL", "g"]))
            better = None
            if data.draw(st.booleans()):
                texts = {"anyway": "drawn by chance", **_texts(base)}
                better = replace(
                    draft(base.kind, base.product.product, f"{amount} {unit}", **texts), day=base.day, happened=""
                )
            stored = correct(ledger, newest[key], better, "Lee", "test")
            final[key] = better
            newest[key] = stored[-1].entry.key
        with view(ledger) as seen:
            corrected = {s.product: s for s in seen.balance(PERIOD)}
            totals = [t for t in seen.by_product(PERIOD) if t.entries or t.mass or t.mass_unknown]

        def at_once(other: Ledger) -> None:
            record(other, [replace(d, key=k, again=True) for k, d in final.items() if d is not None])
            with view(other) as seen:
                assert totals == [t for t in seen.by_product(PERIOD) if t.entries or t.mass or t.mass_unknown]
                plain = {s.product: s for s in seen.balance(PERIOD)}
            for name, sheet in corrected.items():
                if name in plain:
                    assert figures(sheet) == figures(plain[name])
                    assert sheet.unknown == plain[name].unknown
                else:  # all of it was withdrawn
                    assert set(figures(sheet)) == {0.0}

        scratch(at_once)

    scratch(check)


def _texts(base: Any) -> dict[str, str]:
    way = {"to stock": "stock", "to supplier": "supplier", "from job": "job", "from stock": "stock"}.get(base.way)
    return {**({"way": way} if way else {}), **({"anyway": base.anyway} if base.anyway else {})}


# ---------------------------------------------------------------- weighed jobs


def test_rates_of_weighed_jobs_are_what_the_lines_give_by_hand(ledger: Ledger) -> None:
    """One job on one day counts once; what is guessed, has no area or no job, or was taken back does not count."""
    chance = Random(11)
    record(ledger, [draft("receive", name, "900 kg") for name in ("wash", "acetone")])
    by_hand: dict[tuple[str, str], dict[tuple[str, str], list[tuple[float, float]]]] = defaultdict(dict)
    lines = []
    for number in range(60):
        name, step, job = (
            chance.choice(["wash", "acetone"]),
            chance.choice(["Wipe", "Rinse"]),
            chance.choice(["a", "b"]),
        )
        day, grams, area = (
            f"2026-11-{chance.randint(1, 4):02d}",
            chance.randint(40, 400),
            chance.choice([0.5, 1.0, 2.0]),
        )
        odd = chance.choice([{}, {}, {}, {"basis": "guessed"}, {"area": ""}, {"job": ""}, {"taken back": "yes"}])
        texts = {
            "basis": "weighed",
            "job": job,
            "step": step,
            "area": f"{area} m2",
            "when": day,
            "key": f"line-{number}",
        }
        lines.append(draft("use", name, f"{grams} g", **{**texts, **{k: v for k, v in odd.items() if k in texts}}))
        if not odd:
            by_hand[name, step].setdefault((job, day), []).append((grams / 1000, area))
        if "taken back" in odd:
            lines[-1] = replace(lines[-1], key=f"wrong-{number}")
    record(ledger, lines)
    for line in lines:
        if line.key.startswith("wrong"):
            correct(ledger, line.key, None, "Kim", "never happened")
    with view(ledger) as seen:
        rates = {(rate.product, rate.step): rate for rate in seen.weighed_rates()}
    assert sorted(rates) == sorted(by_hand)
    for key, jobs in by_hand.items():
        each = [fsum(mass for mass, _ in uses) / fsum(area for _, area in uses) for uses in jobs.values()]
        rate = rates[key]
        assert rate.jobs == len(each)
        assert (rate.median, rate.least, rate.most) == pytest.approx((median(each), min(each), max(each)), rel=1e-12)
    assert {rate.jobs % 2 for rate in rates.values()} == {0, 1}, "both kinds of median are tried"
