"""Two packs on one thing: rows add up, the tighter one holds, both are named, and the order of the packs is nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from safety import units
from safety.cli.check import command as check
from safety.hosting import host
from safety.model import Contribution, Key, Pack, Report, TableSchema
from safety.problems import Problems
from safety.reference import Reference, declared_tables, load, row_shapes, tables
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Sign workshop (invented)"
altitude = "0 m"
rules = [{rules}]
{more}
[[place]]
id = "hall"
kind = "room"
volume = "800 m^3"
temperature = "20 degC"

[[place.air]]
state = "fan on"
air_changes = ["6 /hour", "9 /hour"]
air_speed = ["0.1 m/s", "0.3 m/s"]
basis = "invented"
"""

PRODUCT = """
[product]
id = "cleaner"
name = "Plate cleaner"
role = "{role}"
purpose = "{role}"
density = "0.95 g/mL"
flash_point = "{flash}"
boiling_point = "56 degC"
hazards = "unknown"
sds_revised = 2026-01-15
{parts}
"""
PART = '\n[[product.part]]\ncas = "{cas}"\nweight = "{share}"\n'

JOB = """
[job]
id = "plates"
title = "Clean the plates"
place = "hall"
air = "fan on"
start = 2026-11-25T08:00:00
crew = 2

[[step]]
name = "Wipe"
duration = "5 min"

[[step.use]]
product = "cleaner"
work = "wipe"
amount = "20 mL"
area = "0.5 m^2"
"""

PACK = """
[pack]
id = "{id}"
title = "House rules (invented)"
jurisdiction = "this shop"
edition = "2026"
{replaces}
"""
ORIGIN = 'citation = "house rule {number}"\nedition = "2026"\n'


def house(*rows: str, id: str = "house", replaces: bool = False) -> str:
    """A rules pack of the shop's own, from rows that begin with the name of their table."""
    text = PACK.format(id=id, replaces="replaces = true" if replaces else "")
    for number, row in enumerate(rows, 1):
        name, _, keys = row.strip().partition("\n")
        text += f"\n[[{name}]]\n{keys}\n{ORIGIN.format(number=number)}"
    return text


def shop(
    folder: Path,
    packs: str,
    rules: Sequence[str],
    parts: dict[str, str] | None = None,
    role: str = "cleaner",
    more: str = "",
) -> Path:
    """A shop with one product, one job and one pack of its own, ``rules/house.toml``."""
    text = "".join(PART.format(cas=cas, share=share) for cas, share in (parts or {"67-64-1": "100 %"}).items())
    return write_shop(
        folder,
        SHOP.format(rules=", ".join(f'"{rule}"' for rule in rules), more=more),
        {"cleaner": PRODUCT.format(role=role, parts=text, flash="-17 degC")},
        {"plates": JOB},
        {"house": packs},
    )


FIRST, LAST = ("rules/house.toml", "us-federal"), ("us-federal", "rules/house.toml")
BOTH_WAYS = pytest.mark.parametrize("rules", [FIRST, LAST], ids=["house first", "house last"])


def keys(report: Report, begin: str) -> dict[str, str]:
    return {f.key: f.level for f in report.findings if f.key.startswith(begin)}


def told(folder: Path) -> list[str]:
    """Every line that ``check`` prints of a shop with mistakes; ``sheet`` refuses it with the same ones."""
    result = CliRunner().invoke(check, [str(folder)])
    assert result.exit_code == 2, result.output
    lines = result.stderr.splitlines()
    with pytest.raises(Problems) as caught:
        sheet(folder, "plates")
    assert {str(p) for p in caught.value.problems} <= set(lines)
    return lines


# ---------------------------------------------------------------- rows add up

ACETONE = 'restricted\nid = "house-acetone"\ncas = ["67-64-1"]\nlevel = "stop"\npercent = 5\ntext = "Acetone is not used in this house."'
HALOGENATED = {"67-64-1": "50 %", "75-09-2": "50 %"}


