"""Which lines of waste count towards the category of a generator, and from which day on."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Literal

from safety.model import Container, Entry, LedgerView, Product, Shop
from safety.reference import Reference
from safety_waste import us
from safety_waste.bins import for_wipes, form_of_line
from safety_waste.decided import settled
from safety_waste.fill import local_day, moved
from safety_waste.meant import meant
from safety_waste.rules import days
from safety_waste.verdict import Verdict

#: How a line counts. "apart": under rules of its own; "none": a person decided that it is not hazardous; "asked": no
#: code was found, which proves nothing, so a person is asked.
Counts = Literal["counted", "wipes", "empties", "apart", "none", "asked"]


def of_container(container: Container | None, reference: Reference) -> Counts:
    """How what a container takes counts. What nobody knows counts."""
    if container is None:
        return "counted"
    if container.regime:
        return "apart"
    if for_wipes(container) and us.wipes_adopted(reference):
        return "wipes"
    return "empties" if container.accepts == ("empty-containers",) else "counted"


@dataclass
class Counting:
    """Answers for the lines of a ledger; what a product is as waste is asked once."""

    reference: Reference
    overdue: dict[int, date]  # number of a line of wipes -> the day its exclusion was over
    # by identity: a product holds mappings and has no hash; kept beside its answer, it stays what it is
    seen: dict[tuple[int, str], tuple[Product, Verdict]] = field(default_factory=dict)
    barred: dict[int, tuple[Product, bool]] = field(default_factory=dict)

    def kind(self, entry: Entry, product: Product | None, container: Container | None) -> tuple[Counts, bool]:
        """How a line counts, and whether it is acute waste."""
        kind = of_container(container, self.reference)
        if kind == "wipes" and (entry.number in self.overdue or self.spoilt(product)):
            kind = "counted"
        if kind != "counted" or product is None or not us.covered(self.reference):
            return kind, False
        found = self.verdict(product, form_of_line(container, entry.way, self.reference))
        if found.asked:
            return "asked", False
        return ("none" if found.decided and not found.codes else "counted"), found.acute

    def day(self, entry: Entry) -> date:
        """The day from which a line counts: wipes kept too long are hazardous waste from the day they were."""
        return self.overdue.get(entry.number, entry.day)

    def spoilt(self, product: Product | None) -> bool:
        """Whether cloths with a product cannot be excluded wipes."""
        if product is None:
            return False
        if id(product) not in self.barred:
            self.barred[id(product)] = product, bool(us.wipes_barred(product, self.reference))
        return self.barred[id(product)][1]

    def verdict(self, product: Product, form: str) -> Verdict:
        key = id(product), form
        if key not in self.seen:
            found = us.verdict(product, form, self.reference)
            self.seen[key] = product, settled(found, product, form, self.reference)
        return self.seen[key][1]


def counting(ledger: LedgerView, shop: Shop, reference: Reference, until: date) -> Counting:
    """How the lines of a ledger count up to a day."""
    return Counting(reference, _kept_too_long(ledger, shop, reference, until))


def _kept_too_long(ledger: LedgerView, shop: Shop, reference: Reference, until: date) -> dict[int, date]:
    """Every line of wipes that stayed longer than their exclusion lasts, with the day after its last."""
    lasting = days("wipes-days", reference)
    if lasting is None or not us.wipes_adopted(reference):
        return {}
    then, found = meant(ledger, shop), dict[int, date]()
    inside: dict[str, list[Entry]] = defaultdict(list)
    started: dict[str, date] = {}
    emptied: dict[str, date] = {}

    def look(name: str, day: date) -> None:
        over = started[name] + timedelta(days=lasting[0] + 1) if name in started else None
        if over is not None and over <= day:
            found.update((entry.number, max(over, entry.day)) for entry in inside[name])

    for entry in moved(ledger, until):
        container = then.container(entry)
        if container is None or not for_wipes(container):
            continue
        name = container.id
        if entry.kind == "waste":
            written = local_day(container.started)
            if written is None or written <= emptied.get(name, date.min):
                written = entry.day
            started[name] = min(started.get(name, entry.day), written)
            inside[name].append(entry)
        elif not entry.stays:
            look(name, entry.day)
            inside.pop(name, None)
            started.pop(name, None)
            emptied[name] = entry.day
    for name in list(inside):
        look(name, until)
    return found
