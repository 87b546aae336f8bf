"""A plugin that changes what it is given is named, and nobody else judges by what it left; none ends a run as if done.

``flags.writeable = True`` and ``object.__setattr__`` once made every other plugin see no vapour on a sheet that called
itself complete, and ``os._exit(0)`` ended with status 0 and no sheet.
"""

from __future__ import annotations

import ctypes
import gc
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from safety import hookimpl
from safety.exposure.origin import made_of
from safety.hosting import host
from safety.hosting.host import Host
from safety.model import Finding, Lines, Report
from safety.words import parts_of
from tests.unsafe_answers.forked import Run
from tests.unsafe_answers.shops import sheet, write_shop
from tests.unsafe_answers.test_outputs import JOB, PRODUCT, SHOP

NOTE = Finding("note", "data", "Nothing to see here.", "nothing", "stranger", key="own")


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = write_shop(tmp_path / "shop", SHOP, {"glue-off": PRODUCT}, {"spine": JOB})
    monkeypatch.chdir(folder)
    return folder


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop that no test changes."""
    return write_shop(tmp_path_factory.mktemp("whole"), SHOP, {"glue-off": PRODUCT}, {"spine": JOB})


@pytest.fixture(scope="module")
def clean(whole: Path) -> Report:
    """What is said where no stranger is asked."""
    return assessed(whole)


def assessed(folder: Path) -> Report:
    return sheet(folder, "spine", draws=60)


@pytest.fixture
def beside(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Puts a plugin of this name beside the built-in ones."""

    def add(name: str, **hooks: Callable[..., Any]) -> None:
        real, module = host.load, ModuleType(name)
        for hook, function in hooks.items():
            setattr(module, hook, hookimpl(function))

        def load(*arguments: Any, **options: Any) -> Host:
            it = real(*arguments, **options)
            it.admit(name, lambda: module, "elsewhere", "1")
            return it

        monkeypatch.setattr(host, "load", load)

    return add


def own(report: Report) -> list[Finding]:
    return [f for f in report.findings if f.plugin != "aaa"]


def test_our_own_plugins_change_nothing_and_are_looked_after_where_there_is_a_stranger(
    whole: Path, clean: Report, beside: Callable[..., None]
) -> None:
    """Without a stranger nobody looks, so here a silent one makes it look."""
    beside("silent", assess=lambda job: [])
    watched = assessed(whole)
    assert watched.findings == clean.findings
    assert watched.failures == clean.failures == ()


# ---------------------------------------------------------------- ways to change what is given


def opens(exposure: Any) -> list[Finding]:
    for air in exposure.steps:
        for array in (air.peak, air.worst_15min, air.near_peak):
            array.flags.writeable = True
            array[:] = 0
    return [NOTE]


def by_address(exposure: Any) -> list[Finding]:
    for air in exposure.steps:
        address, _ = air.peak.__array_interface__["data"]
        ctypes.memset(address, 0, air.peak.nbytes)
    return [NOTE]


def another_array(exposure: Any) -> list[Finding]:
    for air in exposure.steps:
        object.__setattr__(air, "peak", np.zeros_like(air.peak))
    return [NOTE]


def another_look(exposure: Any) -> list[Finding]:
    exposure.steps[0].peak.dtype = np.uint32
    return [NOTE]


def a_record(job: Any) -> list[Finding]:
    object.__setattr__(job.steps[0], "uses", ())
    object.__setattr__(job, "crew", 0)
    return [NOTE]


def behind_a_mapping(job: Any) -> list[Finding]:
    import gc

    (held,) = [one for one in gc.get_referents(job.shop.products) if type(one) is dict]
    held.clear()
    return [NOTE]


def a_limit(reference: Any) -> list[Finding]:
    for limit in reference.limits("67-64-1"):
        object.__setattr__(limit, "value", 1.0)
    return [NOTE]


def and_then_fails(exposure: Any) -> list[Finding]:
    opens(exposure)
    raise ValueError("out of luck")


