"""Line ends, byte order marks, decimal commas, and terminals that cannot show every letter."""

from __future__ import annotations

import csv
import io
import json
import locale
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import main
from tests.surroundings.conftest import FEW, JOB, PRODUCT, Run


def _all_that_is_said(runner: CliRunner, out: Path) -> list[object]:
    """Every form of sheet and log of the shop of this folder."""
    sheet = runner.invoke(main, ["sheet", JOB, *FEW, "--full", "--pdf", str(out / "sheet.pdf")])
    check = runner.invoke(main, ["check"])
    calc = runner.invoke(
        main, ["calc", "purge_time", "volume=60 m^3", "airflow=500 cfm", "start=1.5 mg/m3", "target=0.2 mg/m3"]
    )
    log = runner.invoke(
        main, ["log", "--month", "2026-03", "--csv", str(out / "log.csv"), "--pdf", str(out / "log.pdf")]
    )
    for run in (sheet, check, calc, log):
        assert run.exit_code in (0, 1, 3), run.output
    files = [(out / name).read_bytes() for name in ("sheet.pdf", "log.csv", "log.pdf")]
    return [sheet.stdout, check.stdout, calc.stdout, log.stdout, *files]


ROWS = (
    "kind,when,product,amount,basis,lot,who,expires,way,note\n"
    f"receive,2026-03-02,{PRODUCT},5 L,,L-1,me,none,,\n"
    f'use,2026-03-03,{PRODUCT},0.25 L,measured,L-1,me,,,"a note\nof two lines, żółty"\n'
)


@pytest.fixture
def kept(shop: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(shop)
    (shop / "rows.csv").write_text(ROWS, "utf-8", newline="\n")
    assert runner.invoke(main, ["record", "import", "rows.csv"]).exit_code == 0
    return shop


# ---------------------------------------------------------------- line ends and byte order marks


@pytest.mark.parametrize(("mark", "end"), [(b"", b"\r\n"), (b"\xef\xbb\xbf", b"\r\n")])
def test_windows_files_say_the_same(kept: Path, tmp_path: Path, runner: CliRunner, mark: bytes, end: bytes) -> None:
    plain, out = _all_that_is_said(runner, tmp_path), tmp_path / "windows"
    out.mkdir()
    for file in [*kept.rglob("*.toml"), *kept.rglob("*.csv")]:
        file.write_bytes(mark + file.read_bytes().replace(b"\n", end))
    assert _all_that_is_said(runner, out) == plain
    again = runner.invoke(main, ["record", "import", "rows.csv", "--format", "json"])
    assert '"added": 0' in again.stdout, again.output  # the same rows, however the file was saved


def test_every_own_kind_of_file_may_be_a_windows_file(
    tmp_path: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The demo shop has all of them: rules, substances where it adds some, plugins named by path."""
    from safety.cli.demo import SHOP

    shop = Path(shutil.copytree(SHOP, tmp_path / "shop"))
    monkeypatch.chdir(shop)
    words = ["sheet", "laminate-wipe-down", *FEW]
    plain = runner.invoke(main, words)
    for file in shop.rglob("*.toml"):
        file.write_bytes(b"\xef\xbb\xbf" + file.read_bytes().replace(b"\n", b"\r\n"))
    assert runner.invoke(main, words).stdout == plain.stdout
    assert runner.invoke(main, ["check"]).exit_code == 0


def test_a_mistake_in_a_windows_file_has_its_line(
    shop: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(shop)
    job = shop / "jobs" / f"{JOB}.toml"
    text = job.read_text("utf-8").replace("crew =", "crw =", 1)
    line = text[: text.index("crw =")].count("\n") + 1
    job.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    run = runner.invoke(main, ["sheet", JOB])
    assert f"{JOB}.toml:{line}: " in run.stderr


# ---------------------------------------------------------------- decimal commas


@pytest.fixture(scope="module")
def german(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path | None]:
    """A folder of locales with a decimal comma; None where the machine has one itself."""
    here = locale.setlocale(locale.LC_ALL)
    try:
        locale.setlocale(locale.LC_ALL, "de_DE.UTF-8")
    except locale.Error:
        folder = tmp_path_factory.mktemp("locales")
        make = shutil.which("localedef")
        words = [make or "", "-i", "de_DE", "-f", "UTF-8", str(folder / "de_DE.UTF-8")]
        if not make or subprocess.run(words, capture_output=True, check=False).returncode > 1:
            pytest.skip("no locale with a decimal comma, and none can be made")
        yield folder
    else:
        yield None
    finally:
        locale.setlocale(locale.LC_ALL, here)


def test_a_decimal_comma_of_the_machine_changes_nothing(
    kept: Path, tmp_path: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch, german: Path | None
) -> None:
    plain, out = _all_that_is_said(runner, tmp_path), tmp_path / "german"
    out.mkdir()
    if german:
        monkeypatch.setenv("LOCPATH", str(german))
    here = locale.setlocale(locale.LC_ALL)
    try:
        locale.setlocale(locale.LC_ALL, "de_DE.UTF-8")
        assert f"{1.5:n}" == "1,5"
        assert _all_that_is_said(runner, out) == plain
    finally:
        locale.setlocale(locale.LC_ALL, here)
    cells = [cell for row in csv.reader(io.StringIO((out / "log.csv").read_text("utf-8-sig"))) for cell in row]
    assert "0.25 L" in cells


# ---------------------------------------------------------------- terminals that cannot show every letter


@pytest.mark.parametrize(
    "env",
    [
        {"LC_ALL": "C", "PYTHONIOENCODING": "cp1252"},
        {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONIOENCODING": ""},
    ],
    ids=["cp1252", "C locale"],
)
def test_a_letter_that_cannot_be_shown_is_spelt_out(shop: Path, hazstep: Run, env: dict[str, str]) -> None:
    """U+017B is not in cp1252: its number stands for it. Where the encoding is ASCII, click writes UTF-8 instead."""
    job = shop / "jobs" / f"{JOB}.toml"
    job.write_text(job.read_text("utf-8").replace('title = "', 'title = "Żółw ☣ ', 1), "utf-8")
    run = hazstep("sheet", JOB, *FEW, env=env)
    assert run.returncode in (0, 1, 3), run.stderr
    shown = b"\\u017b\xf3\\u0142w" if "1252" in env["PYTHONIOENCODING"] else "Żół".encode()
    assert shown in run.stdout
    assert run.stderr == b""


def test_json_is_json_whatever_the_terminal_can_show(shop: Path, hazstep: Run) -> None:
    """A letter was spelt as Python has it (\\x.., \\U........), which no reader of JSON takes."""
    title = "Żółw 🧤 作業場 é"
    job = shop / "jobs" / f"{JOB}.toml"
    job.write_text(job.read_text("utf-8").replace('title = "', f'title = "{title} ', 1), "utf-8")
    for encoding in ("cp1252", "latin-1", "cp437", "utf-8"):
        run = hazstep("sheet", JOB, *FEW, "--format", "json", env={"PYTHONIOENCODING": encoding})
        assert json.loads(run.stdout.decode(encoding))["job"]["title"].startswith(title)


def test_a_name_that_cannot_be_shown_is_spelt_out_in_a_mistake_too(hazstep: Run) -> None:
    wrong = hazstep("sheet", "Ż", env={"PYTHONIOENCODING": "cp1252"})
    assert wrong.returncode == 2
    assert wrong.stderr.startswith(rb"\u017b: there is no job of this name")
