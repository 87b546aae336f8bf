"""A small sound shop on disk, with one file of it replaced or added."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path

import pytest

from safety import own_keys
from safety.cited import Source, Unknown
from safety.files.reading import read_all
from safety.hosting import host
from safety.model import Composition, Key, Substance, TableSchema
from safety.problems import Problems
from safety.reference import declared_tables, read_pack

BASE = Path(__file__).parents[1] / "mistakes" / "base"


@pytest.fixture
def shop(tmp_path: Path) -> Callable[..., Path]:
    """A function that copies the base shop and writes files into it: ``shop({"jobs/clean.toml": text})``."""

    def make(files: dict[str, str | bytes] | None = None) -> Path:
        folder = tmp_path / "shop"
        shutil.copytree(BASE, folder)
        for name, content in (files or {}).items():
            (folder / name).parent.mkdir(exist_ok=True)
            (folder / name).write_bytes(content if isinstance(content, bytes) else content.encode())
        return folder

    return make


@pytest.fixture
def base() -> Callable[[str], str]:
    """The text of a file of the base shop."""
    return lambda name: (BASE / name).read_text(encoding="utf-8")


#: What evaporates by the data: one value is enough.
BUTANONE = Substance("78-93-3", ("methyl ethyl ketone",), {"vapour_pressure": ()})
#: A cut of petroleum, of which the data know the elements alone.
NAPHTHA = Substance(
    "64742-48-9",
    ("hydrotreated heavy naphtha",),
    {},
    composition=Composition(("C", "H"), "C, H", Source("made-up", "Made up", "2026"), "nowhere"),
)


def find(word: str) -> object:
    """Stands for the reference data: knows jet fuel, butanone and a cut by their numbers and nothing else."""
    return {"8008-20-6": word, "78-93-3": BUTANONE, "64742-48-9": NAPHTHA}.get(word) or Unknown("not loaded")


@cache
def _declared() -> dict[str, TableSchema]:
    """The tables of our own plugins."""
    return declared_tables([one for one in host.load().ask("contribute") if one[0] in host.BUILT_IN])


#: What a plugin asks a shop for, as the example of docs/plugins.md does.
ASKED = {
    ("house_rules", "step"): (Key("lamp", "word", one_of=("head", "hand")), Key("watts", "number", needed=False)),
    ("house_rules", "product"): (Key("opened", "day"),),
    ("house_rules", "place"): (Key("heights", "numbers"),),
}


def _read(folder: Path) -> None:
    _, jobs = read_all(folder, find=find)
    for job in jobs:
        own_keys.read(job, ASKED)


def _pack(path: Path, folder: Path) -> object:
    return read_pack(path, path.relative_to(folder).as_posix(), _declared())


@pytest.fixture
def told() -> Callable[[Path], list[str]]:
    """The lines a person gets for a shop, with paths seen from its folder."""

    def lines(folder: Path) -> list[str]:
        found: list[str] = []
        for read in (partial(_read, folder), *(partial(_pack, p, folder) for p in folder.glob("rules/*"))):
            try:
                read()
            except Problems as error:
                found += [str(p).replace(f"{folder.as_posix()}/", "") for p in error.problems]
        return found

    return lines
