"""What every screen asks: the shop's files as they are now, its jobs each apart, its people, its engine."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import datetime, timezone
from pathlib import Path
from typing import Protocol

from safety.files.reading import read_job
from safety.files.toml import files_in
from safety.ledger.people import people
from safety.ledger.runs import Audit, audit
from safety.ledger.store import open_ledger
from safety.model import Job, Shop
from safety.problems import Problem, Problems
from safety.serve.asked import Asked, Refused
from safety.serve.engine import Mistaken, NoAnswer, Work
from safety.serve.people import People
from safety.serve.running import WAIT, Record, Runs
from safety.serve.sessions import Sessions
from safety.serve.store import Store
from safety.serve.tablets import Tablets
from safety.wall import fixed, zone_of
from safety.words import say, spoken
from safety.workplace import Workplace

#: For so long [s] the news of Today are told to the next tablet too.
LATELY = 2.0
#: After this time [s] a question that could not be answered is asked again.
AGAIN = 30.0


class Asks(Protocol):
    """As much of the engine as the screens use."""

    def ask(self, question: Record, language: str = "en") -> Record: ...

    def kept(self, question: Record, language: str = "en") -> Record | None: ...

    def once(self, question: Record, language: str = "en") -> Record | None: ...

    def begin(self, question: Record, language: str = "en") -> Work: ...

    def close(self) -> None: ...


@dataclass(frozen=True, slots=True)
class Card:
    """A job of the shop as a screen lists it: read, or with the mistakes in its file."""

    id: str  # the name of its file
    job: Job | None
    mistakes: tuple[str, ...] = ()


class Desk:
    """A shop whose page is served."""

    def __init__(
        self,
        file: Path,
        engine: Asks,
        clock: Callable[[], float] = time.time,
        *,
        alone: bool = True,
        authority: Path | None = None,
    ) -> None:
        """``alone``: only this machine reaches the page. ``authority``: a certificate that tablets are shown."""
        self.file, self.folder = file, file.parent
        self.engine, self.now, self.alone = engine, clock, alone
        store = Store(self.folder)
        self.sessions, self.who = Sessions(store), People(self.shop, store, alone)
        self.tablets, self.authority = Tablets(store, clock), authority
        self._workplace = Workplace.open(file)
        self._reading = threading.Lock()
        self._lately: dict[str, tuple[float, str]] = {}
        self._cards: dict[tuple[str, str], tuple[object, Shop, Card]] = {}
        self._working = Working(engine)
        self.works: dict[tuple[str, str], Work] = {}  # what takes long, by the job and the language
        self.runs = Runs(self)

    def close(self) -> None:
        """End what works in the background."""
        self.engine.close()
        self._working.close()

    def strange(self, asked: Asked) -> bool:
        """Whether a browser is one that nobody has let in."""
        return not (self.alone or asked.tablet)

    # ------------------------------------------------------------ files

    def shop(self) -> Shop:
        """The shop as its files say now. Raises Problems."""
        with self._reading:
            return self._workplace.shop

    def ids(self) -> tuple[str, ...]:
        """The jobs there are: an id from an address is one of these, or there is no such page."""
        return tuple(path.stem for path in files_in(self.folder / "jobs"))

    def known(self, id: str) -> str:
        """An id that was asked for, where there is such a job; nothing else is ever looked for."""
        if id not in self.ids():
            raise Refused(404, say("There is no such job in this shop."))
        return id

    def card(self, id: str) -> Card:
        """One job, read by itself: a mistake in it keeps no other from being shown."""
        path, shop = self.folder / "jobs" / f"{self.known(id)}.toml", self.shop()
        with self._reading:
            kept = self._cards.get((id, spoken()))
            known = path.stat()
            state = known.st_mtime_ns, known.st_ctime_ns, known.st_size, known.st_ino
            if kept is None or kept[0] != state or kept[1] is not shop:
                kept = self._cards[id, spoken()] = state, shop, self._read(id, path, shop)
            return kept[2]

    def _read(self, id: str, path: Path, shop: Shop) -> Card:
        try:
            return Card(id, read_job(path, shop))
        except Problems as mistakes:
            return Card(id, None, tuple(map(self.shown, mistakes.problems)))

    def job(self, id: str) -> Job:
        """A job that can be read."""
        card = self.card(id)
        if card.job is None:
            raise Refused(409, say("The file of this job has mistakes. Ask the lead."))
        return card.job

    def shown(self, problem: Problem) -> str:
        """A mistake as it is shown: seen from the shop's folder, so that nobody learns where that lies."""
        return str(problem).replace(f"{self.folder.as_posix()}/", "")

    def people(self) -> tuple[str, ...]:
        """The people of the shop's list; without one the names that the ledger knows, as far as it can be read."""
        try:
            if listed := self.shop().people:
                return tuple(one.name for one in listed)
            with open_ledger(self.shop(), wait=WAIT) as ledger:
                return people(ledger)
        except Problems:
            return ()

    def audit(self, asked: Asked, what: str, object: str = "", before: str = "", after: str = "") -> None:
        """Keep a line of who did what, and from where. Raises Problems."""
        at = datetime.fromtimestamp(asked.now, timezone.utc)
        line = Audit(at, asked.device, asked.session.person, asked.address, what, object, before, after)
        with open_ledger(self.shop(), create=True, wait=WAIT) as ledger:
            audit(ledger, line)

    def lately(self, what: str, find: Callable[[], str]) -> str:
        """What was found a moment ago for another tablet; else found anew. For news that many ask for."""
        key, now = f"{spoken()} {what}", time.monotonic()
        found = self._lately.get(key)
        if found is None or now - found[0] > LATELY:
            found = self._lately[key] = now, find()
        return found[1]

    # ------------------------------------------------------------ answers of the engine

    def answer(self, question: Record) -> Record | None:
        """What the engine says, in the language being spoken; None while it is being worked out."""
        language = spoken()
        kept = self.engine.kept(question, language)
        if kept is None:
            self._working.later(question, language)
        return kept

    def once(self, question: Record) -> Record | None:
        """The same; one that was given before counts, though a file or a record was changed since."""
        return self.engine.once(question, spoken()) or self.answer(question)

    def answered(self, question: Record) -> Record:
        """The same, waited for; one that is known never waits behind what is being worked out."""
        try:
            return self.engine.kept(question, spoken()) or self.engine.ask(question, spoken())
        except Mistaken as mistaken:
            raise Refused(409, say("The files of this job have mistakes. Ask the lead.")) from mistaken
        except NoAnswer as none:
            raise Refused(503, say("This cannot be worked out now. Use the paper sheet and tell the lead.")) from none

    def failed(self, question: Record) -> bool:
        """Whether the engine could give no answer when it was last asked."""
        return self._working.failed(question, spoken())

    def mistakes(self, question: Record) -> tuple[str, ...]:
        """What of the files kept it from an answer, where it was that."""
        return self._working.mistakes(question, spoken())

    def local(self, moment: float) -> datetime:
        """A moment on the clock of the shop's wall, with its offset."""
        try:
            zone = zone_of(self.shop())
        except Problems:
            zone = None  # the page that says what is wrong with the files needs a clock too
        return fixed(datetime.fromtimestamp(moment, timezone.utc), zone)


