"""The rows of a table of a rules pack: whether they are what its schema says; and whether the schema itself holds."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from math import isfinite
from types import MappingProxyType
from typing import Any, NamedTuple, get_args

from safety import units
from safety.files import notation
from safety.files.notation import Miswritten, nearest
from safety.model import EVERY_ROW, Compare, Earlier, Key, TableSchema
from safety.reference.data_files import quantity, sentence, yes
from safety.words import say

#: Keys that every row of every table has or may have: where it comes from. They decide nothing.
NEEDED_ORIGIN, SPARE_ORIGIN = ("citation", "edition"), ("unverified", "remark")
#: Keys that a row of any table may have: the first and the last day it holds. A table that declares them reads them
#: itself, on days before and after as well; of any other only the rows in force on the day are there.
DATED = ("valid_from", "valid_until")
#: Added to a merged row: the id of its pack, and what other packs say on the same thing (``Beside``).
PACK, BESIDE = "pack", "beside"
#: Names of lists in a pack that are no tables of this kind.
RECORDS = ("limit", "threshold")


# ---------------------------------------------------------------- kinds of keys


class Kind(NamedTuple):
    """How a kind of key is read, what the page on the files calls it, and an example of it."""

    read: Callable[[Any], Any]
    says: str
    example: str


def _may_be_empty(value: object) -> str:
    return "" if value == "" else sentence(value)


def _texts(value: object) -> tuple[str, ...]:
    if not isinstance(value, list):
        raise Miswritten(say("this must be a list of texts"), say('write for example ["one", "two"]'))
    return tuple(sentence(one) for one in value)


def _some_texts(value: object) -> tuple[str, ...]:
    found = _texts(value)
    if not found:
        raise Miswritten(say("the list is empty"), say("write at least one text"))
    return found


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not isfinite(value):
        raise Miswritten(say("this is not a plain number"), say("write it without quotes and without a unit"))
    return float(value)


def _percent(value: object) -> float:
    number = _number(value)
    if not 0 <= number <= 100:
        raise Miswritten(say("{value} is not from 0 to 100", value=number), say("write the percent as a plain number"))
    return number


def _whole(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise Miswritten(say("this is not a whole number"), say("write it without quotes"))
    return value


def _listed(read: Callable[[Any], Any]) -> Callable[[object], tuple[Any, ...]]:
    def each(value: object) -> tuple[Any, ...]:
        if not isinstance(value, list):
            raise Miswritten(say("this must be a list of numbers"), say("write for example [1, 2]"))
        return tuple(read(one) for one in value)

    return each


def _listed_substances(value: object) -> tuple[str, ...]:
    return tuple(map(notation.cas, _some_texts(value)))


def _weights(value: object) -> Mapping[str, float]:
    if not isinstance(value, Mapping) or not value:
        raise Miswritten(say("this must be a table of numbers"), say("write for example {{H314 = 10, H315 = 1}}"))
    return {sentence(key): _number(number) for key, number in value.items()}


def one_of(words: tuple[str, ...]) -> Callable[[object], str]:
    """A reader of one word out of several."""

    def read(value: object) -> str:
        if value in words:
            return str(value)
        raise Miswritten(say('"{value}" is not known here', value=value), nearest(value, words))

    return read


KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        "text": Kind(sentence, "text", '"..."'),
        "text or nothing": Kind(_may_be_empty, 'text, or `""`', '""'),
        "texts": Kind(_some_texts, "list of texts", '["...", "..."]'),
        "texts or none": Kind(_texts, "list of texts, or `[]`", "[]"),
        "word": Kind(sentence, "text", '"..."'),
        "words": Kind(_some_texts, "list of texts", '["...", "..."]'),
        "sign": Kind(one_of(get_args(Compare)), "comparison sign", '"at or over"'),
        "yes": Kind(yes, "`true` or `false`", "true"),
        "number": Kind(_number, "number", "1.5"),
        "percent": Kind(_percent, "number, 0 to 100", "0.1"),
        "whole": Kind(_whole, "whole number", "3"),
        "numbers": Kind(_listed(_number), "list of numbers", "[100, 150, 200]"),
        "wholes": Kind(_listed(_whole), "list of whole numbers", "[1, 2]"),
        "weights": Kind(_weights, "table: text = number", "{H314 = 10, H315 = 1}"),
        "cas": Kind(notation.cas, "CAS number", '"108-88-3"'),
        "substances": Kind(_listed_substances, "list of CAS numbers", '["108-88-3"]'),
        "day": Kind(notation.day, "date", "2026-03-02"),
    }
)


def reader(key: Key) -> Callable[[Any], Any]:
    """What reads a key's value. Raises KeyError for a kind that does not exist."""
    if key.one_of:
        return _listed(one_of(key.one_of)) if key.kind == "words" else one_of(key.one_of)
    if key.kind in KINDS:
        return KINDS[key.kind].read
    units.KINDS[key.kind]
    return _as_it_stands(quantity(key.kind))


