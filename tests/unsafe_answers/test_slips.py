"""Thousandfold slips went into the ledger with exit status 0, and every later total was wrong by them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from safety.cli import main
from tests.unsafe_answers.shops import write_shop

SHOP = """
[shop]
name = "Print shop at the canal (invented)"
altitude = "0 m"
[[place]]
id = "press-room"
kind = "room"
volume = "200 m^3"
temperature = "21 degC"
[[place.air]]
state = "fan on"
air_changes = "4 /hour"
air_speed = "0.1 m/s"
basis = "our guess"
[[container]]
id = "rags"
stream = "press rags"
accepts = ["wet-cloths"]
reactivity = []
size = "40 L"
kind = "satellite"
"""
WASH = """
[product]
id = "blanket-wash"
name = "Blanket wash"
role = "cleaner"
purpose = "cleaner"
density = "0.80 g/mL"
hazards = ["H226"]
[[product.part]]
name = "butyl acetate"
cas = "123-86-4"
weight = "100 %"
"""
INK = WASH.replace("blanket-wash", "ink").replace('density = "0.80 g/mL"', "")
WHO = ("--who", "Printer 2")
Record = Callable[..., Result]


@pytest.fixture
def record(tmp_path: Path) -> Record:
    """Record something; ``ok`` False where it must be refused."""
    folder = write_shop(tmp_path / "shop", SHOP, {"blanket-wash": WASH, "ink": INK}, {})

    def run(kind: str, *words: str, ok: bool = True) -> Result:
        result = CliRunner().invoke(main, ["record", kind, *words, *WHO, "--shop", str(folder)])
        assert result.exit_code == (0 if ok else 2), result.output
        return result

    run("receive", "blanket-wash", "11 L", "--lot", "B-1", "--expires", "none")
    return run


def test_more_than_the_lot_holds_was_stored_without_a_word(record: Record) -> None:
    """2500 L out of a lot of 11 L: the answer was "use recorded", exit 0, and the month's emissions 2 tonnes."""
    use = ("use", "blanket-wash", "2500 L", "--lot", "B-1", "--basis", "measured")
    refused = record(*use, ok=False)
    assert 'lot "B-1" holds 11 L by the records, less than 2500 L' in refused.stderr
    assert "--anyway" in refused.stderr
    said = record(*use, "--anyway", "a tank was filled from it, the delivery note is lost")
    assert 'against: lot "B-1" holds 11 L' in said.stdout


def test_a_can_a_little_fuller_than_its_label_can_be_used_up(record: Record) -> None:
    record("use", "blanket-wash", "11.5 L", "--lot", "B-1", "--basis", "measured")
    record("use", "blanket-wash", "100 mL", "--lot", "B-1", "--basis", "measured", ok=False)


@pytest.mark.parametrize(
    "words",
    [
        ("return", "blanket-wash", "500 L", "--lot", "B-1", "--basis", "measured", "--to", "supplier"),
        ("return", "blanket-wash", "700 mL", "--lot", "B-1", "--basis", "measured", "--to", "stock"),
        ("waste", "rags", "30 kg", "--product", "blanket-wash", "--lot", "B-1", "--from", "stock", "--basis", "weighed"),
        ("weigh", "count", "blanket-wash", "8800 kg", "--lot", "B-1"),
    ],
    ids=["to the supplier", "back to stock", "waste from stock", "counted"],
)  # fmt: skip
def test_whatever_moves_in_a_lot_is_held_against_what_came_in(record: Record, words: tuple[str, ...]) -> None:
    assert "less than" in record(*words, ok=False).stderr
    record(*words, "--anyway", "counted twice, two people")


def test_kilograms_out_and_pounds_in_on_the_same_can(record: Record) -> None:
    """1.512 kg out and 1.034 lb in was a use of 1.043 kg instead of 0.478 kg, silently."""
    record("weigh", "out", "blanket-wash", "1.512 kg", "--lot", "B-1")
    refused = record("weigh", "in", "blanket-wash", "1.034 lb", "--lot", "B-1", ok=False)
    assert "it went out in kg and comes back in lb" in refused.stderr
    assert "478 g" in record("weigh", "in", "blanket-wash", "1.034 kg", "--lot", "B-1").stdout


def test_a_balance_read_in_the_wrong_unit_takes_more_than_the_can_held(record: Record) -> None:
    """1512 kg for 1.512 kg: the use came out as 1511 kg."""
    record("weigh", "out", "blanket-wash", "1512 kg", "--lot", "B-1")
    assert "holds 11 L" in record("weigh", "in", "blanket-wash", "1.034 kg", "--lot", "B-1", ok=False).stderr


def test_more_waste_than_the_container_holds(record: Record) -> None:
    """400 kg of rags into a can of 40 L, with nothing said of their density."""
    waste = ("waste", "rags", "400 kg", "--from", "job", "--basis", "weighed")
    assert "400 kg is more than rags holds, 40 L" in record(*waste, ok=False).stderr
    record("waste", "rags", "4 kg", "--from", "job", "--basis", "weighed")
    ship = ("ship", "rags", "4000 kg", "--basis", "weighed", "--receiver", "Carrier")
    assert "more than" in record(*ship, ok=False).stderr
    record("ship", "rags", "40 kg", "--basis", "weighed", "--receiver", "Carrier")


def test_a_delivery_unlike_all_before_it(record: Record) -> None:
    again = ("receive", "blanket-wash", "11000 L", "--lot", "B-2", "--expires", "none")
    assert "11000 L is 1000 times the largest delivery so far" in record(*again, ok=False).stderr
    record("receive", "blanket-wash", "200 L", "--lot", "B-2", "--expires", "none")


