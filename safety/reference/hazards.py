"""What the loaded rules for mixtures make of a product's parts, beside what its data sheet says.

The result is an indication for people at work. Classifying is the supplier's act. The rules are rows of the tables
``mixture_cutoff``, ``mixture_basis``, ``acute_toxicity``, ``flammable_code`` and ``sensitiser``; a part counts with
the upper end of its range.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import Any

from safety import units
from safety.cited import Unknown
from safety.formulas.ignition import flammable_category
from safety.model import Classification, Figure, Part, Product, Substance, Threshold
from safety.model.hazards import Implied, ProductHazards, base, fits, outdone, single
from safety.reference.citing import as_threshold, cite
from safety.reference.fractions import is_fraction
from safety.reference.loaded import Reference, crossed, settled
from safety.reference.notes import shown_absent
from safety.reference.tables import disputed, said_by
from safety.words import say

__all__ = [
    "Implied", "ProductHazards", "base", "fits", "outdone", "part_classes", "product_hazards", "single", "unproven"
]  # fmt: skip

_BURNS = ("H224", "H225", "H226")
#: Routes of acute toxicity by which something is breathed -> what one unit of the table is in SI.
_BREATHED = {"vapour": 1e-3, "mist": 1e-3}
_SWALLOWED = 1e-6
_ASPIRATION = Classification("H304", "Asp. Tox.", "1", remark="a hydrocarbon of up to 20.5 mm2/s at 40 degC")


@dataclass(frozen=True, slots=True)
class _Known:
    """A part whose own classes are known, and how much of it there may be."""

    part: Part
    percent: float
    classes: tuple[Classification, ...]


@dataclass(frozen=True, slots=True)
class _Counted:
    """What one part adds to a row: its share, and from which share it would be enough alone."""

    part: Part
    one: Classification
    percent: float  # with the M-factor
    limit: float  # percent
    weight: float
    specific: bool  # the limit is the substance's own

    @property
    def ratio(self) -> float:
        return self.percent / self.limit if self.limit else inf


def product_hazards(product: Product, reference: Reference) -> ProductHazards:
    """Everything a product can do, from its data sheet and from its parts."""
    declared = product.hazards if isinstance(product.hazards, Unknown) else single(product.hazards)
    cutoffs = reference.table("mixture_cutoff")
    parts, gaps = _known(product, cutoffs, reference)
    if not cutoffs:
        gaps.append(say("no rules pack of this shop has cut-offs for mixtures"))
    basis = reference.table("mixture_basis")
    instead = {row["pack"] for row in basis if row["specific_limits"] == "instead"}
    found: dict[str, Implied] = {}
    for implied in (
        *_flammable(product, declared, parts, reference, gaps),
        *(i for row in cutoffs if (i := _cutoff(row, parts, instead.issuperset(said_by(row)), product))),
        *_acute(parts, reference.table("acute_toxicity")),
        *(i for row in reference.table("sensitiser") for i in _by_number(row, product, reference)),
    ):
        found.setdefault(implied.code, implied)
    plain = {base(code) for code in found}
    kept = tuple(found[code] for code in sorted(found) if not outdone(code, plain))
    return ProductHazards(product, declared, kept, tuple(gaps), basis if kept else ())


def unproven(product: Product, reference: Reference) -> tuple[Part, ...]:
    """The parts with a number that the product's file alone says give off no vapour: no data loaded say so, too."""
    said = (part for part in product.parts if part.cas and part.high > 0 and not part.volatile)
    return tuple(part for part in said if not _stays(reference.substance(part.cas)))


def _stays(substance: Substance | Unknown) -> bool:
    """Whether the data know that it gives off no vapour, or next to none, or how much."""
    if isinstance(substance, Unknown):
        return False
    return bool(
        {"not_volatile", "not_used"} & set(substance.notes)
        or substance.has_equation
        or "vapour_pressure" in substance.properties
    )


