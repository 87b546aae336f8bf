"""Packs over one another, plugins' contributions, looking things up, and every mistake said in one line."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest

from safety.cited import Unknown
from safety.model import (
    Classification,
    Contribution,
    Figure,
    Key,
    Limit,
    Pack,
    Substance,
    TableSchema,
    Threshold,
)
from safety.problems import Problems
from safety.reference import Reference, declared_tables, load, read_pack, read_substance
from safety.reference.data_files import DATA

DAY = date(2026, 11, 25)

COUNTY = """
[pack]
id = "county"
title = "County rules (invented)"
jurisdiction = "an invented county"
edition = "2026"
{head}
[[{table}]]
{body}
compare = "{compare}"
citation = "county code 1"
edition = "2026"
"""
FIRE = 'name = "explosive-atmosphere-stop"\nvalue = "{value}"'
TOLUENE = 'cas = "108-88-3"\nlist = "OSHA PEL"\nkind = "twa"\naveraging = "8 h"\nvalue = "{value}"'


def _with_county(folder: Path, body: str, compare: str, table: str = "threshold", head: str = "") -> Reference:
    (folder / "county.toml").write_text(COUNTY.format(table=table, body=body, compare=compare, head=head))
    return load(("us-federal", "county.toml"), folder, DAY)


def _problems(call: object, *arguments: object) -> list[str]:
    with pytest.raises(Problems) as caught:
        call(*arguments)  # type: ignore[operator]
    return [str(problem) for problem in caught.value.problems]


# ---------------------------------------------------------------- tighten only


@pytest.mark.parametrize(("value", "compare"), [("9 %", "over"), ("5 %", "at or over"), ("10 %", "at or over")])
def test_a_later_pack_may_tighten_a_threshold(tmp_path: Path, value: str, compare: str) -> None:
    threshold = _with_county(tmp_path, FIRE.format(value=value), compare).threshold("explosive-atmosphere-stop")
    assert isinstance(threshold, Threshold)
    assert (threshold.written, threshold.compare, threshold.pack) == (value, compare, "county")


@pytest.mark.parametrize(("value", "compare"), [("10 %", "over"), ("10.1 %", "at or over"), ("20 %", "over")])
def test_a_later_pack_may_not_loosen_a_threshold(tmp_path: Path, value: str, compare: str) -> None:
    assert _problems(_with_county, tmp_path, FIRE.format(value=value), compare) == [
        f"county.toml: [[threshold]] explosive-atmosphere-stop: {compare} {value} is looser than "
        'at or over 10 % of general; tighten it, or write replaces = true in the [pack] of "county"'
    ]


def test_a_lower_bound_is_tightened_upwards(tmp_path: Path) -> None:
    name = 'name = "static-accumulator"\nvalue = "{}"'
    tighter = _with_county(tmp_path, name.format("100 pS/m"), "under").threshold("static-accumulator")
    assert isinstance(tighter, Threshold)
    assert tighter.value == pytest.approx(100e-12)
    assert len(_problems(_with_county, tmp_path, name.format("40 pS/m"), "under")) == 1


def test_a_threshold_may_not_change_its_unit_or_its_direction(tmp_path: Path) -> None:
    for body, compare in ((FIRE.format(value="10 m3"), "over"), (FIRE.format(value="5 %"), "under")):
        assert "cannot be compared" in _problems(_with_county, tmp_path, body, compare)[0]


@pytest.mark.parametrize(
    ("value", "fine"),
    [("100 ppm", True), ("200 ppm", True), ("201 ppm", False), ("750 mg/m3", True), ("760 mg/m3", False)],
)
def test_a_later_pack_may_only_tighten_a_limit(tmp_path: Path, value: str, fine: bool) -> None:
    """200 ppm of toluene is 753 mg/m3 at 25 degC (29 CFR 1910.1000; NIOSH Pocket Guide: 3.77 mg/m3 a ppm)."""
    arguments = (tmp_path, TOLUENE.format(value=value), "over", "limit", 'reference_temperature = "25 degC"')
    if fine:
        assert value in [limit.written for limit in _with_county(*arguments).limits("108-88-3", "twa")]
    else:
        assert "108-88-3 OSHA PEL twa: over" in _problems(_with_county, *arguments)[0]


def test_a_pack_that_replaces_may_loosen_and_then_rules(tmp_path: Path) -> None:
    reference = _with_county(tmp_path, FIRE.format(value="20 %"), "over", head="replaces = true")
    threshold = reference.threshold("explosive-atmosphere-stop")
    assert isinstance(threshold, Threshold)
    assert threshold.written == "20 %"
    reference = _with_county(tmp_path, TOLUENE.format(value="250 ppm"), "over", "limit", "replaces = true")
    assert [x.written for x in reference.limits("108-88-3", "twa") if x.list == "OSHA PEL"] == ["250 ppm"]


# ---------------------------------------------------------------- finding packs


def test_the_general_thresholds_are_always_there(tmp_path: Path) -> None:
    assert [p.id for p in load((), tmp_path, DAY).packs] == ["general"]
    assert [p.id for p in load(("eu", "us-federal"), tmp_path, DAY).packs] == ["general", "eu", "us-federal"]


def test_an_unknown_pack(tmp_path: Path) -> None:
    assert _problems(load, ("us-fedral",), tmp_path, DAY) == [
        'shop.toml: [shop] rules: no rules pack is called "us-fedral", and there is no such file; '
        'did you mean "us-federal"?'
    ]


def test_two_packs_of_one_id(tmp_path: Path) -> None:
    text = COUNTY.format(table="threshold", body=FIRE.format(value="5 %"), compare="over", head="")
    for name in ("one.toml", "two.toml"):
        (tmp_path / name).write_text(text)
    assert 'two packs are called "county"' in _problems(load, ("one.toml", "two.toml"), tmp_path, DAY)[0]


# ---------------------------------------------------------------- what plugins add


def _pack(id_: str, *thresholds: Threshold, rows: int = 0) -> Pack:
    made = [{"number": number, "citation": "invented", "edition": "2026"} for number in range(rows)]
    tables = {"made-up": tuple(made)} if made else {}
    return Pack(id_, "invented", "nowhere", "2026", thresholds=thresholds, tables=tables)


def _threshold(name: str) -> Threshold:
    return Threshold(name, 0.05, "1", "over", "5 %", "invented", "2026", "nowhere", "x")


def test_a_contributed_pack_adds_to_the_one_of_its_name(tmp_path: Path) -> None:
    packs = (_pack("us-federal", _threshold("made-up-share"), rows=2), _pack("elsewhere", rows=3))
    added = Contribution(
        packs=packs, tables=(TableSchema("made-up", "Made up.", (Key("number", "whole"),), ("number",)),)
    )
    reference = load(("us-federal",), tmp_path, DAY, [("one", added)])
    assert isinstance(reference.threshold("made-up-share"), Threshold)
    assert [row["pack"] for row in reference.table("made-up")] == ["us-federal", "us-federal"]
    assert isinstance(load((), tmp_path, DAY, [("one", added)]).threshold("made-up-share"), Unknown)
    both = load(("us-federal", "elsewhere"), tmp_path, DAY, [("one", added)])
    assert [(row["pack"], row["number"]) for row in both.table("made-up")] == [
        ("elsewhere", 0), ("elsewhere", 1), ("elsewhere", 2)
    ]  # the two of the other pack say the same  # fmt: skip
    assert [[one.pack for one in row["beside"]] for row in both.table("made-up")] == [
        ["us-federal"],
        ["us-federal"],
        [],
    ]


def test_a_contributed_record_that_is_there_already(tmp_path: Path) -> None:
    added = Contribution(packs=(_pack("general", _threshold("static-accumulator")),))
    assert _problems(load, (), tmp_path, DAY, [("breath", added)]) == [
        'plugin breath: contribute: static-accumulator is already in the pack "general"'
    ]


def test_a_contributed_substance(tmp_path: Path, shipped: Reference) -> None:
    new = Substance("107-07-3", ("2-chloroethanol",), {})
    reference = load((), tmp_path, DAY, [("one", Contribution({"107-07-3": new}))])
    assert reference.find("2-Chloroethanol") is new
    assert "107-07-3" in reference.known()


class _Broken(Mapping[str, Substance]):
    """A lazy mapping that fails when it is asked."""

    def __getitem__(self, key: str) -> Substance:
        raise RuntimeError("the database is away")

    def __iter__(self):  # type: ignore[no-untyped-def]
        return iter(["107-07-3"])

    def __len__(self) -> int:
        return 1


@pytest.mark.parametrize(
    ("substances", "reason"),
    [
        ({"108-88-3": Substance("108-88-3", ("mine",), {})}, "there is already a substance with CAS 108-88-3"),
        ({"107-07-3": "text"}, "what it adds under 107-07-3 is not a substance with that CAS number"),
        (
            {"107-07-4": Substance("107-07-4", ("x",), {})},
            "what it adds under 107-07-4 is not a substance with that CAS number",
        ),
        (_Broken(), "its substances cannot be read: the database is away"),
    ],
)
def test_a_contributed_substance_that_cannot_be_taken(tmp_path: Path, substances: object, reason: str) -> None:
    added = [("bad", Contribution(substances))]  # type: ignore[arg-type]
    assert _problems(load, (), tmp_path, DAY, added) == [f"plugin bad: contribute: {reason}"]


# ---------------------------------------------------------------- looking things up


@pytest.mark.parametrize("text", ["toluene", "TOLUENE", " Toluol ", "108-88-3", "methylbenzene"])
def test_find(shipped: Reference, text: str) -> None:
    found = shipped.find(text)
    assert isinstance(found, Substance)
    assert found.cas == "108-88-3"


def test_find_nothing_names_the_nearest(shipped: Reference) -> None:
    assert shipped.find("tolune") == Unknown('no substance called "tolune" is loaded; did you mean "toluene"?')
    assert shipped.substance("107-07-3") == Unknown("no data on CAS 107-07-3 are loaded")
    assert shipped.threshold("static-acumulator") == Unknown(
        'no threshold called "static-acumulator" is loaded; did you mean "static-accumulator"?'
    )


def test_files_are_read_when_asked_for_and_once(tmp_path: Path) -> None:
    folder = tmp_path / "substances"
    folder.mkdir()
    (folder / "107-07-3.toml").write_text("this is not TOML")
    reference = load((), tmp_path, DAY)
    assert "107-07-3" in reference.known()
    assert reference.substance("108-88-3") is reference.substance("108-88-3")
    assert _problems(reference.substance, "107-07-3")[0].startswith("substances/107-07-3.toml:1: this is not TOML")


def test_a_shops_file_on_a_substance_the_program_has_data_on(tmp_path: Path) -> None:
    (tmp_path / "substances").mkdir()
    (tmp_path / "substances" / "95-63-6.toml").write_text("")
    assert _problems(load, (), tmp_path, DAY) == [
        "substances/95-63-6.toml: cas: there is already a substance with CAS 95-63-6; "
        "take this file out: the program comes with data on it"
    ]


def test_known_is_in_order_of_the_numbers(shipped: Reference) -> None:
    """Every file is known, and no other; 57-55-6 is before 540-88-5 though its letters are not."""
    known = shipped.known()
    assert set(known) == {path.stem for path in (DATA / "substances").glob("*.toml")}
    assert list(known) == sorted(known, key=lambda cas: [int(part) for part in cas.split("-")])
    assert known.index("57-55-6") < known.index("540-88-5")


def test_vapour_pressure_says_when_it_reaches_beyond_its_data(shipped: Reference) -> None:
    """Toluene 3.79 kPa at 25 degC (Poling, as thermo prints it: 3789 Pa)."""
    inside = shipped.vapour_pressure("108-88-3", 298.15)
    assert isinstance(inside, Figure)
    assert inside.value == pytest.approx(3789, rel=0.005)
    assert (inside.unit, inside.note) == ("Pa", "")
    hot = shipped.vapour_pressure("108-88-3", 380.0)  # beyond the first set, within the second
    assert isinstance(hot, Figure)
    assert hot.note == ""
    assert hot.value == pytest.approx(101325 * 0.9, rel=0.02)  # boils at 383.75 K, 27.7 kPa a K less per 10 K
    beyond = shipped.vapour_pressure("872-50-4", 330.0)
    assert isinstance(beyond, Figure)
    assert beyond.note == "the equation was fitted from 293 K to 313 K; 330 K lies outside"
    assert isinstance(shipped.vapour_pressure("7789-06-2", 298.15), Unknown)
    assert isinstance(shipped.vapour_pressure("107-07-3", 298.15), Unknown)


def test_governing_is_the_lowest_over_all_lists(shipped: Reference) -> None:
    """Toluene: EU 50 ppm below NIOSH 100 and OSHA 200; Stoddard solvent: 350 mg/m3 (NIOSH) below 500 ppm (OSHA)."""
    toluene, stoddard = shipped.governing("108-88-3", "twa"), shipped.governing("8052-41-3", "twa")
    assert isinstance(toluene, Limit)
    assert isinstance(stoddard, Limit)
    assert (toluene.list, toluene.written) == ("EU indicative OELV", "50 ppm")
    assert (stoddard.list, stoddard.written) == ("NIOSH REL", "350 mg/m3")


def test_sources_come_with_the_reference(shipped: Reference) -> None:
    assert {"npg", "iec-60079-20-1"} <= {source.key for source in shipped.sources()}


# ---------------------------------------------------------------- mistakes in a file

SUBSTANCE = """
cas = "107-07-3"
names = ["2-chloroethanol"]

