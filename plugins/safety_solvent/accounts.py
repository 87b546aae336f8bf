"""The sums a log needs: masses by kind over months, what went to the air, and what is not known."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from safety.cited import Unknown
from safety.model import Edition, Flow, InWaste, LedgerView, OpenPoint, Part, Period, Settles, shares, unrecorded
from safety.words import say
from safety_solvent import credit
from safety_solvent.books import Kind, share


@dataclass(frozen=True, slots=True)
class Sum:
    """A mass [kg] between the ends that the data sheets leave, and what is in none of the three."""

    low: float = 0.0
    mid: float = 0.0
    high: float = 0.0
    unknown: tuple[OpenPoint, ...] = ()

    @property
    def complete(self) -> bool:
        return not self.unknown


def add(sums: Iterable[Sum]) -> Sum:
    """Several masses as one."""
    found = list(sums)
    return Sum(
        sum(s.low for s in found),
        sum(s.mid for s in found),
        sum(s.high for s in found),
        tuple(dict.fromkeys(point for s in found for point in s.unknown)),
    )


def month_before(month: str, count: int) -> str:
    """The month ``count`` months before ``month`` ("2026-11")."""
    year, number = divmod(int(month[:4]) * 12 + int(month[5:]) - 1 - count, 12)
    return f"{year:04d}-{number + 1:02d}"


def months(period: Period) -> list[str]:
    found = [period.first]
    while found[-1] < period.last:
        found.append(month_before(found[-1], -1))
    return found


@dataclass(frozen=True, slots=True)
class Books:
    """Every sum of the ledger that a log may look at, by month."""

    period: Period
    flows: tuple[Flow, ...]
    editions: Mapping[int, Edition]
    begins: date | None = None  # the day of the first record of all
    began: date | None = None  # Shop.began
    waste: tuple[InWaste, ...] = ()
    _shares: dict[tuple[int, str], tuple[float, float, float, tuple[OpenPoint, ...]]] = field(default_factory=dict)

    @property
    def year(self) -> Period:
        """The calendar year of the period's last month, up to that month."""
        return Period(self.period.last[:4] + "-01", self.period.last)

    @property
    def rolling(self) -> Period:
        return Period(month_before(self.period.last, 11), self.period.last)

    def within(self, period: Period) -> Iterator[Flow]:
        return (f for f in self.flows if period.first <= f.month <= period.last)

    def silent(self, period: Period) -> bool:
        """Whether nothing at all is recorded in a period."""
        return next(self.within(period), None) is None

    def product(self, flow: Flow) -> str:
        return self.editions[flow.edition].name if flow.edition is not None else say("mixed waste")

    def kind(self, period: Period, kind: Kind, *, off: bool = False) -> Sum:
        """Mass of one kind used in a period; with ``off``, less what is known to have left in waste from jobs."""
        sums: dict[str, list[float]] = defaultdict(lambda: [0.0, 0.0, 0.0])
        unknown: dict[OpenPoint, None] = {}
        for edition, mass in self._used(period, unknown).items():
            *own, points = self._share(edition, kind)
            ends = sums[self.of_product(edition)]
            for i, of in enumerate(own):
                ends[i] += mass * of
            if mass:
                unknown |= dict.fromkeys(points)
        left = credit.by_product(self.waste, period, kind, self.editions) if off else {}
        found = [Sum(unknown=tuple(unknown))]
        for product, ends in sums.items():
            low, mid, high = (credit.emitted(end, left.get(product, 0.0)) for end in ends)
            found.append(Sum(low, mid, high))
        return add(found)

    def substances(self, period: Period) -> dict[str, tuple[str, Sum]]:
        """CAS number -> name and mass of each volatile substance used in a period; "" for what is not disclosed."""
        sums: dict[str, list[float]] = defaultdict(lambda: [0.0, 0.0, 0.0])
        names: dict[str, str] = {}
        unknown: dict[OpenPoint, None] = {}
        for edition, net in self._used(period, unknown).items():
            for part, *ends in shares(self.editions[edition].parts):
                if part.volatile:
                    names.setdefault(part.cas, part.name if part.cas else say("not disclosed"))
                    for i, of in enumerate(ends):
                        sums[part.cas][i] += net * of
        return {
            cas: (names[cas], Sum(low, mid, high, tuple(unknown))) for cas, (low, mid, high) in sorted(sums.items())
        }

    def mass_of(self, period: Period, of: Callable[[Edition], float]) -> dict[str, float]:
        """Product id -> the mass used in a period of what ``of`` says is a share of it."""
        found: dict[str, float] = defaultdict(float)
        for edition, mass in self._used(period, {}).items():
            found[self.of_product(edition)] += max(mass, 0.0) * of(self.editions[edition])
        return found

    def parts(self, period: Period) -> list[Part]:
        """The parts of every product used in a period, as each of its editions had them."""
        return [part for edition in self._used(period, {}) for part in self.editions[edition].parts]

    def used(self, period: Period) -> dict[str, Sum]:
        """Product id -> mass used in a period."""
        sums: dict[str, float] = defaultdict(float)
        before = unrecorded(period, self.begins, self.began)
        for flow, sign in _used(self.within(period)):
            sums[flow.product] += sign * flow.mass
        without = {point.about: point for point in self._without_mass(period)}
        return {p: Sum(m, m, m, (*before, *filter(None, [without.get(p)]))) for p, m in sorted(sums.items())}

    def described(self) -> tuple[Edition, ...]:
        """The products of these sums as they were described, the latest last: what came after the period is none."""
        used = sorted({(f.month, f.edition) for f in self.flows if f.edition is not None})
        return tuple(self.editions[edition] for _, edition in used)

    def of_product(self, edition: int | None) -> str:
        """The id of the product that an edition is of."""
        return "" if edition is None else self.editions[edition].product

    def volumes(self, month: str) -> dict[tuple[int | None, str], Sum]:
        """(edition, operation) -> volume used in a month [m3], in the place of a mass.

        A record of what was put back names no operation: it is taken off all operations of the
        product alike.
        """
        sums: dict[tuple[int | None, str], float] = defaultdict(float)
        back: dict[str, float] = defaultdict(float)
        unknown: dict[tuple[int | None, str], OpenPoint] = {}
        for flow, _ in _used(self.within(Period(month, month))):
            if flow.kind == "return":
                back[flow.product] += flow.volume
            else:
                sums[flow.edition, flow.operation] += flow.volume
            if flow.volume_unknown:
                unknown[flow.edition, flow.operation] = self._without_volume(flow)
        whole: dict[str, float] = defaultdict(float)
        for (edition, _), volume in sums.items():
            whole[self.of_product(edition)] += volume
        found = {}
        for key in sorted({*sums, *unknown}, key=lambda one: (self.of_product(one[0]), one[1], one[0] or 0)):
            volume, product = sums.get(key, 0.0), self.of_product(key[0])
            if whole[product] > 0:
                volume *= 1 - back[product] / whole[product]
            found[key] = Sum(volume, volume, volume, (unknown[key],) if key in unknown else ())
        return found

    def by_basis(self, period: Period) -> dict[str, float]:
        """How the amounts used are known -> mass [kg]."""
        sums: dict[str, float] = defaultdict(float)
        for flow, sign in _used(self.within(period)):
            sums[flow.basis] += sign * flow.mass
        return dict(sorted(sums.items()))

    def _without_mass(self, period: Period) -> list[OpenPoint]:
        """One point for each product with uses in a period of which nobody knows the mass."""
        counts: Counter[str] = Counter()
        flows: dict[str, Flow] = {}
        for flow, _ in _used(self.within(period)):
            if flow.mass_unknown:
                counts[flow.product] += flow.mass_unknown
                flows[flow.product] = flow
        return [
            OpenPoint(
                say(
                    "{product}: records without a known mass: {count}.",
                    product=self.product(flow),
                    count=counts[product],
                ),
                self._who_weighs(flow),
                "no mass",
                product,
                counts[product],
            )
            for product, flow in flows.items()
        ]

    def _without_volume(self, flow: Flow) -> OpenPoint:
        """One point for the product of a flow, over all the time a total may be of."""
        all_of_it = Period(min(self.period.first, self.rolling.first), self.period.last)
        mine = (f for f, _ in _used(self.within(all_of_it)) if f.product == flow.product)
        count = sum(f.volume_unknown for f in mine)
        text = say("{product}: records without a known volume: {count}.", product=self.product(flow), count=count)
        return OpenPoint(text, self._who_weighs(flow), "no volume", flow.product, count)

    def _who_weighs(self, flow: Flow) -> Settles:
        """A volume becomes a mass by the density, which the file has from the data sheet."""
        made = None if flow.edition is None else self.editions[flow.edition]
        return "files" if made is not None and isinstance(made.density, Unknown) else "recorder"

    def _used(self, period: Period, unknown: dict[OpenPoint, None]) -> dict[int, float]:
        """Edition -> mass used."""
        used: dict[int, float] = defaultdict(float)
        if self.silent(self.period) and period.first <= self.period.first and period.last >= self.period.last:
            # nobody wrote anything down in all that time: that is not a use of zero
            unknown[nothing_recorded()] = None
        unknown |= dict.fromkeys(unrecorded(period, self.begins, self.began))
        lacking = False
        for flow, sign in _used(self.within(period)):
            if flow.edition is not None:
                used[flow.edition] += sign * flow.mass
            lacking = lacking or bool(flow.mass_unknown)
        if lacking:
            unknown |= dict.fromkeys(self._without_mass(period))
        return used

    def _share(self, edition: int, kind: Kind) -> tuple[float, float, float, tuple[OpenPoint, ...]]:
        key = (edition, kind.key)
        if key not in self._shares:
            made = self.editions[edition]
            own = share(made.parts, kind, made.name)
            points = tuple(_unsorted(made, part, kind) for part in own.unsorted)
            self._shares[key] = (own.low, own.mid, own.high, points)
        return self._shares[key]


