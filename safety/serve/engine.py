"""The engine in processes of its own, for each language one and one for what runs: asked over a pipe, in plain data.

A question is a dict with ``ask`` and what that takes; an answer is what JSON can hold.

=========  ================================  ==================================================================
ask        takes                             answers
=========  ================================  ==================================================================
ready      nothing                           {"ready": True}, once the process is there
sheet      job, [start, air, draws, real]    {"page", "plan", "answers", "findings", "stop", "complete"}
day        jobs, [draws]                     {"day", "sheets": [as above]}
why        as sheet, and ref                 {"text", "under": [...]}
pdf        job, [start, air, draws]          {"base64"}
freeze     job, [start, air, draws]          {"id"}
compare    job, changes, [start, air]        {"columns": what ``hazstep compare`` calls alternatives, "table"}
propose    job, [start, air]                 {"proposals": [...]}
log        period, [form]                    what ``papers.board`` gives; with a form {"base64"}
keep-log   period                            {"id"}
label      container, period                 {"base64", "missing"}
=========  ================================  ==================================================================

``job`` is an id; ``start`` an ISO time; ``changes`` texts as ``hazstep compare --change`` takes them. ``real`` is a
dict {"stretches": [[step, coat, begin, end or None, paused], ...], "now": s, "airs": [[at, state], ...]} with times in
s since the start. Where the air changed within a step, "answers" has the stricter of both states for it.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import Any

from safety.serve.inputs import Inputs
from safety.workplace import Workplace

Record = dict[str, Any]

#: So long a process may be silent before it counts as lost [s].
PATIENCE = 90.0

#: By how much the process of what takes long gives way to all others.
_GIVES_WAY = 10

#: Answers that are kept in memory, and on the disk: there each may have two names.
_KEPT, _ON_DISK = 400, 800

#: What is no answer to keep: each time it does something.
_DOES = ("freeze", "keep-log", "ready")

#: Numbers are worked out in one thread: the page needs the other processor.
_ONE_THREAD = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")


class Mistaken(Exception):
    """The shop's files have mistakes: {"file", "line", "place", "wrong", "write"} each."""

    def __init__(self, mistakes: list[Record]) -> None:
        self.mistakes = mistakes
        super().__init__(mistakes)


class NoAnswer(Exception):
    """The engine died or hung twice over the same question, or failed in a way that is no mistake of a file."""


class Cancelled(Exception):
    """Somebody did not want to know any more."""


class _Lost(Exception):
    """The process is gone, or says nothing any more."""


#: Hears how far a question has come, 0 to 1.
Told = Callable[[float], None]


class _Child:
    """One process that answers in a language. Its methods but ``end`` are for one thread at a time."""

    def __init__(self, shop: Path, language: str, patience: float | None, nice: int = 0) -> None:
        self._arguments = [sys.executable, "-m", "safety.serve.child", str(shop), language, str(nice)]
        self._patience = patience
        self._process: subprocess.Popen[str] | None = None
        self._lines: SimpleQueue[str] = SimpleQueue()
        self._ended = False
        self._guard = threading.Lock()  # of the process: who ends it may be another thread

    def ask(self, question: Mapping[str, Any], told: Told) -> Record:
        """The answer; of a process that is lost meanwhile another is asked once. Raises Mistaken and NoAnswer."""
        for last in (False, True):
            try:
                return self._ask(question, told)
            except _Lost:
                self._stop()
                if last or self._ended:
                    break
        raise NoAnswer("the engine was lost twice over this question")

    def _ask(self, question: Mapping[str, Any], told: Told) -> Record:
        process = self._begun()
        assert process.stdin
        try:
            process.stdin.write(json.dumps(question, ensure_ascii=False) + "\n")
            process.stdin.flush()
        except OSError as error:
            raise _Lost from error
        while True:
            try:
                line = self._lines.get(timeout=self._patience)
            except Empty:
                raise _Lost from None
            if not line:
                raise _Lost
            said = json.loads(line)
            if "share" in said:
                told(said["share"])
            elif "mistakes" in said:
                raise Mistaken(said["mistakes"])
            elif "fault" in said:
                raise NoAnswer(said["fault"])
            else:
                answer: Record = said["answer"]
                return answer

    def _begun(self) -> subprocess.Popen[str]:
        with self._guard:
            if self._ended:
                raise _Lost
            if self._process is None:
                self._lines = SimpleQueue()
                self._process = subprocess.Popen(
                    self._arguments,
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                    text=True,
                    encoding="utf-8",
                    env={**os.environ, **_ONE_THREAD},
                )
                threading.Thread(target=_read, args=(self._process, self._lines), daemon=True).start()
            return self._process

    def end(self) -> None:
        """End the process for good, from any thread; whoever waits for it hears that it is lost."""
        self._ended = True
        self._stop()

    def _stop(self) -> None:
        with self._guard:
            process, self._process = self._process, None
        if process is not None:
            with suppress(OSError):
                process.kill()
            process.wait()
            for pipe in (process.stdin, process.stdout):
                with suppress(OSError):
                    if pipe:
                        pipe.close()


