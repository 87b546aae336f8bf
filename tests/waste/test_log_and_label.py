"""What a log says of waste, and the label of a container. Words: 40 CFR 262.15 to 262.17 and 261.4(b)(18)."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import safety_protection
import safety_waste
from click.testing import CliRunner
from pypdf import PdfReader
from safety_protection import labels

from safety.cli import main
from safety.model import Grid, Lines, Part, Period
from safety.paper_codes import of_container
from safety.reference import load
from safety.render import label
from tests.waste.made_up import GALLON, US, container, ledger, line, lot, product, rules, shop
from tests.waste.made_up import Lines as Book

FED = rules(*US)
DEMO = Path(__file__).parents[2] / "safety" / "data" / "demo"
CODE = of_container("x")
SHOP = replace(
    shop(
        container("drum", "central", stream="spent solvent", started=date(2026, 5, 30)),
        container("rags", "satellite", "wet-cloths", started=date(2026, 6, 1), stream="rags"),
    ),
    products={"thinner": product(Part("t", "108-88-3", 1.0, 1.0), hazards=("H225", "H304"))},
)
LINES = [
    line("2026-05-30", mass=300.0, volume=40 * GALLON, product="thinner", name="Thinner"),
    line("2026-11-03", mass=9.0, product="thinner", name="Thinner"),
    line("2026-11-03", "rags", mass=2.0, product="thinner", name="Thinner"),
    line("2026-11-20", mass=100.0, kind="ship", receiver="Carrier", manifest="42"),
]


def blocks(lines: Any = LINES, first: str = "2026-11", last: str = "2026-11", reference: Any = FED) -> dict[str, Any]:
    found = safety_waste.log_blocks(Period(first, last), ledger(lines), reference, SHOP, ())
    return {b.key: b for b in found}


def test_totals_by_month_year_stream_code_and_container() -> None:
    found = blocks(first="2026-05", last="2026-11")
    months = {row[0]: row[1:7] for row in found["waste-months"].rows}
    assert months["2026-05"] == ("300 kg", "0 kg", "0 kg", "0 kg", "0", "small quantity generator (SQG)")
    assert months["2026-06"][0] == "no record"
    assert months["2026, 7 months"][:2] == ("at least 311 kg", "0 kg")  # five months have no record at all
    # the rags are over 180 days in their bin since 29 November: 40 CFR 261.4(b)(18)
    assert {r[0]: r[1] for r in found["waste-by-code"].rows} == {
        "D001": "309 kg",
        "D001, to be confirmed": "2 kg",
        "F005": "311 kg",
    }
    assert {r[0]: r[1] for r in found["waste-by-container"].rows} == {"drum": "309 kg", "rags": "2 kg"}
    assert found["waste-shipments"].rows[0] == ("2026-11-20", "drum", "100 kg", "Carrier", "42")
    assert found["waste-shipments"].rows[1][:3] == ("2026, all", "", "100 kg")


def test_a_label_says_what_the_parts_imply_beside_the_data_sheet() -> None:
    """It said H225, H304 of pure toluene, as its data sheet did."""
    added = [("waste", safety_waste.contribute()), ("protection", safety_protection.contribute())]
    both = load(US, Path(__file__).parent, date(2026, 11, 25), added)
    found = blocks(LINES[:3], reference=both)
    said = dict(found["container:drum"].rows)["Hazard statements"]
    assert said == "H225, H304, H315, H336, H361d, H373"


def test_what_to_do_names_dates_and_differences() -> None:
    # started 30 May: an SQG's 180 days end on 26 November; the rags' on 28 November
    text = "\n".join(blocks(LINES[:3])["waste-to-do"].lines)
    assert "drum: over since 2026-11-26" in text
    assert "rags: over since 2026-11-28" in text
    assert "Find the difference" in "\n".join(blocks()["waste-to-do"].lines)


def test_a_month_without_a_record_has_no_total_and_one_that_began_before_them_the_least() -> None:
    """A generator's category hangs on the whole month: nobody is very small because nobody wrote anything down."""
    some = tuple(replace(e, number=i) for i, e in enumerate(LINES) if e.day.month == 11)
    period = Period("2026-09", "2026-12")

    def months(since: date, began: date | None = None) -> dict[str, tuple[str, ...]]:
        book: Any = Book(some, since=since)
        found = safety_waste.log_blocks(period, book, FED, replace(SHOP, began=began), ())
        return {row[0]: row[1:] for row in next(b for b in found if b.key == "waste-months").rows}

    found = months(date(2026, 11, 3))
    silent = ("no record", "no record", "no record", "", "", "", "")
    assert found["2026-09"] == found["2026-10"] == found["2026-12"] == silent
    assert found["2026-11"][0] == "at least 11 kg"  # 2 kg of rags are over 180 days in their bin since 29 November
    assert found["2026-11"][5].startswith("at least very small")
    assert found["2026, 4 months"][0] == "at least 11 kg"
    assert months(date(2026, 11, 1))["2026-11"][0] == "11 kg"
    assert months(date(2026, 11, 3), began=date(2026, 11, 3))["2026-11"][0] == "11 kg"
    assert months(date(2026, 11, 3), began=date(2026, 11, 2))["2026-11"][0] == "at least 11 kg"


