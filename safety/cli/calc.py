"""hazstep calc: one published formula with its source."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING

import click

from safety.cli import complete

if TYPE_CHECKING:
    from collections.abc import Mapping

    from safety.calc.call import Answer
    from safety.formulas import Formula


@click.command("calc")
@click.argument("name", required=False, shell_complete=complete.formulas)
@click.argument("inputs", nargs=-1, metavar='[KEY="VALUE UNIT"]...', shell_complete=complete.inputs)
@click.option("--format", "style", type=click.Choice(["text", "json"]), default="text", help="How to print the answer.")
def command(name: str | None, inputs: tuple[str, ...], style: str) -> None:
    """Work out one published formula and say where it comes from.

    Without a NAME, list all formulas. Several values, such as "110 ppm, 330 ppm", are parted by a
    comma and a space. A decimal comma is read where it cannot part thousands.

    \b
    Examples:
      hazstep calc
      hazstep calc purge_time volume="60 m^3" airflow="500 cfm" start="100 mg/m3" target="10 mg/m3"
    """
    from safety.problems import Problems

    try:
        click.echo(_run(name, inputs, style) if name else _listing(style))
    except Problems as mistakes:
        for problem in mistakes.problems:
            click.echo(str(problem), err=True)
        sys.exit(2)


def _of_plugins() -> Mapping[str, Formula]:
    """The formulas that installed plugins add; a shop's own files are not run for them."""
    from safety.hosting import host

    plugins = host.load()
    plugins.contributions()
    return plugins.formulas


def _run(name: str, inputs: tuple[str, ...], style: str) -> str:
    from safety.calc.call import call
    from safety.formulas import catalogue
    from safety.problems import Problem, Problems
    from safety.words import say

    added = {} if name in catalogue() else _of_plugins()
    written: dict[str, str] = {}
    mistakes: list[Problem] = []
    for text in inputs:
        key, equals, value = text.partition("=")
        if not equals or not value.strip():
            wrong, write = say('"{text}" is not an input', text=text), say('write for example volume="100 m3"')
            mistakes.append(Problem(f"calc {name}", 0, "", wrong, write))
        elif key in written:
            mistakes.append(Problem(f"calc {name}", 0, key, say("is given twice")))
        else:
            written[key] = value.strip()
    try:
        answer = call(name, written, added)
    except Problems as more:
        raise Problems([*mistakes, *more.problems]) from None
    if mistakes:
        raise Problems(mistakes)
    if style == "json":
        return json.dumps(_record(answer), ensure_ascii=False, allow_nan=False, indent=2)
    return _text(answer, dict({**catalogue(), **added}[name].inputs))


def _record(answer: Answer) -> dict[str, object]:
    record: dict[str, object] = {
        "name": answer.name,
        "value": answer.value,
        "unit": answer.unit,
        "inputs": answer.inputs,
        "source": answer.source,
    }
    if answer.unverified:
        record["unverified"] = answer.unverified
    if answer.warnings:
        record["warnings"] = list(answer.warnings)
    return record


def _text(answer: Answer, kinds: dict[str, str]) -> str:
    from safety.units import significant
    from safety.words import say

    if isinstance(answer.value, str):
        value = answer.value
    else:
        numbers = answer.value if isinstance(answer.value, list) else [answer.value]
        unit = "" if answer.unit == "1" else f" {answer.unit}"
        value = ", ".join(f"{significant(number, 4)}{unit}" for number in numbers)
    lines = [f"{answer.name} = {value}"]
    lines += [f"  {key} = {answer.inputs[key]}" for key in kinds]
    lines.append(say("Source: {source}", source=answer.source))
    if answer.unverified:
        lines.append(say("Unverified: {why}", why=answer.unverified))
    lines += [say("Warning: {text}", text=text) for text in answer.warnings]
    return "\n".join(lines)


def _listing(style: str) -> str:
    from safety.formulas import catalogue
    from safety.words import say

    entries = [*catalogue().values(), *_of_plugins().values()]
    summary = {e.name: (e.function.__doc__ or "").partition("\n")[0] for e in entries}
    if style == "json":
        records = [
            {"name": e.name, "group": e.group, "summary": summary[e.name], "inputs": dict(e.inputs), "source": e.source}
            for e in entries
        ]
        return json.dumps(records, ensure_ascii=False, indent=2)
    lines: list[str] = []
    for group in dict.fromkeys(e.group for e in entries):
        lines += [group, *(f"  {e.name}: {summary[e.name]}" for e in entries if e.group == group), ""]
    lines.append(say('Run one with: hazstep calc NAME key="value unit" ...'))
    return "\n".join(lines)
