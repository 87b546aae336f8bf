"""A product whose parts have a CAS number that no file is about."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from safety_properties.library import substance as looked_up
from safety_properties.library import tables

from safety import reference
from safety.cited import Cited, Source, Unknown
from safety.cli import main
from safety.hosting import host
from safety.model import Substance
from tests.unsafe_answers.shops import sheet, write_shop
from tests.unsafe_answers.test_dangerous_levels import JOB, PRODUCT
from tests.unsafe_answers.test_defaults import SHOP

#: 3-pentanol is in the library, and nobody is likely to write a file on it. The other is a polymer.
PENTANOL = "584-02-1"
NOWHERE = "25038-59-9"


def shop(folder: Path, cas: str, plugins: str = "") -> Path:
    product = PRODUCT.format(cas=cas, weight="100 %", more="")
    job = JOB.format(amount="30 mL", minutes=20, area=0.5)
    return write_shop(folder, SHOP + plugins, {"wash": product}, {"wipe": job})


def test_a_substance_nobody_has_written_a_file_on_is_computed_and_marked(tmp_path: Path) -> None:
    """It said "no data on CAS 584-02-1 are loaded" of the whole air, the fire and the time it stays wet."""
    report = sheet(shop(tmp_path, PENTANOL), "wipe")
    assert [s.name for s in report.exposure.substances] == ["3-pentanol"]
    assert not [reason for reason in report.missing if "no data on" in reason or "evaporates is not known" in reason]
    assert report.exposure.substances[0].origin == "plugin properties"
    for values in report.exposure.substances[0].properties.values():
        assert all(value.unverified for value in values)
        assert all("the package" in value.source.title or "estimated" in value.unverified for value in values)
    (said,) = (f for f in report.findings if f.key == f"data-substance:{PENTANOL}")
    assert "unverified" in said.statement


def test_what_the_library_must_not_say_stays_unknown(tmp_path: Path) -> None:
    """Limits, hazard statements and lists of the law are of no handbook: without them the sheet is INCOMPLETE."""
    report = sheet(shop(tmp_path, PENTANOL), "wipe")
    known = report.exposure.substances[0]
    assert isinstance(known.hazards, Unknown)
    assert not {"water_solubility", "conductivity"} & set(known.properties)
    assert report.missing


def test_without_the_library_the_sheet_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tables, "folder", lambda: None)
    report = sheet(shop(tmp_path, PENTANOL), "wipe")
    assert not report.exposure.substances
    assert any(
        f"no data on CAS {PENTANOL} are loaded (to look it up, type: pip install 'hazstep[library]')" in reason
        for reason in report.missing
    )


@pytest.mark.parametrize(
    ("cas", "why"),
    [
        ("64742-88-7", "it is a mixture, and its data are on its own data sheet"),  # its row would give one molecule
        ("8030-30-6", "it is a mixture, and its data are on its own data sheet"),
        (NOWHERE, "the installed library has nothing on it"),
        ("7647-14-5", "the installed library has nothing on it"),  # a salt: two parts
    ],
)
def test_what_is_no_single_molecule_gets_no_molecules_data(cas: str, why: str) -> None:
    assert looked_up(cas) == Unknown(why)


def of(cas: str) -> Substance:
    found = looked_up(cas)
    assert isinstance(found, Substance)
    return found


def celsius(found: Substance, name: str) -> list[int]:
    return [round(value.value - 273.15) for value in found.properties.get(name, ())]


@pytest.mark.parametrize(
    ("cas", "refused", "kept"),
    [
        ("78-83-1", -40, [28]),  # NFPA 497 prints another substance's row at isobutanol
        ("110-62-3", 280, [6]),  # valeraldehyde
        ("156-59-2", 97, [6]),  # 1,2-dichloroethylene, degrees Fahrenheit printed as Celsius
        ("97-63-2", 34, []),  # ethyl methacrylate: flash point and lower limit contradict one another
    ],
)
def test_a_flash_point_that_contradicts_the_vapour_pressure_is_not_used(
    cas: str, refused: int, kept: list[int]
) -> None:
    """Each was printed as it stands in its table; two of them make the liquid look safe at room temperature."""
    found = of(cas)
    assert celsius(found, "flash_point") == kept
    assert f"{refused} °C" in found.notes["not_used"]
    if not kept:
        (lower,) = found.properties["lower_explosive_limit"]
        assert lower.source.key == "burgess-wheeler"


def test_predicted_flash_points_are_not_read() -> None:
    """A prediction gives methanol -31 °C; measured closed cups 9 to 12 (IEC 60079-20-1, NFPA 497)."""
    assert celsius(of("67-56-1"), "flash_point") == [9, 12]


def test_a_lower_limit_no_compilation_has_is_estimated_low_and_says_so(tmp_path: Path) -> None:
    """How near the air of 3-pentanol was to its limit was unknown, and nothing on the sheet could settle it."""
    (value,) = of(PENTANOL).properties["lower_explosive_limit"]
    assert 0.006 < value.value < 0.012  # its isomer 1-pentanol: 1.06 % in IEC 60079-20-1
    assert "estimated low from the heat of combustion" in value.unverified
    report = sheet(shop(tmp_path, PENTANOL), "wipe")
    assert not [reason for reason in report.missing if "explosive limit" in reason]
    assert "lower_explosive_limit" not in of("75-25-2").properties  # bromoform: the law is not for it


@pytest.mark.parametrize(
    ("cas", "pascal", "tolerance"),
    [
        ("67-63-0", 4414, 0.05),  # a table that begins above room temperature says 186, without a word
        ("108-88-3", 2913, 0.01),
        ("75-83-2", 34900, 0.03),  # 2,2-dimethylbutane: one table of five says 25,500
        ("111-65-9", 1390, 0.05),  # n-octane: the web book's own set lies 9 % low
        ("124-18-5", 125, 0.15),  # n-decane: 26 % low there
    ],
)
def test_the_vapour_pressure_is_the_middle_of_the_tables_that_hold(cas: str, pascal: float, tolerance: float) -> None:
    """Values at 20 °C: thermo 0.6.1, the methods in range, and NIST (n-alkanes, Růžička and Majer 1994)."""
    (value,) = of(cas).properties["vapour_pressure"]
    assert value.value == pytest.approx(pascal, rel=tolerance)


@pytest.mark.parametrize("cas", ["763-69-9", "112-34-5", "108-95-2", "141-43-5"])
def test_a_table_that_begins_more_than_20_k_above_room_temperature_is_not_stretched(cas: str) -> None:
    """Put at 20 °C such tables are off by up to a factor of ten; the equation gives a number all the same."""
    assert looked_up(cas) == Unknown("the installed library has no vapour pressure of it")


def test_what_hardly_evaporates_gets_no_guess_of_a_pressure() -> None:
    found = of("84-74-2")  # dibutyl phthalate, 0.003 Pa
    assert not {"antoine_a", "vapour_pressure"} & set(found.properties)
    assert "below 0.1 Pa" in found.notes["not_used"]


def test_a_table_that_begins_a_little_above_is_stretched_and_says_so() -> None:
    (value,) = of("108-21-4").properties["vapour_pressure"]  # isopropyl acetate, its table begins at 294 K
    assert "below its table's range, good to about 15 %" in value.unverified


def test_a_boiling_point_that_does_not_go_with_the_vapour_pressure_is_not_one() -> None:
    """One table has methyl vinyl nitrosamine boil at 47 °C; its vapour pressure there is 4 kPa."""
    assert "boiling_point" not in of("4549-40-0").properties
    assert "boiling_point" in of(PENTANOL).properties


def test_an_isocyanate_is_one_also_from_the_library() -> None:
    """A limit that counts NCO groups has to count these too, and the product makes allergic."""
    assert of("584-84-9").groups == {"NCO": 2}
    assert of("103-71-9").groups == {"NCO": 1}


def test_a_frozen_sheet_keeps_what_the_library_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another version of the library, or none, would change a sheet that somebody has signed, without a word."""
    folder = shop(tmp_path, PENTANOL)
    monkeypatch.chdir(folder)
    run = CliRunner()
    frozen = run.invoke(main, ["sheet", "wipe", "--draws", "60", "--freeze"])
    id = re.search(r"Frozen as ([0-9a-f]{12})", frozen.stderr)
    assert id, frozen.output
    again = run.invoke(main, ["sheet", "--frozen", id[1]])
    assert "the same, to the last digit" in again.output
    assert "looked-up" not in again.output
    monkeypatch.setattr(tables, "folder", lambda: None)
    gone = run.invoke(main, ["sheet", "--frozen", id[1]])
    assert f"looked-up/{PENTANOL}.json is gone." in gone.output


