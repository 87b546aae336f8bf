"""Every shipped data file: layout, keys, sources, check digits, and which value comes first."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from safety.cited import Cited, Unknown
from safety.files.toml import open_document
from safety.model import Substance
from safety.problems import Problems
from safety.reference import cas_is_valid, read_pack, read_substance
from safety.reference.data_files import DATA, SOURCE_KEYS, shipped_sources
from safety.reference.rules_files import LIMIT_KEYS, PACK_KEYS, THRESHOLD_KEYS
from safety.reference.substance_files import ANTOINE, CLASS_KEYS, COMPOSITION_KEYS, HAZARD_KEYS, PROPERTIES, VALUE_KEYS

SUBSTANCES = sorted((DATA / "substances").glob("*.toml"))
PACKS = sorted((DATA / "rules").glob("*.toml"))


# The one way a data file is laid out, so that a change shows as the lines that changed and no others.


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list):
        return f"[{', '.join(map(_toml, value))}]"
    if isinstance(value, dict):
        return f"{{ {', '.join(_pairs(value, tuple(value)))} }}"
    return json.dumps(value)


def _pairs(table: Mapping[str, Any], order: tuple[str, ...]) -> list[str]:
    return [f"{key} = {_toml(table[key])}" for key in order if key in table]


def canonical_substance(data: Mapping[str, Any]) -> str:
    """cas, names, groups, bare hazards, notes by name, composition, classes by code, then the properties in order."""
    lines = _pairs(data, ("cas", "names"))
    if "groups" in data:
        lines.append(f"groups = {{ {', '.join(_pairs(data['groups'], tuple(sorted(data['groups']))))} }}")
    if "hazards" in data:
        lines.append(f"hazards = {{ {', '.join(_pairs(data['hazards'], HAZARD_KEYS))} }}")
    if "notes" in data:
        lines += ["", "[notes]", *_pairs(data["notes"], tuple(sorted(data["notes"])))]
    if "composition" in data:
        lines += ["", "[composition]", *_pairs(data["composition"], COMPOSITION_KEYS)]
    for row in sorted(data.get("classification", ()), key=lambda row: (row["code"].startswith("EUH"), row["code"])):
        lines += ["", "[[classification]]", *_pairs(row, CLASS_KEYS)]
    for name in PROPERTIES:
        for value in data.get(name, ()):
            lines += ["", f"[[{name}]]", *_pairs(value, VALUE_KEYS)]
    return "\n".join(lines) + "\n"


def canonical_pack(data: Mapping[str, Any]) -> str:
    """[pack], tables as they come, thresholds, limits."""
    lines = ["[pack]", *_pairs(data["pack"], PACK_KEYS)]
    others = [key for key in data if key not in ("pack", "threshold", "limit")]
    for name, order in (*((o, ()) for o in others), ("threshold", THRESHOLD_KEYS), ("limit", LIMIT_KEYS)):
        for row in data.get(name, ()):
            lines += ["", f"[[{name}]]", *_pairs(row, order or tuple(row))]
    return "\n".join(lines) + "\n"


def canonical_sources(data: Mapping[str, Any]) -> str:
    """By key, below the first line, which is a comment."""
    lines = []
    for key in sorted(data):
        lines += ["", f"[{key}]", *_pairs(data[key], SOURCE_KEYS)]
    return "\n".join(lines) + "\n"


# ---------------------------------------------------------------- the files


@pytest.mark.parametrize("path", SUBSTANCES, ids=lambda p: p.stem)
def test_substance_file_is_sound(path: Path) -> None:
    document = open_document(path)
    assert document.text == canonical_substance(document.data), (
        "write the lines in the order and form of the right side"
    )
    substance = read_substance(path)  # known keys, units, ranges, sources, check digit, file name
    assert substance.cas == path.stem
    assert len(set(map(str.casefold, substance.names))) == len(substance.names)


@pytest.mark.parametrize("path", PACKS, ids=lambda p: p.stem)
def test_pack_file_is_sound(path: Path) -> None:
    document = open_document(path)
    assert document.text == canonical_pack(document.data), "write the lines in the order and form of the right side"
    assert read_pack(path).id == path.stem


def test_sources_file_is_sound_and_every_source_is_used() -> None:
    document = open_document(DATA / "sources.toml")
    first, rest = document.text.split("\n", 1)
    assert first.startswith("# ")
    assert rest == canonical_sources(document.data)
    used = set()
    for path in SUBSTANCES:
        data = open_document(path).data
        used |= {value["source"] for name in ("classification", *PROPERTIES) for value in data.get(name, ())}
        used |= {data[key]["source"] for key in ("hazards", "composition") if key in data}
    assert used == set(shipped_sources()), "take what nothing is copied from out of safety/data/sources.toml"


#: Standard atomic weights, g/mol (IUPAC 2021, abridged to three decimals).
WEIGHTS = {
    "H": 1.008, "C": 12.011, "N": 14.007, "O": 15.999, "F": 18.998, "S": 32.06, "Cl": 35.45, "Br": 79.904, "Cr": 51.996,
    "Zn": 65.38, "Sr": 87.62,
}  # fmt: skip


#: Fractions of petroleum: their numbers say how they were made. How they evaporate says the product's own data sheet.
BY_THE_PRODUCT = {
    "8002-05-9", "8030-30-6", "64741-65-7", "64742-47-8", "64742-48-9", "64742-49-0", "64742-82-1", "64742-88-7",
    "64742-89-8", "64742-94-5", "64742-95-6", "68551-17-7", "90622-57-4",
}  # fmt: skip


#: Mineral oils: they give off next to nothing, and no table has a molar mass of theirs.
BASE_OILS = {"64742-52-5", "64742-53-6", "64742-54-7", "64742-55-8", "64742-56-9", "64742-65-0"}
#: Isocyanates of which no table gives a vapour pressure near room temperature. How much gets into the air is not known.
WITHOUT_VAPOUR = {"91-08-7", "101-68-8", "9016-87-9"}


def test_every_substance_has_its_elements_and_a_formula_its_molar_mass(substances: tuple[Substance, ...]) -> None:
    """Whether a vapour has a halogen in it hangs on this: none may be missing, and none may be mistyped."""
    for substance in substances:
        made_of, mass = substance.composition, substance.best("molar_mass")
        file = f"{substance.cas}.toml ({substance.name})"
        assert not isinstance(made_of, Unknown), f"{file}: write [composition] with formula, source and at"
        if substance.cas in BY_THE_PRODUCT | BASE_OILS:
            assert made_of.written == "C, H", substance.name
            continue
        assert isinstance(mass, Cited), f"{file}: write [[molar_mass]] with its source"
        atoms = re.findall(r"([A-Z][a-z]?)([0-9]*)", made_of.written)
        strange = {symbol for symbol, _ in atoms} - set(WEIGHTS)
        if "," not in made_of.written and len(atoms) > 1:
            assert not strange, f"{substance.name}: add the standard atomic weight of {strange} to WEIGHTS above"
            total = sum(WEIGHTS[symbol] * int(count or 1) for symbol, count in atoms)
            mistyped = f"{file}: the formula and the molar mass do not go together; mend the one that is mistyped"
            assert total == pytest.approx(mass.value * 1e3, rel=2e-3), mistyped


def test_the_substances_with_halogens(substances: tuple[Substance, ...]) -> None:
    found = {s.cas: s.composition.halogens for s in substances if not isinstance(s.composition, Unknown)}
    named: dict[str, tuple[str, ...]] = {
        "75-09-2": ("Cl",),
        "79-01-6": ("Cl",),
        "98-56-6": ("F", "Cl"),
        "106-94-5": ("Br",),
        "127-18-4": ("Cl",),
        "156-60-5": ("Cl",),
    }
    for cas, halogens in found.items():
        assert named.get(cas, ()) == halogens, f"read its formula, and write above: {cas!r}: {halogens!r},"
    assert set(named) <= set(found)


@pytest.mark.parametrize(
    ("keys", "wrong"),
    [
        ('formula = "C2CL4"', '"L" is no element'),
        ('formula = "c2cl4"', "this is not a molecular formula"),
        ('elements = ["C", "Xx"]', '"Xx" is no element'),
        ("elements = []", "this must be a list of elements"),
        ('formula = "CH4"\nelements = ["C"]', "one of the two"),
        ("", "one of the two"),
        ('formla = "CH4"', 'unknown key "formla"'),
    ],
)
def test_a_slip_in_a_composition_is_a_mistake(tmp_path: Path, keys: str, wrong: str) -> None:
    path = tmp_path / "110-63-4.toml"
    head = 'cas = "110-63-4"\nnames = ["bench diol"]\n\n[composition]\nsource = "chemicals"\nat = "molecular formula"\n'
    path.write_text(head + keys, encoding="utf-8")
    with pytest.raises(Problems) as raised:
        read_substance(path)
    assert any(wrong in problem.wrong for problem in raised.value.problems)


def test_no_name_belongs_to_two_substances(substances: tuple[Substance, ...]) -> None:
    names = [name.casefold() for s in substances for name in s.names]
    assert len(names) == len(set(names))


def test_there_are_enough_substances(substances: tuple[Substance, ...]) -> None:
    assert len(substances) >= 54


# Precedence: the lowest credible flash point, lower limit and autoignition temperature, the highest upper limit.
CAREFUL = {"flash_point": min, "lower_explosive_limit": min, "upper_explosive_limit": max, "autoignition": min}


@pytest.mark.parametrize("name", CAREFUL)
def test_the_careful_value_comes_first(substances: tuple[Substance, ...], name: str) -> None:
    for substance in substances:
        values = [value.value for value in substance.properties.get(name, ())]
        first = (
            f"{substance.cas}.toml ({substance.name}): put the [[{name}]] first that is the {CAREFUL[name].__name__}"
        )
        assert not values or values[0] == CAREFUL[name](values), first


def test_recalled_values_say_so(
    substances: tuple[Substance, ...],
) -> None:
    for substance in substances:
        for name, values in substance.properties.items():
            for value in values:
                write = f'{substance.cas}.toml: write unverified = "from memory, not read" under its [[{name}]]'
                assert value.unverified or value.source.key != "handbooks", write


def test_a_volatile_substance_has_what_the_engine_needs(substances: tuple[Substance, ...]) -> None:
    for substance in substances:
        if "not_volatile" in substance.notes:
            assert not {"vapour_pressure", *ANTOINE} & set(substance.properties), substance.name
        elif substance.cas in BY_THE_PRODUCT | WITHOUT_VAPOUR:
            assert not {"boiling_end", *ANTOINE} & set(substance.properties), substance.name
        else:
            for name in ("molar_mass", "density", "boiling_point", *ANTOINE):
                where = f"{substance.cas}.toml ({substance.name}): write [[{name}]] with its source, or under [notes] not_volatile"
                assert isinstance(substance.best(name), Cited), where


def test_what_has_no_lower_limit_either_does_not_burn_or_is_named_here(substances: tuple[Substance, ...]) -> None:
    unknown = {
        s.name
        for s in substances
        if isinstance(s.best("lower_explosive_limit"), Unknown) and "not_flammable" not in s.notes
        if s.cas not in BY_THE_PRODUCT | BASE_OILS
    }
    # The Pocket Guide prints "?" for HDI; carbon black is a dust; no compilation has the others, and no table a heat of
    # formation to estimate one from. A missing limit stays unknown.
    named = {
        "1-butoxy-2-propanol",
        "1-propoxy-2-propanol",
        "2,6-toluene diisocyanate",
        "4,4'-methylenediphenyl diisocyanate",
        "dipropylene glycol methyl ether acetate",
        "dipropylene glycol n-butyl ether",
        "polymeric MDI",
        "tripropylene glycol methyl ether",
        "2-(2-butoxyethoxy)ethyl acetate",
        "carbon black",
        "dimethyl sulfoxide",
        "hexamethylene diisocyanate",
    }
    assert unknown == named, "write [[lower_explosive_limit]] into its file; where no source has one, its name here"


def test_no_explosive_limits_cross(substances: tuple[Substance, ...]) -> None:
    for substance in substances:
        low, high = substance.best("lower_explosive_limit"), substance.best("upper_explosive_limit")
        if isinstance(low, Cited) and isinstance(high, Cited):
            assert 0 < low.value < high.value < 1, f"{substance.cas}.toml: mend the explosive limits, they cross"


def test_no_proprietary_limits() -> None:
    for path in PACKS:
        assert not {limit.list for limit in read_pack(path).limits} - {
            "OSHA PEL", "NIOSH REL", "NIOSH IDLH", "EPA TSCA section 6", "EU indicative OELV", "EU binding OELV",
            "REACH DNEL",
        }  # fmt: skip


@pytest.mark.parametrize(
    ("cas", "valid"),
    [
        ("7732-18-5", True),  # water, the worked example of Chemical Abstracts Service
        ("107-07-3", True),  # 2-chloroethanol, the second worked example
        ("108-88-3", True),
        ("108-88-4", False),
        ("108-883", False),
        ("", False),
        (" 108-88-3", False),
        ("1O8-88-3", False),
    ],
)
def test_check_digit(cas: str, valid: bool) -> None:
    assert cas_is_valid(cas) is valid
