"""The tables of rules packs that this plugin reads, and the lists its packs keep for people."""

from __future__ import annotations

from typing import get_args

from safety.model import EVERY_ROW, SAID_BEFORE, Earlier, Key, Purpose, TableSchema, Way

_CAS = (Key("cas", "cas"), Key("name"))
_ASKED = (Key("id"), Key("under", needed=False, says="the question without which it does not arise"), Key("text"))

TABLES = (
    TableSchema("voc_exempt", "A substance that does not count as VOC.", _CAS, same=("cas",), loosens=EVERY_ROW),
    TableSchema(
        "hap",
        "Whether a substance is an organic hazardous air pollutant.",
        (*_CAS, Key("listed", "yes")),
        same=("cas",),
        ways=(Way("listed", "yes"),),
    ),
    TableSchema(
        "listing",
        "All numbers that a list holds: what is not among them, and of none of its groups, is known not to be listed.",
        (Key("kind", "word", one_of=("HAP",)), Key("numbers", "texts", says="CAS numbers")),
        same=("kind",),
    ),
    TableSchema(
        "listed_group",
        "A group on such a list, by what each of its members holds at least.",
        (
            Key("kind", "word", one_of=("HAP",)),
            Key("name"),
            Key("atoms", "weights", says="how many of each, such as { C = 3, O = 2 }"),
            Key("unsaturation", "whole", needed=False, says="rings and double bonds together, at least"),
        ),
        same=("kind", "name"),
    ),
    TableSchema("hap_carcinogen", "A pollutant that counts from the smaller share.", _CAS, same=("cas",)),
    TableSchema(
        "release_inventory",
        "Whether a substance is a toxic chemical of the release inventory, and with which others it is counted as one.",
        (*_CAS, Key("listed", "yes"), Key("group", needed=False)),
        same=("cas",),
        ways=(Way("listed", "yes"),),
    ),
    TableSchema(
        "counted_threshold",
        "A threshold of the log: what counts against it, and over which time.",
        (
            Key("id"),
            Key("title"),
            Key("threshold", says="its name among the thresholds"),
            Key("counts", says='"VOC", "HAP", "each HAP" ...'),
            Key("per", "word", one_of=("rolling 12 months", "year")),
            Key("flow", "word", one_of=("to the air", "used")),
        ),
        same=("id",),
    ),
    TableSchema(
        "coating_limit",
        "How much VOC a category of coating may hold.",
        (Key("id"), Key("title"), Key("limit", "density"), Key("printed"), Key("compare", "sign")),
        same=("id",),
        ways=(Way("limit", "lower", "compare"),),
    ),
    TableSchema(
        "exempt_operation",
        "Cleaning that the limits on cleaning leave out.",
        (Key("id"), Key("number", says="its number in the rule"), Key("text")),
        same=("id",),
        loosens=EVERY_ROW,
    ),
    TableSchema(
        "outside_operation",
        "Work that the rules on solvent do not reach.",
        (Key("id"), Key("text")),
        same=("id",),
        loosens=EVERY_ROW,
    ),
    TableSchema("open_question", "What a rule leaves open and a person must answer.", _ASKED, same=("id",)),
    TableSchema("housekeeping", "A duty at work that the log prints.", _ASKED, same=("id",)),
    TableSchema(
        "solvent_purpose",
        "Purposes of products that mean cleaning, or taking off a coating.",
        (Key("kind", "word", one_of=("cleaning", "removing")), Key("purposes", "words", one_of=get_args(Purpose))),
        same=("purposes",),
        ways=(Way("kind", "first"),),
        earlier=(Earlier("solvent_role", "words", "purposes", SAID_BEFORE),),
    ),
    TableSchema(
        "use_estimate",
        "How much a way of working takes with a product of a purpose: least, middle and most.",
        (Key("work"), Key("purpose", "word", one_of=get_args(Purpose)), Key("grams_per_m2", "numbers")),
        same=("work", "purpose"),
        ways=(Way("grams_per_m2", "higher"),),
        earlier=(Earlier("use_estimate", "role", "purpose", SAID_BEFORE),),
    ),
    TableSchema(
        "amount_spread",
        "How far an amount may be off, by how it is known.",
        (Key("basis"), Key("percent", "percent")),
        same=("basis",),
        ways=(Way("percent", "higher"),),
    ),
    TableSchema(
        "solvent_activity",
        "An activity with the consumption of a year from which it is in scope.",
        (Key("id"), Key("item", "whole"), Key("title"), Key("consumption", "mass"), Key("compare", "sign")),
        same=("id",),
        ways=(Way("consumption", "lower", "compare"),),
    ),
    TableSchema(
        "fugitive_limit",
        "Which share of its input an activity may lose, between two consumptions of a year.",
        (
            Key("activity"),
            Key("over", "mass"),
            Key("up_to", "mass", says='"0 t": without end'),
            Key("percent", "percent"),
            Key("compare", "sign"),
        ),
        same=("activity", "over", "up_to"),
        ways=(Way("percent", "lower", "compare"),),
    ),
    TableSchema(
        "emission_limit",
        "What an activity may hold in its waste gas, or emit in all, between two consumptions of a year.",
        (
            Key("activity"),
            Key("over", "mass"),
            Key("up_to", "mass", says='"0 t": without end'),
            Key("waste_gas", "concentration", needed=False, says="at standard conditions"),
            Key("carbon", "yes", needed=False, says="whether the limit of the waste gas goes by carbon"),
            Key("total", needed=False, says="what it may emit for each of what it makes"),
            Key("percent_of_input", "percent", needed=False, says="what it may emit in all, of its input"),
            Key("compare", "sign"),
        ),
        same=("activity", "over", "up_to"),
        ways=(Way("waste_gas", "lower", "compare"), Way("percent_of_input", "lower", "compare")),
    ),
    TableSchema(
        "reference_factor",
        "By what the solids of a year are multiplied in a reduction scheme.",
        (Key("activity"), Key("title"), Key("factor", "number")),
        same=("activity",),
    ),
    TableSchema(
        "target_addition",
        "What is added to the fugitive limit in a reduction scheme.",
        (Key("items", "wholes"), Key("lower_band_only", "yes"), Key("percent", "percent")),
        same=("items",),
    ),
    TableSchema(
        "solvent_plan",
        "A line of the solvent management plan.",
        (
            Key("code", "word", one_of=("I1", "I2", "O1", "O2", "O3", "O4", "O5", "O6", "O7", "O8", "O9")),
            Key("text"),
        ),
        same=("code",),
    ),
    TableSchema(
        "approved_composition",
        "A make-up of a cleaner that needs no measured vapour pressure.",
        (Key("id"), Key("text")),
        same=("id",),
    ),
    TableSchema(
        "solvent_record",
        "A record that a rule asks for.",
        (Key("id"), Key("text"), Key("period")),
        same=("id",),
    ),
    TableSchema(
        "major_source_voc",
        "The VOC of a year from which a site is a major source, by the area it lies in.",
        (Key("area"), Key("limit", "mass"), Key("short_tons", "number"), Key("compare", "sign")),
        same=("area",),
    ),
    TableSchema(
        "reportable_quantity",
        "The spilt amount of a substance that must be reported.",
        (*_CAS, Key("quantity", "mass"), Key("compare", "sign")),
        same=("cas",),
    ),
)
