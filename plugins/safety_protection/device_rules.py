"""What a law says of respirators against one substance: which it bars in this air, and how long a cartridge may stay.

A row of ``device_bar`` bars the respirators it describes wherever its substance is in the air (from its ``from_ppm``
on, over its ``over_ppm``, where it gives one), whatever the mask is put on for. A row of ``cartridge_change`` says
how long a cartridge may stay on. The rows of all packs hold together: one more row can only bar more.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from safety.exposure.result import Exposure, decisive
from safety.model import Job, Substance
from safety.reference import Reference, settled
from safety.words import say, term
from safety_protection.devices import CARTRIDGE_KINDS, Device
from safety_protection.rules import cite

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Bars:
    """The rows that hold in the air of one step."""

    rows: tuple[Row, ...]
    schedule: bool  # whether the shop has a written change schedule

    def against(self, found: Device) -> str:
        """Why a device is barred, or ""."""
        respirator = found.respirator
        hit = (row for row in self.rows if _describes(row, respirator.kind, respirator.facepiece))
        return next((term(row["text"]) for row in hit if not self._excused(row, found)), "")

    def bars_class(self, kind: str, facepiece: str) -> bool:
        """Whether no device of this kind and facepiece will do, whatever its cartridge."""
        return any(_describes(row, kind, facepiece) and not _may_be_excused(row) for row in self.rows)

    @property
    def words(self) -> str:
        """What the rows say, each with its source."""
        by_source: dict[str, list[str]] = {}
        for row in self.rows:
            by_source.setdefault(cite(row), []).append(term(row["text"]))
        told = (say("{text} ({citation})", text=" ".join(texts), citation=c) for c, texts in by_source.items())
        return " ".join(told)

    def _excused(self, row: Row, found: Device) -> bool:
        """Whether a row lets a device through that it describes."""
        if row.get("unless_schedule") and self.schedule:
            return True
        return found.cartridge.get("holds") in row.get("unless_holds", ())


def bars(job: Job, exposure: Exposure, step: int, reference: Reference) -> Bars:
    """What is barred in the air of a step."""
    return Bars(binding("device_bar", exposure, step, reference), "cartridge_change_time" in job.shop.settings)


def binding(table: str, exposure: Exposure, step: int, reference: Reference) -> tuple[Row, ...]:
    """The rows of a table that hold in the air of a step."""
    peak = exposure.ppm(exposure.steps[step].peak)
    found = []
    for row in reference.table(table):
        for column, substance in enumerate(exposure.substances):
            if not _is_of(row, substance) or not (peak[:, column] > 0).any():
                continue
            ppm = settled(float(decisive(peak[:, column])))
            if ppm >= row.get("from_ppm", 0.0) and ("over_ppm" not in row or ppm > row["over_ppm"]):
                found.append(row)
                break
    return tuple(found)


def most(substance: Substance, found: Device, reference: Reference) -> tuple[tuple[Row, float], ...]:
    """The rows that bar this device over a level of the substance, with the level [mole fraction]."""
    respirator = found.respirator
    return tuple(
        (row, float(row["over_ppm"]) * 1e-6)
        for row in reference.table("device_bar")
        if "over_ppm" in row and _is_of(row, substance) and _describes(row, respirator.kind, respirator.facepiece)
    )


def _is_of(row: Row, substance: Substance) -> bool:
    return bool(row["group"] in substance.groups if "group" in row else row["cas"] == substance.cas)


def _describes(row: Row, kind: str, facepiece: str) -> bool:
    """Whether a row speaks of such a device; one that speaks of cartridges, of those with one."""
    kinds = row.get("kinds", CARTRIDGE_KINDS if _may_be_excused(row) else (kind,))
    return kind in kinds and facepiece in row.get("facepieces", (facepiece,))


def _may_be_excused(row: Row) -> bool:
    return "unless_holds" in row or "unless_schedule" in row
