"""Substances and rules packs for one run: what is in force on the job's day, and which value governs.

Substance files are read on first use. Packs are laid over one another in order; a later pack
may only tighten, unless it says ``replaces = true``.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import Any

from safety.cited import Source, Unknown
from safety.files.notation import nearest
from safety.formulas.air import mass_from_ppm, ppm_from_mass
from safety.formulas.exposure import GROUPS, limit_counted_as_group
from safety.formulas.ignition import antoine_pressure
from safety.model import Compare, Contribution, Figure, Limit, LimitKind, Pack, Substance, Threshold
from safety.problems import Problem, Problems
from safety.reference import equations, gathering, row_shapes, stand_ins, tighter
from safety.reference import packs as packed
from safety.reference.data_files import shipped_sources
from safety.reference.rules_files import in_force, limit_name
from safety.reference.substance_files import cas_is_valid, read_names, read_substance
from safety.words import joined, say, term

#: Temperature [K] and pressure [Pa] at which :meth:`Reference.limit_mass` gives a mass per volume.
AMBIENT, PRESSURE = 298.15, 101325.0

#: What answers to a CAS number that is in no file and that no plugin adds.
Library = Callable[[str], "Substance | Unknown"]


def no_library(cas: str) -> Substance | Unknown:
    """Nobody is there to ask."""
    return Unknown("")


@dataclass(frozen=True, slots=True)
class Reference:
    """What the shipped data, the shop's packs and the plugins say, on one day."""

    packs: tuple[Pack, ...]  # in order; limits only those in force
    day: date  # whose limits and classes are in force
    _limits: Mapping[tuple[str, str, LimitKind], Limit]
    _thresholds: Mapping[str, Threshold]
    _files: Mapping[str, tuple[Path, str]]  # CAS -> substance file and its name in messages
    _read: dict[str, Substance] = field(repr=False)  # cache, and what plugins added
    _named: dict[str, str] = field(default_factory=dict, repr=False)  # cache: small-lettered name -> CAS number
    _stood_in: dict[str, tuple[Limit, ...]] = field(default_factory=dict, repr=False)  # cache, by CAS number
    conflicts: tuple[str, ...] = ()  # sentences: where plugins do not agree on a substance, and tables nobody reads
    _tables: Mapping[str, tuple[Mapping[str, Any], ...]] = field(default_factory=dict)  # every one that is declared
    _library: Library = no_library
    _looked_up: dict[str, Substance | Unknown] = field(default_factory=dict, repr=False)  # cache of its answers
    stated: Mapping[str, Substance] = field(default_factory=dict, repr=False)  # by the products of a job, over the data

    # ------------------------------------------------------------ substances

    def apart(self) -> Reference:
        """The same, that notes what it looks up in a place of its own: what one reader reads there is nobody else's."""
        return replace(
            self, _read=dict(self._read), _named={}, _stood_in=dict(self._stood_in), _looked_up=dict(self._looked_up)
        )

    def asking(self, library: Library) -> Reference:
        """The same, that asks this library for what is in no file."""
        return replace(self.apart(), _library=library)

    def known(self) -> tuple[str, ...]:
        """The CAS numbers there is a file or a contribution for. Reads no file."""
        return tuple(sorted({*self._files, *self._read}, key=_by_number))

    def substance(self, cas: str) -> Substance | Unknown:
        """The substance with this CAS number, or why there is none. Raises Problems for a bad file."""
        return self.stated[cas] if cas in self.stated else self.listed(cas)

    def listed(self, cas: str) -> Substance | Unknown:
        """The same, whatever the products of a job say of it."""
        if cas in self._read:
            return self._read[cas]
        if cas not in self._files:
            if cas not in self._looked_up:
                self._looked_up[cas] = self._from_library(cas)
            return self._looked_up[cas]
        path, shown = self._files[cas]
        self._read[cas] = equations.for_a_room(read_substance(path, shown)).on(self.day)
        return self._read[cas]

    def _from_library(self, cas: str) -> Substance | Unknown:
        found = self._library(cas) if cas_is_valid(cas) else Unknown("")
        if isinstance(found, Substance):
            return equations.for_a_room(found).on(self.day)
        if found.reason:
            return Unknown(say("no data on CAS {cas} are loaded ({why})", cas=cas, why=found.reason))
        return Unknown(say("no data on CAS {cas} are loaded", cas=cas))

    def called(self, cas: str) -> str:
        """The name of a substance; "" where no data on it are loaded."""
        found = self.listed(cas)
        return found.name if isinstance(found, Substance) else ""

    def looked_up(self, cas: str) -> bool:
        """Whether what is known of a substance comes from the plugins that were asked for its number."""
        return cas not in self._files and cas not in self._read and isinstance(self.listed(cas), Substance)

    def find(self, text: str) -> Substance | Unknown:
        """The substance of this CAS number or name, whatever the case of the letters.

        A name is looked for in files and contributions alone: a library of thousands gives another substance's.
        """
        wanted = text.strip().casefold()
        if cas_is_valid(wanted) and isinstance(found := self.substance(wanted), Substance):
            return found
        if number := self.number_of(wanted):
            return self.substance(number)
        reason = say('no substance called "{text}" is loaded', text=text.strip())
        return Unknown(joined((reason, nearest(wanted, [*self._named, *self.known()])), "; "))

    def number_of(self, name: str) -> str:
        """The CAS number of the substance of this name, whatever the case of the letters; "" where none has it."""
        if not self._named:
            for cas in self.known():
                for one in self._names(cas):
                    self._named.setdefault(one.casefold(), cas)
        return self._named.get(name.strip().casefold(), "")

    def _names(self, cas: str) -> tuple[str, ...]:
        """What a substance is called; of one that nobody asked for yet from the top of its file alone."""
        names = () if cas in self._read else read_names(self._files[cas][0])
        substance = None if names else self.substance(cas)
        return substance.names if isinstance(substance, Substance) else names

    def vapour_pressure(self, cas: str, temperature: float) -> Figure | Unknown:
        """Vapour pressure [Pa] of a pure liquid at a temperature [K].

        From the first Antoine set whose range holds the temperature, else from the set whose range
        is nearest, and then the figure's note says so.
        """
        substance = self.substance(cas)
        if isinstance(substance, Unknown):
            return substance
        used = equations.at(substance, temperature)
        if used is None:
            return Unknown(say("no vapour pressure equation of {name} is loaded", name=substance.name))
        (a, b, c), (low, high) = used, used.plain[3:]
        note = ""
        if not low <= temperature <= high:
            note = say(
                "the equation was fitted from {low:.0f} K to {high:.0f} K; {temperature:.0f} K lies outside",
                low=low, high=high, temperature=temperature,
            )  # fmt: skip
        return Figure(
            name=say("vapour pressure of {name}", name=substance.name),
            value=float(antoine_pressure(a.value, b.value, c.value, temperature)),
            unit="Pa",
            formula="antoine_pressure",
            inputs=(("a", a), ("b", b), ("c", c), ("temperature", temperature)),
            note=note,
        )

    # ------------------------------------------------------------ limits and thresholds

    def limits(self, cas: str, kind: LimitKind | None = None) -> tuple[Limit, ...]:
        """The limits in force for a substance, of one kind or all; with a stand-in for a deadly one.

        Last those on a group of atoms in it, which hold for all that carry the group together.
        """
        found = [limit for limit in self._limits.values() if limit.cas == cas]
        if not any(limit.kind == "idlh" for limit in found):
            found += self._stand_in(cas)
        of_groups = self.limits_on_groups()
        if of_groups and isinstance(substance := self.substance(cas), Substance):
            found += [replace(limit, cas=cas) for limit in of_groups if limit.as_group in substance.groups]
        return tuple(limit for limit in found if kind is None or limit.kind == kind)

    def limits_on_groups(self) -> tuple[Limit, ...]:
        """The limits in force that hold for all substances with a group of atoms together."""
        return tuple(limit for limit in self._limits.values() if not limit.cas)

    def _stand_in(self, cas: str) -> tuple[Limit, ...]:
        if cas not in self._stood_in:
            listed = [x for x in packed.shipped_pack(stand_ins.LIST).limits if x.cas == cas and in_force(x, self.day)]
            self._stood_in[cas] = stand_ins.dangerous_level(
                self.substance(cas), listed, self.threshold(stand_ins.LOWEST_LOWER_LIMIT)
            )
        return self._stood_in[cas]

    def limit_ppm(self, limit: Limit) -> float | Unknown:
        """A limit in ppm. A mass per volume is converted at the temperature its own list uses."""
        if limit.unit == "ppm":
            return limit.value * 1e6
        molar_mass, mass = self._vapour_molar_mass(limit.cas), self.counted(limit)
        if isinstance(molar_mass, Unknown):
            return molar_mass
        if isinstance(mass, Unknown):
            return mass
        return float(ppm_from_mass(mass.value, molar_mass, limit.reference_temperature, PRESSURE))

    def counted(self, limit: Limit) -> Figure | Unknown:
        """A limit by mass as mass of the substance itself [kg/m3], where its list counts only a group in it."""
        name = say("limit as mass of the substance")
        if not limit.as_group:
            return Figure(name, limit.value, "kg/m3", inputs=(("limit", limit),))
        substance = self.substance(limit.cas)
        if isinstance(substance, Unknown):
            return substance
        count, molar_mass = substance.groups.get(limit.as_group, 0), substance.best("molar_mass")
        if isinstance(molar_mass, Unknown):
            return molar_mass
        if not count:
            return Unknown(
                say("how many groups {group} {name} has is not loaded", group=limit.as_group, name=substance.name)
            )
        group = GROUPS[limit.as_group]
        return Figure(
            name=name,
            value=float(limit_counted_as_group(limit.value, molar_mass.value, count, group)),
            unit="kg/m3",
            formula="limit_counted_as_group",
            inputs=(
                ("limit", limit),
                ("molar mass", molar_mass),
                ("count", Figure(say("groups {group} of a molecule", group=limit.as_group), count, "1")),
                ("molar mass of the group", Figure(limit.as_group, group, "kg/mol")),
            ),
        )

    def limit_mass(self, limit: Limit) -> float | Unknown:
        """A limit as mass per volume of air [kg/m3] at 25 degC and one atmosphere.

        The same number of molecules at 25 degC for a vapour; a dust is weighed, whatever the temperature.
        """
        molar_mass = self._vapour_molar_mass(limit.cas)
        if limit.unit == "mg/m3":
            mass = self.counted(limit)
            if isinstance(mass, Unknown):
                return mass
            return mass.value if isinstance(molar_mass, Unknown) else mass.value * limit.reference_temperature / AMBIENT
        if isinstance(molar_mass, Unknown):
            return molar_mass
        return float(mass_from_ppm(limit.value * 1e6, molar_mass, AMBIENT, PRESSURE))

    def _vapour_molar_mass(self, cas: str) -> float | Unknown:
        """Molar mass [kg/mol], or why a ppm of this substance has no meaning."""
        substance = self.substance(cas)
        if isinstance(substance, Unknown):
            return substance
        if not substance.has_equation and "vapour_pressure" not in substance.properties:
            return Unknown(say("no vapour pressure of {name} is loaded, so ppm has no meaning", name=substance.name))
        molar_mass = substance.best("molar_mass")
        return molar_mass if isinstance(molar_mass, Unknown) else molar_mass.value

    def governing(self, cas: str, kind: LimitKind) -> Limit | Unknown:
        """The lowest limit of a kind over all lists, or why it cannot be said."""
        found = self.limits(cas, kind)
        if not found:
            reason = say("no {kind} limit for CAS {cas} is loaded", kind=kind, cas=cas)
            rows = [row for row in self.table("no_limit") if (row.get("cas"), row.get("kind")) == (cas, kind)]
            why = "; ".join(f"{row['list']}: {term(row['reason'])}" for row in rows)
            return Unknown(f"{reason} ({why})" if why else reason)
        best = found[0]
        for limit in found[1:]:
            lower = self._is_lower(limit, best)
            if isinstance(lower, Unknown):
                return lower
            best = limit if lower else best
        return best

    def _is_lower(self, one: Limit, other: Limit) -> bool | Unknown:
        """Whether a limit is the tighter of two; at the same value "at or over" is."""
        a, b = tighter.comparable(one, other) or (self.limit_mass(one), self.limit_mass(other))
        if isinstance(a, Unknown) or isinstance(b, Unknown):
            why = a.reason if isinstance(a, Unknown) else b.reason if isinstance(b, Unknown) else ""
            names = {"a": limit_name(one), "b": limit_name(other)}
            return Unknown(say("{a} and {b} are in different units: {why}", **names, why=why))
        return tighter.tighter(a, one.compare, b, other.compare)

    def threshold(self, name: str) -> Threshold | Unknown:
        """The threshold of this name that is in force, or why there is none."""
        if name in self._thresholds:
            return self._thresholds[name]
        reason = say('no threshold called "{name}" is loaded', name=name)
        return Unknown(joined((reason, nearest(name, self._thresholds)), "; "))

    def table(self, name: str) -> tuple[Mapping[str, Any], ...]:
        """The rows of a table over all packs, merged by the rule of its schema.

        Each has the key "pack", and in "beside" what other packs say on the same thing. Raises LookupError for a
        table that nobody declares.
        """
        if name not in self._tables:
            raise LookupError(row_shapes.undeclared(name))
        return self._tables[name]

    def sources(self) -> tuple[Source, ...]:
        """Every source of the shipped data, and of the substances read or contributed so far, by key."""
        found = dict(shipped_sources())
        for substance in self._read.values():
            for values in substance.properties.values():
                found |= {value.source.key: value.source for value in values}
            found |= {c.source.key: c.source for c in substance.classes if c.source}
        return tuple(found[key] for key in sorted(found))


