"""Hostile plugins: each is named, none is fatal, and the sound ones answer all the same."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from safety import hookimpl
from safety.hosting import host, output
from safety.hosting.host import Host
from safety.model import Contribution, Finding

ARGUMENTS: dict[str, Any] = {"job": None, "exposure": None, "reference": None}


def module(**functions: Callable[..., Any]) -> ModuleType:
    made = ModuleType("made_up_plugin")
    for name, function in functions.items():
        setattr(made, name, hookimpl(function))
    return made


def judge(job: Any) -> list[Finding]:
    return [Finding("note", "data", "all is well", "well", "sound")]


def with_sound_one() -> Host:
    it = Host()
    it.admit("sound", lambda: module(assess=judge), "hazstep", "1")
    return it


def broken(error: BaseException) -> Callable[..., Any]:
    def assess(job: Any) -> Any:
        raise error

    return assess


def refuse() -> Any:
    raise ImportError("no module named nothing")


def gives(answer: Any) -> Callable[..., Any]:
    def assess(job: Any) -> Any:
        return answer

    return assess


def contributes_a_dict() -> Any:
    return {}


@pytest.mark.parametrize(
    ("load", "reason"),
    [
        (refuse, "no module named nothing"),
        (lambda: module(asess=judge), "there is no hook called asess"),
        (lambda: ModuleType("empty"), "it answers no hook"),
        (lambda: module(assess=lambda jobb: []), "jobb"),
        (lambda: (_ for _ in ()).throw(SystemExit(3)), "SystemExit"),
        (lambda: module(assess=broken(ValueError("bad luck"))), "bad luck"),
        (lambda: module(assess=broken(SystemExit("leave"))), "leave"),
        (lambda: module(assess=broken(KeyboardInterrupt())), "KeyboardInterrupt"),
        (lambda: module(assess=gives(None)), "assess gave NoneType instead of a list"),
        (lambda: module(assess=gives([judge(0)[0], "nonsense"])), "assess gave a list with str in it"),
        (lambda: module(contribute=contributes_a_dict), "contribute gave dict instead of a Contribution"),
    ],
)
def test_a_hostile_plugin_is_named_and_the_sound_one_answers(load: Callable[[], Any], reason: str) -> None:
    it = with_sound_one()
    it.admit("hostile", load, "stranger", "2")
    list(it.ask("contribute"))
    answers = dict(it.ask("assess", **ARGUMENTS))
    assert list(answers) == ["sound"]
    assert [f.plugin for f in it.failures] == ["hostile"]
    assert reason in it.failures[0].reason
    assert "\n" not in it.failures[0].reason


def test_a_wrapper_is_refused() -> None:
    def assess(job: Any) -> Any:
        yield
        return []

    made = ModuleType("wrapping")
    made.assess = hookimpl(wrapper=True)(assess)  # type: ignore[attr-defined]
    it = with_sound_one()
    it.admit("wrapping", lambda: made, "stranger", "2")
    assert "may not be wrapped" in it.failures[0].reason
    assert [name for name, _ in it.ask("assess", **ARGUMENTS)] == ["sound"]


def test_two_plugins_of_one_name() -> None:
    it = with_sound_one()
    it.admit("sound", lambda: module(assess=judge), "stranger", "2")
    assert "already called sound" in it.failures[0].reason
    assert len(list(it.ask("assess", **ARGUMENTS))) == 1


@pytest.mark.parametrize("version", [1, 99])
def test_a_plugin_of_another_hooks_version(version: int) -> None:
    made = module(assess=judge)
    made.hazstep_hooks = version  # type: ignore[attr-defined]
    it = with_sound_one()
    it.admit("other", lambda: made, "stranger", "2")
    assert [(f.hook, f.reason) for f in it.failures] == [
        (
            "load",
            f"it was written for hooks version {version}; this is 2. Compare it with docs/plugins.md, "
            "then write hazstep_hooks = 2",
        )
    ]


def test_a_hanging_plugin_does_not_hang_the_sheet(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(host, "PATIENCE", 0.05)

    def assess(job: Any) -> Any:
        time.sleep(1.0)
        return []

    it = with_sound_one()
    it.admit("asleep", lambda: module(assess=assess), "stranger", "2")
    assert [name for name, _ in it.ask("assess", **ARGUMENTS)] == ["sound"]
    assert "no answer within 0.05 s" in it.failures[0].reason
    assert [name for name, _ in it.ask("assess", **ARGUMENTS)] == ["sound"]
    assert len(it.failures) == 1  # not asked again


def test_an_exception_of_ours_while_using_an_answer_is_not_the_plugin_s() -> None:
    it = with_sound_one()

    def use() -> None:
        for _ in it.ask("assess", **ARGUMENTS):
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        use()
    assert it.failures == ()


def test_order_is_by_name_not_by_arrival() -> None:
    it = Host()
    for name in ("zebra", "ant", "mole"):
        it.admit(name, lambda: module(contribute=lambda: Contribution()), "hazstep", "1")
    assert [name for name, _ in it.ask("contribute")] == ["ant", "mole", "zebra"]
    assert it.names == ("ant", "mole", "zebra")


def test_files_a_shop_lists(tmp_path: Path, trusts: Callable[[Path], Path]) -> None:
    (tmp_path / "shop.toml").write_text('[shop]\nplugins = ["ours.py", "missing.py"]\n')
    (tmp_path / "ours.py").write_text(
        "from safety import hookimpl\nfrom safety.model import Contribution\n\n"
        "@hookimpl\ndef contribute():\n    return Contribution()\n"
    )
    it = host.load(["ours.py", "missing.py"], trusts(tmp_path))
    assert "ours" in it.names
    assert any(f.plugin == "missing" and "no file" in f.reason for f in it.failures)


def test_listing_names_distribution_hooks_and_failure() -> None:
    it = with_sound_one()
    it.admit("hostile", refuse, "stranger", "2")
    rows = {row.name: row for row in it.listing()}
    assert rows["sound"].hooks == ("assess",)
    assert (rows["hostile"].distribution, rows["hostile"].hooks) == ("stranger", ())
    assert "no module" in rows["hostile"].failure


def test_output_is_itself_again_after_plugins_were_asked_in_two_threads() -> None:
    """It stayed turned away for good when one thread had begun before and ended after the other."""
    own, begun, over = sys.stdout, threading.Event(), threading.Event()

    def first() -> None:
        with output.away():
            begun.set()
            over.wait(5)

    thread = threading.Thread(target=first)
    thread.start()
    begun.wait(5)
    with output.away():
        assert sys.stdout is sys.stderr
        over.set()
        thread.join()
        assert sys.stdout is sys.stderr
    assert sys.stdout is own