def test_a_label_says_gal_as_people_do() -> None:
    """ "US_gal" is how the files write it."""
    small = replace(SHOP, containers=(container("drum", "satellite", stream="spent solvent"),))
    for gallons in (10, 60):
        lines = [line("2026-11-03", mass=200.0, volume=gallons * GALLON, product="thinner", name="Thinner")]
        found = {b.key: b for b in safety_waste.log_blocks(Period("2026-11", "2026-11"), ledger(lines), FED, small, ())}
        over = dict(found["container:drum"].rows)["Over limit on"]
        assert over == ("__________ (when its area holds over 55 gal)" if gallons < 55 else "2026-11-03")
        assert ("over 55 gal. Date it" in "\n".join(found["waste-to-do"].lines)) is (gallons > 55)
        assert "up to 55 gal" in repr(found) or gallons > 55
        assert "US_gal" not in repr(found)


def test_shipments_and_sums_of_a_period_are_those_of_its_days() -> None:
    lines = [line("2026-09-01", mass=9.0)]
    lines += [line(d, mass=1.0, kind="ship", receiver="Carrier") for d in ("2026-09-30", "2026-10-01", "2026-10-31")]
    found = blocks([*lines, line("2026-11-01", mass=1.0, kind="ship", receiver="Carrier")], "2026-10", "2026-10")
    assert [row[0] for row in found["waste-shipments"].rows] == ["2026-10-01", "2026-10-31", "2026, all"]
    assert [row[0] for row in found["waste-months"].rows] == ["2026-10"]  # one month has no sum beside it


# good through the day on its label; the log looks at the last day of its period
@pytest.mark.parametrize(
    ("expires", "mass", "named"),
    [(date(2026, 11, 30), 1.0, False), (date(2026, 11, 29), 1.0, True), (date(2026, 11, 29), 0.0, False)],
)
def test_a_lot_is_expired_product_from_the_day_after_its_last(expires: date, mass: float, named: bool) -> None:
    book = ledger(LINES, lot(expires, mass))
    found = {b.key: b for b in safety_waste.log_blocks(Period("2026-11", "2026-11"), book, FED, SHOP, ())}
    assert ("Lot L1 of Thinner expired on" in "\n".join(found["waste-to-do"].lines)) is named


def test_a_line_without_a_mass_makes_the_total_a_least() -> None:
    from safety.cited import Unknown

    found = blocks([line("2026-11-03", mass=Unknown("no density"))])
    assert found["waste-months"].rows[0][1] == "at least 0 kg"


