"""Jobs that are being done: what was tapped, what the engine says of it, and what rules.

Everything follows from the lines in the ledger: a server that was killed knows the same when it is back.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime, timezone
from typing import Any, Protocol

from safety.ledger.runs import Run, TapLine, add_tap, begin_run, runs, taps_of
from safety.ledger.store import Ledger, has_ledger, open_ledger
from safety.model import Shop
from safety.serve.asked import Asked, Refused
from safety.serve.live import may, read_plan, real, standing, state
from safety.serve.ruling import Answers, Change, Ruling, read_answers, ruling
from safety.serve.run import Plan, PlannedStep, State, Tap
from safety.words import say

Record = dict[str, Any]

#: How long a tap may have waited on a tablet [s]; what is older is asked about at the desk.
OLDEST = 12 * 3600.0
#: What waited so long on its tablet is not asked about: nobody may be looking any more [s].
LATE = 3.0
#: How long the ledger is waited for before a tablet keeps its tap [s].
WAIT = 3.0
#: Between the keys of several alarms that were seen at once.
BETWEEN = "|"
#: Taps after which the engine is asked anew.
_REAL = ("begin", "end", "air", "coat")


@dataclass(frozen=True, slots=True)
class Live:
    """A run with its taps."""

    run: Run
    taps: tuple[Tap, ...]

    @property
    def job(self) -> str:
        return self.run.job

    @property
    def checks(self) -> dict[str, Any]:
        read: dict[str, Any] = json.loads(self.run.checks or "{}")
        return read

    @property
    def start(self) -> datetime:
        """On the clock of the shop's wall: clock times of the run count from it."""
        return self.run.started.replace(tzinfo=None)

    @property
    def began(self) -> float:
        return self.run.started.timestamp()

    @property
    def question(self) -> Record:
        """The sheet of its start."""
        return sheet_at(self.job, self.run.started, self.checks.get("air", ""))

    @property
    def closed(self) -> bool:
        return any(tap.kind == "close" for tap in standing(self.taps))


def sheet_at(job: str, start: datetime, air: str = "") -> Record:
    """The question for a sheet that begins at a moment."""
    asked: Record = {"ask": "sheet", "job": job, "start": start.replace(tzinfo=None).isoformat(timespec="seconds")}
    return {**asked, "air": air} if air else asked


@dataclass(frozen=True, slots=True)
class View:
    """A run as one reader sees it now."""

    live: Live
    plan: Plan  # with what rules: a stop, a glove's time
    state: State
    ruling: Ruling
    page: Record  # what the newest sheet says, in words
    waits: bool  # a newer sheet is being worked out
    failed: bool  # no newer sheet can be had

    @property
    def alarms(self) -> tuple[Change, ...]:
        """Stricter answers that nobody has seen yet, of what is not over."""
        taps = (tap for tap in standing(self.live.taps) if tap.kind == "seen")
        seen = {key for tap in taps for key in tap.value.split(BETWEEN)}
        return tuple(one for one in self.ruling.stricter if one.key not in seen and not self._over(one.step))

    @property
    def offers(self) -> tuple[Change, ...]:
        """Milder answers that could be accepted, of what is not over."""
        return tuple(one for one in self.ruling.looser if not self._over(one.step))

    @property
    def exposures(self) -> tuple[Change, ...]:
        """Stricter answers for steps that are over: somebody may have breathed or touched more than was planned for."""
        return tuple(one for one in self.ruling.stricter if self._over(one.step))

    def _over(self, step: int) -> bool:
        return 0 <= step < self.state.step

    @property
    def version(self) -> str:
        """What changes when the page does."""
        button = self.state.button
        said = (
            len(self.live.taps),
            self.state.step,
            button.press,
            button.coat,
            len(self.alarms),
            self.waits,
            self.failed,
        )
        return "-".join(map(str, (*said, len(self.offers), len(self.page["missing"]))))


class AtTheDesk(Protocol):
    """Whoever knows the shop, and what the engine says of it, in the language being spoken."""

    def shop(self) -> Shop: ...

    def answer(self, question: Record) -> Record | None: ...

    def once(self, question: Record) -> Record | None: ...

    def answered(self, question: Record) -> Record: ...

    def failed(self, question: Record) -> bool: ...