@dataclass
class Working:
    """Questions that are asked in the background, each once; what could not be answered is asked again in a while."""

    engine: Asks
    _asked: dict[str, float | None] = field(default_factory=dict)  # question -> when it failed; None: it is being asked
    _mistakes: dict[str, tuple[str, ...]] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _threads: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(4, "engine"))

    def later(self, question: Record, language: str) -> None:
        """Have a question asked, unless it is being asked or could not be answered just now."""
        key = _key(question, language)
        with self._lock:
            failed = self._asked.get(key, 0.0)
            if failed is None or (failed and time.monotonic() < failed + AGAIN):
                return
            self._asked[key] = None
        self._threads.submit(self._ask, key, question, language)

    def failed(self, question: Record, language: str) -> bool:
        return bool(self._asked.get(_key(question, language)))

    def mistakes(self, question: Record, language: str) -> tuple[str, ...]:
        return self._mistakes.get(_key(question, language), ())

    def _ask(self, key: str, question: Record, language: str) -> None:
        try:
            self.engine.ask(question, language)
        except Exception as error:  # whatever it is, the screen says that there is no answer
            mistakes = error.mistakes if isinstance(error, Mistaken) else []
            with self._lock:
                self._asked[key] = time.monotonic()
                self._mistakes[key] = tuple(map(_said, mistakes))
        else:
            with self._lock:
                self._asked.pop(key, None)
                self._mistakes.pop(key, None)

    def close(self) -> None:
        self._threads.shutdown(wait=False, cancel_futures=True)


def _said(one: Record) -> str:
    return str(Problem(one["file"], one["line"], one["place"], one["wrong"], one["write"]))


def _key(question: Record, language: str) -> str:
    return f"{language} {sorted(question.items())}"
