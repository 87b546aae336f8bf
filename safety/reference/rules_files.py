"""Rules packs: TOML to dated limits, thresholds and tables."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import as_file, files
from itertools import combinations
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal, cast, get_args

from safety import units
from safety.files import notation
from safety.files.notation import Miswritten, nearest, with_points
from safety.files.toml import At
from safety.formulas.exposure import GROUPS
from safety.model import Compare, Contribution, Limit, LimitKind, Pack, TableSchema, Threshold
from safety.problems import Problem
from safety.reference import row_shapes, tables
from safety.reference.data_files import DATA, DataFile, quantity, sentence, yes
from safety.reference.data_shapes import LIMIT, PACK, THRESHOLD, names
from safety.words import say

PACK_KEYS, LIMIT_KEYS, THRESHOLD_KEYS = map(names, (PACK, LIMIT, THRESHOLD))


@dataclass(frozen=True, slots=True)
class _Head:
    """What the [pack] table says that every record of the pack carries."""

    id: str
    title: str
    jurisdiction: str
    edition: str
    reference_temperature: float | None  # K


def read_pack(
    path: Path, shown: str = "", declared: Mapping[str, TableSchema] | None = None, absent: bool = False
) -> Pack:
    """Read one rules pack. Raises Problems.

    All limits of the file are returned, also those not yet or no longer in force:
    :func:`safety.reference.load` picks by the job's date. ``shown`` is how mistakes name the file.
    ``declared`` holds the tables the pack may hold, where it is a shop's own; a pack that comes with the program or a
    plugin is looked through once all tables are known. ``absent``: a table that is not among them may be one that
    somebody would read who is not there.
    """
    file = DataFile(path, shown)
    table = file.data.get("pack")
    if not isinstance(table, dict):
        file.wrong((), say("there is no [pack] table"), say("write [pack] with id, title, jurisdiction and edition"))
        table = {}
    else:
        file.keys(table, PACK_KEYS, ("pack",))
    words = file.words(table, PACK_KEYS[:4], ("pack",)) if table else dict.fromkeys(PACK_KEYS[:4], "")
    head = _Head(
        **words, reference_temperature=file.read(table, "reference_temperature", ("pack",), quantity("temperature"))
    )
    limits = _each(file, "limit", lambda at, row: _limit(file, at, row, head))
    thresholds = _each(file, "threshold", lambda at, row: _threshold(file, at, row, head))
    for first, second in clashes(limits):
        place = ("limit", limits.index(second))
        file.wrong(
            place,
            say(
                "{name} is given twice for the same days: {a} and {b}",
                name=limit_name(second),
                a=first.written,
                b=second.written,
            ),
        )
    for name in twice(thresholds):
        file.wrong(("threshold",), say('"{name}" is given twice', name=name))
    others = [key for key in file.data if key not in ("pack", "limit", "threshold")]
    rows = {key: _each(file, key, lambda _, row: MappingProxyType(row)) for key in others}
    replaces = file.read(table, "replaces", ("pack",), yes) or False
    if declared is not None:
        _look_through(file, rows, declared, words["id"], replaces, absent)
    file.finish()
    return Pack(
        **words,
        limits=limits,
        thresholds=thresholds,
        tables=MappingProxyType(rows),
        file=file.document.shown,
        replaces=replaces,
    )


def _each(file: DataFile, key: str, make: Callable[[At, dict[str, Any]], Any]) -> tuple[Any, ...]:
    made = (make(at, table) for at, table in file.tables(key))
    return tuple(record for record in made if record is not None)


def own_packs(package: str, *names: str) -> tuple[Pack, ...]:
    """The rules packs of a plugin: the files of these names in the folder ``rules`` of its package. Raises Problems.

    They are part of an installed program, so they are read once in a process.
    """
    return tuple(_own_pack(package, name) for name in names)


@cache
def _own_pack(package: str, name: str) -> Pack:
    with as_file(files(package) / "rules" / f"{name}.toml") as path:
        return read_pack(path, f"{package}/rules/{name}.toml")


def _look_through(
    file: DataFile,
    rows: Mapping[str, tuple[Mapping[str, Any], ...]],
    declared: Mapping[str, TableSchema],
    pack: str,
    replaces: bool,
    absent: bool,
) -> None:
    """Note every mistake in the tables of a shop's own pack."""
    for name, own in rows.items():
        if name not in declared:
            old = [*row_shapes.earlier(name, own, declared)]
            for row, _, what, write in old:
                file.wrong((name, row), what, write)
            if not absent and not old:
                file.wrong((name, 0), *row_shapes.unknown(name, declared))
            continue
        schema = declared[name]
        wrong = [*row_shapes.mistakes(schema, own), *row_shapes.own_mistakes(schema, own, pack, replaces)]
        for row, key, what, write in wrong:
            file.wrong((name, row, *((key,) if key else ())), what, write)
        for row, thing in () if wrong else tables.twice(schema, own):
            file.wrong((name, row), say('"{name}" is given twice', name=thing))


