"""The texts of hazard and precautionary statements, and which belong to which."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache
from types import MappingProxyType
from typing import cast

from safety.files.toml import open_document
from safety.reference.hazards import base, single
from safety.words import spoken
from safety_protection.rules import HERE


@cache
def _texts(language: str) -> Mapping[str, str]:
    data = open_document(HERE / "data" / f"statements-{language}.toml").data
    texts = dict(data["statements"]) | {row["code"]: row["text"] for row in data["other"]}
    return MappingProxyType(texts)


@cache
def _precautions() -> Mapping[str, list[str]]:
    data = open_document(HERE / "data" / "precautions.toml").data
    return cast(Mapping[str, list[str]], MappingProxyType(data["codes"]))


def text(code: str) -> str:
    """The legal text of a code in the language being spoken; of its plain code for a variant without one; or ""."""
    texts = _texts(spoken())
    return texts.get(code) or texts.get(base(code), "")


def shown(code: str) -> str:
    """The text without the blanks in angle brackets that only a supplier can fill."""
    plain = re.sub(r"\s*<[^>]*>", "", text(code))
    return " ".join(plain.split())


def precautions(codes: Iterable[str]) -> tuple[str, ...]:
    """Precautionary statements for these hazards, each once, in order of their number.

    P261 goes where the stricter P260 stands, P312 and P311 where P310 does (Regulation (EC) No 1272/2008,
    Article 28(2): no redundant statements).
    """
    found = {p for code in single(codes) for p in _precautions().get(base(code), ())}
    if "P260" in found:
        found.discard("P261")
    if "P310" in found or "P301+P310" in found:
        found -= {"P311", "P312", "P301+P312"}
    return tuple(sorted(found))
