"""Owed reports: the same in every form, drafts for a person, numbers as numbers, what is not known never zero."""

from __future__ import annotations

import csv
import io
import json
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from safety.cli.report import command
from tests.logs.test_totals import BUTANONE, TOLUENE


def report(yard: Any, *args: str) -> Result:
    return CliRunner().invoke(command, [*args, "--shop", str(yard.folder)])


def rows(result: Result, table: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = next(t["rows"] for t in json.loads(result.stdout)["tables"] if t["name"] == table)
    return found


def year(yard: Any, kind: str, table: str) -> list[dict[str, Any]]:
    done = report(yard, kind, "--period", "2026", "--format", "json")
    assert done.exit_code in (0, 3), done.output
    return rows(done, table)


@pytest.fixture
def used(yard: Any) -> Any:
    yard.product("wash", (TOLUENE, "40 %", "60 %"), (BUTANONE, "40 %", "60 %"))
    yard.record("receive", "2026-01-02", "wash", "20 kg", lot="L1")
    yard.record("use", "2026-02-03", "wash", "500 mL", lot="L1", note="=1+1")
    return yard


def test_a_year_as_tidy_tables(used: Any, tmp_path: Path) -> None:
    """Each table a file of its own, every number a number, and the same numbers in SQLite and in JSON."""
    folder, base = tmp_path / "year", tmp_path / "year.db"
    more = ("--tables", str(folder), "--sqlite", str(base), "--csv", str(tmp_path / "a.csv"), "--format", "json")
    done = report(used, "records", "--from", "2026-01", "--to", "2026-12", *more)
    assert done.exit_code == 3, done.output  # the records begin on 2 January, and nobody said that the shop did
    record = json.loads(done.stdout)
    assert record["draft"].startswith("DRAFT for the responsible person")
    names = [table["name"] for table in record["tables"]]
    assert sorted(file.stem for file in folder.iterdir()) == sorted([*names, "about"])
    with sqlite3.connect(base) as read:
        for table in record["tables"]:
            held = list(csv.DictReader(io.StringIO((folder / f"{table['name']}.csv").read_bytes().decode("utf-8-sig"))))
            kept = read.execute(f"select * from {table['name']}").fetchall()
            assert len(held) == len(kept) == len(table["rows"])
            for one, other, third in zip(held, kept, table["rows"], strict=True):
                for (name, cell), value in zip(one.items(), other, strict=True):
                    assert third[name] == value
                    if isinstance(value, (int, float)):
                        assert float(cell) == value, name
        explained = {column for _, column in read.execute('select "table", "column" from about')}
    lines = rows(done, "records")
    assert explained >= set(lines[0])
    (use,) = (line for line in lines if line["kind"] == "use")
    assert (use["volume_l"], use["mass_kg"], use["area_m2"]) == (0.5, 0.4, None)
    assert "'=1+1" in (folder / "records.csv").read_text("utf-8-sig")  # no spreadsheet runs it
    again = report(used, "records", "--period", "2026", "--tables", str(folder), "--sqlite", str(base))
    assert again.exit_code == 3, again.output  # over its own earlier files


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("nonsense", "--period", "2026"), 'no report is called "nonsense"; write one of: '),
        (("records",), "nothing says of which months"),
        (("records", "--period", "26"), '"26" cannot be read'),
        (("records", "--from", "2026-03", "--to", "2026-01"), 'from "2026-03" to "2026-01" is no time'),
        (("records", "--period", "2026", "--from", "2026-01"), "not of both"),
    ],
)
def test_what_cannot_be_reported_is_said(used: Any, args: tuple[str, ...], said: str) -> None:
    from safety.problems import Problems

    done = report(used, *args)
    assert isinstance(done.exception, Problems)
    assert said in str(done.exception)


def test_nothing_of_somebody_elses_is_written_over(used: Any, tmp_path: Path) -> None:
    base = tmp_path / "mine.db"
    base.write_bytes(b"SQLite format 3\0 my own")
    assert report(used, "records", "--period", "2026", "--sqlite", str(base)).exception
    assert base.read_bytes().endswith(b"my own")