@BOTH_WAYS
def test_one_row_of_a_house_takes_none_of_the_law_away(tmp_path: Path, rules: Sequence[str]) -> None:
    """First, the house row made the federal table vanish: dichloromethane at 50 % was no stop. Last, it was ignored."""
    found = keys(sheet(shop(tmp_path, house(ACETONE), rules, HALOGENATED), "plates"), "restricted-")
    assert found.items() >= {"restricted-house-acetone": "stop", "restricted-tsca-75-09-2": "stop"}.items()


@BOTH_WAYS
def test_waste_rows_of_two_packs_add_up(tmp_path: Path, rules: Sequence[str]) -> None:
    """Last, a house row on acetone took its federal code F003 off; first, it did nothing."""
    row = 'spent_solvent\ncas = "67-64-1"\nname = "acetone"\ncodes = ["F005"]'
    report = sheet(shop(tmp_path, house(row), rules), "plates")
    codes = {f.short for f in report.findings if f.key.startswith("waste-code:")}
    assert codes
    assert all("F003" in one and "F005" in one for one in codes)


# ---------------------------------------------------------------- the tighter one holds, and both are named


@BOTH_WAYS
def test_the_lower_cut_off_holds_and_both_packs_are_named(tmp_path: Path, rules: Sequence[str]) -> None:
    """First, one house cut-off was the only one there was, and 15 % of an eye irritant was none; last, it was ignored."""
    row = 'mixture_cutoff\ngives = "H319"\nweights = {H314 = 10, H318 = 10, H319 = 1}\npercent = 5\ningredient_from = 1'
    parts = {"67-64-1": "7 %", "7732-18-5": "93 %"}
    report = sheet(shop(tmp_path, house(row), rules, parts), "plates")
    (hazards,) = [f for f in report.findings if f.key == "product-hazards-cleaner"]
    assert "H319" in hazards.statement
    inputs = {f.name: dict(f.inputs) for f in hazards.figures}["H319"]
    assert inputs["cut-off"].pack == "house"
    assert "pack us-federal says 10, 1: looser, not used" in hazards.rule
    strong = {"67-64-1": "50 %", "7732-18-5": "50 %"}
    (tmp_path / "strong").mkdir()
    (other,) = [
        f
        for f in sheet(shop(tmp_path / "strong", house(row), rules, strong), "plates").findings
        if f.key == "product-hazards-cleaner"
    ]
    assert {"H319", "H336"} <= {f.name for f in other.figures}  # the federal cut-offs are still there


@BOTH_WAYS
def test_the_tighter_solvent_limit_holds(tmp_path: Path, rules: Sequence[str]) -> None:
    """Last, a house limit on a coating was ignored: the first row of an id was taken."""
    row = 'coating_limit\nid = "primer"\ntitle = "primer"\nlimit = "200 g/L"\nprinted = "200 g/L"\ncompare = "over"'
    reference = loaded(shop(tmp_path, house(row), rules), rules)
    (only,) = [row for row in reference.table("coating_limit") if row["id"] == "primer"]
    assert (only["pack"], only["limit"]) == ("house", "200 g/L")
    assert tables.beside(only) == "pack us-federal says 350 g/L: looser, not used"


def test_two_countries_at_once_give_the_tighter_of_both(tmp_path: Path) -> None:
    """By the pack that came first: 2 % of a reproductive toxicant gave no H361 in an EU shop with the US rules too."""
    for rules in (("us-federal", "eu"), ("eu", "us-federal")):
        reference = loaded(tmp_path, rules)
        cut = {
            (row["gives"], *row["weights"]): (row["percent"], row["pack"]) for row in reference.table("mixture_cutoff")
        }
        assert cut["H361", "H361"] == (0.1, "us-federal")  # 29 CFR 1910.1200 appendix A; EU 3 %
        factors = {
            (row["kind"], row["facepiece"], row["mode"]): row["factor"] for row in reference.table("protection_factor")
        }
        assert factors["air-purifying", "full facepiece", ""] == 20  # EN 136 with a gas filter; 29 CFR 1910.134: 50
        assert factors["supplied air", "hood", "continuous flow"] == 25  # 29 CFR 1910.134; trade summary: 40


