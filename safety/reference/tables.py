"""How the rows of several rules packs become one table, and what is said beside a row.

The only place where packs meet over a table: nobody who reads one chooses between packs.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from itertools import product
from math import inf
from types import MappingProxyType
from typing import Any, Literal, NamedTuple

from safety.model import Beside, Key, Pack, TableSchema, Way
from safety.reference.row_shapes import BESIDE, DATED, NEEDED_ORIGIN, PACK, SPARE_ORIGIN, reader, together
from safety.words import say

#: The tables that the program itself reads, or that belong to more than one plugin.
CORE = (
    TableSchema(
        "certification",
        "What a sheet is in law once a person has filled it in and signed it.",
        (Key("text", says='as it goes on after "this document is"'),),
        same=("text",),
    ),
    TableSchema(
        "duty",
        "The law behind something that this program says wherever it is used; without a row it is said without one.",
        (
            Key(
                "id",
                "word",
                one_of=(
                    "hands",
                    "eyes",
                    "skin",
                    "respirator last",
                    "respirator program",
                    "cartridge by the clock",
                    "air not known",
                    "enclosed space",
                    "order of tests",
                    "sprayer's air",
                    "vapours together",
                    "VOC",
                    "HAP",
                    "extinguisher",
                ),
            ),
            Key("mark", needed=False, says="what the equipment must bear"),
        ),
        same=("id",),
    ),
    TableSchema(
        "no_limit",
        "A list that has no limit of this kind for a substance, and why.",
        (
            Key("cas", "cas"),
            Key("list", says="the list, as limits name it"),
            Key("kind", "word", one_of=("twa", "short-term", "ceiling", "peak", "idlh")),
            Key("reason"),
        ),
        same=("cas", "list", "kind"),
    ),
    TableSchema(
        "hydrocarbon_group",
        "What air may hold of a group of hydrocarbons. A petroleum fraction gets one limit from those of its groups.",
        (
            Key("list", says="the list, as limits name it"),
            Key("kind", "word", one_of=("aliphatic", "aromatic"), says="rings without double bonds are aliphatic"),
            Key("carbon_from", "whole"),
            Key("carbon_to", "whole"),
            Key("value", "concentration", says="over 8 hours"),
            Key("excursion", "number", needed=False, says="how often the value is allowed over 15 minutes"),
        ),
        same=("list", "kind", "carbon_from", "carbon_to"),
        ways=(Way("value", "lower"), Way("excursion", "lower")),
    ),
    TableSchema(
        "record_retention",
        "For how long records are kept.",
        (Key("id"), Key("years", "number"), Key("text")),
        same=("id",),
        ways=(Way("years", "higher"),),
    ),
    TableSchema(
        "mixture_basis",
        "How specific concentration limits stand to the generic ones, and what has to be said of the classes used.",
        (
            Key("specific_limits", "word", one_of=("lower", "instead"), says="only where lower, or in every case"),
            Key("text", "text or nothing"),
        ),
        same=("text",),
        ways=(Way("specific_limits", "first"),),
    ),
    TableSchema(
        "mixture_cutoff",
        "A statement that a mixture gets from the statements of its parts.",
        (
            Key("gives", says="the statement"),
            Key(
                "weights",
                "weights",
                says='how often a part with a statement, or one category of it ("H317 1A"), counts',
            ),
            Key("percent", "percent", says="the weighted sum of weight shares from which it is given"),
            Key("each", "yes", needed=False, says="each part alone: shares are not added up"),
            Key("specific_share", "number", needed=False, says="what counts of a specific limit below the percent"),
            Key("ingredient_from", "percent", needed=False, says="a part with less is not counted"),
            Key("viscosity_up_to", "viscosity", needed=False, says="the liquid must be as thin as that at 40 degC"),
        ),
        same=("gives", "weights"),
        covers=("specific_share", "viscosity_up_to"),
        ways=(
            Way("percent", "lower"),
            Way("each", "no", without=True),
            Way("ingredient_from", "lower", without=True),
        ),
    ),
    TableSchema(
        "sensitiser",
        "What makes lungs or skin allergic: a product that holds it can do so, whatever else its file says.",
        (
            Key("id"),
            Key("cas", "substances", needed=False),
            Key("group", needed=False, says='a group of parts, such as "NCO", for those no row names by number'),
            Key("always", "texts", says="statements at any share"),
            Key("gives", "texts", says="statements from the share on, of all listed parts together"),
            Key("percent", "percent", says="the share; a tenth of it harms who is allergic already"),
        ),
        either=(("cas", "group"),),
        same=("id",),
        ways=(Way("percent", "lower"),),
        covers=("cas", "group", "always", "gives"),
    ),
    TableSchema(
        "flammable_code",
        "The statement that goes with a category of flammable liquid.",
        (Key("category", "whole"), Key("code")),
        same=("category",),
    ),
    TableSchema(
        "acute_toxicity",
        "A statement of acute toxicity: the estimate for a part that carries it, and up to which a mixture gets it.",
        (
            Key("route", "word", one_of=("oral", "dermal", "vapour", "mist")),
            Key("code"),
            Key("category"),
            Key("point", "number", says="mg/kg, or mg in a litre of air"),
            Key("up_to", "number", says="the same"),
            Key("ingredient_from", "percent", needed=False, says="a part with less is not counted; 1 % if left out"),
        ),
        same=("route", "code", "category"),
        ways=(Way("point", "lower"), Way("up_to", "higher"), Way("ingredient_from", "lower")),
    ),
)


def twice(schema: TableSchema, rows: Sequence[Mapping[str, Any]]) -> Iterator[tuple[int, str]]:
    """Sound rows of one pack, each with its thing, on which an earlier row of it gives another figure for a day."""
    dated = not {key.name for key in schema.keys} & set(DATED)
    seen: dict[tuple[Any, ...], list[int]] = {}
    for number, row in enumerate(rows if schema.ways else ()):
        for thing in things(schema, row):
            before = seen.setdefault(thing, [])
            if any(at != number and (not dated or together(rows[at], row)) for at in before):
                yield number, named_thing(schema, thing)
            before.append(number)


class Looser(NamedTuple):
    """A row that a tighter one of another pack stands before."""

    pack: Pack
    thing: str
    says: str
    than: str
    of: Pack


class _Candidate(NamedTuple):
    """A row and whose it is."""

    row: Mapping[str, Any]
    pack: Pack


def merge(schema: TableSchema, packs: Iterable[Pack]) -> tuple[tuple[Mapping[str, Any], ...], tuple[Looser, ...]]:
    """The rows of a table over all packs, and those that are not used because they are looser.

    The order of the packs is nothing: rows come by the id of their pack, in the order of its file.
    """
    candidates = [
        _Candidate(row, p) for p in sorted(packs, key=lambda p: p.id) for row in p.tables.get(schema.name, ())
    ]
    if len({one.pack.id for one in candidates}) < 2:
        return tuple(_row(one, one.row, ()) for one in candidates), ()
    about: dict[tuple[Any, ...], list[int]] = defaultdict(list)
    for number, one in enumerate(candidates):
        for thing in things(schema, one.row):
            about[thing].append(number)
    gone: dict[int, set[tuple[Any, ...]]] = defaultdict(set)
    beside: dict[int, list[Beside]] = defaultdict(list)
    looser = []
    for thing, numbers in about.items():
        for number in numbers:
            one = candidates[number]
            before = [candidates[n] for n in numbers if _goes_before(schema, candidates[n], one)]
            if before:
                gone[number].add(thing)
            looser += [
                Looser(one.pack, named_thing(schema, thing), _figures(schema, one.row), _figures(schema, b.row), b.pack)
                for b in before
                if b.pack.replaces == one.pack.replaces
            ]
        left = [n for n in numbers if thing not in gone[n]]
        for at, number in enumerate(left):
            first = next((n for n in left[:at] if _alike(schema, candidates[n], candidates[number])), None)
            if first is not None:
                gone[number].add(thing)
                beside[first].append(_beside(schema, candidates[number], "the same"))
        for number in left:
            if thing not in gone[number]:
                beside[number] += _others(
                    schema, candidates[number], [candidates[n] for n in numbers], gone, thing, numbers
                )
    rows = []
    for number, one in enumerate(candidates):
        row = _without(schema, one.row, gone[number])
        if row is not None:
            unique = {id(other.row): other for other in beside[number]}
            rows.append(_row(one, row, tuple(unique.values())))
    return tuple(rows), tuple(looser)


def _others(
    schema: TableSchema,
    one: _Candidate,
    others: Sequence[_Candidate],
    gone: Mapping[int, set[tuple[Any, ...]]],
    thing: tuple[Any, ...],
    numbers: Sequence[int],
) -> Iterator[Beside]:
    """What other packs say on the thing of a row that holds, but for what says the same."""
    for number, other in zip(numbers, others, strict=True):
        if other.pack.id == one.pack.id:
            continue
        if _goes_before(schema, one, other):
            replaced = one.pack.replaces and not other.pack.replaces
            yield _beside(schema, other, "replaced" if replaced else "looser")
        elif thing not in gone[number]:
            yield _beside(schema, other, "as well")


def _goes_before(schema: TableSchema, one: _Candidate, other: _Candidate) -> bool:
    """Whether a row stands before one of another pack: it replaces it, or is the tighter."""
    if one.pack.id == other.pack.id:
        return False
    if one.pack.replaces != other.pack.replaces:
        return one.pack.replaces
    if not all(_covers(one.row.get(key), other.row.get(key)) for key in schema.covers):
        return False
    mine, its = ([rank(way, schema, row) for way in schema.ways] for row in (one.row, other.row))
    return all(a <= b for a, b in zip(mine, its, strict=True)) and mine != its


def _covers(mine: Any, its: Any) -> bool:
    """Whether a row concerns all that another does, by one key of both."""
    mine, its = _plain(mine), _plain(its)
    return set(mine) >= set(its) if isinstance(mine, tuple) and isinstance(its, tuple) else bool(mine == its)


def _alike(schema: TableSchema, one: _Candidate, other: _Candidate) -> bool:
    """Whether two rows of different packs on one thing say the same, wherever they have it from."""
    if one.pack.id == other.pack.id:
        return False
    lists = {key.name for key in schema.keys if key.name in schema.same and key.kind == "texts"}
    apart = {*lists, *NEEDED_ORIGIN, *SPARE_ORIGIN, *(set(DATED) - {key.name for key in schema.keys})}
    mine, its = ({k: v for k, v in row.items() if k not in apart} for row in (one.row, other.row))
    return mine == its


def rank(way: Way, schema: TableSchema, row: Mapping[str, Any]) -> tuple[float, bool]:
    """How loose a row is in one way: the lower, the tighter."""
    at_or = way.sign != "" and str(row.get(way.sign, "")).startswith("at or")
    if way.key not in row and way.tighter not in ("yes", "no"):
        tightest = 0.0 if way.tighter == "first" else -inf  # as tight as the first word
        return (tightest if way.without else inf), not at_or
    value = row.get(way.key)
    key = next(key for key in schema.keys if key.name == way.key)
    if way.tighter == "first":
        return float(key.one_of.index(str(value))), not at_or
    if way.tighter in ("yes", "no"):
        return float(bool(value) is not (way.tighter == "yes")), not at_or
    number = value.toordinal() if isinstance(value, date) else reader(key)(value)
    largest = max(number) if isinstance(number, tuple) else number
    return (largest if way.tighter == "lower" else -largest), not at_or


def things(schema: TableSchema, row: Mapping[str, Any]) -> list[tuple[Any, ...]]:
    """What a row speaks of: one thing for each element of a list of texts among its keys."""
    kinds = {key.name: key.kind for key in schema.keys}
    parts = []
    for name in schema.same:
        value = row.get(name)
        parts.append([_plain(one) for one in value] if kinds[name] == "texts" and value else [_plain(value)])
    return [tuple(one) for one in product(*parts)]


def named_thing(schema: TableSchema, thing: tuple[Any, ...]) -> str:
    """A thing as a message names it: "restricted 75-09-2"."""
    words = [" ".join(f"{a} {b:g}" for a, b in p) if isinstance(p, tuple) else str(p) for p in thing if p is not None]
    return " ".join((schema.name, *words))


def _plain(value: Any) -> Any:
    """A value by which two rows are compared: the case of letters and spaces are nothing."""
    if isinstance(value, str):
        return " ".join(value.casefold().split())
    if isinstance(value, Mapping):
        return tuple(sorted(value.items()))
    return tuple(value) if isinstance(value, (list, tuple)) else value


def _without(schema: TableSchema, row: Mapping[str, Any], gone: set[tuple[Any, ...]]) -> Mapping[str, Any] | None:
    """A row less what it says on things that other rows stand before it for; None where nothing is left."""
    if not gone:
        return row
    lists = [key.name for key in schema.keys if key.name in schema.same and key.kind == "texts"]
    if len(gone) >= len(things(schema, row)) or not lists:
        return None
    name, at = lists[0], schema.same.index(lists[0])
    left = [one for one in row[name] if _plain(one) not in {thing[at] for thing in gone}]
    return {**row, name: left}


def _beside(schema: TableSchema, one: _Candidate, how: Literal["looser", "the same", "as well", "replaced"]) -> Beside:
    return Beside(one.pack.id, one.row, _figures(schema, one.row), how)


def _row(one: _Candidate, row: Mapping[str, Any], beside: tuple[Beside, ...]) -> Mapping[str, Any]:
    return MappingProxyType({**row, PACK: one.pack.id, BESIDE: beside})


def _figures(schema: TableSchema, row: Mapping[str, Any]) -> str:
    """The figures of a row that decide which is the tighter."""
    keys = [way.key for way in schema.ways] or [key.name for key in schema.keys if key.name not in schema.same]
    return ", ".join(_shown(row[key]) for key in keys if key in row)


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return say("yes") if value else say("no")
    if isinstance(value, (list, tuple)):
        return " / ".join(map(_shown, value))
    return f"{value:g}" if isinstance(value, float) else str(value)


def said_by(row: Mapping[str, Any]) -> tuple[str, ...]:
    """The ids of the packs that say what a merged row says."""
    return (row[PACK], *(other.pack for other in row.get(BESIDE, ()) if other.how == "the same"))


def disputed(row: Mapping[str, Any]) -> bool:
    """Whether another pack says otherwise on the thing of a merged row."""
    return any(other.how != "the same" for other in row.get(BESIDE, ()))


def beside(row: Mapping[str, Any]) -> str:
    """What other packs say on the thing of a merged row, to stand behind its citation; "" where none does."""
    return "; ".join(dict.fromkeys(map(_said, row.get(BESIDE, ()))))


def _said(other: Beside) -> str:
    if other.how == "looser":
        return say("pack {pack} says {figures}: looser, not used", pack=other.pack, figures=other.says)
    if other.how == "replaced":
        return say("pack {pack} says {figures}: replaced", pack=other.pack, figures=other.says)
    if other.how == "the same":
        return say("pack {pack} says the same", pack=other.pack)
    return say("pack {pack} has a rule of its own on it, which holds as well", pack=other.pack)
