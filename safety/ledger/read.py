"""Rows of the ledger as records."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, Select, and_, or_, select

from safety.cited import Unknown
from safety.ledger import described
from safety.ledger.amounts import cubic_metres, kilograms
from safety.ledger.tables import container_edition, edition, entry, part
from safety.model import Container, Edition, Entry, Part, Product
from safety.words import say


class Unreadable(Exception):
    """A row that no program of ours can have written: the file is damaged."""


@contextmanager
def readable() -> Iterator[None]:
    """Every value was checked on its way in: one that cannot be read back was changed by something else."""
    try:
        yield
    except (ValueError, TypeError, OverflowError) as error:
        raise Unreadable from error


@readable()
def read_editions(connection: Connection) -> dict[int, Edition]:
    """Return every product as it was described, by number."""
    parts: dict[int, list[Part]] = {}
    for row in connection.execute(select(part).order_by(part.c.edition, part.c.place)):
        parts.setdefault(row.edition, []).append(Part(row.name, row.cas, row.low, row.high, bool(row.volatile)))

    def known(value: Any, product: str, what: str) -> Any:
        if value is None:
            return Unknown(say("the file of {product} gave no {what} then", product=product, what=what))
        return value

    return {
        row.id: Edition(
            row.id,
            row.product,
            row.name,
            row.role,
            known(row.density, row.product, say("density")),
            known(row.voc, row.product, say("VOC content")),
            known(row.sds_revised and date.fromisoformat(row.sds_revised), row.product, say("revision date")),
            tuple(parts.get(row.id, ())),
            described.read(row.described, Product) if row.described else None,
            bool(row.described),
            date.fromisoformat(row.since) if row.since else None,
        )
        for row in connection.execute(select(edition))
    }


def completed(editions: Mapping[int, Edition], products: Mapping[str, Product]) -> dict[int, Edition]:
    """Every edition whole. Where only a part was kept, today's file tells the rest while it agrees with that part."""
    return {
        number: one if one.whole else replace(one, whole=_whole(one, products.get(one.product)))
        for number, one in editions.items()
    }


def named(editions: Mapping[int, Edition], called: Callable[[str], str]) -> dict[int, Edition]:
    """Every edition with the parts named that its file gave by their CAS numbers alone; what nobody knows stays so."""

    def name(one: Part) -> Part:
        alone = one.cas and one.name in ("", one.cas)
        return replace(one, name=called(one.cas) or one.cas) if alone else one

    return {number: replace(one, parts=tuple(map(name, one.parts))) for number, one in editions.items()}


def _whole(one: Edition, today: Product | None) -> Product:
    def plain(edition: Edition | Product) -> list[Any]:
        values = (edition.name, edition.role, edition.density, edition.voc, edition.sds_revised)
        parts = [(p.name, p.cas, p.low, p.high, p.volatile) for p in edition.parts]
        return [None if isinstance(value, Unknown) else value for value in values] + parts

    if today is not None and plain(today) == plain(one):
        return today
    lost = Unknown(say("it was not kept with the records of that time"))
    return Product(
        one.product, one.name, one.role, one.parts, one.density, lost, lost, lost, one.sds_revised, voc=one.voc
    )


@readable()
def read_containers(connection: Connection) -> dict[int, Container]:
    """Return every container as it was described, by number."""
    rows = connection.execute(select(container_edition.c.id, container_edition.c.described))
    return {row.id: described.read(row.described, Container) for row in rows}


#: Made once: to set up an alias takes longer than to run the statement.
_OLD, _BACK, _NEW, _WAS, _FIRST = entry.alias(), entry.alias(), entry.alias(), entry.alias(), edition.alias()


@readable()
def entries_where(connection: Connection, *where: ColumnElement[bool], until: str = "") -> tuple[Entry, ...]:
    """Return the lines that fulfil all of ``where``, in order of day, time and recording.

    ``until`` (as in ``recorded``): a correction made later is not known yet.
    """
    unsaid = _unsaid()
    return tuple(as_entry(dict(row), unsaid) for row in connection.execute(_lines(until).where(*where)).mappings())


