"""What a product can do: its data sheet's word, and what the rules for mixtures make of its parts."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from safety.cited import Unknown
from safety.model.classes import Classification
from safety.model.figures import Figure
from safety.model.jobs import Product

#: Statement -> those beside which it says nothing more.
STRONGER = {
    "H225": {"H224"},
    "H226": {"H224", "H225"},
    "H227": {"H224", "H225", "H226"},
    "H301": {"H300"},
    "H302": {"H300", "H301"},
    "H311": {"H310"},
    "H312": {"H310", "H311"},
    "H331": {"H330"},
    "H332": {"H330", "H331"},
    "H315": {"H314"},
    "H318": {"H314"},
    "H319": {"H314", "H318"},
    "H341": {"H340"},
    "H351": {"H350"},
    "H361": {"H360"},
    "H371": {"H370"},
    "H373": {"H372"},
    "H400": {"H410"},
    "H411": {"H410"},
    "H412": {"H410", "H411"},
    "H413": {"H410", "H411", "H412"},
    "EUH066": {"H314", "H315"},
    "EUH208": {"H317", "H334"},
}


def base(code: str) -> str:
    """The plain code of a variant: H361 of "H361d"; a EUH code stays as it is."""
    return code if code.startswith("EUH") else code[:4]


def single(codes: Iterable[str]) -> tuple[str, ...]:
    """Combined codes ("H302+H312") taken apart, in order, each once."""
    return tuple(dict.fromkeys(part.strip() for code in codes for part in code.split("+")))


def outdone(code: str, others: Collection[str]) -> bool:
    """Whether a statement says nothing beside others, given as plain codes."""
    return bool(STRONGER.get(base(code), set()) & set(others))


def fits(key: str, one: Classification) -> bool:
    """Whether a class is the one a key names ("H317", "H317 1A"); of a class without its category any may be meant."""
    code, _, category = key.partition(" ")
    return base(one.code) == code and one.category in (category or one.category, "")


@dataclass(frozen=True, slots=True)
class Implied:
    """One statement that the rules for mixtures give a product, with the figure that gave it."""

    code: str
    figure: Figure
    rule: str
    doubt: str = ""  # what the rule asks for and nobody knows, so that it was taken on the careful side
    disputed: bool = False  # another pack says otherwise: the rule names both


@dataclass(frozen=True, slots=True)
class ProductHazards:
    """What one product can do, and who says so. Nothing here takes away what the other source says."""

    product: Product
    declared: tuple[str, ...] | Unknown  # by the data sheet; () = it says "not classified"
    implied: tuple[Implied, ...] = ()  # by the parts' own classes and the loaded rules
    gaps: tuple[str, ...] = ()  # why ``implied`` may be too short
    basis: tuple[Mapping[str, Any], ...] = ()  # rows: what has to be said of the classes and rules used

    @property
    def more(self) -> tuple[Implied, ...]:
        """What the parts imply and the data sheet does not say, nor anything that says more."""
        if isinstance(self.declared, Unknown):
            return self.implied
        said = {base(code) for code in self.declared}
        return tuple(one for one in self.implied if base(one.code) not in said and not outdone(one.code, said))

    @property
    def codes(self) -> tuple[str, ...]:
        """What to act on: the data sheet's statements, and after them what the parts imply beside."""
        declared = () if isinstance(self.declared, Unknown) else self.declared
        return (*declared, *(one.code for one in self.more))

    @property
    def careful(self) -> frozenset[str]:
        """The plain codes of everything declared or implied."""
        declared = () if isinstance(self.declared, Unknown) else self.declared
        return frozenset(base(code) for code in (*declared, *(one.code for one in self.implied)))

    def by(self, codes: Collection[str]) -> tuple[Figure | str, ...]:
        """What gives it these plain codes: the data sheet's own word, else the figures of what its parts imply."""
        declared = () if isinstance(self.declared, Unknown) else self.declared
        own = {base(code): code for code in declared if base(code) in codes}
        implied = (one for one in self.implied if base(one.code) in codes and base(one.code) not in own)
        return (*own.values(), *(one.figure for one in implied))

    @property
    def known(self) -> bool:
        """Whether the list can be relied on to be whole: a data sheet speaks for the parts it does not name, too."""
        return not isinstance(self.declared, Unknown) or not self.gaps

    @property
    def unchecked(self) -> bool:
        """Whether a "not classified" is all there is to go by: not every part could be held against it."""
        return self.declared == () and bool(self.gaps)
