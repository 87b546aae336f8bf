"""A stranger's plugin is an equal: it translates, is compared, stands on the card, is frozen and explained."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from importlib import util
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from click.testing import CliRunner

from safety.calc.call import call
from safety.cli import main
from safety.frozen import files
from safety.hosting import host
from safety.hosting.host import Host
from safety.model import Contribution
from safety.problems import Problems
from safety.render import text
from safety.why import explain, references
from safety.words import speaking, speech
from safety.workplace import Workplace

DEMO = Path(__file__).parents[2] / "safety" / "data" / "demo"
CODE = Path(__file__).with_name("lamp_rules.py")


def _module() -> ModuleType:
    spec = util.spec_from_file_location("lamp_rules", CODE)
    assert spec
    assert spec.loader
    module = util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The demo shop of somebody who has installed the stranger's plugin."""
    load = host.load

    def with_lamps(*args: Any, **options: Any) -> Host:
        plugins = load(*args, **options)
        plugins.admit("lamp_rules", _module, "lamp-rules", "1.0")
        return plugins

    monkeypatch.setattr(host, "load", with_lamps)
    return Path(shutil.copytree(DEMO, tmp_path / "shop"))


JOB = "laminate-wipe-down"


def test_it_stands_on_the_card_in_its_own_topic_and_in_the_readers_language(shop: Path) -> None:
    """A stranger's topic was no topic, and its sentences were English on a Spanish sheet."""
    for language, title, words in (("en", "Light", "2 lamps"), ("es", "Iluminación", "2 lámparas")):
        with speaking(speech(language)):
            report = Workplace.open(shop).assess(JOB, draws=60)
            page = text.sheet(report, full=True)
        assert report.failures == ()
        assert list(report.titles)[-1] == "light"
        assert title in page
        assert words in page
        assert [b.key for b in report.blocks if b.key == "lamps"] == ["lamps"]


def test_it_is_compared(shop: Path) -> None:
    done = CliRunner().invoke(
        main,
        ["compare", str(shop / "jobs" / f"{JOB}.toml"), "--draws", "60", "--format", "json", "--change", "job.crew=1"],
    )
    stops = {row["planned"]: row["stops"] for row in json.loads(done.output)["alternatives"]}
    assert stops[False] == stops[True] + 1


def test_its_formula_is_known_to_calc_and_to_why(shop: Path) -> None:
    """Formulas were promised in the page and read by nobody."""
    plugins = host.load()
    plugins.contributions()
    answer = call("burning_time", {"charge": "1 h", "draw": "50 %"}, plugins.formulas)
    assert (answer.value, answer.unit) == (120.0, "min")
    with pytest.raises(Problems, match="the plugin lamp_rules did not answer: float division by zero"):
        call("burning_time", {"charge": "1 h", "draw": "0 %"}, plugins.formulas)
    listing = CliRunner().invoke(main, ["calc"]).output
    assert "lamp_rules\n  burning_time: How long a lamp burns" in listing
    report = Workplace.open(shop).assess(JOB, draws=60)
    (found,) = ((r, f) for r, f in references(report).items() if f.plugin == "lamp_rules")
    tree = "\n".join(explain(report, *found).lines())
    assert "by burning_time:" in tree
    assert "rule of thumb of the trade" in tree


def test_a_frozen_sheet_keeps_what_it_adds(shop: Path) -> None:
    """Plugin data were looked for in packages called safety_NAME, so a stranger's were in no frozen sheet."""
    kept = files.data_files(Workplace.open(shop).plugins)
    added = json.loads(kept["data/lamp_rules/added.json"])
    assert added["packs"][0]["tables"]["lamps"][0]["draw"] == 50.0
    assert added["messages"]["es"]["Light"] == "Iluminación"
    assert added["formulas"][0]["function"] == "burning_time"
    assert "data/waste/rules/general.toml" in kept


def _plugin(added: Contribution) -> Callable[[], ModuleType]:
    from safety import hookimpl

    made = ModuleType("made")
    made.contribute = hookimpl(lambda: added)  # type: ignore[attr-defined]
    return lambda: made


@pytest.mark.parametrize(
    ("added", "reason"),
    [
        (Contribution(topics={"air": "Wind"}), 'the topic "air" is there already'),
        (Contribution(topics={"Big": "Wind"}), 'the topic "Big" needs a title, and a word of small letters'),
        (Contribution(topics={"light": "Lamps"}), 'the topic "light" has another title in the plugin lamp_rules'),
        (Contribution(messages={"se": {"a": "b"}}), 'no sheet is printed in "se"; write one of: "de", "es"'),
        (Contribution(messages={"es": {"a {x}": "b"}}), '"b" must have the fields of "a {x}"'),
        (Contribution(messages={"es": {"a": "b {x}"}}), '"b {x}" must have the fields of "a"'),
        (Contribution(messages={"es": {"Light": "Luz"}}), 'the plugin lamp_rules says "Light" in other words'),
        (Contribution(formulas=(len,)), "contribute.formulas[0] is builtin_function_or_method"),
    ],
)
def test_what_does_not_go_with_the_rest_is_the_plugins_failure(added: Contribution, reason: str) -> None:
    it = Host()
    it.admit("lamp_rules", _module, "lamp-rules", "1.0")
    it.admit("other", _plugin(added), "other", "1.0")
    it.contributions()
    assert [(f.plugin, f.hook) for f in it.failures] == [("other", "contribute")]
    assert reason in it.failures[0].reason
    assert list(it.titles)[-1] == "light"
