"""Respirators as the rules pack sees them: classes, factors, cartridges, and what bars one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from safety.cited import Unknown
from safety.model import Respirator, Substance, Threshold
from safety.reference import Reference, past
from safety.words import say, term
from safety_protection.rules import as_threshold, cite, rows, threshold

CARTRIDGE_KINDS = ("air-purifying", "powered air-purifying")


@dataclass(frozen=True, slots=True)
class Device:
    """A respirator of the stock with the factor the rules assign it, and its cartridge's row (empty if it has none)."""

    respirator: Respirator
    factor: Threshold
    cartridge: Mapping[str, Any]

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
    return tuple(sorted({float(row["factor"]) for row in rows(reference, "protection_factor")}))


def class_words(reference: Reference, factor: float, will_do: Callable[[str, str], bool]) -> str:
    """The kinds of device of the lowest class that gives at least ``factor``, or "".

    ``will_do`` says of a kind and a facepiece whether it is to be named.
    """
    table = [
        row
        for row in rows(reference, "protection_factor")
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
    table = rows(reference, "protection_factor")
    mode = "" if respirator.kind in CARTRIDGE_KINDS else respirator.mode
    row = next(
        (r for r in table if (r["kind"], r["facepiece"], r["mode"]) == (respirator.kind, respirator.facepiece, mode)),
        None,
    )
    if row is None:
        return say(
            "{name}: the rules assign no factor to {kind} {mode} {facepiece}",
            name=name,
            kind=term(respirator.kind),
            mode=mode and term(mode),
            facepiece=term(respirator.facepiece),
        ).replace("  ", " ")
    cartridge: Mapping[str, Any] = {}
    if respirator.kind in CARTRIDGE_KINDS:
        wanted = " ".join(respirator.cartridge.casefold().split())
        found = next((r for r in rows(reference, "cartridge") if wanted in [n.casefold() for n in r["names"]]), None)
        if found is None:
            return say(
                '{name}: its cartridge "{cartridge}" is not a type the rules know',
                name=name,
                cartridge=respirator.cartridge,
            )
        cartridge = found
    return Device(respirator, as_threshold(row, say("assigned protection factor"), float(row["factor"])), cartridge)


def danger_devices(reference: Reference) -> tuple[str, str]:
    """The only devices for air that is dangerous to life, or not known; and the rule."""
    table = rows(reference, "danger_device")
    return say("; or ").join(term(row["text"]) for row in table), "; ".join(dict.fromkeys(cite(row) for row in table))


def light(substance: Substance, reference: Reference) -> bool | Unknown:
    """Whether carbon hardly holds this vapour, by its boiling point."""
    boiling = substance.best("boiling_point")
    if isinstance(boiling, Unknown):
        return boiling
    return past(boiling.value, threshold(reference, "cartridge-boiling-point"))
