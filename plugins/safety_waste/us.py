"""United States: spent-solvent listing before use, ignitability, toxicity, and the wipes exclusion."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from safety import units
from safety.cited import Cited, Unknown
from safety.formulas.waste import NONE, ignitability_code, leachate_at_most, spent_solvent_codes
from safety.model import WATER, Figure, Part, Product
from safety.reference import Reference, crossed, past
from safety.reference.citing import sources
from safety.words import message, say, term
from safety_waste.rules import meant_for, threshold
from safety_waste.traits import hidden, secret
from safety_waste.verdict import Verdict

RULES = "US"
HAZARD_WORDS = {
    "I": message("ignitable"),
    "T": message("toxic"),
    "C": message("corrosive"),
    "R": message("reactive"),
    "E": message("toxic"),
}
#: Alcohols of the exception for alcohol in water, by CAS number.
ALCOHOLS = {"67-56-1", "64-17-5", "67-63-0", "71-23-8", "71-36-3", "78-83-1", "78-92-2", "75-65-0"}


def covered(reference: Reference) -> bool:
    """Whether a pack of the shop holds the rules of the United States on waste."""
    return bool(reference.table("spent_solvent"))


def verdict(product: Product, form: str, reference: Reference) -> Verdict:
    """Codes of what a product leaves in a form, unless the wipes exclusion takes it out (see ``wipes_barred``)."""
    work = _Work(product, form, reference)
    if form == "expired-product":
        work.unused()
    elif meant_for(product, "ingredient_purpose", reference):
        work.ingredient()
    else:
        work.spent()
    work.ignitable()
    work.toxic()
    codes = tuple(sorted(work.codes, key=_order))
    maybe = tuple(sorted(work.maybe - work.codes, key=_order))
    rows = [row for row in reference.table("spent_solvent_code") if row["code"] in {*codes, *maybe}]
    letters = [letter for row in rows for letter in str(row["hazard"]).split(",")]
    letters += ["I"] if "D001" in {*codes, *maybe} else []
    letters += ["T"] if any(c[0] == "D" and c >= "D004" for c in (*codes, *maybe)) else []
    return Verdict(
        RULES,
        codes,
        maybe,
        tuple(work.because),
        tuple(dict.fromkeys(work.confirm)),
        tuple(work.used),
        meant_for(product, "ingredient_purpose", reference),
        tuple(dict.fromkeys(term(HAZARD_WORDS[letter]) for letter in letters)),
        tuple(work.figures),
    )


def _order(code: str) -> tuple[bool, str]:
    return code[0] == "D", code


@dataclass
class _Work:
    """One determination under way."""

    product: Product
    form: str
    reference: Reference
    codes: set[str] = field(default_factory=set)
    maybe: set[str] = field(default_factory=set)
    because: list[str] = field(default_factory=list)
    confirm: list[str] = field(default_factory=list)
    used: list[Any] = field(default_factory=list)
    figures: list[Figure] = field(default_factory=list)

    def spent(self) -> None:
        """The listing of spent solvents, by volume before use, at the corners of the composition."""
        listed: dict[str, list[Mapping[str, Any]]] = {}
        for row in self.reference.table("spent_solvent"):
            listed.setdefault(row["cas"], []).append(row)
        share = threshold("spent-solvent-share", self.reference)
        here = [part for part in self.product.parts if part.cas in listed and part.high > 0]
        unsaid = hidden(self.product)
        if share is not None:
            self.used.append(share)
        if unsaid:
            self.confirm.append(say("what {parts} is: it may add codes", parts=", ".join(unsaid)))
        if not here:
            self.because.append(say("No part of it is on the list of spent solvents."))
            return
        counted = {p.cas for p in here if set(_codes_of(listed[p.cas])) - {"F003"}}
        unsaid_use = not self.product.purpose
        corners = [
            self._codes(listed, much, degreasing)
            for much in (lambda p: p.cas in counted, lambda p: p.cas not in counted, lambda p: p.cas in listed)
            for degreasing in ((False, True) if unsaid_use else (is_degreaser(self.product),))
        ]
        sure, any_ = set.intersection(*corners), set.union(*corners)
        self.codes |= sure
        self.maybe |= any_ - sure
        self.used += [row for p in here for row in listed[p.cas]]
        names = ", ".join(term(listed[p.cas][0]["name"]) for p in here)
        if sure:
            self.because.append(say("Used as a solvent; before use it held {names}.", names=names))
        if any_ - sure:
            self.confirm.append(
                say(
                    "the make-up of {product} by volume before use: the data sheet's ranges leave {codes} open",
                    product=self.product.name,
                    codes=", ".join(sorted(any_ - sure)),
                )
            )
        if not any_:
            self.because.append(say("It holds {names}, but less than the share that makes it listed.", names=names))
        if unsaid_use:
            self.confirm.append(
                say("what {product} is for: part of a coating is no spent solvent", product=self.product.name)
            )
        if any("F001" in _codes_of(listed[p.cas]) for p in here) and not is_degreaser(self.product):
            self.confirm.append(say("that it was not used for degreasing; if it was, F001 belongs to it too"))

    def _codes(self, listed: Mapping[str, Sequence[Mapping[str, Any]]], much: Any, degreasing: bool) -> set[str]:
        parts = self.product.parts
        volumes = [(part.high if much(part) else part.low) / self._density(part) for part in parts]
        total = sum(volumes)
        if total <= 0:
            return set()
        shares = [
            (v / total, _codes_of(listed[p.cas]) if p.cas in listed else ())
            for p, v in zip(parts, volumes, strict=True)
        ]
        share = threshold("spent-solvent-share", self.reference)
        least = {} if share is None else {"listed_share": share.value}
        # far above any flash point: ignitability is judged by itself
        found = spent_solvent_codes(shares, 1000.0, degreasing, **least)
        return set() if found == NONE else set(found.split(", "))

    def _density(self, part: Part) -> float:
        substance = self.reference.substance(part.cas) if part.cas else Unknown(say("no CAS number"))
        value = Unknown("") if isinstance(substance, Unknown) else substance.best("density")
        if isinstance(value, Cited):
            return value.value
        return 1000.0 if isinstance(self.product.density, Unknown) else self.product.density

    def ingredient(self) -> None:
        rows = [r for r in self.reference.table("spent_solvent_scope") if r["id"] == "ingredient"]
        self.used += rows
        self.because += [term(row["text"]) for row in rows]
        self.confirm.append(say("that no solvent was added to clean it off: that solvent is spent"))

    def unused(self) -> None:
        rows = [r for r in self.reference.table("spent_solvent_scope") if r["id"] == "unused"]
        self.used += rows
        self.because += [term(row["text"]) for row in rows]
        active = [p for p in self.product.parts if p.volatile and p.high > 0]
        for row in self.reference.table("unused_product"):
            # one that stays in the film is an active part, too
            listed = [p for p in self.product.parts if p.cas == row["cas"] and p.high > 0]
            if listed and all(p in listed for p in active):
                self.maybe.add(str(row["code"]))
                self.used.append(row)
                self.confirm.append(say("that {name} is the only active part", name=term(row["name"])))

    def ignitable(self) -> None:
        """Code D001 is for what runs; for a solid it depends on free liquid."""
        limit = threshold("ignitable-flash-point", self.reference)
        if limit is None:
            return
        flash = self.product.flash_point
        self.used.append(limit)
        if self.product.no_flash_point:
            ground = self.product.no_flash_point
            self.because.append(say("It has no flash point ({ground}), so it is not D001.", ground=ground))
            return
        if isinstance(flash, Unknown):
            self.maybe.add("D001")
            self.confirm.append(say("its flash point: it is not known, so it counts as ignitable"))
            return
        figure = Figure(say("flash point of {product}", product=self.product.name), flash, "K", "", (("limit", limit),))
        self.figures.append(figure)
        if not past(flash, limit):
            self.because.append(say("Its flash point is not under {limit}.", limit=limit.written))
            return
        if self._alcohol_in_water(flash):
            self.because.append(say("It burns, but it is a little alcohol in water, which the rule leaves out."))
            self.used += [t for n in ("ignitable-alcohol", "ignitable-water") if (t := threshold(n, self.reference))]
            return
        if self.form in ("free-liquid", "expired-product"):
            self.codes.add("D001")
            self.because.append(say("Its flash point is under {limit}.", limit=limit.written))
        else:
            self.maybe.add("D001")
            self.confirm.append(say("that nothing drips (paint filter test): free liquid in it would be D001"))

    def _alcohol_in_water(self, flash: float) -> bool:
        """By the careful corner: the least water, the most alcohol."""
        water = sum(p.low for p in self.product.parts if p.cas == WATER)
        alcohol = [p for p in self.product.parts if p.cas in ALCOHOLS]
        if not alcohol or water <= 0 or any(not p.disclosed for p in self.product.parts):
            return False
        volumes = {p.cas: (p.high if p in alcohol else p.low) / self._density(p) for p in self.product.parts}
        share = sum(volumes[p.cas] for p in alcohol) / sum(volumes.values())
        return ignitability_code(flash, water, share) == NONE

    def toxic(self) -> None:
        """Constituents that the leaching test may find over its limit."""
        for part, row, share in _constituents(self.product, self.reference):
            limit = units.read(row["limit"], "concentration")
            if self.form in ("free-liquid", "expired-product"):
                density = 1000.0 if isinstance(self.product.density, Unknown) else self.product.density
                most = share * density
            else:
                most = float(leachate_at_most(share, 1.0))
            name = term(row["name"])
            figure = Figure(
                say("{name} the leaching test could find, at most", name=name),
                most,
                "kg/m3",
                "leachate_at_most",
                (("share of the product", share), ("limit", str(row["limit"]))),
            )
            self.figures.append(figure)
            self.used.append(row)
            if crossed(most, limit, row["compare"]):
                self.maybe.add(str(row["code"]))
                text = say("by the leaching test that {name} stays under {limit}", name=name, limit=str(row["limit"]))
                self.confirm.append(
                    say("{text} ({part}), else it is {code}", text=text, part=part.name, code=row["code"])
                )


def _codes_of(rows: Iterable[Mapping[str, Any]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(code for row in rows for code in row["codes"]))


def is_degreaser(product: Product) -> bool:
    """Whether it is for degreasing, which brings code F001 beside F002."""
    return product.purpose == "degreaser"


def _constituents(product: Product, reference: Reference) -> Iterator[tuple[Part, Mapping[str, Any], float]]:
    limits = {row["cas"]: row for row in reference.table("toxicity")}
    for part in product.parts:
        if part.high <= 0:
            continue
        if part.cas in limits:
            yield part, limits[part.cas], part.high
            continue
        for row in reference.table("toxicity_source"):
            if part.cas == row["cas"] and row["holds"] in limits:
                yield part, limits[row["holds"]], part.high * float(row["share"])


# ---------------------------------------------------------------- wipes


def wipes_adopted(reference: Reference) -> bool:
    """Whether the exclusions hold here: a local pack may say ``adopted = false``."""
    return bool(reference.table("wipes_exclusion")) and not _not_adopted(reference)


def _not_adopted(reference: Reference) -> list[Mapping[str, Any]]:
    return [row for row in reference.table("wipes_state") if row.get("adopted") is False]


def wipes_rules(product: Product, reference: Reference) -> tuple[Mapping[str, Any], ...]:
    """The rows that say whether cloths with this product may be excluded wipes."""
    held = {part.cas for part in product.parts if part.high > 0}
    return (
        *reference.table("wipes_state"),
        *reference.table("wipes_exclusion"),
        *meant_for(product, "ingredient_purpose", reference),
        *(row for _, row, _ in _constituents(product, reference)),
        *(row for row in reference.table("wipes_barred") if row["cas"] in held),
    )


def wipes_barred(product: Product, reference: Reference) -> list[str]:
    """Why cloths with this product cannot be excluded wipes; nothing where they can, if every condition is met."""
    if not wipes_adopted(reference):
        where = sources(_not_adopted(reference)) or say("no pack of the shop has it")
        return [say("the exclusion of wipes does not hold here ({where})", where=where)]
    why = []
    if meant_for(product, "ingredient_purpose", reference):
        why.append(say("{product} is not only solvent", product=product.name))
    if not product.purpose:
        why.append(say("nobody says what {product} is for", product=product.name))
    if secret(product):
        why.append(secret(product))
    organic = {row["cas"] for row in reference.table("toxicity") if row["cas"].split("-")[0] not in _METALS}
    for part, _, _ in _constituents(product, reference):
        if part.cas not in organic:
            why.append(say("{part} makes it toxic by something that is not solvent", part=part.name))
    for part in product.parts:
        for row in reference.table("wipes_barred"):
            if row["cas"] == part.cas and part.high > 0:
                why.append(say("{part} bars {kind} wipes", part=part.name, kind=term(row["kind"])))
    return why


_METALS = {"7440", "7439", "7782"}


def wipes_conditions(reference: Reference) -> Sequence[Mapping[str, Any]]:
    return reference.table("wipes_condition") if wipes_adopted(reference) else ()