def test_the_register_of_shipping_papers_says_when_a_copy_is_owed(yard: Any) -> None:
    """40 CFR 262.42: a large generator asks after 35 days and reports after 45, a small one reports after 60.

    One account says 45 and 60 days since 22 January 2025. Until the code itself is read, the shorter times stand.
    """
    yard.product("wash", (TOLUENE, "100 %", "100 %"))
    yard.record("waste", "2026-03-02", "wash", "1500 kg", solvent="100 kg")
    yard.record("ship", "2026-03-10", amount="1500 kg", manifest="M-1", fate="treated")
    yard.record("waste", "2026-05-04", "wash", "150 kg")
    yard.record("ship", "2026-05-11", amount="150 kg", manifest="M-2")
    large, small = year(yard, "waste-manifests", "manifests")
    assert (large["manifest"], large["category"], large["mass_kg"]) == ("M-1", "LQG", 1500)
    assert (large["ask_by"], large["report_by"]) == ("2026-04-14", "2026-04-24")
    assert (small["category"], small["ask_by"], small["report_by"]) == ("SQG", "2026-07-10", "2026-07-10")


def test_waste_for_the_biennial_report_by_stream_and_code(yard: Any) -> None:
    yard.product("wash", (TOLUENE, "100 %", "100 %"))
    yard.record("waste", "2026-03-02", "wash", "90 kg")
    yard.record("ship", "2026-03-10", amount="90 kg", manifest="M-1", fate="recovered")
    yard.record("ship", "2026-03-11", amount="10 kg", manifest="M-2")
    (one,) = year(yard, "waste-biennial", "generated")
    assert (one["stream"], one["codes"], one["generated_kg"]) == ("spent solvent", "F005", 90)
    unsaid, shipped = year(yard, "waste-biennial", "shipped")
    assert (shipped["shipped_kg"], shipped["management_method"]) == (90, "H010 to H039, reclamation and recovery")
    assert (unsaid["fate"], unsaid["management_method"]) == (None, None)  # nobody said: that is no disposal


def test_the_european_register_by_code(yard: Any) -> None:
    """Decision 2000/532/EC, chapter 14: spent solvent without halogen is 14 06 03*."""
    yard.shop(rules="eu")
    yard.product("wash", (TOLUENE, "100 %", "100 %"))
    yard.record("waste", "2026-03-02", "wash", "90 kg")
    (one,) = year(yard, "waste-register-eu", "generated")
    assert (one["codes"], one["generated_kg"]) == ("14 06 03*", 90)
    done = report(yard, "waste-biennial", "--period", "2026", "--format", "json")
    assert any("gives codes of this list" in text for text in json.loads(done.stdout)["missing"])


def test_every_listed_chemical_is_in_the_release_inventory(yard: Any) -> None:
    """The log named the fullest one alone: toluene was over 10,000 lb, and xylene beside it, and one was told."""
    yard.shop(
        more='[[answer]]\nquestion = "waste-credit"\nanswer = "yes"\nname = "P"\ndate = 2026-01-01\nreason = "r"\n'
    )
    yard.product("wash", (TOLUENE, "40 %", "60 %"), ("1330-20-7", "40 %", "60 %"))
    yard.use("2026-02-03", "wash", "12000 kg")
    yard.record("waste", "2026-02-04", "wash", "1000 kg", solvent="800 kg")
    yard.record("ship", "2026-02-05", amount="1000 kg", fate="treated")
    toluene, xylene = sorted(year(yard, "release-inventory", "chemicals"), key=lambda row: row["chemical"])
    assert (toluene["chemical"], xylene["chemical"]) == (TOLUENE, "1330-20-7")
    assert (toluene["used_at_least_kg"], toluene["used_at_most_kg"]) == (pytest.approx(4800), pytest.approx(7200))
    assert toluene["over_otherwise_used"] == xylene["over_otherwise_used"] == "yes"  # 10,000 lb are 4536 kg
    assert toluene["over_processed"] == "no"
    assert toluene["waste_at_least_kg"] == pytest.approx(800 * 0.4)  # 40 % of it beside at most 60 % of xylene
    assert toluene["air_at_most_kg"] == pytest.approx(7200 - 320)


