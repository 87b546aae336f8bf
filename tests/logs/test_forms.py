"""The log as text, PDF, CSV and JSON, and the command that writes them."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from safety import logbook
from safety.frozen.filed import with_earlier
from safety.frozen.pages import freeze_log
from safety.logbook import make_log
from safety.model import Period
from safety.render import log as log_render
from safety.render import log_pdf, log_records, log_text
from safety.render.log_text import safe
from safety.workplace import Workplace

BUTANONE = "78-93-3"


@pytest.fixture
def filled(yard: Any) -> Any:
    yard.shop(units="us")
    yard.product("wash", (BUTANONE, "90 %", "100 %"), ("", "0 %", "10 %"))
    yard.product("odd", (BUTANONE, "100 %", "100 %"), density="unknown")
    yard.use("2026-11-02", "wash", "75 kg", key="slip", job="wing-7", note="=HYPERLINK(1)")
    yard.correct("slip", amount="7.5 kg")
    yard.use("2026-11-03", "odd", "3 L", key="odd-one")
    return yard


def test_every_form_says_the_same(filled: Any) -> None:
    report = filled.log("2026-11")
    text = log_text.log(report)
    pdf = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(log_pdf.log(report))).pages)
    table = list(csv.reader(io.StringIO(log_text.table(report).decode("utf-8-sig"))))
    cells = " ".join(cell for row in table for cell in row)
    whole = json.dumps(log_records.log(report), ensure_ascii=False)
    plain = {"text": text, "pdf": pdf, "csv": cells, "json": whole}
    titles = [block.title for block in report.blocks if getattr(block, "rows", True)]
    sentences = [
        "INCOMPLETE",
        "Corrections",
        "I have looked through this log",
        "slip~2",
        "odd-one",
        "wing-7",
        "Kim",
        *titles,
        *report.missing,
    ]
    for name, content in plain.items():
        flat = "".join(content.replace("###", "").split())
        for sentence in sentences:
            assert "".join(sentence.split()) in flat.replace('\\"', '"'), (name, sentence)


def test_records_in_csv_are_numbers_a_spreadsheet_can_add(filled: Any) -> None:
    rows = list(csv.reader(io.StringIO(log_text.table(filled.log("2026-11")).decode("utf-8-sig"))))
    head = next(i for i, row in enumerate(rows) if row[:2] == ["Day", "Time"])
    records = []
    for row in rows[head + 1 :]:
        if not row:
            break
        records.append(dict(zip(rows[head], row, strict=True)))
    assert [r["kg"] for r in records] == ["75", "-75", "7.5", "UNKNOWN"]
    assert float(records[2]["lb"]) == pytest.approx(7.5 / 0.45359237, rel=1e-3)
    assert float(records[2]["L"]) == pytest.approx(7.5 / 0.8, rel=1e-3)


@pytest.mark.parametrize(
    "cell",
    [
        "=1+1",
        "+1+1",
        "-1+1",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        " =1",
        "\uff1d1",
        "-2+3|cmd",
        "=cmd|' /C calc'!A0",
        "\u202e=1",
    ],
)
def test_no_cell_runs_as_a_formula(cell: str) -> None:
    # OWASP, CSV Injection: cells that begin with = + - @ tab or carriage return, and the wide forms of the first four
    assert safe(cell).startswith("'")
    assert "\n" not in safe(cell)
    assert "\t" not in safe(cell)


@pytest.mark.parametrize("cell", ["-0.6075", "12", "2026-11-02", "plain - text", "a=b", ""])
def test_numbers_and_plain_words_stay_as_they_are(cell: str) -> None:
    assert safe(cell) == cell


def test_a_name_in_a_record_cannot_become_a_formula(filled: Any) -> None:
    content = log_text.table(filled.log("2026-11"))
    assert content.startswith(b"\xef\xbb\xbf")
    assert b"\r\n" in content
    rows = csv.reader(io.StringIO(content.decode("utf-8-sig")))
    dangerous = [cell for row in rows for cell in row if cell.lstrip().startswith(("=", "+", "@"))]
    assert dangerous == []


def test_the_same_log_gives_the_same_bytes(filled: Any) -> None:
    one, other = filled.log("2026-11"), filled.log("2026-11")
    assert log_pdf.log(one) == log_pdf.log(other)
    assert log_text.table(one) == log_text.table(other)


def test_json_has_null_for_what_is_unknown(filled: Any) -> None:
    records = {r["key"]: r for r in log_records.log(filled.log("2026-11"))["records"]}
    assert records["odd-one"]["mass_kg"] is None
    assert records["odd-one"]["shown"]["kilograms"] == "UNKNOWN"
    assert records["not~slip"]["mass_kg"] == -75
    assert records["not~slip"]["reverses"] == "slip"


def test_the_command_writes_all_forms_and_exits_3_where_incomplete(filled: Any, tmp_path: Path) -> None:
    done = filled.run("log", "--month", "2026-11", "--pdf", str(tmp_path / "l.pdf"), "--csv", str(tmp_path / "l.csv"))
    assert done.exit_code == 3
    assert "INCOMPLETE" in done.output
    assert (tmp_path / "l.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "l.csv").read_bytes().startswith(b"\xef\xbb\xbf")
    asked = filled.run("log", "--year", "2026", "--format", "json")
    assert json.loads(asked.output)["period"] == {"first": "2026-01", "last": "2026-12"}


def test_a_whole_log_exits_0(yard: Any) -> None:
    yard.product("wash", (BUTANONE, "100 %", "100 %"))
    yard.use("2026-11-02", "wash", "5 kg")
    assert yard.run("log", "--month", "2026-11").exit_code == 0


@pytest.mark.parametrize(
    "arguments",
    [(), ("--month", "2026-13"), ("--month", "11"), ("--year", "26"), ("--month", "2026-11", "--year", "2026")],
)
def test_a_period_that_cannot_be_read_is_one_clear_line(yard: Any, arguments: tuple[str, ...]) -> None:
    done = yard.run("log", *arguments)
    assert done.exit_code == 2
    assert "write --month 2026-11 or --year 2026" in done.output


def test_without_a_ledger_that_is_said(yard: Any) -> None:
    yard.product("wash", (BUTANONE, "100 %", "100 %"))
    done = yard.run("log", "--month", "2026-11")
    assert done.exit_code == 2
    assert "there is no ledger yet" in done.output


def test_a_month_without_records_is_incomplete_not_clean(yard: Any) -> None:
    yard.product("wash", (BUTANONE, "100 %", "100 %"))
    yard.use("2026-10-02", "wash", "5 kg")
    done = yard.run("log", "--month", "2026-11")
    assert done.exit_code == 3
    assert "Nothing at all is recorded in this period." in done.output


def test_a_log_of_a_year_is_a_summary_and_its_lines_are_in_the_file(
    filled: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """9,524 records made 601 pages and took a minute. What is printed says where the lines are; the CSV has each."""
    monkeypatch.setattr(log_render, "PRINTED", 1)
    report = filled.log("2026-11")
    count = len(report.entries)
    told = f"{count} records are counted above and not printed."
    key = report.entries[-1].key
    text = log_text.log(report)
    assert told in text
    assert f"key {key}" not in text
    assert f"key {key}" in log_text.log(report, every=True)
    pages = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(log_pdf.log(report))).pages)
    assert told in " ".join(pages.split())
    assert key in log_text.table(report).decode("utf-8-sig")
    assert len(log_records.log(report)["records"]) == count


def test_a_summary_says_the_same_without_each_record_being_read(yard: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a million uses every line of a month was read, twice over, for a page that prints none of them.

    The solvent plugin took longer than it may, so that its limits were left out: "not counted" where they were over.
    """
    monkeypatch.setattr(log_render, "PRINTED", 1)
    monkeypatch.setattr(logbook, "PRINTED", 1)
    yard.product("wash", (BUTANONE, "100 %", "100 %"))
    yard.product("mystery", (BUTANONE, "100 %", "100 %"), density="unknown")
    yard.use("2026-11-02", "wash", "5 kg", key="slip")
    yard.use("2026-11-03", "mystery", "1 L")
    yard.use("2026-11-04", "mystery", "2 L")
    yard.use("2026-11-05", "wash", "6 kg")
    yard.correct("slip", amount="4 kg")
    period = Period("2026-11", "2026-11")
    place = Workplace.open(yard.folder)
    whole, summary = make_log(place, period), make_log(place, period, every=False)
    assert whole.whole
    assert not summary.whole
    assert len(summary.entries) < summary.count == whole.count
    assert log_text.log(summary) == log_text.log(whole)
    assert "mystery: records without a known mass: 2. The first is of 2026-11-03" in log_text.log(summary)
    with pytest.raises(ValueError, match="were not read"):
        log_records.log(summary)
    assert log_text.log(with_earlier(summary)) == log_text.log(summary)
    kept = freeze_log(place, whole)
    assert with_earlier(summary).filed[0].id == kept
    assert with_earlier(summary).filed[0].differs == ()


@pytest.mark.parametrize("rules", ["eu", "us-federal"])
def test_a_substance_that_a_product_gives_by_its_number_has_its_name(yard: Any, rules: str) -> None:
    """It stood as "78-93-3" under "Substance", with the number once more beside it."""
    yard.shop(rules=rules)
    yard.product("wash", (BUTANONE, "100 %", "100 %"))
    yard.use("2026-11-02", "wash", "5 kg")
    report = yard.log("2026-11")
    (row,) = next(block for block in report.blocks if getattr(block, "key", "") == "solvent-substances").rows
    assert row[:2] == ("methyl ethyl ketone", BUTANONE)
    assert f"methyl ethyl ketone ({BUTANONE})" in log_text.log(report)
