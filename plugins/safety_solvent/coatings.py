"""Contents of coatings, adhesives and sealants against the limits of their category, singly and averaged."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Literal

from safety import levels, units
from safety.cited import Unknown
from safety.formulas.solvent import average_content, content_of_material, voc_less_water_and_exempt, water_volume_share
from safety.model import WATER, Figure, Finding, Job, Product, Step, Substance
from safety.reference import Reference, crossed, settled
from safety.reference.citing import cited
from safety.words import clause, say, term
from safety_solvent.books import (
    PLUGIN,
    answer_to,
    answered,
    content,
    kind_called,
    kind_of_work,
    row_called,
    said_of,
    share,
)
from safety_solvent.cleaning import APPLIES

#: Purposes of what stays on a surface, so that a category of coating may hold for it.
COATS = ("primer", "adhesive", "sealant", "coating", "ink")


def judge(job: Job, reference: Reference) -> list[Finding]:
    """A finding for each coating of the job, where a loaded pack has limits for coatings."""
    if not reference.table("coating_limit"):
        return []
    found = []
    for product in {u.product.id: u.product for s in job.steps for u in s.uses}.values():
        steps = [s for s in job.steps if any(u.product.id == product.id for u in s.uses)]
        outside = all(row_called("outside_operation", s.operation, reference) for s in steps)
        coats = product.application or product.coating or product.purpose in COATS
        if not outside and (coats or (not product.purpose and _put_on(product, steps))):
            finding = _one(job, product, reference)
            found += [finding] if finding else []
    return found


def _put_on(product: Product, steps: Iterable[Step]) -> bool:
    """Whether a product of which nobody says what it is for is worked with as a coating is."""
    return any(use.product.id == product.id and use.work in ("brush", "spray") for s in steps for use in s.uses)


def category(product: Product, reference: Reference) -> Mapping[str, Any] | None:
    """The row of limits a coating comes under, as its file says."""
    return row_called("coating_limit", product.coating, reference) if product.coating else None


def _one(job: Job, product: Product, reference: Reference) -> Finding | None:
    key = f"coating:{product.id}"
    held = answer_to(APPLIES, job.shop)
    if held is not None and held.answer == "no":
        return Finding("note", "solvent", answered(held), say("coating limits do not hold here"), PLUGIN, key=key)
    row = category(product, reference)
    if row is None and not product.coating and kind_of_work(product, reference):
        return None
    return _no_category(product, key) if row is None else _against(product, row, key, job.shop.print_units, reference)


def _no_category(product: Product, key: str) -> Finding:
    statement = (
        say(
            '{product}: "{name}" is no category of coating in the loaded packs.',
            product=product.name,
            name=product.coating,
        )
        if product.coating
        else say("{product}: its file names no category of coating.", product=product.name)
        if product.purpose
        else say("{product}: its file says neither what it is for nor a category of coating.", product=product.name)
    )
    return Finding(
        "note",
        "solvent",
        statement,
        say("{product}: no coating category", product=product.name),
        PLUGIN,
        unknown=say(
            "The content of {product} was not held against a limit: its category is not known.",
            product=product.name,
        ),
        remedy=say("Write coating = the category in the product's file.")
        if product.purpose
        else say("Write purpose = what it is for, and for a coating coating = the category, in the product's file."),
        key=key,
        gap="books",
    )


def _against(
    product: Product, row: Mapping[str, Any], key: str, system: Literal["us", "si"], reference: Reference
) -> Finding:
    """A product's contents held against the limits of its category."""
    figures = [contents(product, key, reference) for key in ("VOC", "HAP")]
    limit = units.read(row["limit"], "density")
    texts, over, unknown = [], False, []
    for figure in figures:
        if isinstance(figure, Unknown):
            unknown.append(figure.reason)
            continue
        over = over or bool(crossed(settled(figure.value), limit, row["compare"]))
        shown = levels.shown(figure.value, limit, lambda value: content(value, system))
        texts.append(say("{name} {content}", name=figure.name, content=shown))
    statement = say(
        "{product} as {title}: {texts}; the limit is {limit} as applied, each. Look at thinned product again.",
        product=product.name,
        title=term(row["title"]),
        texts=", ".join(texts) or say("UNKNOWN"),
        limit=row["printed"],
    )
    missing = say("Content of {product}: {why}.", product=product.name, why="; ".join(unknown)) if unknown else ""
    short = (
        say("{product}: over the content limit", product=product.name)
        if over
        else say("{product}: content limit met", product=product.name)
    )
    remedy = (
        say("Use a product within the limit, or show by the month's average that the category meets it.")
        if over
        else ""
    )
    return Finding(
        "control" if over or unknown else "note",
        "solvent",
        statement,
        say("{product}: not known", product=product.name) if unknown and not over else short,
        PLUGIN,
        figures=tuple(f for f in figures if isinstance(f, Figure)),
        rule=cited(row),
        grounds=(row, *_counted(product, reference)),
        unknown=missing,
        remedy=remedy,
        key=key,
        gap="books",
    )


