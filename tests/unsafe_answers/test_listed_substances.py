"""One of several chemicals over a threshold was told, and what no row names made every total UNKNOWN.

Toluene and xylene were both over 10,000 lb, and the log named toluene alone. Octane, which is on no list, left the
total of HAP unknown, since a list was only what had been looked up.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
import safety_solvent
from safety_solvent import limits
from safety_solvent.accounts import Books
from safety_solvent.books import Kind, kind_called
from safety_solvent.listing import unsaturation

from safety.cited import Source, Unknown
from safety.files.toml import open_document
from safety.model import Composition, Edition, Flow, Part, Period, Shop, Substance
from safety.reference import Reference, cas_is_valid, load

RULES = Path(safety_solvent.__file__).parent / "rules" / "us-federal.toml"


@pytest.fixture(scope="module")
def rules(tmp_path_factory: pytest.TempPathFactory) -> Reference:
    added = [("solvent", safety_solvent.contribute())]
    return load(("us-federal",), tmp_path_factory.mktemp("shop"), date(2026, 11, 25), added)


def made_of(formula: str) -> Substance:
    source = Source("book", "A book", "", "", "")
    return Substance("1-11-1", "x", (), {}, composition=Composition((), formula, source, "p. 1"))


@pytest.mark.parametrize(
    ("cas", "formula", "listed"),
    [
        ("75-05-8", "C2H3N", True),  # acetonitrile: on the list by number, and no row of ours named it
        ("64-18-6", "CH2O2", False),  # formic acid: the totals were UNKNOWN for it
        ("124-18-5", "C10H22", False),  # decane has ten carbons and no rings
        ("90-12-0", "C11H10", None),  # methylnaphthalene may be polycyclic organic matter
        ("110-49-6", "C5H10O3", None),  # methoxyethyl acetate is a glycol ether, and no formula tells
        ("13463-39-3", "C4NiO4", None),
        ("74-90-8", "CHN", None),
        ("999-99-9", "", None),  # without a formula nobody knows
    ],
)
def test_what_is_not_on_the_whole_list_is_known_not_to_be(
    rules: Reference, monkeypatch: pytest.MonkeyPatch, cas: str, formula: str, listed: bool | None
) -> None:
    """42 USC 7412(b)(1): 171 numbers and groups, of which glycol ethers, cyanides and metals go by what they hold."""
    found = made_of(formula) if formula else Unknown("no data")
    monkeypatch.setattr(type(rules), "substance", lambda self, _: found)
    kind = kind_called("HAP", rules)
    assert kind is not None
    assert kind.counts(cas) is listed


@pytest.mark.parametrize(
    ("atoms", "rings"), [({"C": 2, "H": 4}, 1), ({"C": 6, "H": 6}, 4), ({"C": 1, "H": 1, "N": 1}, 2)]
)
def test_rings_and_double_bonds_from_a_formula(atoms: dict[str, int], rings: int) -> None:
    """Ethylene one, benzene four, hydrogen cyanide two."""
    from collections import Counter

    assert unsaturation(Counter(atoms)) == rings


def test_the_whole_list_is_whole() -> None:
    """188 entries with 17 groups, of which 171 have a number; each number stands once and is a number."""
    (listing,) = open_document(RULES).data["listing"]
    numbers = listing["numbers"]
    assert (len(numbers), len(set(numbers))) == (171, 171)
    assert all(map(cas_is_valid, numbers))
    named = {row["cas"]: row["listed"] for row in open_document(RULES).data["hap"]}
    assert not [cas for cas in numbers if named.get(cas) is False], "a row says otherwise"


def test_every_chemical_over_a_threshold_is_named(rules: Reference) -> None:
    """40 CFR 372.25(b): 10,000 lb of each, 4536 kg. Toluene was named alone."""
    parts = (Part("toluene", "108-88-3", 0.5, 0.5), Part("xylene", "1330-20-7", 0.5, 0.5))
    none = Unknown("")
    made = Edition(1, "wash", "Wash", "cleaner", none, none, none, parts)
    flow = Flow("2026-11", "use", "", "wash", 1, "", "weighed", 12000.0, 0.0, 1, 0, 0)
    books = Books(Period("2026-11", "2026-11"), (flow,), {1: made})
    caps = limits.caps(books, {}, rules, Shop("S", "si", {}, {}))
    over = [cap.title for cap in caps if cap.over and "nventory" in cap.name]
    assert sorted(over) == ["toluene", "xylene"]
    assert isinstance(kind_called("HAP", rules), Kind)