WAYS = [opens, by_address, another_array, another_look, a_record, behind_a_mapping, a_limit, and_then_fails]


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
@pytest.mark.parametrize("place", ["aaa", "zzz"], ids=["asked first", "asked last"])
def test_a_change_is_that_plugin_s_failure_and_nobody_else_sees_it(
    whole: Path, clean: Report, beside: Callable[..., None], place: str
) -> None:
    """Each way by a plugin of its own, one after the other: none hides what another one did."""
    names = [f"{place}{n}" for n in range(len(WAYS))]
    for name, way in zip(names, WAYS, strict=True):
        beside(name, assess=way)
    report = assessed(whole)
    assert [(f.plugin, f.hook, f.reason) for f in report.failures] == [
        (name, "assess", "it changed what it was given") for name in names
    ]
    assert not report.complete
    assert report.findings == clean.findings
    assert report.blocks == clean.blocks
    assert report.job == clean.job
    for one, other in zip(report.exposure.steps, clean.exposure.steps, strict=True):
        assert np.array_equal(one.peak, other.peak)
        assert one.peak.max() > 0
        assert not one.peak.flags.writeable


def test_a_finding_of_another_plugin_cannot_be_made_milder(
    whole: Path, clean: Report, beside: Callable[..., None]
) -> None:
    """Neither where findings are handed over, nor where they are only looked for."""

    def milder(findings: Any) -> list[Lines]:
        for one in findings:
            object.__setattr__(one, "level", "note")
        return []

    beside("zzz", sheet_blocks=milder)
    report = assessed(whole)
    assert [(f.plugin, f.hook) for f in report.failures] == [("zzz", "sheet_blocks")]
    assert report.findings == clean.findings


def test_what_a_text_of_another_plugin_is_made_of_cannot_be_changed(
    whole: Path, clean: Report, beside: Callable[..., None]
) -> None:
    """The letters stayed as they were, and a page that says several steps at once would have said the other text."""

    def rewrites(findings: Any) -> list[Lines]:
        for one in findings:
            for text in parts_of(one.statement):
                object.__setattr__(text, "template", "All is well.")
        return []

    beside("zzz", sheet_blocks=rewrites)
    report = assessed(whole)
    assert [(f.plugin, f.hook) for f in report.failures] == [("zzz", "sheet_blocks")]
    now, then = ([p.template for f in r.findings for p in parts_of(f.statement)] for r in (report, clean))
    assert now == then


def test_one_found_in_memory_cannot_be_made_milder(whole: Path, clean: Report, beside: Callable[..., None]) -> None:
    others = {id(one): one for one in gc.get_objects() if type(one) is Finding}  # what other tests still look at

    def searches(job: Any) -> list[Finding]:
        for one in gc.get_objects():
            if type(one) is Finding and id(one) not in others:
                object.__setattr__(one, "level", "note")
        return []

    levels = [f.level for f in clean.findings]
    beside("zzz", assess=searches)
    report = assessed(whole)
    assert [(f.plugin, f.hook) for f in report.failures] == [("zzz", "assess")]
    assert [f.level for f in report.findings] == levels


def test_a_lookup_of_one_plugin_is_not_that_of_another(whole: Path, beside: Callable[..., None]) -> None:
    """A substance that was read for one plugin, and changed by it, was handed to the next one."""
    seen: dict[str, Any] = {}

    def lies(reference: Any) -> list[Finding]:
        toluene = reference.substance("108-88-3")
        object.__setattr__(toluene, "names", ("water",))
        reference._read["71-43-2"] = replace(toluene)
        return []

    def looks(reference: Any) -> list[Finding]:
        seen["toluene"] = reference.substance("108-88-3").names[0]
        seen["benzene"] = reference.substance("71-43-2").names[0]
        return []

    beside("aaa", assess=lies)
    beside("bbb", assess=looks)
    assert assessed(whole).failures == ()
    assert seen == {"toluene": "toluene", "benzene": "benzene"}


def test_what_a_figure_was_made_from_is_put_together_for_each_plugin(whole: Path, beside: Callable[..., None]) -> None:
    """It is kept for who asks again: were it kept for all, the next one would print what this one wrote there."""
    seen: dict[str, Any] = {}

    def lies(exposure: Any) -> list[Finding]:
        (label, given), *_ = made_of(exposure, exposure.substances[0].cas)
        assert made_of(exposure, exposure.substances[0].cas)[0] == (label, given)
        seen["written"] = given.text
        object.__setattr__(given, "text", "nothing")
        return []

    def looks(exposure: Any) -> list[Finding]:
        seen["read"] = made_of(exposure, exposure.substances[0].cas)[0][1].text
        return []

    beside("aaa", assess=lies)
    beside("bbb", assess=looks)
    assert assessed(whole).failures == ()
    assert seen["read"] == seen["written"] != "nothing"


