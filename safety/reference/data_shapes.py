"""The keys of a rules pack, a substance file and a list of sources, each with its sentence.

What reads these files takes the names from here; docs/files.md and the schemas that editors read are made from it. A
``kind`` is a word of ``row_shapes.KINDS`` or of ``units.KINDS``, or one of OWN_KINDS.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import get_args

from safety.formulas.exposure import GROUPS
from safety.model import ANTOINE, Compare, Key, LimitKind

_SIGNS = get_args(Compare)
_CITED = (
    Key("citation", says="Where it stands: the rule with its paragraph."),
    Key("edition", says="Of what year or date that text is."),
)
_UNCHECKED = Key("unverified", needed=False, says="Why nobody should trust it yet. Every sheet that uses it says so.")
_REMARK = Key("remark", needed=False, says="A word for whoever reads the file.")
_FOUND = (
    Key("source", says="Where it was read: a key of a list of sources."),
    Key("at", says="The place in the source: table, page, row."),
)
_DATED = (
    Key("valid_from", "day", needed=False, says="The first day it holds. Left out: it has always held."),
    Key("valid_until", "day", needed=False, says="The last day it holds. Left out: it still does."),
)

#: Kinds that no row of a table of a rules pack has, and what the page about the files calls them.
OWN_KINDS: Mapping[str, str] = MappingProxyType(
    {
        "": "as the property",
        "hazard": "H-code",
        "hazards": "list of H-codes, or `[]`",
        "class": "hazard class with its category",
        "factor": "number, 1 or more",
        "atoms": "table: group = whole number",
        "notes": "table: text = text",
        "formula": "formula",
        "bands": "list of tables",
        "unless": "table",
        "limit": "share of the air or concentration",
        "dose or vapour": "dose, or for vapour a concentration",
        "any quantity": "any quantity",
    }
)

# ---------------------------------------------------------------- rules/*.toml

PACK = (
    Key("id", says="The word by which shop.toml and sheets name the pack."),
    Key("title", says="What it is, as sheets print it."),
    Key("jurisdiction", says="Where it holds, and for whom."),
    Key("edition", says="Of what date the pack is."),
    Key("reference_temperature", "temperature", needed=False,
        says="At what temperature its limits in mass are meant. Needed beside one."),
    Key("replaces", "yes", needed=False, says="True where its rows may stand in for tighter ones of other packs."),
)  # fmt: skip
LIMIT = (
    Key("cas", "cas", needed=False, says="The substance. Needed where the limit is not on a group."),
    Key("as_group", "word", needed=False, one_of=tuple(GROUPS),
        says="The group of atoms that the limit counts, whatever substance it is in."),
    Key("list", says="The list it stands in, as sheets name it."),
    Key("kind", "word", one_of=get_args(LimitKind), says="Of what kind the limit is."),
    Key("value", "limit", says="How much the air may hold."),
    Key("averaging", "time", says="Over how long it is averaged. 0 s: never over it."),
    Key("compare", "word", one_of=_SIGNS, says="Whether reaching the value is too much already."),
    Key("peak_duration", "time", needed=False, says="How long a peak may last. Only for a peak."),
    Key("peak_window", "time", needed=False, says="In what time it may come once. Only for a peak."),
    Key("skin", "yes", needed=False, says="True where the list says that it goes through the skin."),
    *_CITED,
    *_DATED,
    _UNCHECKED,
    _REMARK,
)  # fmt: skip
THRESHOLD = (
    Key("name", says="The name by which a plugin asks for it."),
    Key("value", "any quantity", says="The number, with its unit."),
    Key("compare", "word", one_of=_SIGNS, says="From where on it is crossed."),
    Key("averaging", "time", needed=False, says="Over how long it is averaged."),
    *_CITED,
    *_DATED,
    _UNCHECKED,
    _REMARK,
)

# ---------------------------------------------------------------- substances/<cas>.toml

SUBSTANCE = (
    Key("cas", "cas", says="Its CAS number. The file is called by it."),
    Key("names", "texts", says="What it is called, the name that sheets print first."),
    Key("groups", "atoms", needed=False, says="Groups of atoms in one molecule that a limit counts."),
    Key("hazards", "hazards", needed=False, says="Bare statements, where there are no classification tables."),
    Key("notes", "notes", needed=False, says="Words for whoever reads the file."),
)
HAZARDS = (
    Key("codes", "hazards", says="The statements. [] where somebody looked and found none."),
    *_FOUND,
    _UNCHECKED,
)
COMPOSITION = (
    Key("formula", "formula", needed=False, says="Its formula. This, or elements."),
    Key("elements", "texts", needed=False, says="What a mixture of many is made of. This, or formula."),
    *_FOUND,
    _UNCHECKED,
)
CLASS = (
    Key("code", "hazard", says="The statement."),
    Key("class", "class", needed=False, says="Its class and category. Needed but for EUH codes."),
    Key("minimum", "yes", needed=False, says="True where the list gives the least severe it may be."),
    Key("limits", "bands", needed=False, says="Statements of mixtures, by how much of it they hold."),
    Key("m_factor", "factor", needed=False, says="How often it counts in water."),
    Key("ate", "dose or vapour", needed=False, says="The estimate of its acute toxicity."),
    Key("unless", "unless", needed=False, says="It falls away where so little of something is in it."),
    *_DATED,
    *_FOUND,
    _UNCHECKED,
    _REMARK,
)
BAND = (
    Key("code", "hazard", says="The statement that the mixture gets."),
    Key("class", "class", says="Its class and category."),
    Key("from", "fraction", says="From this share on."),
    Key("under", "fraction", needed=False, says="Below this share."),
)
UNLESS = (
    Key("cas", "cas", needed=False, says="The other substance; or extract."),
    Key("extract", needed=False, says='"DMSO": what it draws out of a mineral oil, by IP 346 (note L).'),
    Key("under", "fraction", says="The share below which it falls away."),
)
#: A value of a property. Its own kind is the property's.
VALUE = (
    Key("value", "", says="The value, with its unit."),
    Key("temperature", "temperature", needed=False, says="At what temperature. Needed for a vapour pressure."),
    Key("low", "temperature", needed=False, says=f"From where on the equation holds. Needed for {ANTOINE[0]}."),
    Key("high", "temperature", needed=False, says=f"Up to where the equation holds. Needed for {ANTOINE[0]}."),
    *_FOUND,
    _UNCHECKED,
    _REMARK,
)  # fmt: skip

SOURCE = (
    Key("title", says="What it is called."),
    Key("edition", says="Of what date or edition it is."),
    Key("publisher", needed=False, says="Who gave it out."),
    Key("link", needed=False, says="Where it can be found."),
    Key("terms", needed=False, says="On what terms it may be used."),
)


def names(keys: Iterable[Key]) -> tuple[str, ...]:
    return tuple(key.name for key in keys)
