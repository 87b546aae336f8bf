"""The plugin of docs/plugins.md, built and installed into an environment of its own, loaded and asked."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

from safety import hookspecs
from safety.answers import ANSWERS

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "plugins.md").read_text("utf-8")

ASK = """
import json
from pathlib import Path
from safety import host
from safety.assessment import assess_job

listed = {row.name: (row.distribution, row.failure) for row in host.load().listing()}
report = assess_job(Path("jobs/laminate-wipe-down.toml"), draws=50)
print(json.dumps({
    "listed": listed,
    "findings": [(f.level, f.step, f.key) for f in report.findings if f.plugin == "house_rules"],
    "steps": len(report.job.steps),
    "blocks": [b.key for b in report.blocks],
    "failures": [f.plugin for f in report.failures],
}))
"""


def blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", PAGE, re.S | re.M)


def run(*command: str | Path, folder: Path) -> str:
    done = subprocess.run([*map(str, command)], cwd=folder, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def environment(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A fresh environment that sees this one's packages and has the page's plugin installed."""
    folder = tmp_path_factory.mktemp("stranger")
    run(sys.executable, "-m", "venv", "--without-pip", folder / "env", folder=folder)
    python = folder / "env" / "bin" / "python"
    site = Path(run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", folder=folder).strip())
    # the packages of the environment the tests run in, editable installs included
    (site / "host.pth").write_text(f"import site; site.addsitedir({sysconfig.get_path('purelib')!r})\n")
    source = folder / "house-rules"
    source.mkdir()
    (source / "pyproject.toml").write_text(blocks("toml")[0])
    (source / "house_rules.py").write_text(blocks("python")[0])
    offline = ("--no-index", "--no-deps", "--no-build-isolation", "--quiet")
    run(sys.executable, "-m", "pip", "--python", python, "install", *offline, source, folder=folder)
    return python


def test_the_page_s_plugin_is_loaded_and_asked(environment: Path) -> None:
    demo = ROOT / "safety" / "data" / "demo"
    told = json.loads(run(environment, "-c", ASK, folder=demo))
    assert told["listed"]["house_rules"] == ["house-rules", ""]
    assert told["listed"]["ventilation"] == ["hazstep", ""]
    assert told["failures"] == []
    assert len(told["findings"]) == told["steps"]
    assert {key for _, _, key in told["findings"]} == {"lone-work"}
    assert "house-rules" in told["blocks"]


def test_the_plugin_has_under_forty_lines() -> None:
    assert len(blocks("python")[0].splitlines()) < 45
    code = [line for line in blocks("python")[0].splitlines() if line.strip()]
    assert len(code) < 40


def test_the_page_has_one_heading_for_each_hook_with_its_exact_signature() -> None:
    headings = re.findall(r"^### (\w+\(.*\))$", PAGE, re.M)
    specs = []
    for name in ANSWERS:
        function = getattr(hookspecs, name)
        arguments = function.__code__.co_varnames[: function.__code__.co_argcount]
        specs.append(f"{name}({', '.join(arguments)})")
    assert headings == specs
