"""A job file, found sound, becomes a record."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Literal

from safety.cited import Unknown
from safety.files import shapes
from safety.files.building import made
from safety.files.cross_checks import default_state
from safety.files.left_out import PACE, assumed
from safety.files.notation import Amount, Miswritten, cas, squeezed
from safety.files.second_names import called
from safety.files.toml import Document, problem, tables
from safety.model import Carried, Job, Leftover, Measurement, Place, Product, Range, Shop, Step, Use
from safety.problems import Problem
from safety.words import say


def build_job(file: shapes.JobFile, shop: Shop, name: str, find: Callable[[str], object] | None) -> Job:
    """Return a job's record; ``name`` is its file as seen from the shop's folder."""
    table = file.job
    place = _on_the_day(shop.places[table.place], table.temperature)
    names = {step.name: called(step.names, step.name) for step in file.step}
    job = made(
        Job,
        table,
        title=called(table.names, table.title),
        shop=shop,
        place=place,
        steps=tuple(_step(step, table, shop, names, find) for step in file.step),
        carried=tuple(_carried(c, shop.products[c.product]) for c in table.carried),
        file=name,
        measurements=tuple(_measurement(one, names, find) for one in file.measurement),
    )
    return replace(job, assumed=assumed(file, job))


def unknown_names(document: Document, find: Callable[[str], object]) -> list[Problem]:
    """A mistake for each substance that a job names and that no loaded data know.

    ``find`` returns the substance of a name or CAS number, or Unknown.
    """
    said = [
        ((*at, "structure_holds"), word, say('write its CAS number, or "unknown"'))
        for at, step in list(tables(document.data, "step"))[: shapes.MOST_STEPS]
        if (word := _named(step, "structure_holds")) not in ("", "unknown")
    ]
    said += [
        ((*at, "substance"), word, say("write its CAS number"))
        for at, table in tables(document.data, "measurement")
        if (word := _named(table, "substance")) and not _is_cas(word)
    ]
    return [
        problem(document, at, say('no loaded substance is called "{word}"', word=word), write)
        for at, word, write in said
        if isinstance(find(word), Unknown)
    ]


def _named(table: dict[str, Any], key: str) -> str:
    return squeezed(table.get(key))


def _is_cas(word: str) -> bool:
    try:
        return bool(cas(word))
    except Miswritten:
        return False


def _on_the_day(place: Place, temperature: Range | None) -> Place:
    return replace(place, temperature=temperature) if temperature else place


def _step(
    table: shapes.StepTable,
    job: shapes.JobTable,
    shop: Shop,
    names: Mapping[str, str],
    find: Callable[[str], object] | None,
) -> Step:
    """One step; ``names`` says what each step of the job is called, by the name that keys of the file give it."""
    place = _on_the_day(shop.places[table.place or job.place], table.temperature or job.temperature)
    return made(
        Step,
        table,
        name=names[table.name],
        duration=sum(table.duration) / len(table.duration),
        place=place,
        air=place.air(table.air or default_state(place, job.air)),
        uses=tuple(_use(use, shop.products[use.product], names) for use in table.use),
        leaves_wet=tuple(_leftover(wet, shop.products[wet.product], names) for wet in table.leaves_wet),
        structure_holds=_cas_of(table.structure_holds, find),
        joins=table.joins or "",
        near_share=table.near_share or Range(1.0, 1.0),
        lasts=_lasts(table.duration),
        typed=table.name,
    )


def _lasts(times: tuple[float, ...]) -> Range:
    """Between which times a step is done; of one time that was planned, our own."""
    if len(times) > 1:
        return Range(times[0], times[-1])
    return Range(times[0] * PACE[0], times[0] * PACE[1], basis=say("our judgement"))


def _measurement(
    table: shapes.MeasurementTable, names: Mapping[str, str], find: Callable[[str], object] | None
) -> Measurement:
    return made(
        Measurement,
        table,
        cas=_cas_of(table.substance, find),
        value=table.value.range.low,
        unit="ppm" if table.value.kind == "air_share" else "mg/m3",
        written=table.value.range.written,
        steps=tuple(names[one] for one in table.step),
    )


def _cas_of(word: str, find: Callable[[str], object] | None) -> str:
    """The CAS number of a substance named in words, where the reference data are at hand."""
    found = find(word) if find and word and word != "unknown" else None
    return str(getattr(found, "cas", word))


def _use(table: shapes.UseTable, product: Product, names: Mapping[str, str]) -> Use:
    area: float | Unknown = Unknown(say("the job gives no area")) if table.area is None else table.area
    coverage = product.application.coverage if product.application else None
    if table.amount is None and coverage and table.area is not None:
        mass: Range | Unknown = _times(coverage, table.area)
        written = say("{coverage} on the area given", coverage=coverage.written)
    else:
        mass, written = _mass(table.amount, product)
    lifted_by = names.get(table.lifted_by, "")
    return made(Use, table, product=product, mass=mass, written=written, area=area, lifted_by=lifted_by)


def _leftover(table: shapes.LeftoverTable, product: Product, names: Mapping[str, str]) -> Leftover:
    area: float | Unknown = (
        Unknown(say("the job gives no area for {what}", what=table.what)) if table.area is None else table.area
    )
    mass, written = _mass(table.amount, product)
    own = {"taken_away": names.get(table.taken_away, ""), "form": table.form or ""}
    return made(Leftover, table, product=product, mass=mass, written=written, area=area, **own)


def _carried(table: shapes.CarriedTable, product: Product) -> Carried:
    return Carried(product, *_mass(table.amount, product))


def _mass(amount: Amount | Literal["unknown"] | None, product: Product) -> tuple[Range | Unknown, str]:
    """Return kilograms and the amount as written. A volume needs the density."""
    if amount is None or amount == "unknown":
        return Unknown(say("the job gives no amount of {product}", product=product.name)), say("unknown")
    span = amount.range
    if amount.kind == "mass":
        return span, span.written
    if isinstance(product.density, Unknown):
        reason = say("{written} cannot be weighed: {reason}", written=span.written, reason=product.density.reason)
        return Unknown(reason), span.written
    return _times(span, product.density), span.written


def _times(span: Range, factor: float) -> Range:
    return Range(span.low * factor, span.high * factor, span.written, span.basis)
