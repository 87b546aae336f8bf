"""Pipes that close, signals, streams that are not there, and two runs at once."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from io import BytesIO
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from safety.cli import main
from tests.surroundings.conftest import FEW, HAZSTEP, JOB, RECEIVED, USED, Run

posix = pytest.mark.skipif(sys.platform == "win32", reason="signals and pipes of POSIX")


@posix
def test_a_reader_that_goes_away_is_no_mistake(shop: Path) -> None:
    """``hazstep ... | head -0``: the pipe is closed before the first line is written."""
    run = subprocess.Popen(
        [*HAZSTEP, "calc"],
        cwd=shop,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        stdin=subprocess.DEVNULL,
    )
    assert run.stdout
    assert run.stderr
    run.stdout.close()
    _, said = run.communicate()
    assert run.wait() == 141  # as a shell counts SIGPIPE; 1 would read as a stop finding
    assert said == b""


@posix
def test_control_c_is_told_from_a_stop_finding(shop: Path, tmp_path: Path) -> None:
    pdf = tmp_path / "sheet.pdf"
    # a shell lets what it runs in the background ignore Ctrl-C, and that is handed down to us
    listening = (
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); from safety.cli import main; main()"
    )
    run = subprocess.Popen(
        [sys.executable, "-c", listening, "sheet", JOB, "--draws", "200000", "--pdf", str(pdf)],
        cwd=shop,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        stdin=subprocess.DEVNULL,
        env={**os.environ, "HAZSTEP_TRACE": "1"},  # says when a plugin has answered: the work has begun
    )
    assert run.stderr
    first = run.stderr.readline()
    assert b"answered by" in first
    run.send_signal(signal.SIGINT)
    out, said = run.communicate()
    assert run.returncode == 130
    assert out == b""
    assert b"Traceback" not in said
    assert list(tmp_path.glob("*.pdf")) == []


@posix
@pytest.mark.parametrize(("number", "status"), [(0, 2), (1, None), (2, None)], ids=["stdin", "stdout", "stderr"])
def test_a_stream_that_was_closed_before_we_began(shop: Path, number: int, status: int | None) -> None:
    words = USED[:4] if number == 0 else ("calc",)
    run = subprocess.run(
        [*HAZSTEP, *words], cwd=shop, capture_output=True, check=False, preexec_fn=lambda: os.close(number)
    )
    assert b"Traceback" not in run.stderr
    assert b"fault of the program" not in run.stderr
    assert run.returncode in ((status,) if status else (0, 1, 3)), run.stderr


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no full disk to write to")
def test_a_full_disk_behind_standard_output(hazstep: Run) -> None:
    with open("/dev/full", "wb") as full:
        run = hazstep("calc", stdout=full)
    assert run.returncode == 2
    assert run.stderr == b"standard output: No space left on device\n"


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no full disk to write to")
def test_what_is_stored_does_not_read_as_bad_input_where_it_cannot_be_told(hazstep: Run) -> None:
    """Status 2 was bad input, and whoever mended nothing and sent it again recorded it twice."""
    with open("/dev/full", "wb") as full:
        received = hazstep(*RECEIVED, "--key", "can-1", stdout=full)
        frozen = hazstep("sheet", JOB, *FEW, "--freeze", stdout=full)
        id = frozen.stderr.split()[2].decode()
        signed = hazstep("sign", id, "--name", "Pat", "--role", "technician", stdout=full)
    said = b"stored, key can-1; standard output could not be written: No space left on device\n"
    assert (received.returncode, received.stderr.endswith(said)) == (0, True), received.stderr
    assert frozen.stderr.startswith(b"Frozen as ")
    assert frozen.returncode == 2  # the sheet was not handed out
    assert signed.returncode == 0
    assert signed.stderr.startswith(f"Signed {id}; standard output could not be written".encode())


def test_two_runs_that_write_the_same_file_leave_one_whole_file(shop: Path, tmp_path: Path) -> None:
    pdf = tmp_path / "same.pdf"
    runs = [
        subprocess.Popen(
            [*HAZSTEP, "sheet", JOB, *FEW, "--seed", str(seed), "--pdf", str(pdf)],
            cwd=shop,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
        )
        for seed in (1, 2)
    ]
    seen: set[bytes] = set()
    while any(run.poll() is None for run in runs):
        if pdf.exists():
            seen.add(pdf.read_bytes())
        time.sleep(0.02)
    for run in runs:
        assert run.wait() in (0, 1, 3)
        assert run.stderr
        assert run.stderr.read() == b""
        run.stderr.close()
    seen.add(pdf.read_bytes())
    for content in seen:  # whoever came last, and whatever was there meanwhile
        assert PdfReader(BytesIO(content)).pages[0].extract_text()
    assert list(tmp_path.glob(".*")) == []
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == ["same.pdf"]


def test_record_does_not_ask_where_nobody_can_answer(
    shop: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A pipe at standard input is not read as answers: what is missing is said, all at once."""
    monkeypatch.chdir(shop)
    assert runner.invoke(main, RECEIVED).exit_code == 0
    run = runner.invoke(main, USED[:4], input="L-1\nmeasured\nme\n")
    assert run.exit_code == 2
    assert run.stdout == ""
    assert [line.split(":")[1].strip() for line in run.stderr.splitlines()] == ["--basis", "--lot", "--who"]
