"""The engine's own process: reads questions from its input, a line each, and writes what it finds to its output.

It speaks one language, answers one question at a time, and ends when whoever began it is gone.
"""

from __future__ import annotations

import base64
import json
import os
import sys
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from queue import SimpleQueue
from typing import Any

from safety import timeline
from safety.assessment import DRAWS, part_of
from safety.files.notation import nearest
from safety.files.reading import Edit
from safety.files.toml import Document, plain
from safety.model import Done, Job, Real, Report, Timeline
from safety.problems import Problem, Problems
from safety.serve import papers, ruling, sheet_records
from safety.words import say, speaking, speech
from safety.workplace import Workplace

Record = dict[str, Any]
Told = Callable[[float], None]

#: Reports whose findings may still be asked about.
_LATEST = 8


class Answering:
    """What a process knows while it answers: the shop, and the last reports."""

    def __init__(self, shop: Path) -> None:
        self.workplace = Workplace.open(shop)
        self._reports: OrderedDict[str, tuple[Job, Report]] = OrderedDict()

    def answer(self, question: Mapping[str, Any], heard: Told) -> Record:
        """The answer to a question. Raises Problems for mistakes in files, ValueError for what is no question."""
        kinds: dict[str, Callable[[Mapping[str, Any], Told], Record]] = {
            "ready": lambda question, heard: {"ready": True},
            "sheet": self._sheet,
            "day": self._day,
            "why": self._why,
            "pdf": self._pdf,
            "freeze": self._freeze,
            "compare": self._compare,
            "propose": self._propose,
            "log": lambda question, heard: papers.log(self.workplace, question, heard),
            "keep-log": lambda question, heard: papers.keep(self.workplace, question, heard),
            "label": lambda question, heard: papers.label(self.workplace, question, heard),
        }
        ask = question.get("ask")
        if ask not in kinds:
            raise ValueError(f"no such question: {ask!r}")
        return kinds[ask](question, heard)

    # ------------------------------------------------------------ sheets

    def _sheet(self, question: Mapping[str, Any], heard: Told) -> Record:
        variants = self._variants(question)
        found = [self._report(question, airs, part_of(heard, at, len(variants))) for at, airs in enumerate(variants)]
        several = ruling.strictest([ruling.read_answers(sheet_records.answers(report)) for _, report in found])
        return {**sheet_records.sheet(*found[0]), "answers": ruling.as_records(several)}

    def _variants(self, question: Mapping[str, Any]) -> list[_Airs]:
        """The ways in which the air may have been; the job is only read for it where it changed."""
        real = question.get("real")
        if not real or not real.get("airs"):
            return [()]
        path = self._file(question)
        return _variants(self._place(path, question).planned([path])[0].job, real)

    def _place(self, path: Path, question: Mapping[str, Any], airs: _Airs = ()) -> Workplace:
        """The shop with the job as the question has it."""
        start = question.get("start")
        moment = datetime.fromisoformat(start) if start else None
        place = self.workplace.given(path, start=moment, air=str(question.get("air") or ""))
        return place.edited(_with_airs(path, airs)) if airs else place

    def _report(self, question: Mapping[str, Any], airs: _Airs, heard: Told) -> tuple[Job, Report]:
        """The job as planned, and its report; one that was just made is not made again."""
        path, real = self._file(question), _real(question.get("real"))
        sources = (question.get(name) for name in ("job", "start", "air", "draws", "real"))
        key = json.dumps([*sources, airs], sort_keys=True, default=str)
        place = self._place(path, question, airs)
        (planned,) = place.planned([path])  # raises where a file has a mistake by now
        kept = self._reports.get(key)
        if kept is not None and kept[0] == planned.job:
            self._reports.move_to_end(key)
            return kept
        draws = int(question.get("draws") or DRAWS)
        report = place.assess(path, draws=draws, progress=heard, real=real)
        self._reports[key] = planned.job, report
        while len(self._reports) > _LATEST:
            self._reports.popitem(last=False)
        return planned.job, report

    def _file(self, question: Mapping[str, Any]) -> Path:
        """The file of a job that is named by its id, and by nothing that leads out of the shop."""
        return self.workplace.files.job(str(question.get("job", "")))

    def _day(self, question: Mapping[str, Any], heard: Told) -> Record:
        from safety.day import assess_day
        from safety.render import day

        paths = [self._file({"job": name}) for name in question["jobs"]]
        draws = int(question.get("draws") or DRAWS)
        reports = assess_day(self.workplace, paths, draws=draws, progress=heard)
        jobs = {one.job.id: one.job for one in self.workplace.planned(paths)}
        return {"day": day.record(reports), "sheets": [sheet_records.sheet(jobs[one.job.id], one) for one in reports]}

    def _why(self, question: Mapping[str, Any], heard: Told) -> Record:
        from safety.why import explain, references

        airs = self._variants(question)[0]
        _, report = self._report(question, airs, heard)
        known, ref = references(report), str(question.get("ref", ""))
        if ref not in known:
            wrong = say("the sheet has no such reference")
            raise Problems([Problem(plain(ref), 0, "", wrong, nearest(ref, known))])
        return sheet_records.tree(explain(report, ref, known[ref]))

    def _pdf(self, question: Mapping[str, Any], heard: Told) -> Record:
        from safety.render.pdf import sheet

        _, report = self._report(question, (), heard)
        return {"base64": base64.b64encode(sheet(report)).decode()}

    def _freeze(self, question: Mapping[str, Any], heard: Told) -> Record:
        from safety.frozen.pages import freeze_sheet

        _, report = self._report(question, (), heard)
        return {"id": freeze_sheet(self.workplace, report)}

    # ------------------------------------------------------------ what if

    def _compare(self, question: Mapping[str, Any], heard: Told) -> Record:
        from safety.compare import Alternative, compare, ranked, read_alternatives
        from safety.render import compare as render

        path = self._file(question)
        place = self._place(path, question)
        (planned,) = place.planned([path])
        alternatives = [Alternative(""), *read_alternatives(question["changes"], path, planned.job)]
        draws = int(question.get("draws") or DRAWS)
        outcomes = ranked(compare(place, path, alternatives, draws=draws, progress=heard))
        return {"columns": render.record(outcomes), "table": render.columns(outcomes)}

    def _propose(self, question: Mapping[str, Any], heard: Told) -> Record:
        from safety.compare import propose
        from safety.render import compare as render

        path = self._file(question)
        place = self._place(path, question)
        draws = int(question.get("draws") or DRAWS)
        return {"proposals": render.record_proposals(propose(place, path, draws=draws, progress=heard))}


