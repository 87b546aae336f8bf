"""The tables of rules packs that this plugin reads."""

from __future__ import annotations

from safety.model import EVERY_ROW, Key, TableSchema, Way

TABLES = (
    TableSchema(
        "ignition-source",
        "What can light vapour, and the names by which a job or a shop calls it.",
        (
            Key("name"),
            Key("words", "texts", says="other names of it; a file must have one whole, capitals and hyphens apart"),
            Key("harmless", "yes", needed=False, says="it is no ignition source"),
            Key(
                "decomposes",
                "word",
                needed=False,
                one_of=("arc", "flame", "hot surface", "ultraviolet", "no"),
                says="by what it turns halogenated vapour into acid gas; without it nobody knows that it does not",
            ),
            Key("why", needed=False),
            Key("asked", needed=False, says="its name on each technician's sheet, which says whether it may be used"),
        ),
        same=("words",),
        ways=(Way("harmless", "no"), Way("decomposes", "first", without=True)),
        loosens="harmless",
    ),
    TableSchema(
        "held-liquid",
        "A liquid that a structure may hold, and from which temperature its vapour can burn inside.",
        (Key("cas", "cas"), Key("name"), Key("flammable_from", "temperature")),
        same=("cas",),
        ways=(Way("flammable_from", "lower"),),
    ),
    TableSchema(
        "no-safe-flash-point",
        "A substance whose liquid shows no flash point although its vapour can burn.",
        (Key("cas", "cas"), Key("name")),
        same=("cas",),
    ),
    TableSchema(
        "does-not-burn",
        "A liquid that does not burn.",
        (Key("cas", "cas"), Key("name")),
        same=("cas",),
        loosens=EVERY_ROW,
    ),
    TableSchema(
        "halogen",
        "An element whose vapours fall apart to poisons near arcs, flames and hot surfaces.",
        (Key("element", says="its sign"), Key("gases", says="what they fall apart to")),
        same=("element",),
    ),
    TableSchema(
        "fire-rule",
        "The text of a rule on fire that is printed beside an answer.",
        (Key("name", says="the answer it stands beside"), Key("text")),
        same=("name",),
    ),
)
