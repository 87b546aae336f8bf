"""One table for each container: what its label must say, and what is known of it.

The command ``label`` prints the table with the key ``container:ID``; its first row is the words the rule requires.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from safety import quantities
from safety.cited import Unknown
from safety.model import Block, Container, Grid, OpenPoint, Product, Settles, Shop
from safety.reference import Reference
from safety.reference.citing import sources
from safety.reference.hazards import product_hazards
from safety.words import say
from safety_waste import amounts, traits, us
from safety_waste.bins import for_wipes, form_of_line
from safety_waste.codes import verdicts
from safety_waste.due import due
from safety_waste.fill import Fill
from safety_waste.month import Month, on_site
from safety_waste.rules import threshold
from safety_waste.shipping import reportable


def blocks(
    fills: Mapping[str, Fill], months: Mapping[str, Month] | None, day: date, shop: Shop, reference: Reference
) -> list[Block]:
    """A table for every container of the shop."""
    held = on_site(fills.values(), reference)[0]
    return [_block(one, months, day, shop, reference, held) for one in fills.values()]


def label_rows(container: Container, reference: Reference) -> list[Mapping[str, Any]]:
    """The rules on the words of a container's label."""
    kind = "wipes" if for_wipes(container) and us.wipes_adopted(reference) else container.kind
    return [row for row in reference.table("label_words") if row["kind"] == kind]


def _block(
    one: Fill, months: Mapping[str, Month] | None, day: date, shop: Shop, reference: Reference, held: float
) -> Block:
    container, asked = one.container, label_rows(one.container, reference)
    words = " / ".join(dict.fromkeys(word for row in asked for word in row["words"]))
    words = words or say("UNKNOWN: no loaded rule says what must stand on it")
    limit = due(one, months, day, shop, reference, held)
    rows = [
        (say("Words"), words),
        (say("Contents"), container.contents or container.stream),
        (
            say("Started"),
            one.started.isoformat() if one.started else say("not started: write the date when the first waste goes in"),
        ),
        *_hazard(one, shop, reference),
        (say("Holds"), _holds(one, shop)),
        (say("Last day"), say("{day} ({why})", day=limit.last, why=limit.why) if limit.last else limit.why),
    ]
    volume = threshold("satellite-volume", reference)
    if container.kind == "satellite" and volume is not None and not for_wipes(container):
        blank = say("__________ (when its area holds over {limit})", limit=amounts.limit(volume))
        rows.append((say("Over limit on"), one.over_since.isoformat() if one.over_since else blank))
    rule = "; ".join(filter(None, (sources(asked), limit.rule)))
    rows.append((say("Rule"), rule or say("none loaded")))
    return Grid(
        say("Container {id}", id=container.id),
        (say("What"), say("As known")),
        tuple(rows),
        key=f"container:{container.id}",
        unknown=_unknown(one, shop),
        statements=_statements(one.known, reference),
    )


def _statements(products: Iterable[Product], reference: Reference) -> tuple[str, ...]:
    """The hazard statements of what is known to be in it."""
    return tuple(sorted({code for p in products for code in product_hazards(p, reference).codes}))


def _unknown(one: Fill, shop: Shop) -> tuple[OpenPoint, ...]:
    """What nobody can say of the contents."""
    whys: dict[str, Settles] = {}
    for product, _ in one.products:
        if product is not None:
            whys.setdefault(traits.secret(product), "maker")
        else:
            whys.setdefault(say("nobody recorded what {name} is", name=say("mixed waste")), "recorder")
    return tuple(
        OpenPoint(
            say("{container}: {why}, so its waste codes are not all known.", container=one.container.id, why=why),
            who,
            "waste codes",
            ", ".join((one.container.id, why)),
        )
        for why, who in whys.items()
        if why
    )


@dataclass(frozen=True, slots=True)
class _Contents:
    """What the rules say of what is in a container."""

    products: list[Product]
    mixed: bool  # something of which nobody said what it is
    covered: bool  # some loaded rule speaks of waste
    excluded: bool  # wipes that a rule excludes, under its conditions
    sure: list[str]
    maybe: list[str]
    hazards: list[str]
    confirm: list[str]

    @property
    def secret(self) -> str:
        """Why not all is known of the products."""
        return "; ".join(dict.fromkeys(filter(None, map(traits.secret, self.products))))


