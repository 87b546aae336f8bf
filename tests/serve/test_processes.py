"""The processes of the engine: begun again when lost, ended when nobody wants them, none left behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from safety.serve.desk import Desk
from safety.serve.engine import Cancelled, Engine, NoAnswer
from tests.serve.shop import slipway

READY = {"ask": "ready"}


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


def gone(number: int) -> bool:
    """Whether a process has ended within some seconds."""
    for _ in range(100):
        try:
            state = Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()[0]
        except OSError:
            return True
        if state == "Z":
            return True
        time.sleep(0.1)
    return False


def test_a_process_that_is_killed_is_begun_again_once(engine: Engine) -> None:
    engine.ask(READY)
    old = process(engine).pid
    os.kill(old, signal.SIGKILL)
    assert engine.ask(READY) == {"ready": True}
    assert process(engine).pid != old
    assert gone(old)


def test_none_is_left_and_none_begun_once_it_is_closed(folder: Path) -> None:
    """What was still waiting to be asked began a process after the end."""
    engine = Engine(folder / "shop.toml", draws=200)
    engine.ask(READY)
    number = process(engine).pid
    engine.close()
    assert gone(number)
    with pytest.raises(NoAnswer):
        engine.ask(READY, "es")
    with pytest.raises(Cancelled):
        engine.begin(READY).answer()
    assert process(engine, "es") is None


def test_a_process_that_hangs_is_given_up(folder: Path) -> None:
    engine = Engine(folder / "shop.toml", draws=200, patience=0.05)
    try:
        with pytest.raises(NoAnswer):
            engine.ask(READY)
    finally:
        engine.close()


def test_what_is_no_longer_wanted_ends(engine: Engine) -> None:
    work = engine.begin({"ask": "propose", "job": "patch"})
    while work.child._process is None:
        time.sleep(0.01)
    number = work.child._process.pid
    began = time.monotonic()
    work.cancel()
    with pytest.raises(Cancelled):
        work.answer()
    assert time.monotonic() - began < 5
    assert gone(number)


def test_a_process_ends_with_whoever_began_it(folder: Path) -> None:
    """One of a pool outlived the program that had begun it."""
    program = textwrap.dedent(
        f"""
        import sys, time
        from pathlib import Path
        from safety.serve.engine import Engine
        engine = Engine(Path({str(folder / "shop.toml")!r}), draws=200)
        lock, child = engine._child("en")
        print(child._begun().pid, flush=True)
        time.sleep(60)
        """
    )
    parent = subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True)
    assert parent.stdout
    number = int(parent.stdout.readline())
    parent.kill()
    parent.wait()
    parent.stdout.close()
    assert gone(number)


def test_what_is_known_never_waits_behind_what_is_worked_out(folder: Path) -> None:
    """The step of a run stood still for as long as another job's sheet took: both were answered by one process."""
    engine = Engine(folder / "shop.toml", draws=200)
    desk = Desk(folder / "shop.toml", engine)
    question = {"ask": "sheet", "job": "patch"}
    engine._remember(engine._key(engine._asked(question), "en"), {"known": True})
    lock, _ = engine._child("en")
    try:
        with lock, ThreadPoolExecutor(1) as thread:  # it is working
            assert thread.submit(desk.answered, question).result(5) == {"known": True}
    finally:
        desk.close()
