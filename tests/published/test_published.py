"""The catalogue against published numbers: each row of the CSV files beside this one names its source.

Inputs are written as a person would write them for ``hazstep calc``; an input may be another
call. ``tolerance`` is the source's own rounding, or the stated accuracy where a row compares two
models. ``deviation`` is the known relative difference of a row that disagrees; ``remark`` says why.
``seen`` is yes (read), memory (recalled) or derived (computed outside this project's code).
"""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from safety import units
from safety.calc.call import Answer, call
from safety.formulas import catalogue

FOLDER = Path(__file__).parent
ROWS = {
    f"{path.stem}:{line}": row
    for path in sorted(FOLDER.glob("*.csv"))
    for line, row in enumerate(csv.DictReader(path.read_text().splitlines()), start=2)
}


def run(name: str, inputs: Mapping[str, Any]) -> Answer:
    """Call a formula; an input that is a mapping {name: inputs} is called first."""
    written = {}
    for key, text in inputs.items():
        if isinstance(text, dict):
            ((inner, its_inputs),) = text.items()
            answer = run(inner, its_inputs)
            text = f"{answer.value!r} {answer.unit}"
        written[key] = text
    return call(name, written)


def in_unit(answer: Answer, unit: str) -> float:
    gives = catalogue()[answer.name].gives.split("|")
    kind = next(k for k in gives if answer.unit in units.KINDS[k].units)
    return units.convert(units.read(f"{answer.value!r} {answer.unit}", kind), kind, unit)


def allowed(row: Mapping[str, str]) -> tuple[float, float]:
    """The value a row expects of us, and how far from it we may be."""
    expected = float(row["expected"])
    middle = expected * (1 + float(row["deviation"] or 0))
    how, _, number = row["tolerance"].partition(" ")
    return middle, abs(expected) * float(number.rstrip("%")) / 100 if how == "rel" else float(number)


@pytest.mark.parametrize("row", ROWS.values(), ids=ROWS)
def test_row(row: dict[str, str]) -> None:
    answer = run(row["formula"], json.loads(row["inputs"]))
    if row["tolerance"] == "exact":
        assert answer.value == row["expected"], row["at"]
        return
    middle, tolerance = allowed(row)
    assert in_unit(answer, row["unit"]) == pytest.approx(middle, rel=1e-12, abs=tolerance), row["at"]


@pytest.mark.parametrize("row", ROWS.values(), ids=ROWS)
def test_every_row_says_where_it_is_from(row: dict[str, str]) -> None:
    assert row["at"]
    assert row["seen"] in {"yes", "memory", "derived"}
    assert row["remark"] or not row["deviation"]


def test_a_disagreement_is_larger_than_the_tolerance() -> None:
    """A row with a deviation really disagrees: else the deviation would hide a pass."""
    for row in ROWS.values():
        if row["deviation"]:
            middle, tolerance = allowed(row)
            assert abs(middle - float(row["expected"])) > tolerance, row["at"]
