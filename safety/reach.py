"""How far the products of a shop will be judged, and the one thing that would help each most.

Each product is put to the test: a small wipe in the shop's first place, judged by every plugin as a sheet would be.
What would help is tried in the same way, with a stand-in for what is missing. So nothing is said here that a sheet
would not say, and no plugin's needs are written down twice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from typing import Literal

from safety.assessment import ASKED, assess
from safety.cited import Cited, Unknown
from safety.exposure.result import FEWEST
from safety.hosting.host import Host
from safety.model import (
    ANY,
    WATER,
    Finding,
    Job,
    LimitKind,
    Part,
    Product,
    Range,
    Report,
    Shop,
    StatedLimit,
    Step,
    Substance,
    Use,
)
from safety.reference import Reference, fractions
from safety.reference.sheet_pressure import FAINT
from safety.words import say
from safety.workplace import Workplace

Area = Literal["air", "fire", "hands", "waste", "books"]
AREAS: tuple[Area, ...] = ("air", "fire", "hands", "waste", "books")
#: What a sheet answers -> what a product is said to be judged for.
_AREA: dict[str, Area] = {
    "air": "air", "breathing": "air", "fire": "fire", "hands": "hands", "skin": "hands", "eyes": "hands",
    "data": "hands", "waste": "waste", "solvent": "books",
}  # fmt: skip

#: Stands in trials for a part nobody knows: its data are whole. Nothing that is found with it is printed.
_STAND_IN = "108-88-3"
_DENSITY, _FLASH_POINT, _BOILING_POINT, _VOC = 870.0, 277.0, 384.0, 870.0  # its own, SI
_SHORT: tuple[LimitKind, ...] = ("short-term", "ceiling", "peak")
_VOLUME, _SURFACE, _TIME = 2e-5, 0.2, 600.0  # m3, m2, s: a small wipe


@dataclass(frozen=True, slots=True)
class Help:
    """Something that is missing: its place in the product's file, and the areas it would open."""

    what: Literal[
        "named",
        "data",
        "density",
        "flash_point",
        "boiling_point",
        "boiling_range",
        "hazards",
        "voc",
        "limit",
        "short_limit",
        "vapour_pressure",
        "lower_explosive_limit",
        "confirmed",
    ]
    at: tuple[str | int, ...]
    part: str = ""
    opens: tuple[Area, ...] = ()


@dataclass(frozen=True, slots=True)
class Reach:
    """How far one product will be judged."""

    product: Product
    open: tuple[Area, ...]  # what a sheet would not know for the product's own sake
    of_the_shop: tuple[Area, ...]  # what it would not know of a product that is known whole: no gloves, no ledger
    helps: Help | None

    @property
    def judged(self) -> tuple[Area, ...]:
        return tuple(area for area in AREAS if area not in (*self.open, *self.of_the_shop))


def of_shop(workplace: Workplace, day: date) -> tuple[Reach, ...]:
    """How far each product of a shop will be judged on a day."""
    shop, now = workplace.shop, workplace.on(day)
    trials = _Trials(shop, now.reference, now.plugins, day)
    return tuple(_reach(trials, product) for product in shop.products.values())


@dataclass(frozen=True, slots=True)
class _Trials:
    """What products are tried with."""

    shop: Shop
    data: Reference
    plugins: Host
    day: date

    def gaps(self, product: Product) -> frozenset[tuple[Area, str, str]]:
        """What a sheet with this product would not know."""
        report = assess(_trial(self.shop, product, self.day), self.data, self.plugins.again(), draws=FEWEST)
        return frozenset(_gaps(report))


def _gaps(report: Report) -> Iterator[tuple[Area, str, str]]:
    for sentence in report.exposure.unknowns:
        yield "air", "exposure", sentence
    for one in report.findings:
        if one.unknown:
            yield _area(one), one.plugin, one.key
    answered = {one.topic for one in report.findings}
    for topic in ASKED:
        if topic not in answered:
            yield _AREA[topic], "", topic
    for failure in report.failures:
        for area in AREAS:
            yield area, failure.plugin, failure.hook


def _area(finding: Finding) -> Area:
    return "books" if finding.gap == "books" else _AREA.get(finding.topic, "air")


def _reach(trials: _Trials, product: Product) -> Reach:
    anyway = trials.gaps(_whole(product))
    gaps = trials.gaps(product) - anyway
    missing = [*_missing(product, trials.data)]
    best, most = (Help("confirmed", ("product", "draft")), 0) if product.draft else (None, 0)
    if best is None and gaps:  # several parts may hide one another: then the first of them is a beginning
        best = next((help for help, _ in missing if help.part), None)
    for help, mended in missing:
        left = trials.gaps(mended) - anyway
        opened = tuple(area for area in _areas(gaps) if area not in _areas(left))
        score = 1000 * len(opened) + len(gaps) - len(left)
        if score > most:
            best, most = replace(help, opens=opened), score
    return Reach(product, AREAS if product.draft else _areas(gaps), _areas(anyway), best)


def _areas(gaps: frozenset[tuple[Area, str, str]]) -> tuple[Area, ...]:
    found = {area for area, *_ in gaps}
    return tuple(area for area in AREAS if area in found)