[[flash_point]]
value = "60 degC"
source = "npg"
at = "entry 0268"
"""


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        (
            '"60 degC"',
            '"60"',
            ':6: [[flash_point]] 1, value: "60" has no unit; write for example "24 degC" (degC, °C, degF, °F, K)',
        ),
        ("60", "6000", ':6: [[flash_point]] 1, value: "6000 degC" is outside what is possible here'),
        ('"npg"', '"npk"', ':7: [[flash_point]] 1, source: no source is called "npk"; did you mean "npg"?'),
        ('at = "entry 0268"', "", ':5: [[flash_point]] 1: "at" is missing'),
        ("at =", "att =", 'unknown key "att"; did you mean "at"?'),
        ("flash_point", "flashpoint", 'unknown key "flashpoint"; did you mean "flash_point"?'),
        ("107-07-3", "107-07-4", '"107-07-4" is mistyped'),
        ("107-07-3", "108-88-3", '"108-88-3" is not the name of the file'),
        ("[[flash_point]]", "[[vapour_pressure]]", '"temperature" is missing: the value means nothing without it'),
        (
            '[[flash_point]]\nvalue = "60 degC"',
            '[[antoine_b]]\nvalue = "1386 K"',
            "antoine_a, antoine_b, antoine_c must come in sets of three",
        ),
        (
            "[[flash_point]]",
            "[flash_point]",
            ": [flash_point]: this must be one table or more; write [[flash_point]] above each",
        ),
    ],
)
def test_mistakes_in_a_substance_file(tmp_path: Path, old: str, new: str, problem: str) -> None:
    path = tmp_path / "107-07-3.toml"
    path.write_text(SUBSTANCE)
    assert read_substance(path).cas == "107-07-3"
    path.write_text(SUBSTANCE.replace(old, new))
    assert any(problem in line for line in _problems(read_substance, path, path.name))


def test_a_substance_file_may_bring_its_own_sources(tmp_path: Path) -> None:
    path = tmp_path / "107-07-3.toml"
    path.write_text(SUBSTANCE.replace('"npg"', '"house"'))
    (tmp_path / "sources.toml").write_text('[house]\ntitle = "Own measurements (invented)"\nedition = "2026"\n')
    assert read_substance(path).best("flash_point").source.title == "Own measurements (invented)"  # type: ignore[union-attr]


HEAD = 'cas = "107-07-3"\nnames = ["2-chloroethanol"]\n'
CLASS = """
[[classification]]
code = "H370"
class = "STOT SE 1"
limits = [{ code = "H371", class = "STOT SE 2", from = "3 %", under = "10 %" }]
unless = { cas = "71-43-2", under = "0.1 %" }
m_factor = 10
valid_from = 2026-01-01
valid_until = 2026-12-31
source = "npg"
at = "entry 0268"
"""


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ('"H370"', '"370"', ':5: [[classification]] 1, code: "370" is not an H-code'),
        ('code = "H370"\n', "", ':4: [[classification]] 1: "code" is missing'),
        ('class = "STOT SE 1"\n', "", ':4: [[classification]] 1: "class" is missing'),
        ('"STOT SE 1"', '"stot se 1"', '"stot se 1" is not a hazard class; write for example "Skin Sens. 1A"'),
        ('from = "3 %"', 'from = "300 %"', "is outside what is possible here"),
        ('from = "3 %"', 'form = "3 %"', 'unknown key "form"; did you mean "from"?'),
        ('under = "10 %"', 'under = "1 %"', "the range ends before it begins"),
        ("limits = [{", 'limits = ["C", {', "this must be a list of tables"),
        ('{ cas = "71-43-2", under = "0.1 %" }', '"71-43-2"', "this must be a table; write unless = {cas"),
        (
            '{ cas = "71-43-2", under',
            '{ extract = "IP 346", under',
            'only one extract is known; write extract = "DMSO"',
        ),
        ("m_factor = 10", "m_factor = 0.1", "this is not a factor of 1 or more; write for example 10"),
        ("2026-12-31", "2025-12-31", "the statement ends before it begins"),
        ('source = "npg"\nat = "entry 0268"\n', "", '"source" is missing'),
        ("[[classification]]", "[[clasification]]", 'did you mean "classification"?'),
        (
            "[[classification]]",
            "[classification]",
            "this must be one table or more; write [[classification]] above each",
        ),
        (
            "[[classification]]",
            'hazards = { codes = ["H370"], source = "npg", at = "entry 0268" }\n[[classification]]',
            "the file has [[classification]] tables too; keep one of the two",
        ),
    ],
)
def test_mistakes_in_a_classification(tmp_path: Path, old: str, new: str, problem: str) -> None:
    path = tmp_path / "107-07-3.toml"
    path.write_text(HEAD + CLASS)
    assert read_substance(path).hazards == ("H370",)
    path.write_text(HEAD + CLASS.replace(old, new, 1))
    assert any(problem in line for line in _problems(read_substance, path, path.name))


def test_hazards_and_classes_of_a_substance_are_one() -> None:
    """A plugin gives plain codes; a file gives classes. What is read from either is the same."""
    plain = Substance("108-88-3", ("toluene",), {}, hazards=("H225", "H304"))
    assert [c.code for c in plain.classes] == ["H225", "H304"]
    classes = (
        Classification("H373", valid_until=date(2026, 4, 30)),
        Classification("H372", valid_from=date(2026, 5, 1)),
    )
    dated = Substance("110-54-3", ("n-hexane",), {}, classes=classes)
    assert dated.hazards == ("H373", "H372")
    assert dated.on(date(2026, 5, 1)).hazards == ("H372",)
    assert isinstance(Substance("1-1-1", ("x",), {}).hazards, Unknown)
    over = Substance("110-54-3", ("n-hexane",), {}, classes=classes[:1])
    assert isinstance(over.on(date(2026, 5, 1)).hazards, Unknown)  # a list that no longer holds is no proof
    with pytest.raises(ValueError, match="give one of the two"):
        Substance("110-54-3", ("n-hexane",), {}, hazards=("H225",), classes=classes)


LIMIT = COUNTY.format(table="limit", body=TOLUENE.format(value="100 ppm"), compare="over", head="")


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ("100 ppm", "100 mg/m3", ': [pack]: "reference_temperature" is missing: some limits are in mg/m3'),
        ("100 ppm", "0 ppm", "the limit is zero"),
        ('"over"', '"more"', '"more" is not known here'),
        ('"twa"', '"peak"', '"peak_duration" is missing'),
        ('averaging = "8 h"', "", '"averaging" is missing'),
        ("108-88-3", "108-88-4", '"108-88-4" is mistyped'),
        ('citation = "county code 1"', "", '"citation" is missing'),
        ('kind = "twa"', 'kind = "twa"\nskin = "yes"', "this must be true or false"),
        ('kind = "twa"', 'kind = "twa"\npeak_window = "2 h"', 'belong to kind "peak" only'),
        (
            'kind = "twa"',
            'kind = "twa"\nvalid_from = 2026-01-02\nvalid_until = 2026-01-01',
            "the limit ends before it begins",
        ),
        ("[[limit]]", LIMIT[LIMIT.index("[[limit]]") :] + "[[limit]]", "is given twice for the same days"),
        ("[pack]", "[pak]", "there is no [pack] table"),
    ],
)
def test_mistakes_in_a_pack(tmp_path: Path, old: str, new: str, problem: str) -> None:
    path = tmp_path / "county.toml"
    path.write_text(LIMIT)
    assert read_pack(path).limits[0].written == "100 ppm"
    path.write_text(LIMIT.replace(old, new, 1))
    assert any(problem in line for line in _problems(read_pack, path, path.name))


def test_limits_that_follow_one_another_are_no_clash(tmp_path: Path) -> None:
    second = LIMIT[LIMIT.index("[[limit]]") :].replace("[[limit]]\n", "[[limit]]\nvalid_from = 2026-02-01\n")
    path = tmp_path / "county.toml"
    path.write_text(LIMIT.replace("[[limit]]\n", "[[limit]]\nvalid_until = 2026-01-31\n") + second)
    assert len(read_pack(path).limits) == 2
    path.write_text(LIMIT.replace("[[limit]]\n", "[[limit]]\nvalid_until = 2026-02-01\n") + second)
    assert "is given twice for the same days" in _problems(read_pack, path)[0]


def test_a_table_row_needs_its_citation(tmp_path: Path) -> None:
    path = tmp_path / "county.toml"
    row = 'cas = "67-64-1"\nlist = "county"\nkind = "twa"\nreason = "none"\nedition = "2026"\n'
    path.write_text(f"{LIMIT}\n[[no_limit]]\n{row}")
    assert '[[no_limit]] 1: "citation" is missing' in _problems(read_pack, path, "", declared_tables([]))[0]