def test_an_honest_plugin_changes_nothing(whole: Path, beside: Callable[..., None]) -> None:
    def copies(job: Any, exposure: Any, reference: Any, ledger: Any) -> list[Finding]:
        exposure.steps[0].peak.copy()[:] = 0
        str(job), repr(exposure.curves), reference.find("water"), reference.limits("67-64-1")
        return [NOTE]

    beside("aaa", assess=copies)
    report = assessed(whole)
    assert report.failures == ()
    assert NOTE.short in [f.short for f in report.findings]


# ---------------------------------------------------------------- ending the run

posix = pytest.mark.skipif(not hasattr(os, "fork"), reason="a run is watched where the system can fork")
HAZSTEP = (sys.executable, "-c", "from safety.cli import main; main(prog_name='hazstep')")
BEGIN = "import os, sys, signal, threading, time, atexit\nfrom safety import hookimpl\n"
HOOK = "@hookimpl\ndef {hook}():\n    {what}\n    return []\n"


def planted(shop: Path, trusts: Callable[[Path], Path], what: str, hook: str = "sheet_blocks") -> None:
    (shop / "house.py").write_text(BEGIN + (HOOK.format(hook=hook, what=what) if hook else f"{what}\n"))
    lists = SHOP.replace("[shop]", '[shop]\nplugins = ["house.py"]')
    (shop / "shop.toml").write_text(lists)
    trusts(shop)


SHEET = ("sheet", "spine", "--draws", "60")


@posix
@pytest.mark.parametrize("hook", ["", "contribute", "assess", "sheet_blocks"])
def test_ending_the_process_is_not_being_done(shop: Path, trusts: Callable[[Path], Path], hook: str) -> None:
    planted(shop, trusts, "os._exit(0)", hook)
    done = Run(*SHEET).end()
    assert (done.returncode, done.stdout) == (70, "")
    assert done.stderr.endswith("hazstep was ended from inside before its work was done: a plugin may have done it.\n")


@posix
@pytest.mark.parametrize(
    "what",
    [
        "os.close(1)",
        "os.dup2(os.open(os.devnull, os.O_WRONLY), 1)",
        "sys.__stdout__.close()",
        "os.kill(os.getpid(), signal.SIGTERM)",
        "os.kill(os.getpid(), signal.SIGKILL)",
        "os.kill(os.getpid(), signal.SIGINT); time.sleep(3)",
        "os.kill(os.getppid(), signal.SIGKILL)",
        "sys.exit(0)",
        "threading.Thread(target=lambda: (time.sleep(0.1), os._exit(0))).start(); time.sleep(1)",
    ],
)
def test_no_status_0_without_a_sheet(shop: Path, trusts: Callable[[Path], Path], what: str) -> None:
    planted(shop, trusts, what)
    done = Run(*SHEET).end()
    assert done.returncode != 0
    if done.returncode in (1, 3):  # what it did was in vain, and it is named
        assert "The plugin house did not answer (sheet_blocks" in " ".join(done.stdout.split())


@posix
def test_what_a_plugin_leaves_behind_neither_holds_the_end_up_nor_changes_it(
    shop: Path, trusts: Callable[[Path], Path]
) -> None:
    """A status of 3 became 0 at the very end, and a thread of a plugin kept the program from ending at all."""
    planted(shop, trusts, "atexit.register(os._exit, 0); threading.Thread(target=time.sleep, args=(600,)).start()")
    words = [*HAZSTEP, *SHEET]  # a whole interpreter: what it does at its own end is the matter here
    done = subprocess.run(words, capture_output=True, text=True, timeout=500, check=False)  # before that thread ends
    assert done.returncode in (1, 3)
    assert "Pre-task sheet" in done.stdout


@posix
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_a_signal_to_the_program_reaches_its_work(
    shop: Path, trusts: Callable[[Path], Path], tmp_path: Path, number: int
) -> None:
    mark = tmp_path / "pid"
    planted(shop, trusts, f"open({str(mark)!r}, 'w').write(str(os.getpid())); time.sleep(600)")
    started = Run(*SHEET)
    while not (mark.exists() and mark.read_text()):
        assert started.process.is_alive()
        time.sleep(0.05)
    assert started.process.pid
    os.kill(started.process.pid, number)
    done = started.end()  # long before the plugin would
    assert done.returncode == (130 if number == signal.SIGINT else -number)
    assert done.stdout == ""
    with pytest.raises(ProcessLookupError):
        os.kill(int(mark.read_text()), 0)
