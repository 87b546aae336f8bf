"""What is known to have left in waste, and so did not go to the air: least solvent, once collected, never laundered."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from safety.formulas.solvent import emission_by_balance
from safety.model import WATER, Edition, Fate, Grid, InWaste, Part, Period, SolventBasis
from safety.quantities import mass
from safety.words import message, say, term
from safety_solvent.books import Kind, sorted_as

#: What becomes of waste whose solvent is taken off: a laundry blows it into the air or lets it into the water.
CREDITED: tuple[Fate, ...] = ("recovered", "treated", "disposed")

_FATES: Mapping[Fate, str] = {
    "recovered": message("collected, recovered"),
    "treated": message("collected, treated"),
    "disposed": message("collected, disposed of"),
    "laundered": message("collected for the laundry: never taken off"),
    "": message("collected, and nobody said what became of it: write its fate"),
}
_BASES: Mapping[SolventBasis, str] = {
    "measured": message("measured"),
    "tare": message("what holds it was weighed"),
    "plan": message("estimated from the plan of the job"),
    "": message("nobody said"),
}


def by_product(
    waste: Iterable[InWaste], period: Period, kind: Kind, editions: Mapping[int, Edition]
) -> dict[str, float]:
    """Mass of a kind that is known to have left the shop in a period [kg], by product."""
    found: dict[str, float] = defaultdict(float)
    for one in waste:
        if one.edition is not None and one.fate in CREDITED and period.first <= one.month <= period.last:
            found[one.product] += one.solvent * of_solvent(editions[one.edition].parts, kind)
    return found


def of_solvent(parts: Iterable[Part], kind: Kind) -> float:
    """The least share of a kind in what evaporates of a product and is not water."""
    own = others = 0.0
    for part in parts:
        if part.volatile and part.cas != WATER:
            if sorted_as(part, kind):
                own += part.low
            else:
                others += part.high
    return own / (own + others) if own else 0.0


def emitted(used: float, waste: float) -> float:
    """Used less waste; a correction, or waste of an earlier month's use, can leave nothing to credit."""
    gone = max(used, 0.0)
    return min(used, 0.0) + float(emission_by_balance(gone, 0.0, min(max(waste, 0.0), gone)))


def grid(waste: Iterable[InWaste], period: Period, system: str) -> Grid | None:
    """What became of waste from jobs, and how much of its solvent is taken off."""
    sums: dict[tuple[str, Fate, SolventBasis], list[float]] = defaultdict(lambda: [0.0, 0.0])
    for one in waste:
        if not one.month or period.first <= one.month <= period.last:
            own = sums["left" if one.month else "here", one.fate, one.basis]
            own[0], own[1] = own[0] + one.mass, own[1] + one.solvent
    rows = []
    for (where, fate, basis), (whole, solvent) in sorted(sums.items(), reverse=True):
        what = say("not collected yet") if where == "here" else term(_FATES[fate])
        off = solvent if where == "left" and fate in CREDITED else 0.0
        rows.append((what, term(_BASES[basis]), mass(whole, system), mass(solvent, system), mass(off, system)))
    if not rows:
        return None
    columns = (
        say("Waste from jobs"),
        say("How its solvent is known"),
        say("Mass"),
        say("Solvent in it, at least"),
        say("Taken off, at most what was used"),
    )
    return Grid(say("Solvent in waste, and what is taken off"), columns, tuple(rows), "solvent-in-waste")