def test_the_most_and_the_mean_on_hand(yard: Any) -> None:
    """20 kg from the 2nd, 10 of them gone on the 11th, of a month of 30 days; what nobody weighed is no zero."""
    yard.product("wash", (TOLUENE, "100 %", "100 %"))
    yard.product("thin", (BUTANONE, "100 %", "100 %"), density="unknown")
    yard.record("receive", "2026-11-02", "wash", "20 kg", lot="L1")
    yard.record("use", "2026-11-11", "wash", "10 kg", lot="L1")
    yard.record("receive", "2026-11-02", "thin", "5 L", lot="T1")
    done = report(yard, "chemical-inventory", "--period", "2026-11", "--format", "json")
    thin, wash = rows(done, "products")
    assert (wash["most_kg"], wash["days"], wash["over_threshold"]) == (20, 29, "no")
    assert wash["mean_kg"] == pytest.approx((9 * 20 + 20 * 10) / 30)
    assert (thin["most_kg"], thin["over_threshold"]) == (None, None)


def test_coatings_by_formulation_and_month(yard: Any) -> None:
    """40 CFR 63.752(c): volumes by formulation and month; 63.741(g): up to 50 gal of one in a year is left out."""
    yard.product("primer", (BUTANONE, "40 %", "40 %"), ("", "60 %", "60 %"), density="1.0 g/mL", role="primer")
    file = yard.folder / "products" / "primer.toml"
    file.write_text(file.read_text("utf-8").replace('role = "primer"', 'role = "primer"\ncoating = "primer"'), "utf-8")
    yard.use("2026-02-03", "primer", "10 US_gal")
    yard.use("2026-03-03", "primer", "45 US_gal")
    first, second = year(yard, "aerospace-coatings", "coatings")
    assert (first["month"], first["volume_gal"], first["voc_g_per_l"]) == (
        "2026-02",
        pytest.approx(10),
        pytest.approx(400),
    )
    assert (first["limit_g_per_l"], first["within"]) == (350, "no")
    assert second["volume_gal"] == pytest.approx(45)
    low, together = year(yard, "aerospace-coatings", "low_volume")
    assert (low["volume_gal"], low["low_volume"]) == (pytest.approx(55), "no")
    assert (together["volume_gal"], together["low_volume"]) == (0, "yes")
    assert len(year(yard, "aerospace-coatings", "records_asked")) == 7


def test_the_european_plan_as_a_report(yard: Any) -> None:
    yard.shop(rules="eu", more='[settings]\nsolvent_activity = "other-surface-cleaning"\n')
    yard.product("wash", (TOLUENE, "100 %", "100 %"))
    yard.use("2026-05-04", "wash", "4200 kg")
    plan = {row["code"]: row for row in year(yard, "eu-solvent-plan", "plan")}
    assert (plan["I1"]["mass_kg"], plan["O6"]["mass_kg"], plan["F/I"]["share_percent"]) == (4200, 0, 100)
    (activity,) = year(yard, "eu-solvent-plan", "activities")
    assert "over" in activity["state"]
    yard.shop()
    done = report(yard, "eu-solvent-plan", "--period", "2026", "--format", "json")
    assert "No rules pack of this shop asks for a solvent management plan." in json.loads(done.stdout)["missing"]


def test_each_report_is_a_draft_in_every_form(used: Any, tmp_path: Path) -> None:
    from safety.cli import COMMANDS

    assert "report" in COMMANDS
    listed = [line.split()[0] for line in report(used).stdout.splitlines()]
    assert len(listed) == 8
    for kind in listed:
        done = report(used, kind, "--period", "2026", "--csv", str(tmp_path / f"{kind}.csv"))
        assert done.exit_code in (0, 3), done.output
        assert "DRAFT for the responsible person" in done.stdout
        assert b"DRAFT for the responsible person" in (tmp_path / f"{kind}.csv").read_bytes()
    done = report(used, "release-inventory", "--period", "2026", "--pdf", str(tmp_path / "r.pdf"))
    assert (tmp_path / "r.pdf").read_bytes().startswith(b"%PDF-"), done.output