SECRET = product(Part("t", "108-88-3", 0.4, 0.5), Part("a blend nobody names", "", 0.5, 0.6))


def test_a_container_with_an_undisclosed_liquid_says_so_on_its_label_and_in_the_codes() -> None:
    hiding = replace(SHOP, products={"thinner": SECRET})
    for name in ("drum", "rags"):
        lines = [line("2026-11-03", name, mass=9.0, product="thinner", name="Thinner")]
        found = {
            b.key: b for b in safety_waste.log_blocks(Period("2026-11", "2026-11"), ledger(lines), FED, hiding, ())
        }
        table = found[f"container:{name}"]
        rows = dict(table.rows)
        assert rows["Codes"].startswith(
            "UNKNOWN: the maker of Thinner does not say what a blend nobody names is. Known"
        )
        assert "holds an undisclosed part: a blend nobody names" in rows["Products in it"]
        assert "not known" in rows["Hazard"]
        assert table.unknown
        codes = [row[0] for row in found["waste-by-code"].rows]
        assert "UNKNOWN: the maker of Thinner does not say what a blend nobody names is" in codes
        assert "excluded wipes" not in codes
        assert found["waste-by-code"].unknown
        # 40 CFR 261.4(a)(26) and (b)(18) leave out wipes with listed solvents only; what nobody names is not that
        assert found["waste-months"].rows[0][1:3] == ("9 kg", "0 kg")


def test_a_sum_that_records_are_missing_from_is_no_sum() -> None:
    from safety.cited import Unknown

    nothing = Unknown("no density")
    found = blocks([line("2026-11-03", mass=nothing, product="thinner")])
    assert dict(found["container:drum"].rows)["Holds"].startswith("UNKNOWN, UNKNOWN of")
    assert {row[1] for row in found["waste-by-code"].rows} == {"UNKNOWN"}
    found = blocks(
        [line("2026-11-03", mass=nothing, product="thinner"), line("2026-11-04", mass=2.0, product="thinner")]
    )
    assert dict(found["container:drum"].rows)["Holds"].startswith("at least 2 kg, UNKNOWN of")
    assert {row[1] for row in found["waste-by-container"].rows} == {"at least 2 kg"}


def test_no_rules_no_code_no_category() -> None:
    found = blocks(reference=rules())
    assert "No rules pack of this shop covers waste" in "\n".join(found["waste-to-do"].lines)
    assert {row[0] for row in found["waste-by-code"].rows} == {"no code found"}
    assert found["waste-months"].rows[0][6] == "no rule loaded"


@pytest.mark.parametrize(
    ("name", "words", "start"),
    [
        ("drum", "Hazardous Waste", "2026-05-30"),
        ("rags", "Excluded Solvent-Contaminated Wipes", "2026-06-01"),
    ],
)
def test_a_label_has_the_words_the_rule_requires(name: str, words: str, start: str) -> None:
    table = blocks(LINES[:3])[f"container:{name}"]
    assert isinstance(table, Grid)
    added = [("waste", safety_waste.contribute()), ("protection", safety_protection.contribute())]
    shown = labels.symbols(table.statements, load(("us-federal",), DEMO, date(2026, 11, 25), added))
    text = label.text(table, SHOP, shown, CODE)
    assert text.startswith(words)
    pages = PdfReader(io.BytesIO(label.pdf(table, SHOP, shown, CODE))).pages
    assert len(pages) == 1
    printed = " ".join(pages[0].extract_text().split())
    for expected in (words, start, "ignitable, toxic", "Catches fire", "Lasting harm", "F005"):
        assert expected in printed
    assert "GHS02" in text
    assert label.pdf(table, SHOP, shown, CODE) == label.pdf(table, SHOP, shown, CODE)


def test_a_label_is_readable_and_inside_its_page_whatever_stands_in_it() -> None:
    table = Grid("Container x", ("", ""), (("Words", "W " * 200), *(("Much", "text " * 60) for _ in range(12))), "x")
    page = PdfReader(io.BytesIO(label.pdf(table, SHOP, (), CODE))).pages[0]
    assert "Container x" in page.extract_text()


