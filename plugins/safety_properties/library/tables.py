"""The tables of the installed package: found without importing it, read a row at a time."""

from __future__ import annotations

import gzip
import mmap
from dataclasses import dataclass, field
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec
from pathlib import Path

from safety.cited import Cited, Source
from safety.words import message

PACKAGE = "chemicals"

#: The identifiers, the small files first: the large one is opened only where they miss.
_IDENTIFIERS = ("pubchem small", "example user db", "pubchem large")

UNCHECKED = message("from an installed library; nobody has checked it")


@dataclass(frozen=True, slots=True)
class Table:
    """One table of the package: a row for each CAS number, under a line of headings."""

    path: str
    title: str  # the work it was copied from
    plain: bool = False  # its numbers are written without hyphens

    def row(self, cas: str) -> dict[str, str]:
        """The cells of a substance by their heading; empty where it has none."""
        text = _text(self.path)
        wanted = (cas.replace("-", "") if self.plain else cas).encode()
        start = text.find(b"\n" + wanted + b"\t") + 1
        if not start:
            return {}
        cells = _cells(text, start)
        return dict(zip(_cells(text, 0), cells, strict=False))

    def source(self) -> Source:
        return Source(
            key=f"library:{self.title}",
            title=f"{self.title}, table of the package {PACKAGE}",
            edition=_version(),
            link=f"https://pypi.org/project/{PACKAGE}/",
            terms="read from the package on this computer; not copied",
        )

    def cited(
        self,
        value: float,
        unit: str,
        written: str,
        cas: str,
        *,
        unverified: str = UNCHECKED,
        remark: str = "",
        **conditions: float,
    ) -> Cited:
        """A value of this table's row."""
        at = f"table {Path(self.path).stem}, row {cas}"
        return Cited(value, unit, written, self.source(), at, unverified, remark, tuple(conditions.items()))


@dataclass(frozen=True, slots=True)
class Identity:
    """What carries a CAS number: one kind of molecule."""

    cas: str
    formula: str
    molar_mass: float  # g/mol
    bonds: str  # SMILES
    names: tuple[str, ...]
    table: Table = field(repr=False)


def folder() -> Path | None:
    """Where the package is installed, or None."""
    spec = find_spec(PACKAGE)
    found = spec.submodule_search_locations if spec else None
    return Path(found[0]) if found else None


def identity(cas: str) -> Identity | None:
    """What carries a CAS number, or None."""
    for name in _IDENTIFIERS:
        table = Table(f"Identifiers/chemical identifiers {name}.tsv", "identifiers")
        cells = _identifier(table.path, cas)
        if not cells:
            continue
        mass = number(cells[3])
        names = tuple(dict.fromkeys(name for name in (cells[8], cells[7]) if name.strip()))
        if mass and names:
            return Identity(cas, cells[2], mass, cells[4], names, table)
    return None


def signed(text: str | None) -> float | None:
    """The number in a cell, or None."""
    try:
        value = float(text or "")
    except ValueError:
        return None
    return value if abs(value) < 1e12 else None  # NaN and what is endless are neither


def number(text: str | None) -> float | None:
    """The number above zero in a cell; None also for a zero, which stands for an empty cell."""
    value = signed(text)
    return value if value and value > 0 else None


def _identifier(path: str, cas: str) -> list[str]:
    """The row that has the number in its second cell; among other names it stands for other things."""
    file = _found(path)
    if file is None:
        return []
    wanted = b"\t" + cas.encode() + b"\t"
    with file.open("rb") as opened, mmap.mmap(opened.fileno(), 0, access=mmap.ACCESS_READ) as text:
        at = text.find(wanted)
        while at >= 0:
            start = text.rfind(b"\n", 0, at) + 1
            if b"\t" not in text[start:at]:
                end = text.find(b"\n", at)
                return text[start : end if end >= 0 else len(text)].decode("utf-8", "replace").split("\t")[:9]
            at = text.find(wanted, at + 1)
    return []


def _cells(text: bytes, start: int) -> list[str]:
    end = text.find(b"\n", start)
    line = text[start : end if end >= 0 else len(text)].decode("utf-8", "replace")
    return [cell.strip() for cell in line.split("\t")]


def _found(path: str) -> Path | None:
    root = folder()
    file = root / path if root else None
    return file if file and file.is_file() else None


@cache
def _text(path: str) -> bytes:
    """A whole table; nothing where another version of the package has none of this name."""
    file = _found(path)
    if file is None:
        return b""
    return gzip.decompress(file.read_bytes()) if path.endswith(".gz") else file.read_bytes()


@cache
def _version() -> str:
    try:
        return version(PACKAGE)
    except PackageNotFoundError:
        return ""