def _read(process: subprocess.Popen[str], lines: SimpleQueue[str]) -> None:
    """Pass on what a process says, and "" when it is gone: only a thread can wait for a pipe with a time limit."""
    assert process.stdout
    with suppress(OSError, ValueError):
        for line in process.stdout:
            lines.put(line)
    lines.put("")


class Engine:
    """All processes of one shop. Every method may be called from any thread; ``ask`` blocks."""

    def __init__(
        self, shop: Path, *, draws: int | None = None, keep: Path | None = None, patience: float = PATIENCE
    ) -> None:
        """``draws`` is what a question has that gives none; ``keep`` a folder in which answers outlive the program."""
        workplace = Workplace.open(shop)
        self._shop, self._inputs = workplace.file, Inputs(workplace)
        self._draws, self._keep, self._patience = draws, keep, patience
        self._children: dict[tuple[str, bool], tuple[threading.Lock, _Child]] = {}
        self._answers: OrderedDict[str, Record] = OrderedDict()
        self._lock = threading.Lock()  # of all that is kept here
        self._slow = threading.Lock()  # one thing that takes long at a time
        self._works: set[Work] = set()
        self._closed = False

    def ask(self, question: Mapping[str, Any], language: str = "en", told: Told = lambda share: None) -> Record:
        """The answer to a question; one that was asked before of the same files is not computed again.

        Raises Mistaken and NoAnswer.
        """
        asked = self._asked(question)
        lock, child = self._child(language, bool(asked.get("start") or asked.get("real")))
        with lock:
            key = self._key(asked, language)  # now: what was asked while we waited may have been the same
            known = self._known(key)
            if known is None:
                known = child.ask(asked, told)
                if key == self._key(asked, language):  # no file was changed meanwhile
                    self._remember(key, known, self._name(asked, language))
            return known

    def kept(self, question: Mapping[str, Any], language: str = "en") -> Record | None:
        """The answer where it is known already; it never waits for the engine."""
        return self._known(self._key(self._asked(question), language, lately=True))

    def once(self, question: Mapping[str, Any], language: str = "en") -> Record | None:
        """The answer as it was last given, whatever became of the files since: what ruled then goes on ruling."""
        return self._known(self._name(self._asked(question), language))

    def begin(self, question: Mapping[str, Any], language: str = "en") -> Work:
        """Have something worked out that takes long, in a process of its own with the lowest priority."""
        asked = self._asked(question)
        work = Work(_Child(self._shop, language, None, _GIVES_WAY))  # a person can end it, and time cannot
        with self._lock:
            self._works.add(work)
            if self._closed:
                work.cancel()

        def run() -> None:
            key = self._key(asked, language)
            with self._slow:
                work.run(lambda told: self._known(key) or work.child.ask(asked, told))
            if work.found is not None and key == self._key(asked, language):
                self._remember(key, work.found)
            with self._lock:
                self._works.discard(work)

        threading.Thread(target=run, daemon=True).start()
        return work

    def close(self) -> None:
        """End every process; no other is begun."""
        with self._lock:
            self._closed = True
            children, works = [child for _, child in self._children.values()], list(self._works)
        for work in works:
            work.cancel()
        for child in children:
            child.end()

    # ------------------------------------------------------------ what is kept

    def _asked(self, question: Mapping[str, Any]) -> Record:
        return {**question, "draws": question.get("draws") or self._draws}

    def _child(self, language: str, running: bool = False) -> tuple[threading.Lock, _Child]:
        """The process for a language: what runs has one of its own, from its start on.

        It never waits for a day's sheets, and its first Done not for a process that has read nothing yet.
        """
        with self._lock:
            key = language, running
            if key not in self._children:
                child = _Child(self._shop, language, self._patience)
                if self._closed:
                    child.end()
                self._children[key] = threading.Lock(), child
            return self._children[key]

    def _key(self, asked: Mapping[str, Any], language: str, lately: bool = False) -> str:
        """A hash of all that an answer comes from; "" where it may not be kept."""
        inputs = "" if asked.get("ask") in _DOES else self._inputs.digest(lately)
        content = json.dumps([language, inputs, asked], sort_keys=True)
        return sha256(content.encode()).hexdigest() if inputs else ""

    def _name(self, asked: Mapping[str, Any], language: str) -> str:
        """What tells a sheet from any other, whatever it came from; "" for what is asked anew each time."""
        content = json.dumps([language, asked], sort_keys=True)
        return sha256(content.encode()).hexdigest() if asked.get("ask") == "sheet" else ""

    def _known(self, key: str) -> Record | None:
        if not key:
            return None
        with self._lock:
            known = self._answers.get(key)
            if known is not None:
                self._answers.move_to_end(key)
        if known is None and self._keep:
            with suppress(OSError, ValueError):
                known = json.loads((self._keep / f"{key}.json").read_text("utf-8"))
        return known

    def _remember(self, key: str, answer: Record, name: str = "") -> None:
        keys = [one for one in (key, name) if one]
        if not key:
            return
        with self._lock:
            for one in keys:
                self._answers[one] = answer
                self._answers.move_to_end(one)
            while len(self._answers) > _KEPT:
                self._answers.popitem(last=False)
        if self._keep:
            with suppress(OSError):  # a full disk costs time and no answer
                self._write(self._keep, keys, answer)

    def _write(self, folder: Path, keys: list[str], answer: Record) -> None:
        folder.mkdir(mode=0o700, exist_ok=True)
        text = json.dumps(answer, ensure_ascii=False)
        for key in keys:
            beside = folder / f".{key}.{threading.get_ident()}"
            beside.write_text(text, "utf-8")
            os.replace(beside, folder / f"{key}.json")
        files = sorted(folder.glob("*.json"), key=lambda file: file.stat().st_mtime)
        for old in files[:-_ON_DISK]:
            old.unlink(missing_ok=True)


class Work:
    """A question that takes long."""

    def __init__(self, child: _Child) -> None:
        self.child = child
        self.share = 0.0  # how far it has come, 0 to 1
        self.found: Record | None = None
        self._error: Exception | None = None
        self._cancelled = False
        self._done = threading.Event()

    @property
    def done(self) -> bool:
        return self._done.is_set()

    def run(self, find: Callable[[Told], Record]) -> None:
        """Work it out, in the thread that calls; whatever goes wrong is told to whoever asks for the answer."""
        try:
            if not self._cancelled:
                self.found = find(self._hear)
        except Exception as error:
            self._error = error
        finally:
            self.child.end()
            self._done.set()

    def _hear(self, share: float) -> None:
        self.share = max(self.share, share)

    def answer(self, wait: float | None = None) -> Record | None:
        """The answer; None where it is not there after ``wait`` s. Raises Mistaken, NoAnswer and Cancelled."""
        if self._cancelled:
            raise Cancelled
        if not self._done.wait(wait):
            return None
        if self._cancelled:
            raise Cancelled
        if self._error:
            raise self._error
        return self.found

    def cancel(self) -> None:
        """Stop it now."""
        self._cancelled = True
        self.child.end()
        self._done.set()