def _used(flows: Iterable[Flow]) -> Iterator[tuple[Flow, int]]:
    for flow in flows:
        if flow.kind == "use":
            yield flow, 1
        elif (flow.kind, flow.way) == ("return", "to stock"):
            yield flow, -1


def nothing_recorded() -> OpenPoint:
    return OpenPoint(say("Nothing at all is recorded in this period."), "recorder", "nothing recorded")


def _unsorted(made: Edition, part: Part, kind: Kind) -> OpenPoint:
    """A part of which nobody knows how it counts. What the maker does not say is open for every rule alike."""
    product = made.name
    if not part.cas:
        text = say(
            "{product}: the maker does not say what {part} is, so it may count against a limit or not.",
            product=product,
            part=part.name,
        )
        return OpenPoint(text, "maker", "not disclosed", ", ".join((made.product, part.name)))
    text = say(
        "{product}: no loaded rule says whether {part} counts as {kind}.",
        product=product,
        part=part.name,
        kind=kind.word,
    )
    return OpenPoint(text, "rules", "not sorted", ", ".join((part.cas, kind.key)))


def open_books(period: Period, ledger: LedgerView, began: date | None = None) -> Books:
    """Ask the ledger once for all sums of the period, its calendar year and its rolling years."""
    first = min(
        month_before(period.first, 11), month_before(period.last, 22)
    )  # a chart of rolling years looks far back
    whole = Period(first, period.last)
    return Books(period, ledger.flows(whole), ledger.editions(), ledger.begins, began, ledger.in_waste(whole))
