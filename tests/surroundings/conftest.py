"""A small shop in odd surroundings, and ways to make the surroundings odd."""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import main

#: What a person would type, in a process of its own.
HAZSTEP = (sys.executable, "-c", "from safety.cli import main; main(prog_name='hazstep')")
FEW = ("--draws", "60")

Run = Callable[..., subprocess.CompletedProcess[bytes]]


@pytest.fixture
def runner() -> CliRunner:
    return CliRunner()


def make_shop(folder: Path) -> Path:
    """A new shop in ``folder``, filled in by nobody: one job, one product."""
    made = CliRunner().invoke(main, ["new", str(folder)])
    assert made.exit_code == 0, made.output
    return folder


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return make_shop(tmp_path / "shop")


JOB, PRODUCT = "example-cleaning", "example-solvent"
RECEIVED = ("record", "receive", PRODUCT, "5 L", "--lot", "L-1", "--expires", "none", "--who", "me")
USED = ("record", "use", PRODUCT, "250 mL", "--lot", "L-1", "--basis", "measured", "--who", "me")


@pytest.fixture
def hazstep(shop: Path) -> Run:
    """Run a command in the shop's folder in a process of its own."""

    def run(*words: str, env: dict[str, str] | None = None, **more: object) -> subprocess.CompletedProcess[bytes]:
        around = {**os.environ, **(env or {})}
        options = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "stdin": subprocess.DEVNULL, **more}
        return subprocess.run([*HAZSTEP, *words], cwd=shop, env=around, timeout=120, check=False, **options)  # type: ignore[call-overload,no-any-return]

    return run


@pytest.fixture
def zone(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], None]]:
    """Set the time zone of this process."""
    if not hasattr(time, "tzset"):
        pytest.skip("the zone of a running process cannot be set here")

    def set_to(name: str) -> None:
        monkeypatch.setenv("TZ", name)
        time.tzset()

    yield set_to
    monkeypatch.undo()
    time.tzset()


@contextmanager
def closed(*folders: Path) -> Iterator[None]:
    """Folders and all in them as somebody has them who may only read, even where the tests run as root."""
    paths = [path for folder in folders for path in (folder, *folder.rglob("*"))]
    before = [(path, path.stat().st_mode) for path in paths]
    for path, mode in before:
        path.chmod(mode & 0o555)
    try:
        with _without_power():
            yield
    finally:
        for path, mode in before:
            path.chmod(mode)


@contextmanager
def _without_power() -> Iterator[None]:
    """Put aside what lets root write everywhere (on Linux the capabilities CAP_DAC_OVERRIDE and CAP_FOWNER)."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        yield
        return
    if not sys.platform.startswith("linux"):
        pytest.skip("root may write everywhere here")
    libc = ctypes.CDLL(None, use_errno=True)
    head = (ctypes.c_uint32 * 2)(0x20080522, 0)  # version 3, this thread
    data = (ctypes.c_uint32 * 6)()
    assert libc.capget(head, data) == 0
    effective = data[0]
    data[0] = effective & ~(1 << 1) & ~(1 << 3)
    assert libc.capset(head, data) == 0
    try:
        yield
    finally:
        data[0] = effective
        assert libc.capset(head, data) == 0
