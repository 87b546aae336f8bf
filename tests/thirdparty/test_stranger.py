"""The plugin of docs/plugins.md, built and installed into an environment of its own, loaded and asked."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

from safety.hosting import hookspecs
from safety.hosting.answers import ANSWERS

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "plugins.md").read_text("utf-8")

ASK = """
import json
from pathlib import Path
from safety.hosting import host
from safety.workplace import assess_job

listed = {row.name: (row.distribution, row.failure) for row in host.load().listing()}
report = assess_job(Path("jobs/laminate-wipe-down.toml"), draws=60)
print(json.dumps({
    "listed": listed,
    "findings": [(f.level, f.step, f.key) for f in report.findings if f.plugin == "house_rules"],
    "steps": len(report.job.steps),
    "blocks": [b.key for b in report.blocks],
    "failures": [f.plugin for f in report.failures],
}))
"""


#: A second stranger: it reads a table of rules packs of its own, and brings the rows of a trade.
NIGHT = """
from safety import hookimpl
from safety.reference import tables
from safety.model import Contribution, Finding, Key, Pack, TableSchema, Way

hazstep_hooks = 2
TABLE = TableSchema(
    "night-shift",
    "How many people a work needs at night.",
    (Key("work", "word", one_of=("brush", "wipe")), Key("people", "whole")),
    same=("work",),
    ways=(Way("people", "higher"),),
)
ROWS = (
    {"work": "wipe", "people": 2, "citation": "rules of the trade (invented)", "edition": "2026"},
    {"work": "brush", "people": 2, "citation": "rules of the trade (invented)", "edition": "2026"},
)
TRADE = Pack("general", "Rules of the trade", "invented", "2026", tables={"night-shift": ROWS})


@hookimpl
def contribute():
    return Contribution(packs=(TRADE,), tables=(TABLE,))


@hookimpl
def assess(reference):
    return [
        Finding("note", "data", f"{row['people']} for {row['work']}.", row["work"], "night_rules",
                rule=f"{row['pack']}; {tables.beside(row)}", key=f"night-{row['work']}")
        for row in reference.table("night-shift")
    ]
"""
NIGHT_PROJECT = """
[build-system]
requires = ["hatchling"]
build-backend = "hatchling.build"

[project]
name = "night-rules"
version = "1.0"

[project.entry-points."hazstep.plugins"]
night_rules = "night_rules"
"""
HOUSE = """
[pack]
id = "house"
title = "House rules (invented)"
jurisdiction = "this shop"
edition = "2026"

[[night-shift]]
work = "{work}"
people = {people}
citation = "house rule 3"
edition = "2026"
"""
ASK_NIGHT = """
import json
from pathlib import Path
from safety.workplace import assess_job
from safety.problems import Problems

try:
    report = assess_job(Path("jobs/laminate-wipe-down.toml"), draws=60)
except Problems as problems:
    print(json.dumps([str(p) for p in problems.problems]))
else:
    print(json.dumps([(f.statement, f.rule) for f in report.findings if f.plugin == "night_rules"]))
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
    strangers = {"house": (blocks("toml")[0], blocks("python")[0]), "night": (NIGHT_PROJECT, NIGHT)}
    for name, (project, code) in strangers.items():
        source = folder / f"{name}-rules"
        source.mkdir()
        (source / "pyproject.toml").write_text(project)
        (source / f"{name}_rules.py").write_text(code)
        offline = ("--no-index", "--no-deps", "--no-build-isolation", "--quiet")
        run(sys.executable, "-m", "pip", "--python", python, "install", *offline, source, folder=folder)
    return python


@pytest.mark.slow
def test_the_page_s_plugin_is_loaded_and_asked(environment: Path) -> None:
    demo = ROOT / "safety" / "data" / "demo"
    told = json.loads(run(environment, "-c", ASK, folder=demo))
    assert told["listed"]["house_rules"] == ["house-rules", ""]
    assert told["listed"]["ventilation"] == ["hazstep", ""]
    assert told["failures"] == []
    assert len(told["findings"]) == told["steps"]
    assert {key for _, _, key in told["findings"]} == {"lone-work"}
    assert "house-rules" in told["blocks"]


@pytest.mark.slow
@pytest.mark.parametrize("first", [True, False], ids=["house first", "house last"])
def test_a_strangers_table_takes_the_rows_of_a_house(environment: Path, tmp_path: Path, first: bool) -> None:
    """The tighter row holds, whichever pack comes first, and the stranger has nothing to choose; a looser one is said."""
    shutil.copytree(ROOT / "safety" / "data" / "demo", tmp_path / "shop")
    shop, house = tmp_path / "shop" / "shop.toml", tmp_path / "shop" / "rules" / "house.toml"
    text = shop.read_text("utf-8")
    (rules,) = re.findall(r"^rules = \[(.*)\]$", text, re.M)
    own = ("rules/house.toml", *rules.replace('"', "").split(", "))
    order = ", ".join(f'"{one}"' for one in (own if first else (*own[1:], own[0])))
    shop.write_text(text.replace(f"rules = [{rules}]", f"rules = [{order}]"), encoding="utf-8")
    house.write_text(HOUSE.format(work="wipe", people=3), encoding="utf-8")
    assert json.loads(run(environment, "-c", ASK_NIGHT, folder=tmp_path / "shop")) == [
        ["2 for brush.", "general; "],
        ["3 for wipe.", "house; pack general says 2: looser, not used"],
    ]
    house.write_text(HOUSE.format(work="wipe", people=1), encoding="utf-8")
    (line,) = json.loads(run(environment, "-c", ASK_NIGHT, folder=tmp_path / "shop"))
    assert line.startswith("rules/house.toml: night-shift wipe: 1 is looser than 2 of general; tighten it")
    house.write_text(HOUSE.format(work="wype", people=3), encoding="utf-8")
    (line,) = json.loads(run(environment, "-c", ASK_NIGHT, folder=tmp_path / "shop"))
    assert line == 'rules/house.toml:9: [[night-shift]] 1, work: "wype" is not known here; did you mean "wipe"?'


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