def crossed(value: Any, bound: float, compare: Compare) -> Any:
    """Whether a value, or each value of an array, is on the wrong side of a limit or threshold.

    Both in the same unit, unrounded. On the bound itself "at or over" and "at or under" say yes.
    """
    tests = {"over": operator.gt, "at or over": operator.ge, "under": operator.lt, "at or under": operator.le}
    return tests[compare](value, bound)


def settled(value: float) -> float:
    """A computed value to twelve digits: a decision must not hang on the last binary digit of a computation."""
    return float(f"{value:.12g}")


def past(value: float, threshold: Threshold | Unknown) -> bool:
    """Whether a computed value is past a threshold by the threshold's own sign; one nobody loaded is passed."""
    if isinstance(threshold, Unknown):
        return True
    return bool(crossed(settled(value), settled(threshold.value), threshold.compare))


# ---------------------------------------------------------------- putting it together


def load(
    rules: Sequence[str],
    shop_folder: Path,
    on: date,
    contributions: Sequence[tuple[str, Contribution]] = (),
    absent: bool = False,
    library: Library = no_library,
) -> Reference:
    """Read the packs and find the substances for a job on a day.

    ``rules`` holds ids of shipped or contributed packs, or paths relative to ``shop_folder``. A
    substance the shop adds is a file ``substances/<cas>.toml`` in that folder. ``contributions``
    holds (plugin, what it adds). ``absent``: a plugin is not there, so a table that nobody declares may be one it would
    read; it is named in ``conflicts``. ``library`` is asked for what is in no file. Raises Problems: with file
    "plugin NAME" for what a plugin got wrong.
    """
    contributions = [
        (name, replace(c, packs=tuple(replace(p, file=packed.blamed(name)) for p in c.packs)))
        for name, c in contributions
    ]
    declared = packed.declared_tables(contributions)
    packs = packed.read(rules, shop_folder, contributions, declared, absent)
    packs = tuple(packed.in_force(p, declared, on) for p in packs)
    files, added, conflicts = gathering.gather(shop_folder, contributions)
    added = {cas: equations.for_a_room(substance).on(on) for cas, substance in added.items()}
    unread = tuple(
        say("Nobody who is here reads the table {table} of {file}.", table=f"[[{name}]]", file=pack.file)
        for pack in packs
        for name in pack.tables
        if name not in declared
    )
    reference = Reference(
        packs, on, {}, {}, MappingProxyType(files), added, conflicts=(*conflicts, *unread), _library=library
    )
    limits, thresholds = _layered(packs, reference)
    merged = packed.merged_tables(packs, declared, rules)
    return replace(reference, _limits=dict(sorted(limits.items())), _thresholds=thresholds, _tables=merged)