def test_a_frozen_log_keeps_what_the_library_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the library the number is in no count of VOC: a log that was filed stays, and today's says what differs."""
    folder = shop(tmp_path, PENTANOL)
    file = folder / "shop.toml"
    text = re.sub(r"rules = \[.*?\]", 'rules = ["eu"]', file.read_text(encoding="utf-8"))
    file.write_text(text.replace("[shop]\n", '[shop]\nledger = "sqlite:///l.db"\n', 1), encoding="utf-8")
    monkeypatch.chdir(folder)

    def run(*words: str) -> Result:
        return CliRunner().invoke(main, words)

    month = ("--month", f"{date.today():%Y-%m}")
    run("record", "receive", "wash", "5 L", "--lot", "L1", "--expires", "none", "--who", "T")
    run("record", "use", "wash", "1 L", "--lot", "L1", "--basis", "weighed", "--who", "T")
    filed = run("log", *month, "--freeze")
    id = re.search(r"Frozen as ([0-9a-f]{12})", filed.stderr)
    assert id, filed.output
    assert f"whether {PENTANOL}" not in filed.stdout
    monkeypatch.setattr(tables, "folder", lambda: None)
    assert filed.stdout.strip() in run("log", "--frozen", id[1]).output
    today = run("log", *month).stdout
    assert f"no loaded rule says whether {PENTANOL} counts as VOC" in today
    assert f"({id[1]})" in today  # not as it was filed


