"""Call a formula with what a person writes: ``hazstep calc``, the docs page and the tests share this.

A formula's kinds are read like this: ``time`` is one quantity, ``time, ...`` a list of them,
``amount:speed:pressure, ...`` a list of rows, and ``air_share|concentration`` is either, the
same throughout one call. Items of a list are parted by a comma and a space; decimals by a point,
or by a comma as in the files. Where one quantity is asked for, several may be given too, and the
answer has as many.
"""

from __future__ import annotations

import re
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from inspect import signature
from typing import Any

import numpy as np

from safety import units
from safety.calc.lookup import antoine_sets, flash_part, listed_part, solvent_part
from safety.files.notation import Miswritten, with_points
from safety.formulas import Formula, catalogue
from safety.model.data import NOTHING
from safety.problems import Problem, Problems
from safety.words import say

#: Unit an answer is shown in, for kinds whose SI unit nobody reads.
SHOWN = {
    "mass": "g",
    "volume": "L",
    "temperature": "degC",
    "concentration": "mg/m3",
    "air_share": "%",
    "fraction": "%",
    "mass_rate": "g/min",
    "airflow": "m3/h",
    "flux": "g/m2/s",
    "permeability": "cm/h",
    "diffusivity": "cm2/s",
    "molar_mass": "g/mol",
}
#: Times are shown in seconds up to here [s], in minutes above.
SHORT = 60.0

_LIST = ", ..."
_SPLIT = re.compile(r",\s+")
#: Kinds that are no quantity: what to write for example.
WORDS = {
    "cas": "108-88-3",
    "flash_part": "toluene:0.4",
    "solvent_part": "toluene:60 %",
    "listed_part": "xylene:80 %",
    "date": "2026-05-07",
    "yes_no": "no",
}


@dataclass(frozen=True, slots=True)
class Answer:
    """A formula's answer in the unit it is shown in."""

    name: str
    value: Any  # float, list of floats, or text
    unit: str  # "" for text
    inputs: dict[str, str]  # as written; what was left out is marked "(default)"
    source: str
    unverified: str
    warnings: tuple[str, ...]


@dataclass(slots=True)
class _Reader:
    """Reads the inputs of one call and remembers which alternative kind was met first."""

    chosen: str = ""  # the alternative all inputs of the call keep to
    chosen_by: str = ""
    unit: str = ""  # as first written for it

    def read(self, name: str, kind: str, text: str) -> Any:
        """The value of one input. Raises UnitError or ValueError."""
        items = _SPLIT.split(text.strip())
        if kind.endswith(_LIST):
            return [self._one(name, kind.removesuffix(_LIST), item) for item in items]
        if len(items) == 1:
            return self._one(name, kind, items[0])
        if kind in WORDS:
            raise ValueError(say("only one can be given here"))
        return np.array([self._one(name, kind, item) for item in items])

    def _one(self, name: str, kind: str, item: str) -> Any:
        if kind == "cas":
            return antoine_sets(item)
        if kind == "solvent_part" and item.count(":") == 2:
            amount, molar_mass, pressure = item.split(":")
            return self._amount(name, amount), _quantity(molar_mass, "molar_mass"), _quantity(pressure, "pressure")
        if kind in ("flash_part", "solvent_part", "listed_part"):
            who, colon, amount = item.rpartition(":")
            if not colon:
                raise units.UnitError(say('"{item}" has no ":"', item=item), f'write for example "{WORDS[kind]}"')
            if kind == "solvent_part":
                return solvent_part(self._amount(name, amount), who)
            part = flash_part if kind == "flash_part" else listed_part
            return part(_quantity(amount, "fraction"), who)
        if kind == "date":
            return _date(item)
        if kind == "yes_no":
            return _yes_no(item)
        if ":" in kind:
            kinds, fields = kind.split(":"), item.split(":")
            if len(kinds) != len(fields):
                example = ":".join(units.KINDS[k].example for k in kinds)
                wrong = say('"{item}" must have {count} numbers parted by ":"', item=item, count=len(kinds))
                raise units.UnitError(wrong, f'write for example "{example}"')
            return tuple(_quantity(field, k) for field, k in zip(fields, kinds, strict=True))
        if "|" in kind:
            return self._either(name, kind.split("|"), item)
        return _quantity(item, kind)

    def _amount(self, name: str, item: str) -> float:
        """Mass or weight share of a part: the same throughout a call."""
        return self._either(name, ["mass", "fraction"], item)

    def _either(self, name: str, kinds: list[str], item: str) -> float:
        item = with_points(item)
        unit = units.written_unit(item)
        kind = next((k for k in kinds if (unit or "1") in units.KINDS[k].units), "")
        if not kind:
            examples = " or ".join(f'"{units.KINDS[k].example}"' for k in kinds)
            raise units.UnitError(say('"{item}" has a unit that is not known here', item=item), f"write {examples}")
        value = units.read(item, kind)
        if not self.chosen:
            self.chosen, self.chosen_by, self.unit = kind, name, unit
        elif kind != self.chosen:
            wrong = say('"{item}" cannot be compared with {other}', item=item, other=self.chosen_by)
            if "air_share" in kinds:
                raise units.UnitError(wrong, say("write both as a share of the air, or both as mass in a volume"))
            raise units.UnitError(wrong, say("write all as shares, or all as masses"))
        return value


