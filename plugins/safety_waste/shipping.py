"""Basics of a shipping description, as a draft for a trained person."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from safety import units
from safety.cited import Unknown
from safety.formulas.ignition import packing_group
from safety.model import Figure, Finding, Product
from safety.reference import Reference, crossed, settled
from safety.reference.citing import sources
from safety.words import joined, say
from safety_waste.leaves import name as form_name
from safety_waste.rules import PLUGIN, meant_for

#: Form of waste -> rows of the shipping table; a coating or adhesive has rows of its own.
STREAMS = {
    "free-liquid": "free-liquid",
    "expired-product": "free-liquid",
    "wet-cloths": "wet-cloths",
    "tools-and-gloves": "wet-cloths",
    "scrapings": "wet-cloths",
}
#: Purpose -> row, for a product thrown away as it is.
BY_PURPOSE = {"adhesive": "adhesive", "sealant": "coating-solution", "primer": "paint", "coating": "paint"}
NEAT = 0.95  # share from which a liquid goes by the name of its one solvent; our choice, no source


def findings(wastes: Iterable[tuple[Product, str]], reference: Reference) -> list[Finding]:
    """One draft for each entry of the table that the wastes (product, form) need; none where no rule describes them."""
    groups: dict[tuple[str, str, str], list[tuple[Product, str, Mapping[str, Any], tuple[Figure, ...], str]]] = {}
    for product, form in wastes:
        for row in _rows(product, form, reference):
            group, figures, ask = _group(product, row)
            groups.setdefault((str(row["un"]), str(row["name"]), group), []).append((product, form, row, figures, ask))
    return [_draft(un, group, own, reference) for (un, _, group), own in groups.items()]


def _draft(
    un: str,
    group: str,
    own: Sequence[tuple[Product, str, Mapping[str, Any], tuple[Figure, ...], str]],
    reference: Reference,
) -> Finding:
    row = own[0][2]
    described = say(
        "{un}, {name}, class {hazard}{group}",
        un=un,
        name=str(row["name"]),
        hazard=str(row["class"]),
        group=say(", packing group {group}", group=group) if group else "",
    )
    text = say("Draft for a trained person, not for the road: {described}.", described=described)
    of_product: dict[str, list[str]] = {}
    for product, form, *_ in own:
        of_product.setdefault(_technical(product, row), []).append(form_name(form))
    wastes = "; ".join(
        say("{forms} with {product}", forms=", ".join(forms), product=product) for product, forms in of_product.items()
    )
    text = joined((text, say("For: {wastes}.", wastes=wastes)))
    asks = list(dict.fromkeys(ask for *_, ask in own if ask))
    asks += [
        say("Ask what {product} is for: a coating or an adhesive has an entry of its own.", product=product.name)
        for product in {p.id: p for p, form, *_ in own if form == "expired-product" and not p.purpose}.values()
    ]
    rows = (row, *reference.table("shipping_order"))
    figures = tuple(f for *_, some, _ in own for f in some)
    key = f"waste-shipping:{un}{group}"
    return Finding(
        "note",
        "waste",
        joined((text, *asks)),
        say("{un}, draft", un=un),
        PLUGIN,
        figures=figures,
        rule=sources(rows),
        key=key,
        grounds=(*rows, *(row for product, *_ in own for row in meant_for(product, "ingredient_purpose", reference))),
    )


def _technical(product: Product, row: Mapping[str, Any]) -> str:
    """A product, with the names that go in brackets behind a name of the table that is not specific."""
    names = ", ".join(p.name for p in sorted(product.parts, key=lambda p: -p.high) if p.volatile and p.disclosed)
    if row.get("specific") or not names:
        return product.name
    return say("{product} (technical names: {names})", product=product.name, names=names)


def _rows(product: Product, form: str, reference: Reference) -> list[Mapping[str, Any]]:
    """The entries that may describe a waste: one, where the packs do not differ."""
    coating = bool(meant_for(product, "ingredient_purpose", reference))
    if form in ("free-liquid", "expired-product") and not coating:
        neat = {p.cas for p in product.parts if p.low >= NEAT}
        rows = [row for row in reference.table("shipping_neat") if row["cas"] in neat]
        if rows:
            return rows
    stream = STREAMS.get(form)
    if form == "expired-product" and coating:
        stream = BY_PURPOSE.get(product.purpose, "paint-related")
    return [row for row in reference.table("shipping") if row["stream"] == stream]


def _group(product: Product, row: Mapping[str, Any]) -> tuple[str, tuple[Figure, ...], str]:
    """The packing group, by flash point and boiling point for a flammable liquid."""
    groups = [str(g) for g in row["packing_groups"]]
    if str(row["class"]) != "3":
        return groups[0] if len(groups) == 1 else "", (), ""
    flash, boiling = product.flash_point, product.boiling_point
    if isinstance(flash, Unknown) or isinstance(boiling, Unknown):
        return "", (), say("Packing group UNKNOWN: it needs the flash point and the boiling point.")
    group = packing_group(flash, boiling)
    inputs = (
        ("flash point", Figure(say("flash point"), flash, "K")),
        ("boiling point", Figure(say("boiling point"), boiling, "K")),
    )
    figures = (Figure(say("flash point for the packing group"), flash, "K", "packing_group", inputs),)
    if group == "none":
        return "", figures, say("By its flash point it is no flammable liquid in transport: ask which entry fits.")
    return group, figures, ""


def reportable(codes: Iterable[str], mass: float, reference: Reference) -> list[Mapping[str, Any]]:
    """Rows of the codes whose reportable quantity a package with so much waste [kg] holds: RQ goes on its paper."""
    wanted = set(codes)
    return [
        row
        for row in reference.table("waste_reportable_quantity")
        if row["code"] in wanted and crossed(settled(mass), units.read(row["quantity"], "mass"), row["compare"])
    ]