# ---------------------------------------------------------------- nothing loosens silently

LOOSE = 'restricted\nid = "tsca-75-09-2"\ncas = ["75-09-2"]\nlevel = "control"\npercent = 10\ntext = "We use it all the same."'


@BOTH_WAYS
def test_a_looser_row_of_a_house_is_a_mistake(tmp_path: Path, rules: Sequence[str]) -> None:
    """First, it stood in for the ban: a note. Last, it was ignored, and nobody told the shop."""
    (line,) = told(shop(tmp_path, house(LOOSE), rules, HALOGENATED))
    assert line == (
        "rules/house.toml: restricted tsca-75-09-2: control, 10 is looser than stop, 0.1, 1, 2, 16, ban of us-federal; tighten it, or write "
        'replaces = true in the [pack] of "house"'
    )


@BOTH_WAYS
def test_a_pack_that_says_so_replaces_and_the_sheet_names_both(tmp_path: Path, rules: Sequence[str]) -> None:
    report = sheet(shop(tmp_path, house(LOOSE, replaces=True), rules, HALOGENATED), "plates")
    (found,) = [f for f in report.findings if f.key == "restricted-tsca-75-09-2"]
    assert found.level == "control"
    assert "pack us-federal says stop, 0.1, 1, 2, 16, ban: replaced" in found.rule


def test_a_row_that_takes_a_duty_away_must_say_so(tmp_path: Path) -> None:
    """It exempted the whole solvent from the count of VOC, and nobody noticed."""
    row = 'voc_exempt\ncas = "108-88-3"\nname = "toluene"'
    (line,) = told(shop(tmp_path / "one", house(row), LAST))
    assert line == (
        "rules/house.toml:9: [[voc_exempt]] 1: this row takes a duty away; if that is meant, write replaces = true in "
        'the [pack] of "house"'
    )
    sheet(shop(tmp_path / "two", house(row, replaces=True), LAST), "plates")


def test_a_row_in_a_list_no_rule_looks_at_is_a_mistake(tmp_path: Path) -> None:
    row = 'wipes_are\nwipe = false\nitems = ["lint"]'
    assert told(shop(tmp_path, house(row), LAST)) == [
        "rules/house.toml:9: [[wipes_are]] 1: no rule looks at this table: a row in it would change nothing; take it out"
    ]


# ---------------------------------------------------------------- what nobody reads


@BOTH_WAYS
def test_a_misspelt_table_is_a_mistake(tmp_path: Path, rules: Sequence[str]) -> None:
    """It was "no mistakes", and the ban the shop had written was nowhere."""
    packs = house(ACETONE.replace("restricted", "restrcted"))
    assert told(shop(tmp_path, packs, rules)) == [
        'rules/house.toml:9: [[restrcted]] 1: no table is called "restrcted"; did you mean "restricted"?'
    ]


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("percent = 5", "precent = 5", '13: [[restricted]] 1, precent: unknown key "precent"; did you mean "percent"?'),
        ("percent = 5", 'percent = "5 %"', "13: [[restricted]] 1, percent: this is not a plain number; write it "
         "without quotes and without a unit"),
        ("percent = 5", "percent = 500", "13: [[restricted]] 1, percent: 500.0 is not from 0 to 100; write the percent "
         "as a plain number"),
        ('level = "stop"', 'level = "stopp"', '12: [[restricted]] 1, level: "stopp" is not known here; did you mean '
         '"stop"?'),
        ("67-64-1", "67-64-2", '11: [[restricted]] 1, cas: "67-64-2" is mistyped'),
        ('edition = "2026"\n\n[[', 'edition = "2026"\n\n[[', ""),
    ],
)  # fmt: skip
def test_mistakes_in_a_row(tmp_path: Path, old: str, new: str, line: str) -> None:
    """A misspelt key was "no mistakes": the row counted from 0 %, or ended the run with a traceback."""
    folder = shop(tmp_path, house(ACETONE.replace(old, new)), LAST)
    if not line:
        assert sheet(folder, "plates").findings
        return
    found = told(folder)
    assert any(f"rules/house.toml:{line}" in one for one in found), found


