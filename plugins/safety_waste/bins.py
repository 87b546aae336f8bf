"""Which of the shop's containers takes a waste. What may not meet is never offered the same one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from safety.model import Container, Shop
from safety.reference import Reference
from safety.words import clause, say, term
from safety_waste import traits
from safety_waste.leaves import Left
from safety_waste.leaves import name as form_name

CLOTHS = "wet-cloths"


@dataclass(frozen=True, slots=True)
class Placed:
    """A waste and the container for it; without one, ``why`` says what is in the way."""

    left: Left
    container: Container | None
    why: str = ""
    clashes: tuple[Mapping[str, Any], ...] = ()  # the row that keeps it out of the last container looked at
    rules: tuple[Mapping[str, Any], ...] = ()  # the rows by which containers take its form, or not what it meets there

    @property
    def held(self) -> bool:
        return self.left.form == "held"


#: What a container that takes several forms is judged as, the first of them.
_FIRST = ("free-liquid", "scrapings", CLOTHS, "tools-and-gloves", "expired-product", "empty-containers")


def form_of_line(container: Container | None, way: str, reference: Reference) -> str:
    """The form in which a line of the ledger is judged: unused from stock, else by what its container takes."""
    if way == "from stock":
        return "expired-product"
    taken = () if container is None else container.accepts
    return next((form for form in _FIRST if form in taken), "free-liquid")


def first_for(form: str, shop: Shop, reference: Reference) -> str:
    """The id of the first container that takes a form, satellite ones first; "" where there is none."""
    return next((c.id for c in nearest_first(shop) if form in c.accepts), "")


def nearest_first(shop: Shop) -> list[Container]:
    """Satellite containers before central ones, else in the order of the file."""
    return sorted(shop.containers, key=lambda c: c.kind == "central")


def for_wipes(container: Container) -> bool:
    """Whether nothing but wet cloths goes in, and nothing that would spoil their exclusion."""
    return (
        container.accepts == (CLOTHS,) and container.reactivity is not None and "chromate" not in container.reactivity
    )


def own_traits(container: Container) -> frozenset[str]:
    """What a container brings by what it is for. Where nobody says, it may be anything."""
    found: frozenset[str] = traits.ALL if container.reactivity is None else frozenset(container.reactivity)
    if for_wipes(container):
        return found | {"wipes"}
    return found | ({"central"} if container.kind == "central" else set())


def place(
    lefts: Iterable[Left], shop: Shop, reference: Reference, inside: Mapping[str, frozenset[str]]
) -> list[Placed]:
    """Give each waste the first container that takes its form and holds nothing it may not meet.

    ``inside`` holds the traits of what is in a container already; what is placed counts from then on.
    Satellite containers come first, then those of the file in order.
    """
    holds = {c.id: own_traits(c) | inside.get(c.id, frozenset()) for c in shop.containers}
    placed = []
    for left in lefts:
        brings = traits.of_product(left.product, reference)
        if left.form == CLOTHS and "chromate" not in brings:
            brings |= {"wipes"}
        one = _place(left, brings, shop, reference, holds)
        if one.container is not None:
            holds[one.container.id] |= brings - {"wipes"}
        placed.append(one)
    return placed


def _place(
    left: Left, brings: frozenset[str], shop: Shop, reference: Reference, holds: Mapping[str, frozenset[str]]
) -> Placed:
    against = ""
    clashes: list[Mapping[str, Any]] = []
    rules: list[Mapping[str, Any]] = [*left.rules, *traits.rows_behind(left.product, reference)]
    for container in nearest_first(shop):
        if left.form not in container.accepts:
            continue
        row = traits.clash(brings, holds[container.id], reference)
        if row is None:
            return Placed(left, container, rules=tuple(rules))
        rules.append(row)
        against = say("{container} is not for it: {text}", container=container.id, text=clause(term(row["text"])))
        if container.reactivity is None:
            against = say("what may not meet in {container} is not said: write its reactivity", container=container.id)
        clashes = [row]
    silent = [container.id for container in shop.containers if not container.accepts]
    if silent and not against:
        against = say("what {containers} take is not said: write what each accepts", containers=", ".join(silent))
    why = against or say("no container of the shop takes {form}", form=form_name(left.form))
    return Placed(left, None, why, tuple(clashes), tuple(rules))
