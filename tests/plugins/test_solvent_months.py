"""Which month a record counts in: the first and the last day of a period, and the edges of twelve months.

A month is its calendar days by the clock on the wall. A year rolls: it is twelve months and ends with this one.
"""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import safety_solvent
from safety_solvent import accounts, coatings, credit, eu, factors, limits, log, plans
from safety_solvent.accounts import Books, Sum
from safety_solvent.books import kinds

from safety.cited import Unknown
from safety.model import Flow, InWaste, Period, WeighedRate
from safety.quantities import volume
from safety.reference import load
from tests.waste.made_up import ledger, line

NOVEMBER = Period("2026-11", "2026-11")


def books(period: Period, *months: str) -> Books:
    """One kilogram used in each of the months."""
    flows = [Flow(m, "use", "from stock", "wash", None, "", "weighed", 1.0, 0.0, 1, 0, 0) for m in months]
    return Books(period, tuple(flows), {})


def used(accounts_: Books, period: Period) -> float:
    return sum(one.mid for one in accounts_.used(period).values())


@pytest.mark.parametrize(
    ("month", "inside"),
    [("2026-09", 0.0), ("2026-10", 1.0), ("2026-11", 1.0), ("2026-12", 1.0), ("2027-01", 0.0)],
)
def test_the_first_and_the_last_month_of_a_period_are_in_it(month: str, inside: float) -> None:
    period = Period("2026-10", "2026-12")
    assert used(books(period, month), period) == inside


@pytest.mark.parametrize(("month", "inside"), [("2025-11", 0.0), ("2025-12", 1.0), ("2026-11", 1.0), ("2026-12", 0.0)])
def test_a_rolling_year_holds_twelve_months(month: str, inside: float) -> None:
    book = books(NOVEMBER, month)
    assert used(book, book.rolling) == inside
    assert len(accounts.months(book.rolling)) == 12


@pytest.mark.parametrize(("month", "inside"), [("2025-12", 0.0), ("2026-01", 1.0), ("2026-11", 1.0)])
def test_a_calendar_year_begins_in_january(month: str, inside: float) -> None:
    book = books(NOVEMBER, month)
    assert used(book, book.year) == inside


def test_months_count_over_the_turn_of_the_year() -> None:
    assert accounts.months(NOVEMBER) == ["2026-11"]
    assert accounts.months(Period("2026-12", "2027-01")) == ["2026-12", "2027-01"]
    assert [accounts.month_before("2026-01", n) for n in (0, 1, 12, 13)] == ["2026-01", "2025-12", "2025-01", "2024-12"]


def test_a_chart_of_rolling_years_asks_for_the_first_month_of_the_first_of_them() -> None:
    # the chart ends with the period's last month and has twelve points; the first one's year begins 22 months before
    asked: list[Period] = []

    class Asked:
        begins = None

        def flows(self, period: Period) -> tuple[Flow, ...]:
            asked.append(period)
            return ()

        def editions(self) -> dict[int, Any]:
            return {}

        def in_waste(self, period: Period) -> tuple[InWaste, ...]:
            asked.append(period)
            return ()

    accounts.open_books(NOVEMBER, Asked())  # type: ignore[arg-type]
    assert asked == [Period("2025-01", "2026-11")] * 2


def test_silence_is_not_a_use_of_zero_over_the_whole_period_only(tmp_path: Path) -> None:
    rules = load(("us-federal",), tmp_path, date(2026, 11, 25), [("solvent", safety_solvent.contribute())])
    kind = kinds(rules)[0]
    period = Period("2026-10", "2026-12")
    book = books(period)
    assert not book.kind(period, kind).complete
    assert book.kind(NOVEMBER, kind).complete
    one = Flow("2026-12", "receive", "from maker", "wash", None, "", "weighed", 1.0, 0.0, 1, 0, 0)
    assert Books(period, (one,), {}).kind(period, kind).complete


@pytest.mark.parametrize(
    ("start", "inside"),
    [
        (datetime(2026, 10, 31, 23, 59), False),
        (datetime(2026, 11, 1, 0, 0), True),
        (datetime(2026, 11, 30, 23, 59), True),
        (datetime(2026, 12, 1, 0, 0), False),
    ],
)
def test_a_job_is_of_the_month_it_starts_in(make_job: Any, start: datetime, inside: bool) -> None:
    found = plans.of_period(NOVEMBER, ledger([]), (make_job(start=start),), {})
    assert bool(found) is inside


@pytest.mark.parametrize(("until", "still"), [(date(2026, 11, 9), True), (date(2026, 11, 10), False)])
def test_a_job_on_the_last_recorded_day_is_no_longer_ahead(make_job: Any, until: date, still: bool) -> None:
    planned = plans.of_period(NOVEMBER, ledger([]), (make_job(start=datetime(2026, 11, 10, 8, 0)),), {})
    assert bool(plans.ahead(planned, until)) is still


def test_silent_weekdays_from_the_first_of_the_month_to_the_last_record(make_job: Any) -> None:
    # 1 December 2026 is a Tuesday; the 3rd has a record, the 5th and 6th are a weekend, the 9th has the last record
    december = Period("2026-12", "2026-12")
    book = ledger([line("2026-11-20"), line("2026-12-03"), line("2026-12-09")])
    jobs = tuple(make_job(start=datetime(2026, 12, day, 8, 0)) for day in (8, 9, 10))
    planned = plans.of_period(december, book, jobs, {})
    until = plans.last_day(december, book)
    assert until == date(2026, 12, 9)
    assert plans.missing_days(books(december), book, planned, until).lines[:-1] == (
        "2026-12-08: a job was planned and nothing was recorded.",
        "2026-12: 5 weekdays without a record: 1 to 2, 4 to 8.",
    )


