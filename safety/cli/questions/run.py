"""The answers of one talk, looked through like any file, and written: whole, to a new name, or behind what is there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from safety import reference
from safety.cli.output import Target, only_new, write
from safety.cli.questions import job, place, product, stock
from safety.cli.questions.parts import Find
from safety.cli.questions.talk import Talk
from safety.cli.questions.written import text, today
from safety.files.cross_checks import check_job, check_shop
from safety.files.reading import look_through_product
from safety.files.shapes import JobFile, Shape, ShopFile, fit
from safety.files.shop_files import Kind, ShopFiles
from safety.files.toml import Document, document_of, open_document, problem
from safety.model import Shop
from safety.problems import Problem, Problems
from safety.words import say


def run(what: str, folder: Path) -> tuple[list[str], str]:
    """Ask for a product, job, place or stock; return the file written and what to do next. Raises Problems."""
    files = ShopFiles.of(folder)
    shop = files.shop
    if what == "place":
        return _place(files.file, shop)
    if what == "stock":
        return _stock(files.file, shop)
    return _product(files) if what == "product" else _job(files, shop)


def _product(files: ShopFiles) -> tuple[list[str], str]:
    folder = files.folder / "products"
    data = product.ask(Talk(), _ids(files, "product"), _data(files))
    id_ = data["product"]["id"].value
    document = _new(folder / f"{id_}.toml", text(data, "../schemas/product.json", _head()))
    look_through_product(document)
    write({Target(document.path, ".toml", only_new): document.text.encode()})
    return [document.path.as_posix()], say("How far it will be judged: hazstep check --products")


def _job(files: ShopFiles, shop: Shop) -> tuple[list[str], str]:
    if not shop.products:
        wrong, mend = say("the shop has no product yet"), say("write one first: hazstep new product")
        raise Problems([Problem((files.folder / "products").as_posix(), 0, "", wrong, mend)])
    folder = files.folder / "jobs"
    data = job.ask(Talk(), shop, _ids(files, "job"), _data(files))
    id_ = data["job"]["id"].value
    document = _new(folder / f"{id_}.toml", text(data, "../schemas/job.json", _head()))
    _sound(document, JobFile, check_job(document, shop.places, shop.products))
    write({Target(document.path, ".toml", only_new): document.text.encode()})
    return [document.path.as_posix()], say("Its sheet: hazstep sheet {id} --pdf today.pdf", id=id_)


def _place(file: Path, shop: Shop) -> tuple[list[str], str]:
    table = place.ask(Talk(), shop.places)
    _add(file, {"place": [table]})
    return [file.as_posix()], say('Jobs name it: place = "{id}"', id=table["id"].value)


def _stock(file: Path, shop: Shop) -> tuple[list[str], str]:
    taken = {
        "glove": {one.id for one in shop.gloves},
        "respirator": {one.id for one in shop.respirators},
        "eyewear": {one.id for one in shop.eyewear},
        "container": {one.id for one in shop.containers},
    }
    tables = stock.ask(Talk(), taken)
    if tables:
        _add(file, tables)
    return [file.as_posix()] if tables else [], say("Examples in shop.toml that are not yours: take them out.")


def _add(file: Path, tables: Mapping[str, list[dict[str, Any]]]) -> None:
    """Add tables behind the last line of the shop's file: every line of it stays as it is. Raises Problems."""
    before = file.read_bytes()
    ends = "\r\n" if b"\r\n" in before else "\n"
    added = "\n" + text(tables, head=[today()]).lstrip("\n")
    gap = b"" if before.endswith(b"\n") else ends.encode()
    after = before + gap + added.replace("\n", ends).encode()
    document = _only_added(file, after, {kind: len(own) for kind, own in tables.items()})
    _sound(document, ShopFile, check_shop(document))
    write({Target(file, ".toml", lambda content: content == before): after})


def _only_added(file: Path, after: bytes, added: Mapping[str, int]) -> Document:
    """The file with so many tables of each kind more, which still says all that it said. Raises Problems."""
    wrong = say("nothing can be added behind the end of this file")
    mend = say("write each of its places as a table [[place]] and try again; nothing was written")
    refused = Problems([Problem(file.as_posix(), 0, " ".join(f"[[{kind}]]" for kind in added), wrong, mend)])
    was = open_document(file).data
    try:
        document = document_of(file, file.as_posix(), after.decode("utf-8-sig").replace("\r\n", "\n"))
    except Problems:
        raise refused from None
    rest = {kind: document.data[kind][:-count] for kind, count in added.items()}
    if {**document.data, **rest} != {**{kind: [] for kind in added}, **was}:
        raise refused
    return document


def _sound(document: Document, shape: type[Shape], also: Iterable[Problem]) -> None:
    fitted = fit(shape, document.data)
    found = [*also]
    if isinstance(fitted, list):
        found += [problem(document, at, wrong, write) for at, wrong, write in fitted]
    if found:
        raise Problems(found)


def _new(path: Path, text: str) -> Document:
    return document_of(path, path.as_posix(), text)


def _head() -> list[str]:
    return [today(), say('What is "unknown" is said on every sheet. Write it here when you know it.')]


def _ids(files: ShopFiles, kind: Kind) -> set[str]:
    """The ids that are taken, and the names of files, which are a new one's."""
    return {name for path, own in files.ids(kind) for name in (path.stem, own)}


def _data(files: ShopFiles) -> Find:
    """Look-up of substances in the files of the program and the shop. No plugin is asked."""
    return reference.load((), files.folder, date.today()).find