def _limit(file: DataFile, at: At, table: dict[str, Any], head: _Head) -> Limit | None:
    file.keys(table, LIMIT_KEYS, at)
    group = file.read(table, "as_group", at, row_shapes.one_of(tuple(GROUPS)))
    cas = (file.read if "as_group" in table else file.need)(table, "cas", at, notation.cas)
    kind = file.need(table, "kind", at, row_shapes.one_of(get_args(LimitKind)))
    compare = file.need(table, "compare", at, row_shapes.one_of(get_args(Compare)))
    unit: Literal["ppm", "mg/m3"] = "mg/m3" if "/" in str(table.get("value")) else "ppm"
    value = file.need(table, "value", at, quantity("air_share" if unit == "ppm" else "concentration"))
    if value == 0:
        file.wrong((*at, "value"), say("the limit is zero"), say("leave the record out where the list gives no number"))
    if group and unit == "ppm":
        file.wrong((*at, "value"), say("a limit that counts a group is a mass"), say('write for example "10 ug/m3"'))
    if unit == "mg/m3" and head.reference_temperature is None:
        file.wrong(
            ("pack",),
            say('"reference_temperature" is missing: some limits are in mg/m3'),
            say('write for example "25 degC"'),
        )
    averaging = file.need(table, "averaging", at, quantity("time"))
    duration, window = (file.read(table, key, at, quantity("time")) for key in ("peak_duration", "peak_window"))
    if kind == "peak" and "peak_duration" not in table:
        file.wrong(at, say('"peak_duration" is missing'), say('write how long the peak may last, for example "10 min"'))
    if kind != "peak" and not {"peak_duration", "peak_window"}.isdisjoint(table):
        file.wrong(at, say('"peak_duration" and "peak_window" belong to kind "peak" only'))
    begins, ends = (file.read(table, key, at, notation.day) for key in ("valid_from", "valid_until"))
    if (begins or date.min) > (ends or date.max):
        file.wrong((*at, "valid_until"), say("the limit ends before it begins"))
    words = file.words(table, ("list", "citation", "edition"), at)
    spare = file.spare(table, ("unverified", "remark"), at)
    skin = file.read(table, "skin", at, yes) or False
    if not (cas or group) or kind is None or compare is None or value is None or averaging is None:
        return None
    return Limit(
        cas=cas or "",
        list=words["list"],
        kind=cast(LimitKind, kind),
        value=value,
        unit=unit,
        written=_of_group(table["value"], group or ""),
        averaging=averaging,
        compare=cast(Compare, compare),
        citation=words["citation"],
        edition=words["edition"],
        jurisdiction=head.jurisdiction,
        pack=head.id,
        reference_temperature=head.reference_temperature or 298.15,
        unverified=spare["unverified"],
        peak_duration=duration,
        peak_window=window,
        skin=skin,
        remark=spare["remark"],
        valid_from=begins,
        valid_until=ends,
        as_group=group or "",
    )


