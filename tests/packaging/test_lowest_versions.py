"""What the package says it runs on: with the lowest version of every dependency a sheet and a log are made, and a quick
part of the tests passes.

pint 0.24.0 to 0.24.3 were allowed and failed at the start; so was a version of tomli that was never published.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest
import tomli

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "safety" / "data" / "demo"
#: A second or two each, and between them every dependency but reportlab and SQLAlchemy, which a sheet and a log use.
QUICK = (
    "tests/exposure/test_engine.py",
    "tests/exposure/test_film.py",
    "tests/hosting/test_host.py",
    "tests/properties/test_formulas.py",
    "tests/published",
)


def lowest() -> list[str]:
    """Every dependency at its lower bound: "numpy>=1.26" as "numpy==1.26.0"."""
    project = tomli.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    pairs = [re.fullmatch(r"([a-z0-9]+)>=([\d.]+)", text) for text in project["dependencies"]]
    assert all(pairs), "each dependency has a lower bound and nothing else"
    return [f"{m[1]}=={m[2] + '.0' * (2 - m[2].count('.'))}" for m in pairs if m]


def run(*command: str | Path, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*map(str, command)], cwd=folder, capture_output=True, text=True, timeout=900, check=False)


@pytest.fixture(scope="module")
def python(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An environment with the lowest versions; what is no dependency, such as pytest, is that of this run."""
    if sys.version_info >= (3, 13):
        pytest.skip("the lowest NumPy has no wheel for this Python: 3.10 to 3.12 run this")
    folder = tmp_path_factory.mktemp("lowest")
    python = folder / "env" / "bin" / "python"
    assert run(sys.executable, "-m", "venv", "--without-pip", folder / "env", folder=folder).returncode == 0
    install = (sys.executable, "-m", "pip", "--python", python, "install", "--quiet", "--only-binary", ":all:")
    install = (*install, "--no-compile")  # most of it is never imported here
    done = run(*install, *lowest(), folder=folder)
    if done.returncode and "CI" not in os.environ and re.search("connection|resolve host|timed out", done.stderr, re.I):
        pytest.skip("no package index can be reached")
    assert done.returncode == 0, done.stderr
    site = run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", folder=folder).stdout.strip()
    # behind them the environment of this run, editable installs included
    Path(site, "host.pth").write_text(f"import site; site.addsitedir({sysconfig.get_path('purelib')!r})\n")
    return python


@pytest.mark.slow
def test_they_are_the_lowest(python: Path) -> None:
    names = [pin.partition("==") for pin in lowest()]
    code = f"from importlib.metadata import version; print([version(n) for n in {[n for n, _, _ in names]}])"
    told = run(python, "-c", code, folder=ROOT).stdout
    found = [re.sub(r"(\.0)+$", "", version) for version in re.findall(r"'([^']+)'", told)]
    assert found == [re.sub(r"(\.0)+$", "", version) for _, _, version in names]


@pytest.mark.slow
def test_a_sheet_and_a_log_are_made(python: Path, tmp_path: Path) -> None:
    """Of the demo's shop with its records, as PDF and as text: all that a dependency is used for."""
    shop = tmp_path / "shop"
    shutil.copytree(DEMO, shop)
    lines = (
        f"record import {shop}/records.csv --shop {shop}",
        f"sheet {shop}/jobs/laminate-wipe-down.toml --draws 200 --pdf {tmp_path}/sheet.pdf",
        f"log --month 2026-10 --shop {shop} --pdf {tmp_path}/log.pdf",
    )
    for line in lines:
        code = f"from safety.cli import main; main({line.split()!r}, prog_name='hazstep')"
        done = run(python, "-c", code, folder=tmp_path)
        assert done.returncode in (0, 1, 3), done.stderr
    for name in ("sheet.pdf", "log.pdf"):
        assert (tmp_path / name).read_bytes().startswith(b"%PDF-")


@pytest.mark.slow
def test_a_quick_part_of_the_tests_passes(python: Path) -> None:
    done = run(python, "-m", "pytest", "-q", "-n", "0", "-p", "no:cacheprovider", "-m", "not slow", *QUICK, folder=ROOT)
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr[-1000:]
    assert re.search(r"\d{3,} passed", done.stdout)
