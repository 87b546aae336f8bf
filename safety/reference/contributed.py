"""Substances that plugins add: what is wrong with one, and two plugins that add the same one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType

from safety import units
from safety.cited import Cited, Unknown
from safety.model import ANTOINE, Composition, Substance
from safety.model.data import NOTHING
from safety.reference.elements import ELEMENTS
from safety.reference.substance_files import NEEDED, PROPERTIES, cas_is_valid
from safety.words import say

#: Properties in which two sources are not equal: the more careful value comes first.
_CAREFUL: Mapping[str, Callable[[Cited], float]] = {
    "flash_point": lambda cited: cited.value,
    "lower_explosive_limit": lambda cited: cited.value,
    "autoignition": lambda cited: cited.value,
    "upper_explosive_limit": lambda cited: -cited.value,
}


def fault(cas: str, substance: Substance) -> str:
    """What is wrong with a substance a plugin adds under a CAS number, by the rules of substance files, or ""."""
    if not cas_is_valid(cas) or not isinstance(substance, Substance) or substance.cas != cas:
        return say("what it adds under {cas} is not a substance with that CAS number", cas=cas)
    if not substance.names or not all(name.strip() for name in substance.names):
        return say("{cas} has no name", cas=cas)
    for name, values in substance.properties.items():
        if name not in PROPERTIES:
            return say('{cas}: there is no property called "{name}"', cas=cas, name=name)
        kind = units.KINDS[PROPERTIES[name]]
        unit = "K" if kind.name == "kelvin" else kind.base
        for cited in values:
            if cited.unit != unit:
                return say("{cas}: {name} is in {its}, not in {unit}", cas=cas, name=name, unit=unit, its=cited.unit)
            if not kind.low <= cited.value <= kind.high:
                return say("{cas}: {name} = {value} is not possible", cas=cas, name=name, value=cited.value)
            for key in NEEDED.get(name, ()):
                if not (cited.condition(key) or 0.0) > 0:
                    return say("{cas}: {name} means nothing without its {key}", cas=cas, name=name, key=key)
    if isinstance(substance.composition, Composition) and not set(substance.composition.elements) <= ELEMENTS:
        return say("{cas}: {written} is made of no known elements", cas=cas, written=substance.composition.written)
    if len({len(substance.properties.get(name, ())) for name in ANTOINE}) > 1:
        return say("{cas}: {keys} must come in sets of three", cas=cas, keys=", ".join(ANTOINE))
    return ""


def usable(cas: str, answer: Substance) -> tuple[Substance | None, tuple[str, ...]]:
    """What can be used of a substance, and what is wrong with the rest: a fault costs its own value and no other."""
    if wrong := fault(cas, replace(answer, properties=NOTHING)):
        return None, (wrong,)
    kept: dict[str, tuple[Cited, ...]] = {}
    faults = []
    for names in (ANTOINE, *((name,) for name in answer.properties if name not in ANTOINE)):
        values = {name: answer.properties[name] for name in names if name in answer.properties}
        if wrong := fault(cas, replace(answer, properties=values)):
            faults.append(wrong)
        else:
            kept |= values
    return replace(answer, properties=MappingProxyType(kept)), tuple(faults)


def disagreement(one: str, other: str, differ: Iterable[str], cas: str) -> str:
    """The sentence on two plugins that say different things of a substance."""
    return say(
        "The plugins {first} and {second} do not agree on {what} of CAS {cas}; both are kept.",
        first=one,
        second=other,
        what=", ".join(differ),
        cas=cas,
    )


def both(one: Substance, other: Substance) -> tuple[Substance, tuple[str, ...]]:
    """One record with the values of two, and the properties in which they differ."""
    merged, differ = dict(one.properties), []
    for name, values in other.properties.items():
        there = merged.get(name, ())
        more = tuple(v for v in values if v not in there)
        if there and more:
            differ.append(name)
        together = (*there, *more)
        merged[name] = tuple(sorted(together, key=_CAREFUL[name])) if name in _CAREFUL else together
    if differ and any(name in ANTOINE for name in differ):  # constants of one equation stay together
        merged.update({name: (*one.properties[name], *other.properties[name]) for name in ANTOINE})
    classes, hazards = one.classes, one.hazards
    if isinstance(hazards, Unknown):
        classes, hazards = other.classes, other.hazards
    elif not isinstance(other.hazards, Unknown) and other.classes != classes:
        differ.append("hazards")
        classes = (*classes, *(c for c in other.classes if c not in classes))
        hazards = tuple(dict.fromkeys(c.code for c in classes))
    names = tuple(dict.fromkeys((*one.names, *other.names)))
    notes = MappingProxyType({**other.notes, **one.notes})
    groups = {g: max(one.groups.get(g, 0), other.groups.get(g, 0)) for g in (*one.groups, *other.groups)}
    if any(one.groups.get(g, n) != n for g, n in other.groups.items()):
        differ.append("groups")
    composition = one.composition
    if isinstance(composition, Unknown):
        composition = other.composition
    elif not isinstance(other.composition, Unknown) and set(other.composition.elements) != set(composition.elements):
        differ.append("composition")
        elements = tuple(dict.fromkeys((*composition.elements, *other.composition.elements)))
        composition = replace(composition, elements=elements)
    whole = replace(
        one,
        names=names,
        properties=MappingProxyType(merged),
        notes=notes,
        hazards=hazards,
        classes=classes,
        composition=composition,
        groups=MappingProxyType(groups),
    )
    return whole, tuple(differ)
