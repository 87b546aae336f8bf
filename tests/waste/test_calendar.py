"""Days, months and limits. Dates counted with a calendar; rules: 40 CFR 261.4, 262.13 to 262.17."""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone
from typing import Any

import pytest
from safety_waste import fill, month
from safety_waste.due import Due, due

from safety.formulas.waste import generator_category
from safety.model import Container
from tests.waste.made_up import GALLON, US, container, ledger, line, rules, shop, threshold, with_pack

FED = rules(*US)


def last(one: Container, lines: Any = (), on: str = "2026-12-31", rules_: Any = FED, **settings: Any) -> date | None:
    book, day, here = ledger(lines), date.fromisoformat(on), shop(one, settings=settings)
    fills = fill.on(day, here, rules_, book)
    held = month.on_site(fills.values(), rules_)[0]
    return due(fills[one.id], month.months(book, here, rules_, day), day, here, rules_, held).last


# ---------------------------------------------------------------- last days


@pytest.mark.parametrize(
    ("started", "expected"),
    [
        (date(2026, 8, 31), "2027-02-27"),  # over a month's end and a year's end
        (date(2027, 9, 2), "2028-02-29"),  # onto a leap day
        (date(2027, 9, 3), "2028-03-01"),
        (date(2026, 9, 2), "2027-03-01"),  # the same in a common year
        (datetime(2026, 11, 2, 23, 59), "2027-05-01"),  # a minute before midnight is still that day
        (datetime(2026, 11, 3, 0, 0), "2027-05-02"),
    ],
)
def test_wipes_have_180_days_from_the_day_the_container_was_started(started: date, expected: str) -> None:
    # 40 CFR 261.4(b)(18)(ii)
    rags = container("rags", "satellite", "wet-cloths", started=started)
    assert last(rags, on="2028-01-01") == date.fromisoformat(expected)


@pytest.mark.parametrize(
    ("on", "words", "near"),
    [
        (date(2026, 4, 29), "2026-05-30, 31 days left", False),  # waste-warning: 30 days, at or under
        (date(2026, 4, 30), "2026-05-30, 30 days left", True),
        (date(2026, 5, 30), "2026-05-30, today is the last day", True),  # 40 CFR 262.17(a): no more than 90 days
        (date(2026, 5, 31), "over since 2026-05-30", True),
    ],
)
def test_the_last_day_is_still_a_day(on: date, words: str, near: bool) -> None:
    clock = Due(date(2026, 5, 30), "")
    assert clock.words(on) == words
    assert clock.near(on, FED) is near


@pytest.mark.parametrize(
    ("kilograms", "miles", "days"),
    [
        (100.0, None, None),  # very small: no clock
        (100.1, None, 180),  # 40 CFR 262.16(b)
        (999.9, 199.0, 180),
        (999.9, 200.0, 270),  # 40 CFR 262.16(c): 200 miles or more
        (1000.0, 200.0, 90),  # 40 CFR 262.17(a)
    ],
)
def test_the_clock_of_a_central_container_follows_the_category(
    kilograms: float, miles: float | None, days: int | None
) -> None:
    settings = {} if miles is None else {"waste_facility_miles": miles}
    found = last(container("drum"), [line("2026-11-30", mass=kilograms)], **settings)
    assert found == (None if days is None else date(2026, 11, 30) + timedelta(days=days))


def test_the_strictest_month_since_the_start_rules() -> None:
    lines = [line("2026-10-31", mass=1200.0), line("2026-11-01", mass=1.0)]
    assert last(container("drum"), lines) == date(2027, 1, 29)  # 90 days from 31 October


@pytest.mark.parametrize(
    ("heavy", "found"), [("2026-09", "VSQG"), ("2026-10", "LQG"), ("2026-11", "LQG"), ("2026-12", "VSQG")]
)
def test_the_month_of_the_start_and_the_month_of_the_day_both_count(heavy: str, found: str) -> None:
    # 40 CFR 262.13: a category is of a calendar month; waste is in the container from its first month to this one
    months = {heavy: month.Month(heavy, counted=1000.0)}
    assert month.strictest(months, "2026-10", "2026-11", FED) == found


