"""Rules were loaded and nobody read them: a site in a Serious area was held against the limit of outside all areas."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from types import MappingProxyType

import pytest
import safety_solvent
from safety_solvent import limits
from safety_solvent.accounts import Books

from safety.cited import Unknown
from safety.logbook import make_log
from safety.model import Edition, Flow, Part, Period, Shop
from safety.reference import Reference, load
from safety.workplace import Workplace
from tests.unsafe_answers.shops import write_shop
from tests.unsafe_answers.test_history import DRUM, SHOP, WASH, put

TON = 907.18474  # kg


@pytest.fixture(scope="module")
def rules(tmp_path_factory: pytest.TempPathFactory) -> Reference:
    added = [("solvent", safety_solvent.contribute())]
    return load(("us-federal",), tmp_path_factory.mktemp("shop"), date(2026, 11, 25), added)


@pytest.mark.parametrize(
    ("area", "tons"),
    [(None, 100), ("Marginal or Moderate", 100), ("Serious", 50), ("Severe", 25), ("Extreme", 10), ("Seriuos", 10)],
)
def test_a_major_source_goes_by_its_ozone_area(rules: Reference, area: str | None, tons: float) -> None:
    """40 CFR 70.2, major source, (3). An area misspelt is the strictest of all, and says so."""
    none = Unknown("")
    made = Edition(1, "wash", "Wash", "cleaner", none, none, none, (Part("toluene", "108-88-3", 1.0, 1.0),))
    flow = Flow("2026-11", "use", "", "wash", 1, "", "weighed", 60 * TON, 0.0, 1, 0, 0)
    books = Books(Period("2026-11", "2026-11"), (flow,), {1: made})
    settings = MappingProxyType({} if area is None else {"ozone_area": area})
    caps = limits.caps(books, {}, rules, Shop("S", "si", {}, {}, settings=settings))
    (cap,) = (cap for cap in caps if cap.of == "VOC")
    assert cap.value == pytest.approx(tons * TON)
    assert cap.over == (tons < 60)
    assert ("strictest" in cap.remark) == (area == "Seriuos")


def test_a_large_generator_is_told_how_far_from_the_site_line(tmp_path: Path) -> None:
    """40 CFR 262.17(a)(1)(vi): 15 m (50 ft)."""
    folder = write_shop(tmp_path, SHOP + DRUM, {"wash": WASH}, {})
    waste = {"kind": "waste", "product": "wash", "basis": "weighed", "container": "drum", "way": "job"}
    put(folder, {**waste, "amount": "900 kg", "anyway": "a month in one line"})
    line = "Waste that ignites or reacts stands at least 15 m inside the line of the site"

    def said() -> str:
        report = make_log(Workplace.open(folder), Period("2026-01", "2026-01"))
        return " ".join(next(b.lines for b in report.blocks if b.key == "waste-to-do"))  # type: ignore[union-attr]

    assert line not in said()
    put(folder, {**waste, "amount": "200 kg", "anyway": "a month in one line"})
    assert line in said()
