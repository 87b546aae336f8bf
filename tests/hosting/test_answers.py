"""Plugins that hand back nonsense, or reach for what is not theirs: named, left out, and the sheet is printed."""

from __future__ import annotations

import json
import shutil
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType, ModuleType
from typing import Any

import numpy as np
import pytest

from safety import assessment, hookimpl
from safety.cited import Cited, Source
from safety.hosting import answers, host
from safety.hosting.host import Host
from safety.model import (
    Band,
    Chart,
    Classification,
    Contribution,
    Curve,
    Figure,
    Finding,
    Grid,
    Limit,
    Lines,
    Pack,
    Substance,
)
from safety.problems import Problems
from safety.render import records, text
from safety.words import Message, joined, say
from safety.workplace import assess_job

SHOP = Path(__file__).parents[1] / "mistakes" / "base"
JOB = SHOP / "jobs" / "clean.toml"
SOURCE = Source("book", "Our own book", "2026")
SOUND = Finding("note", "data", "All is well.", "well", "stranger", figures=(Figure("level", 1.0, "ppm"),))


def plugin(**answers: Any) -> ModuleType:
    """A plugin that gives these answers; an answer that can be called is the hook itself."""
    made = ModuleType("stranger")
    for hook, answer in answers.items():
        function = answer if callable(answer) else (lambda answer=answer: answer)
        setattr(made, hook, hookimpl(function))
    return made


def ask(hook: str, answer: Any) -> tuple[list[Any], str]:
    """What comes out of the host, and the reason of the failure."""
    it = Host()
    it.admit("stranger", lambda: plugin(**{hook: answer}), "elsewhere", "1")
    out = [one for _, one in it.ask(hook, job=None)]
    return out, it.failures[0].reason if it.failures else ""


def cited(value: float, unit: str = "kg/mol", **more: Any) -> Cited:
    return Cited(value, unit, f"{value} {unit}", SOURCE, "page 1", **more)


def diol(**properties: Any) -> Substance:
    given = {"molar_mass": (cited(0.0901),), **properties}
    return Substance("110-63-4", ("1,4-butanediol",), given)


class Endless(Mapping[str, Substance]):
    """A mapping whose reading never ends."""

    def __getitem__(self, cas: str) -> Substance:
        return diol()

    def __len__(self) -> int:
        return 1

    def __iter__(self) -> Iterator[str]:
        time.sleep(0.5)
        return iter(("110-63-4",))


def with_figure(**changes: Any) -> list[Finding]:
    return [replace(SOUND, figures=(replace(SOUND.figures[0], **changes),))]


WRONG: list[tuple[str, Any, str]] = [
    ("assess", [replace(SOUND, level="fatal")], "Finding 1.level is str"),  # type: ignore[arg-type]
    ("assess", [replace(SOUND, topic="moon")], "Finding 1: no topic is called"),
    ("assess", [SOUND, replace(SOUND, statement=None)], "Finding 2.statement is NoneType"),  # type: ignore[arg-type]
    ("assess", [replace(SOUND, step=1.0)], "Finding 1.step is float"),  # type: ignore[arg-type]
    ("assess", [replace(SOUND, step=-1)], "the job has no step with index -1"),
    ("assess", [replace(SOUND, short="a\x1b[31mb")], "Finding 1.short holds a sign that cannot be printed"),
    ("assess", [replace(SOUND, rule="a\u202eb")], "Finding 1.rule holds a sign that cannot be printed"),
    ("assess", [replace(SOUND, remedy="x" * 20_001)], "Finding 1.remedy is a text of 20001 letters"),
    ("assess", [SOUND] * 200 + [replace(SOUND, remedy=f"{n}" + "x" * 19_000) for n in range(110)], "too large"),
    ("assess", [replace(SOUND, figures=[SOUND.figures[0]])], "Finding 1.figures is list"),  # type: ignore[arg-type]
    ("assess", with_figure(value=float("nan")), "Finding 1.figures[0].value is nan"),
    ("assess", with_figure(value=1e308, unit="K"), "Finding 1.figures[0].value is 1e+308, which no figure can be"),
    ("assess", with_figure(value=10**400), "which no figure can be"),
    ("assess", with_figure(value="3"), "Finding 1.figures[0].value is str"),
    ("assess", with_figure(value=True), "Finding 1.figures[0].value is bool"),
    ("assess", with_figure(value=np.array([1.0, 2.0])), "Finding 1.figures[0].value is ndarray"),
    ("assess", with_figure(value=-5.0, unit="%"), '"level" is below 0 %'),
    ("assess", with_figure(inputs=(("a", object()),)), "is object"),
    ("assess", with_figure(inputs=(1, 2)), "is int"),
    ("assess", (one for one in [SOUND]), "assess gave generator instead of a list"),
    ("sheet_blocks", [Lines("T", "one string")], "Lines 1.lines is str"),  # type: ignore[arg-type]
    ("sheet_blocks", [Grid("T", ("a",), ((1,),))], "Grid 1.rows[0][0] is int"),  # type: ignore[arg-type]
    ("sheet_blocks", [Grid("T", ("a",), (("b",),) * 20_001)], "Grid 1.rows has 20001 items"),
    ("sheet_blocks", [Chart("T", "ppm", (0.0, 1.0), (Curve("c", (0.0,), (1.0,)),))], "not one value for each time"),
    ("sheet_blocks", [Chart("T", "ppm", (1.0, 0.0), ())], "do not run forward"),
    ("sheet_blocks", [Chart("T", "ppm", (0.0, 1e20), ())], "end in another age"),
    ("sheet_blocks", [Chart("T", "ppm", (0.0,), (Curve("c", (float("inf"),), (1.0,)),))], "is inf"),
    ("contribute", Contribution(substances=[1]), "TypeError"),  # type: ignore[arg-type]
    ("contribute", Contribution(substances={"110-63-4": "diol"}), "Contribution"),  # type: ignore[dict-item]
    ("contribute", Contribution(substances={"110-63-4": diol(density=3.0)}), "is float"),
    ("contribute", Contribution(packs="eu"), "contribute.packs is str"),  # type: ignore[arg-type]
]


