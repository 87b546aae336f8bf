"""The files of a shop, opened once for everybody who reads what stands in them: nothing here judges, or asks a plugin.

Who judges asks the workplace, which is handed these files. Who only reads or writes down does not wait for the engine.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from safety.files.notation import Miswritten, address, nearest, squeezed, text
from safety.files.reading import SHOP_FILE, Edit, OpenShop, open_shop, unchanged
from safety.files.toml import files_in, is_file, open_document, plain
from safety.model import Shop
from safety.problems import Problem, Problems
from safety.words import say

#: What a file of a shop describes; the folder of such files is named for many of them.
Kind = Literal["job", "product"]


@dataclass(frozen=True, slots=True)
class ShopFiles:
    """The files of one shop, by its ``shop.toml``."""

    file: Path

    @classmethod
    def of(cls, path: Path = Path()) -> ShopFiles:
        """Those of the shop that a folder, or any file, belongs to. Raises Problems where there is none."""
        return cls(_nearest(path))

    @classmethod
    def of_job(cls, job: str, folder: Path = Path()) -> tuple[ShopFiles, Path]:
        """Those a job belongs to, which is named by its file or by its id in the shop of a folder; and its file."""
        path = Path(job)
        if not is_file(path):
            if path.suffix != ".toml" and not path.is_absolute() and len(path.parts) == 1:
                path = cls.of(folder).job(job)
            else:
                path = open_document(path).path  # says why it is not a file that can be read
        return cls.of(path), path

    @property
    def folder(self) -> Path:
        return self.file.parent

    def opened(self, edit: Edit = unchanged) -> OpenShop:
        """What stands in the shop's own file and those of its products; mistakes are kept for ``sound``."""
        return open_shop(self.file, edit)

    @property
    def shop(self) -> Shop:
        """The shop as it is written now. Raises Problems."""
        return self.opened().sound()

    def of_the_ledger(self) -> tuple[Shop, Problems | None]:
        """The shop; where its files have mistakes, only its name and the place of its ledger, and the mistakes.

        What was kept is shown and signed in whatever state today's files are. Raises Problems where these two cannot
        be read either.
        """
        try:
            return self.shop, None
        except Problems as mistakes:
            table = open_document(self.file).data.get("shop")
            try:
                if not isinstance(table, dict):
                    raise mistakes
                name, ledger = text(table.get("name")), address(table["ledger"]) if "ledger" in table else ""
            except Miswritten:
                raise mistakes from None
            return Shop(name, "si", {}, {}, ledger=ledger, file=str(self.file)), mistakes

    def all(self, kind: Kind) -> list[Path]:
        return files_in(self.folder / f"{kind}s")

    def ids(self, kind: Kind) -> Iterator[tuple[Path, str]]:
        """Each file of a kind, and the id it gives itself: "" for none, and where it cannot be read."""
        for path in self.all(kind):
            try:
                table = open_document(path).data.get(kind)
            except Problems:
                table = None  # its mistakes are told to who opens it
            yield path, squeezed(table.get("id")) if isinstance(table, dict) and table.get("id") else ""

    def job(self, name: str) -> Path:
        """The file of a job, by its own name or by the job's id. Raises Problems, with a near match."""
        known = {path.stem: path for path in self.all("job")}
        if name not in known:
            known |= {own: path for path, own in reversed([*self.ids("job")]) if own and own not in known}
        if name in known:
            return known[name]
        raise Problems([Problem(plain(name), 0, "", say("there is no job of this name"), nearest(name, known))])

    def product(self, name: str) -> Path:
        """The file of a product, by the product's id. Raises Problems."""
        known = {own or path.stem: path for path, own in reversed([*self.ids("product")])}
        if name in known:
            return known[name]
        raise Problems(
            [Problem(plain(name), 0, "", say('there is no product "{id}"', id=plain(name)), nearest(name, known))]
        )


def _nearest(path: Path) -> Path:
    """The ``shop.toml`` a file belongs to: the nearest one in the folders above ``path``.

    ``path`` may also be the file itself or a folder. Raises Problems when there is none, and where the nearest one
    above may have been put there by a stranger.
    """
    if path.name == SHOP_FILE and is_file(path):
        return path
    above = [path, *path.parents]
    beyond = [] if path.is_absolute() else [Path(os.path.relpath(p)) for p in Path.cwd().parents]
    here = path if os.path.isdir(path) else path.parent
    for folder in (*above, *beyond):
        if not is_file(folder / SHOP_FILE):
            continue
        if folder not in (here, Path()) and not _is_ours(folder, _owners(path, here)):
            wrong = say("this shop lies above, where somebody else can write, so it is not taken")
            write = say("go to its folder to work with it")
            raise Problems([Problem((folder / SHOP_FILE).as_posix(), 0, "", wrong, write)])
        return folder / SHOP_FILE
    wrong = say("no {file} in this folder or above it", file=SHOP_FILE)
    raise Problems(
        [Problem(path.as_posix(), 0, "", wrong, say("go to the shop's folder, or make one with: hazstep new DIR"))]
    )


def _owners(*paths: Path) -> set[int]:
    """Those whose folders are taken without being named: the person's own, the administrator's, and whoever owns
    the place where the person is. Windows tells no owners, so there everybody is one."""
    found = {0, getattr(os, "geteuid", lambda: 0)()}
    for path in paths:
        with suppress(OSError):
            found.add(path.stat().st_uid)
    return found


def _is_ours(folder: Path, owners: set[int]) -> bool:
    """Whether only ``owners`` and those they admit to the folder can have put a shop's file there."""
    try:
        whole, file = folder.stat(), (folder / SHOP_FILE).lstat()
    except OSError:
        return False
    return whole.st_uid in owners and (file.st_uid in owners or not whole.st_mode & stat.S_IWOTH)
