"""What counts as VOC, as organic HAP and as exempt, by the packs a shop has loaded; and amounts in words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from safety import units
from safety.cited import Unknown
from safety.model import WATER, Answer, Figure, Part, Product, Shop, Threshold, possible_share
from safety.quantities import mass
from safety.reference import Reference, crossed, past
from safety.reference.citing import cited, duty
from safety.words import message, say, term
from safety_solvent import listing

PLUGIN = "solvent"
#: Temperature of the vapour pressures the rules ask for [K].
COLD = 293.15


@dataclass(frozen=True, slots=True)
class Kind:
    """Something a rule counts. ``counts`` answers for a CAS number; None means that the pack does not say."""

    key: str  # "VOC", "HAP", "exempt", "VOC (EU)", "toxic chemical"
    title: str
    counts: Callable[[str], bool | None]
    solid: bool = False  # whether what stays in the film counts as well, where it has a CAS number
    enough: Callable[[Part], bool] = lambda part: True  # whether a part's share of a mixture is one the rule looks at
    groups: Mapping[str, str] = field(default_factory=dict)  # CAS number -> what the rule counts together, as one
    says: Callable[[str], tuple[Any, ...]] = lambda cas: ()  # by what ``counts`` answers: rows, a threshold, a figure

    @property
    def word(self) -> str:
        """What it is called, in the language being spoken."""
        return term(self.key)


@dataclass(frozen=True, slots=True)
class Share:
    """Weight share of a product that is of one kind, and what is not known of it."""

    low: float
    mid: float
    high: float
    unknown: tuple[str, ...] = ()
    unsorted: tuple[Part, ...] = ()  # the parts of which these sentences say that nobody knows how they count


def kinds(reference: Reference) -> tuple[Kind, ...]:
    """What the loaded packs count, or nothing where none of them covers solvent."""
    found = []
    exempt = {row["cas"] for row in reference.table("voc_exempt")}

    def rows(table: str) -> Callable[[str], tuple[Any, ...]]:
        return lambda cas: tuple(row for row in reference.table(table) if row["cas"] == cas)

    listed = {row["cas"]: bool(row["listed"]) for row in reference.table("hap")}
    if listed:
        found += [
            Kind(
                message("VOC"),
                _titled(say("VOC"), "VOC", reference),
                lambda cas: cas not in exempt and cas != WATER,
                says=rows("voc_exempt"),
            ),
            Kind(
                message("HAP"),
                _titled(say("organic HAP"), "HAP", reference),
                lambda cas: False if cas == WATER else listed.get(cas, listing.on(cas, "HAP", reference)),
                says=lambda cas: rows("hap")(cas) or listing.says(cas, "HAP", reference),
            ),
            Kind(
                message("exempt"),
                say("exempt solvent, not VOC"),
                lambda cas: cas in exempt and cas != WATER,
                says=rows("voc_exempt"),
            ),
        ]
    volatile = reference.threshold("voc-vapour-pressure")
    if isinstance(volatile, Threshold):
        found.append(_european(volatile, reference, message("VOC (EU)") if listed else "VOC"))
    return tuple(found)


def _titled(name: str, id: str, reference: Reference) -> str:
    law = duty(reference, id).text
    return say("{name} ({law})", name=name, law=law) if law else name


def _european(threshold: Threshold, reference: Reference, key: str) -> Kind:
    def counts(cas: str) -> bool | None:
        if cas == WATER:
            return False
        pressure = reference.vapour_pressure(cas, COLD)
        if isinstance(pressure, Unknown):
            return None
        return bool(crossed(pressure.value, threshold.value, threshold.compare))

    def says(cas: str) -> tuple[Any, ...]:
        pressure = reference.vapour_pressure(cas, COLD)
        return (threshold, pressure) if isinstance(pressure, Figure) else (threshold,)

    return Kind(key, say("VOC (2010/75/EU: 0.01 kPa or more at 20 degC)"), counts, says=says)


def said_of(parts: Iterable[Part], kinds: Iterable[Kind]) -> tuple[Any, ...]:
    """By what each part counts as each of these kinds, or does not."""
    kinds = tuple(kinds)
    return tuple(one for part in parts if part.volatile and part.cas for kind in kinds for one in kind.says(part.cas))


def inventory(reference: Reference) -> Kind | None:
    """What the release inventory lists. It is counted one by one and never as a whole: so it is none of ``kinds``."""
    rows = reference.table("release_inventory")
    if not rows:
        return None
    listed = {row["cas"]: bool(row["listed"]) for row in rows}
    names = ("toxic-release-share-carcinogen", "toxic-release-share-other")
    return Kind(
        message("toxic chemical"),
        say("toxic chemical"),
        listed.get,
        solid=True,
        enough=enough(reference, *names),
        groups={row["cas"]: term(row["group"]) for row in rows if row.get("group")},
    )


def one_of(kind: Kind, name: str) -> Kind:
    """One substance of a kind, by CAS number, or one group. What a maker does not disclose may be it."""
    return replace(kind, key=name, title=name, counts=lambda cas: kind.groups.get(cas, cas) == name)


def only(cas: str) -> Kind:
    """A kind of one substance, whatever a rule calls it, and whether it evaporates or stays."""
    return Kind(cas, cas, lambda other: other == cas, solid=True)


def enough(reference: Reference, carcinogen: str, other: str) -> Callable[[Part], bool]:
    """Whether a part reaches the share a rule counts from: less for a carcinogen, and for what nobody can say is none.

    Without both shares in the loaded packs any share is counted.
    """
    strict, plain = reference.threshold(carcinogen), reference.threshold(other)
    if isinstance(strict, Unknown) or isinstance(plain, Unknown):
        return lambda part: True
    carcinogens = {row["cas"] for row in reference.table("hap_carcinogen")}
    known = {row["cas"] for row in reference.table("hap")} - carcinogens
    return lambda part: past(part.high, plain if part.cas in known else strict)


def kind_called(key: str, reference: Reference) -> Kind | None:
    return next((kind for kind in kinds(reference) if kind.key == key), None)


def sorted_as(part: Part, kind: Kind) -> bool | None:
    """Whether a part counts as a kind; None: the maker does not say what it is, or no pack says whether it counts."""
    if not (part.volatile or (kind.solid and part.cas)) or not kind.enough(part):
        return False
    return kind.counts(part.cas) if part.cas else None


def share(parts: Iterable[Part], kind: Kind, product: str) -> Share:
    """The share of one kind in a product. What is not known counts from nothing to all of it, and is said."""
    low = mid = high = others_low = others_high = 0.0
    unknown, unsorted = [], []
    for part in parts:
        answer = sorted_as(part, kind)
        if answer is None:
            unsorted.append(part)
            high += part.high
            mid += part.high / 2
            others_high += part.high
            unknown.append(_unknown(part, kind, product))
        elif answer:
            low, mid, high = low + part.low, mid + (part.low + part.high) / 2, high + part.high
        else:
            others_low, others_high = others_low + part.low, others_high + part.high
    low, high = possible_share(low, high, others_low, others_high)
    return Share(low, min(max(mid, low), high), high, tuple(unknown), tuple(unsorted))


def _unknown(part: Part, kind: Kind, product: str) -> str:
    if not part.cas:
        return say(
            "{product}: the maker does not say what {part} is, so it may count as {kind} or not.",
            product=product,
            part=part.name,
            kind=kind.word,
        )
    return say(
        "{product}: no loaded rule says whether {part} counts as {kind}.",
        product=product,
        part=part.name,
        kind=kind.word,
    )


# ---------------------------------------------------------------- words of the packs


def kind_of_work(product: Product, reference: Reference) -> Mapping[str, Any] | None:
    """The row by which a product is for cleaning or removing, or None."""
    rows = reference.table("solvent_purpose")
    return next((row for row in rows if product.purpose in row["purposes"]), None)


def may_clean(product: Product, reference: Reference) -> bool:
    """Whether a product is for cleaning or removing, or nobody says what it is for and it is put on in no coats.

    The words of its role are for people. They decided before, and "shop solvent, green can" was no cleaner.
    """
    coats = product.coating or (product.application is not None and product.application.coats)
    unsaid = not product.purpose and not coats and bool(reference.table("solvent_purpose"))
    return unsaid or kind_of_work(product, reference) is not None


def row_called(table: str, id: str, reference: Reference) -> Mapping[str, Any] | None:
    return next((row for row in reference.table(table) if row["id"] == id), None)


def answer_to(question: str, shop: Shop) -> Answer | None:
    return next((a for a in shop.answers if a.question == question), None)


def answered(answer: Answer) -> str:
    """Who decided what, and when."""
    text = say(
        "{question}: {answer}, decided by {name} on {date}",
        question=answer.question,
        answer=answer.answer,
        name=answer.name,
        date=answer.date.isoformat(),
    )
    return say("{text} ({reason}).", text=text, reason=answer.reason) if answer.reason else say("{text}.", text=text)


def bound(limit: Threshold | Unknown) -> list[str]:
    """A threshold as a report notes it: its amount, its rule and what the rule says of it; nothing where none holds."""
    if isinstance(limit, Unknown):
        return []
    return [say("{written} ({rule}); {remark}.", written=limit.written, rule=cited(limit), remark=term(limit.remark))]


def how_to_answer(question: str) -> str:
    return say(
        'Write in shop.toml: [[answer]] question = "{question}", answer = "yes" or "no", name, date and reason.',
        question=question,
    )


# ---------------------------------------------------------------- amounts in words


def span(low: float, high: float, system: str) -> str:
    """A range of masses; one number where the ends read alike."""
    first, last = mass(low, system), mass(high, system)
    return first if first == last else say("{first} to {last}", first=first, last=last)


def content(value: float, system: str) -> str:
    """A content as the rules print it."""
    metric = units.show(value, "density", "g/L")
    if system == "si":
        return metric
    pounds = units.significant(units.convert(value, "density", "lb/US_gal"), 2)
    return say("{pounds} lb/gal ({metric})", pounds=pounds, metric=metric)


def figure(name: str, value: float, unit: str, **more: Any) -> Figure:
    return Figure(name, float(value), unit, **more)