def for_example(key: Key) -> str:
    """What to write where a key is missing."""
    if key.one_of:
        example = f'"{key.one_of[0]}"'
    else:
        example = KINDS[key.kind].example if key.kind in KINDS else f'"{units.KINDS[key.kind].example}"'
    return say("write for example {key} = {example}", key=key.name, example=example)


def _as_it_stands(read: Callable[[Any], float]) -> Callable[[Any], float]:
    """A reader of a quantity that its table's reader reads once more from the text, by ``units`` alone."""

    def plainly(value: object) -> float:
        number = read(value)
        if isinstance(value, str) and notation.with_points(value) != value:
            wrong = say('"{value}" has a comma in the number', value=value)
            raise Miswritten(wrong, say("write a point before decimals and nothing between thousands"))
        return number

    return plainly


def fault(schema: TableSchema) -> str:
    """What is wrong with a declaration itself, or ""."""
    keys = {key.name: key for key in schema.keys}
    if not schema.name.strip() or schema.name in ("pack", *RECORDS):
        return say('a table cannot be called "{name}"', name=schema.name)
    taken = {*NEEDED_ORIGIN, *SPARE_ORIGIN, PACK, BESIDE} & set(keys)
    if taken or len(keys) != len(schema.keys):
        again = ", ".join(sorted(taken)) or say("one of its own")
        return say('the table "{name}" declares a key that is there already: {key}', name=schema.name, key=again)
    for key in schema.keys:
        if key.kind not in KINDS and key.kind not in units.KINDS:
            near = nearest(key.kind, (*KINDS, *units.KINDS))
            return say('the table "{name}": no kind of key is called "{kind}"; {near}', name=schema.name, kind=key.kind,
                       near=near)  # fmt: skip
    loosens = () if schema.loosens in ("", EVERY_ROW) else (schema.loosens,)
    if [key.kind for key in schema.keys if key.name in schema.same].count("texts") > 1:
        return say('the table "{name}" goes by two lists of texts', name=schema.name)
    used = (
        *(name for names in schema.either for name in names),
        *schema.same,
        *schema.covers,
        *(way.key for way in schema.ways),
        *(way.sign for way in schema.ways if way.sign),
        *loosens,
    )
    for name in used:
        if name not in keys:
            return say('the table "{name}" goes by a key "{key}" that it does not declare', name=schema.name, key=name)
    return ""


# ---------------------------------------------------------------- one pack


class Wrong(NamedTuple):
    """A mistake in the rows of a table: the row from 0, and its key, or ""."""

    row: int
    key: str
    wrong: str
    write: str


def mistakes(schema: TableSchema, rows: Sequence[Mapping[str, Any]]) -> Iterator[Wrong]:
    """Every mistake in the rows that one pack gives a table."""
    origin = (*(Key(name) for name in NEEDED_ORIGIN), *(Key(name, needed=False) for name in SPARE_ORIGIN))
    dated = (Key(name, "day", needed=False) for name in DATED)
    keys = {key.name: key for key in (*dated, *schema.keys, *origin)}
    readers = {name: reader(key) for name, key in keys.items()}
    for number, row in enumerate(rows):
        old = {one.key: one for one in schema.earlier if one.table == schema.name and one.key in row}
        for key in row:
            if key in old:
                yield _renamed(number, row, old[key], keys, table="")
            elif key not in readers:
                yield Wrong(number, key, say('unknown key "{key}"', key=key), nearest(key, readers))
        for names in schema.either:
            if not set(names) & set(row):
                listed = say(" or ").join(f'"{name}"' for name in names)
                yield Wrong(number, "", say("{keys} is missing", keys=listed), for_example(keys[names[0]]))
        for name, read in readers.items():
            if name not in row:
                if keys[name].needed and name not in {one.now for one in old.values()}:
                    yield Wrong(number, "", say('"{key}" is missing', key=name), for_example(keys[name]))
                continue
            try:
                read(row[name])
            except (Miswritten, units.UnitError) as error:
                yield Wrong(number, name, error.wrong, error.write)
        if never(row):
            yield Wrong(number, "valid_until", say("the row ends before it begins"), say("put the two days right"))


