"""Rules of the waste packs as the rest of the plugin asks for them: words, rows and thresholds."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from safety.cited import Unknown
from safety.model import Product, Threshold
from safety.reference import Reference

PLUGIN = "waste"
DAY = 86400.0  # s


def holds(text: str, words: Iterable[str]) -> bool:
    """Whether one of the words, or its plural, stands in a text as a word of its own."""
    plain = " ".join(text.casefold().split())
    return any(re.search(rf"\b{re.escape(word)}(?:s|es)?\b", plain) for word in words)


def form_of(text: str, reference: Reference) -> str:
    """The form of waste a text means, such as "wet-cloths"; "held" where it names none, or more than one."""
    forms = forms_of(text, reference)
    return str(next(iter(forms))) if len(forms) == 1 else "held"


def forms_of(text: str, reference: Reference) -> frozenset[str]:
    """Every form of waste that a text names."""
    return frozenset(row["form"] for row in holding(text, "waste_form", reference))


def holding(text: str, table: str, reference: Reference) -> tuple[Mapping[str, Any], ...]:
    """The rows of a table of which a text, such as a product's role, has a word."""
    return tuple(row for row in reference.table(table) if holds(text, row["words"]))


def meant_for(product: Product, table: str, reference: Reference) -> tuple[Mapping[str, Any], ...]:
    """The rows of a table of purposes that name a product's; none where nobody says what it is for."""
    return tuple(row for row in reference.table(table) if product.purpose in row["purposes"])


def threshold(name: str, reference: Reference) -> Threshold | None:
    """A threshold, or None where no pack of the shop sets it."""
    found = reference.threshold(name)
    return None if isinstance(found, Unknown) else found


def days(name: str, reference: Reference) -> tuple[int, Threshold] | None:
    """A limit in whole calendar days."""
    found = threshold(name, reference)
    return None if found is None else (round(found.value / DAY), found)
