"""docs/files.md, made from the shapes of the files."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin

import safety
from safety import units
from safety.files import notation
from safety.files.shape_words import tables_of
from safety.files.shapes import JobFile, ProductFile, ShopFile
from safety.hosting import host
from safety.model import EVERY_ROW, Key, TableSchema
from safety.reference import data_shapes, declared_tables
from safety.reference.row_shapes import KINDS
from safety.reference.substance_files import PROPERTIES
from tests.pages.plugins import SHIPPED

_STARTER = Path(safety.__file__).parent / "data" / "new"

_HEAD = """\
# The files of a shop

This page is made by `python -m tests.pages`; do not edit it by hand.

A shop is a folder. `hazstep new DIR` writes one to start from. In it `hazstep new product`, `hazstep new job` and
`hazstep new place` write what their questions are answered with. `hazstep check` reads all of it and lists every mistake
with its file and line.

| File | Holds |
|---|---|
| `shop.toml` | the shop, its places, and the gloves, respirators, eye protection and waste containers it has |
| `products/*.toml` | one product each, as its safety data sheet describes it |
| `jobs/*.toml` | one job each, step by step |
| `rules/*.toml` | rules packs of your own, named in `shop.toml` |
| `substances/*.toml` | substances the program does not know yet, one each |

## How values are written

- A quantity is text: a number, a space and a unit, such as `"250 mL"`. A plain number where
  a unit is needed is a mistake. So is a share without `%`.
- A decimal comma is read where it cannot part thousands: `"0,84 g/mL"` is, `"1,234 g"` is asked back. Units may be spelt
  `ml`, `m³/h` or `m^3/hour`.
- Where a range may stand, so may what data sheets print: `"20-30 %"`, `"10 - <25 %"`, `"30 bis 60 %"`; for a share
  `"< 5 %"`, `"max. 5 %"` (from 0 %) and `"> 95 %"` (to 100 %); for a pressure `"< 1 kPa"`. `"ca. 12 %"` is asked back. The
  share of one part may be `"balance"`: what the others leave of 100 %.
- Where one value belongs and less is more dangerous, the low end is taken: 200 degC of `"> 200 degC"`, 38 degC of
  `"38-43 °C"`. So with flash and boiling points, lower explosive limits, viscosities and breakthrough times; `"< 23 degC"`
  is asked back there. Of a VOC content the high end is taken, and `"> 500 g/L"` asked back.
- A range is a list of two quantities, lower first: `["0.3 /hour", "2 /hour"]`. It is read as the 5th and the 95th
  percentile: 19 times in 20 the value is not below the first, and 19 times in 20 it is not above the second.
- An id has small letters a to z, digits and single hyphens. It becomes a file name.
- A date is `2026-03-02`; a date with a time is `2026-11-25T07:30:00`, by the clock on the wall, without a time zone.
- What a safety data sheet does not give is left out or written `"unknown"`. It is then unknown to every rule, and the
  pages say so. It is never taken as safe.
- Parts whose upper ends add up to less than 99 % leave a rest that nobody has named. The rest counts as unknown.
- What people read may have a second name: `names.es = "Limpiar"` beside `name = "Wipe down"`. A Spanish sheet then says
  it, and of a product also the name on its can. Other keys go on naming a step by its `name`.
- Files are UTF-8 and at most 1 MB. Each id is used once.
- The first line of a file may name its schema: `#:schema ../schemas/product.json` (or `job`, `rules`, `substance`,
  `sources`; in `shop.toml` it is `schemas/shop.json`). An editor with a TOML language server then completes keys and marks
  mistakes. `hazstep new DIR` writes the schemas into the shop. `hazstep check` finds more than they do.
"""

_WINDOWS = """\
A window is a limit on time: `start_within` must not be shorter than `dry_final` or `stand_at_least`, and
`recoat_within` must not be shorter than `start_within`. A coverage in litres needs the density.
"""

_AMOUNTS = """\
An amount by volume becomes a mass through the product's density; without a density the mass is unknown. Where `amount`
is left out, area times the product's `coverage` is taken. Both are for one coat. A job's `temperature` replaces that
of every place in the job; a step's own replaces both. A step without `air` is in the job's air where its place has
that state, or in the only state its place has.
"""


def page() -> str:
    """Return the whole page."""
    parts = [_HEAD, _units()]
    for shape, title, starter, remark in (
        (ShopFile, "shop.toml", "shop.toml", ""),
        (ProductFile, "products/*.toml", "products/example-solvent.toml", _WINDOWS),
        (JobFile, "jobs/*.toml", "jobs/example-cleaning.toml", _AMOUNTS),
    ):
        text = (_STARTER / starter).read_text(encoding="utf-8").rstrip()
        parts.append(f"## {title}\n\n```toml\n# {starter}\n{text}\n```\n")
        parts += [remark] if remark else []
        parts += list(_tables(shape))
    parts += [_PACK]
    for name, says, keys in (
        ("[pack]", "The pack itself. Written once.", data_shapes.PACK),
        ("[[limit]]", "What air may hold of a substance, or of a group of atoms.", data_shapes.LIMIT),
        ("[[threshold]]", "A number of a rule that a plugin asks for by its name.", data_shapes.THRESHOLD),
    ):
        parts += _keys_of(name, says, keys)
    parts += [_ROWS, *_pack_tables(), _SUBSTANCE, *_substances()]
    return "\n".join(parts)


_PACK = """\
## rules/*.toml