def days(row: Mapping[str, Any]) -> tuple[date, date]:
    """The first and the last day a row holds; what is no day is a mistake of its own."""
    first, last = (row.get(name) for name in DATED)
    return (first if isinstance(first, date) else date.min, last if isinstance(last, date) else date.max)


def never(row: Mapping[str, Any]) -> bool:
    first, last = days(row)
    return last < first


def together(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Whether two rows hold on one day."""
    (a, b), (c, d) = days(one), days(other)
    return max(a, c) <= min(b, d)


def on(schema: TableSchema, rows: tuple[Mapping[str, Any], ...], day: date) -> tuple[Mapping[str, Any], ...]:
    """The rows of a table that hold on a day: the very same ones where none has an end or a beginning."""
    if {key.name for key in schema.keys} & set(DATED) or not any(set(DATED) & set(row) for row in rows):
        return rows
    return tuple(row for row in rows if days(row)[0] <= day <= days(row)[1])


def own_mistakes(schema: TableSchema, rows: Sequence[Mapping[str, Any]], pack: str, replaces: bool) -> Iterator[Wrong]:
    """What a sound row may not do in a pack that a shop wrote."""
    if not schema.used:
        wrong = say("no rule looks at this table: a row in it would change nothing")
        for number, row in enumerate(rows if schema.instead else rows[:1]):
            own = {key.name: str(row.get(key.name, "")) for key in schema.keys}
            write = say(schema.instead, **own) if schema.instead else say("take it out")
            yield Wrong(number, "", wrong, write)
    for number, row in enumerate(rows):
        if not replaces and schema.loosens and (schema.loosens == EVERY_ROW or row.get(schema.loosens) is True):
            yield Wrong(number, "", say("this row takes a duty away"),
                        say('if that is meant, write replaces = true in the [pack] of "{id}"', id=pack))  # fmt: skip


def earlier(name: str, rows: Sequence[Mapping[str, Any]], declared: Mapping[str, TableSchema]) -> Iterator[Wrong]:
    """For each row of a table that has another name now: what to write in its place."""
    for schema in declared.values():
        keys = {key.name: key for key in schema.keys}
        for one in schema.earlier:
            if one.table == name != schema.name:
                for number, row in enumerate(rows):
                    yield _renamed(number, row, one, keys, table=schema.name)


def _renamed(row: int, said: Mapping[str, Any], one: Earlier, keys: Mapping[str, Key], table: str) -> Wrong:
    """That a key has another name now, and what to write for what one row says with it."""
    own = said.get(one.key, "")
    words = own if isinstance(own, list) else [own]
    known = dict(one.words)
    found = [known.get(str(word).casefold().strip(), "") for word in words]
    new, many = dict.fromkeys(word for word in found if word), keys[one.now].kind.endswith("s")
    value = json.dumps([*new] if many else next(iter(new), ""), ensure_ascii=False)
    if table:
        wrong = say('the table "{old}" is "{new}" now, and a key takes the place of words', old=one.table, new=table)
        write = say("write [[{table}]] with {key} = {value}", table=table, key=one.now, value=value)
    else:
        wrong = say('the key "{new}" takes the place of words in "{old}"', old=one.key, new=one.now)
        write = say("write {key} = {value}", key=one.now, value=value)
    unread = [str(word) for word, meant in zip(words, found, strict=True) if not meant]
    if unread:
        listed = ", ".join(f'"{word}"' for word in unread)
        near = nearest(unread[0], keys[one.now].one_of)
        write = say("{write}; for {words} {near}", write=write, words=listed, near=near) if new else near
    return Wrong(row, "" if table else one.key, wrong, write)


def unknown(name: str, declared: Iterable[str]) -> tuple[str, str]:
    """What is wrong with a table nobody declares, and what may be meant."""
    return say('no table is called "{name}"', name=name), nearest(name, (*declared, *RECORDS))


def undeclared(name: str) -> str:
    """What a plugin has to write so that a table exists."""
    return say(
        'declare the table "{name}" in the contribute() of the plugin that reads it: '
        'Contribution(tables=(TableSchema("{name}", ...),))',
        name=name,
    )