@pytest.mark.parametrize(("hook", "answer", "reason"), WRONG)
def test_nonsense_is_refused_and_named(hook: str, answer: Any, reason: str) -> None:
    out, told = ask(hook, answer)
    assert out == []
    assert reason.removeprefix("Contribution") in told
    assert len(told) <= 400
    assert told.isprintable()


def test_what_is_sound_is_taken_and_endless_means_no_limit() -> None:
    for answer in ([SOUND], with_figure(value=float("inf")), with_figure(value=np.float64(2.0)), []):
        assert ask("assess", answer) == ([answer], "")


class Liar(str):
    """It is equal to whatever is asked for, and prints what it likes: "all is well" stood where "STOP" was said."""

    __hash__ = str.__hash__

    def __eq__(self, other: object) -> bool:
        return True

    def __format__(self, form: str) -> str:
        return "all is well"


class Low(float):
    def __gt__(self, other: float) -> bool:
        return False

    def __format__(self, form: str) -> str:
        return "0"


class First(int):
    def __le__(self, other: int) -> bool:
        return True


class Changing(Mapping[str, str]):
    def __getitem__(self, key: str) -> str:
        return "anything"

    def __len__(self) -> int:
        return 1

    def __iter__(self) -> Iterator[str]:
        return iter(("a",))


@pytest.mark.parametrize(
    ("answer", "reason"),
    [
        ([replace(SOUND, statement=Liar("STOP"))], "Finding 1.statement is Liar"),
        ([replace(SOUND, step=First(99))], "Finding 1.step is First"),
        ([replace(SOUND, statement=say("{what}", what=Liar("STOP")))], "is Liar"),
        ([replace(SOUND, statement=joined(("a", say("{what}", what=Liar("STOP")))))], "is Liar"),
        ([replace(SOUND, statement=say("{what}", what="\x1b[2J"))], "holds a sign that cannot be printed"),
        (with_figure(value=Low(900.0)), "Finding 1.figures[0].value is Low"),
        (with_figure(inputs=(("a", Changing()),)), "is Changing"),
        (with_figure(inputs=(("a", MappingProxyType(Changing())),)), "is mappingproxy"),
    ],
)
def test_what_has_its_own_way_of_being_compared_or_printed_is_refused(answer: Any, reason: str) -> None:
    """Once looked through, it was taken as text and numbers, and its own code ran wherever it was used."""
    out, told = ask("assess", answer)
    assert (out, reason in told) == ([], True), told


class Speechless(Exception):
    def __str__(self) -> str:
        raise RuntimeError


class Chatty(Exception):
    def __str__(self) -> str:
        return "\x1b[2J" + "x" * 10**6


class Ends(BaseException):
    pass


def raises(error: BaseException) -> Callable[[], Any]:
    def load() -> Any:
        raise error

    return load


