"""First aid, spill and fire lines for the sheet: general ones, each giving way to the data sheet.

What is done in the first minute stands by itself, for the technician's paper; ``..._rest`` is what can be read later.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from safety.model import Product
from safety.reference.citing import Law
from safety.words import joined, say, term
from safety_protection.phrases import listed

_FIRE = frozenset({"H224", "H225", "H226"})
_NOT_VOMITED = frozenset({"H304", "H314"})

#: Taken into account where nobody knows what a product can do: catch fire, burn the skin, poison, get into the lungs
#: or harm water.
WORST = frozenset({"H225", "H304", "H310", "H314", "H400"})


def not_known(names: Sequence[str]) -> tuple[str, ...]:
    """A line before all others where the hazards of products are not known."""
    if not names:
        return ()
    return (say("What {names} can do is not all known. Act as if it could do the worst.", names=listed(names)),)


def first_aid(codes: frozenset[str]) -> tuple[str, ...]:
    """Lines by route, after the P-statements of the European texts and the first aid page of the NIOSH Pocket Guide."""
    eye = say("Eyes: rinse at once with plenty of water for at least 15 min, lids held open, lenses out if easy.")
    if codes & {"H314", "H318"}:
        eye = say("{eye} Doctor at once.", eye=eye)
    else:
        eye = say("{eye} Doctor if it still hurts.", eye=eye)
    skin = say("Skin: take soaked clothes off at once, wash with soap and plenty of water.")
    if codes & {"H310", "H311", "H314"}:
        skin = say("{skin} Doctor at once.", skin=skin)
    lines = [
        say("Rescuer first: go into no vapour cloud and no tank without the gear for it."),
        eye,
        skin,
        say("Breathed in: fresh air, keep at rest; not breathing, dizzy or blue: emergency number."),
        _swallowed(codes),
        say("Hand the doctor this sheet and the data sheet."),
    ]
    if "H334" in codes:
        lines.insert(4, say("Cough or wheeze, even hours later: doctor, and no more of this work."))
    return tuple(lines)


def first_aid_rest(codes: frozenset[str]) -> tuple[str, ...]:
    """What the lines come from, and what goes before them."""
    statements = ["P305+P351+P338", "P303+P361+P353", "P304+P340"]
    statements += ["P342+P311"] if "H334" in codes else []
    statements += ["P301+P330+P331"] if codes & _NOT_VOMITED else []
    return (
        say("What section 4 of the data sheet says goes first."),
        say("After the label's statements {statements}.", statements=", ".join(statements)),
    )


def makers(products: Iterable[Product]) -> tuple[str, ...]:
    """The emergency telephones of the makers, as their data sheets give them."""
    return tuple(
        say("{product}, its maker's emergency telephone: {number}.", product=one.name, number=one.emergency_telephone)
        for one in products
        if one.emergency_telephone
    )


def _swallowed(codes: frozenset[str]) -> str:
    if codes & _NOT_VOMITED:
        return say("Swallowed: rinse the mouth. Do NOT induce vomiting. Poison center at once.")
    return say("Swallowed: rinse the mouth, give nothing else. Call a poison center.")


def spill(codes: frozenset[str]) -> tuple[str, ...]:
    """Lines for a spill; the line between small and emergency is 29 CFR 1910.120(a)(3)."""
    lines = [
        say("Small, and you have kit and training: wear the gear for wet work, not for splashes."),
        say("Anything else, or unsure: shout, get out, keep others out, call the response team."),
    ]
    if codes & _FIRE:
        lines.insert(0, say("First: no flame, no switch, no spark. Open doors."))
        lines.append(
            say("Soak up from the edge with a clean absorber and tools that do not spark; into a closed metal bin.")
        )
    else:
        lines.append(say("Soak up from the edge with a clean absorber; into a closed bin."))
    if codes & {"H400", "H410", "H411", "H412"}:
        lines.append(say("Block drains: it harms water."))
    else:
        lines.append(say("Keep it out of drains."))
    return tuple(lines)


def spill_rest() -> tuple[str, ...]:
    return (say("Weigh it and write it in the log. Section 6 of the data sheet goes first."),)


def fire(codes: frozenset[str], law: Law) -> tuple[str, ...]:
    """Lines for a fire. Class letters follow the law: C is live current in the US and gas in Europe."""
    if not codes & _FIRE:
        return (
            say("Raise the alarm. Fight it only if trained, small, and with the way out behind you."),
            say("Fumes are poison: stay out of them."),
        )
    marks = dict.fromkeys(term(row["mark"]) for row in law.rows if "mark" in row)
    kind = joined(marks, "; ") or say("cut the power first")
    return (
        say("Raise the alarm. Fight it only if trained, small, and with the way out behind you."),
        say("Extinguisher: foam, powder or carbon dioxide ({kind}). Never a jet of water.", kind=kind),
        say("No carbon dioxide in a closed space with people in it: it takes the air."),
        say("Clothes on fire: stop, drop, roll, drench."),
    )


def fire_rest() -> tuple[str, ...]:
    return (say("Section 5 of the data sheet goes first."),)
