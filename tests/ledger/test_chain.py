"""What a record meant is kept with it, and each holds on to the one before: from a true ledger of version 3 on."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

from sqlalchemy import select

from safety.cited import Unknown
from safety.ledger import chain, described, tables
from safety.ledger.entries import record
from safety.ledger.store import Ledger, open_at
from safety.ledger.view import view
from safety.model import Application, Container, Part, Period, Product, Range, Stated, TakenAs
from tests.ledger.made_up import SHOP, WASH, draft

SQLITE = "sqlite:///ledger.db"
ALWAYS = Period("2000-01", "2099-12")


def older(folder: Path) -> Path:
    """A ledger as the program of version 3 wrote it: made with it, and dumped."""
    with closing(sqlite3.connect(folder / "ledger.db")) as made:
        made.executescript((Path(__file__).parent / "data" / "version_3.sql").read_text())
    return folder


def lines(ledger: Ledger) -> list[Any]:
    return list(ledger.connection.execute(select(tables.chain).order_by(tables.chain.c.number)))


def test_an_older_ledger_is_taken_into_the_chain_whole(tmp_path: Path) -> None:
    with open_at(SQLITE, older(tmp_path), SHOP.name) as ledger:
        held = lines(ledger)
        first, *rest = held
        assert (first.what, first.of) == (tables.BEGUN, "7")  # four lines, one edition, one page, one signature
        assert [line.what for line in rest] == ["product_edition", *["entry"] * 4, "frozen", "sign_off"]
        before = ""
        for line in held:
            assert line.hash == chain.hash_of(line._mapping, before)
            before = line.hash
        record(ledger, [draft("use", "wash", "1 L", key="new")])
        assert [line.what for line in lines(ledger)[len(held) :]] == ["product_edition", "entry"]


def test_each_row_is_written_and_read_back_with_the_same_hash(ledger: Ledger) -> None:
    record(ledger, [draft("receive", "wash", "4 L"), draft("waste", "wash", "1 kg", way="job")])
    kinds = {table.name: table for table in tables.CHAINED}
    for line in lines(ledger)[1:]:
        table = kinds[line.what]
        (row,) = (one for one in chain.every_row(ledger.connection, table) if str(one["id"]) == line.of)
        assert chain.digest(table, row, chain.belonging(ledger.connection, table, row["id"])) == line.digest


def test_an_older_record_is_whole_as_long_as_todays_file_agrees_with_what_was_kept(tmp_path: Path) -> None:
    with open_at(SQLITE, older(tmp_path), SHOP.name) as ledger:
        with view(ledger, SHOP) as seen:
            (then,) = seen.editions().values()
            assert (then.kept, then.whole) == (False, WASH)
        changed = Product(**{**{n: getattr(WASH, n) for n in WASH.__slots__}, "density": 999.0, "flash_point": 300.0})
        shop = type(SHOP)(**{**{n: getattr(SHOP, n) for n in SHOP.__slots__}, "products": {"wash": changed}})
        with view(ledger, shop) as seen:
            (then,) = seen.editions().values()
            assert then.whole is not None
            assert (then.whole.density, isinstance(then.whole.flash_point, Unknown)) == (870.0, True)


def test_a_product_and_a_container_come_back_from_their_text() -> None:
    stated = Stated(boiling_range=Range(350.0, 400.0, "77 to 127 degC"), carbon_numbers=(7, 9))
    taken = TakenAs("142-82-5", "the nearest", "R. Vale", date(2026, 2, 3))
    parts = (
        Part("toluene", "108-88-3", 0.1, 0.2, written="toluene"),
        Part("cut", "", 0.8, 0.9, True, "cut", (), stated, taken),
    )
    whole = Product(
        "mix", "Mix", "primer", parts, 870.0, 277.15, Unknown("none"), (), date(2026, 1, 1),
        application=Application({"any": 2}, 60.0, coverage=Range(0.01, 0.02)), coating="primer-x", reactivity=("acid",),
        since=date(2026, 6, 1),
    )  # fmt: skip
    back = described.read(described.as_text(whole), Product)
    assert described.as_text(back) == described.as_text(whole)
    assert (back.parts, back.flash_point, back.hazards, back.application, back.since) == (
        whole.parts, whole.flash_point, (), whole.application, whole.since,
    )  # fmt: skip
    drum = Container("drum-7", "spent", 0.2, "central", date(2026, 1, 2), ("wet-cloths",), (), "rags", "bay 2")
    assert described.read(described.as_text(drum), Container) == drum
