"""The tables of rules packs that this plugin reads, and the lists its packs keep for people."""

from __future__ import annotations

from typing import get_args

from safety.model import EVERY_ROW, SAID_BEFORE, Earlier, Key, Purpose, TableSchema, Way
from safety.words import message

#: The forms that a determination may be about.
FORMS = ("free-liquid", "wet-cloths", "scrapings", "tools-and-gloves", "empty-containers", "expired-product")
_TEXT = (Key("id"), Key("text"))
_CAS = (Key("cas", "cas"), Key("name"))
_PURPOSES = (Key("purposes", "words", one_of=get_args(Purpose)),)
_SHIPPED = (
    Key("un", says="UN number"),
    Key("name", says="proper shipping name"),
    Key("specific", "yes", needed=False, says="the name says what it is: no technical names follow it in brackets"),
    Key("class"),
    Key("packing_groups", "texts or none"),
)

TABLES = (
    TableSchema(
        "ingredient_purpose",
        "Purposes of products whose solvent is an ingredient, and so no spent solvent.",
        _PURPOSES,
        same=("purposes",),
        loosens=EVERY_ROW,
        earlier=(Earlier("ingredient_role", "words", "purposes", SAID_BEFORE),),
    ),
    TableSchema(
        "softening_purpose",
        "Purposes of products that soften a coating or an adhesive: what they leave is scraped off.",
        _PURPOSES,
        same=("purposes",),
        earlier=(Earlier("softening_role", "words", "purposes", SAID_BEFORE),),
    ),
    TableSchema(
        "waste_form",
        "Words that meant a form of waste to an earlier version. Files say the form in a key of its own now.",
        (Key("form"), Key("words", "texts")),
        same=("words",),
        used=False,
        instead=message(
            'take it out, and write form = "{form}" beside what lies about in a job, and '
            'accepts = ["{form}"] beside the stream of a container'
        ),
    ),
    TableSchema(
        "generator_category",
        "A category of generator: for how many days and how much it may keep.",
        (
            Key("id", "word", one_of=("LQG", "SQG", "VSQG")),
            Key("title"),
            Key("days", "text or nothing", says="the threshold with its days"),
            Key("on_site", "text or nothing", says="the threshold with the most it may have on site"),
            Key("manifest", "yes"),
        ),
        same=("id",),
    ),
    TableSchema("counted", "What counts towards the category.", _TEXT, same=("id",)),
    TableSchema("not_counted", "What does not count towards it.", _TEXT, same=("id",), loosens=EVERY_ROW),
    TableSchema(
        "spent_solvent",
        "A solvent whose waste is listed once it is spent.",
        (*_CAS, Key("codes", "texts")),
        same=("cas", "codes"),
    ),
    TableSchema(
        "spent_solvent_code",
        "A code of spent solvent.",
        (Key("code"), Key("hazard", says='letters, such as "I,T"'), Key("text")),
        same=("code",),
    ),
    TableSchema("spent_solvent_scope", "When a solvent is not a spent one.", _TEXT, same=("id",)),
    TableSchema(
        "toxicity",
        "How much of a substance the leaching test may find.",
        (Key("code"), *_CAS, Key("limit", "concentration"), Key("compare", "sign")),
        same=("cas",),
        ways=(Way("limit", "lower", "compare"),),
    ),
    TableSchema(
        "toxicity_source",
        "A substance that holds one the leaching test looks for.",
        (*_CAS, Key("holds", "cas"), Key("share", "number", says="weight share of it, 0 to 1")),
        same=("cas", "holds"),
        ways=(Way("share", "higher"),),
    ),
    TableSchema(
        "unused_product",
        "The code of a chemical that is thrown away unused.",
        (*_CAS, Key("code")),
        same=("cas", "code"),
    ),
    TableSchema(
        "wipes_exclusion",
        "A kind of wipes that the rules on waste leave out.",
        (Key("kind"), Key("status"), Key("label")),
        same=("kind",),
        loosens=EVERY_ROW,
    ),
    TableSchema(
        "wipes_condition",
        "A condition of that exclusion.",
        (Key("kind"), *_TEXT),
        same=("kind", "id"),
    ),
    TableSchema(
        "wipes_barred", "A substance that bars a kind of wipes from it.", (Key("kind"), *_CAS), same=("kind", "cas")
    ),
    TableSchema(
        "wipes_state",
        "Whether the exclusion holds here: not where one pack says that it was not adopted.",
        (Key("text", needed=False), Key("adopted", "yes", needed=False)),
        same=("text", "adopted"),
    ),
    TableSchema("empty_container", "When a container counts as empty.", _TEXT, same=("id",)),
    TableSchema(
        "label_words",
        "What must stand on a container.",
        (Key("kind"), Key("words", "texts"), Key("also"), Key("date", "yes")),
        same=("kind",),
    ),
    TableSchema(
        "incompatible",
        "Two traits of waste that may not meet.",
        (Key("one"), Key("other"), Key("text")),
        same=("one", "other"),
    ),
    TableSchema(
        "acid_or_alkali",
        "A substance that is an acid or an alkali, whatever hazards its data name.",
        (*_CAS, Key("is", "word", one_of=("acid", "alkali"))),
        same=("cas", "is"),
    ),
    TableSchema(
        "shipping",
        "The entry of the transport rules for a stream of waste.",
        (Key("stream"), *_SHIPPED),
        same=("stream",),
    ),
    TableSchema(
        "shipping_neat",
        "The entry for one liquid by itself.",
        (Key("cas", "cas"), *_SHIPPED),
        same=("cas",),
    ),
    TableSchema("shipping_order", "In which order a description is written.", (Key("text"),), same=("text",)),
    TableSchema(
        "waste_reportable_quantity",
        "From which amount in one package its paper carries RQ.",
        (Key("code"), Key("quantity", "mass"), Key("compare", "sign")),
        same=("code",),
        ways=(Way("quantity", "lower", "compare"),),
    ),
    TableSchema(
        "list_of_waste",
        "An entry of the List of Waste, and the streams it may fit.",
        (
            Key("code"),
            Key("hazardous", "yes"),
            Key("mirror", "text or nothing", says="the code it is parted from by the hazardous properties"),
            Key("title"),
            Key("streams", "texts"),
        ),
        same=("code", "streams"),
    ),
    TableSchema(
        "waste_process",
        "The stream of the List of Waste that a product of a purpose belongs to, in a form it leaves.",
        (
            Key("purposes", "words", one_of=get_args(Purpose)),
            Key("forms", "texts"),
            Key("stream"),
            Key(
                "aqueous",
                "yes",
                needed=False,
                says="`true`: only of a product of at least half water; `false`: of less",
            ),
        ),
        same=("purposes", "forms", "stream"),
    ),
    TableSchema("gas_oil", "A fuel for which HP 3 reaches up to a higher flash point.", _CAS, same=("cas",)),
    TableSchema(
        "waste_determination",
        "What a laboratory found, or a person decided, that a product is as waste. It overrules what the data say.",
        (
            Key("product", says="its id"),
            Key("form", "word", needed=False, one_of=FORMS, says="left out: every form"),
            Key("rules", "word", one_of=("US", "EU")),
            Key("codes", "texts or none", says="`[]`: not hazardous, and no code"),
            Key("ground", "word", one_of=("laboratory", "decision")),
            Key("name", says="who found or decided it; the report and its date are the citation"),
        ),
        same=("product", "form", "rules"),
    ),
    TableSchema(
        "hazardous_property",
        "The share of parts with a statement from which a waste has a hazardous property.",
        (
            Key("property"),
            Key("title"),
            Key("weights", "weights"),
            Key("limit_percent", "percent"),
            Key("cut_off_percent", "percent", says="a part with less is not counted"),
            Key("cut_offs_percent", "weights", needed=False, says="where it is not the same for all"),
            Key("how", "word", one_of=("sum", "single")),
            Key("compare", "sign"),
        ),
        same=("property", "weights"),
        covers=("cut_offs_percent",),
        ways=(Way("limit_percent", "lower", "compare"), Way("cut_off_percent", "lower"), Way("how", "first")),
    ),
    TableSchema(
        "management_method",
        "The codes of management methods that a fate of waste may have in a report.",
        (Key("fate", "word", one_of=("recovered", "treated", "disposed")), Key("codes")),
        same=("fate",),
    ),
    # a list kept for people
    TableSchema(
        "wipes_are",
        "What is a wipe, and what is none.",
        (Key("wipe", "yes"), Key("items", "texts")),
        same=("wipe",),
        used=False,
    ),
)