def test_label_command(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr("safety.hosting.host.entry_points", lambda group: [])
    monkeypatch.setattr("safety.hosting.host.load", _only_waste)
    run = CliRunner().invoke(
        main, ["label", "rags-1", "--shop", str(DEMO), "--month", "2026-11", "--pdf", str(tmp_path / "l.pdf")]
    )
    assert run.exit_code == 0, run.output
    assert run.stdout.splitlines()[0] == "Excluded Solvent-Contaminated Wipes"
    assert "Started: 2026-11-02" in run.stdout
    assert (tmp_path / "l.pdf").read_bytes().startswith(b"%PDF")


def test_without_a_ledger_every_plugin_answers_for_a_label() -> None:
    """What stands in for a ledger lacked what the solvent plugin asks, and the label said that it did not answer."""
    run = CliRunner().invoke(main, ["label", "rags-1", "--shop", str(DEMO)])
    assert (run.exit_code, run.stderr) == (0, "")


def _only_waste(*_: Any, **__: Any) -> Any:
    from safety.hosting.host import Host

    host = Host()
    host.admit("waste", lambda: safety_waste, "hazstep", "0")
    return host


@pytest.mark.parametrize(
    ("arguments", "line_"),
    [
        (
            ["label", "rags", "--shop", str(DEMO)],
            'shop.toml: [[container]]: there is no container "rags"; did you mean "rags-1"?',
        ),
        (
            ["label", "rags-1", "--shop", str(DEMO), "--month", "2026-13"],
            '--month: "2026-13" is not a month; write for example 2026-11',
        ),
    ],
)
def test_mistakes_are_one_line(arguments: list[str], line_: str) -> None:
    run = CliRunner().invoke(main, arguments)
    assert (run.exit_code, run.stderr.strip()) == (2, line_)


def test_everything_is_lines_or_a_table() -> None:
    assert all(isinstance(b, (Lines, Grid)) for b in blocks().values())


@pytest.mark.parametrize("product_", ["thinner", ""])
def test_the_label_of_an_undisclosed_or_mixed_liquid_does_not_end_as_done(tmp_path: Path, product_: str) -> None:
    """Exit status 3, as for a sheet that is INCOMPLETE."""
    (tmp_path / "shop.toml").write_text(
        'shop = {name = "Yard", rules = ["us-federal"], ledger = "sqlite:///l.db"}\n'
        'place = [{id = "bay", kind = "outdoor", temperature = "20 degC", '
        'air = [{state = "open", air_speed = "1 m/s", basis = "made up"}]}]\n'
        'container = [{id = "drum", stream = "spent solvent", size = "200 L", kind = "central", accepts = ["free-liquid"], reactivity = []}]\n'
    )
    (tmp_path / "products").mkdir()
    (tmp_path / "products" / "thinner.toml").write_text(
        'product = {id = "thinner", name = "Thinner", role = "thinner", purpose = "thinner", density = "0.8 g/mL", '
        'part = [{name = "a blend nobody names", weight = "100 %"}]}\n'
    )
    about = ["--who", "Pat", "--shop", str(tmp_path)]
    come = ["record", "receive", "thinner", "2 kg", "--lot", "L1", "--expires", "none", *about]
    put = ["record", "waste", "drum", "1 kg", "--basis", "weighed", *about]
    put += ["--from", "job", *(["--product", product_] if product_ else [])]
    for arguments in (come, put):
        run = CliRunner().invoke(main, arguments)
        assert run.exit_code == 0, run.output
    run = CliRunner().invoke(main, ["label", "drum", "--shop", str(tmp_path)])
    assert run.exit_code == 3, run.output
    assert "not known" in run.stdout
    assert ("holds an undisclosed part: a blend nobody names" in run.stdout) == bool(product_)