@readable()
def first_where(connection: Connection, *where: ColumnElement[bool], until: str = "") -> Entry:
    """Return the first of the lines that ``entries_where`` returns."""
    return as_entry(dict(connection.execute(_lines(until).where(*where).limit(1)).mappings().one()))


def _lines(until: str) -> Select[Any]:
    known = [[later.c.recorded <= until] if until else [] for later in (_BACK, _NEW)]
    return (
        select(
            entry,
            _FIRST.c.name.label("name"),
            _OLD.c.key.label("reverses_key"),
            _BACK.c.key.label("reversed_by"),
            select(_WAS.c.key).where(_WAS.c.id == entry.c.replaces).scalar_subquery().label("replaces_key"),
            _NEW.c.key.label("replaced_by"),
            _NEW.c.day.label("replaced_on"),
        )
        .outerjoin(_FIRST, _FIRST.c.id == entry.c.edition)
        .outerjoin(_OLD, _OLD.c.id == entry.c.reverses)
        .outerjoin(_BACK, and_(_BACK.c.reverses == entry.c.id, *known[0]))
        .outerjoin(_NEW, and_(_NEW.c.replaces == entry.c.id, *known[1]))
        .order_by(entry.c.day, entry.c.happened, entry.c.id)
    )


def telling() -> ColumnElement[bool]:
    """The lines that say more than an amount: corrections on either side, and what was done against a warning."""
    c = entry.c
    return or_(c.against != "", c.reverses.is_not(None), c.replaces.is_not(None), _BACK.c.id.is_not(None))


def entry_at(connection: Connection, number: int) -> Entry:
    """Return one line by its number."""
    return entries_where(connection, entry.c.id == number)[0]


class _Unsaid(NamedTuple):
    """What a line may leave open, in words that are the same for each: over many lines, most of the time goes there."""

    density: Unknown
    area: Unknown
    solvent: Unknown


def _unsaid() -> _Unsaid:
    return _Unsaid(
        Unknown(say("no density is known")),
        Unknown(say("no area was given")),
        Unknown(say("nobody said how much of it is solvent")),
    )


def as_entry(row: Mapping[str, Any], unsaid: _Unsaid | None = None) -> Entry:
    """Return the columns of a line, with the name of its product and the keys it is tied to, as a record."""
    unsaid = unsaid or _unsaid()

    def missing() -> Unknown:
        return Unknown(say("the amount was typed as {typed} and no density is known", typed=row["typed"]))

    def solvent(micrograms: int | None) -> float | Unknown:
        return unsaid.solvent if micrograms is None else kilograms(micrograms)

    density, area = row["density"], row["area"]
    return Entry(
        number=row["id"],
        key=row["key"],
        kind=row["kind"],
        day=date.fromisoformat(row["day"]),
        happened=datetime.fromisoformat(row["happened"]) if row["happened"] else None,
        recorded=datetime.fromisoformat(row["recorded"]),
        shop=row["shop"],
        who=row["who"],
        product=row["product"],
        name=row["name"] or "",
        edition=row["edition"],
        lot=row["lot"],
        job=row["job"],
        step=row["step"],
        operation=row["operation"],
        way=row["way"],
        container=row["container"],
        mass=missing() if row["mass_ug"] is None else kilograms(row["mass_ug"]),
        volume=missing() if row["volume_nl"] is None else cubic_metres(row["volume_nl"]),
        density=unsaid.density if density is None else density,
        typed=row["typed"],
        basis=row["basis"],
        area=unsaid.area if area is None else area,
        expires=row["expires"],
        receiver=row["receiver"],
        manifest=row["manifest"],
        note=row["note"],
        anyway=row["anyway"],
        against=row["against"],
        container_edition=row["container_edition"],
        solvent_low=solvent(row["solvent_low_ug"]),
        solvent_high=solvent(row["solvent_high_ug"]),
        solvent_basis=row["solvent_basis"],
        fate=row["fate"],
        stays=row["rest"] == "stays",
        reverses=row.get("reverses_key") or "",
        replaces=row.get("replaces_key") or "",
        reversed_by=row.get("reversed_by") or "",
        replaced_by=row.get("replaced_by") or "",
        replaced_on=date.fromisoformat(row["replaced_on"]) if row.get("replaced_on") else None,
    )
