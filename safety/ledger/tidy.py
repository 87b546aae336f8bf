"""A shop's records as tidy tables, for its own analysis: one thing a row, numbers as numbers, units in the headers.

A year may hold a million lines, so the longest table is read from the database row by row, and only where it is
written.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any, cast

from sqlalchemy import and_, func, select

from safety.cited import Unknown
from safety.ledger.amounts import cubic_metres, kilograms
from safety.ledger.tables import entry
from safety.ledger.totals import within
from safety.ledger.view import View
from safety.model import Cell, Column, DataTable, Period, ReportKind
from safety.words import say

KIND = ReportKind(
    "records",
    say("Records, products and sums as tables"),
    say("Every line of the ledger and what its sums are, for the shop's own analysis."),
)

Row = tuple[Cell, ...]


class Lazily(Sequence[Row]):
    """Rows that are read anew each time somebody goes through them; how many there are is known beforehand."""

    def __init__(self, count: int, read: Callable[[], Iterator[Row]]):
        self._count, self._read = count, read

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[Row]:
        return self._read()

    def __getitem__(self, at: Any) -> Any:
        return tuple(self)[at]


#: Column of the ledger, or what is made of it -> name and title. Amounts of a reversal are negative, so sums come out.
_TEXTS = {
    "key": "Key of the line", "kind": "Kind of record", "way": "From or to where", "day": "Day on the wall",
    "happened": "Time with its zone offset", "product": "Product", "edition": "Number of the product's edition",
    "lot": "Lot", "job": "Job", "step": "Step", "operation": "Operation", "container": "Waste container",
    "typed": "Amount as it was written down", "basis": "How the amount is known", "expires": "Expiry as given",
    "receiver": "Who took it", "manifest": "Number of the shipping paper", "fate": "What became of it",
    "rest": "Whether the container stayed", "solvent_basis": "How its solvent is known", "who": "Who", "note": "Note",
    "against": "What spoke against it", "anyway": "Why it was done anyway", "recorded": "Time of recording, UTC",
    "sign": "1, or -1 for a line that takes another back",
}  # fmt: skip
_NUMBERS: dict[str, tuple[str, str, Callable[[Any], float]]] = {
    "mass_ug": ("mass_kg", "Mass, kg", kilograms),
    "volume_nl": ("volume_l", "Volume, L", lambda nanolitres: cubic_metres(nanolitres) * 1000),
    "density": ("density_kg_per_l", "Density, kg/L", lambda density: float(density) / 1000),
    "area": ("area_m2", "Area treated, m2", float),
    "solvent_low_ug": ("solvent_at_least_kg", "Solvent in waste at least, kg", kilograms),
    "solvent_high_ug": ("solvent_at_most_kg", "Solvent in waste at most, kg", kilograms),
}


def tables(seen: View, period: Period) -> Iterator[DataTable]:
    """All tables of a period."""
    yield _records(seen, period)
    yield _products(seen)
    yield _parts(seen)
    yield _sums(seen, period)
    yield _substances(seen, period)


def _records(seen: View, period: Period) -> DataTable:
    connection, where = seen.connection, (within(period), *seen.where)
    count = connection.scalar(select(func.count()).select_from(entry).where(*where)) or 0
    old = entry.alias()
    lines = (
        select(*(entry.c[name] for name in (*_TEXTS, *_NUMBERS)), old.c.key.label("takes_back"))
        .outerjoin(old, and_(old.c.id == entry.c.reverses))
        .where(*where)
        .order_by(entry.c.day, entry.c.happened, entry.c.id)
    )

    def read() -> Iterator[Row]:
        made = [make for _, _, make in _NUMBERS.values()]
        wide = len(_TEXTS)
        for row in connection.execution_options(yield_per=5000).execute(lines):
            numbers = (None if v is None else make(v) for v, make in zip(row[wide:-1], made, strict=True))
            yield (*row[:wide], *numbers, row[-1] or "")

    columns = [Column(name, say(title)) for name, title in _TEXTS.items()]
    columns += [Column(name, say(title)) for name, title, _ in _NUMBERS.values()]
    columns.append(Column("takes_back", say("Key of the line it takes back")))
    notes = (say("A line that takes another back has its amounts with a minus: sum the amounts, and count with sign."),)
    rows = cast("tuple[Row, ...]", Lazily(count, read))
    return DataTable("records", say("Every line of the ledger"), tuple(columns), rows, notes)


def _products(seen: View) -> DataTable:
    def known(value: float | Unknown) -> float | None:
        return None if isinstance(value, Unknown) else value

    rows = [
        (
            float(number),
            one.product,
            one.name,
            one.role,
            None if (density := known(one.density)) is None else density / 1000,
            known(one.voc),
            "" if isinstance(one.sds_revised, Unknown) else one.sds_revised.isoformat(),
            one.since.isoformat() if one.since else "",
        )
        for number, one in sorted(seen.editions().items())
    ]
    columns = (
        Column("edition", say("Number of the edition")),
        Column("product", say("Product")),
        Column("name", say("Name")),
        Column("role", say("Role")),
        Column("density_kg_per_l", say("Density, kg/L")),
        Column("voc_g_per_l", say("VOC the maker states, g/L")),
        Column("sheet_revised", say("Data sheet of")),
        Column("since", say("Holds from")),
    )
    return DataTable("products", say("Products as they were recorded"), columns, tuple(rows))


def _parts(seen: View) -> DataTable:
    rows = [
        (
            float(number),
            part.name,
            part.cas,
            100 * part.low,
            100 * part.high,
            say("yes") if part.volatile else say("no"),
        )
        for number, one in sorted(seen.editions().items())
        for part in one.parts
    ]
    columns = (
        Column("edition", say("Number of the edition")),
        Column("part", say("Part")),
        Column("cas", say("CAS number"), say("empty where the maker does not say it, or there is none")),
        Column("at_least_percent", say("Weight at least, %")),
        Column("at_most_percent", say("Weight at most, %")),
        Column("volatile", say("Evaporates")),
    )
    return DataTable("parts", say("What the products are made of"), columns, tuple(rows))


def _sums(seen: View, period: Period) -> DataTable:
    rows = [
        (
            f.month, f.kind, f.way, f.product, None if f.edition is None else float(f.edition), f.operation, f.basis,
            f.mass, f.volume * 1000, float(f.entries), float(f.mass_unknown), float(f.volume_unknown),
        )
        for f in seen.flows(period)
    ]  # fmt: skip
    columns = (
        Column("month", say("Month")),
        Column("kind", say("Kind of record")),
        Column("way", say("From or to where")),
        Column("product", say("Product")),
        Column("edition", say("Number of the edition")),
        Column("operation", say("Operation")),
        Column("basis", say("How the amounts are known")),
        Column("mass_kg", say("Mass, kg")),
        Column("volume_l", say("Volume, L")),
        Column("records", say("Records")),
        Column("without_mass", say("Records whose mass is not known")),
        Column("without_volume", say("Records whose volume is not known")),
    )
    return DataTable("sums", say("Sums by month"), columns, tuple(rows))


def _substances(seen: View, period: Period) -> DataTable:
    rows = [(t.last, t.cas, t.name, t.low, t.mid, t.high, "; ".join(t.unknown)) for t in seen.by_substance(period)]
    columns = (
        Column("month", say("Month")),
        Column("cas", say("CAS number")),
        Column("name", say("Name")),
        Column("used_at_least_kg", say("Used at least, kg")),
        Column("used_middle_kg", say("Used, middle, kg")),
        Column("used_at_most_kg", say("Used at most, kg")),
        Column("not_in_it", say("What is not in these figures")),
    )
    return DataTable("substances", say("Substances used, by month"), columns, tuple(rows))
