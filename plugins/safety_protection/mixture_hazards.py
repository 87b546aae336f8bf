"""What a product can do: its sheet's word, and what the mixture rules make of its parts.

The result of the rules is an indication for people at work. Classifying is the supplier's act.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from safety.cited import Unknown
from safety.formulas.ignition import flammable_category
from safety.model import Figure, Finding, Part, Product, Substance
from safety.reference import Reference
from safety.tables import disputed
from safety.words import say
from safety_protection.labels import signal_word, symbols
from safety_protection.rules import as_threshold, cite
from safety_protection.statements import base, precautions, single

PLUGIN = "protection"


@dataclass(frozen=True, slots=True)
class Derived:
    """One hazard statement the rules give a product, with the sum that gave it."""

    code: str
    figure: Figure
    rule: str
    disputed: bool = False  # another pack says otherwise: the rule names both


@dataclass(frozen=True, slots=True)
class ProductHazards:
    """What one product can do. ``codes`` is for its label; ``careful`` is for protecting people."""

    product: Product
    declared: tuple[str, ...] | Unknown  # the data sheet's own
    computed: tuple[Derived, ...]
    gaps: tuple[str, ...]  # why the computed list may be too short
    symbols: tuple[str, ...]
    signal: str
    precautions: tuple[str, ...]

    @property
    def codes(self) -> tuple[str, ...]:
        """The sheet's statements, or the computed ones where the sheet gives none."""
        return tuple(d.code for d in self.computed) if isinstance(self.declared, Unknown) else self.declared

    @property
    def careful(self) -> frozenset[str]:
        """Plain codes of everything declared or computed."""
        declared = () if isinstance(self.declared, Unknown) else self.declared
        return frozenset(base(c) for c in single((*declared, *(d.code for d in self.computed))))

    @property
    def known(self) -> bool:
        """Whether the list of hazards can be relied on to be whole."""
        return not isinstance(self.declared, Unknown) or not self.gaps


def product_hazards(product: Product, reference: Reference) -> ProductHazards:
    """Hazards of a product from its sheet and, by the shop's mixture rules, from its parts.

    A part counts with the upper end of its range. Where the rules pack has no mixture table
    nothing is computed and a gap says so.
    """
    declared = product.hazards if isinstance(product.hazards, Unknown) else single(product.hazards)
    parts, gaps = _classified(product, reference)
    cutoffs = reference.table("mixture_cutoff")
    computed: dict[str, Derived] = {}
    if not cutoffs:
        gaps.append(say("no rules pack of this shop has cut-offs for mixtures"))
    for derived in (
        *_flammable(product, parts, reference, gaps),
        *(d for row in cutoffs if (d := _cutoff(row, parts))),
        *_acute(parts, reference),
    ):
        computed.setdefault(derived.code, derived)
    kept = tuple(computed[code] for code in sorted(computed) if not _outdone(code, set(computed)))
    label = tuple(d.code for d in kept) if isinstance(declared, Unknown) else declared
    return ProductHazards(
        product=product,
        declared=declared,
        computed=kept,
        gaps=tuple(gaps),
        symbols=symbols(label, reference),
        signal=signal_word(label),
        precautions=precautions(label),
    )


def _classified(product: Product, reference: Reference) -> tuple[list[tuple[Part, tuple[str, ...]]], list[str]]:
    """Each part with its own statements, and a sentence for each part that has none to give."""
    found: list[tuple[Part, tuple[str, ...]]] = []
    gaps: list[str] = []
    for part in product.parts:
        if not part.cas:
            gaps.append(say("{product}: the hazards of {part} are not disclosed", product=product.name, part=part.name))
            continue
        substance = reference.substance(part.cas)
        hazards = substance if isinstance(substance, Unknown) else substance.hazards
        if isinstance(hazards, Unknown):
            gaps.append(say("{part}: {why}", part=part.name, why=hazards.reason))
        else:
            found.append((part, single(hazards)))
    return found, gaps


