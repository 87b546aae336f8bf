"""What a record meant is kept with it, and each holds on to the one before: from a true ledger of version 3 on."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import select

from safety.cited import Unknown
from safety.ledger import chain, described, store, tables
from safety.ledger import verify as looking
from safety.ledger.corrections import correct
from safety.ledger.entries import record
from safety.ledger.store import Ledger, open_at
from safety.ledger.verify import Verified, chained, verify
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


def test_of_a_large_older_ledger_a_log_accuses_nobody(tmp_path: Path, monkeypatch: Any) -> None:
    """Where only the last lines are looked at, every record of before the chain was "dated back"."""
    monkeypatch.setattr(looking, "AT_ONCE", 2)
    monkeypatch.setattr(looking, "_LAST", 5)
    with open_at(SQLITE, older(tmp_path), SHOP.name) as ledger:
        held = chained(ledger)
    assert (held.wrong, held.earlier, held.all_of_it) == ((), 7, False)


def test_an_older_ledger_that_may_not_be_written_is_read_from_a_copy(tmp_path: Path, monkeypatch: Any) -> None:
    """Its tables lack columns of today, and nobody may add them where it lies."""
    file = older(tmp_path) / "ledger.db"
    before = file.read_bytes()
    monkeypatch.setattr(store, "_at_rest", lambda _: True)
    with open_at(SQLITE, tmp_path, SHOP.name) as ledger, view(ledger, SHOP) as seen:
        assert [e.key for e in seen.entries(ALWAYS)] == ["r", "u", "not~u", "w"]
    assert file.read_bytes() == before


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


# ---------------------------------------------------------------- attacks


def written(folder: Path) -> Verified:
    """A ledger of some records, and what is found in it."""
    with open_at(SQLITE, folder, SHOP.name, create=True) as ledger:
        record(ledger, [draft("receive", "wash", f"{n} L", lot=f"L{n}", key=f"k{n}") for n in range(1, 6)])
        correct(ledger, "k2", None, "Lead", "never came")
        return verify(ledger)


def attacked(folder: Path, *statements: str, heads: tuple[str, ...] = ()) -> Verified:
    """The same after somebody wrote into the file with another program."""
    with closing(sqlite3.connect(folder / "ledger.db")) as stranger:
        for statement in statements:
            stranger.execute(statement)
        stranger.commit()
    with open_at(SQLITE, folder, SHOP.name) as ledger:
        return verify(ledger, heads)


UNLOCK = [f"DROP TRIGGER {table}_no_{what}" for table in ("entry", "chain") for what in ("update", "delete")]
LOCK = [g for table in (tables.entry, tables.chain) for g in tables.guards(table, "sqlite") if "no_replace" not in g]


def test_what_our_program_wrote_is_sound_and_each_line_says_who_wrote_it_where(tmp_path: Path) -> None:
    found = written(tmp_path)
    assert found.sound
    assert (found.lines, found.earlier, found.wrong, found.dated) == (8, 0, [], [])
    assert sum(found.by.values()) == found.lines
    ((computer, account),) = found.by
    assert computer
    assert account


def test_a_row_that_was_edited_and_its_triggers_put_back_is_named(tmp_path: Path) -> None:
    written(tmp_path)
    found = attacked(tmp_path, *UNLOCK, "UPDATE entry SET mass_ug = 1 WHERE key = 'k3'", *LOCK)
    assert found.wrong == ["entry k3 was changed after it was written"]
    assert found.unguarded == []


def test_triggers_that_are_gone_or_do_nothing_are_named(tmp_path: Path) -> None:
    written(tmp_path)
    idle = "CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry BEGIN SELECT 1; END"
    found = attacked(tmp_path, "DROP TRIGGER chain_no_update", "DROP TRIGGER entry_no_delete", idle)
    assert found.unguarded == [
        "the trigger entry_no_delete is not there, or not ours",
        "the trigger chain_no_update is not there, or not ours",
    ]


def test_the_last_row_cut_off_shows_where_its_line_is_left_or_its_head_was_kept(tmp_path: Path) -> None:
    head = written(tmp_path).head
    cut = "DELETE FROM entry WHERE id = (SELECT MAX(id) FROM entry)"
    assert attacked(tmp_path, *UNLOCK, cut).wrong == ["entry 6 is gone"]
    found = attacked(tmp_path, "DELETE FROM chain WHERE number = (SELECT MAX(number) FROM chain)", *LOCK, heads=(head,))
    assert (found.wrong, found.heads, found.sound) == ([], {head: ""}, False)


def test_two_rows_that_changed_places_are_both_named(tmp_path: Path) -> None:
    written(tmp_path)
    swap = ["UPDATE entry SET id = 99 WHERE key = 'k4'", "UPDATE entry SET id = 4 WHERE key = 'k5'"]
    found = attacked(tmp_path, *UNLOCK, *swap, "UPDATE entry SET id = 5 WHERE id = 99", *LOCK)
    assert found.wrong == [f"entry k{n} was changed after it was written" for n in (5, 4)]
    assert "does not follow" in " ".join(
        attacked(tmp_path, *UNLOCK, "UPDATE chain SET number = 99 WHERE number = 5", *LOCK).wrong
    )


def test_a_row_beside_the_chain_is_named(tmp_path: Path) -> None:
    written(tmp_path)
    names = ", ".join(c.name for c in tables.entry.columns if c.name not in ("id", "key"))
    found = attacked(tmp_path, f"INSERT INTO entry (key, {names}) SELECT 'mine', {names} FROM entry WHERE key = 'k1'")
    assert found.wrong == ["entry 7 is in no line of the chain"]


def test_a_ledger_that_was_written_anew_does_not_hold_the_head_that_was_kept(tmp_path: Path) -> None:
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
    head = written(tmp_path / "one").head
    assert attacked(tmp_path / "one", heads=(head[:12],)).sound
    again = written(tmp_path / "other")
    assert again.sound
    assert attacked(tmp_path / "other", heads=(head,)).heads == {head: ""}


def test_what_was_dated_back_is_named(tmp_path: Path) -> None:
    written(tmp_path)
    with open_at(SQLITE, tmp_path, SHOP.name) as ledger:
        real = chain.datetime

        class Yesterday(real):
            @classmethod
            def now(cls, zone: Any = None) -> Any:
                return real.now(zone) - timedelta(days=1)

        chain.datetime = Yesterday  # type: ignore[misc]
        try:
            record(ledger, [draft("use", "wash", "1 L", lot="L3", key="back")])
        finally:
            chain.datetime = real  # type: ignore[misc]
        found = verify(ledger)
    assert found.wrong == []
    assert [text[:34] for text in found.dated] == [
        "the clock was put back before line",
        "record back says it was made at 20",
    ]