# ---------------------------------------------------------------- the hook


SOURCE = Source("house", "House measurements", "2026")


def answer(cas: str, **values: tuple[float, str]) -> Substance:
    properties = {name: (Cited(value, unit, f"{value:g}", SOURCE, "page 1"),) for name, (value, unit) in values.items()}
    return Substance(cas, ("house liquid",), properties)


def asked(tmp_path: Path, **plugins: object) -> tuple[host.Host, reference.Reference]:
    from types import SimpleNamespace

    from safety import hookimpl

    it = host.Host()
    for name, function in plugins.items():
        it.admit(name, lambda f=function: SimpleNamespace(substance=hookimpl(f)), name, "1")  # type: ignore[misc]
    return it, reference.load((), tmp_path, __import__("datetime").date(2026, 11, 25), library=it.substance)


def test_one_impossible_value_costs_that_value_and_no_other(tmp_path: Path) -> None:
    """One value out of range lost every substance of the plugin, and every sheet of the shop its data."""

    def substance(cas: str) -> Substance:
        return answer(cas, boiling_point=(18300.0, "K"), molar_mass=(0.088, "kg/mol"))

    it, data = asked(tmp_path, house=substance)
    found = data.substance(PENTANOL)
    assert isinstance(found, Substance)
    assert set(found.properties) == {"molar_mass"}
    (failure,) = it.failures
    assert (failure.plugin, failure.hook) == ("house", "substance")
    assert "boiling_point = 18300.0 is not possible" in failure.reason


def test_a_plugin_that_fails_on_one_substance_is_asked_for_the_next(tmp_path: Path) -> None:
    def substance(cas: str) -> Substance:
        if cas == PENTANOL:
            raise OSError("the table is torn")
        return answer(cas, molar_mass=(0.1, "kg/mol"))

    it, data = asked(tmp_path, house=substance)
    assert isinstance(data.substance(PENTANOL), Unknown)
    assert isinstance(data.substance("110-43-0"), Substance)
    assert [f.hook for f in it.failures] == ["substance"]


def test_nobody_is_asked_for_what_a_file_says_and_never_for_a_name(tmp_path: Path) -> None:
    """A library knows "petroleum ether" as benzene."""
    questions: list[str] = []

    def substance(cas: str) -> Substance | Unknown:
        questions.append(cas)
        return Unknown("nothing on it")

    _, data = asked(tmp_path, house=substance)
    for text in ("108-88-3", "toluene", "petroleum ether", "584-02-2"):
        data.find(text)
    assert questions == []
    assert data.substance(PENTANOL) == Unknown(f"no data on CAS {PENTANOL} are loaded (nothing on it)")
    data.find(PENTANOL)
    assert questions == [PENTANOL]


def test_two_that_do_not_agree_are_both_kept_and_it_is_said(tmp_path: Path) -> None:
    def plugin(flash: float) -> object:
        return lambda cas: answer(cas, flash_point=(flash, "K"))

    def named(function: object) -> object:
        def substance(cas: str) -> object:
            return function(cas)  # type: ignore[operator]

        return substance

    it, data = asked(tmp_path, one=named(plugin(300.0)), two=named(plugin(290.0)))
    found = data.substance(PENTANOL)
    assert isinstance(found, Substance)
    assert [v.value for v in found.properties["flash_point"]] == [290.0, 300.0]
    assert it.conflicts == (f"The plugins one and two do not agree on flash_point of CAS {PENTANOL}; both are kept.",)


def test_an_answer_that_is_no_substance_is_named(tmp_path: Path) -> None:
    it, data = asked(tmp_path, house=lambda cas: {"flash_point": 300})
    assert isinstance(data.substance(PENTANOL), Unknown)
    assert it.failures[0].reason == "substance gave dict instead of a Substance or Unknown"


def test_the_package_is_never_imported(tmp_path: Path) -> None:
    """Its own functions load pandas: over a second for one substance."""
    import subprocess
    import sys

    code = (
        "import sys; from safety_properties.library import substance; substance('110-43-0');"
        "print({'chemicals', 'pandas', 'thermo'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"
