"""The packs of one run: which are asked for, what plugins add to them, and their tables merged."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import cache, lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from safety.files.toml import where
from safety.model import Contribution, Pack, TableSchema
from safety.problems import Problem, Problems
from safety.reference import row_shapes, rules_files, tables
from safety.reference.rules_files import clashes, limit_name, missing_packs, read_pack, shipped_packs, twice
from safety.words import say

#: The pack of thresholds that hold everywhere; it is always the first.
GENERAL = "general"


def declared_tables(contributions: Sequence[tuple[str, Contribution]]) -> dict[str, TableSchema]:
    """Every table a pack may hold, by name. Raises Problems where a declaration is unsound, or one is not another's."""
    found = {schema.name: schema for schema in tables.CORE}
    owners: dict[str, str] = {}
    problems = []
    for plugin, contribution in sorted(contributions, key=lambda one: one[0]):
        for schema in contribution.tables:
            wrong = row_shapes.fault(schema)
            if not wrong and found.get(schema.name, schema) != schema:
                wrong = (
                    say('the table "{name}" is declared otherwise by {owner}', name=schema.name,
                        owner=owners[schema.name])
                    if schema.name in owners
                    else say('the table "{name}" is declared otherwise by the program', name=schema.name)
                )  # fmt: skip
            if wrong:
                problems.append(Problem(blamed(plugin), 0, "contribute", wrong))
                continue
            found[schema.name] = schema
            owners.setdefault(schema.name, plugin)
    if problems:
        raise Problems(problems)
    return found


def in_force(pack: Pack, declared: Mapping[str, TableSchema], day: date) -> Pack:
    """What of a pack holds on a day. Tables without a dated row stay the same objects: they are known by that."""
    rows = {name: row_shapes.on(declared[name], there, day) for name, there in pack.tables.items() if name in declared}
    moved = any(rows[name] is not pack.tables[name] for name in rows)
    return replace(
        pack,
        limits=tuple(one for one in pack.limits if rules_files.in_force(one, day)),
        thresholds=tuple(one for one in pack.thresholds if rules_files.in_force(one, day)),
        tables=MappingProxyType({**pack.tables, **rows}) if moved else pack.tables,
    )


def merged_tables(
    packs: Sequence[Pack], declared: Mapping[str, TableSchema], rules: Sequence[str]
) -> dict[str, tuple[Mapping[str, Any], ...]]:
    """Every declared table over all packs. Raises Problems where a shop's own pack is looser than one it did not write.

    Between packs that come with the program, and between a shop's own, the tighter row holds and nobody is to blame.
    """
    found, problems = {}, []
    for name, schema in declared.items():
        found[name], not_used = tables.merge(schema, packs)
        problems += [
            looser(one.pack, one.thing, one.says, one.than, one.of.id)
            for one in not_used
            if one.pack.file in rules and one.of.file not in rules
        ]
    if problems:
        raise Problems(problems)
    return found


def read(
    rules: Sequence[str],
    folder: Path,
    contributions: Sequence[tuple[str, Contribution]],
    declared: Mapping[str, TableSchema],
    absent: bool,
) -> tuple[Pack, ...]:
    """The packs a shop asks for, with what plugins add to them. Raises Problems."""
    return _joined(_asked(rules, folder, contributions, declared, absent), contributions, declared, absent)


def _asked(
    rules: Sequence[str],
    folder: Path,
    contributions: Sequence[tuple[str, Contribution]],
    declared: Mapping[str, TableSchema],
    absent: bool,
) -> list[Pack]:
    shipped = shipped_packs()
    offered = {p.id: p for _, c in contributions for p in c.packs if p.id not in shipped}
    missing = missing_packs(rules, folder, contributions)
    packs, problems = [], list(missing.values())
    for entry in dict.fromkeys((GENERAL, *rules)):
        try:
            if entry in shipped:
                packs.append(shipped_pack(shipped[entry]))
            elif entry in offered:
                packs.append(offered[entry])
            elif entry not in missing:
                packs.append(read_pack(folder / entry, entry, declared, absent))
        except Problems as bad:
            problems += bad.problems
    for pack in packs:
        if [p.id for p in packs].count(pack.id) > 1:
            problems.append(Problem(pack.file, 0, "[pack] id", say('two packs are called "{id}"', id=pack.id)))
    if problems:
        raise Problems(problems)
    return packs


