"""One exposure limit for a petroleum fraction, from limits for groups of hydrocarbons (reciprocal calculation)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from safety import units
from safety.formulas.fractions import reciprocal_limit
from safety.model import EIGHT_HOURS, Limit, LimitKind, Part
from safety.words import say

#: Benzene has a limit of its own, and a mixture with as much of it (share by weight) is in no group.
TOO_MUCH_BENZENE = 0.001
#: Hexane, too: a fraction that may hold it gets no limit from groups.
HEXANE = 6
QUARTER = 900.0  # s


def limits_of(parts: Iterable[Part], key: str, rows: Iterable[Mapping[str, Any]]) -> tuple[Limit, ...]:
    """The limits of what several products have under one number: the lowest of each list; none where one has none."""
    rows, several = tuple(rows), tuple(parts)
    found: list[Limit] = []
    for name in dict.fromkeys(str(row["list"]) for row in rows):
        listed = [row for row in rows if row["list"] == name]
        values = [_value(part, listed) for part in several]
        known = [value for value in values if value is not None]
        if known and len(known) == len(values):
            found += _limits(key, min(known), listed)
    return tuple(found)


def _value(part: Part, rows: list[Mapping[str, Any]]) -> float | None:
    """The limit of a fraction [kg/m3]; None where its groups, or how much of each it holds, are not all known."""
    numbers, aromatics, benzene = part.stated.carbon_numbers, part.stated.aromatics, part.stated.benzene
    if numbers is None or aromatics is None or benzene is None or benzene.high >= TOO_MUCH_BENZENE:
        return None
    if numbers[0] <= HEXANE:
        return None
    shares = {"aromatic": aromatics.high, "aliphatic": 1.0 - aromatics.high}  # the aromatics have the lower limit
    found = [(share, _lowest(kind, numbers, rows)) for kind, share in shares.items() if share > 0]
    if any(limit is None for _, limit in found):
        return None
    return float(reciprocal_limit([share for share, _ in found], [limit for _, limit in found]))


def _lowest(kind: str, numbers: tuple[int, int], rows: list[Mapping[str, Any]]) -> float | None:
    """The lowest limit of the groups that its molecules may be in; None where one of them is in no group."""
    own = [row for row in rows if row["kind"] == kind]
    held = [
        [row for row in own if row["carbon_from"] <= n <= row["carbon_to"]] for n in range(numbers[0], numbers[1] + 1)
    ]
    if not all(held):
        return None
    return min(units.read(row["value"], "concentration") for some in held for row in some)


def _limits(key: str, value: float, rows: list[Mapping[str, Any]]) -> Iterator[Limit]:
    yield _limit(key, "twa", value, EIGHT_HOURS, rows[0])
    excursions = [row["excursion"] for row in rows if "excursion" in row]
    if excursions:
        yield _limit(key, "short-term", value * min(excursions), QUARTER, rows[0])


def _limit(key: str, kind: LimitKind, value: float, averaging: float, row: Mapping[str, Any]) -> Limit:
    return Limit(
        cas=key,
        list=str(row["list"]),
        kind=kind,
        value=value,
        unit="mg/m3",
        written=units.show(value, "concentration", "mg/m3"),
        averaging=averaging,
        compare="over",
        citation=say("{citation}, by reciprocal calculation", citation=row["citation"]),
        edition=str(row["edition"]),
        jurisdiction="",
        pack=str(row["pack"]),
        unverified=str(row.get("unverified", "")),
    )
