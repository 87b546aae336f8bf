"""What the products can do, said: a note where the data sheet and the parts agree, a control where they do not."""

from __future__ import annotations

from collections.abc import Iterable

from safety.cited import Unknown
from safety.model import Classification, Figure, Finding, Part, Substance
from safety.reference import Reference
from safety.reference.hazards import Implied, ProductHazards, base, sensitisers, single
from safety.words import joined, say, term
from safety_protection.labels import let_go, signal_word
from safety_protection.phrases import listed
from safety_protection.statements import precautions

PLUGIN = "protection"


def figures(hazards: ProductHazards, reference: Reference) -> tuple[Figure, ...]:
    """The result as figures: the first says what goes on the sheet, the rest how each implied code came about."""
    declared = not isinstance(hazards.declared, Unknown)
    head = Figure(
        name=say("what {product} can do", product=hazards.product.name),
        value=float(len(hazards.codes)),
        unit="1",
        inputs=(
            ("product", hazards.product.id),
            ("codes", " ".join(hazards.codes)),
            ("precautions", " ".join(precautions(hazards.codes))),
            ("from", "sheet" if declared else "parts"),
            ("beside the sheet", " ".join(one.code for one in hazards.more) if declared else ""),
            ("careful", " ".join(sorted(hazards.careful))),
            ("known", "yes" if hazards.known else "no"),
        ),
    )
    return (head, *(one.figure for one in hazards.implied))


def finding(hazards: ProductHazards, reference: Reference) -> Finding:
    """What the product can do, for the whole job; unknown where the list may be too short.

    A control where its parts imply a hazard to people that its data sheet does not say, and where "not classified"
    could not be held against every part: somebody has to ask.
    """
    name = hazards.product.name
    plain = [one.code for one in hazards.more]
    unknown = remedy = ""
    if isinstance(hazards.declared, Unknown):
        nothing = say("no hazard statement") if hazards.known else say("not known what it can do")
        statement = say(
            "{name}: the data sheet gives no hazards. From its parts: {codes}. The supplier must classify it.",
            name=name,
            codes=", ".join(plain) or nothing,
        )
        if hazards.gaps:
            unknown = say("{name}: its hazards are not fully known: {gaps}", name=name, gaps="; ".join(hazards.gaps))
    else:
        said = ", ".join(hazards.declared) or say("that it is not classified")
        statement = say("{name}: the data sheet says {codes}.", name=name, codes=said)
        if plain:
            statement = joined(
                (
                    statement,
                    say(
                        "Its parts, at the upper end of their ranges, imply {more} by {rule}. "
                        "Act on both. Ask the supplier why the data sheet does not say it.",
                        more=", ".join(
                            say("{code} ({doubt})", code=one.code, doubt=one.doubt) if one.doubt else one.code
                            for one in hazards.more
                        ),
                        rule="; ".join(dict.fromkeys(one.rule for one in hazards.more)),
                    ),
                )
            )
            remedy = say("Ask the supplier of {name} about {more}.", name=name, more=", ".join(plain))
        if hazards.unchecked:
            statement = joined((statement, say("Not checked: {gaps}.", gaps="; ".join(hazards.gaps))))
            remedy = remedy or say("Ask the supplier of {name} what is in it.", name=name)
    asked = [one.code for one in hazards.more if _to_ask(one, hazards.declared)]
    told = [term(row["text"]) for row in hazards.basis if row["text"]] if hazards.more else []
    return Finding(
        level="control" if asked or hazards.unchecked or (plain and isinstance(hazards.declared, Unknown)) else "note",
        topic="data",
        statement=joined((statement, *told)),
        short=_short(hazards, asked) if asked or hazards.unchecked else _signal(hazards),
        plugin=PLUGIN,
        figures=figures(hazards, reference),
        rule=joined(dict.fromkeys(i.rule for n, i in enumerate(hazards.implied) if n == 0 or i.disputed), "; "),
        unknown=unknown,
        remedy=remedy if asked or hazards.unchecked else "",
        key=f"product-hazards-{hazards.product.id}",
        grounds=(*hazards.basis, *let_go(hazards.codes, reference)),
    )


def _to_ask(one: Implied, declared: tuple[str, ...] | Unknown) -> bool:
    """Whether somebody has to ask the supplier why the data sheet does not say it.

    Not where it gives no list at all, nor of what only harms water or dries the skin; and where a sheet with a list
    leaves out what hangs on something nobody told this program, its maker may have looked at that.
    """
    if isinstance(declared, Unknown) or one.code.startswith(("H4", "EUH066")):
        return False
    return not one.doubt or not declared


def _short(hazards: ProductHazards, asked: list[str]) -> str:
    """That the parts of a product imply what its data sheet does not say."""
    held = {"product": hazards.product.name, "codes": listed(asked)}
    if not asked:
        return say("{product}: sold as not classified, not all its parts are known: ask the supplier", **held)
    if hazards.declared:
        return say("{product}: its parts imply {codes}, not on its data sheet: ask the supplier", **held)
    return say("{product}: sold as not classified, its parts imply {codes}: ask the supplier", **held)


def _signal(hazards: ProductHazards) -> str:
    """The signal word of a product, or that none is told."""
    name = hazards.product.name
    if not hazards.known:
        return say("{product}: not all it can do is known", product=name)
    return say("{product}: {signal}", product=name, signal=signal_word(hazards.codes) or say("no signal word"))


def carried(parts: Iterable[Part], reference: Reference) -> set[str]:
    """Plain codes that named parts are known to have of themselves."""
    found: set[str] = set()
    for part in parts:
        substance = reference.substance(part.cas) if part.cas else Unknown("")
        if isinstance(substance, Substance) and not isinstance(substance.hazards, Unknown):
            found |= {base(code) for code in single(substance.hazards)}
        for row in sensitisers(part, reference):
            found |= {*row["always"], *row["gives"]}
    return found


#: Poison through skin, allergy, cancer and birth defects.
_SEVERE = frozenset({"H310", "H311", "H317", "H340", "H350", "H360"})


def severe_through_skin(substance: Substance | Unknown) -> tuple[Classification, ...]:
    """The classes by which a part can poison through skin, make allergic, or cause cancer or birth defects."""
    if isinstance(substance, Unknown):
        return ()
    return tuple(one for one in substance.classes if _SEVERE.intersection(map(base, single((one.code,)))))