A rules pack is a file with a `[pack]` (`id`, `title`, `jurisdiction`, `edition`, and `replaces = true` where its rows may
stand in for tighter ones of other packs) and any number of `[[limit]]`, `[[threshold]]` and rows of the tables below.
`shop.toml` names it: `rules = ["us-federal", "rules/house.toml"]`.

"""

_ROWS = """\
### Tables of a rules pack

Rows of all packs add up, in whatever order they are named. Two rows of different packs are on the same thing where the keys
marked "same" agree. The one that is tighter then holds, and the sheet names both packs; where neither is, both hold. A row of
your own that is looser than one of a pack you did not write is a mistake, unless your pack says `replaces = true`. Every row
needs `citation` and `edition`, and may have `unverified` (why nobody should trust it yet), `remark`, and the first and last
day it holds, `valid_from` and `valid_until`. A thing may have several rows in a pack where no two hold on one day.
"""


_SUBSTANCE = """\
## substances/*.toml

A file `substances/<cas>.toml` in the shop's folder holds what the program does not know of a substance, or knows otherwise.
Every value names its source: a key of the program's own list, or of a `sources.toml` beside the file. Several values of a
property may stand, the one to use first.
"""


def _substances() -> Iterator[str]:
    values = ", ".join(f"`[[{name}]]` ({_data_kind(kind)})" for name, kind in PROPERTIES.items())
    for name, says, keys in (
        ("", "At the head of the file.", data_shapes.SUBSTANCE),
        ("hazards = {...}", "Bare statements.", data_shapes.HAZARDS),
        ("[composition]", "What it is made of.", data_shapes.COMPOSITION),
        ("[[classification]]", "A statement of a list, with its class. One table for each.", data_shapes.CLASS),
        ("limits = [{...}]", "Of a classification: by how much of it a mixture carries what.", data_shapes.BAND),
        ("unless = {...}", "Of a classification: what makes it fall away.", data_shapes.UNLESS),
        ("[[molar_mass]]", f"A value of a property: {values}.", data_shapes.VALUE),
        ("[name]", "In `sources.toml`: a source.", data_shapes.SOURCE),
    ):
        yield from _keys_of(name, says, keys)


def _keys_of(name: str, says: str, keys: Iterable[Key]) -> Iterator[str]:
    yield f"### `{name}`\n\n{says}\n" if name else f"{says}\n"
    yield "| Key | Write | Needed | What it is |\n|---|---|---|---|"
    for key in keys:
        kind = ", ".join(f'`"{word}"`' for word in key.one_of) or _data_kind(key.kind)
        yield f"| `{key.name}` | {kind} | {'yes' if key.needed else 'no'} | {_cell(key.says)} |"
    yield ""


def _data_kind(kind: str) -> str:
    if kind in data_shapes.OWN_KINDS:
        return data_shapes.OWN_KINDS[kind]
    return KINDS[kind].says if kind in KINDS else _name(kind)


def _pack_tables() -> Iterator[str]:
    """Every table that the program and our plugins declare, by name."""
    ours = [one for one in host.load().ask("contribute") if one[0] in SHIPPED]
    for name, schema in sorted(declared_tables(ours).items()):
        says = schema.says
        if schema.loosens:
            row = "A row" if schema.loosens == EVERY_ROW else f"A row with `{schema.loosens} = true`"
            says += f" {row} takes a duty away: in a pack of your own only with `replaces = true`."
        if not schema.used:
            says += " Kept for people; no rule looks at it, so a row of your own is a mistake."
        yield f"#### `[[{name}]]`\n\n{says}\n"
        yield "| Key | Write | Needed | Packs | What it is |\n|---|---|---|---|---|"
        for key in schema.keys:
            kind = ", ".join(f'`"{word}"`' for word in key.one_of) or (
                KINDS[key.kind].says if key.kind in KINDS else _name(key.kind)
            )
            others = [f"`{n}`" for names in schema.either if key.name in names for n in names if n != key.name]
            needed = "yes" if key.needed else f"this or {', '.join(others)}" if others else "no"
            yield f"| `{key.name}` | {kind} | {needed} | {_merged(schema, key.name)} | {_cell(key.says)} |"
        yield ""


def _merged(schema: TableSchema, key: str) -> str:
    """What a key is for where two packs meet."""
    words = {"lower": "lower is tighter", "higher": "higher is tighter", "first": "the first is the tightest",
             "yes": "`true` is tighter", "no": "`false` is tighter"}  # fmt: skip
    way = next((way for way in schema.ways if way.key == key), None)
    if way is not None:
        return words[way.tighter] + ("; without it tightest" if way.without else "")
    return "same" if key in schema.same else "must cover the other's" if key in schema.covers else ""


def _tables(shape: Any) -> Iterator[str]:
    for name, says, fields in tables_of(shape):
        if not fields:
            yield f"### `{name}`\n\n{says}\n"
            continue
        rows = [
            f"| `{key}` | {_kind(f)} | {_needed(f)} | {_example(f)} | {_cell(f.description)} |" for key, f in fields
        ]
        yield "\n".join(
            [
                f"### `{name}`",
                "",
                says,
                "",
                "| Key | Write | Needed | Example | What it is |",
                "|---|---|---|---|---|",
                *rows,
                "",
            ]
        )


def _cell(text: str | None) -> str:
    return (text or "").replace("|", "\\|")


def _example(field: Any) -> str:
    return f"`{_cell(str(field.examples[0]))}`" if field.examples else ""


def _needed(field: Any) -> str:
    if field.is_required():
        return "yes"
    default = field.get_default(call_default_factory=True)
    if default in (None, "", [], {}):
        return "no"
    if isinstance(default, bool):
        return f"no: {str(default).lower()}"
    if isinstance(default, float):
        return f"no: {units.show(default, 'time', 'h')}" if default else "no: 0"
    return "no: 0 %" if not isinstance(default, str) else f'no: "{default}"'


_BY_READER = {
    notation.text: "text",
    notation.telephone: "telephone number",
    notation.names: "text, or list of texts",
    notation.identifier: "id",
    notation.cas: "CAS number",
    notation.hazards: "list of H-codes",
    notation.day: "date",
    notation.day_or_none: "date",
    notation.day_or_moment: "date, or date and time",
    notation.moment: "date and time",
    notation.setting: "number or text",
}


def _kind(field: Any) -> str:
    """What may be written for a field, from its readers and its type."""
    return _by_reader(field.metadata) or _of_type(field.annotation)


def _by_reader(marks: Iterable[Any]) -> str:
    for mark in marks:
        reader = getattr(mark, "func", None)
        owner = getattr(reader, "__self__", None)
        if isinstance(owner, notation.Quantity):
            return _quantity(owner, getattr(reader, "__name__", ""))
        if reader in _BY_READER:
            return _BY_READER[reader]
    return ""


def _quantity(quantity: notation.Quantity, reader: str) -> str:
    text = " or ".join(_name(kind) for kind in quantity.kinds)
    if quantity.between:
        text += ", " + " or ".join(f"{low} to {high}" for low, high in quantity.between)
    if reader in ("span", "span_or_unknown", "amount", "amount_or_unknown", "ends"):
        text += ", or a range"
    if reader in ("number_or_none", "span_or_unknown", "amount_or_unknown"):
        text += ', or `"unknown"`'
    return text


def _name(kind: str) -> str:
    return {"fraction": "share", "air_share": "share of the air"}.get(kind, kind.replace("_", " "))


def _units() -> str:
    """The units of every kind a key uses, each kind once."""
    kinds = dict.fromkeys(kind for shape in (ShopFile, ProductFile, JobFile) for kind in _kinds_in(shape))
    rows = []
    for kind in kinds:
        names = [f"`{unit}`" for unit in units.KINDS[kind].units if unit != "1"]
        rows.append(f'| {_name(kind)} | {", ".join(names)} | `"{units.KINDS[kind].example}"` |')
    return "\n".join(["## Units", "", "| Kind | Units | Example |", "|---|---|---|", *rows, ""])


def _kinds_in(shape: Any) -> Iterator[str]:
    for _, _, fields in tables_of(shape):
        for _, field in fields:
            for mark in (
                *field.metadata,
                *(m for a in get_args(field.annotation) for m in getattr(a, "__metadata__", ())),
            ):
                owner = getattr(getattr(mark, "func", None), "__self__", None)
                if isinstance(owner, notation.Quantity):
                    yield from owner.kinds


def _of_type(kind: Any) -> str:
    origin, arguments = get_origin(kind), [a for a in get_args(kind) if a is not type(None)]
    if hasattr(kind, "__metadata__"):
        return _by_reader(kind.__metadata__) or _of_type(arguments[0])
    if origin is Literal:
        return ", ".join(f'`"{word}"`' for word in arguments if word)
    if origin in (Union, UnionType):
        return _of_type(arguments[0])
    if origin is list:
        return f"list of {_of_type(arguments[0])}"
    if origin is dict:
        return f"table: {_of_type(arguments[0])} = {_of_type(arguments[1])}"
    plain = {bool: "`true` or `false`", int: "whole number", str: "text", Any: "as the plugin says"}
    return plain.get(kind, "table")
