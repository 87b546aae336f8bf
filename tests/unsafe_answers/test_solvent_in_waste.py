"""The mass of waste was taken for the mass of solvent.

10 kg of rags, 8 of them cotton, were credited as 10 kg of solvent, and the log said that nothing had gone to the air. A
shop that lost 80 % of its solvent read 16.7 % in its European balance. Nothing asked whether the drum had been
collected, and what a laundry takes counted as well.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from safety_solvent import credit
from safety_solvent.accounts import open_books
from safety_solvent.books import Kind, kind_called

from safety.cli.record import command as record_command
from safety.files.reading import read_shop
from safety.ledger.store import open_ledger
from safety.ledger.view import view
from safety.logbook import make_log
from safety.model import InWaste, Part, Period
from safety.workplace import Workplace
from tests.unsafe_answers.shops import write_shop
from tests.unsafe_answers.test_history import DRUM, PRIMER, RAGS, SHOP, WASH, put

JANUARY = Period("2026-01", "2026-01")
JOB = """\
[job]
id = "wipe"
title = "Wipe"
place = "bay"
start = 2026-01-12T08:00:00
crew = 1

[[step]]
name = "Wipe"
duration = "20 min"
[[step.use]]
product = "wash"
work = "wipe"
amount = "500 g"
kept = ["20 %", "40 %"]
area = "2 m^2"
"""
CAME = {"kind": "receive", "product": "wash", "amount": "20 kg", "lot": "W1", "expires": "none"}
USED = {"kind": "use", "product": "wash", "amount": "10 kg", "basis": "weighed", "lot": "W1"}
BIN = {"kind": "waste", "product": "wash", "amount": "10 kg", "basis": "weighed", "container": "rags", "way": "job"}
GONE = {"kind": "ship", "amount": "10 kg", "basis": "weighed", "container": "rags", "receiver": "Carrier"}


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return write_shop(tmp_path, SHOP + DRUM + RAGS, {"wash": WASH, "primer": PRIMER}, {"wipe": JOB})


def known(folder: Path, period: Period = JANUARY) -> tuple[InWaste, ...]:
    one = read_shop(folder)
    with open_ledger(one) as ledger, view(ledger, one) as seen:
        return seen.in_waste(period)


def to_the_air(folder: Path, period: Period = JANUARY) -> float:
    """VOC to the air with waste taken off [kg], at most."""
    here = Workplace.open(folder)
    kind = kind_called("VOC", here.on(date(2026, 12, 31)).reference)
    assert kind is not None
    with open_ledger(here.shop) as ledger, view(ledger, here.shop) as seen:
        return open_books(period, seen).kind(period, kind, off=True).high


@pytest.mark.parametrize(
    ("said", "fate", "air"),
    [
        ({}, "disposed", 10.0),  # was 0: 10 kg of rags taken for 10 kg of toluene
        ({"solvent": "2 kg"}, "disposed", 8.0),
        ({"tare": "8 kg"}, "treated", 8.0),
        ({"tare": "8 kg"}, "recovered", 8.0),
        ({"tare": "8 kg"}, "laundered", 10.0),  # the laundry's air, or its water
        ({"tare": "8 kg"}, "", 10.0),  # nobody said that it is no laundry
        ({"tare": "8 kg"}, None, 10.0),  # still in the yard
    ],
)
def test_rags_are_no_solvent(shop: Path, said: Mapping[str, str], fate: str | None, air: float) -> None:
    """40 CFR 63.3951(e): only what went to a permitted facility is taken off, and only what is known of it."""
    put(shop, CAME, USED, {**BIN, **said}, *([] if fate is None else [{**GONE, "fate": fate}]))
    assert to_the_air(shop) == pytest.approx(air)


def test_the_plan_says_what_stays_of_what_was_really_used(shop: Path) -> None:
    """The job keeps 20 to 40 % in the cloth; two bins of one use are not credited twice what the plan leaves."""
    put(shop, CAME, {**USED, "job": "wipe"}, *[{**BIN, "job": "wipe", "amount": f"{kg} kg"} for kg in (6, 4)])
    put(shop, {**GONE, "fate": "disposed"})
    (one,) = known(shop)
    assert (one.basis, one.solvent) == ("plan", pytest.approx(2.0))  # 20 % of 10 kg, once
    assert to_the_air(shop) == pytest.approx(8.0)


def test_a_plan_without_a_use_or_without_a_share_says_nothing(shop: Path) -> None:
    put(shop, CAME, {**BIN, "job": "wipe"}, {**USED, "job": "nobody's"}, {**BIN, "job": "nobody's"})
    assert {w.solvent for w in known(shop)} == {0.0}


def test_a_part_holds_what_cannot_be_in_the_rest(shop: Path) -> None:
    put(shop, CAME, {**USED, "amount": "10 kg"}, {**BIN, "solvent": "8 kg"})
    part = {**GONE, "amount": "6 kg", "fate": "disposed", "rest": "stays"}
    put(shop, part, when="2026-01-20")
    assert to_the_air(shop) == pytest.approx(10 - 4)  # of 6 kg, 2 may be the cloth
    put(shop, {**GONE, "amount": "4 kg", "fate": "disposed"}, when="2026-01-25")
    assert to_the_air(shop) == pytest.approx(10 - 8)


def test_what_dried_off_in_the_bin_went_to_the_air(shop: Path) -> None:
    put(shop, CAME, USED, {**BIN, "solvent": "8 kg"}, {**GONE, "amount": "7 kg", "fate": "disposed"})
    assert to_the_air(shop) == pytest.approx(10 - 5)


def test_from_one_container_of_the_shop_into_another_nothing_has_left(shop: Path) -> None:
    put(shop, CAME, USED, {**BIN, "solvent": "2 kg"}, {**GONE, "receiver": "drum", "fate": "disposed"})
    assert to_the_air(shop) == pytest.approx(10)
    put(shop, {**GONE, "container": "drum", "fate": "disposed"}, when="2026-01-20")
    assert to_the_air(shop) == pytest.approx(8)


def test_paint_without_its_pot_may_be_all_resin(shop: Path) -> None:
    lot = {**CAME, "product": "primer", "lot": "P1"}
    put(shop, lot, {**BIN, "product": "primer", "tare": "4 kg"}, {**GONE, "fate": "disposed"})
    (one,) = known(shop)
    assert (one.basis, one.mass, one.solvent) == ("tare", 10.0, 0.0)


def test_the_balance_of_a_product_does_not_hide_it_either(shop: Path) -> None:
    """Gone to air or into the work was 0 kg."""
    put(shop, CAME, USED, {**BIN, "tare": "8 kg"}, {**GONE, "fate": "disposed"})
    one = read_shop(shop)
    with open_ledger(one) as ledger, view(ledger, one) as seen:
        (balance,) = (b for b in seen.balance(JANUARY) if b.product)
    assert (balance.waste_from_jobs, balance.solvent_in_waste, balance.lost) == (10.0, 2.0, 8.0)


def test_the_european_balance_takes_off_no_cotton(shop: Path) -> None:
    """2010/75/EU Annex VII part 7, O6: 10 kg used and 2 kg collected are 80 % lost; 8.33 kg of rags had made it 16.7 %."""
    text = (shop / "shop.toml").read_text("utf-8").replace('"us-federal"', '"eu"')
    (shop / "shop.toml").write_text(text, encoding="utf-8")
    put(
        shop,
        CAME,
        USED,
        {**BIN, "amount": "8.33 kg", "solvent": "2 kg"},
        {**GONE, "amount": "8.33 kg", "fate": "treated"},
    )
    found: Any = to_eu(shop)
    assert found["O6"].startswith("2 kg")
    assert found["F/I"] == "80 %"


def to_eu(folder: Path) -> dict[str, str]:
    report = make_log(Workplace.open(folder), JANUARY)
    (plan,) = (b for b in report.blocks if b.key == "solvent-plan-eu")
    return {row[0]: row[2] for row in plan.rows}  # type: ignore[union-attr]


def test_the_command_and_a_file_say_it_alike(shop: Path, tmp_path: Path) -> None:
    """A row of a file and a command get the plan's share, as a record of the page does: it is put in when kept."""
    put(shop, CAME, {**USED, "job": "wipe"})
    rows = (
        "kind,when,product,amount,basis,container,way,job,who\nwaste,2026-01-12,wash,6 kg,weighed,rags,job,wipe,Pat\n"
    )
    (tmp_path / "past.csv").write_text(rows, encoding="utf-8")
    done = CliRunner().invoke(record_command, ["import", str(tmp_path / "past.csv"), "--shop", str(shop)])
    assert done.exit_code == 0, done.output
    (one,) = known(shop)
    assert (one.basis, one.solvent) == ("plan", pytest.approx(2.0))


def test_the_least_share_of_a_kind_in_the_solvent() -> None:
    """What evaporates of a blend is shared out as its data sheet bounds it, and water is none of it."""
    parts = (Part("a", "108-88-3", 0.2, 0.4), Part("b", "67-64-1", 0.4, 0.6), Part("w", "7732-18-5", 0.2, 0.2))
    toluene = Kind("HAP", "HAP", lambda cas: cas == "108-88-3")
    assert credit.of_solvent(parts, toluene) == pytest.approx(0.2 / 0.8)