def test_a_very_small_generator_with_a_ton_on_site_gets_the_clock_of_a_small_one() -> None:
    # 40 CFR 262.14(a)(4): from 1000 kg on site on
    lines = [line(f"2026-{m:02d}-15", mass=100.0) for m in range(1, 11)]
    assert last(container("drum"), lines, on="2026-10-20") == date(2026, 1, 15) + timedelta(days=180)
    assert last(container("drum"), lines[:9], on="2026-10-20") is None


@pytest.mark.parametrize(("gallons", "over"), [(55.0, False), (55.01, True)])
def test_satellite_containers_of_one_area_count_together(gallons: float, over: bool) -> None:
    # 40 CFR 262.15(a)(6): over 55 gal, three consecutive calendar days; full on a Thursday, gone by Sunday
    one, other = container("a", "satellite", area="bay"), container("b", "satellite", area="bay")
    lines = [line("2026-05-04", "a", volume=30 * GALLON), line("2026-05-07", "b", volume=(gallons - 30) * GALLON)]
    here, day = shop(one, other), date(2026, 5, 8)
    fills = fill.on(day, here, FED, ledger(lines))
    found = due(fills["b"], {}, day, here, FED)
    assert found.last == (date(2026, 5, 10) if over else None)
    assert date(2026, 5, 10).weekday() == 6


def test_the_three_days_begin_anew_after_a_shipment() -> None:
    drum = container("a", "satellite")
    lines = [
        line("2026-05-07", "a", volume=60 * GALLON),
        line("2026-05-09", "a", kind="ship", receiver="Carrier"),
        line("2026-06-01", "a", volume=1 * GALLON),
    ]
    found = fill.on(date(2026, 6, 2), shop(drum), FED, ledger(lines))["a"]
    assert (found.over_since, found.started) == (None, date(2026, 6, 1))


@pytest.mark.parametrize(("ahead", "named"), [(31, False), (30, True), (0, True), (-1, True)])
def test_a_last_day_is_named_thirty_days_ahead(ahead: int, named: bool) -> None:
    rags = container("rags", "satellite", "wet-cloths", started=date(2026, 6, 1))
    day = date(2026, 11, 28) - timedelta(days=ahead)  # 180 days from 1 June
    found = due(fill.on(day, shop(rags), FED, None)["rags"], None, day, shop(rags), FED)
    assert found.last == date(2026, 11, 28)
    assert found.near(day, FED) is named


# ---------------------------------------------------------------- what is in a container


def test_a_shipment_empties_and_the_next_filling_starts_the_clock() -> None:
    lines = [line("2026-09-30", mass=50.0), line("2026-10-31", kind="ship", receiver="Carrier"), line("2026-11-01")]
    found = fill.on(date(2026, 11, 30), shop(container("drum", started=date(2026, 9, 30))), FED, ledger(lines))["drum"]
    assert (found.started, found.mass) == (date(2026, 11, 1), 1.0)


def test_what_goes_into_another_container_stays_on_site_and_is_counted_once() -> None:
    here = shop(container("can", "satellite"), container("drum"))
    lines = [line("2026-11-03", "can", mass=8.0), line("2026-11-20", "can", mass=8.0, kind="ship", receiver="drum")]
    fills = fill.on(date(2026, 11, 30), here, FED, ledger(lines))
    assert (fills["can"].mass, fills["drum"].mass, fills["drum"].started) == (0.0, 8.0, date(2026, 11, 20))
    assert month.months(ledger(lines), here, FED, date(2026, 11, 30))["2026-11"].counted == 8.0


def test_a_line_taken_back_is_not_in_it() -> None:
    lines = [line("2026-11-03", mass=5.0, reversed_by="x"), line("2026-11-03", mass=-5.0, reverses="y")]
    assert fill.on(date(2026, 11, 30), shop(container("drum")), FED, ledger(lines))["drum"].empty


# 40 CFR 262.16(b) and 262.17(a) count from the day waste is first put in: that day is the first, and is still "in it".


@pytest.mark.parametrize(("on", "begun"), [(date(2026, 11, 2), False), (date(2026, 11, 3), True)])
def test_a_container_is_started_from_its_first_day_on(on: date, begun: bool) -> None:
    found = fill.on(on, shop(container("drum", started=date(2026, 11, 3))), FED, None)["drum"]
    assert found.started == (date(2026, 11, 3) if begun else None)


