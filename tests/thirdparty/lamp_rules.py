"""A stranger's plugin with all it may bring: a topic, sentences in Spanish, a formula, a pack, and what it judges."""

from safety import hookimpl
from safety.formulas import described
from safety.model import Contribution, Figure, Finding, Grid, Key, Pack, TableSchema
from safety.words import say

hazstep_hooks = 2


def burning_time(charge, draw):
    """How long a lamp burns: charge / draw."""
    return charge / draw


BURNING = described(
    burning_time, gives="time", source="rule of thumb of the trade (invented)", charge="time", draw="fraction"
)
LAMPS = TableSchema("lamps", "What a lamp of the house draws.", (Key("draw", "percent"),))
ROWS = ({"draw": 50.0, "citation": "house rule 9 (invented)", "edition": "2026"},)
SPANISH = {
    "Light": "Iluminación",
    "One lamp a person: {count}.": "Una lámpara por persona: {count}.",
    "{count} lamps": "{count} lámparas",
    "A second person holds the second lamp.": "Otra persona sostiene la segunda lámpara.",
    "Lamps of the house": "Lámparas de la casa",
}


@hookimpl
def contribute():
    return Contribution(
        packs=(Pack("general", "Lamps", "invented", "2026", tables={"lamps": ROWS}),),
        tables=(LAMPS,),
        formulas=(BURNING,),
        topics={"light": "Light"},
        messages={"es": SPANISH},
    )


@hookimpl
def assess(job, reference):
    (row,) = reference.table("lamps")
    burns = burning_time(3600.0, row["draw"] / 100)
    figure = Figure("a lamp burns", burns, "s", "burning_time", (("draw", row["draw"]),))
    alone = job.crew < 2
    finding = Finding(
        "stop" if alone else "control",
        "light",
        say("One lamp a person: {count}.", count=job.crew),
        say("{count} lamps", count=job.crew),
        "lamp_rules",
        step=0,
        figures=(figure,),
        rule=row["citation"],
        remedy=say("A second person holds the second lamp.") if alone else "",
        key="lamps",
    )
    return [finding, Grid(say("Lamps of the house"), ("Lamp",), (("H-1",),), key="lamps")]
