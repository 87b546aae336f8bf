"""Reports that are owed: typed tables with units in their headers, made by plugins and set by the core."""

from __future__ import annotations

from dataclasses import dataclass

from safety.model.books import Chained, Period
from safety.model.data import Pack
from safety.model.jobs import Shop
from safety.model.office import OpenPoint
from safety.model.sheets import Failure, ReportKind

#: One value of a table; None where it is not known or there is none. A day is text, "2026-11-25"; so is yes or no.
Cell = str | float | None


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table. Its name ends in its unit where it holds numbers: ``used_kg``."""

    name: str  # for programs: lower case, digits and _
    title: str  # for people
    says: str = ""  # what stands in it, where the title does not say it


@dataclass(frozen=True, slots=True)
class DataTable:
    """One table of a report: as many values in each row as there are columns."""

    name: str  # for programs, and of its file
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    notes: tuple[str, ...] = ()  # sentences: how it was reckoned, by which rule, and what nobody has checked
    unknown: tuple[str | OpenPoint, ...] = ()  # what is missing from it


@dataclass(frozen=True, slots=True)
class OwedReport:
    """A report of a period, before somebody has made it his own."""

    kind: ReportKind
    shop: Shop
    period: Period
    tables: tuple[DataTable, ...]
    points: tuple[OpenPoint, ...]  # what keeps it from being whole, each once
    failures: tuple[Failure, ...]
    packs: tuple[Pack, ...]
    version: str
    chained: Chained | None = None

    @property
    def complete(self) -> bool:
        return not self.points

    @property
    def missing(self) -> tuple[str, ...]:
        return tuple(point.text for point in self.points)