def _known(
    product: Product, cutoffs: Iterable[Mapping[str, Any]], reference: Reference
) -> tuple[list[_Known], list[str]]:
    """Each part with its own classes, and a sentence for each part that has none to give.

    A petroleum fraction harms the lungs by what it is, whether or not a list says so (CLP Annex I table 3.10.1, 29 CFR
    1910.1200 A.10.2): hydrocarbons of up to 20.5 mm2/s at 40 degC.
    """
    found: list[_Known] = []
    gaps: list[str] = []
    for part in product.parts:
        listed, gap = part_classes(part, product, reference)
        gaps += [gap] if gap else []
        if _drawn_into_lungs(part, cutoffs, reference) and not any(base(one.code) == "H304" for one in listed):
            listed = (*listed, _ASPIRATION)
        if listed or not gap:
            found.append(_Known(part, settled(part.high * 100), listed))
    return found, gaps


def part_classes(part: Part, product: Product, reference: Reference) -> tuple[tuple[Classification, ...], str]:
    """The classes that the data have of a part, as far as the product does not rule them out, or why there are none."""
    if not part.cas:
        return (), say("{product}: the hazards of {part} are not disclosed", product=product.name, part=part.name)
    substance = reference.listed(part.cas)  # what a sheet shows of a part is looked at here, for this product
    unknown = substance if isinstance(substance, Unknown) else substance.hazards
    if isinstance(substance, Unknown) or isinstance(unknown, Unknown):
        why = unknown.reason if isinstance(unknown, Unknown) else ""
        return (), say("{part}: {why}", part=part.name, why=why)
    return tuple(one for one in substance.classes if not shown_absent(one, part, product)), ""


# ---------------------------------------------------------------- cut-offs


def _cutoff(row: Mapping[str, Any], parts: Iterable[_Known], instead: bool, product: Product) -> Implied | None:
    """The statement a row gives: from its parts added up, or, where the row says so, from one part alone.

    Added up is each share over the share that would be enough alone (guidance on CLP, 1.6.3: specific limits beside
    generic ones); with generic limits only that is the weighted sum of the tables.
    """
    counted = [c for known in parts if (c := _counts(row, known, instead))]
    if row.get("each"):
        counted = [c for c in counted if settled(c.ratio) >= 1]
    if not counted or settled(sum(c.ratio for c in counted)) < 1:
        return None
    variants = {c.one.code for c in counted if base(c.one.code) == row["gives"]}
    code = variants.pop() if len(variants) == 1 else row["gives"]
    thin = ""
    if "viscosity_up_to" in row:
        viscosity = _viscosity(product)
        if viscosity is None:
            thin = say("the viscosity is not known, so it counts as thin enough")
        elif crossed(viscosity, _thin_up_to(row), "over"):
            return None
    return Implied(code, _cutoff_figure(row, code, counted, thin), cite(row), thin, disputed(row))


def _viscosity(product: Product) -> float | None:
    """Kinematic viscosity of the product at 40 degC [m2/s]: its own, or that of the one part it is made of."""
    found = [product.viscosity, *(part.stated.viscosity for part in product.parts if len(product.parts) == 1)]
    return min((v for v in found if v is not None), default=None)


def _thin_up_to(row: Mapping[str, Any]) -> float:
    return units.read(row["viscosity_up_to"], "viscosity")


def _drawn_into_lungs(part: Part, cutoffs: Iterable[Mapping[str, Any]], reference: Reference) -> bool:
    """Whether a part is a hydrocarbon thin enough for H304, or nobody says that it is thicker."""
    limits = [_thin_up_to(row) for row in cutoffs if "viscosity_up_to" in row]
    own = part.stated.viscosity
    return is_fraction(part, reference) and (own is None or not limits or not crossed(own, max(limits), "over"))


def _counts(row: Mapping[str, Any], known: _Known, instead: bool) -> _Counted | None:
    """What a part adds to a row by the class that counts most; None where it does not count."""
    found = []
    for one in known.classes:
        weight = max((w for key, w in row["weights"].items() if fits(key, one)), default=0)
        if not weight:
            continue
        limit, specific = _limit(row, one, row["percent"] / weight, instead)
        if known.percent > 0 and known.percent >= min(row.get("ingredient_from", 0.0), limit):
            share = round(known.percent * (one.m_factor or 1.0), 9)
            found.append(_Counted(known.part, one, share, limit, weight, specific))
    return max(found, key=lambda c: c.ratio, default=None)