def _quantity(item: str, kind: str) -> float:
    """One quantity, its decimals parted by a point or, where nothing else can be meant, by a comma."""
    return units.read(with_points(item), kind)


def _date(item: str) -> date:
    try:
        return date.fromisoformat(item.strip())
    except ValueError:
        raise units.UnitError(
            say('"{item}" is not a date', item=item), f'write for example "{WORDS["date"]}"'
        ) from None


def _yes_no(item: str) -> bool:
    if item.strip() not in ("yes", "no"):
        raise units.UnitError(say('"{item}" is neither yes nor no', item=item), say('write "yes" or "no"'))
    return item.strip() == "yes"


def call(name: str, written: Mapping[str, str], more: Mapping[str, Formula] = NOTHING) -> Answer:
    """Run the formula ``name`` on inputs as a person writes them. ``more`` is what plugins add to the catalogue.

    Raises Problems with every mistake of the call: unknown formula or input, missing input,
    wrong unit, impossible value.
    """
    known = {**catalogue(), **more}
    if name not in known:
        raise Problems(
            [Problem("calc", 0, "", say('there is no formula "{name}"', name=name), near(name, list(known)))]
        )
    entry = known[name]
    where = f"calc {name}"
    kinds = dict(entry.inputs)
    mistakes = [
        Problem(where, 0, key, say("this formula has no such input"), near(key, list(kinds)))
        for key in written
        if key not in kinds
    ]
    reader, values = _Reader(), {}
    for key, kind in kinds.items():
        if key in written:
            try:
                values[key] = reader.read(key, kind, written[key])
            except (units.UnitError, Miswritten) as error:
                mistakes.append(Problem(where, 0, key, error.wrong, error.write))
            except ValueError as error:
                mistakes.append(Problem(where, 0, key, str(error)))
        elif key not in entry.optional:
            mistakes.append(Problem(where, 0, key, say("is missing"), f'write for example {key}="{example(kind)}"'))
    mistakes += _unequal(where, entry, values)
    if mistakes:
        raise Problems(mistakes)
    with warnings.catch_warnings(record=True) as raised:
        warnings.simplefilter("always")
        try:
            result = entry.function(**values)
        except ValueError as error:
            raise Problems([Problem(where, 0, "", str(error))]) from error
    return _answer(entry, written, values, result, reader, [str(w.message) for w in raised])


def _unequal(where: str, entry: Formula, values: Mapping[str, Any]) -> list[Problem]:
    """Mistakes of inputs of which several are given: not as many each, or where only one can be."""
    several = {key: len(value) for key, value in values.items() if isinstance(value, np.ndarray)}
    if entry.gives == "text":
        return [Problem(where, 0, key, say("only one value can be given here")) for key in several]
    if len(set(several.values())) > 1:
        counts = ", ".join(f"{key} {count}" for key, count in several.items())
        return [Problem(where, 0, "", say("inputs have different numbers of values: {counts}", counts=counts))]
    return []


def _answer(
    entry: Formula,
    written: Mapping[str, str],
    values: Mapping[str, Any],
    result: Any,
    reader: _Reader,
    warned: list[str],
) -> Answer:
    inputs = {key: written.get(key) or default(entry, key) for key, _ in entry.inputs}
    for key, value in values.items():
        edges = (float(np.min(value)), float(np.max(value))) if isinstance(value, np.ndarray) else (value,)
        warned += [line for edge in edges for line in entry.outside({key: edge}) if line not in warned]
    value, unit = result, ""
    if entry.gives != "text":
        kind = reader.chosen if "|" in entry.gives else entry.gives
        unit = reader.unit or "1" if "|" in entry.gives else shown_unit(kind, result)
        numbers = [units.convert(float(v), kind, unit) for v in np.ravel(result)]
        value = numbers if np.ndim(result) else numbers[0]
        if not np.all(np.isfinite(numbers)):
            raise Problems([Problem(f"calc {entry.name}", 0, "", say("these inputs give no finite answer"))])
    return Answer(entry.name, value, unit, inputs, entry.source, entry.unverified, tuple(warned))


def shown_unit(kind: str, value: Any) -> str:
    """The unit an answer of this kind is shown in."""
    if kind == "time":
        return "s" if np.max(value) < SHORT else "min"
    return SHOWN.get(kind, units.KINDS[kind].base)


def default(entry: Formula, key: str) -> str:
    """What the formula takes for an input that is left out, as a person would write it."""
    value = signature(entry.function).parameters[key].default
    kind = dict(entry.inputs)[key].split("|")[0]
    if value == ():
        return "none (default)"
    if kind == "yes_no":
        return ("yes" if value else "no") + " (default)"
    unit = "Pa" if kind == "pressure" else shown_unit(kind, value)
    return f"{units.convert(value, kind, unit):.6g} {'' if unit == '1' else unit}".rstrip() + " (default)"


def example(kind: str) -> str:
    """Something a person could write for this kind."""
    one = kind.removesuffix(_LIST).split("|")[0]
    text = WORDS.get(one) or ":".join(units.KINDS[k].example for k in one.split(":"))
    return f"{text}, {text}" if kind.endswith(_LIST) else text


def near(text: str, known: list[str]) -> str:
    """Advice for a misspelt name."""
    close = get_close_matches(text, known, n=1)
    if close:
        return say('did you mean "{name}"?', name=close[0])
    return say("write one of: {names}", names=", ".join(known)) if len(known) < 15 else say('"hazstep calc" lists all')
