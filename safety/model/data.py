"""What the loaded data and rules packs say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from types import MappingProxyType
from typing import Any, Literal

from safety.cited import Cited, Source, Unknown
from safety.model.classes import Classification
from safety.words import message, say, term

NOTHING: Mapping[str, Any] = MappingProxyType({})
WATER = "7732-18-5"  # it evaporates with a film and harms nobody's lungs
EIGHT_HOURS = 28800.0  # s, the shift that limits of a shift are set for


def nothing() -> Mapping[str, Any]:
    """An empty mapping nobody can write to: the default of a field."""
    return NOTHING


#: The constants of the vapour pressure equation, as properties of a substance: log10 P/Pa = A - B/(T/K + C). The
#: ends of the range that it was fitted over stand beside the first.
ANTOINE = ("antoine_a", "antoine_b", "antoine_c")

#: Property of a substance -> what it is called.
PROPERTY_NAMES = {
    "molar_mass": message("molar mass"),
    "density": message("density"),
    "boiling_point": message("boiling point"),
    "boiling_end": message("end of boiling"),
    "vapour_pressure": message("vapour pressure"),
    "flash_point": message("flash point"),
    "lower_explosive_limit": message("lower explosive limit"),
    "upper_explosive_limit": message("upper explosive limit"),
    "autoignition": message("ignition temperature"),
    "log_kow": message("octanol-water coefficient"),
    "conductivity": message("conductivity"),
    "heat_of_vaporisation": message("heat of evaporation"),
    "heat_of_combustion": message("heat of combustion"),
    "water_solubility": message("solubility in water"),
    "refractive_index": message("refractive index"),
    ANTOINE[0]: message("vapour pressure equation"),
}


def unclassified() -> Unknown:
    """Nobody has said what a substance can do."""
    return Unknown(say("no harmonised classification is loaded"))


#: In a flame, an arc or ultraviolet light their vapour turns into acid gases.
HALOGENS = ("F", "Cl", "Br", "I")


@dataclass(frozen=True, slots=True)
class Composition:
    """The elements a substance is made of, from its formula, or as a source gives them for a mixture of many."""

    elements: tuple[str, ...]  # symbols, each once
    written: str  # the formula, or the symbols
    source: Source
    at: str
    unverified: str = ""

    @property
    def of_many(self) -> bool:
        """Whether it is a mixture of many substances, of which a source gives the elements alone."""
        return self.written == ", ".join(self.elements) and len(self.elements) > 1

    @property
    def halogens(self) -> tuple[str, ...]:
        return tuple(symbol for symbol in HALOGENS if symbol in self.elements)


@dataclass(frozen=True, slots=True)
class Substance:
    """What the loaded data say of one substance; several values a property, the one to use first.

    Property names and SI units: molar_mass kg/mol, density kg/m3 (liquid), boiling_point K, boiling_end K
    (where the last of a mixture boils: what has it is a petroleum fraction), vapour_pressure Pa (condition
    temperature K), flash_point K, lower_explosive_limit and upper_explosive_limit as mole fractions,
    autoignition K, log_kow 1, conductivity S/m, heat_of_vaporisation J/mol, heat_of_combustion J/mol,
    water_solubility kg/m3, refractive_index 1, antoine_a 1, antoine_b K, antoine_c K (log10 P/Pa = A - B/(T + C);
    conditions low and high K on antoine_a).
    """

    cas: str
    names: tuple[str, ...]
    properties: Mapping[str, tuple[Cited, ...]]
    #: The codes of ``classes``; () where somebody looked and there are none.
    hazards: tuple[str, ...] | Unknown = field(default_factory=unclassified)
    notes: Mapping[str, str] = field(default_factory=nothing)
    origin: str = ""  # file or plugin
    classes: tuple[Classification, ...] = ()  # what stands behind ``hazards``; of bare codes only the codes
    groups: Mapping[str, int] = field(default_factory=nothing)  # group a limit may count -> how many a molecule has
    composition: Composition | Unknown = Unknown("no formula is loaded")

    def __post_init__(self) -> None:
        """``hazards`` and ``classes`` say the same, whichever of them was given."""
        codes = tuple(dict.fromkeys(c.code for c in self.classes))
        if codes and isinstance(self.hazards, Unknown):
            object.__setattr__(self, "hazards", codes)
        elif not codes and not isinstance(self.hazards, Unknown):
            object.__setattr__(self, "classes", tuple(Classification(code) for code in self.hazards))
        elif codes and codes != self.hazards:
            raise ValueError(f"{self.cas}: its hazards are not the codes of its classes; give one of the two")

    def classified(self, classes: tuple[Classification, ...]) -> Substance:
        """The same with other classes, and so with other hazards; with none of them nothing is known."""
        return replace(self, classes=classes, hazards=unclassified())

    def on(self, day: date) -> Substance:
        """The same as the lists have it on a day."""
        held = tuple(c for c in self.classes if c.on(day))
        return self if held == self.classes else self.classified(held)

    @property
    def has_equation(self) -> bool:
        """Whether a vapour pressure equation is loaded."""
        return ANTOINE[0] in self.properties

    @property
    def equation(self) -> tuple[Cited | Unknown, ...]:
        """The three constants of the vapour pressure equation to use."""
        return tuple(map(self.best, ANTOINE))

    @property
    def is_cut(self) -> bool:
        """Whether it is a mixture of hydrocarbons of which only a product's own boiling range tells the vapour."""
        if self.has_equation or "boiling_end" in self.properties or "not_volatile" in self.notes:
            return False
        made_of = self.composition
        return isinstance(made_of, Composition) and made_of.of_many and set(made_of.elements) == {"C", "H"}

    @property
    def name(self) -> str:
        """What it is called, in the language being spoken."""
        return term(self.names[0])

    def best(self, name: str) -> Cited | Unknown:
        """The value of a property to use, or why there is none."""
        values = self.properties.get(name, ())
        return (
            values[0]
            if values
            else Unknown(
                say("no {property} of {name} is loaded", property=term(PROPERTY_NAMES.get(name, name)), name=self.name)
            )
        )