def _layered(
    packs: Iterable[Pack], reference: Reference
) -> tuple[dict[tuple[str, str, LimitKind], Limit], dict[str, Threshold]]:
    """The records in force after all packs are laid over one another."""
    limits: dict[tuple[str, str, LimitKind], Limit] = {}
    thresholds: dict[str, Threshold] = {}
    problems = []
    for pack in packs:
        for limit in pack.limits:
            key = (limit.of, limit.list, limit.kind)
            before = limits.get(key)
            if before and not pack.replaces:
                looser = reference._is_lower(before, limit)
                if isinstance(looser, Unknown):
                    problems.append(Problem(pack.file, 0, limit_name(limit), looser.reason))
                elif looser:
                    problems.append(_looser(pack, limit_name(limit), limit, before))
            limits[key] = limit
        for threshold in pack.thresholds:
            old = thresholds.get(threshold.name)
            if old and not pack.replaces:
                if (old.unit, tighter.upward(old.compare)) != (threshold.unit, tighter.upward(threshold.compare)):
                    wrong = say("cannot be compared with {old} of {pack}", old=old.written, pack=old.pack)
                    problems.append(Problem(pack.file, 0, f"[[threshold]] {threshold.name}", wrong))
                elif tighter.tighter(old.value, old.compare, threshold.value, threshold.compare):
                    problems.append(_looser(pack, f"[[threshold]] {threshold.name}", threshold, old))
            thresholds[threshold.name] = threshold
    if problems:
        raise Problems(problems)
    return limits, thresholds


def _looser(pack: Pack, name: str, new: Limit | Threshold, old: Limit | Threshold) -> Problem:
    return packed.looser(pack, name, f"{new.compare} {new.written}", f"{old.compare} {old.written}", old.pack)


def _by_number(cas: str) -> tuple[int, ...]:
    return tuple(int(part) for part in cas.split("-"))