def _contents(one: Fill, shop: Shop, reference: Reference) -> _Contents:
    known = [(product, way) for product, way in one.products if product is not None]
    products = one.known
    found = [v for p, way in known for v in verdicts(p, form_of_line(one.container, way, reference), reference)]
    sure = sorted({c for v in found for c in v.codes}, key=_listed_first)
    return _Contents(
        products=products,
        mixed=len(known) < len(one.products),
        covered=bool(found),
        excluded=for_wipes(one.container) and not any(us.wipes_barred(p, reference) for p in products),
        sure=sure,
        maybe=sorted({c for v in found for c in v.maybe} - set(sure), key=_listed_first),
        hazards=list(dict.fromkeys(h for v in found for h in v.hazards)),
        confirm=list(dict.fromkeys(c for v in found for c in v.confirm)),
    )


def _listed_first(code: str) -> tuple[bool, str]:
    """Codes of a listed waste before those of a characteristic (D), each by name."""
    return code[0] == "D", code


def _hazard(one: Fill, shop: Shop, reference: Reference) -> list[tuple[str, str]]:
    """Codes, hazard words and hazard statements of what is in it, and what a person must confirm."""
    held = _contents(one, shop, reference)
    if not held.products:
        text = say("not known: no record says what is in it; find out and write it by hand")
        return [(say("Hazard"), text)]
    rows = [
        (say("Hazard"), _hazard_words(held.hazards, bool(held.secret))),
        (say("Products in it"), ", ".join(dict.fromkeys(_named(p) for p in held.products))),
        (say("Hazard statements"), ", ".join(_statements(held.products, reference)) or say("UNKNOWN")),
        (say("Codes"), _codes(held)),
    ]
    over = [] if held.excluded else reportable([*held.sure, *held.maybe], one.mass, reference)
    if over:
        rows.append((say("Shipping paper"), _shipping(over)))
    confirm = _to_confirm(held)
    if confirm:
        rows.append((say("To be confirmed"), "; ".join(confirm)))
    return rows


def _codes(held: _Contents) -> str:
    if not held.covered:
        codes = say("none: no rules pack of the shop covers waste")
    else:
        maybe = (say("{code} (to be confirmed)", code=c) for c in held.maybe)
        codes = ", ".join([*held.sure, *maybe]) or say("no code found")
        if held.excluded:
            codes = say("none while every condition of the wipes exclusion is met; else {codes}", codes=codes)
    return say("UNKNOWN: {why}. Known so far: {codes}", why=held.secret, codes=codes) if held.secret else codes


def _shipping(over: Iterable[Mapping[str, Any]]) -> str:
    """Reportable quantities that are reached; ``over`` has the row of each."""
    rows = list(over)
    held = "; ".join(say("{quantity} of {code}", quantity=str(r["quantity"]), code=str(r["code"])) for r in rows)
    where = ", ".join(dict.fromkeys(str(r["citation"]) for r in rows))
    unsure = say(", unverified") if any("unverified" in r for r in rows) else ""
    return say("RQ, it holds {held} or more ({where}{unsure})", held=held, where=where, unsure=unsure)


def _to_confirm(held: _Contents) -> list[str]:
    found = list(held.confirm)
    if held.mixed:
        found.append(say("what is in it beside these: {names}", names=say("mixed waste")))
    unstated = dict.fromkeys(p.name for p in held.products if isinstance(p.hazards, Unknown))
    if unstated:
        found.append(say("the hazards of {names}", names=", ".join(unstated)))
    return found


def _hazard_words(hazards: list[str], secret: bool) -> str:
    words = ", ".join(hazards)
    if not words:
        return say("not known: find out and write it by hand")
    return say("{words}; what else is not known: find out and write it by hand", words=words) if secret else words


def _named(product: Product) -> str:
    parts = ", ".join(traits.hidden(product))
    return (
        say("{product} (holds an undisclosed part: {parts})", product=product.name, parts=parts)
        if parts
        else product.name
    )


def _holds(one: Fill, shop: Shop) -> str:
    if one.empty:
        return say("nothing by the records, size {size}", size=quantities.volume(one.container.size, shop.print_units))
    missing = one.mass_unknown or one.volume_unknown
    text = say(
        "{mass}, {volume} of {size}",
        mass=_at_least(quantities.mass(one.mass, shop.print_units), one.mass, one.mass_unknown),
        volume=_at_least(quantities.volume(one.volume, shop.print_units), one.volume, one.volume_unknown),
        size=quantities.volume(one.container.size, shop.print_units),
    )
    if missing:
        text = say(
            "{text}; records without a mass: {mass}, without a volume: {volume}",
            text=text,
            mass=one.mass_unknown,
            volume=one.volume_unknown,
        )
    return text


def _at_least(text: str, value: float, missing: int) -> str:
    """A sum that records are missing from is a least; one with nothing in it is not known."""
    if not missing:
        return text
    return say("at least {text}", text=text) if value > 0 else say("UNKNOWN")