def test_a_job_s_solvent_is_known_where_every_product_recorded_is(
    make_job: Any, make_step: Any, make_use: Any, make_product: Any, tmp_path: Path
) -> None:
    """Toluene is VOC (40 CFR 51.100(s)) and HAP (42 USC 7412(b)), and not exempt: no row for what there is none of."""
    rules = load(("us-federal",), tmp_path, date(2026, 11, 25), [("solvent", safety_solvent.contribute())])
    job = make_job(make_step("wipe", make_use(make_product("wash"))), start=datetime(2026, 11, 10, 8, 0))

    def costs(*products: str) -> dict[str, str]:
        book = ledger([line("2026-11-10", kind="use", job=job.id, product=p, name=p) for p in products])
        planned = plans.of_period(NOVEMBER, book, (job,), {})
        grid = plans.grid(planned, date(2026, 11, 10), rules, "si")
        assert grid is not None
        return {row[3]: row[5] for row in grid.rows if row[3].endswith("of the job")}

    assert costs("wash") == {"VOC of the job": "1 kg", "HAP of the job": "1 kg"}
    unknown = costs("wash", "nobody's")
    assert unknown["VOC of the job"] == "1 kg + UNKNOWN"
    assert "UNKNOWN" in unknown["exempt of the job"]


@pytest.mark.parametrize(
    ("used_up", "waste", "emitted"), [(3.0, 1.0, 2.0), (1.0, 3.0, 0.0), (0.0, 1.0, 0.0), (-1.0, 1.0, -1.0)]
)
def test_waste_is_credited_up_to_what_was_used(used_up: float, waste: float, emitted: float) -> None:
    """A balance in the form of 40 CFR 63.3951(e), H = A + B + C - R. A correction may leave less than nothing: our choice."""
    assert credit.emitted(used_up, waste) == emitted


def test_uses_of_unknown_volume_are_said_and_nothing_is_taken_off_them() -> None:
    flows = (
        Flow("2026-11", "use", "from stock", "wash", None, "", "weighed", 1.0, 0.0, 1, 0, 1),
        Flow("2026-11", "return", "to stock", "wash", None, "", "weighed", 1.0, 1e-3, 1, 0, 0),
    )
    (found,) = Books(NOVEMBER, flows, {}).volumes("2026-11").values()
    assert (found.mid, found.complete) == (0.0, False)


@pytest.mark.parametrize(
    ("used_up", "unknown", "left", "state"),
    [
        (99.0, (), "1 kg", "within"),
        (100.0, (), "nothing", "within"),  # an "over" limit that is met exactly is not broken, and full
        (101.0, (), "nothing", "over"),
        (99.0, ("a can",), "at most 1 kg", "UNKNOWN: not all is counted"),
        (100.0, ("a can",), "nothing", "UNKNOWN: not all is counted"),
    ],
)
def test_a_limit_that_is_full_has_nothing_left(used_up: float, unknown: tuple[str, ...], left: str, state: str) -> None:
    so_far = Sum(used_up, used_up, used_up, unknown)
    cap = limits.Cap(
        "limit", "VOC", "VOC", "month", 100.0, "kg", "over", "100 kg", "a rule", so_far, Sum(0.0, 0.0, 0.0)
    )
    (row,) = limits.grid([cap], "si").rows
    assert (row[4], row[7]) == (left, state)


@pytest.mark.parametrize(("cubic_metres", "text"), [(1e-3, "1 L"), (0.999e-3, "999 mL")])
def test_a_litre_is_a_litre(cubic_metres: float, text: str) -> None:
    assert volume(cubic_metres, "si") == text


def test_a_coating_none_of_which_was_used_has_no_average(make_product: Any, tmp_path: Path) -> None:
    """40 CFR 63.750(f): an average over the volumes used; over none there is none."""
    rules = load(("us-federal",), tmp_path, date(2026, 11, 25), [("solvent", safety_solvent.contribute())])
    primer = make_product("primer", purpose="primer", coating="primer")
    assert len(coatings.averages([(primer, 1e-3)], rules)) == 1
    assert coatings.averages([(primer, 0.0)], rules) == []


@pytest.mark.parametrize(("jobs", "enough"), [(2, False), (3, True)])
def test_three_jobs_are_enough_where_no_pack_says_how_many(jobs: int, enough: bool) -> None:
    """Our choice, no source."""
    seen: Any = SimpleNamespace(weighed_rates=lambda products: (WeighedRate("wash", "wipe", jobs, 0.5, 0.4, 0.6),))
    silent: Any = SimpleNamespace(threshold=lambda name: Unknown(f"no pack gives {name}"))
    (found,) = factors.own(seen, silent).values()
    assert (found.jobs, found.enough) == (jobs, enough)


def test_nothing_used_has_no_shares(tmp_path: Path) -> None:
    """A record without a known mass leaves a total of nothing: a share of it would be a division by zero."""
    rules = load(("us-federal",), tmp_path, date(2026, 11, 25), [("solvent", safety_solvent.contribute())])
    nothing = Flow("2026-11", "use", "from stock", "wash", None, "", "weighed", 0.0, 0.0, 1, 0, 0)
    book, metric = Books(NOVEMBER, (nothing,), {}), SimpleNamespace(print_units="si")
    assert [row[-1] for row in log._products(book, metric).rows] == [""]  # type: ignore[arg-type]
    (text,) = log._known(book, (), rules, "si").lines
    assert "0 kg, 0 % of the total" in text
    balance = dict.fromkeys(("I1", "I2", "O1", "O2", "O3", "O4", "O5", "O6", "O7", "O8", "O9"), 0.0)
    assert [row[0] for row in eu._results(balance)] == ["I", "C", "F", "F", "E"]
    assert eu._results(balance | {"I1": 1.0})[-1][0] == "F/I"