class Runs:
    """The runs of a shop, held in memory as they stand in its ledger."""

    def __init__(self, desk: AtTheDesk) -> None:
        self._desk = desk
        self._lock = threading.Lock()
        self._live: dict[str, Live] | None = None

    # ------------------------------------------------------------ what there is

    def all(self) -> tuple[Live, ...]:
        """Every run that is not closed, the newest first."""
        return tuple(live for live in self._known().values() if not live.closed)

    def lately_closed(self, since: float) -> tuple[Live, ...]:
        """Every run that was closed after a moment: what it asked for by its real times is still to be looked at."""
        return tuple(live for live in self._known().values() if live.closed and live.taps[-1].at >= since)

    def find(self, key: str) -> Live:
        live = self._known().get(key)
        if live is None:
            raise Refused(404, say("There is no such job running."))
        return live

    def _known(self) -> dict[str, Live]:
        with self._lock:
            if self._live is None:
                shop = self._desk.shop()
                if not has_ledger(shop):
                    return {}  # one that is there and cannot be read says so: it does not mean that nothing runs
                with open_ledger(shop, wait=WAIT) as ledger:
                    self._live = {run.key: Live(run, _taps(ledger, run)) for run in runs(ledger)}
            return dict(self._live)

    def view(self, live: Live, now: float) -> View:
        """How a run stands, in the language being spoken. Waits for the sheet of its start, for no other.

        What was answered at a tap rules as it was given then. Only the newest question is asked again where a file or
        a record was changed: all of a run asked anew after each record would keep the newest waiting for minutes.
        """
        first = self._desk.once(live.question) or self._desk.answered(live.question)
        plan, told = read_plan(first["plan"]), read_answers(first["answers"])
        later: list[Answers] = []
        page, waits, failed = first["page"], False, False
        questions = list(_questions(live, plan, now)) or [live.question]
        for question in questions:
            answers = [self._desk.once(question)]
            if question is questions[-1] and not live.closed:
                answers.append(self._desk.answer(question))
            for answer in answers:
                if answer is None:
                    waits, failed = True, self._desk.failed(question)
                else:
                    later.append(read_answers(answer["answers"]))
                    plan, page, waits, failed = read_plan(answer["plan"]), answer["page"], False, False
        accepted = [tap.value for tap in standing(live.taps) if tap.kind == "accept"]
        found = ruling(told, later, accepted)
        plan = _ruled(plan, found.rules)
        return View(live, plan, state(plan, live.taps, now), found, page, waits, failed)

    # ------------------------------------------------------------ what is written

    def begin(self, run: Run) -> Live:
        """Begin a run; one with the same key is the same."""
        with self._writing() as ledger:
            kept, _ = begin_run(ledger, run)
            taps = _taps(ledger, kept)
        self._known()
        with self._lock:
            live = Live(kept, taps)
            self._live = {kept.key: live, **(self._live or {})}
        return live

    def tap(self, key: str, tap: Tap) -> tuple[Live, Tap | None]:
        """Keep a tap. Returns the run, and the tap of somebody else where that one was first or this one cannot be.

        A tap that is known by its key is not kept twice.
        """
        with self._writing() as ledger:
            live = self.find(key)
            if any(one.key == tap.key for one in live.taps):
                return live, None
            plan = self.view(live, tap.at).plan
            if not may(plan, live.taps, tap):
                return live, _first(live.taps, tap) or tap
            line, became = add_tap(ledger, _line(live.run, tap))
            live = replace(live, taps=_taps(ledger, live.run))
            with self._lock:
                assert self._live is not None
                self._live[key] = live
            return live, _of(line) if became == "first" else None

    @contextmanager
    def _writing(self) -> Iterator[Ledger]:
        """The ledger, for one writer of this page at a time."""
        with self._one_at_a_time, open_ledger(self._desk.shop(), create=True, wait=WAIT) as ledger:
            yield ledger

    _one_at_a_time = threading.RLock()


def made_before(asked: Asked) -> float:
    """How long ago a tap was made that may have waited on its tablet [s]."""
    try:
        ago = float(asked.get("ago") or 0.0)
    except ValueError:
        raise Refused(400, say("This tap cannot be read.")) from None
    return min(ago, OLDEST) if ago > 0 else 0.0


def when(live: Live, now: float, ago: float) -> float:
    """When a tap was made that says how long ago that was: never before the last one of its run, never to come."""
    last = max((one.at for one in standing(live.taps)), default=live.began)
    return min(now, max(last, now - ago))


def _questions(live: Live, plan: Plan, now: float) -> Iterator[Record]:
    """The sheets that the real times ask for, in the order in which they were tapped."""
    taps = standing(live.taps)
    moments = [(taps[:at], tap.at) for at, tap in enumerate(taps, 1) if tap.kind in _REAL]
    if moments:
        moments.append((taps, now))  # what goes on may take longer than planned by now
    told = [real(plan, state(plan, some, at), live.began) for some, at in moments]
    for number, one in enumerate(told):
        if one not in told[:number]:
            yield {**live.question, "real": one}


def _ruled(plan: Plan, rules: Answers) -> Plan:
    """The plan with what rules by now: it stops where a later sheet did, and gear lasts no longer than that says."""

    def ruled(number: int, step: PlannedStep) -> PlannedStep:
        own = [one for (at, _), one in rules.items() if at == number]
        hands, breathing = rules.get((number, "hands")), rules.get((number, "breathing"))
        return replace(
            step,
            stop=step.stop or any(one.rank == 3 for one in own),
            gloves=hands.item if hands else step.gloves,
            gloves_last=hands.lasts if hands else step.gloves_last,
            mask=breathing.item if breathing else step.mask,
            cartridges_last=breathing.lasts if breathing else step.cartridges_last,
        )

    steps = tuple(ruled(number, step) for number, step in enumerate(plan.steps))
    whole = any(one.rank == 3 for (at, _), one in rules.items() if at < 0)
    return replace(plan, steps=steps, stop=plan.stop or whole)


def _first(taps: Sequence[Tap], tap: Tap) -> Tap | None:
    """Whose tap said the same before."""
    same = (one for one in standing(taps) if (one.kind, one.step, one.coat) == (tap.kind, tap.step, tap.coat))
    return next(same, None)


def _taps(ledger: Ledger, run: Run) -> tuple[Tap, ...]:
    return tuple(map(_of, taps_of(ledger, run.key)))


def _of(line: TapLine) -> Tap:
    return Tap(
        line.key,
        line.kind,  # type: ignore[arg-type]
        line.at.timestamp(),
        line.heard.timestamp(),
        line.step,
        line.coat,
        line.value,
        line.who,
        line.device,
        line.note,
    )


def _line(run: Run, tap: Tap) -> TapLine:
    at, heard = (datetime.fromtimestamp(moment, timezone.utc) for moment in (tap.at, tap.heard))
    return TapLine(tap.key, run.key, tap.kind, at, heard, tap.step, tap.coat, tap.value, tap.who, tap.device, tap.note)