@cache
def shipped_pack(path: Path) -> Pack:
    """A pack that comes with the program; it does not change while the program runs."""
    return read_pack(path, f"data/rules/{path.name}", {schema.name: schema for schema in tables.CORE})


def _joined(
    packs: list[Pack],
    contributions: Sequence[tuple[str, Contribution]],
    declared: Mapping[str, TableSchema],
    absent: bool,
) -> tuple[Pack, ...]:
    """Add each contributed pack's records to the loaded pack of the same id."""
    problems, whole = [], tuple(packs)
    for plugin, contribution in contributions:
        for extra in contribution.packs:
            problems += [Problem(blamed(plugin), 0, "contribute", wrong) for wrong in _faults(extra, declared, absent)]
            place = next((i for i, p in enumerate(packs) if p.id == extra.id), None)
            if place is None or whole[place] is extra:
                continue
            base = packs[place]
            limits = (*base.limits, *extra.limits)
            thresholds = (*base.thresholds, *extra.thresholds)
            for name in (*(limit_name(second) for _, second in clashes(limits)), *twice(thresholds)):
                wrong = say('{name} is already in the pack "{id}"', name=name, id=base.id)
                problems.append(Problem(blamed(plugin), 0, "contribute", wrong))
            whole_tables = dict(base.tables)
            for key, rows in extra.tables.items():
                there = whole_tables.get(key, ())
                whole_tables[key] = (*there, *rows)
                if there and key in declared and not problems:
                    for _, name in tables.twice(declared[key], whole_tables[key]):
                        wrong = say('{name} is already in the pack "{id}"', name=name, id=base.id)
                        problems.append(Problem(blamed(plugin), 0, "contribute", wrong))
            packs[place] = replace(
                base,
                limits=limits,
                thresholds=thresholds,
                tables=MappingProxyType(whole_tables),
            )
    if problems:
        raise Problems(problems)
    return tuple(packs)


class _Same:
    """Tables that are known by being the same object: those of a plugin are, in every load of a run."""

    def __init__(self, tables: Mapping[str, Sequence[Mapping[str, Any]]]):
        self.tables = tables

    def __hash__(self) -> int:
        return id(self.tables)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.tables is other.tables


def _faults(pack: Pack, declared: Mapping[str, TableSchema], absent: bool) -> Iterator[str]:
    """Every mistake in the tables of a pack that a plugin adds."""
    for name in pack.tables:
        old = [] if name in declared else [*row_shapes.earlier(name, pack.tables[name], declared)]
        for one in old:
            yield say("{at}: {wrong}", at=where((name, one.row)), wrong="; ".join((one.wrong, one.write)))
        if name not in declared and not absent and not old:
            wrong, near = row_shapes.unknown(name, declared)
            yield say("{wrong}; {near} or {write}", wrong=wrong, near=near, write=row_shapes.undeclared(name))
    yield from _in_rows(_Same(pack.tables), tuple(declared.values()))


@lru_cache(256)
def _in_rows(same: _Same, schemas: tuple[TableSchema, ...]) -> tuple[str, ...]:
    """Every mistake in the rows of declared tables; looked for once in a run, however many days it asks about."""
    return tuple(_mistakes(same.tables, {schema.name: schema for schema in schemas}))


def _mistakes(
    found_in: Mapping[str, Sequence[Mapping[str, Any]]], declared: Mapping[str, TableSchema]
) -> Iterator[str]:
    for name, rows in found_in.items():
        if name not in declared:
            continue
        found = [(w.row, w.key, w.wrong, w.write) for w in row_shapes.mistakes(declared[name], rows)]
        for row, thing in () if found else tables.twice(declared[name], rows):
            found.append((row, "", say('"{name}" is given twice', name=thing), ""))
        for row, key, wrong, write in found:
            at = where((name, row, key) if key else (name, row))
            yield say("{at}: {wrong}", at=at, wrong="; ".join(filter(None, (wrong, write))))


def looser(pack: Pack, name: str, new: str, old: str, of: str) -> Problem:
    wrong = say("{new} is looser than {old} of {pack}", new=new, old=old, pack=of)
    return Problem(
        pack.file, 0, name, wrong, say('tighten it, or write replaces = true in the [pack] of "{id}"', id=pack.id)
    )


def blamed(name: str) -> str:
    return f"plugin {name}"  # as ``assessment`` looks for it, so not a sentence