def _cutoff(row: Mapping[str, Any], parts: list[tuple[Part, tuple[str, ...]]]) -> Derived | None:
    """The statement a row gives, where the weighted sum of shares reaches its cut-off."""
    counted, total, variants = [], 0.0, set()
    for part, codes in parts:
        percent = _percent(part)
        if percent < row.get("ingredient_from", 0.0):
            continue
        weight = max((row["weights"].get(base(code), 0) for code in codes), default=0)
        if weight:
            total += weight * percent
            counted.append(
                (part.name, say("{percent:g} % by weight, counted {weight:g} times", percent=percent, weight=weight))
            )
            variants |= {code for code in codes if base(code) == row["gives"]}
    if round(total, 9) < row["percent"]:
        return None
    code = variants.pop() if len(variants) == 1 else row["gives"]
    limit = as_threshold(row, say("cut-off for {code}", code=row["gives"]), row["percent"], "%")
    note = say("the viscosity is not known, so it counts as thin enough") if "viscosity_up_to" in row else ""
    figure = Figure(code, total, "%", inputs=(("cut-off", limit), *counted), note=note)
    return Derived(code, figure, cite(row), disputed(row))


def _percent(part: Part) -> float:
    return round(part.high * 100, 9)


def _flammable(
    product: Product, parts: list[tuple[Part, tuple[str, ...]]], reference: Reference, gaps: list[str]
) -> list[Derived]:
    """The liquid's fire class from its own flash point; the worst part's where that is not known."""
    table = reference.table("flammable_code")
    flash, boiling = product.flash_point, product.boiling_point
    if isinstance(flash, float) and table:
        # a boiling point only parts category 1 from 2; unknown, it counts as low
        category = flammable_category(flash, boiling if isinstance(boiling, float) else 273.15)
        found = []
        for row in table:
            if category.endswith(f" {row['category']}"):
                inputs = (
                    (say("flash point"), say("{c:g} °C", c=flash - 273.15)),
                    (
                        say("boiling point"),
                        say("{c:g} °C", c=boiling - 273.15) if isinstance(boiling, float) else boiling,
                    ),
                    (say("rule"), as_threshold(row, "category", float(row["category"]))),
                )
                figure = Figure(row["code"], float(row["category"]), "1", "flammable_category", inputs)
                found.append(Derived(row["code"], figure, cite(row), disputed(row)))
        return found
    worst = sorted({base(c) for _, codes in parts for c in codes} & {"H224", "H225", "H226"})
    if not worst:
        return []
    gaps.append(say("{product}: the flash point is not known; its most flammable part stands in", product=product.name))
    named = tuple((part.name, worst[0]) for part, codes in parts if worst[0] in map(base, codes))
    return [Derived(worst[0], Figure(worst[0], 1.0, "1", inputs=named), say("worst part, common practice"))]


def _acute(parts: list[tuple[Part, tuple[str, ...]]], reference: Reference) -> list[Derived]:
    """Acute toxicity by the additivity rule 100/ATE = sum(C/ATE) over parts of 1 % and more.

    A part's estimate is the converted point of its category; see the table ``acute_toxicity``.
    """
    table = reference.table("acute_toxicity")
    found = []
    for route in dict.fromkeys(row["route"] for row in table):
        own = [row for row in table if row["route"] == route]
        points: dict[str, float] = {}
        for one in own:
            points[one["code"]] = min(points.get(one["code"], one["point"]), one["point"])
        share, counted = 0.0, []
        for part, codes in parts:
            point = min((points[c] for c in map(base, codes) if c in points), default=None)
            if point is not None and _percent(part) >= 1.0:
                share += _percent(part) / point
                counted.append(
                    (part.name, say("{percent:g} % by weight, estimate {point:g}", percent=_percent(part), point=point))
                )
        if share == 0:
            continue
        estimate = 100 / share
        row = next((row for row in sorted(own, key=lambda r: r["up_to"]) if estimate <= row["up_to"]), None)
        if row is not None:
            unit = "mg/L" if route == "vapour" else "mg/kg"
            limit = as_threshold(row, say("up to"), row["up_to"], unit)
            figure = Figure(row["code"], estimate, unit, inputs=(("up to", limit), *counted))
            found.append(Derived(row["code"], figure, cite(row), disputed(row)))
    return found


