"""``hazstep sheet``: streams, files and exit statuses."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
from click.testing import CliRunner

from safety.cli import main
from safety.cli.output import Target, write
from safety.cli.sheet import status
from safety.workplace import Workplace


@pytest.mark.parametrize(
    ("complete", "stops", "expected"),
    [(True, (), 0), (True, ("stop",), 1), (False, (), 3), (False, ("stop",), 3)],
)
def test_status(complete: bool, stops: tuple[str, ...], expected: int) -> None:
    assert status(SimpleNamespace(complete=complete, stops=stops)) == expected  # type: ignore[arg-type]


def test_json_pdf_and_status_agree(runner: CliRunner, job: Path, tmp_path: Path) -> None:
    pdf = tmp_path / "out" / "sheet.pdf"
    run = runner.invoke(main, ["sheet", str(job), "--format", "json", "--draws", "60", "--pdf", str(pdf)])
    record = json.loads(run.stdout)
    assert run.stderr == ""
    assert run.exit_code == (3 if not record["complete"] else 1 if record["stops"] else 0)
    assert (record["draws"], record["seed"]) == (60, 1)
    assert len(record["exposure"]) % len(record["steps"]) == 0
    assert pdf.read_bytes().startswith(b"%PDF-")
    assert [p.name for p in pdf.parent.iterdir()] == ["sheet.pdf"]


def test_job_by_its_name_in_the_shop(runner: CliRunner, job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    by_path = runner.invoke(main, ["sheet", str(job), "--draws", "60"])
    monkeypatch.chdir(job.parent)
    by_name = runner.invoke(main, ["sheet", job.stem, "--draws", "60"])
    assert by_name.stdout == by_path.stdout != ""


def test_the_sheet_names_the_shops_own_substances_rules_and_plugins_among_its_files(
    runner: CliRunner, shop: Path, job: Path
) -> None:
    """It says that it is computed from the files named on it: then all of them."""
    for folder in ("substances", "rules"):
        (shop / folder).mkdir(exist_ok=True)
    known = {
        "molar_mass": '"140 g/mol"',
        "antoine_a": '"10.3", low = "10 degC", high = "60 degC"',
        "antoine_b": '"2280 K"',
        "antoine_c": '"0 K"',
    }
    lines = [f'{key} = [{{ value = {value}, source = "maker", at = "letter" }}]' for key, value in known.items()]
    own = ['cas = "64741-84-0"', 'names = ["our naphtha"]', *lines]
    (shop / "substances" / "64741-84-0.toml").write_text("\n".join(own))
    (shop / "substances" / "sources.toml").write_text('[maker]\ntitle = "A letter"\nedition = "2026"\n')
    head = 'id = "ours"\ntitle = "Ours"\njurisdiction = "here"\nedition = "2026"\n'
    (shop / "rules" / "ours.toml").write_text(f"[pack]\n{head}")
    (shop / "house.py").write_text("hazstep_hooks = 2\n")
    about = (shop / "shop.toml").read_text().replace('["us-federal", ', '["us-federal", "rules/ours.toml", ')
    (shop / "shop.toml").write_text(about.replace("[shop]", '[shop]\nplugins = ["house.py"]'))
    (product,) = (shop / "products").glob("*.toml")
    text = product.read_text().replace("67-64-1", "64741-84-0").replace('name = "acetone"', 'name = "our naphtha"')
    product.write_text(text)
    run = runner.invoke(main, ["sheet", str(job), "--draws", "60"])
    files = run.stdout.split("Files read")[1]
    assert all(name in files for name in ("64741-84-0.toml", "ours.toml", "house.py")), run.output


def test_an_amount_is_printed_as_people_read_it(runner: CliRunner, job: Path) -> None:
    job.write_text(job.read_text().replace('["100 mL", "150 mL"]', '["3 US_fl_oz", "5 US_fl_oz"]'))
    run = runner.invoke(main, ["sheet", str(job), "--draws", "60"])
    assert "wipe, 3 US fl oz to 5 US fl oz" in run.stdout
    assert "US_fl_oz" not in run.stdout


def test_bad_input_is_one_line_a_mistake(job: Path) -> None:
    job.write_text(job.read_text().replace("crew =", 'crew = "two" #', 1))
    run = subprocess.run(
        [sys.executable, "-c", "from safety.cli import main; main()", "sheet", str(job)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 2
    assert run.stdout == ""
    lines = run.stderr.splitlines()
    assert lines
    assert all(line.startswith(job.name) or job.name in line.partition(":")[0] for line in lines)
    assert "Traceback" not in run.stderr


def test_a_fault_of_the_program_is_one_sentence(runner: CliRunner, job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("no such wheel")

    monkeypatch.setattr(Workplace, "assess", broken)
    monkeypatch.delenv("HAZSTEP_TRACE", raising=False)
    run = runner.invoke(main, ["sheet", str(job)])
    assert run.exit_code == 70
    assert run.stderr == (
        "hazstep failed, which is a fault of the program (RuntimeError: no such wheel); "
        "set HAZSTEP_TRACE=1 and run it again to see where.\n"
    )
    monkeypatch.setenv("HAZSTEP_TRACE", "1")
    assert isinstance(runner.invoke(main, ["sheet", str(job)]).exception, RuntimeError)


def test_a_pdf_that_cannot_be_written(runner: CliRunner, job: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    target = tmp_path / "file" / "sheet.pdf"
    run = runner.invoke(main, ["sheet", str(job), "--draws", "60", "--pdf", str(target)])
    assert run.exit_code == 2
    assert run.stderr.startswith(f"{target}: ")
    assert run.stderr.count("\n") == 1


def test_write_is_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = Target(tmp_path / "sheet.pdf", ".pdf", b"first".__eq__)
    write({target: b"first"})

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(OSError, match="No space left") as caught:
        write({target: b"second"})
    assert caught.value.filename == str(target.path)
    assert target.path.read_bytes() == b"first"
    assert list(tmp_path.iterdir()) == [target.path]


def test_unknown_command_suggests(runner: CliRunner) -> None:
    run = runner.invoke(main, ["shet"])
    assert run.exit_code == 2
    assert "sheet" in run.stderr
