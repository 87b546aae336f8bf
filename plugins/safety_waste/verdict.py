"""What a waste is under the rules of the shop's packs: codes, why, and what a person must confirm."""

from __future__ import annotations

from dataclasses import dataclass

from safety.model import Figure


@dataclass(frozen=True, slots=True)
class Verdict:
    """One waste under one set of rules. The determination itself is a person's."""

    rules: str  # "US", "EU"
    codes: tuple[str, ...]  # that hold
    maybe: tuple[str, ...] = ()  # that hold unless something is confirmed
    because: tuple[str, ...] = ()  # sentences
    confirm: tuple[str, ...] = ()  # what the responsible person must confirm
    rule: str = ""  # citations
    hazards: tuple[str, ...] = ()  # words for the label: "ignitable"
    figures: tuple[Figure, ...] = ()