LimitKind = Literal["twa", "short-term", "ceiling", "peak", "idlh"]
Compare = Literal["over", "at or over", "under", "at or under"]


@dataclass(frozen=True, slots=True)
class Limit:
    """One exposure limit as a dated record of a rules pack.

    With ``as_group`` its value is the mass of that group of atoms in the air, not of the substance; where it has
    no ``cas`` it is one limit for all substances that carry the group, added up.
    """

    cas: str
    list: str  # "OSHA PEL", "NIOSH REL", "EU indicative OELV"
    kind: LimitKind
    value: float  # mole fraction in air (unit "ppm") or kg/m3 (unit "mg/m3")
    unit: Literal["ppm", "mg/m3"]
    written: str
    averaging: float  # s; 0 = never to be exceeded
    compare: Compare
    citation: str
    edition: str
    jurisdiction: str
    pack: str
    reference_temperature: float = 298.15  # K at which the list turns ppm into mg/m3
    unverified: str = ""
    peak_duration: float | None = None  # s, for kind "peak"
    peak_window: float | None = None  # s
    skin: bool = False
    remark: str = ""
    valid_from: date | None = None  # first day in force; None = always was
    valid_until: date | None = None  # last day in force; None = no end is set
    as_group: str = ""  # a key of safety.formulas.exposure.GROUPS, or ""

    @property
    def of(self) -> str:
        """What it is a limit of: a CAS number, or the group of all that carry it."""
        return self.cas or self.as_group


@dataclass(frozen=True, slots=True)
class Threshold:
    """A number a rule or a standard sets, by name."""

    name: str
    value: float
    unit: str
    compare: Compare
    written: str
    citation: str
    edition: str
    jurisdiction: str
    pack: str
    averaging: float | None = None
    unverified: str = ""
    remark: str = ""
    valid_from: date | None = None  # first day in force; None = always was
    valid_until: date | None = None  # last day in force; None = no end is set


@dataclass(frozen=True, slots=True)
class Pack:
    """A rules pack: limits, thresholds, and tables whose meaning a plugin knows."""

    id: str
    title: str
    jurisdiction: str
    edition: str
    limits: tuple[Limit, ...] = ()
    thresholds: tuple[Threshold, ...] = ()
    tables: Mapping[str, tuple[Mapping[str, Any], ...]] = field(default_factory=nothing)
    file: str = ""
    replaces: bool = False  # its records stand in for same-named ones of earlier packs, even looser ones


@dataclass(frozen=True, slots=True)
class TakenAs:
    """The substance that stands in for a part the maker does not name, because a person of the shop decided so."""

    cas: str
    reason: str
    name: str  # who decided
    date: date
