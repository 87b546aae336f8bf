"""Recording: once each, refused where a lot speaks against it, corrected by reversal and never changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy.exc import DBAPIError

from safety.cited import Unknown
from safety.ledger import tables
from safety.ledger.corrections import correct, draft_of
from safety.ledger.entries import Refused, Stored, record
from safety.ledger.lots import lot_of
from safety.ledger.sheets import freeze, sign
from safety.ledger.store import Ledger, writing
from safety.ledger.view import view
from safety.model import Entry, Period
from safety.problems import Problems
from tests.ledger.made_up import NOW, SHOP, STRIPPER, WASH, draft, product

ALWAYS = Period("2000-01", "2099-12")


def all_entries(ledger: Ledger) -> tuple[Entry, ...]:
    with view(ledger) as seen:
        return seen.entries(ALWAYS)


def one(ledger: Ledger, kind: str, *words: str, **texts: str) -> Stored:
    return record(ledger, [draft(kind, *words, **texts)])[0]


def refusal(ledger: Ledger, *drafts: Any) -> list[str]:
    with pytest.raises(Refused) as caught:
        record(ledger, drafts)
    return [f"{mistake.field}: {mistake.wrong}" for _, mistake in caught.value.mistakes]


# ---------------------------------------------------------------- what is kept


def test_a_use_is_kept_with_all_that_was_said(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L", expires="2027-01-31")
    when = "2026-11-24 07:30"
    texts = {"job": "boots", "step": "wipe", "operation": "hand-wipe", "area": "1.5 m^2", "note": "cold", "when": when}
    line = one(ledger, "use", "wash", "250 mL", **texts).entry
    assert (line.mass, line.volume, line.density, line.typed) == (0.2175, 0.00025, 870.0, "250 mL")
    assert (line.job, line.step, line.operation, line.area, line.note) == ("boots", "wipe", "hand-wipe", 1.5, "cold")
    assert (line.shop, line.who, line.lot, line.basis) == ("North yard", "Pat", "L1", "measured")
    assert line.happened is not None
    assert line.happened.isoformat().startswith("2026-11-24T07:30:00")
    assert line.happened.utcoffset() is not None
    assert line.recorded.utcoffset() == timedelta(0)


def test_a_day_without_a_time_keeps_no_made_up_time(ledger: Ledger) -> None:
    line = one(ledger, "receive", "wash", "4 L", when="2026-11-02").entry
    assert (line.day.isoformat(), line.happened) == ("2026-11-02", None)


def test_without_a_density_the_mass_is_unknown(ledger: Ledger) -> None:
    one(ledger, "receive", "stripper", "4 L")
    line = one(ledger, "use", "stripper", "250 mL").entry
    assert isinstance(line.mass, Unknown)
    assert line.volume == 0.00025
    with writing(ledger) as connection:
        assert connection.exec_driver_sql("SELECT mass_ug, volume_nl FROM entry WHERE kind = 'use'").one() == (
            None,
            250_000_000,
        )


def test_later_edits_of_a_product_do_not_change_what_was_recorded(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L")
    one(ledger, "use", "wash", "1 L")
    edited = replace(SHOP, products={"wash": replace(WASH, density=900.0, parts=WASH.parts[:1])})
    record(ledger, [replace(draft("use", "wash", "1 L", edited), again=True)])
    first, second = (e for e in all_entries(ledger) if e.kind == "use")
    assert (first.mass, second.mass) == (0.87, 0.9)
    with view(ledger) as seen:
        editions = seen.editions()
    assert [len(editions[e.edition].parts) for e in (first, second) if e.edition] == [2, 1]
    assert editions[first.edition or 0].parts == WASH.parts


# ---------------------------------------------------------------- append-only


@pytest.mark.parametrize("table", [t.name for t in (*tables.ENTRIES, *tables.SHEETS, tables.chain)])
def test_the_database_itself_refuses_to_change_or_delete_a_line(ledger: Ledger, table: str) -> None:
    fill(ledger)
    column = next(c for c in tables.metadata.tables[table].columns if not c.primary_key).name
    statements = [f"UPDATE {table} SET {column} = {column}", f"DELETE FROM {table}"]
    if ledger.connection.dialect.name == "sqlite":
        # these delete a line by way of inserting one
        statements += [
            f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}",
            f"REPLACE INTO {table} SELECT * FROM {table}",
        ]
    else:
        statements += [f"TRUNCATE {table} CASCADE"]
    before = ledger.connection.exec_driver_sql(f"SELECT * FROM {table}").all()
    assert before
    for statement in statements:
        with pytest.raises(DBAPIError, match=f"{table} is append-only"):
            ledger.connection.exec_driver_sql(statement)
    assert ledger.connection.exec_driver_sql(f"SELECT * FROM {table}").all() == before


def fill(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L")
    one(ledger, "waste", "wash", "1 L", way="job")
    number = freeze(ledger, {"shop.toml": "x"}, "{}", version="1", seed=1, draws=2)
    sign(ledger, number, "Pat", "technician", NOW)


def test_a_line_cannot_be_replaced_by_its_key(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L", key="k")
    columns = ", ".join(c.name for c in tables.entry.columns if c.name != "id")
    replace_ = "INSERT OR REPLACE" if ledger.connection.dialect.name == "sqlite" else "INSERT"
    with pytest.raises(DBAPIError, match=r"append-only|duplicate key"):
        ledger.connection.exec_driver_sql(f"{replace_} INTO entry ({columns}) SELECT {columns} FROM entry")
    assert len(all_entries(ledger)) == 1


def test_what_the_database_refuses_is_told_in_words(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L")
    with (
        pytest.raises(Problems, match="cannot be changed or deleted; record a correction instead"),
        writing(ledger) as c,
    ):
        c.exec_driver_sql("DELETE FROM entry")


# ---------------------------------------------------------------- once each


def test_the_same_key_counts_once(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L")
    first = one(ledger, "use", "wash", "250 mL", key="a1")
    later = replace(draft("use", "wash", "250 mL", key="a1"), day="2026-11-26", happened="2026-11-26T00:01:00+00:00")
    again = record(ledger, [later])[0]  # a retry after midnight
    assert (first.new, again.new) == (True, False)
    assert again.entry == first.entry
    assert len(all_entries(ledger)) == 2


def test_a_key_does_not_hide_another_record(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L")
    one(ledger, "use", "wash", "250 mL", key="a1")
    assert refusal(ledger, draft("use", "wash", "260 mL", key="a1")) == ['key: the key "a1" belongs to another record']


def test_a_blind_retry_does_not_count_and_a_second_real_use_can(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L")
    one(ledger, "use", "wash", "250 mL", key="a1")
    like = draft("use", "wash", "250 mL")
    assert refusal(ledger, like) == ['again: the same is recorded on that day already, with the key "a1"']
    assert record(ledger, [replace(like, again=True)])[0].new
    assert one(ledger, "use", "wash", "250 mL", when="2026-11-25 08:00").new  # another time is another use
    assert one(ledger, "use", "wash", "250 mL", when="2026-11-24").new
    assert sum(e.kind == "use" for e in all_entries(ledger)) == 4


def test_all_are_stored_or_none(ledger: Ledger) -> None:
    good, bad, worse = (
        draft("receive", "wash", "4 L"),
        draft("use", "wash", "1 L", lot="L9"),
        draft("use", "acetone", "1 L"),
    )
    assert refusal(ledger, good, bad, worse) == [
        'lot: lot "L9" of wash was never received',
        'lot: lot "L1" of acetone was never received',
    ]
    assert all_entries(ledger) == ()


def test_a_dry_run_says_what_would_happen_and_stores_nothing(ledger: Ledger) -> None:
    stored = record(ledger, [draft("use", "wash", "1 L"), draft("receive", "wash", "4 L")], dry_run=True)
    assert [s.new for s in stored] == [True, True]
    assert all_entries(ledger) == ()


# ---------------------------------------------------------------- lots


def test_what_is_left_in_a_lot(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L", expires="2027-01-31")
    one(ledger, "open", "wash", expires="2026-12-20")
    one(ledger, "use", "wash", "1 L")
    one(ledger, "return", "wash", "0.25 L", way="stock")
    one(ledger, "return", "wash", "0.5 L", way="supplier")
    one(ledger, "waste", "wash", "1 L", way="job")  # has left the lot already, as use
    one(ledger, "waste", "wash", "0.1 L", way="stock", lot="L1")
    lot = lot_of(ledger.connection, "wash", "L1")
    assert lot.volume == 0.00265
    assert lot.mass == pytest.approx(0.00265 * 870, abs=1e-12)
    assert (str(lot.opened), str(lot.expires)) == ("2026-11-25", "2026-12-20")  # opening set the nearer date


@pytest.mark.parametrize(
    ("expires", "when", "against"),
    [
        ("2026-11-24", "2026-11-25", 'lot "L1" expired on 2026-11-24'),
        ("2026-11-25", "2026-11-25", ""),  # the last day on the label is still good
        ("none", "2026-11-25", ""),
        ("unknown", "2026-11-25", 'nobody knows when lot "L1" expires'),
    ],
)
def test_an_expired_lot_is_refused_unless_said_on_purpose(
    ledger: Ledger, expires: str, when: str, against: str
) -> None:
    one(ledger, "receive", "wash", "4 L", expires=expires, when="2026-01-02")
    if against:
        assert refusal(ledger, draft("use", "wash", "1 L", when=when)) == [f"lot: {against}"]
        line = one(ledger, "use", "wash", "1 L", when=when, anyway="retested").entry
        assert (line.against, line.anyway) == (against, "retested")
    else:
        assert one(ledger, "use", "wash", "1 L", when=when).entry.against == ""


def test_a_use_of_no_lot_needs_a_reason(ledger: Ledger) -> None:
    line = one(ledger, "use", "wash", "1 L", lot="", anyway="label washed off").entry
    assert (line.lot, line.against) == ("", "nobody knows which lot this is from")


def test_two_deliveries_of_a_lot_bear_one_date(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L", expires="2027-01-31")
    one(ledger, "receive", "wash", "2 L", expires="2027-01-31")
    assert refusal(ledger, draft("receive", "wash", "2 L", expires="2027-02-28")) == [
        'expires: lot "L1" came with the date 2027-01-31'
    ]


def test_what_was_weighed_out_and_in_is_a_weighed_use(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L")
    assert refusal(ledger, draft("weigh", "wash", "1 kg", way="in")) == ['way: nothing of lot "L1" is weighed out']
    out = one(ledger, "weigh", "wash", "1.512 kg", way="out", job="boots", step="wipe", area="2 m^2").entry
    assert isinstance(out.volume, Unknown)  # can and all
    assert refusal(ledger, draft("weigh", "wash", "1.6 kg", way="in")) == [
        "amount: the can was lighter when it went out (1.512 kg)"
    ]
    use = one(ledger, "weigh", "wash", "1.034 kg", way="in", key="in-1")
    assert (use.entry.kind, use.entry.mass, use.entry.basis) == ("use", 0.478, "weighed")
    assert (use.entry.job, use.entry.step, use.entry.area) == ("boots", "wipe", 2.0)
    assert use.entry.typed == "478 g (1.512 kg out, 1.034 kg in)"
    assert lot_of(ledger.connection, "wash", "L1").mass == pytest.approx(4 * 0.87 - 0.478, abs=1e-12)
    assert not one(ledger, "weigh", "wash", "1.034 kg", way="in", key="in-1").new
    assert refusal(ledger, draft("weigh", "wash", "1.0 kg", way="in")) == ['way: nothing of lot "L1" is weighed out']


# ---------------------------------------------------------------- corrections


def test_a_correction_reverses_and_replaces(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L", when="2026-10-01")
    one(ledger, "use", "wash", "250 mL", key="a1", when="2026-10-02")
    reversal, new = correct(ledger, "a1", draft("use", "wash", "200 mL", when="2026-10-02"), "Lee", "misread")
    assert (reversal.entry.volume, reversal.entry.reverses, reversal.entry.who, reversal.entry.note) == (
        -0.00025,
        "a1",
        "Lee",
        "misread",
    )
    assert (reversal.entry.day, new.entry.day) == (new.entry.day, reversal.entry.day)  # in the month of the mistake
    assert (new.entry.volume, new.entry.replaces, new.entry.key) == (0.0002, "a1", "a1~2")
    old = next(e for e in all_entries(ledger) if e.key == "a1")
    assert (old.volume, old.reversed_by) == (0.00025, "not~a1")  # the mistake stays to be seen
    with view(ledger) as seen:
        (total,) = seen.by_product(Period("2026-10", "2026-10"))
    assert (total.volume, total.entries) == (0.0002, 1)


def test_a_correction_said_twice_counts_once_and_another_is_refused(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L", key="r")
    one(ledger, "use", "wash", "250 mL", key="a1")
    better = draft("use", "wash", "200 mL")
    correct(ledger, "a1", better, "Lee", "misread")
    lines = all_entries(ledger)
    assert [s.new for s in correct(ledger, "a1", better, "Lee", "misread")] == [False, False]
    with pytest.raises(Refused, match="corrected already"):
        correct(ledger, "a1", draft("use", "wash", "210 mL"), "Lee", "misread")
    with pytest.raises(Refused, match="itself a reversal"):
        correct(ledger, "not~a1", None, "Lee", "misread")
    with pytest.raises(Refused, match='no record "zz"'):
        correct(ledger, "zz", None, "Lee", "misread")
    assert all_entries(ledger) == lines


def test_a_withdrawn_record_leaves_nothing(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L", key="r")
    correct(ledger, "r", None, "Lee", "never came")
    with view(ledger) as seen:
        (lot,) = seen.lots()
    assert (lot.mass, lot.volume) == (0.0, 0.0)
    assert refusal(ledger, draft("use", "wash", "1 L")) == ['lot: lot "L1" of wash was never received']
    assert one(ledger, "receive", "wash", "4 L").new  # the same may be recorded anew


def test_a_wrong_expiry_is_corrected_at_the_delivery(ledger: Ledger) -> None:
    one(ledger, "receive", "wash", "4 L", key="r", expires="2026-01-31")
    base = draft_of(ledger, "r")
    assert base is not None
    correct(ledger, "r", replace(base, expires="2027-01-31"), "Lee", "misread")
    assert one(ledger, "use", "wash", "1 L").entry.against == ""


def test_a_correction_starts_from_the_product_of_the_time(ledger: Ledger) -> None:
    one(ledger, "receive", "stripper", "4 L")
    one(ledger, "use", "stripper", "1 L", key="u")
    base = draft_of(ledger, "u")
    assert base is not None
    assert base.amount is not None
    _, kept = correct(ledger, "u", replace(base, job="boots"), "Lee", "job forgotten")
    assert isinstance(kept.entry.mass, Unknown)
    # the density has been found: read the product anew and the mass is known
    found = product("stripper", STRIPPER.parts, 1100.0)
    shop = replace(SHOP, products={"stripper": found})
    new = replace(base, product=draft("use", "stripper", "1 L", shop).product)
    _, known = correct(ledger, "u~2", new, "Lee", "density found")
    assert known.entry.mass == 1.1
    with view(ledger) as seen:
        (total,) = seen.by_product(Period("2026-11", "2026-11"))
    assert (total.mass, total.mass_unknown, total.complete) == (1.1, 0, True)


def test_shops_share_one_ledger_and_each_line_says_whose_it_is(address: str, opened: Callable[..., Any]) -> None:
    with opened(create=True) as ledger:
        one(ledger, "receive", "wash", "4 L")
        other = replace(ledger, shop="South yard")
        record(other, [draft("use", "wash", "1 L")])
        with view(ledger) as seen:
            assert seen.shops == ("North yard", "South yard")
            assert [e.shop for e in seen.entries(ALWAYS)] == ["North yard", "South yard"]
        with view(ledger, replace(SHOP, name="South yard")) as seen:
            assert [e.kind for e in seen.entries(ALWAYS)] == ["use"]
            assert seen.by_product(Period("2026-11", "2026-11"), "received") == ()
