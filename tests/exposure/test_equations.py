"""Whoever asks where a level is from is told every equation it went through.

Before, sixteen equations stood in the air's figures and in no list, the one of setting coats among them.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from types import CodeType, FrameType, ModuleType
from typing import Any

import pytest

import safety.exposure
from safety.exposure import equations, origin
from safety.formulas import Formula, catalogue
from safety.model import Report
from tests.unsafe_answers import test_doors as doors
from tests.unsafe_answers import test_places_as_they_are as places
from tests.unsafe_answers.shops import sheet, write_shop

ENGINE = Path(safety.exposure.__file__).parent
#: Beside the engine itself, who computes what it starts from.
BESIDE = ("safety.reference.fractions", "safety.files.exhaust")
#: Of a fraction, what decides on fire and energy and goes into no air.
NOT_OF_THE_AIR = {"fraction_flash_point", "fraction_lower_limit", "fraction_heat_of_combustion"}
LISTED = {name for key, names in vars(equations).items() if key.isupper() for name in names}
#: The closed form that the cells are solved by, and that no code of the engine calls.
SOLVED = {"two_zone_near", "two_zone_far"}


def imported(module: ModuleType) -> Iterator[str]:
    """Every formula a module can call: by a name of its own, or through a group of formulas it has whole."""
    by_function = {id(one.function): one.name for one in catalogue().values()}
    for value in vars(module).values():
        if id(value) in by_function:
            yield by_function[id(value)]
        assert not (isinstance(value, ModuleType) and value.__name__.startswith("safety.formulas")), "import the names"
    inside = (
        n for n in ast.walk(ast.parse(Path(str(module.__file__)).read_text("utf-8"))) if isinstance(n, ast.FunctionDef)
    )
    assert not [n for f in inside for n in ast.walk(f) if isinstance(n, (ast.Import, ast.ImportFrom))]


def test_every_formula_the_engine_can_call_is_named_by_why() -> None:
    modules = [f"safety.exposure.{path.stem}" for path in ENGINE.glob("*.py") if path.stem != "__init__"]
    callable_ = {name for module in (*modules, *BESIDE) for name in imported(import_module(module))}
    assert callable_ - NOT_OF_THE_AIR - LISTED == set(), "put it into safety/exposure/equations.py"
    assert LISTED - callable_ == SOLVED, "nobody calls it any more"
    assert catalogue().keys() >= LISTED


COAT = """
[product]
id = "wash"
name = "Lacquer"
role = "coating"
density = "0.9 g/mL"
flash_point = "4 degC"
hazards = ["H225"]
[product.application]
coats = { any = 1 }
[[product.part]]
cas = "108-88-3"
weight = ["60 %", "70 %"]
[[product.part]]
name = "resin"
volatile = false
weight = ["30 %", "40 %"]
"""
FRACTION = """
[product]
id = "wash"
name = "Spirit"
role = "cleaner"
density = "0.78 g/mL"
flash_point = "40 degC"
hazards = ["H226"]
[[product.part]]
cas = "64742-48-9"
weight = "100 %"
boiling_range = ["150 degC", "190 degC"]
"""
RESULT = """
[[measurement]]
substance = "108-88-3"
value = "200 ppm"
kind = "badge"
duration = "60 min"
step = "Wash"
date = 2026-03-02
"""
HOOD = 'hood = { airflow = "500 cfm", opening = "0.09 m^2", distance = "0.3 m" }'
CAN = doors.JOB.replace('work = "wipe"', 'work = "open"\nfreeboard = "2 m"\ncan_depth = "3 m"').replace(
    "2 m2", "0.2 m2"
)


def _shop(folder: Path, door: str = "", product: str = doors.PRODUCT, job: str = doors.JOB, more: str = "") -> Path:
    shop = doors.SHOP.format(door=f"{more}\n{door}")
    return write_shop(folder, shop, {"wash": product}, {"rollers": job.format(**doors.WORK)})


@pytest.mark.parametrize(
    ("given", "among"),
    [
        ({}, "near_field_exchange"),
        ({"door": doors.OPEN}, "doorway_exchange"),
        ({"product": COAT, "job": doors.JOB.replace("people =", 'length = "3 m"\npeople =')}, "setting_film_given_off"),
        ({"product": FRACTION}, "fraction_vapour_pressure"),
        ({"job": CAN}, "transfer_below_a_rim"),
        ({"job": doors.JOB + RESULT}, "updated_error"),
        ({"more": HOOD}, "hood_velocity"),
    ],
    ids=["plain", "door", "coat", "fraction", "can", "result", "hood"],
)
def test_what_is_called_for_a_job_is_named_for_it(tmp_path: Path, given: dict[str, str], among: str) -> None:
    """Whatever name it goes by there: each call made while a sheet is computed is watched."""
    folder = _shop(tmp_path, **given)
    called, report = watched(lambda: sheet(folder, "rollers"))
    assert called <= named(report), "the sheet went through an equation that it does not name"
    assert among in called & named(report)


def test_a_stream_is_named(tmp_path: Path) -> None:
    shop = places.SHOP.format(kind="booth", more='face_velocity = "0.5 m/s"')
    folder = write_shop(tmp_path, shop, {"lacquer-wash": places.PRODUCT}, {"frames": places.JOB.format(more="")})
    called, report = watched(lambda: sheet(folder, "frames"))
    assert "stream_exchange" in called <= named(report)


def named(report: Report) -> set[str]:
    """What is said of the first substance of its air."""
    substance = report.exposure.substances[0]
    (text,) = (value for label, value in origin.made_of(report.exposure, substance.cas) if label == "equations")
    return set(text.split(", "))


def watched(work: Any) -> tuple[set[str], Report]:
    """The formulas that are called from the engine while ``work`` is done, and what it gives."""
    codes: dict[CodeType, Formula] = {one.function.__code__: one for one in catalogue().values()}
    files = {str(path) for path in ENGINE.glob("*.py")}
    files |= {str(import_module(name).__file__) for name in BESIDE}
    found: set[str] = set()

    def look(frame: FrameType, event: str, _: object) -> None:
        caller = frame.f_back
        if event == "call" and frame.f_code in codes and caller and caller.f_code.co_filename in files:
            found.add(codes[frame.f_code].name)

    before = sys.getprofile()
    sys.setprofile(look)
    try:
        done = work()
    finally:
        sys.setprofile(before)
    return found - NOT_OF_THE_AIR, done
