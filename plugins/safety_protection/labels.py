"""Signal word and symbols that stand for hazard statements."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from safety.model import Signal, Signs, Symbol
from safety.reference import Reference
from safety.reference.hazards import base, single
from safety.reference.tables import said_by
from safety.words import say
from safety_protection import statements

#: Which symbol a statement brings, and why: the reason decides what a stronger symbol takes away.
#: UN GHS, annex 3 and the class chapters; 29 CFR 1910.1200 appendix C. Links for H290, H304 and the
#: groups of GHS06 and GHS08 are from memory.
_SYMBOLS: dict[tuple[Symbol, str], str] = {
    ("GHS01", "explosive"): "H200 H201 H202 H203 H204 H205 H240 H241",
    ("GHS02", "fire"): "H206 H207 H208 H220 H221 H222 H223 H224 H225 H226 H228 H241 H242 H250 H251 H252 H260 H261",
    ("GHS03", "oxidiser"): "H270 H271 H272",
    ("GHS04", "gas"): "H280 H281",
    ("GHS05", "corrosion"): "H290 H314 H318",
    ("GHS06", "acute"): "H300 H301 H310 H311 H330 H331",
    ("GHS07", "acute"): "H302 H312 H332",
    ("GHS07", "irritation"): "H315 H319",
    ("GHS07", "skin allergy"): "H317",
    ("GHS07", "airways and drowsiness"): "H335 H336",
    ("GHS07", "ozone"): "H420",
    ("GHS08", "lasting"): "H304 H334 H340 H341 H350 H351 H360 H361 H370 H371 H372 H373",
    ("GHS09", "water"): "H400 H410 H411",
}
_OF: dict[str, list[tuple[Symbol, str]]] = {}
for _link, _codes in _SYMBOLS.items():
    for _code in _codes.split():
        _OF.setdefault(_code, []).append(_link)

#: Statements with the signal word "Danger", and those with none; the rest say "Warning". Classes that
#: share one statement between the two words (H228, H242, H252, H261, H272) take the stronger.
_DANGER = frozenset(
    {"H200", "H201", "H202", "H203", "H205", "H206", "H207", "H220", "H222", "H224", "H225", "H228", "H230", "H232"}
    | {"H240", "H241", "H242", "H250", "H251", "H260", "H261", "H270", "H271", "H272", "H300", "H301", "H304"}
    | {"H310", "H311", "H314", "H318", "H330", "H331", "H334", "H340", "H350", "H360", "H370", "H372"}
)
_SILENT = frozenset({"H362", "H411", "H412", "H413"})


def signs(of: str, codes: Iterable[str], reference: Reference) -> Signs:
    """What a thing carries for its statements."""
    codes = tuple(codes)
    told = tuple(dict.fromkeys(filter(None, map(statements.shown, codes))))
    advice = tuple(filter(None, map(statements.shown, statements.precautions(codes))))
    return Signs(of, symbols(codes, reference), signal(codes), told, advice)


def signal_word(codes: Iterable[str]) -> str:
    """The word for these statements, in the language being spoken, or ""."""
    return said(signal(codes))


def said(signal: Signal) -> str:
    """A signal word as it is printed."""
    return {"danger": say("Danger"), "warning": say("Warning"), "": ""}[signal]


def signal(codes: Iterable[str]) -> Signal:
    """The signal word; "danger" takes "warning" away (29 CFR 1910.1200 appendix C, C.2.1)."""
    plain = {base(code) for code in single(codes)}
    if plain & _DANGER:
        return "danger"
    return "warning" if any(code.startswith("H") and code not in _SILENT for code in plain) else ""


def let_go(codes: Iterable[str], reference: Reference) -> tuple[Mapping[str, Any], ...]:
    """The rows by which a symbol of these statements goes."""
    codes = tuple(codes)
    return tuple(row for row in reference.table("symbol_precedence") if _goes(row, codes, _links(codes)))


def _links(codes: Iterable[str]) -> set[tuple[Symbol, str]]:
    return {link for code in single(codes) for link in _OF.get(base(code), ())}


def _goes(row: Mapping[str, Any], codes: Iterable[str], links: set[tuple[Symbol, str]]) -> set[tuple[Symbol, str]]:
    """The symbols, each with its reason, that a row takes away."""
    there = any(symbol == row["present"] for symbol, _ in links)
    if not there or (row["for_code"] and row["for_code"] not in {base(code) for code in single(codes)}):
        return set()
    return {x for x in links if x[0] == row["goes"] and ("all" in row["reasons"] or x[1] in row["reasons"])}


def symbols(codes: Iterable[str], reference: Reference) -> tuple[Symbol, ...]:
    """Symbols ("GHS02") of these statements, less those that every loaded pack with a precedence lets go.

    Without a precedence table nothing is taken away.
    """
    codes = tuple(codes)
    links = _links(codes)
    gone: dict[str, set[tuple[Symbol, str]]] = {}
    for row in reference.table("symbol_precedence"):
        for pack in said_by(row):
            gone.setdefault(pack, set()).update(_goes(row, codes, links))
    return tuple(sorted({symbol for symbol, _ in links - set.intersection(*gone.values() or [set()])}))
