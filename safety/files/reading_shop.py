"""Shop and product files, found sound, become records."""

from __future__ import annotations

from types import MappingProxyType
from typing import TypeVar

from safety.cited import Unknown
from safety.files import shapes
from safety.files.building import made
from safety.files.exhaust import capture
from safety.files.notation import Amount
from safety.files.second_names import called
from safety.files.shape_air import AirTable
from safety.files.shape_doors import DoorTable
from safety.files.shape_parts import PartLimitTable, PartTable
from safety.files.shape_people import PermitTable
from safety.files.shape_places import PlaceTable
from safety.files.shape_stock import GloveTable
from safety.formulas.ignition import standard_pressure
from safety.model import (
    AirState,
    Answer,
    Application,
    Breakthrough,
    Container,
    Door,
    Eyewear,
    Glove,
    Part,
    Permit,
    Person,
    Phone,
    Place,
    Product,
    Range,
    Respirator,
    Shop,
    Stated,
    StatedLimit,
    TakenAs,
)
from safety.words import say, term

NEAR_RADIUS = Range(0.4, 0.9, "0.4 m to 0.9 m", "our assumption, no published source")
# Gaps up to 1 % are rounding, or parts too small to be listed: our choice, no source.
_LISTED_FROM = 0.01

T = TypeVar("T")


def build_product(file: shapes.ProductFile, name: str) -> Product:
    """Return a product's record; ``name`` is its file as seen from the shop's folder."""
    table = file.product

    def known(value: T | None, what: str) -> T | Unknown:
        if value is None:
            return Unknown(say("the file of {product} gives no {what}", product=table.id, what=what))
        return value

    hazards = () if table.not_classified else None if table.hazards is None else tuple(table.hazards)
    density = known(table.density, say("density"))
    return made(
        Product,
        table,
        name=_on_the_can(table),
        parts=_parts(table.part),
        density=density,
        flash_point=_flash_point(table),
        no_flash_point=table.flash_point_ground,
        boiling_point=known(table.boiling_point, say("boiling point")),
        hazards=known(hazards, say("hazards (H-codes)")),
        sds_revised=known(table.sds_revised, say("revision date of the safety data sheet")),
        application=_application(table.application, density) if table.application else None,
        coating=table.coating or "",
        purpose=table.purpose or "",
        voc=known(table.voc, say("VOC content")),
        file=name,
    )


def _flash_point(table: shapes.ProductTable) -> float | Unknown:
    """A liquid without one can still have a vapour that burns: for fire it is as good as not known."""
    if table.flash_point == "none":
        return Unknown(say("the file of {product} says that it has no flash point", product=table.id))
    if table.flash_point is None:
        return Unknown(say("the file of {product} gives no flash point", product=table.id))
    return table.flash_point


def _on_the_can(table: shapes.ProductTable) -> str:
    """What a product is called: beside its second name the one on its can, or nobody finds the can."""
    own = called(table.names, table.name)
    return own if own == table.name else say("{name} ({can})", name=own, can=table.name)


def _parts(tables: list[PartTable]) -> tuple[Part, ...]:
    """The parts as listed, and one more for what the list leaves open."""
    parts = [
        Part(
            term(t.name or t.cas or ""),
            t.cas or (t.taken_as.cas if t.taken_as else ""),
            t.weight.low,
            t.weight.high,
            t.volatile,
            t.name or "",
            tuple(t.groups),
            made(Stated, t, limits=tuple(map(_limit, t.limit))),
            made(TakenAs, t.taken_as) if t.taken_as else None,
        )
        for t in tables
    ]
    low, high = (min(1.0, sum(p.low for p in parts)), sum(p.high for p in parts))
    if high < 1 - _LISTED_FROM:
        parts.append(Part(say("the rest (not in the product file)"), "", 1 - high, 1 - low))
    return tuple(parts)


def _limit(table: PartLimitTable) -> StatedLimit:
    amount = table.value
    by_volume = amount.kind == "air_share"
    return made(StatedLimit, table, value=amount.range.low, by_volume=by_volume, written=amount.range.written)


def _application(table: shapes.ApplicationTable, density: float | Unknown) -> Application:
    return made(Application, table, coverage=_coverage(table.coverage, density) if table.coverage else None)


def _coverage(amount: Amount, density: float | Unknown) -> Range | None:
    """Turn a coverage into kg/m2. Without a density only one by weight gets this far."""
    span = amount.range
    if amount.kind == "area_density" or isinstance(density, Unknown):
        return span
    if amount.kind == "film_volume":
        return Range(span.low * density, span.high * density, span.written)
    return Range(density / span.high, density / span.low, span.written)  # m2 one m3 covers: more is thinner


def build_shop(file: shapes.ShopFile, products: dict[str, Product], name: str) -> Shop:
    """Return the shop's record; ``name`` is the path of its file as the person gave it."""
    table = file.shop
    return made(
        Shop,
        table,
        places=MappingProxyType({p.id: _place(p, table) for p in file.place}),
        products=MappingProxyType(products),
        gloves=tuple(_glove(g) for g in file.glove),
        respirators=tuple(made(Respirator, r, name=called(r.names, r.name)) for r in file.respirator),
        eyewear=tuple(made(Eyewear, e, name=called(e.names, e.name)) for e in file.eyewear),
        containers=tuple(made(Container, c, contents=called(c.names, c.contents)) for c in file.container),
        plugin_files=tuple(table.plugins),
        file=name,
        settings=MappingProxyType(dict(file.settings)),
        answers=tuple(made(Answer, a) for a in file.answer),
        permits=tuple(_permit(p) for p in file.permit),
        phones=tuple(made(Phone, p) for p in file.phone),
        people=tuple(made(Person, p) for p in file.person),
    )


def _glove(table: GloveTable) -> Glove:
    times = tuple(made(Breakthrough, b, cas=cas) for cas, b in sorted(table.breakthrough.items()))
    return made(Glove, table, name=called(table.names, table.name), breakthrough=times)


def _permit(table: PermitTable) -> Permit:
    amount = table.value
    unit = "kg" if amount.kind == "mass" else "m3"
    return made(Permit, table, value=amount.range.low, unit=unit, written=amount.range.written)


def _place(table: PlaceTable, shop: shapes.ShopTable) -> Place:
    outdoor = table.kind == "outdoor"
    return made(
        Place,
        table,
        name=called(table.names, table.name),
        volume=table.volume
        if table.volume is not None and not outdoor
        else Unknown(say("{place} is outdoors", place=table.id)),
        airs=tuple(_air(a) for a in table.air),
        doors=tuple(_door(d) for d in table.door),
        near_radius=table.near_radius or NEAR_RADIUS,
        pressure=_pressure(table, shop),
    )


def _door(table: DoorTable) -> Door:
    return made(
        Door,
        table,
        open_share=table.open_share if isinstance(table.open_share, Range) else None,
        temperature_difference=table.temperature_difference
        if isinstance(table.temperature_difference, Range)
        else None,
    )


def _pressure(table: PlaceTable, shop: shapes.ShopTable) -> float | None:
    """Pressure of the air [Pa]: measured, else by the height of the place or the shop; None where nobody says it."""
    altitude = shop.altitude if table.altitude is None else table.altitude
    return table.pressure if table.pressure or altitude is None else float(standard_pressure(altitude))


def _air(table: AirTable) -> AirState:
    return made(
        AirState,
        table,
        name=called(table.names, table.state),
        air_changes=table.air_changes or Range(0.0, 0.0, "", say("outdoors: there is no room air to change")),
        capture=capture(table),
        face_velocity=table.face_velocity if isinstance(table.face_velocity, Range) else None,
    )