def _of_group(value: str, group: str) -> str:
    """A limit as the law writes one that counts a group: "10 ug NCO/m3"."""
    mass, slash, volume = value.partition("/")
    return f"{mass} {group}{slash}{volume}" if group else value


def _threshold(file: DataFile, at: At, table: dict[str, Any], head: _Head) -> Threshold | None:
    file.keys(table, THRESHOLD_KEYS, at)
    words = file.words(table, ("name", "citation", "edition"), at)
    spare = file.spare(table, ("unverified", "remark"), at)
    compare = file.need(table, "compare", at, row_shapes.one_of(get_args(Compare)))
    averaging = file.read(table, "averaging", at, quantity("time"))
    pair = file.need(table, "value", at, _any_quantity)
    begins, ends = (file.read(table, key, at, notation.day) for key in ("valid_from", "valid_until"))
    if begins and ends and ends < begins:
        file.wrong((*at, "valid_until"), say("the threshold ends before it begins"))
    if pair is None or compare is None:
        return None
    return Threshold(
        name=words["name"],
        value=pair[0],
        unit=pair[1],
        compare=cast(Compare, compare),
        written=table["value"],
        citation=words["citation"],
        edition=words["edition"],
        jurisdiction=head.jurisdiction,
        pack=head.id,
        averaging=averaging,
        unverified=spare["unverified"],
        remark=spare["remark"],
        valid_from=begins,
        valid_until=ends,
    )


def _any_quantity(value: object) -> tuple[float, str]:
    """The SI value and unit of a threshold, whatever it measures."""
    text = with_points(sentence(value))
    for kind in units.KINDS.values():
        try:
            return units.read(text, kind.name), kind.base
        except units.UnitError:
            continue
    raise Miswritten(
        say('"{text}" is not a number with a unit we know', text=text), say('write for example "10 %" or "20 m3"')
    )


def limit_name(limit: Limit) -> str:
    """How a limit is named in a message."""
    return f"{limit.of} {limit.list} {limit.kind}"


def clashes(limits: Iterable[Limit]) -> list[tuple[Limit, Limit]]:
    """Pairs of the same substance, list and kind that are in force on the same day."""
    by_key: dict[tuple[str, str, str], list[Limit]] = {}
    found = []
    for limit in limits:
        same = by_key.setdefault((limit.of, limit.list, limit.kind), [])
        found += [(other, limit) for other in same if _overlap(other, limit)]
        same.append(limit)
    return found


def twice(thresholds: Sequence[Threshold]) -> list[str]:
    """The names of thresholds that have two values on one day."""
    pairs = combinations(thresholds, 2)
    return sorted({a.name for a, b in pairs if a.name == b.name and _overlap(a, b)})


def in_force(record: Limit | Threshold, on: date) -> bool:
    return (record.valid_from or date.min) <= on <= (record.valid_until or date.max)


def _overlap(a: Limit | Threshold, b: Limit | Threshold) -> bool:
    starts = max(a.valid_from or date.min, b.valid_from or date.min)
    return starts <= min(a.valid_until or date.max, b.valid_until or date.max)


def missing_packs(
    rules: Sequence[str], folder: Path, contributions: Sequence[tuple[str, Contribution]]
) -> dict[str, Problem]:
    """The entries that lead to no pack, and what is wrong with each."""
    known = {*shipped_packs(), *(p.id for _, c in contributions for p in c.packs)}
    wrong = {
        entry: say('no rules pack is called "{entry}", and there is no such file', entry=entry)
        for entry in rules
        if entry not in known and not (folder / entry).is_file()
    }
    return {e: Problem("shop.toml", 0, "[shop] rules", text, nearest(e, known)) for e, text in wrong.items()}


def shipped_packs() -> dict[str, Path]:
    """The packs that come with the program, by id."""
    return {path.stem: path for path in sorted((DATA / "rules").glob("*.toml"))}
