"""A law that ends, or that begins next spring, could be dated only as a limit: every other row held on every day.

A threshold that is lowered on a day had to be changed in the file on that very day, a row of a table that no longer
holds had to be taken out, and neither could be asked about before: a sheet by the rules of a later day showed today's.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from safety.cited import Unknown
from safety.model import Contribution, Key, TableSchema, Way
from safety.problems import Problems
from safety.reference import Reference
from safety.reference.loaded import load

PACK = """
[pack]
id = "own"
title = "Own (invented)"
jurisdiction = "here"
edition = "2026"
"""
THRESHOLD = """
[[threshold]]
name = "lamp-distance"
value = "{value}"
compare = "under"
citation = "house rule 4 (invented)"
edition = "2026"
{days}
"""
ROW = """
[[lamp]]
name = "{name}"
most = {most}
citation = "house rule 5 (invented)"
edition = "2026"
{days}
"""
LAMP = TableSchema("lamp", "Lamps.", (Key("name"), Key("most", "number")), same=("name",), ways=(Way("most", "lower"),))
OLD, NEW = "valid_until = 2027-03-31", "valid_from = 2027-04-01"


def _load(folder: Path, text: str, day: date) -> Reference:
    (folder / "own.toml").write_text(PACK + text, encoding="utf-8")
    return load(["own.toml"], folder, day, [("lamps", Contribution(tables=(LAMP,)))])


@pytest.mark.parametrize(("day", "value"), [(date(2027, 3, 31), 1.0), (date(2027, 4, 1), 2.0)])
def test_a_threshold_changes_on_its_day(tmp_path: Path, day: date, value: float) -> None:
    text = THRESHOLD.format(value="1 m", days=OLD) + THRESHOLD.format(value="2 m", days=NEW)
    found = _load(tmp_path, text, day).threshold("lamp-distance")
    assert not isinstance(found, Unknown)
    assert found.value == value


def test_a_threshold_that_is_over_is_not_known_and_not_still_there(tmp_path: Path) -> None:
    found = _load(tmp_path, THRESHOLD.format(value="1 m", days=OLD), date(2027, 4, 1)).threshold("lamp-distance")
    assert isinstance(found, Unknown)


@pytest.mark.parametrize(("day", "most"), [(date(2027, 3, 31), [40.0]), (date(2027, 4, 1), [25.0])])
def test_a_row_of_a_table_changes_on_its_day(tmp_path: Path, day: date, most: list[float]) -> None:
    text = ROW.format(name="hand", most="40", days=OLD) + ROW.format(name="hand", most="25", days=NEW)
    assert [row["most"] for row in _load(tmp_path, text, day).table("lamp")] == most


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (ROW.format(name="a", most="1", days='valid_until = "soon"'), "valid_until"),
        (ROW.format(name="a", most="1", days=f"{NEW}\nvalid_until = 2027-01-01"), "ends before it begins"),
        (THRESHOLD.format(value="1 m", days=f"{NEW}\nvalid_until = 2027-01-01"), "ends before it begins"),
        (THRESHOLD.format(value="1 m", days=OLD) + THRESHOLD.format(value="2 m", days=""), "given twice"),
        (ROW.format(name="a", most="1", days=OLD) + ROW.format(name="a", most="2", days=""), "a"),
    ],
)
def test_days_that_cannot_be_are_mistakes(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(Problems, match=says):
        _load(tmp_path, text, date(2027, 1, 1))
