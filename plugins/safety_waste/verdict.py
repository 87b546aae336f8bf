"""What a waste is under the rules of the shop's packs: codes, why, and what a person must confirm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from safety.model import Figure, Threshold


@dataclass(frozen=True, slots=True)
class Verdict:
    """One waste under one set of rules. The determination itself is a person's."""

    rules: str  # "US", "EU"
    codes: tuple[str, ...]  # that hold
    maybe: tuple[str, ...] = ()  # that hold unless something is confirmed
    because: tuple[str, ...] = ()  # sentences
    confirm: tuple[str, ...] = ()  # what the responsible person must confirm
    grounds: tuple[Mapping[str, Any] | Threshold, ...] = ()  # the rules it rests on
    aside: tuple[Mapping[str, Any] | Threshold, ...] = ()  # those it rests on too and does not cite
    hazards: tuple[str, ...] = ()  # words for the label: "ignitable"
    figures: tuple[Figure, ...] = ()
    decided: bool = False  # by a laboratory or a person, not by the data alone

    @property
    def asked(self) -> bool:
        """Whether no code was found and nobody has decided: that is no proof of anything."""
        return not (self.decided or self.codes or self.maybe)

    @property
    def acute(self) -> bool:
        """Whether it is, or may be, acute hazardous waste: a code of the list P."""
        return any(code.startswith("P") for code in (*self.codes, *self.maybe))
