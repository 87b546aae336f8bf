"""The engine in processes of its own: plain data, nothing computed twice, nobody left behind."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from safety.files import trust
from safety.render.screen import screen
from safety.serve import child, ruling
from safety.serve.engine import Engine, Mistaken
from safety.serve.inputs import Inputs
from safety.serve.live import read_plan
from safety.serve.sheet_records import answers
from safety.workplace import Workplace
from tests.serve.shop import JOB, slipway

SHEET = {"ask": "sheet", "job": "patch"}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return slipway(tmp_path_factory.mktemp("slipway"))


@pytest.fixture(scope="module")
def engine(folder: Path) -> Iterator[Engine]:
    made = Engine(folder / "shop.toml", draws=200)
    yield made
    made.close()


def process(engine: Engine, language: str = "en") -> Any:
    return engine._children[language, False][1]._process


def test_a_sheet_is_what_the_command_prints(engine: Engine, folder: Path) -> None:
    answer = engine.ask(SHEET)
    printed = screen(Workplace.open(folder).assess("patch", draws=200))
    assert answer["page"] == json.loads(json.dumps(printed))
    plan = read_plan(answer["plan"])
    assert (plan.windows[0].joins, plan.windows[0].start_within, plan.windows[0].recoat_within) == (2, 7200.0, 10800.0)
    assert [(step.coats, step.lasts, step.after.whole) for step in plan.steps] == [
        (0, 1200, 0),
        (2, 480, 600),
        (0, 1200, 0),
    ]
    assert plan.steps[1].gloves_last == pytest.approx(14400.0, rel=0.8)
    assert plan.steps[1].mask in ("half-mask", "air-line")
    assert {one["step"] for one in answer["answers"]} >= {-1, 0, 1, 2}


def test_languages_are_kept_apart_and_nothing_is_computed_twice(engine: Engine) -> None:
    english, spanish = engine.ask(SHEET), engine.ask(SHEET, "es")
    for answer, word, other in ((english, "wipe", "paño"), (spanish, "Horario", "Clock")):
        assert word in str(answer["page"]["cards"])
        assert other not in str(answer["page"]["cards"])
    assert process(engine).pid != process(engine, "es").pid
    assert engine.kept(SHEET) == english
    assert engine.ask(SHEET) is english
    assert engine.kept({"ask": "sheet", "job": "patch", "air": "gate shut"}) is None


def test_a_file_that_changes_is_read_again_and_mistakes_are_told(engine: Engine, folder: Path) -> None:
    file = folder / "jobs" / "patch.toml"
    try:
        file.write_text(JOB.replace('"20 min"', '"20"', 1), "utf-8")
        with pytest.raises(Mistaken) as found:
            engine.ask(SHEET)
        (mistake,) = found.value.mistakes
        assert (mistake["file"], mistake["place"]) == ("jobs/patch.toml", "[[step]] 1, duration")
        assert str(folder) not in str(found.value.mistakes)
    finally:
        file.write_text(JOB, "utf-8")
    assert engine.ask(SHEET)["complete"] in (True, False)


def test_an_answer_is_kept_for_the_program_the_files_and_the_trust_it_came_from(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A plugin file that was trusted meanwhile changes a sheet and no file of the shop."""
    inputs = Inputs(Workplace.open(folder))
    before = inputs.digest()
    assert inputs.digest() == before
    store = tmp_path / "trusted"
    monkeypatch.setattr(trust, "store", lambda: store)
    store.write_text("x" * 64 + "\t2026-11-25\tplugin.py\n", "utf-8")
    assert inputs.digest(lately=True) == before
    assert inputs.digest() != before


@pytest.mark.parametrize("job", ["../shop", "jobs/patch.toml", "/etc/hostname", "nothing", ""])
def test_a_job_is_named_by_its_id_alone(engine: Engine, job: str) -> None:
    with pytest.raises(Mistaken):
        engine.ask({**SHEET, "job": job})


def test_why_and_what_if(engine: Engine) -> None:
    ref = engine.ask(SHEET)["answers"][0]["ref"]
    tree = engine.ask({"ask": "why", "job": "patch", "ref": ref})
    assert tree["text"].startswith(f"[{ref}] ")
    assert tree["under"]
    work = engine.begin({"ask": "compare", "job": "patch", "changes": ["job.air=gate shut"]})
    answer = work.answer(60)
    assert answer
    assert len(answer["columns"]) == 2
    assert work.share == 1.0


def test_answers_outlive_the_program(folder: Path, engine: Engine, tmp_path: Path) -> None:
    first = Engine(folder / "shop.toml", draws=200, keep=tmp_path / "kept")
    first._remember(first._key(first._asked(SHEET), "en"), engine.ask(SHEET))
    second = Engine(folder / "shop.toml", draws=200, keep=tmp_path / "kept")
    assert second.kept(SHEET) == engine.ask(SHEET)
    assert second.kept(SHEET, "es") is None


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="no /proc to look for processes in")
def test_air_that_changes_within_a_step_is_judged_both_ways(folder: Path) -> None:
    job = Workplace.open(folder).planned(["patch"])[0].job
    told = {"stretches": [[0, 0, 0.0, 1200.0], [1, 1, 1200.0, None]], "now": 1300.0, "airs": [[1300.0, "gate shut"]]}
    assert child._variants(job, told) == [((1, "gate shut"), (2, "gate shut")), ((2, "gate shut"),)]
    assert child._variants(job, {**told, "airs": []}) == [()]


def test_changed_air_is_the_sheet_of_that_air_from_now_on(folder: Path) -> None:
    """The step that goes on has the worse of both, later ones the new state, and what is over keeps its own."""
    wiped = {"stretches": [[0, 0, 0.0, 1200.0], [1, 1, 1200.0, None]], "now": 1300.0, "airs": [[1300.0, "gate shut"]]}
    answering = child.Answering(folder / "shop.toml")

    def told(real: dict[str, Any], *airs: tuple[int, str]) -> dict[tuple[int, str], Any]:
        edited = answering.workplace.edited(child._with_airs(folder / "jobs" / "patch.toml", airs))
        report = edited.assess("patch", draws=200, real=child._real(real))
        return dict(ruling.read_answers(answers(report)))

    answer = answering.answer({**SHEET, "draws": 200, "real": wiped}, lambda share: None)
    found = ruling.read_answers(answer["answers"])
    whole, late = told(wiped, (1, "gate shut"), (2, "gate shut")), told(wiped, (2, "gate shut"))
    assert {at: one for at, one in found.items() if at[0] == 0} == {at: one for at, one in whole.items() if at[0] == 0}
    assert {at: one for at, one in found.items() if at[0] == 2} == ruling.strictest(
        [{at: one for at, one in each.items() if at[0] == 2} for each in (whole, late)]
    )
    airs = [card["where"].rsplit(", ", 1)[-1].lower() for card in answer["page"]["cards"]]
    assert airs == ["gate open", "gate shut", "gate shut"]
    assert ruling.changes(found, whole) == ()
    assert all(one.way == "looser" for one in ruling.changes(found, late))
    before = told({**wiped, "airs": []})
    assert any(one.step > 0 for one in ruling.changes(before, found)), "shutting the gate changes nothing: a vain test"