def test_a_row_given_twice_is_a_mistake(tmp_path: Path) -> None:
    lines = told(shop(tmp_path, house(ACETONE, ACETONE.replace("5", "1")), LAST))
    assert lines == ['rules/house.toml:18: [[restricted]] 2: "restricted house-acetone" is given twice']


def test_a_table_of_a_plugin_that_is_not_there_is_no_mistake_but_said(tmp_path: Path) -> None:
    """Who knows whether it is misspelt; the sheet is printed and says that nobody read it."""
    row = 'night-shift\nfrom = "22:00"'
    folder = shop(tmp_path, house(row), LAST, more='plugins = ["broken.py"]')
    (folder / "broken.py").write_text("raise RuntimeError", encoding="utf-8")
    checked = CliRunner().invoke(check, [str(folder)])
    assert checked.exit_code == 0, checked.output
    assert 'note: rules/house.toml:9: [[night-shift]] 1: no table is called "night-shift"; ' in checked.stdout
    assert "a plugin that is not here, or was not run, may read it: the sheet will say" in checked.stdout
    report = sheet(folder, "plates")
    assert "Nobody who is here reads the table [[night-shift]] of rules/house.toml." in report.missing
    assert not report.complete


# ---------------------------------------------------------------- who declares what


@cache
def added() -> list[tuple[str, Contribution]]:
    """What our own plugins add."""
    return [one for one in host.load().ask("contribute") if one[0] in host.BUILT_IN]


def loaded(folder: Path, rules: Sequence[str]) -> Reference:
    return load(rules, folder, date(2026, 11, 25), added())


DUTY = TableSchema("night-shift", "Who works at night.", (Key("people", "whole"),), ("people",))


def test_a_table_nobody_declares_says_what_to_write(tmp_path: Path) -> None:
    row = {"people": 2, "citation": "house", "edition": "2026"}
    pack = Pack("general", "x", "here", "2026", tables={"night-shift": (row,)})
    with pytest.raises(Problems) as caught:
        load((), tmp_path, date(2026, 11, 25), [("stranger", Contribution(packs=(pack,)))])
    (line,) = map(str, caught.value.problems)
    assert line.startswith('plugin stranger: contribute: no table is called "night-shift"; ')
    assert 'declare the table "night-shift" in the contribute() of the plugin that reads it' in line
    with pytest.raises(LookupError, match="declare the table"):
        load((), tmp_path, date(2026, 11, 25)).table("night-shift")


def test_two_plugins_that_declare_one_table_differently() -> None:
    """The later-named one fails, in whatever order they are asked."""
    other = replace(DUTY, same=())
    for order in ((("bbb", other), ("aaa", DUTY)), (("aaa", DUTY), ("bbb", other))):
        with pytest.raises(Problems) as caught:
            declared_tables([(name, Contribution(tables=(schema,))) for name, schema in order])
        assert list(map(str, caught.value.problems)) == [
            'plugin bbb: contribute: the table "night-shift" is declared otherwise by aaa'
        ]
    assert declared_tables([("aaa", Contribution(tables=(DUTY,))), ("bbb", Contribution(tables=(DUTY,)))])


@pytest.mark.parametrize(
    ("schema", "wrong"),
    [
        (replace(DUTY, name="threshold"), 'a table cannot be called "threshold"'),
        (replace(DUTY, same=("day",)), 'goes by a key "day" that it does not declare'),
        (replace(DUTY, keys=(Key("people", "hole"),)), 'no kind of key is called "hole"; did you mean "whole"?'),
        (replace(DUTY, keys=(Key("citation"),)), "declares a key that is there already: citation"),
    ],
)
def test_a_declaration_that_cannot_be(schema: TableSchema, wrong: str) -> None:
    with pytest.raises(Problems, match=wrong.replace("?", r"\?")):
        declared_tables([("stranger", Contribution(tables=(schema,)))])


# ---------------------------------------------------------------- for every table there is


def schemas() -> list[TableSchema]:
    return list(declared_tables(added()).values())