@pytest.mark.parametrize(("on", "mass"), [(date(2026, 11, 2), 0.0), (date(2026, 11, 3), 5.0)])
def test_what_goes_in_on_a_day_is_in_it_at_the_end_of_that_day(on: date, mass: float) -> None:
    lines = [line("2026-11-03", mass=5.0)]
    found = fill.on(on, shop(container("drum")), FED, ledger(lines))["drum"]
    assert (found.mass, found.started) == (mass, date(2026, 11, 3) if mass else None)


@pytest.mark.parametrize(
    ("written", "next_"),
    [
        (date(2026, 11, 3), None),  # begun and gone on the same day: that start was the shipped filling's
        (date(2026, 11, 4), date(2026, 11, 4)),  # a start on the morning after is the next filling's
    ],
)
def test_a_start_on_the_day_of_shipping_went_with_the_shipment(written: date, next_: date | None) -> None:
    lines = [line("2026-11-03", mass=5.0), line("2026-11-03", kind="ship", receiver="Carrier")]
    found = fill.on(date(2026, 11, 5), shop(container("drum", started=written)), FED, ledger(lines))["drum"]
    assert (found.empty, found.started) == (True, next_)


def test_waste_put_in_after_the_shipment_of_the_same_day_is_the_next_filling() -> None:
    # lines of one day stand in the order they were recorded in
    lines = [line("2026-11-03", mass=5.0), line("2026-11-03", kind="ship", receiver="Carrier"), line("2026-11-03")]
    for given, mass in ((lines, 1.0), ([lines[0], lines[2], lines[1]], 0.0)):
        found = fill.on(date(2026, 11, 3), shop(container("drum")), FED, ledger(given))["drum"]
        assert (found.mass, found.started) == (mass, date(2026, 11, 3) if mass else None)


# ---------------------------------------------------------------- the calendar month


def test_a_month_ends_at_midnight_by_the_clock_on_the_wall() -> None:
    west = timezone(timedelta(hours=-8))
    late = datetime(2026, 11, 30, 23, 59, tzinfo=west)  # already December in UTC
    lines = [line("2026-11-30", mass=7.0, happened=late), line("2026-12-01", mass=3.0)]
    found = month.months(ledger(lines), shop(container("drum")), FED, date(2026, 12, 31))
    assert {name: m.counted for name, m in found.items()} == {"2026-11": 7.0, "2026-12": 3.0}


@pytest.mark.parametrize(
    ("name", "end"), [("2028-02", "2028-02-29"), ("2027-02", "2027-02-28"), ("2026-12", "2026-12-31")]
)
def test_last_day_of_a_month(name: str, end: str) -> None:
    assert month.last_day_of(name).isoformat() == end


def test_months_of_a_period_cross_the_year() -> None:
    assert month.names_of("2026-11", "2027-02") == ["2026-11", "2026-12", "2027-01", "2027-02"]


@pytest.mark.parametrize("total", [0.0, 99.9, 100.0, 100.1, 999.9, 1000.0, 1500.0])
def test_category_agrees_with_the_published_table(total: float) -> None:
    # the formula is held against 40 CFR 262.13 table 1 and published examples in tests/published/waste.csv
    assert month.category(total, FED)[0] == generator_category(total, 0.0)


def test_a_local_pack_may_know_no_very_small_generator() -> None:
    local = with_pack(threshold("generator-small", 0.0, "kg", "over", "0 kg"))
    found, bound = month.category(0.1, local)
    assert found == "SQG"
    assert bound is not None
    assert bound.pack == "county"


def test_excluded_wipes_and_empty_cans_are_not_counted_and_what_nobody_knows_is() -> None:
    here = shop(container("rags", "satellite", "wet-cloths"), container("cans", "central", "empty-containers"))
    lines = [
        line("2026-11-03", "rags", mass=3.0),
        line("2026-11-03", "cans", mass=4.0),
        line("2026-11-03", "gone", mass=5.0),
    ]
    found = month.months(ledger(lines), here, FED, date(2026, 11, 30))["2026-11"]
    assert (found.wipes, found.empties, found.counted) == (3.0, 4.0, 5.0)
    local = with_pack(tables={"wipes_state": ({"adopted": False, "citation": "County 9", "edition": "2026"},)})
    assert month.months(ledger(lines), here, local, date(2026, 11, 30))["2026-11"].counted == 8.0
