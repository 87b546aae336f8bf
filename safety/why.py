"""Where a figure comes from: the whole derivation as an indented tree."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from safety.cited import Cited, Unknown
from safety.files.toml import At, locate, open_document
from safety.formulas import Formula, catalogue
from safety.model import Classification, Figure, Finding, Given, Limit, Range, Report, Threshold
from safety.problems import Problems
from safety.reference.citing import named
from safety.units import significant
from safety.words import say


@dataclass(frozen=True, slots=True)
class Node:
    """One line of a derivation and what stands under it."""

    text: str
    under: tuple[Node, ...] = ()

    def lines(self, depth: int = 0) -> Iterator[str]:
        """The tree as indented lines, depth first."""
        yield "  " * depth + self.text
        for node in self.under:
            yield from node.lines(depth + 1)


def references(report: Report) -> dict[str, Finding]:
    """Every finding by the short reference the sheet prints: step number (0: whole job) and a running number."""
    counts: dict[int, int] = {}
    found = {}
    for finding in report.findings:
        step = 0 if finding.step is None else finding.step + 1
        counts[step] = counts.get(step, 0) + 1
        found[f"{step}.{counts[step]}"] = finding
    return found


def explain(report: Report, reference: str, finding: Finding) -> Node:
    """The derivation of everything a finding says."""
    files = _Files(Path(report.job.shop.file).parent)
    step = say("whole job") if finding.step is None else report.job.steps[finding.step].name
    under = [
        Node(
            say(
                "{level}, {topic}, {step}, said by the plugin {plugin}",
                level=finding.level,
                topic=finding.topic,
                step=step,
                plugin=finding.plugin,
            )
        )
    ]
    for label, text in (
        (say("rule"), finding.rule),
        (say("what would change it"), finding.remedy),
        (say("not known"), finding.unknown),
    ):
        if text:
            under.append(Node(say("{label}: {text}", label=label, text=text)))
    seen: set[tuple[str, float]] = set()
    known = {**catalogue(), **report.formulas}
    under += [_figure(figure, files, seen, known) for figure in finding.figures]
    return Node(say("[{reference}] {statement}", reference=reference, statement=finding.statement), tuple(under))


def _figure(figure: Figure, files: _Files, seen: set[tuple[str, float]], known: Mapping[str, Formula]) -> Node:
    """A figure with all it was made from; one that was explained further up is not explained again."""
    middle = say(", middle estimate {p50}", p50=significant(figure.p50)) if figure.p50 is not None else ""
    unit = "" if figure.unit == "1" else f" {figure.unit}"
    text = say(
        "{name} = {value}{unit}{middle}", name=figure.name, value=significant(figure.value, 4), unit=unit, middle=middle
    )
    if (figure.name, figure.value) in seen and figure.inputs:
        return Node(say("{figure} (as above)", figure=text))
    seen.add((figure.name, figure.value))
    under = [Node(figure.note)] if figure.note else []
    formula = known.get(figure.formula)
    if formula:
        under.append(_formula(formula))
    under += [_input(label, value, files, seen, known) for label, value in figure.inputs]
    return Node(text, tuple(under))


def _formula(formula: Formula) -> Node:
    equation = next((line.strip() for line in (formula.function.__doc__ or "").splitlines() if "=" in line), "")
    unverified = say(" (unverified: {why})", why=formula.unverified) if formula.unverified else ""
    text = say("by {name}: {equation}", name=formula.name, equation=equation)
    return Node(text, (Node(say("source: {source}{unverified}", source=formula.source, unverified=unverified)),))


def _input(label: str, value: Any, files: _Files, seen: set[tuple[str, float]], known: Mapping[str, Formula]) -> Node:
    """One input: a figure is explained in turn, anything else says where it was read."""
    if isinstance(value, Figure):
        return _figure(value, files, seen, known)
    return Node(say("{label}: {value}", label=label, value=_leaf(value, files)))


def _leaf(value: Any, files: _Files) -> str:
    if isinstance(value, Cited):
        unverified = say("; unverified: {why}", why=value.unverified) if value.unverified else ""
        return say(
            "{written} ({title}, {edition}, {at}{unverified})",
            written=value.written,
            title=value.source.title,
            edition=value.source.edition,
            at=value.at,
            unverified=unverified,
        )
    if isinstance(value, (Limit, Threshold)):
        name = value.list if isinstance(value, Limit) else value.name
        named_in = say("{name}, pack {pack}", name=name, pack=value.pack) if value.pack else name
        unverified = say("; unverified: {why}", why=value.unverified) if value.unverified else ""
        return say(
            "{written} ({name}, {citation}, {edition}{unverified})",
            written=value.written,
            name=named_in,
            citation=value.citation,
            edition=value.edition,
            unverified=unverified,
        )
    if isinstance(value, Classification):
        return named(value)
    if isinstance(value, Given):
        return say("{text} ({place})", text=value.text, place=_place(value, files))
    if isinstance(value, Range):
        return _range(value)
    if isinstance(value, Unknown):
        return say("not known: {reason}", reason=value.reason)
    return significant(value, 4) if isinstance(value, float) else str(value)


def _range(value: Range) -> str:
    numbers = (
        significant(value.low, 4)
        if value.exact
        else say("{low} to {high}", low=significant(value.low, 4), high=significant(value.high, 4))
    )
    text = value.written or say("{numbers} (SI units)", numbers=numbers)
    return say("{text}; {basis}", text=text, basis=value.basis) if value.basis else text


def _place(given: Given, files: _Files) -> str:
    """File, line and key of a value a file gives; of its table, where the key itself was left out."""
    keys = ".".join(str(p) if isinstance(p, str) else str(p + 1) for p in given.path)
    text = files.text(given.file)
    if text is None:
        return say("{file}, {keys}", file=given.file, keys=keys)  # it has gone since it was read
    lines = _lines(text)
    if given.path not in lines:
        lines[given.path] = locate(text, given.path) or locate(text, given.path[:-1])
    return say("{file}:{line}, {keys}", file=given.file, line=lines[given.path] or "?", keys=keys)


class _Files:
    """The files of a shop that one explanation goes back to, each read once for it."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._texts: dict[str, str | None] = {}

    def text(self, name: str) -> str | None:
        """What a file says; None where it cannot be read any more."""
        if name not in self._texts:
            try:
                self._texts[name] = open_document(self._folder / name).text
            except Problems:
                self._texts[name] = None
        return self._texts[name]


@lru_cache(maxsize=16)
def _lines(text: str) -> dict[At, int | None]:
    """The lines of a file's values, as far as they were looked for: thousands of figures go back to the same few."""
    return {}