def _values(key: Key) -> st.SearchStrategy[Any]:
    """A few values of a key, so that rows often meet."""
    if key.one_of:
        return st.sampled_from(key.one_of)
    few: dict[str, list[Any]] = {
        "text": ["one", "two"], "text or nothing": ["", "one"], "word": ["one", "two"], "cas": ["67-64-1", "75-09-2"],
        "substances": [["67-64-1"], ["67-64-1", "75-09-2"]], "day": [date(2026, 1, 1), date(2027, 1, 1)],
        "texts": [["one"], ["one", "two"], ["Two", "three"]], "texts or none": [[], ["one"]], "yes": [True, False],
        "number": [1, 2.5], "percent": [0.1, 10], "whole": [1, 2], "numbers": [[1, 2, 3], [2, 2, 2]],
        "wholes": [[], [1]], "weights": [{"H314": 10}, {"H315": 1}], "sign": ["over", "at or over"],
    }  # fmt: skip
    if key.kind in few:
        return st.sampled_from(few[key.kind])
    number, _, unit = units.KINDS[key.kind].example.partition(" ")
    return st.sampled_from([f"{number} {unit}", f"{float(number) * 1.1:g} {unit}"])


@st.composite
def packs(draw: st.DrawFn, schema: TableSchema) -> tuple[Pack, ...]:
    made = []
    for id, replaces in (("a", False), ("b", draw(st.booleans())), ("c", draw(st.booleans()))):
        rows = []
        for number in range(draw(st.integers(0, 3))):
            row = {k.name: draw(_values(k)) for k in schema.keys if k.needed or draw(st.booleans())}
            rows.append({**row, "citation": f"{id}{number}", "edition": "2026"})
        refused = {wrong.row for wrong in row_shapes.mistakes(schema, rows)} | {
            number for number, _ in tables.twice(schema, rows)
        }
        rows = [row for number, row in enumerate(rows) if number not in refused]
        made.append(Pack(id, id, "here", "2026", tables={schema.name: tuple(rows)}, replaces=replaces))
    return tuple(made)


@pytest.mark.parametrize("schema", schemas(), ids=lambda schema: schema.name)
@settings(max_examples=12, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_the_order_of_the_packs_is_nothing(schema: TableSchema, data: st.DataObject) -> None:
    one, two, three = data.draw(packs(schema))
    merged, looser = tables.merge(schema, (one, two, three))
    for order in ((three, one, two), (two, three, one), (three, two, one)):
        again, also = tables.merge(schema, order)
        assert again == merged
        assert sorted(map(repr, also)) == sorted(map(repr, looser))


@pytest.mark.parametrize("schema", schemas(), ids=lambda schema: schema.name)
@settings(max_examples=12, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_nothing_is_lost_but_what_a_tighter_row_stands_before(schema: TableSchema, data: st.DataObject) -> None:
    """Every row of every pack is in the merged table, or beside the row that holds in its place; a row is sound."""
    given_packs = data.draw(packs(schema))
    merged, _ = tables.merge(schema, given_packs)
    named = {row["citation"] for row in merged} | {one.row["citation"] for row in merged for one in row["beside"]}
    assert named == {row["citation"] for pack in given_packs for row in pack.tables[schema.name]}
    for pack in given_packs:
        assert not list(row_shapes.mistakes(schema, pack.tables[schema.name]))


@pytest.mark.parametrize("schema", [one for one in schemas() if one.ways], ids=lambda schema: schema.name)
@settings(max_examples=12, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_a_second_pack_never_makes_a_thing_looser(schema: TableSchema, data: st.DataObject) -> None:
    """On each thing the merged rows are, together, as tight as what any pack said that was not replaced."""
    plain = tuple(replace(pack, replaces=False) for pack in data.draw(packs(schema)))
    merged, _ = tables.merge(schema, plain)
    for pack, way in product(plain, schema.ways):
        for row in pack.tables[schema.name]:
            for thing in tables.things(schema, row):
                ranks = [tables.rank(way, schema, held) for held in merged if thing in tables.things(schema, held)]
                assert min(ranks) <= tables.rank(way, schema, row)
