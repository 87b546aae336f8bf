"""Amounts from the page are the records the command writes, and a slip is asked about once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timezone
from pathlib import Path

import pytest

from safety.cited import Unknown
from safety.ledger.drafts import read_draft
from safety.ledger.entries import Refused, record
from safety.ledger.runs import used_in
from safety.ledger.store import Ledger, open_ledger
from safety.model import Job, Shop
from safety.serve.amounts import Planned, as_planned, change, doubted_lot, planned, question, take_back, write
from safety.workplace import Workplace
from tests.serve.shop import slipway

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=timezone.utc)
DAY = NOW.date()


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Job:
    return Workplace.open(slipway(tmp_path_factory.mktemp("slipway"))).planned(["patch"])[0].job


@pytest.fixture
def shop(job: Job, tmp_path: Path) -> Shop:
    return replace(job.shop, file=str(tmp_path / "shop.toml"))


@pytest.fixture
def ledger(shop: Shop) -> Iterator[Ledger]:
    """Four lots of the wash: one that is expired, one that is empty, a new one and one that is open."""
    with open_ledger(shop, create=True) as made:
        for kind, lot, texts in (
            ("receive", "W-1", {"amount": "1 L", "expires": "2026-10-31"}),
            ("receive", "W-2", {"amount": "1 L", "expires": "2027-01-31"}),
            ("receive", "W-3", {"amount": "1 L", "expires": "2027-03-31"}),
            ("receive", "W-4", {"amount": "1 L", "expires": "2027-03-31"}),
            ("open", "W-4", {}),
            ("use", "W-2", {"amount": "1 L", "basis": "measured"}),
        ):
            told = {"product": "wash", "lot": lot, "who": "Store", "when": "2026-09-01", **texts}
            draft = read_draft(kind, told, shop, NOW)
            assert not isinstance(draft, list), draft
            record(made, [draft])
        yield made


def wash(job: Job, ledger: Ledger) -> Planned:
    (one,) = planned(job, 0, ledger, DAY)
    return one


def test_the_plan_is_in_the_unit_of_the_file_with_the_best_lot_first(job: Job, ledger: Ledger) -> None:
    one = wash(job, ledger)
    assert (one.product, one.unit, one.low, one.high, one.middle) == ("wash", "mL", 20.0, 30.0, 25.0)
    assert one.text == "20 mL to 30 mL"
    assert one.usable == ("W-4", "W-3")  # the empty one was the last used, and is not usable
    assert {lot.lot for lot in one.lots} == {"W-1", "W-2", "W-3", "W-4"}
    assert planned(job, 2, ledger, DAY) == ()


def test_every_coat_counts_and_one_that_was_added_too(job: Job) -> None:
    (two,), (three,) = planned(job, 1, None, DAY), planned(job, 1, None, DAY, coats=3)
    assert (two.text, three.text, three.lot) == ("24 mL", "36 mL", "")


def test_what_the_plan_does_not_say_can_still_be_written_down(job: Job, ledger: Ledger, shop: Shop) -> None:
    first = job.steps[0]
    unknown = replace(first, uses=(replace(first.uses[0], mass=Unknown("nobody said")),))
    (one,) = planned(replace(job, steps=(unknown,)), 0, ledger, DAY)
    assert (one.unit, one.low, one.middle, one.text) == ("mL", None, None, "")
    assert question(one, "90 mL") is None
    with pytest.raises(Refused, match="does not say how much"):
        as_planned(shop, ledger, one, NOW, who="Tech 3")


def test_as_planned_is_one_guessed_record_of_the_middle(job: Job, ledger: Ledger, shop: Shop) -> None:
    told = {"who": "Tech 3", "job": "patch", "step": "Wipe the hull", "key": "r1-0-wash"}
    stored = as_planned(shop, ledger, wash(job, ledger), NOW, **told)
    entry = stored.entry
    assert stored.new
    assert (entry.kind, entry.typed, entry.basis, entry.lot, entry.who) == ("use", "25 mL", "guessed", "W-4", "Tech 3")
    assert (entry.job, entry.step, entry.note) == ("patch", "Wipe the hull", "as planned, 20 mL to 30 mL")
    assert entry.happened == NOW
    again = as_planned(shop, ledger, wash(job, ledger), NOW, **told)
    assert (again.new, again.entry.key) == (False, "r1-0-wash")
    assert list(used_in(ledger, "r1-")) == ["r1-0-wash"]


def test_it_is_the_record_that_the_command_would_have_written(job: Job, ledger: Ledger, shop: Shop) -> None:
    fields = {"product": "wash", "amount": "35 mL", "basis": "measured", "lot": "W-4", "who": "Tech 3", "job": "patch"}
    draft = read_draft("use", {**fields, "key": "a"}, shop, NOW)
    assert not isinstance(draft, list)
    (by_hand,) = record(ledger, [draft])
    by_page = write(shop, ledger, {**fields, "key": "b"}, NOW)
    assert replace(by_page.entry, number=0, key="", recorded=NOW) == replace(
        by_hand.entry, number=0, key="", recorded=NOW
    )


def test_undo_keeps_the_line_and_its_reversal(job: Job, ledger: Ledger, shop: Shop) -> None:
    fields = {"product": "wash", "amount": "35 mL", "basis": "measured", "lot": "W-4", "who": "Tech 3", "key": "r1-0"}
    write(shop, ledger, fields, NOW)
    (back,) = take_back(ledger, "r1-0", "Tech 3")
    assert back.entry.reverses == "r1-0"
    assert used_in(ledger, "r1-") == {}
    write(shop, ledger, {**fields, "key": "r1-0b"}, NOW)
    changed = change(shop, ledger, "r1-0b", {"amount": "40 mL"}, NOW, "Tech 3")
    assert (changed.entry.typed, changed.entry.replaces) == ("40 mL", "r1-0b")
    assert used_in(ledger, "r1-") == {"r1-0b": changed.entry}


def test_a_lot_that_is_expired_is_refused_without_a_reason(ledger: Ledger, shop: Shop) -> None:
    fields = {"product": "wash", "amount": "35 mL", "basis": "measured", "lot": "W-1", "who": "Tech 3", "key": "x"}
    with pytest.raises(Refused, match="expired"):
        write(shop, ledger, fields, NOW)
    assert write(shop, ledger, {**fields, "anyway": "tested again"}, NOW).entry.anyway == "tested again"


@pytest.mark.parametrize(
    ("amount", "doubt", "meant"),
    [
        ("25 mL", None, ""),
        ("89 mL", None, ""),
        ("91 mL", "over plan", ""),
        ("6.7 mL", None, ""),
        ("6.6 mL", "under plan", ""),
        ("250 mL", "slipped digit", "25 mL"),
        ("2.5 mL", "slipped digit", "25 mL"),
        ("21.75 g", None, ""),  # 25 mL
        ("217 g", "slipped digit", "24.94 mL"),
        ("0.95 L", "over plan", ""),
        ("1.05 L", "more than the lot", ""),
    ],
)
def test_what_is_far_from_the_plan_is_asked_about(
    job: Job, ledger: Ledger, amount: str, doubt: str | None, meant: str
) -> None:
    asked = question(wash(job, ledger), amount, "W-4")
    assert (asked and asked.doubt) == doubt
    assert (asked.meant if asked else "") == meant
    if asked and doubt == "more than the lot":
        assert asked.left == "1 L"


def test_a_lot_expires_at_the_end_of_its_day(job: Job, ledger: Ledger) -> None:
    (last_day,), (day_after) = planned(job, 0, ledger, date(2027, 3, 31)), planned(job, 0, ledger, date(2027, 4, 1))
    assert last_day.usable == ("W-4", "W-3")
    assert day_after[0].usable == ()


def test_a_lot_is_asked_about_where_it_is_not_the_one_in_use(job: Job, ledger: Ledger) -> None:
    """Any lot of the list was taken, the one that was out of date with words that no button answered."""
    one = wash(job, ledger)
    assert [lot for lot in ("W-1", "W-2", "W-3", "W-4", "W-9") if doubted_lot(one, lot)] == ["W-1", "W-2", "W-9"]
    used = replace(one, last="W-3")
    assert doubted_lot(used, "W-4")
    assert not doubted_lot(used, "W-3")