#: A statement that says less than another of the same kind goes.
_STRONGER = {
    "H315": {"H314"},
    "H318": {"H314"},
    "H319": {"H314", "H318"},
    "H371": {"H370"},
    "H373": {"H372"},
    "H361": {"H360"},
    "H351": {"H350"},
    "H341": {"H340"},
    "H411": {"H410"},
    "H412": {"H410", "H411"},
    "H400": {"H410"},
}


def _outdone(code: str, others: set[str]) -> bool:
    return bool(_STRONGER.get(base(code), set()) & {base(o) for o in others})


def figures(hazards: ProductHazards) -> tuple[Figure, ...]:
    """The result as figures: the first says what goes on the sheet, the rest how each computed code came about."""
    declared = not isinstance(hazards.declared, Unknown)
    head = Figure(
        name=say("what {product} can do", product=hazards.product.name),
        value=float(len(hazards.codes)),
        unit="1",
        inputs=(
            ("product", hazards.product.id),
            ("signal", hazards.signal),
            ("symbols", " ".join(hazards.symbols)),
            ("codes", " ".join(hazards.codes)),
            ("precautions", " ".join(hazards.precautions)),
            ("from", "sheet" if declared else "parts"),
            ("careful", " ".join(sorted(hazards.careful))),
            ("known", "yes" if hazards.known else "no"),
        ),
    )
    return (head, *(d.figure for d in hazards.computed))


def _short(hazards: ProductHazards) -> str:
    """The signal word of a product, or that none is told."""
    name = hazards.product.name
    if not hazards.known:
        return say("{product}: not all it can do is known", product=name)
    return say("{product}: {signal}", product=name, signal=hazards.signal or say("no signal word"))


def finding(hazards: ProductHazards) -> Finding:
    """What the product can do, as a note on the job; unknown where the list may be too short."""
    name = hazards.product.name
    codes = ", ".join(hazards.codes)
    if not codes:
        codes = say("no hazard statement") if hazards.known else say("not known what it can do")
    computed = {base(d.code) for d in hazards.computed}
    unknown = ""
    if isinstance(hazards.declared, Unknown):
        statement = say(
            "{name}: the data sheet gives no hazards. From its parts: {codes}. The supplier must classify it.",
            name=name,
            codes=codes,
        )
        if hazards.gaps:
            unknown = say("{name}: its hazards are not fully known: {gaps}", name=name, gaps="; ".join(hazards.gaps))
    else:
        declared = {base(c) for c in hazards.declared}
        statement = say("{name}: the data sheet says {codes}.", name=name, codes=codes)
        # a sheet that lists H314 need not list H318 too, so what a declared code outdoes is no gap
        more = sorted(c for c in computed - declared if not _outdone(c, declared))
        if more:
            statement = say(
                "{statement} Its parts, at the upper end of their ranges, would also give {more}. "
                "Ask the supplier why not.",
                statement=statement,
                more=", ".join(more),
            )
    return Finding(
        level="note",
        topic="data",
        statement=statement,
        short=_short(hazards),
        plugin=PLUGIN,
        figures=figures(hazards),
        rule="; ".join(dict.fromkeys(d.rule for number, d in enumerate(hazards.computed) if number == 0 or d.disputed)),
        unknown=unknown,
        key=f"product-hazards-{hazards.product.id}",
    )


def carried(parts: Iterable[Part], reference: Reference) -> set[str]:
    """Plain codes that named parts are known to have of themselves."""
    found: set[str] = set()
    for part in parts:
        substance = reference.substance(part.cas) if part.cas else Unknown("")
        if isinstance(substance, Substance) and not isinstance(substance.hazards, Unknown):
            found |= {base(code) for code in single(substance.hazards)}
        for row in reference.table("sensitiser"):
            found |= {*row["always"], *row["gives"]} if part.cas in row["cas"] else set()
    return found


def severe_through_skin(substance: Substance | Unknown) -> bool:
    """Whether a part can poison through skin, make allergic, or cause cancer or birth defects."""
    if isinstance(substance, Unknown) or isinstance(substance.hazards, Unknown):
        return False
    return bool({base(c) for c in single(substance.hazards)} & {"H310", "H311", "H317", "H340", "H350", "H360"})