def _missing(product: Product, data: Reference) -> Iterator[tuple[Help, Product]]:
    """Each thing that is missing, with the product as it would be if it were there."""
    data = fractions.known([product], data)
    yield from _limits(product, data, "limit", ("twa", *_SHORT))
    yield from _limits(product, data, "short_limit", _SHORT)
    for index, part in enumerate(product.parts):
        if _burns_from_nobody_knows(part, data):
            yield Help("lower_explosive_limit", ("product", "part", index), part.name), _burning(product, index)
        if part.volatile and not part.disclosed:
            yield Help("named", ("product", "part", index), part.name), _known(product, index)
        elif part.cas and not isinstance(data.substance(part.cas), Substance):
            yield Help("data", ("product", "part", index, "cas"), part.cas), _known(product, index)
        elif _airless(part, data):
            yield Help("vapour_pressure", ("product", "part", index), part.name), _evaporating(product, index)
        elif part.stated.boiling_range is None and fractions.asks_for_range(part, data):
            yield Help("boiling_range", ("product", "part", index), part.cas), _known(product, index)
    if isinstance(product.density, Unknown):
        yield Help("density", ("product", "density")), replace(product, density=_DENSITY)
    if isinstance(product.flash_point, Unknown):
        yield Help("flash_point", ("product", "flash_point")), replace(product, flash_point=_FLASH_POINT)
    if isinstance(product.boiling_point, Unknown):
        yield Help("boiling_point", ("product", "boiling_point")), replace(product, boiling_point=_BOILING_POINT)
    if isinstance(product.hazards, Unknown):
        yield Help("hazards", ("product", "hazards")), replace(product, hazards=("H225",))
    if isinstance(product.voc, Unknown):
        yield Help("voc", ("product", "voc")), replace(product, voc=_VOC)


def _limits(
    product: Product, data: Reference, what: Literal["limit", "short_limit"], kinds: tuple[LimitKind, ...]
) -> Iterator[tuple[Help, Product]]:
    """The limits that are missing of what can get into the air, none being of these kinds; all of them at once."""
    unjudged = [i for i, part in enumerate(product.parts) if _unjudged(part, data, kinds)]
    if unjudged:
        names = ", ".join(product.parts[i].name for i in unjudged)
        yield Help(what, ("product", "part", unjudged[0], "limit"), names), _judged(product, unjudged, kinds[0])


def _unjudged(part: Part, data: Reference, kinds: tuple[LimitKind, ...]) -> bool:
    """Whether a part can get into the air, as far as anybody knows, and no limit of these kinds says how much may."""
    known = part.volatile and isinstance(data.substance(part.key), Substance)
    return known and part.key != WATER and not any(limit.kind in kinds for limit in data.limits(part.key))


def _judged(product: Product, indexes: list[int], kind: LimitKind) -> Product:
    """The product with a limit of these parts, as its data sheet can print it."""
    said = StatedLimit(kind, 1e-4, True, "", "")
    parts = [
        replace(part, stated=replace(part.stated, limits=(*part.stated.limits, said))) if index in indexes else part
        for index, part in enumerate(product.parts)
    ]
    return replace(product, parts=tuple(parts))


def _airless(part: Part, data: Reference) -> bool:
    """Whether nobody knows how fast a part gets into the air that a limit counts there."""
    substance = data.substance(part.key)
    if isinstance(substance, Unknown) or substance.has_equation or substance.is_cut:
        return False
    return isinstance(substance.best("molar_mass"), Cited) and (part.volatile or bool(substance.groups))


def _evaporating(product: Product, index: int) -> Product:
    """The product with a vapour pressure of a part, as its data sheet can print it."""
    parts = [*product.parts]
    stated = replace(parts[index].stated, vapour_pressure=Range(FAINT / 100, FAINT / 100))
    parts[index] = replace(parts[index], volatile=True, stated=stated)
    return replace(product, parts=tuple(parts))


def _burns_from_nobody_knows(part: Part, data: Reference) -> bool:
    """Whether the air may hold vapour of a part, and nobody knows from which share on it burns."""
    substance = data.substance(part.key)
    if isinstance(substance, Unknown) or not (part.volatile and substance.has_equation) or part.key == WATER:
        return False
    return "not_flammable" not in substance.notes and not substance.properties.get("lower_explosive_limit")


def _burning(product: Product, index: int) -> Product:
    """The product with a lower explosive limit of a part, as its data sheet can print it."""
    parts = [*product.parts]
    parts[index] = replace(parts[index], stated=replace(parts[index].stated, lower_explosive_limit=0.01))
    return replace(product, parts=tuple(parts))


def _whole(product: Product) -> Product:
    """A product of which all is known, under this one's name."""
    parts = (Part(product.name, _STAND_IN, 1.0, 1.0),)
    return replace(
        product,
        parts=parts,
        density=_DENSITY,
        flash_point=_FLASH_POINT,
        boiling_point=_BOILING_POINT,
        voc=_VOC,
        hazards=("H225",),
        draft=False,
        application=None,
    )


def _known(product: Product, index: int) -> Product:
    parts = [*product.parts]
    parts[index] = Part(parts[index].name, _STAND_IN, parts[index].low, parts[index].high)
    return replace(product, parts=tuple(parts))


def _trial(shop: Shop, product: Product, day: date) -> Job:
    """A small wipe with a product in the shop's first place."""
    place = next(iter(shop.places.values()))
    density = product.density
    mass = Unknown(density.reason) if isinstance(density, Unknown) else Range(density * _VOLUME, density * _VOLUME)
    coats = product.application.coats if product.application else {}
    step = Step(
        name=product.name,
        duration=_TIME,
        people="near",
        place=place,
        air=place.airs[0],
        uses=(Use(product, "wipe", mass, say("unknown"), _SURFACE),),
    )
    return Job(
        id=product.id,
        title=product.name,
        shop=shop,
        place=place,
        start=datetime.combine(day, time(8)),
        crew=1,
        surface=next((name for name in coats if name != ANY), ""),
        steps=(step,),
    )
