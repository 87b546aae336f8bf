"""Every hazard statement of the substances, as the list of harmonised classes prints it.

printed_classes.csv is a transcription: one line a statement, in the notation of the list (``*`` a minimum category,
``seen``: the list was read, or a page about the change, or neither). The substances hold no other statement.
"""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path

import pytest

from safety.cited import Unknown
from safety.model import Band, Classification
from safety.model.classes import EXTRACT
from safety.reference import Reference, load
from safety.reference.data_files import DATA
from safety.reference.substance_files import read_substance

with (Path(__file__).parent / "printed_classes.csv").open() as _stream:
    PRINTED = list(csv.DictReader(_stream))

#: Statement -> the classes it can stand for, with their categories: CLP Annex I, label elements of each chapter.
CLASS_OF = {
    "H220": {"Flam. Gas 1"},
    "H225": {"Flam. Liq. 2"},
    "H226": {"Flam. Liq. 3"},
    "H301": {"Acute Tox. 3"},
    "H302": {"Acute Tox. 4"},
    "H304": {"Asp. Tox. 1"},
    "H311": {"Acute Tox. 3"},
    "H312": {"Acute Tox. 4"},
    "H315": {"Skin Irrit. 2"},
    "H317": {"Skin Sens. 1", "Skin Sens. 1A", "Skin Sens. 1B"},
    "H318": {"Eye Dam. 1"},
    "H319": {"Eye Irrit. 2"},
    "H330": {"Acute Tox. 1", "Acute Tox. 2"},
    "H331": {"Acute Tox. 3"},
    "H332": {"Acute Tox. 4"},
    "H334": {"Resp. Sens. 1", "Resp. Sens. 1A", "Resp. Sens. 1B"},
    "H335": {"STOT SE 3"},
    "H336": {"STOT SE 3"},
    "H340": {"Muta. 1A", "Muta. 1B"},
    "H341": {"Muta. 2"},
    "H350": {"Carc. 1A", "Carc. 1B"},
    "H351": {"Carc. 2"},
    "H360": {"Repr. 1A", "Repr. 1B"},
    "H361": {"Repr. 2"},
    "H370": {"STOT SE 1"},
    "H372": {"STOT RE 1"},
    "H373": {"STOT RE 2"},
    "H400": {"Aquatic Acute 1"},
    "H410": {"Aquatic Chronic 1"},
    "H411": {"Aquatic Chronic 2"},
    "H412": {"Aquatic Chronic 3"},
}


def _percent(share: float) -> str:
    return f"{share * 100:.12g}".replace(".", ",")


def _band(band: Band) -> str:
    low, high = _percent(band.low), "" if band.high is None else _percent(band.high)
    share = f"{low} % ≤ C < {high} %" if high else f"C ≥ {low} %"
    return f"{_name(band.hazard_class, band.category)}; {band.code}: {share}"


def _name(hazard_class: str, category: str) -> str:
    return f"{hazard_class} {category}".strip()


def _limits(one: Classification) -> str:
    found = [_band(band) for band in one.limits]
    if one.m_factor is not None:
        found.append(f"M={one.m_factor:g}")
    if one.ate is not None:
        inhaled = one.code.startswith("H33")
        route = "Inhalation" if inhaled else "Dermal" if one.code.startswith("H31") else "Oral"
        amount = f"{one.ate * 1e3:g} mg/L" if inhaled else f"{one.ate * 1e6:g} mg/kg"
        found.append(f"{route}: ATE = {amount}")
    return "; ".join(found)


def _row(cas: str, one: Classification) -> tuple[str, ...]:
    """A statement of the store in the notation of the list."""
    return (
        cas,
        one.code,
        _name(one.hazard_class, one.category) + (" *" if one.minimum else ""),
        _limits(one),
        {"71-43-2": "P", EXTRACT: "L"}[one.unless[0]] if one.unless else "",
        "" if one.valid_from is None else one.valid_from.isoformat(),
        "" if one.valid_until is None else one.valid_until.isoformat(),
    )


def test_every_statement_is_the_printed_one() -> None:
    held = [
        _row(path.stem, one)
        for path in sorted((DATA / "substances").glob("*.toml"))
        for one in read_substance(path).classes
    ]
    columns = ("cas", "code", "class", "limits", "note", "valid_from", "valid_until")
    printed = [tuple(row[column] for column in columns) for row in PRINTED if row["code"]]
    assert sorted(held) == sorted(printed)


def test_what_was_not_read_says_so() -> None:
    seen = {(row["cas"], row["code"], row["valid_from"]): row for row in PRINTED}
    for path in sorted((DATA / "substances").glob("*.toml")):
        for one in read_substance(path).classes:
            row = seen[path.stem, one.code, "" if one.valid_from is None else one.valid_from.isoformat()]
            assert (not one.unverified) == (row["seen"] == "yes"), row
            assert one.source is not None
            assert one.at.endswith(f"row {row['row']}" if row["seen"] == "yes" else row["source"])


def test_a_substance_without_a_row_is_not_known_but_water_is(shipped: Reference) -> None:
    """Parachlorobenzotrifluoride is in no list; its makers say H226 H317 H351. Water needs no list."""
    bare = {row["cas"] for row in PRINTED if not row["code"]}
    assert bare == {
        "98-56-6", "1333-86-4", "34590-94-8", "7732-18-5", "68551-17-7", "90622-57-4", "109-87-5", "111-90-0",
        "763-69-9", "1569-01-3", "25498-49-1", "29911-28-2", "88917-22-0",
    }  # fmt: skip
    for cas in sorted(bare):
        hazards = shipped.substance(cas).hazards  # type: ignore[union-attr]
        assert hazards == () if cas == "7732-18-5" else isinstance(hazards, Unknown), cas


def test_statement_and_class_belong_together() -> None:
    """CLP Annex I, label elements: a mistyped code or category shows here."""
    for row in PRINTED:
        if row["code"] and not row["code"].startswith("EUH"):
            assert row["class"].removesuffix(" *") in CLASS_OF[row["code"][:4]], row


@pytest.mark.parametrize(
    ("cas", "day", "among", "held"),
    [
        # benzyl alcohol, 21st adaptation: a sensitiser since September 2025, no longer harmful when breathed
        ("100-51-6", date(2025, 8, 31), {"H317", "H319", "H332"}, {"H332"}),
        ("100-51-6", date(2025, 9, 1), {"H317", "H319", "H332"}, {"H317", "H319"}),
        # n-hexane, 22nd adaptation: H373 became H372
        ("110-54-3", date(2026, 4, 30), {"H372", "H373"}, {"H373"}),
        ("110-54-3", date(2026, 5, 1), {"H372", "H373"}, {"H372"}),
        # d-limonene has an entry of its own; H410 is dipentene's
        ("5989-27-5", date(2026, 1, 1), {"H410", "H412"}, {"H412"}),
        ("98-82-8", date(2023, 11, 22), {"H350"}, set()),
        ("98-82-8", date(2023, 11, 23), {"H350"}, {"H350"}),
    ],
)
def test_the_list_of_the_day_holds(cas: str, day: date, among: set[str], held: set[str]) -> None:
    """One list for all days gave the classes of 2024 to a job of today."""
    hazards = load(("eu",), Path(__file__).parent, day).substance(cas).hazards  # type: ignore[union-attr]
    assert set(hazards) & among == held
