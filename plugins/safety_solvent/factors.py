"""How much a square metre really takes: the shop's own weighed records against the shipped estimate."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import median
from typing import Any

from safety.cited import Unknown
from safety.model import Entry, LedgerView, Period, Product, Shop
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


def own(ledger: LedgerView, reference: Reference) -> dict[Key, Own]:
    """The shop's own factors, from uses that were weighed and have an area. One job on one day counts once."""
    if ledger.begins is None:
        return {}
    found: dict[Key, dict[tuple[str, str], list[tuple[float, float]]]] = defaultdict(lambda: defaultdict(list))
    for line in ledger.entries(Period(ledger.begins.isoformat()[:7], "9999-12"), "use"):
        if _counts(line):
            assert not isinstance(line.mass, Unknown)
            assert not isinstance(line.area, Unknown)
            found[line.product, line.step][line.job, line.day.isoformat()].append((line.mass, line.area))
    needed = reference.threshold("own-factor-jobs")
    factors = {}
    for key, jobs in found.items():
        each = sorted(sum(m for m, _ in lines) / sum(a for _, a in lines) for lines in jobs.values())
        enough = len(each) >= _JOBS if isinstance(needed, Unknown) else crossed(len(each), needed.value, needed.compare)
        factors[key] = Own(median(each), each[0], each[-1], len(each), bool(enough))
    return factors


def _counts(line: Entry) -> bool:
    weighed = line.basis == "weighed" and not isinstance(line.mass, Unknown) and not isinstance(line.area, Unknown)
    return weighed and bool(line.job) and not line.reverses and not line.reversed_by


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
