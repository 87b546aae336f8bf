"""docs/data.md: where the data come from, what nobody has checked, where sources disagree."""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path

from safety import reference
from safety.model import Substance

ROOT = Path(__file__).parents[2]

HEAD = """# Data, and how far to trust them

This page is made by `python -m tests.pages`; do not edit it by hand.

Every value is kept with its source and the place in it. Several values of a property are kept and the first is used:
for flash point, lower explosive limit and ignition temperature the lowest credible one, for the upper limit the
highest, for vapour pressure, density and boiling point one from a method valid at room temperature. The product's own
safety data sheet always comes before these tables.
"""


def page() -> str:
    data = reference.load(("us-federal", "eu"), Path(), date(2026, 11, 25))
    substances = [s for s in map(data.substance, data.known()) if isinstance(s, Substance)]
    parts = [HEAD, _packs(data), _unverified(substances), _disagreements(substances), _sources(data)]
    return "\n".join(parts)


def _packs(data: reference.Reference) -> str:
    rows = [
        f"| {p.id} | {p.title} | {p.edition} | {len(p.limits)} | {sum(bool(x.unverified) for x in p.limits)} |"
        for p in data.packs
    ]
    head = "| pack | title | edition | limits in force on 2026-11-25 | of these unverified |\n|---|---|---|---|---|\n"
    return "## Rules packs\n\n" + head + "\n".join(rows) + "\n"


def _unverified(substances: list[Substance]) -> str:
    rows = [
        f"| {s.name} | {name.replace('_', ' ')} | {values[0].written} | {values[0].unverified} |"
        for s in substances
        for name, values in s.properties.items()
        if values[0].unverified
    ]
    rows += [
        f"| {s.name} | hazard class | {one.code} ({one.hazard_class} {one.category}) | {one.unverified} |"
        for s in substances
        for one in s.classes
        if one.unverified
    ]
    text = f"## Values in use that nobody has checked ({len(rows)})\n\nA sheet that uses one says so.\n\n"
    return text + "| substance | property | value | why |\n|---|---|---|---|\n" + "\n".join(rows) + "\n"


def _disagreements(substances: list[Substance]) -> str:
    names = {s.cas: s.name for s in substances}
    with (ROOT / "tests" / "data" / "disagreements.csv").open(encoding="utf-8", newline="") as file:
        rows = [
            f"| {names[r['cas']]} | {r['property'].replace('_', ' ')} | {r['source']} | {r['reason']} |"
            for r in csv.DictReader(file)
        ]
    text = f"## Known disagreements between sources ({len(rows)})\n\n"
    return (
        text + "| substance | property | source that differs | reason |\n|---|---|---|---|\n" + "\n".join(rows) + "\n"
    )


def _sources(data: reference.Reference) -> str:
    lines = [f"- **{s.key}**: {s.title}. {s.edition}. {s.terms}." for s in data.sources()]
    return "## Sources\n\n" + "\n".join(lines) + "\n"
