"""A can that was used up had to be counted for ever, zero could not be counted, and half a drum emptied it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from safety_waste import fill

from safety.cited import Unknown
from safety.files.reading import read_shop
from safety.ledger.entries import Refused
from safety.ledger.store import open_ledger
from safety.ledger.view import view
from safety.model import Lot, Period
from safety.workplace import Workplace
from tests.unsafe_answers.shops import write_shop
from tests.unsafe_answers.test_history import DRUM, JANUARY, NOW, PRIMER, SHOP, WASH, january, put

USE = {**JANUARY[2], "amount": "20 L"}
WASTE = {"kind": "waste", "product": "wash", "amount": "100 kg", "basis": "weighed", "container": "drum", "way": "job"}
SHIP = {"kind": "ship", "amount": "40 kg", "basis": "weighed", "container": "drum", "receiver": "Carrier"}
COUNT = {"kind": "weigh", "way": "count", "product": "wash", "amount": "0", "lot": "W1"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = write_shop(tmp_path, SHOP + DRUM, {"wash": WASH, "primer": PRIMER}, {})
    put(made, *JANUARY[:1])
    return made


def lot(folder: Path) -> Lot:
    shop = read_shop(folder / "shop.toml")
    with open_ledger(shop) as ledger, view(ledger, shop) as seen:
        (found,) = seen.lots()
    return found


def counted(folder: Path) -> float | Unknown:
    shop = read_shop(folder / "shop.toml")
    with open_ledger(shop) as ledger, view(ledger, shop) as seen:
        return seen.balance(Period("2026-01", "2026-01"))[0].counted


def drum(folder: Path) -> fill.Fill:
    shop = read_shop(folder / "shop.toml")
    reference = Workplace.open(folder).on(NOW.date()).reference
    with open_ledger(shop) as ledger, view(ledger, shop) as seen:
        return fill.on(NOW.date(), shop, reference, seen)["drum"]


def test_a_lot_that_is_used_up_is_closed_and_needs_no_count(folder: Path) -> None:
    assert isinstance(counted(folder), Unknown)
    put(folder, USE)
    assert not lot(folder).open
    assert counted(folder) == 0


def test_a_count_of_nothing_closes_the_lot(folder: Path) -> None:
    """Zero was refused, so a lot that was spilt or lost stood in stock for ever."""
    put(folder, COUNT)
    found = lot(folder)
    assert (found.open, found.mass, str(found.found_empty), counted(folder)) == (False, 0.0, "2026-01-12", 0)
    with pytest.raises(Refused, match='lot "W1" was counted empty on 2026-01-12'):
        put(folder, JANUARY[2], when="2026-01-13")
    put(folder, {**JANUARY[0], "amount": "18 L"}, when="2026-01-14")
    assert lot(folder).open


def test_a_part_of_a_drum_that_is_collected_leaves_the_drum_its_start_and_the_rest(folder: Path) -> None:
    """Any collection emptied the drum: the rest and its clock were gone."""
    put(folder, WASTE, when="2026-01-05")
    with pytest.raises(Refused, match="drum holds 100 kg by the records, far more than 40 kg"):
        put(folder, SHIP, when="2026-01-20")
    put(folder, {**SHIP, "rest": "stays", "fate": "recovered"}, when="2026-01-20")
    found = drum(folder)
    assert (found.mass, str(found.started), found.gaps) == (pytest.approx(60), "2026-01-05", [])
    with pytest.raises(Refused, match="drum holds 60 kg by the records, less than 80 kg"):
        put(folder, {**SHIP, "amount": "80 kg", "rest": "stays"}, when="2026-01-21")


def test_records_of_a_day_stand_by_their_time_whatever_was_typed_first(folder: Path) -> None:
    """A drum that was collected at noon and typed in before the morning's waste held that waste still."""
    put(folder, {**SHIP, "amount": "100 kg"}, when="2026-01-20 12:00")
    put(folder, WASTE, when="2026-01-20 08:00")
    assert drum(folder).empty


def test_a_drum_over_full_is_named(folder: Path) -> None:
    put(folder, {**WASTE, "amount": "120 kg"}, {**WASTE, "amount": "80 kg"})
    said = "drum: 233 L by the records, more than it holds (200 L)."
    assert said in " ".join(january(folder).split())


@pytest.mark.parametrize(
    ("more", "solvent", "basis"),
    [
        ({"solvent": "2 kg"}, 2.0, "measured"),
        ({"tare": "8 kg"}, 2.0, "tare"),
        ({}, None, ""),
    ],
)
def test_a_waste_says_how_much_of_it_is_solvent(
    folder: Path, more: Mapping[str, str], solvent: float | None, basis: str
) -> None:
    put(folder, {**WASTE, "amount": "10 kg", **more})
    shop = read_shop(folder / "shop.toml")
    with open_ledger(shop) as ledger, view(ledger, shop) as seen:
        (line,) = seen.entries(Period("2026-01", "2026-01"), "waste")
    low = None if isinstance(line.solvent_low, Unknown) else line.solvent_low
    assert (low, line.solvent_basis) == (solvent, basis)
