"""Rows of rules as records a figure can rest on, and citations in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from safety.model import Classification, Limit, Threshold
from safety.reference import tables
from safety.words import joined, say, term

if TYPE_CHECKING:
    from safety.reference import Reference


def as_threshold(row: Mapping[str, Any], name: str, value: float, unit: str = "1") -> Threshold:
    """One number of a table row as a record a figure can rest on."""
    return Threshold(
        name=name,
        value=value,
        unit=unit,
        compare="at or over",
        written=f"{value:g}" if unit == "1" else f"{value:g} {unit}",
        citation=row["citation"],
        edition=row["edition"],
        jurisdiction=row.get("pack", ""),
        pack=row.get("pack", ""),
        unverified=row.get("unverified", ""),
        remark=row.get("remark", ""),
    )


def cite(record: Threshold | Limit | Mapping[str, Any]) -> str:
    """Citation with edition, a word where nobody has checked it, and what other packs say on it."""
    citation, edition, unverified = (
        (record.citation, record.edition, record.unverified)
        if isinstance(record, (Threshold, Limit))
        else (record["citation"], record["edition"], record.get("unverified", ""))
    )
    text = say("{citation} ({edition})", citation=citation, edition=edition)
    text = say("{text}; unverified: {why}", text=text, why=term(unverified)) if unverified else text
    others = "" if isinstance(record, (Threshold, Limit)) else tables.beside(record)
    return say("{text}; {others}", text=text, others=others) if others else text


def called(limit: Limit) -> str:
    """A limit with its list, and the pack that has it; what stands in for a list is of no pack."""
    if not limit.pack:
        return say("{written} ({list})", written=limit.written, list=limit.list)
    return say("{written} ({list}, pack {pack})", written=limit.written, list=limit.list, pack=limit.pack)


def cited(row: Mapping[str, Any] | Threshold) -> str:
    """As ``cite``, with the pack: where a rule stands, of what date, and whether somebody has checked it."""
    return sources([row])


def sources(rows: Iterable[Mapping[str, Any] | Threshold]) -> str:
    """The citations of several rules, each once, and what other packs say on them; those of one edition together."""
    groups: dict[tuple[str, str, str, str], list[str]] = {}
    for row in rows:
        if isinstance(row, Threshold):
            named, group = row.citation, (row.edition, row.pack, row.unverified, "")
        else:
            unverified, others = str(row.get("unverified", "")), tables.beside(row)
            named, group = str(row["citation"]), (str(row["edition"]), str(row["pack"]), unverified, others)
        groups.setdefault(group, []).append(named)
    said = []
    for (edition, pack, why, others), citations in groups.items():
        named = "; ".join(dict.fromkeys(citations))
        text = say("{citations}, {edition} (pack {pack})", citations=named, edition=edition, pack=pack)
        text = say("{text}; unverified: {why}", text=text, why=term(why)) if why else text
        said.append(say("{text}; {others}", text=text, others=others) if others else text)
    return joined(said, "; ")


@dataclass(frozen=True, slots=True)
class Law:
    """What the packs of a shop name behind something that is said in every shop."""

    text: str  # "" where they name nothing
    rows: tuple[Mapping[str, Any], ...]  # the grounds of what is said


def duty(reference: Reference, id: str) -> Law:
    """The law behind one of the things that the table of duties lists."""
    found = [row for row in reference.table("duty") if row["id"] == id]
    found += [other.row for row in found for other in row.get("beside", ()) if other.how == "the same"]
    return Law(joined(dict.fromkeys(map(_place, found)), "; "), tuple(found))


def _place(row: Mapping[str, Any]) -> str:
    text, unverified = str(row["citation"]), row.get("unverified", "")
    return say("{text}; unverified: {why}", text=text, why=term(unverified)) if unverified else text


def named(one: Classification) -> str:
    """A hazard class with the list it is from, and a word where nobody has checked it."""
    text = " ".join(filter(None, (one.code, one.hazard_class, one.category)))
    if one.source is None:
        return text
    source = {"title": one.source.title, "edition": one.source.edition, "at": one.at}
    text = say("{class_}, {title} ({edition}), {at}", class_=text, **source)
    return say("{text}; unverified: {why}", text=text, why=term(one.unverified)) if one.unverified else text