def _limit(row: Mapping[str, Any], one: Classification, generic: float, instead: bool) -> tuple[float, bool]:
    """From how many percent a class alone gives a row's statement, and whether that is the substance's own limit.

    Its own limits stand instead of the generic ones where the packs say so, else only where they are lower. One that
    ends where a graver statement begins is taken without its end: the graver statement outdoes it.
    """
    own = [settled(band.low * 100) for band in one.limits if base(band.code) == base(one.code)]
    if "specific_share" in row:
        low = min((limit * row["specific_share"] for limit in own if limit < row["percent"]), default=generic)
        return (low, True) if low < generic else (generic, False)
    given = [settled(band.low * 100) for band in one.limits if base(band.code) == row["gives"]] or own
    if given and (instead or min(given) < generic):
        return min(given), True
    return generic, False


def _cutoff_figure(row: Mapping[str, Any], code: str, counted: Sequence[_Counted], doubt: str) -> Figure:
    most = max(counted, key=lambda c: c.ratio)
    if row.get("each"):
        value, percent = most.percent, most.limit
    else:  # a part with a limit of its own counts as much as its share of that limit
        value, percent = sum(c.ratio for c in counted) * row["percent"], row["percent"]
    name = say("cut-off for {code}", code=row["gives"])
    limit = _own_limit(most, name) if row.get("each") and most.specific else as_threshold(row, name, percent, "%")
    inputs: list[tuple[str, Any]] = [(say("cut-off"), limit)]
    for c in counted:
        text = say("{percent:g} % by weight, counted {weight:g} times", percent=c.percent, weight=c.weight)
        inputs += [(c.part.name, text), (say("class"), c.one)]
        if c.specific and not row.get("each"):
            inputs.append((say("its own limit"), _own_limit(c, name)))
    notes = [
        doubt,
        say("least category of the list: the supplier may have to give a worse one")
        if any(c.one.minimum for c in counted)
        else "",
        say("the multiplying factor of {parts} is not known and is taken as 1", parts=", ".join(_unmultiplied(counted)))
        if _unmultiplied(counted)
        else "",
    ]
    return Figure(code, value, "%", inputs=tuple(inputs), note="; ".join(filter(None, notes)))


def _unmultiplied(counted: Iterable[_Counted]) -> list[str]:
    return [c.part.name for c in counted if base(c.one.code) in ("H400", "H410") and c.one.m_factor is None]


def _own_limit(c: _Counted, name: str) -> Threshold:
    """A specific concentration limit as a record with its source."""
    source = c.one.source
    return Threshold(
        name, c.limit, "%", "at or over", f"{c.limit:g} %",
        f"{source.title}, {c.one.at}" if source else say("the substance's own data"),
        source.edition if source else "", "", "", unverified=c.one.unverified,
    )  # fmt: skip


# ---------------------------------------------------------------- by number

#: From how much of the share that gives a statement a trace tells: it harms who is allergic already.
_TENTH = 0.1


def sensitisers(part: Part, reference: Reference) -> list[Mapping[str, Any]]:
    """The rows of ``sensitiser`` on a part: those with its number, else those on a group that it carries."""
    rows = reference.table("sensitiser")
    named = [row for row in rows if part.cas and part.cas in row.get("cas", ())]
    substance = reference.substance(part.cas) if part.cas else Unknown("")
    groups = {*part.groups, *(() if isinstance(substance, Unknown) else substance.groups)}
    return named or [row for row in rows if row.get("group") in groups]


def _by_number(row: Mapping[str, Any], product: Product, reference: Reference) -> Iterator[Implied]:
    """What a row of ``sensitiser`` says of the parts it is about, also where no data on them are loaded."""
    parts = [p for p in product.parts if p.high > 0 and any(one is row for one in sensitisers(p, reference))]
    if not parts:
        return
    percent = round(min(sum(part.high for part in parts), 1.0) * 100, 9)
    enough = crossed(percent, row["percent"], "at or over")
    trace = crossed(percent, row["percent"] * _TENTH, "at or over")
    limit = as_threshold(row, say("from this share on"), row["percent"], "%")
    inputs = ((say("share"), limit), *((p.name, say("{percent:g} %", percent=settled(p.high * 100))) for p in parts))
    for code in (*row["always"], *(row["gives"] if enough else ["EUH208"] if trace else [])):
        yield Implied(code, Figure(code, percent, "%", inputs=inputs), cite(row), disputed=disputed(row))


