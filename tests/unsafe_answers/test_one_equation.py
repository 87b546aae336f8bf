"""Which of several vapour pressure equations the air takes.

The engine took the first of a file, whatever it was fitted over, and all else that of the temperature: one sheet stood
on two vapour pressures of one liquid.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from safety.cited import Cited
from safety.formulas.ignition import antoine_pressure
from safety.model import Substance
from safety.reference import load

CAS = "110-63-4"  # of no shipped substance; the data are those of n-propyl acetate
DATA = Path(load.__code__.co_filename).parents[1] / "data" / "substances"
#: Fitted far above any room, where it says a tenth of what the liquid gives off in one.
HOT = {"antoine_a": 'value = "9.05548"\nlow = "380 K"\nhigh = "480 K"', "antoine_b": 'value = "1526 K"'}
HOT |= {"antoine_c": 'value = "-70.07 K"'}


def own(folder: Path, hot_first: bool) -> Substance:
    """The substance of a shop whose file has one more equation, before or behind those of a room."""
    text = (
        (DATA / "109-60-4.toml").read_text("utf-8").replace("109-60-4", CAS).replace("propyl acetate", "made-up ester")
    )
    for name, value in HOT.items():
        record = f'[[{name}]]\n{value}\nsource = "poling"\nat = "made up"\n\n'
        at = text.index(f"[[{name}]]") if hot_first else len(text)
        text = text[:at] + ("" if hot_first else "\n") + record + text[at:]
    (folder / "substances").mkdir(parents=True)
    (folder / "substances" / f"{CAS}.toml").write_text(text, encoding="utf-8")
    found = load((), folder, date(2026, 11, 30)).substance(CAS)
    assert isinstance(found, Substance)
    return found


@pytest.mark.parametrize("hot_first", [True, False])
def test_the_air_stands_on_the_equation_of_a_room(tmp_path: Path, hot_first: bool) -> None:
    """3.36 kPa at 20 degC are in the file as measured; the equation of 107 to 207 degC, first in it, says 0.3 kPa."""
    substance = own(tmp_path, hot_first)
    used = [substance.best(name) for name in HOT]
    a, b, c = (one.value for one in used if isinstance(one, Cited))
    assert float(antoine_pressure(a, b, c, 293.15)) == pytest.approx(3359.3, rel=0.02)
    assert len(substance.properties["antoine_a"]) == 3


def test_elsewhere_the_one_of_the_temperature_is_used(tmp_path: Path) -> None:
    own(tmp_path, hot_first=True)
    hot = load((), tmp_path, date(2026, 11, 30)).vapour_pressure(CAS, 450.0)
    assert dict(hot.inputs)["a"].at == "made up"  # type: ignore[union-attr]
    assert not hot.note  # type: ignore[union-attr]
