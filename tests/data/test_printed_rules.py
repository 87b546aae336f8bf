"""Every number of the rules packs, in the core and in the plugins, as the rule prints it.

printed_rules.csv is a transcription: one line a number, in the unit and with the sign of the text it names (``seen``:
the text was read, or is from memory). A pack holds no number beyond these, but for what its own citation calls ours,
or common practice without a source: nothing outside says what those must be.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from safety import units
from safety.files.toml import open_document
from safety.reference.data_files import DATA

PLUGINS = Path(__file__).parents[2] / "plugins"
PACKS = {
    "core/general": DATA / "rules" / "general.toml",
    "measured/general": PLUGINS / "safety_measured" / "rules" / "general.toml",
    "ignition/general": PLUGINS / "safety_ignition" / "rules" / "general.toml",
    "ignition/us-federal": PLUGINS / "safety_ignition" / "rules" / "us-federal.toml",
    "properties/general": PLUGINS / "safety_properties" / "rules" / "general.toml",
    "protection/eu": PLUGINS / "safety_protection" / "rules" / "eu.toml",
    "hydrocarbon-groups": DATA / "rules" / "hydrocarbon-groups.toml",
    "protection/us-federal": PLUGINS / "safety_protection" / "rules" / "us-federal.toml",
    "protection/practice": PLUGINS / "safety_protection" / "data" / "practice.toml",
    "protection/gloves": PLUGINS / "safety_protection" / "data" / "gloves.toml",
    "solvent/eu": PLUGINS / "safety_solvent" / "rules" / "eu.toml",
    "solvent/general": PLUGINS / "safety_solvent" / "rules" / "general.toml",
    "solvent/us-federal": PLUGINS / "safety_solvent" / "rules" / "us-federal.toml",
    "ventilation/us-federal": PLUGINS / "safety_ventilation" / "rules" / "us-federal.toml",
    "waste/eu": PLUGINS / "safety_waste" / "rules" / "eu.toml",
    "waste/general": PLUGINS / "safety_waste" / "rules" / "general.toml",
    "waste/us-federal": PLUGINS / "safety_waste" / "rules" / "us-federal.toml",
}
#: What tells two rows of a table apart, and what is a number though it is written as text.
KEYS = ("id", "area", "activity", "property", "code", "stream", "kind", "facepiece", "mode", "letter", "gives", "cas")
ALSO = {"spent_solvent": ("codes",), "unused_product": ("code",), "shipping": ("un", "class"),
        "shipping_neat": ("un", "class"), "exempt_operation": ("number",)}  # fmt: skip
#: Tables whose numbers stand elsewhere: lists of names, of codes that name each other, and the glove lists.
APART = {"list_of_waste", "counted_threshold", "spent_solvent_code", "shipping_order", "solvent_record", "source"}
OURS = re.compile(r"\b(our|no source)\b")

with (Path(__file__).parent / "printed_rules.csv").open() as _stream:
    PRINTED = {(r["pack"], r["table"], r["row"], r["field"]): r for r in csv.DictReader(_stream)}

Number = tuple[str, str]  # as the pack writes it, and its sign or ""


def _row_key(table: str, row: Mapping[str, Any], seen: Counter[str]) -> str:
    """What names a row: its keys, the parts it sums over, and its place among its like."""
    names = ("name",) if table == "threshold" else tuple(k for k in KEYS if k not in ALSO.get(table, ()))
    key = " / ".join(str(row[k]) for k in names if row.get(k))
    if table == "diffusion":
        key += f" / {row['material']}"
    if "weights" in row:
        key += f" / {'+'.join(row['weights'])}"
    seen[key] += 1
    return (f"{key} #{seen[key]}" if seen[key] > 1 or not key else key).strip()


def _fields(table: str, row: Mapping[str, Any]) -> Iterator[Number]:
    """Field and what it holds, for each that holds a number."""
    for field, value in row.items():
        if isinstance(value, Mapping):
            yield from ((f"{field}.{k}", str(v)) for k, v in value.items() if isinstance(v, (int, float)))
        elif isinstance(value, list):
            if value and (all(isinstance(v, (int, float)) for v in value) or field in ALSO.get(table, ())):
                yield field, " ".join(map(str, value))
        elif not isinstance(value, bool) and (
            isinstance(value, (int, float))
            or field in ALSO.get(table, ())
            or (field in QUANTITIES and re.match(r"-?[\d.]", value))
        ):
            yield field, str(value)


QUANTITIES = ("value", "limit", "quantity", "consumption", "over", "up_to", "diffusivity", "viscosity_up_to",
              "flammable_from", "waste_gas")  # fmt: skip


def _held() -> dict[tuple[str, str, str, str], Number]:
    found = {}
    for pack, path in PACKS.items():
        for table, rows in open_document(path).data.items():
            seen: Counter[str] = Counter()
            for row in rows if isinstance(rows, list) and table not in APART else ():
                key = _row_key(table, row, seen)
                if not OURS.search(" ".join(str(row.get(k, "")) for k in ("citation", "unverified"))):
                    for field, text in _fields(table, row):
                        found[pack, table, key, field] = text, str(row.get("compare", ""))
    return found


HELD = _held()


def _same(ours: str, printed: str) -> bool:
    """Equal as numbers, in whatever unit each is written; 2 % or 0.3 K apart where two units round one figure."""
    if ours == printed:
        return True
    both = [re.fullmatch(r"(-?[\d.]+(?:e-?\d+)?)(?: (\S+))?", text) for text in (ours, printed)]
    if not all(both):
        return [float(x) if re.fullmatch(r"[\d.]+", x) else x for x in ours.split()] == [
            float(x) if re.fullmatch(r"[\d.]+", x) else x for x in printed.split()
        ]
    (one, unit), (other, theirs) = (m.groups() for m in both if m)
    if unit == theirs:
        return float(one) == pytest.approx(float(other), rel=1e-9, abs=0.0)
    kind = next(k for k, v in units.KINDS.items() if {unit, theirs} <= set(v.units))
    near = {"abs": 0.3} if kind == "temperature" else {"rel": 0.02, "abs": 0.0}
    return units.read(ours, kind) == pytest.approx(units.read(printed, kind), **near)


def test_every_number_of_a_pack_is_the_printed_one() -> None:
    wrong = {
        key: (text, row["printed"]) for key, row in PRINTED.items() if not _same(text := HELD[key][0], row["printed"])
    }
    assert wrong == {}


def test_every_sign_of_a_pack_is_the_printed_one() -> None:
    """Which side of the bound the value itself is on: "exceeds", "or more", "less than", "no more than"."""
    wrong = {key: HELD[key][1] for key, row in PRINTED.items() if row["sign"] and HELD[key][1] != row["sign"]}
    assert wrong == {}


def test_no_number_of_a_pack_is_without_a_printed_one() -> None:
    assert sorted(set(HELD) - set(PRINTED)) == []


def test_printed_rows_say_where_they_are_from() -> None:
    for row in PRINTED.values():
        assert row["at"]
        assert row["seen"] in {"yes", "memory"}
    assert len(PRINTED) > 650


# ---------------------------------------------------------------- gloves

GLOVES = open_document(PACKS["protection/gloves"]).data
CHART_MATERIALS = ("neoprene", "natural rubber", "butyl", "nitrile")


def test_every_rating_is_the_chart_s() -> None:
    """OSHA 3151 (2004), from memory: printed_glove_chart.csv has it as the chart is laid out, a substance a line."""
    with (Path(__file__).parent / "printed_glove_chart.csv").open() as stream:
        chart = {
            (row["cas"], row["substance"], material): (row[material], row["limited"] == "*")
            for row in csv.DictReader(stream)
            for material in CHART_MATERIALS
        }
    ours = {
        (row["cas"], row["substance"], row["material"]): (row["rating"], row.get("limited", False))
        for row in GLOVES["rating"]
    }
    assert ours == chart


def test_a_thick_glove_is_what_the_guidelines_call_thick() -> None:
    """University of Nevada, Reno, 2022: gloves of 18 to 28 mil for direct contact."""
    found = {row["thickness"] for row in GLOVES["recommended"] if "thickness" in row}
    low, high = (units.convert(units.read(mil, "length"), "length", "mm") for mil in ("18 mil", "28 mil"))
    assert found == {f"{low:.2f} to {high:.2f} mm"}