@pytest.mark.parametrize(
    ("load", "reason"),
    [
        (raises(KeyboardInterrupt()), "RuntimeError: KeyboardInterrupt()"),
        (raises(GeneratorExit()), "RuntimeError: GeneratorExit()"),
        (raises(Ends()), "RuntimeError: Ends()"),
        (raises(Speechless()), "Speechless: it cannot say why"),
        (raises(Chatty()), "Chatty: ?[2Jxxx"),
        (lambda: time.sleep(1), "no answer within 0.05 s"),
        (lambda: None, "it answers no hook"),
    ],
)
def test_a_plugin_that_cannot_be_loaded(load: Callable[[], Any], reason: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(host, "PATIENCE", 0.05)
    it = Host()
    it.admit("stranger", load, "elsewhere", "1")
    assert reason in it.failures[0].reason
    assert len(it.failures[0].reason) <= 400


def test_a_mapping_of_substances_that_never_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(host, "PATIENCE", 0.05)
    out, told = ask("contribute", lambda: Contribution(substances=Endless()))
    assert (out, "no answer within" in told) == ([], True)


def test_what_a_plugin_prints_does_not_get_between_the_lines_of_json(capsys: pytest.CaptureFixture[str]) -> None:
    def assess() -> list[Finding]:
        print("hello from a plugin")
        return []

    ask("assess", assess)
    caught = capsys.readouterr()
    assert (caught.out, caught.err) == ("", "hello from a plugin\n")


def test_a_finding_stands_under_the_name_of_the_plugin_that_made_it() -> None:
    ((finding,),), _ = ask("assess", [replace(SOUND, plugin="ventilation")])
    assert finding.plugin == "stranger"


# ---------------------------------------------------------------- on a whole sheet


@pytest.fixture
def beside(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Puts more plugins beside the built-in ones."""

    def add(**plugins: ModuleType) -> None:
        real = host.load

        def load(*arguments: Any, **options: Any) -> Host:
            it = real(*arguments, **options)
            for name, module in plugins.items():
                it.admit(name, lambda module=module: module, "elsewhere", "1")  # type: ignore[misc]
            return it

        monkeypatch.setattr(host, "load", load)

    return add


def test_a_step_that_is_not_there_and_a_ragged_table(beside: Callable[..., None]) -> None:
    beside(
        counts=plugin(assess=[replace(SOUND, step=99)]),
        tables=plugin(sheet_blocks=[Grid("Ragged", ("a",), (("1", "2"), (), ("3",)))]),
    )
    report = assess_job(JOB, draws=60)
    assert [f.plugin for f in report.failures] == ["counts"]
    assert "The plugin counts did not answer" in " ".join(report.missing)
    printed = text.sheet(report)
    assert "INCOMPLETE" in printed
    assert "Ragged" in text.sheet(report, full=True)
    json.dumps(records.sheet(report), allow_nan=False)


def arrays(record: Any, seen: set[int]) -> Iterator[np.ndarray[Any, Any]]:
    for value in (getattr(record, name, None) for name in getattr(record, "__slots__", ())):
        for one in value.values() if hasattr(value, "values") else value if isinstance(value, tuple) else (value,):
            if isinstance(one, np.ndarray):
                yield one
            elif id(one) not in seen and type(one).__module__.startswith("safety.exposure"):
                seen.add(id(one))
                yield from arrays(one, seen)


def test_no_plugin_changes_the_air_another_one_judges(beside: Callable[..., None]) -> None:
    seen: dict[str, Any] = {}

    def tidies(exposure: Any) -> list[Finding]:
        for array in arrays(exposure, set()):
            with pytest.raises(ValueError, match="read-only"):
                array *= 0
        seen["arrays"] = len(list(arrays(exposure, set())))
        with pytest.raises(TypeError):
            exposure.balances[0].evaporated_by["108-88-3"] = 0
        with pytest.raises(TypeError):
            exposure.job.shop.products["wash"] = None
        with pytest.raises(AttributeError):
            exposure.job.crew = 9
        exposure.steps[0].peak[:] = 0.0  # the plugin's own failure
        return []

    beside(aaa=plugin(assess=tidies))
    report = assess_job(JOB, draws=60)
    assert seen["arrays"] > 20
    assert [(f.plugin, f.hook) for f in report.failures] == [("aaa", "assess")]
    assert report.exposure.steps[0].peak.max() > 0


def test_two_plugins_that_do_not_agree_on_a_substance_are_both_kept_and_told(beside: Callable[..., None]) -> None:
    low, high = cited(390.0, "K"), cited(400.0, "K")
    mine = Contribution(substances={"110-63-4": diol(flash_point=(high,))})
    theirs = Contribution(substances={"110-63-4": diol(flash_point=(low,), density=(cited(1017.0, "kg/m3"),))})
    beside(aaa=plugin(contribute=mine), bbb=plugin(contribute=theirs))
    report = assess_job(JOB, draws=60)
    assert report.failures == ()
    assert "The plugins aaa and bbb do not agree on flash_point of CAS 110-63-4; both are kept." in report.missing
    it = host.load()
    data = assessment.reference_on(report.job.shop, report.job.start.date(), it, list(it.ask("contribute")))
    found = data.substance("110-63-4")
    assert isinstance(found, Substance)
    assert found.properties["flash_point"] == (low, high)  # the more careful one rules
    assert len(found.properties["molar_mass"]) == len(found.properties["density"]) == 1


def test_classes_of_two_plugins_are_both_kept(beside: Callable[..., None]) -> None:
    """One gives bare codes, the other the class with its specific limit: neither hides the other."""
    sensitiser = Classification("H317", "Skin Sens.", "1", (Band("H317", "Skin Sens.", "1", 0.005),))
    mine = Contribution(substances={"110-63-4": replace(diol(), hazards=("H302",))})
    theirs = Contribution(substances={"110-63-4": diol().classified((sensitiser,))})
    beside(aaa=plugin(contribute=mine), bbb=plugin(contribute=theirs))
    report = assess_job(JOB, draws=60)
    assert report.failures == ()
    assert "The plugins aaa and bbb do not agree on hazards of CAS 110-63-4; both are kept." in report.missing
    it = host.load()
    data = assessment.reference_on(report.job.shop, report.job.start.date(), it, list(it.ask("contribute")))
    found = data.substance("110-63-4")
    assert isinstance(found, Substance)
    assert found.hazards == ("H302", "H317")
    assert found.classes == (Classification("H302"), sensitiser)


def test_two_plugins_that_agree_are_no_conflict(beside: Callable[..., None]) -> None:
    same = Contribution(substances={"110-63-4": diol()})
    beside(aaa=plugin(contribute=same), bbb=plugin(contribute=same))
    report = assess_job(JOB, draws=60)
    assert report.failures == ()
    assert not any("do not agree" in line for line in report.missing)


LIMIT = Limit(
    "108-88-3", "OSHA PEL", "twa", 0.5, "ppm", "500000 ppm", 28800.0, "over", "c", "1", "here", "house"
)  # fmt: skip


@pytest.mark.parametrize(
    ("added", "reason"),
    [
        (Contribution(substances={"108-88-3": diol()}), "there is already a substance with CAS 108-88-3"),
        (Contribution(substances={"67-63-0x": diol()}), "not a substance with that CAS number"),
        (Contribution(substances={"110-63-4": replace(diol(), names=())}), "has no name"),
        (Contribution(substances={"110-63-4": diol(molar_mass=(cited(90.1),))}), "molar_mass = 90.1 is not possible"),
        (Contribution(substances={"110-63-4": diol(density=(cited(1.0, "g/mL"),))}), "density is in g/mL, not in kg/m3"),
        (Contribution(substances={"110-63-4": diol(smell=(cited(1.0, "1"),))}), 'there is no property called "smell"'),
        (
            Contribution(substances={"110-63-4": diol(vapour_pressure=(cited(1.0, "Pa"),))}),
            "vapour_pressure means nothing without its temperature",
        ),
        (
            Contribution(substances={"110-63-4": diol(antoine_a=(cited(9.0, "1", conditions=(("low", 1.0), ("high", 2.0))),))}),
            "must come in sets of three",
        ),
    ],
)  # fmt: skip
def test_data_that_cannot_be_are_the_plugins_own_failure(
    beside: Callable[..., None], added: Contribution, reason: str
) -> None:
    beside(stranger=plugin(contribute=added))
    report = assess_job(JOB, draws=60)
    assert [(f.plugin, f.hook) for f in report.failures] == [("stranger", "contribute")]
    assert reason in report.failures[0].reason
    assert not report.complete


def test_rules_of_a_plugin_that_loosen_the_shops_own_are_left_out(beside: Callable[..., None], tmp_path: Path) -> None:
    """The shop's own file is not blamed, and the sheet is printed; a pack two plugins add to counts once."""
    shutil.copytree(SHOP, tmp_path / "shop")
    shop = tmp_path / "shop" / "shop.toml"
    text = shop.read_text("utf-8").replace("[shop]\n", '[shop]\nrules = ["us-federal", "house"]\n', 1)
    shop.write_text(text, encoding="utf-8")
    pack = Pack("house", "House", "here", "1")
    tight, loose = replace(LIMIT, value=1e-6), replace(LIMIT, value=0.5)
    beside(
        aaa=plugin(contribute=Contribution(packs=(pack,))),
        bbb=plugin(contribute=Contribution(packs=(replace(pack, limits=(tight,)),))),
    )
    assert assess_job(tmp_path / "shop" / "jobs" / "clean.toml", draws=60).failures == ()
    beside(ccc=plugin(contribute=Contribution(packs=(replace(pack, limits=(replace(loose, list="NIOSH REL"),)),))))
    report = assess_job(tmp_path / "shop" / "jobs" / "clean.toml", draws=60)
    assert [f.plugin for f in report.failures] == ["ccc"]
    assert "is looser than" in report.failures[0].reason


def test_a_pack_the_shop_asked_for_is_not_left_out_in_silence(beside: Callable[..., None], tmp_path: Path) -> None:
    shutil.copytree(SHOP, tmp_path / "shop")
    shop = tmp_path / "shop" / "shop.toml"
    text = shop.read_text("utf-8").replace("[shop]\n", '[shop]\nrules = ["us-federal", "house"]\n', 1)
    shop.write_text(text, encoding="utf-8")
    loose = replace(LIMIT, value=0.5)
    beside(aaa=plugin(contribute=Contribution(packs=(Pack("house", "House", "here", "1", limits=(loose,)),))))
    with pytest.raises(Problems, match=r"^plugin aaa: 108-88-3 OSHA PEL twa: over 500000 ppm is looser than"):
        assess_job(tmp_path / "shop" / "jobs" / "clean.toml", draws=60)


def _of_itself() -> Finding:
    values: dict[str, object] = {}
    values["again"] = Message("All is well.", "{again}", values)
    return replace(SOUND, statement=values["again"])  # type: ignore[arg-type]


def _each_of_the_one_before() -> Finding:
    """Every text alone is sound where it stands; the last holds a hundred within each other."""
    chain = [Message("well", "well")]
    for _ in range(100):
        chain.append(Message("well", "{before}", {"before": chain[-1]}))
    held = Figure("level", 1.0, "ppm", inputs=tuple((str(number), one) for number, one in enumerate(chain)))
    return replace(SOUND, figures=(held,))


@pytest.mark.parametrize("made", [_of_itself, _each_of_the_one_before])
def test_a_text_made_of_texts_without_end_is_refused(made: Callable[[], Finding]) -> None:
    """That a text is looked through once for all who share it must not hide how deep it goes."""
    out, reason = ask("assess", [made()])
    assert out == []
    assert "nested too deep" in reason


def test_what_many_figures_share_is_looked_through_once(monkeypatch: pytest.MonkeyPatch) -> None:
    looked: list[str] = []
    monkeypatch.setattr(answers, "steers", lambda text, but="": looked.append(text))
    shared = say("all of {what}", what=say("the air of {place}", place="the\thall"))
    figure = Figure("level", 1.0, "ppm", inputs=tuple((str(number), shared) for number in range(200)))
    answers.check("assess", [replace(SOUND, figures=(figure,))])
    assert looked.count("the\thall") == 1
    assert looked.count(shared) == 200  # its length counts each time it may be printed


def test_a_row_of_inputs_is_looked_through_once_for_each_type_it_stands_for() -> None:
    """Numbers that are a sound value are no sound pair of a label and a value."""
    row = (1.0, 2.0)
    sound = Figure("level", 1.0, "ppm", inputs=(("all", row), ("again", row)))
    answers.check("assess", [replace(SOUND, figures=(sound,))])
    unsound = Figure("level", 1.0, "ppm", inputs=(("all", row), row))  # type: ignore[arg-type]
    with pytest.raises(answers.Unsound, match=r"inputs\[1\]\[0\] is float"):
        answers.check("assess", [replace(SOUND, figures=(unsound,))])


def test_a_class_that_equals_a_number_is_none() -> None:
    """What a type is to be looked through as is kept by the type: one that says it is another must not find its place."""

    class Equal(type):
        def __eq__(cls, other: object) -> bool:
            return True

        def __hash__(cls) -> int:
            return hash(float)

    class Number(metaclass=Equal):
        def __abs__(self) -> float:
            return 0.0

    answers.check("assess", [SOUND])  # float is known by now
    with pytest.raises(answers.Unsound, match="value is Number"):
        answers.check("assess", [replace(SOUND, figures=(Figure("level", Number(), "ppm"),))])  # type: ignore[arg-type]