def test_without_a_density_the_same_unit_is_compared(record: Record) -> None:
    record("receive", "ink", "5 kg", "--lot", "I-1", "--expires", "none")
    assert "holds 5 kg" in record(
        "use", "ink", "2500 kg", "--lot", "I-1", "--basis", "weighed", ok=False
    ).stderr  # fmt: skip
    record("use", "ink", "2 L", "--lot", "I-1", "--basis", "measured")  # nobody can tell


def test_a_reason_for_an_old_lot_does_not_excuse_a_slip(record: Record, tmp_path: Path) -> None:
    """One ``--anyway`` for all rows of a file, or for a line that is corrected later, speaks of lots."""
    file = tmp_path / "past.csv"
    file.write_text(
        "kind,when,product,amount,basis,lot,who\nuse,2026-03-02,blanket-wash,2500 L,measured,B-1,Printer 2\n",
        encoding="utf-8",
    )
    run = CliRunner().invoke(
        main, ["record", "import", str(file), "--anyway", "old lots", "--shop", str(tmp_path / "shop")]
    )
    assert run.exit_code == 2
    assert 'past.csv:2: amount: lot "B-1" holds 11 L' in run.stderr

    record(
        "use", "blanket-wash", "1 L", "--lot", "B-9", "--basis", "measured", "--anyway", "not labelled", "--key", "k"
    )
    fix = ["record", "correct", "k", "--lot", "B-1", "--amount", "1000 L", "--by", "Lead", "--why", "misread"]
    corrected = CliRunner().invoke(main, [*fix, "--shop", str(tmp_path / "shop")])
    assert corrected.exit_code == 2
    assert "holds 11 L" in corrected.stderr


def correct(folder: Path, key: str, *words: str) -> Result:
    return CliRunner().invoke(
        main, ["record", "correct", key, *words, "--by", "L", "--why", "w", "--shop", str(folder)]
    )


def test_what_liquids_weigh_is_enough_to_see_a_slip(record: Record) -> None:
    """2500 L out of a lot of 5 kg without a density; and after one use in litres, any number of kilograms at all."""
    record("receive", "ink", "5 kg", "--lot", "I-1", "--expires", "none")
    use = ("use", "ink", "--lot", "I-1", "--basis", "measured")
    assert "holds at most 5 kg" in record(*use, "25 L", ok=False).stderr
    record(*use, "2 L")
    assert "holds at most 4.4 kg" in record(*use, "30 kg", ok=False).stderr
    record(*use, "4 kg")
    record("receive", "ink", "5000 L", "--lot", "I-2", "--expires", "none", ok=False)


@pytest.mark.parametrize(
    "words",
    [
        ("return", "blanket-wash", "2500 L", "--basis", "measured", "--to", "supplier"),
        ("return", "blanket-wash", "2500 L", "--basis", "measured", "--to", "stock"),
        ("waste", "rags", "2500 kg", "--product", "blanket-wash", "--from", "stock", "--basis", "weighed"),
        ("weigh", "count", "blanket-wash", "8800 kg"),
    ],
)
def test_a_mistyped_lot_hides_no_slip(record: Record, words: tuple[str, ...]) -> None:
    """Of a lot that never came, any amount was stored with a note on the lot alone."""
    record(*words, "--lot", "NO", ok=False)


def test_a_delivery_far_smaller_than_all_before_it(record: Record) -> None:
    """11 mL for 11 L: the stock of the shop fell short by a can, and the books by all of its vapour."""
    again = ("receive", "blanket-wash", "11 mL", "--lot", "B-2", "--expires", "none")
    assert "the smallest delivery so far is 1000 times 11 mL" in record(*again, ok=False).stderr
    record("receive", "blanket-wash", "100 mL", "--lot", "B-2", "--expires", "none")


def test_a_corrected_delivery_is_no_slip_either(record: Record, tmp_path: Path) -> None:
    """To a thousandth of itself, under what was used of it: "a delivery is missing", stored, exit 0."""
    record("receive", "ink", "4 kg", "--lot", "I-1", "--expires", "none", "--key", "came")
    record("use", "ink", "3 kg", "--lot", "I-1", "--basis", "weighed")
    for wrong, says in (("4 g", 'of lot "I-1" far more than 4 g is gone already'), ("4000 kg", "1000 times")):
        refused = correct(tmp_path / "shop", "came", "--amount", wrong)
        assert refused.exit_code == 2
        assert says in refused.stderr
    assert correct(tmp_path / "shop", "came", "--amount", "3.5 kg").exit_code == 0


def test_a_slip_that_was_mended_excuses_no_other(record: Record, tmp_path: Path) -> None:
    """The 11000 L that were never there stayed the largest delivery for ever."""
    big = ("receive", "blanket-wash", "11000 L", "--lot", "B-2", "--expires", "none")
    record(*big, "--anyway", "the label says so", "--key", "big")
    assert correct(tmp_path / "shop", "big", "--amount", "11 L").exit_code == 0
    record("receive", "blanket-wash", "11000 L", "--lot", "B-3", "--expires", "none", ok=False)


@pytest.mark.parametrize("where", [".", "..", "folder"])
def test_a_ledger_that_is_a_folder_is_a_mistake_of_the_file(tmp_path: Path, where: str) -> None:
    """ "hazstep failed, which is a fault of the program"."""
    (tmp_path / "folder").mkdir()
    shop = SHOP.replace("[shop]", f'[shop]\nledger = "sqlite:///{where}"')
    write_shop(tmp_path, shop, {"blanket-wash": WASH}, {})
    log = CliRunner().invoke(main, ["log", "--year", "2026", "--shop", str(tmp_path)])
    assert log.exit_code == 2
    assert "names no file" in log.stderr
