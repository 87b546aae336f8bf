"""Respirators as the rules pack sees them: classes, factors, cartridges, and what bars one."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from safety.cited import Unknown
from safety.model import Respirator, Substance, Threshold
from safety.reference import Reference, past
from safety.words import joined, say, term
from safety_protection.rules import as_threshold, cite, threshold

CARTRIDGE_KINDS = ("air-purifying", "powered air-purifying")


@dataclass(frozen=True, slots=True)
class Device:
    """A respirator of the stock with the factor the rules assign it, and its cartridge's row (empty if it has none)."""

    respirator: Respirator
    factor: Threshold
    cartridge: Mapping[str, Any]
    rules: tuple[Mapping[str, Any], ...] = ()  # what its cartridge was read from, where several packs tell of it

    @property
    def name(self) -> str:
        return self.respirator.name or self.respirator.id

    @property
    def purifies(self) -> bool:
        return self.respirator.kind in CARTRIDGE_KINDS

    @property
    def letters(self) -> str:
        """Letter with colour: a colour alone means different gases in different countries."""
        return (
            say("{letter} ({colour})", letter=self.cartridge["letter"], colour=term(self.cartridge["colour"]))
            if self.cartridge
            else ""
        )


def classes(reference: Reference) -> tuple[float, ...]:
    """The protection factors of the rules pack, lowest first."""
    return tuple(sorted({float(row["factor"]) for row in reference.table("protection_factor")}))


def class_rows(reference: Reference, factor: float) -> list[Mapping[str, Any]]:
    """The kinds of device of the lowest class that gives at least ``factor``."""
    rows = [row for row in reference.table("protection_factor") if row["factor"] >= factor]
    least = min((row["factor"] for row in rows), default=None)
    return [row for row in rows if row["factor"] == least]


def class_words(reference: Reference, factor: float, will_do: Callable[[str, str], bool]) -> str:
    """The kinds of device of the lowest class that gives at least ``factor``, or "".

    ``will_do`` says of a kind and a facepiece whether it is to be named.
    """
    table = [
        row
        for row in reference.table("protection_factor")
        if row["factor"] >= factor and will_do(row["kind"], row["facepiece"])
    ]
    if not table:
        return ""
    least = min(row["factor"] for row in table)
    named = [
        " ".join(term(word) for word in (row["kind"], row["mode"], row["facepiece"]) if word)
        for row in table
        if row["factor"] == least
    ]
    return say("{kinds} (factor {factor:g})", kinds=say(" or ").join(named), factor=least)


def device(respirator: Respirator, reference: Reference) -> Device | str:
    """The respirator with its assigned factor, or why the rules give it none."""
    name = respirator.name or respirator.id
    table = reference.table("protection_factor")
    mode = "" if respirator.kind in CARTRIDGE_KINDS else respirator.mode
    row = next(
        (r for r in table if (r["kind"], r["facepiece"], r["mode"]) == (respirator.kind, respirator.facepiece, mode)),
        None,
    )
    if row is None:
        what = joined(term(word) for word in (respirator.kind, mode, respirator.facepiece) if word)
        return say("{name}: the rules assign no factor to {what}", name=name, what=what)
    cartridge: Mapping[str, Any] = {}
    found: list[Mapping[str, Any]] = []
    if respirator.kind in CARTRIDGE_KINDS:
        wanted = " ".join(respirator.cartridge.casefold().split())
        found = [r for r in reference.table("cartridge") if wanted in [n.casefold() for n in r["names"]]]
        if len({r["holds"] for r in found}) != 1:
            return say(
                '{name}: its cartridge "{cartridge}" is not a type the rules know',
                name=name,
                cartridge=respirator.cartridge,
            )
        cartridge = _careful(found)
    factor = as_threshold(row, say("assigned protection factor"), float(row["factor"]))
    return Device(respirator, factor, cartridge, tuple(found))


def _careful(rows: Sequence[Mapping[str, Any]]) -> Mapping[str, Any]:
    """One cartridge as several packs tell of it: what any of them bars, and only what all of them grant."""
    most = [float(row["up_to_ppm"]) for row in rows if "up_to_ppm" in row]
    return {
        **rows[0],
        "particles": all(row.get("particles") for row in rows),
        "single_use": any(row.get("single_use") for row in rows),
        **({"up_to_ppm": min(most)} if most else {}),
    }


def needs_particles(reference: Reference) -> bool:
    """Whether a mask against spray must hold mist as well."""
    return any(row["needed"] for row in reference.table("spray_needs_particles"))


def danger_devices(reference: Reference) -> tuple[str, str]:
    """The only devices for air that is dangerous to life, or not known, by every pack that names some; and the rule."""
    table = reference.table("danger_device")
    packs = dict.fromkeys(row["pack"] for row in table)
    named = [say("; or ").join(term(row["text"]) for row in table if row["pack"] == pack) for pack in packs]
    only = named[0] if len(named) == 1 else say("; and ").join(f"({one})" for one in named)
    return only, joined(dict.fromkeys(cite(row) for row in table), "; ")


def described(device: Device) -> str:
    """Facepiece, kind and cartridge in words."""
    r = device.respirator
    kind = " ".join(term(name) for name in (r.kind, r.mode) if name)
    return ", ".join(filter(None, (r.facepiece and term(r.facepiece), kind, device.letters)))


def light(substance: Substance, reference: Reference) -> bool | Unknown:
    """Whether carbon hardly holds this vapour, by its boiling point."""
    boiling = substance.best("boiling_point")
    if isinstance(boiling, Unknown):
        return boiling
    return past(boiling.value, threshold(reference, "cartridge-boiling-point"))
