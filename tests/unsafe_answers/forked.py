"""The program run in a process of its own, without the cost of a new interpreter for each run."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from multiprocessing.process import BaseProcess
from pathlib import Path

_PRELOAD = [
    "safety.cli.sheet",
    "safety.assessment",
    "safety.render.text",
    "safety.ledger.recorded",
    "safety.hosting.host",
]


@dataclass(frozen=True, slots=True)
class Done:
    returncode: int
    stdout: str
    stderr: str


class Run:
    """``hazstep`` with these words, begun."""

    def __init__(self, *words: str) -> None:
        server = multiprocessing.get_context("forkserver")
        server.set_forkserver_preload([*_PRELOAD, *(f"safety_{n}" for n in _PLUGINS)])
        self._files = [Path(tempfile.mkstemp()[1]) for _ in range(2)]
        told = (words, os.getcwd(), dict(os.environ), *map(str, self._files))
        self.process: BaseProcess = server.Process(target=_inside, args=told)
        self.process.start()

    def end(self, patience: float = 120) -> Done:
        self.process.join(patience)
        assert self.process.exitcode is not None, "it did not end"
        out, err = (file.read_text(encoding="utf-8") for file in self._files)
        for file in self._files:
            file.unlink()
        return Done(self.process.exitcode, out, err)


_PLUGINS = ("ignition", "properties", "protection", "solvent", "ventilation", "waste")


def _inside(words: tuple[str, ...], folder: str, environment: Mapping[str, str], out: str, err: str) -> None:
    from safety.cli import main

    for number, name in ((1, out), (2, err)):
        os.dup2(os.open(name, os.O_WRONLY), number)
    os.chdir(folder)
    os.environ.clear()
    os.environ.update(environment)
    sys.argv = ["hazstep", *words]
    signal.signal(signal.SIGINT, signal.default_int_handler)
    main(prog_name="hazstep")