# ---------------------------------------------------------------- fire


def _flammable(
    product: Product,
    declared: tuple[str, ...] | Unknown,
    parts: Iterable[_Known],
    reference: Reference,
    gaps: list[str],
) -> Iterator[Implied]:
    """The liquid's fire class from its own flash point; the worst part's where neither that nor the class is known."""
    table = reference.table("flammable_code")
    flash, boiling = product.flash_point, product.boiling_point
    if isinstance(flash, float) and table:
        # a boiling point only parts category 1 from 2; unknown, it counts as low
        category = flammable_category(flash, boiling if isinstance(boiling, float) else 273.15)
        for row in table:
            if category.endswith(f" {row['category']}"):
                boils = say("{c:g} °C", c=boiling - 273.15) if isinstance(boiling, float) else boiling
                inputs = (
                    (say("flash point"), say("{c:g} °C", c=flash - 273.15)),
                    (say("boiling point"), boils),
                    (say("rule"), as_threshold(row, "category", float(row["category"]))),
                )
                figure = Figure(row["code"], float(row["category"]), "1", "flammable_category", inputs)
                yield Implied(row["code"], figure, cite(row), disputed=disputed(row))
        return
    carried = [(known.part.name, one) for known in parts for one in known.classes]
    worst = min((base(one.code) for _, one in carried if base(one.code) in _BURNS), default="")
    if not worst:
        return
    if isinstance(declared, tuple) and any(base(code) in _BURNS for code in declared):
        return  # the supplier measured it
    gaps.append(say("{product}: the flash point is not known; its most flammable part stands in", product=product.name))
    figure = Figure(worst, 1.0, "1", inputs=tuple(pair for pair in carried if base(pair[1].code) == worst))
    yield Implied(worst, figure, say("worst part, common practice"))


# ---------------------------------------------------------------- acute toxicity


def _acute(parts: Sequence[_Known], table: Iterable[Mapping[str, Any]]) -> Iterator[Implied]:
    """Acute toxicity by the additivity rule 100/ATE = sum(C/ATE), one route at a time.

    A part without a class for a route counts as not toxic by it; parts of which nothing is known are a gap. What is
    volatile is breathed as vapour, the rest as mist.
    """
    routes: dict[str, list[Mapping[str, Any]]] = {}
    for row in table:
        routes.setdefault(row["route"], []).append(row)
    for route, rows in routes.items():
        if route == "mist":
            among = [known for known in parts if not known.part.volatile]
        elif route == "vapour" and "mist" in routes:
            among = [known for known in parts if known.part.volatile]
        else:
            among = list(parts)
        counted = [(known, *best) for known in among if (best := _estimate(known, route, rows))]
        if not counted:
            continue
        estimate = settled(100 / sum(known.percent / point for known, point, _ in counted))
        reached = [row for row in rows if estimate <= row["up_to"]]
        if not reached:
            continue
        row = min(reached, key=lambda row: row["up_to"])
        unit = "mg/L" if route in _BREATHED else "mg/kg"
        inputs: list[tuple[str, Any]] = [(say("up to"), as_threshold(row, say("up to"), row["up_to"], unit))]
        for known, point, one in counted:
            text = say("{percent:g} % by weight, estimate {point:g}", percent=known.percent, point=point)
            inputs += [(known.part.name, text), (say("class"), one)]
        figure = Figure(row["code"], estimate, unit, inputs=tuple(inputs))
        yield Implied(row["code"], figure, cite(row), disputed=disputed(row))


def _estimate(known: _Known, route: str, rows: Iterable[Mapping[str, Any]]) -> tuple[float, Classification] | None:
    """A part's acute toxicity estimate for a route, in the unit of the table, and its class.

    The estimate of the list where it gives one, else the converted point of the category.
    """
    found = []
    for one in known.classes:
        for row in rows:
            if fits(f"{row['code']} {row['category']}", one) and known.percent >= row.get("ingredient_from", 1.0):
                listed = one.ate is not None and route != "mist"  # what lists give for what is breathed is of vapour
                point = one.ate / _BREATHED.get(route, _SWALLOWED) if listed and one.ate else row["point"]
                found.append((settled(point), one))
    return min(found, key=lambda pair: pair[0], default=None)