# ---------------------------------------------------------------- what a question holds


def _real(told: Mapping[str, Any] | None) -> Real | None:
    if not told:
        return None
    stretches = (
        Done(int(step), int(coat), float(begin), None if end is None else float(end), float(more[0] if more else 0.0))
        for step, coat, begin, end, *more in told["stretches"]
    )
    return Real(tuple(stretches), float(told["now"]))


#: In which steps another state of the air than the file's.
_Airs = tuple[tuple[int, str], ...]


def _variants(job: Job, told: Mapping[str, Any]) -> list[_Airs]:
    """A change of the air within a step, once as if it had held for all of it and once as if not: both must hold."""
    real = _real(told)
    assert real is not None
    clock = timeline.build(timeline.as_done(job, real), real)
    changes = [(_step_at(clock, float(at)), str(state)) for at, state in told["airs"]]
    late = [False] * len(changes)
    mixed = ([*late[:at], True, *late[at + 1 :]] for at in range(len(changes)))
    return list(dict.fromkeys(_airs(job, changes, whole) for whole in ([True] * len(changes), late, *mixed)))


def _airs(job: Job, changes: Sequence[tuple[int, str]], whole: Sequence[bool]) -> _Airs:
    """What each step of the place has after all changes; ``whole`` says which hold for all of their own step."""
    found: dict[int, str] = {}
    for (begin, state), all_of_it in zip(changes, whole, strict=True):
        place = job.steps[begin].place
        first = begin if all_of_it else begin + 1
        found |= {at: state for at in range(first, len(job.steps)) if job.steps[at].place.id == place.id}
    return tuple(sorted(found.items()))


def _step_at(clock: Timeline, at: float) -> int:
    """The step that goes on, or is waited on, at a moment."""
    return next((s.step for s in clock.segments if s.start <= at < s.end), clock.segments[-1].step)


def _with_airs(path: Path, airs: _Airs) -> Edit:
    """The job with other states of the air in some of its steps."""

    def edit(document: Document) -> Document:
        steps = document.data.get("step")
        if document.path.resolve() != path.resolve() or not isinstance(steps, list):
            return document
        other = dict(airs)
        changed = [
            {**step, "air": other[at]} if at in other and isinstance(step, dict) else step
            for at, step in enumerate(steps)
        ]
        return replace(document, data={**document.data, "step": changed})

    return edit


# ---------------------------------------------------------------- talking


def main(shop: str, language: str, nice: str = "0") -> None:
    """Answer questions until there are no more."""
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)  # what a plugin prints is no answer
    sys.stdout = sys.stderr
    if hasattr(os, "nice"):
        os.nice(int(nice))
    questions: SimpleQueue[str] = SimpleQueue()
    threading.Thread(target=_listen, args=(questions,), daemon=True).start()
    lock = threading.Lock()

    def say_to_parent(record: Record) -> None:
        with lock:
            answers.write(json.dumps(record, ensure_ascii=False, allow_nan=False) + "\n")
            answers.flush()

    with speaking(speech(language)):
        answering: Answering | None = None
        while True:
            question = json.loads(questions.get())
            try:
                answering = answering or Answering(Path(shop))
                answer = answering.answer(question, lambda share: say_to_parent({"share": share}))
                say_to_parent({"answer": answer})
            except Problems as problems:
                say_to_parent({"mistakes": [mistake(one, Path(shop)) for one in problems.problems]})
            except Exception as error:
                say_to_parent({"fault": f"{type(error).__name__}: {error}"})


def _listen(questions: SimpleQueue[str]) -> None:
    """Take in questions; where there can be no more, nobody waits for an answer either."""
    for line in sys.stdin:
        questions.put(line)
    os._exit(0)


def mistake(problem: Problem, shop: Path) -> Record:
    """A mistake as plain data, its file seen from the shop's folder: where a machine keeps it is nobody's business."""
    folder = shop.parent.resolve()
    inside = "".join((folder.as_posix(), "/"))
    texts = {"place": problem.where, "wrong": problem.wrong, "write": problem.write}
    file = problem.file.replace(inside, "").replace("".join((shop.parent.as_posix(), "/")), "")
    return {"file": file, "line": problem.line, **{name: str(t).replace(inside, "") for name, t in texts.items()}}


if __name__ == "__main__":
    main(*sys.argv[1:])
