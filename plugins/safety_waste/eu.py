"""European Union: List of Waste codes by the process, and the hazardous properties that decide between mirrors."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from safety.cited import Unknown
from safety.formulas.waste import weighted_share
from safety.model import Classification, Figure, Product, Threshold
from safety.reference import Reference, crossed, past, settled
from safety.reference.hazards import fits
from safety.words import say, term
from safety_waste import traits
from safety_waste.rules import threshold
from safety_waste.verdict import Verdict

RULES = "EU"


def covered(reference: Reference) -> bool:
    """Whether a pack of the shop holds the List of Waste."""
    return bool(reference.table("list_of_waste"))


def streams(product: Product, form: str, reference: Reference) -> tuple[str, ...]:
    """The streams of the list that may fit a waste: by the process first, so a paint is never a spent solvent.

    Where nobody says what a product is for, it may be of any process that leaves this form.
    """
    held = traits.of_product(product, reference)
    rows = [row for row in processes(form, reference) if row.get("aqueous", "aqueous" in held) is ("aqueous" in held)]
    own = [row for row in rows if product.purpose in row["purposes"]] or rows
    found = list(dict.fromkeys(str(row["stream"]) for row in own)) or [form]
    if form == "free-liquid" and "isocyanate" in held and product.purpose in ("", "other", "hardener"):
        found = ["isocyanate"]
    return tuple("solvent-halogenated" if s == "solvent" and "halogenated" in held else s for s in found)


def processes(form: str, reference: Reference) -> list[Mapping[str, Any]]:
    """What the packs say on the process that a form of waste comes from."""
    return [row for row in reference.table("waste_process") if form in row["forms"]]


def verdict(product: Product, form: str, reference: Reference) -> Verdict:
    """Codes of what a product leaves in a form, hazardous where a property is reached or cannot be ruled out."""
    wanted = streams(product, form, reference)
    rows = [row for row in reference.table("list_of_waste") if set(row["streams"]) & set(wanted)]
    reached, used, unknown, figures = properties(product, reference)
    hazardous = bool(reached or unknown)
    chosen = [row for row in rows if row["hazardous"] == hazardous or not row["mirror"]] or rows
    confirm = [*unknown]
    if len(chosen) > 1:
        confirm.append(
            say("which of these codes fits the process: {codes}", codes=", ".join(r["code"] for r in chosen))
        )
    if any(row["mirror"] for row in chosen):
        confirm.append(say("the hazardous properties, which decide between this code and its mirror"))
    codes = tuple(str(row["code"]) for row in chosen)
    because = [term(row["title"]).capitalize() + "." for row in chosen]
    if reached:
        because.append(say("Hazardous properties reached: {list}.", list=", ".join(reached)))
    flash = threshold("hp3-flash-point", reference)
    return Verdict(
        RULES,
        codes[:1] if len(codes) == 1 else (),
        () if len(codes) == 1 else codes,
        tuple(because),
        tuple(dict.fromkeys(confirm)),
        (*chosen, *used),
        (*processes(form, reference), *(() if flash is None else (flash,))),
        tuple(reached),
        tuple(figures),
    )


def properties(product: Product, reference: Reference) -> tuple[list[str], list[Any], list[str], list[Figure]]:
    """Properties reached, rules used, what is not known, and figures; at the highest share of each part."""
    reached: dict[str, str] = {}
    used: list[Any] = []
    unknown: list[str] = []
    figures: list[Figure] = []
    flash = _flash_limit(product, reference)
    if flash is not None and not product.no_flash_point:
        if isinstance(product.flash_point, Unknown):
            unknown.append(say("its flash point (HP 3)"))
        elif past(product.flash_point, flash):
            reached["HP 3"] = (
                say("HP 3 flammable: flash point under {limit}", limit=flash.written)
                if flash.compare == "under"
                else say("HP 3 flammable: flash point up to {limit}", limit=flash.written)
            )
            used.append(flash)
    classes = []
    for part in product.parts:
        if part.high <= 0:
            continue
        substance = (
            reference.substance(part.cas) if part.cas else Unknown(say("{part} has no CAS number", part=part.name))
        )
        if isinstance(substance, Unknown) or isinstance(substance.hazards, Unknown):
            unknown.append(say("the classification of {part}", part=part.name))
        else:
            classes.append((part.high, substance.classes))
    for row in reference.table("hazardous_property"):
        share = _share(row, classes)
        if share > 0 and crossed(settled(share * 100), float(row["limit_percent"]), row["compare"]):
            name = str(row["property"])
            used.append(row)
            figures.append(
                Figure(
                    say("share for {name}", name=name),
                    share * 100,
                    "%",
                    "weighted_share",
                    (("limit [%]", row["limit_percent"]), *_counted(row, product, reference)),
                )
            )
            reached.setdefault(name, say("{name} {title}", name=name, title=term(row["title"])))
    return list(reached), used, unknown, figures


def _flash_limit(product: Product, reference: Reference) -> Threshold | None:
    """Up to which flash point it is HP 3: gas oil, diesel and light heating oil have a higher one."""
    fuels = {row["cas"] for row in reference.table("gas_oil")}
    fuel = any(part.cas in fuels and part.high > 0 for part in product.parts)
    return threshold("hp3-fuel-flash-point" if fuel else "hp3-flash-point", reference)


def _counted(row: Mapping[str, Any], product: Product, reference: Reference) -> Iterator[tuple[str, Classification]]:
    """The classes of the parts that a row counts."""
    for part in product.parts:
        substance = reference.substance(part.cas) if part.cas else Unknown("")
        if part.high > 0 and not isinstance(substance, Unknown):
            for one in substance.classes:
                if any(fits(key, one) for key in row["weights"]):
                    yield part.name, one


def _share(row: Mapping[str, Any], classes: Iterable[tuple[float, tuple[Classification, ...]]]) -> float:
    """The share that counts for one row; a statement given without its category counts as the strictest."""
    cut_offs = row.get("cut_offs_percent", {})
    counted = []
    for share, held in classes:
        weighed = [
            (float(weight), float(cut_offs.get(key, row["cut_off_percent"])) / 100)
            for key, weight in row["weights"].items()
            if any(fits(key, one) for one in held)
        ]
        if weighed:
            counted.append((share, *max(weighed)))
    if not counted:
        return 0.0
    if row["how"] == "single":
        return max(share * weight for share, weight, _ in counted)
    shares, weights, cuts = zip(*counted, strict=True)
    return float(weighted_share(shares, weights, cuts))
