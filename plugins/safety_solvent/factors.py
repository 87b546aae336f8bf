"""How much a square metre really takes: the shop's own weighed records against the shipped estimate."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from safety.cited import Unknown
from safety.model import LedgerView, Product, Shop
from safety.reference import Reference, crossed
from safety.reference.citing import cited
from safety.words import say, term

#: Where no pack says from how many jobs on the shop's own records count.
_JOBS = 3


@dataclass(frozen=True, slots=True)
class Own:
    """What weighing says of one product in one step [kg/m2]."""

    median: float
    least: float
    most: float
    jobs: int
    enough: bool  # jobs are enough to take the place of the estimate


Key = tuple[str, str]  # product id, step name


def own(ledger: LedgerView, reference: Reference, products: Collection[str] | None = None) -> dict[Key, Own]:
    """The shop's own factors, from uses that were weighed and have an area. One job on one day counts once.

    Of ``products``, by id, or of all.
    """
    needed = reference.threshold("own-factor-jobs")

    def enough(jobs: int) -> bool:
        return jobs >= _JOBS if isinstance(needed, Unknown) else bool(crossed(jobs, needed.value, needed.compare))

    return {
        (rate.product, rate.step): Own(rate.median, rate.least, rate.most, rate.jobs, enough(rate.jobs))
        for rate in ledger.weighed_rates(products)
    }


def estimate(work: str, product: Product, reference: Reference) -> Mapping[str, Any] | None:
    """The shipped estimate for a way of working with a product of this purpose, or None.

    Where nobody says what it is for, the most that the way of working takes with any.
    """
    rows = [row for row in reference.table("use_estimate") if row["work"] == work]
    meant = [row for row in rows if product.purpose in ("", row["purpose"])]
    return max(meant, key=lambda row: max(row["grams_per_m2"]), default=None)


def lines(factors: Mapping[Key, Own], shop: Shop, reference: Reference) -> list[str]:
    """A sentence for each product and step with weighed records, and for each estimate still in use."""
    found = []
    for (product, step), factor in sorted(factors.items()):
        name = shop.products[product].name if product in shop.products else product
        text = say(
            "{name}, {step}: median {median} g/m2 of {jobs} weighed jobs ({least} to {most}).",
            name=name,
            step=step or say("no step named"),
            median=_grams(factor.median),
            jobs=factor.jobs,
            least=_grams(factor.least),
            most=_grams(factor.most),
        )
        used = (
            say("It takes the place of the estimate.") if factor.enough else say("Not enough jobs: the estimate stays.")
        )
        found.append(say("{text} {used}", text=text, used=used))
    for row in reference.table("use_estimate"):
        low, typical, high = row["grams_per_m2"]
        found.append(
            say(
                "Estimate shipped with the program: {work} with a {purpose}, "
                "{typical} g/m2 ({low} to {high}); {cited}.",
                work=term(row["work"]),
                purpose=term(row["purpose"]),
                typical=typical,
                low=low,
                high=high,
                cited=cited(row),
            )
        )
    return found


def _grams(value: float) -> str:
    return say("{grams:.0f}", grams=value * 1000)
