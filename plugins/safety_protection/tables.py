"""The tables of rules packs that this plugin reads."""

from __future__ import annotations

from safety.model import EVERY_ROW, Key, TableSchema, Way

#: Whom a rule on respirators concerns: one substance, or all of a group.
_OF = (
    Key("cas", "cas", needed=False),
    Key("group", needed=False, says='a group of a substance file, such as "NCO"; in place of "cas"'),
)

TABLES = (
    TableSchema(
        "protection_factor",
        "By how much a respirator of a class lowers what its wearer breathes.",
        (
            Key("kind"),
            Key("facepiece"),
            Key("mode", "text or nothing", says="how the air is supplied; empty for a cartridge"),
            Key("factor", "number"),
        ),
        same=("kind", "facepiece", "mode"),
        ways=(Way("factor", "lower"),),
    ),
    TableSchema(
        "danger_device",
        "A device for air that is dangerous to life. A device must be one of every pack that names some.",
        (Key("text"),),
        same=("text",),
        loosens=EVERY_ROW,
    ),
    TableSchema(
        "cartridge",
        "A type of cartridge: its letters and colour, and against what it may be used.",
        (
            Key("letter"),
            Key("colour"),
            Key("names", "texts", says="how a stock list may name it"),
            Key("holds", says='what it holds back, such as "organic"'),
            Key("up_to_ppm", "number", needed=False, says="the most vapour it may be used in"),
            Key("particles", "yes", needed=False, says="it holds mist and dust as well"),
            Key("single_use", "yes", needed=False, says="it may not be used again"),
        ),
        same=("names",),
        covers=("holds",),
        ways=(Way("up_to_ppm", "lower"), Way("particles", "no"), Way("single_use", "yes")),
    ),
    TableSchema(
        "spray_needs_particles",
        "Whether a mask against spray must hold mist as well as vapour.",
        (Key("needed", "yes"),),
        ways=(Way("needed", "yes"),),
    ),
    TableSchema(
        "device_bar",
        "Respirators that a law bars where a substance is in the air. Every row holds: one more can only bar more.",
        (
            *_OF,
            Key("from_ppm", "number", needed=False, says="from this level on"),
            Key("over_ppm", "number", needed=False, says="over this level"),
            Key("kinds", "texts", needed=False, says="only these kinds of respirator"),
            Key("facepieces", "texts", needed=False, says="only with these facepieces"),
            Key("unless_holds", "texts", needed=False, says="not with a cartridge that holds one of these"),
            Key("unless_schedule", "yes", needed=False, says="not where the shop has a written change schedule"),
            Key("text"),
        ),
        same=("cas", "group", "text"),
        either=(("cas", "group"),),
    ),
    TableSchema(
        "cartridge_change",
        "How long a cartridge may stay on where a substance is in the air: hours, or a shift.",
        (
            *_OF,
            Key("over_ppm", "number", needed=False, says="over this level"),
            Key("hours", "number", needed=False),
            Key("shift", "yes", needed=False),
        ),
        same=("cas", "group", "over_ppm"),
        either=(("cas", "group"), ("hours", "shift")),
    ),
    TableSchema(
        "restricted",
        "A law that the use of a substance stands under: whom it concerns, from what share and day, and what it asks.",
        (
            Key("id", says="of the law; the question of the [[answer]] that allows the use"),
            Key("cas", "substances", needed=False),
            Key("summed", "yes", needed=False, says="their shares are added up"),
            Key("percent", "percent", needed=False, says="the weight share from which it counts"),
            Key("compare", "sign", needed=False),
            Key("codes", "texts", needed=False, says="it concerns a product with one of these statements"),
            Key("asks", "word", needed=False, one_of=("ban", "authorisation", "level", "training", "duties")),
            Key("level", "word", one_of=("stop", "control"), says="what a job that it concerns gets"),
            Key("text"),
            Key("limit_list", needed=False, says="the list of limits with the level it sets"),
            Key("skin_dose", "number", needed=False, says="mg for each kg of body weight a day"),
            Key("months", "number", needed=False, says="how long a training counts"),
            Key("valid_from", "day", needed=False),
            Key("valid_until", "day", needed=False, says="the last day of it"),
        ),
        either=(("cas", "codes"),),
        same=("id",),
        covers=("cas", "codes", "summed", "limit_list"),
        ways=(
            Way("level", "first"),
            Way("percent", "lower", "compare"),
            Way("skin_dose", "lower"),
            Way("months", "lower"),
            Way("valid_from", "lower", without=True),
            Way("valid_until", "higher", without=True),
            Way("asks", "first", without=True),
        ),
    ),
    TableSchema(
        "person_duty",
        "What a law asks of who wears a respirator, by a day that stands under [[person]] in shop.toml.",
        (
            Key("what", "word", one_of=("clearance", "fit test", "training")),
            Key("months", "number", needed=False, says="how long it counts; without it there is no end"),
            Key("level", "word", one_of=("stop", "control"), says="what a job gets whose crew lacks it"),
        ),
        same=("what",),
        ways=(Way("level", "first"), Way("months", "lower")),
    ),
    TableSchema(
        "kept_out",
        "A law that keeps somebody off products with certain statements, or has them ask first.",
        (
            Key("id"),
            Key("who", "word", one_of=("under 18", "expecting")),
            Key("codes", "texts"),
            Key("text"),
        ),
        same=("id",),
        covers=("codes",),
    ),
    TableSchema(
        "symbol_precedence",
        "A symbol that goes where another is present; it goes only where every pack with such rules lets it go.",
        (
            Key("present"),
            Key("for_code", "text or nothing", says="only beside this statement"),
            Key("goes"),
            Key("reasons", "texts or none", says='for what it stood there, or "all"'),
            Key("optional", "yes", needed=False),
        ),
        same=("present", "for_code", "goes"),
        loosens=EVERY_ROW,
    ),
)