def _counted(product: Product, reference: Reference) -> tuple[Any, ...]:
    """By what its parts count as VOC, as HAP and as exempt, and how dense the exempt ones are."""
    found = [kind for key in ("VOC", "HAP", "exempt") if (kind := kind_called(key, reference)) is not None]
    densities = (
        substance.best("density")
        for part in product.parts
        if part.volatile and part.cas and any(k.key == "exempt" and k.counts(part.cas) for k in found)
        if isinstance(substance := reference.substance(part.cas), Substance)
    )
    return (*said_of(product.parts, found), *densities)


def contents(product: Product, key: str, reference: Reference) -> Figure | Unknown:
    """VOC content less water and exempt solvent, or HAP content less water, at most [kg/m3]."""
    kind = kind_called(key, reference)
    if kind is None:
        return Unknown(say("no loaded pack says what counts as {kind}", kind=key))
    if isinstance(product.density, Unknown):
        return product.density
    own = share(product.parts, kind, product.name)
    stated = product.voc if key == "VOC" else Unknown("")
    if own.unknown and isinstance(stated, Unknown):
        return Unknown(clause(own.unknown[0]))
    material = float(content_of_material(product.density, own.high))
    if not isinstance(stated, Unknown):
        material = max(material if not own.unknown else 0.0, stated)
    taken = _taken_away(product, key, reference)
    if isinstance(taken, Unknown):
        return taken
    water, exempt = taken
    try:
        value = float(voc_less_water_and_exempt(material, water, exempt))
    except ValueError as error:
        return Unknown(str(error))
    name = say("VOC less water and exempt") if key == "VOC" else say("HAP less water")
    inputs = (
        (say("voc"), Figure(say("content of the material"), material, "kg/m3", formula="content_of_material")),
        (say("water"), Figure(say("volume share of water"), water, "1", formula="water_volume_share")),
        (say("exempt"), Figure(say("volume share of exempt solvent"), exempt, "1")),
    )
    return Figure(name, value, "kg/m3", formula="voc_less_water_and_exempt", inputs=inputs)


def _taken_away(product: Product, key: str, reference: Reference) -> tuple[float, float] | Unknown:
    """Volume shares of water and of exempt solvent that a content is figured less of, at most."""
    if isinstance(product.density, Unknown):
        return product.density
    exempt = exempt_volume(product, reference) if key == "VOC" else 0.0
    if isinstance(exempt, Unknown):
        return exempt
    return float(water_volume_share(product.density, sum(p.high for p in product.parts if p.cas == WATER))), exempt


def exempt_volume(product: Product, reference: Reference) -> float | Unknown:
    """Volume share of exempt solvent in a product, at most."""
    kind = kind_called("exempt", reference)
    if kind is None or isinstance(product.density, Unknown):
        return Unknown(say("no loaded pack says what is exempt"))
    total = 0.0
    for part in product.parts:
        if part.volatile and part.cas and kind.counts(part.cas):
            substance = reference.substance(part.cas)
            density = substance if isinstance(substance, Unknown) else substance.best("density")
            if isinstance(density, Unknown):
                return density
            total += product.density * part.high / density.value
    return total


def averages(used: Iterable[tuple[Product, float]], reference: Reference) -> list[tuple[str, ...]]:
    """A row for each category of coating used: volume [m3] by product to the average against the limit.

    The average is over volumes less water and exempt solvent, 40 CFR 63.750(f).
    """
    groups: dict[str, list[tuple[Product, float]]] = {}
    for product, volume in used:
        row = category(product, reference)
        if row is not None and volume > 0:
            groups.setdefault(str(row["id"]), []).append((product, volume))
    rows = []
    for id, members in sorted(groups.items()):
        limit = row_called("coating_limit", id, reference)
        assert limit is not None
        rows.append(
            (
                str(limit["title"]),
                ", ".join(sorted({p.name for p, _ in members})),
                *_averages(members, limit, reference),
            )
        )
    return rows


def _averages(members: list[tuple[Product, float]], row: Mapping[str, Any], reference: Reference) -> tuple[str, ...]:
    limit = units.read(row["limit"], "density")
    cells = []
    for key in ("VOC", "HAP"):
        parts: list[tuple[float, float]] = []
        for product, volume in members:
            figure, taken = contents(product, key, reference), _taken_away(product, key, reference)
            if isinstance(figure, Unknown) or isinstance(taken, Unknown):
                parts = []
                break
            parts.append((volume * (1 - sum(taken)), figure.value))
        if not parts:
            cells.append(say("UNKNOWN"))
            continue
        value = float(average_content(parts))
        over = crossed(settled(value), limit, row["compare"])
        shown = levels.shown(value, limit, lambda x: units.show(x, "density", "g/L"))
        cells.append(say("{shown}, over the limit", shown=shown) if over else shown)
    return (*cells, str(row["printed"]))
