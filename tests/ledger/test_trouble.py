"""Disks that are full, files that are damaged or may not be written: one clear sentence, and nothing is overwritten."""

from __future__ import annotations

import os
import random
import sqlite3
import stat
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import create_engine, inspect

from safety.files import notation
from safety.files.notation import Miswritten
from safety.ledger import tables
from safety.ledger.entries import Refused, record
from safety.ledger.migrate import ADDED, STEPS, upgrade
from safety.ledger.sheets import freeze, frozen
from safety.ledger.store import Ledger, has_ledger, open_at, open_ledger, reading, writing
from safety.ledger.view import view
from safety.model import Period
from safety.problems import Problems
from tests.ledger.conftest import LARGEST
from tests.ledger.made_up import SHOP, draft
from tests.ledger.test_many_writers import run

NOVEMBER = Period("2026-11", "2026-11")
SQLITE = "sqlite:///ledger.db"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a ledger of one record, closed."""
    with open_at(SQLITE, tmp_path, SHOP.name, create=True) as ledger:
        record(ledger, [draft("receive", "wash", "4 L", key="r")])
    return tmp_path


def told(folder: Path, address: str = SQLITE, create: bool = True) -> str:
    """What a person is told who records something and looks at the totals."""
    with pytest.raises(Problems) as caught, open_at(address, folder, SHOP.name, create=create) as ledger:  # noqa: PT012
        record(ledger, [draft("receive", "wash", "4 L", key="r2")])
        with view(ledger) as seen:
            seen.by_product(NOVEMBER, "received")
            seen.entries(NOVEMBER)
    (problem,) = caught.value.problems
    return str(problem).replace(folder.as_posix(), "F")


def keys(folder: Path) -> list[str]:
    with open_at(SQLITE, folder, SHOP.name) as ledger, view(ledger) as seen:
        return [e.key for e in seen.entries(NOVEMBER)]


# ---------------------------------------------------------------- set up by itself


def test_each_commit_is_on_the_disk_before_it_is_acknowledged(folder: Path) -> None:
    with open_at(SQLITE, folder, SHOP.name) as ledger:
        settings = [
            ledger.connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in ("journal_mode", "synchronous")
        ]
        assert settings == ["wal", 2]  # 2 is FULL: https://www.sqlite.org/pragma.html#pragma_synchronous
        assert ledger.connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1


def test_a_ledger_is_made_when_something_is_recorded_and_not_before(address: str, tmp_path: Path) -> None:
    with (
        pytest.raises(Problems, match="there is no ledger yet; record something first"),
        open_at(address, tmp_path, "S"),
    ):
        pass
    with open_at(address, tmp_path, "S", create=True) as ledger:
        assert ledger.new
    with open_at(address, tmp_path, "S", create=True) as ledger:
        assert not ledger.new
    assert [p.name for p in tmp_path.iterdir()] in ([], ["ledger.db"])  # nothing is left lying about


def test_the_shop_names_its_ledger_or_has_one_beside_its_file(tmp_path: Path) -> None:
    from dataclasses import replace

    shop = replace(SHOP, file=str(tmp_path / "shop.toml"))
    assert not has_ledger(shop)
    with open_ledger(shop, create=True) as ledger:
        assert ledger.where == (tmp_path / "ledger.db").as_posix()
    assert has_ledger(shop)


@pytest.mark.parametrize(
    ("address", "wrong"),
    [
        ("ledger.db", "shop.toml: the address of the ledger cannot be read"),
        ("sqlite://", "shop.toml: the address of the ledger names no file"),
        ("sqlite:///:memory:", "shop.toml: the address of the ledger names no file"),
        ("mysql://u:secret@h/d", 'shop.toml: the ledger cannot be kept in "mysql"'),
    ],
)
def test_an_address_that_leads_nowhere(tmp_path: Path, address: str, wrong: str) -> None:
    assert told(tmp_path, address) == f'{wrong}; write for example "{SQLITE}", or a PostgreSQL address'


def test_a_server_that_cannot_be_reached_is_named_without_its_password(tmp_path: Path) -> None:
    pytest.importorskip("psycopg")
    line = told(tmp_path, f"postgresql://pat:secret@/ledger?host={tmp_path}")
    assert "the database cannot be reached (" in line
    assert "secret" not in line


def test_a_host_nobody_knows_is_no_fault_of_the_program(tmp_path: Path) -> None:
    """It ended with status 70: the driver's words hold no "connect" where a name cannot be resolved."""
    pytest.importorskip("psycopg")
    line = told(tmp_path, "postgresql://pat@no-such-host.invalid/ledger")
    assert "the database cannot be reached (" in line
    assert "look whether it runs" in line


@pytest.mark.parametrize(
    "address",
    [
        "postgresql://pat@host/ledger?pass%77ord=secret",
        "postgresql://pat@host/ledger?%70assword=secret",
        "postgresql://pat@host/ledger?options=password%3Dsecret",
        "postgresql%3A//pat:secret@host/ledger",
    ],
)
def test_a_password_in_escaped_form_is_refused_and_not_printed(address: str) -> None:
    """``pass%77ord=secret`` went through, and the address was printed with it."""
    with pytest.raises(Miswritten) as caught:
        notation.address(address)
    assert "a password stands in the address" in str(caught.value)
    assert "secret" not in str(caught.value)


def test_what_follows_the_question_mark_of_an_address_is_not_printed(tmp_path: Path) -> None:
    pytest.importorskip("psycopg")
    line = told(tmp_path, f"postgresql://pat@/ledger?host={tmp_path}&options=secret")
    assert "the database cannot be reached (" in line
    assert "secret" not in line.replace(str(tmp_path), "")


# ---------------------------------------------------------------- damage


@pytest.mark.parametrize(
    ("content", "wrong"),
    [
        (b"", "F/ledger.db: the file is empty, so it is no ledger"),
        (b"Dear diary\n" * 500, "F/ledger.db: the file is damaged or is no ledger; it was left as it is"),
    ],
)
def test_a_file_that_is_no_ledger_is_left_as_it_is(tmp_path: Path, content: bytes, wrong: str) -> None:
    file = tmp_path / "ledger.db"
    file.write_bytes(content)
    assert told(tmp_path).startswith(wrong)
    assert file.read_bytes() == content


def test_damage_in_the_middle_is_told_and_left_as_it_is(folder: Path) -> None:
    file = folder / "ledger.db"
    with open_at(SQLITE, folder, SHOP.name) as ledger:
        record(ledger, [draft("receive", "wash", "4 L", key=f"k{n}", note="x" * 190) for n in range(200)])
        size = ledger.connection.exec_driver_sql("PRAGMA page_size").scalar()
    content = bytearray(file.read_bytes())
    for page in range(4, len(content) // size):  # the first pages say which tables there are
        content[page * size : page * size + 64] = b"\xde\xad" * 32
    file.write_bytes(content)
    assert told(folder) == "F/ledger.db: the file is damaged; it was left as it is; put the backup in its place"
    assert file.read_bytes()[4 * size :] == bytes(content[4 * size :])


def test_a_damaged_trigger_is_damage_though_its_words_speak_of_a_change(folder: Path) -> None:
    """It was told as "lines of a ledger cannot be changed": the words of the trigger stand in what SQLite reports."""
    file = folder / "ledger.db"
    whole = file.read_bytes()
    hit = whole.replace(b"RAISE(ABORT, 'entry is", b"RAISE(ABORT  'entry is")
    assert hit != whole
    file.write_bytes(hit)
    assert told(folder) == "F/ledger.db: the file is damaged; it was left as it is; put the backup in its place"


@pytest.mark.parametrize("seed", range(40))
def test_whatever_the_damage_the_words_are_the_documented_ones(tmp_path: Path, seed: int) -> None:
    """In a third of such trials it was "a fault of the program": text that is no text, tables without a name."""
    chance = random.Random(seed)
    with open_at(SQLITE, tmp_path, SHOP.name, create=True) as ledger:
        record(ledger, [draft("receive", "wash", "4 L", key=f"k{n}", note="x" * 90) for n in range(60)])
    file = tmp_path / "ledger.db"
    content = bytearray(file.read_bytes())
    for _ in range(chance.choice([5, 50, 500])):
        content[chance.randrange(100, len(content))] = chance.randrange(256)
    file.write_bytes(content)
    try:  # what was hit may not be read at all
        with open_at(SQLITE, tmp_path, SHOP.name) as ledger:
            with view(ledger) as seen:
                seen.by_product(NOVEMBER, "received")
                seen.entries(NOVEMBER)
                seen.lots()
            record(ledger, [draft("receive", "wash", "4 L", key="r2")])
    except Problems as problems:
        (problem,) = problems.problems
        assert "put the backup in its place" in str(problem)
    except Refused:
        pass  # a number that was hit reads as another one: the chain tells


def test_a_ledger_cut_short_is_told(folder: Path) -> None:
    file = folder / "ledger.db"
    content = file.read_bytes()
    file.write_bytes(content[: len(content) // 2])
    assert "F/ledger.db: the file is damaged" in told(folder)
    assert file.read_bytes() == content[: len(content) // 2]


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "ledger.db")) as other:
        other.execute("CREATE TABLE entry (id)")
        other.commit()
    before = (tmp_path / "ledger.db").read_bytes()
    assert told(tmp_path).startswith("F/ledger.db: this database holds other tables and no ledger; nothing was changed")
    assert (tmp_path / "ledger.db").read_bytes() == before


def test_a_ledger_that_is_gone_is_not_begun_anew_over_its_own_log(tmp_path: Path) -> None:
    (tmp_path / "ledger.db-wal").write_bytes(b"x" * 5000)
    assert "the ledger is gone, but the file that belongs to it is there" in told(tmp_path)
    assert not (tmp_path / "ledger.db").exists()


# ---------------------------------------------------------------- no room, no right


@pytest.mark.skipif(sys.platform == "win32", reason="a limit on the length of files is a thing of POSIX")
def test_a_full_disk_loses_nothing_and_leaves_no_half_record(folder: Path) -> None:
    answer = run("full", f"sqlite:///{folder / 'ledger.db'}")
    assert "cannot be written; nothing was recorded; see if it is full, then record it again" in answer["wrong"]
    assert answer["again"]
    done = {f"{side}-{n}" for n in answer["told"] for side in ("a", "b")}
    assert done
    assert set(keys(folder)) == done | {"r", "room-again"}
    with open_at(SQLITE, folder, SHOP.name) as ledger:
        assert ledger.connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"


def test_a_database_that_may_not_grow(folder: Path) -> None:
    with open_at(SQLITE, folder, SHOP.name) as ledger:
        pages = ledger.connection.exec_driver_sql("PRAGMA page_count").scalar()
        ledger.connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(Problems, match="the disk is full; nothing was recorded; make room and record it again"):
            record(ledger, [draft("receive", "wash", "4 L", key=f"k{n}", note="x" * 190) for n in range(300)])
    assert keys(folder) == ["r"]


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="a limit on the length of files is a thing of POSIX")
def test_a_full_disk_of_the_server_loses_nothing_and_leaves_no_half_record(
    full_postgresql: str, tmp_path: Path
) -> None:
    """No file of this server may grow. PostgreSQL says what it says on a full disk, but for the words of the system
    ("File too large" where a full disk gives "No space left on device").
    """
    told = ["first"]
    with open_at(full_postgresql, tmp_path, SHOP.name, create=True) as ledger:
        record(ledger, [draft("receive", "wash", "1 L", key=f"{side}-first") for side in ("a", "b")])
        columns = ", ".join(c.name for c in tables.entry.columns if c.name not in ("id", "key"))
        copies = f"""INSERT INTO entry (key, {columns}) SELECT gen_random_uuid()::text, {columns}
            FROM entry, generate_series(1, 100) WHERE key = 'a-first'"""
        size = "SELECT pg_relation_size('entry')"
        while (
            ledger.connection.exec_driver_sql(size).scalar() < LARGEST - 60_000
        ):  # near the limit without 4000 records
            ledger.connection.exec_driver_sql(copies)
        with pytest.raises(Problems, match="the disk of the server is full; nothing was recorded; make room") as caught:  # noqa: PT012
            for n in range(1000):
                pair = [draft("receive", "wash", "1 L", key=f"{side}-{n}", note="x" * 190) for side in ("a", "b")]
                record(ledger, pair)
                told.append(str(n))
        assert "File too large" in str(caught.value.__cause__)
        kept = ledger.connection.exec_driver_sql("SELECT key FROM entry WHERE key LIKE 'a-%%' OR key LIKE 'b-%%'")
        assert set(kept.scalars()) == {f"{side}-{n}" for n in told for side in ("a", "b")}
    assert len(told) > 10


@contextmanager
def nobody() -> Iterator[None]:
    """Go on without the rights of root, whom no file refuses."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.mark.skipif(sys.platform == "win32", reason="rights of POSIX")
def test_a_ledger_that_may_only_be_read() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with open_at(SQLITE, folder, SHOP.name, create=True) as ledger:
            record(ledger, [draft("receive", "wash", "4 L", key="r")])
        before = (folder / "ledger.db").read_bytes()
        (folder / "ledger.db").chmod(stat.S_IRUSR | stat.S_IRGRP | stat.S_IROTH)
        folder.chmod(0o555)
        try:
            with nobody():
                assert told(folder) == (
                    "F/ledger.db: the ledger cannot be written; ask for the right to write to it and its folder"
                )
                assert keys(folder) == ["r"]  # the log can still be printed
        finally:
            folder.chmod(0o755)
        assert (folder / "ledger.db").read_bytes() == before


def test_a_server_that_only_lets_read(address: str, opened: Callable[..., Any]) -> None:
    with opened(create=True) as ledger:
        if ledger.connection.dialect.name == "sqlite":
            ledger.connection.exec_driver_sql("PRAGMA query_only = ON")
        else:
            ledger.connection.exec_driver_sql("SET default_transaction_read_only = on")
        with pytest.raises(Problems, match="the ledger cannot be written"):
            record(ledger, [draft("receive", "wash", "4 L")])


# ---------------------------------------------------------------- versions


def test_a_ledger_of_the_first_version_takes_the_steps_it_lacks(address: str, opened: Callable[..., Any]) -> None:
    columns = "key, kind, day, mass_ug, volume_nl, typed, recorded"
    with opened(create=True) as ledger:
        record(ledger, [draft("receive", "wash", "4 L", key="r"), draft("use", "wash", "1 L", key="u")])
        back_to_the_first(ledger)
        assert not inspect(ledger.connection).has_table("frozen")
        before = ledger.connection.exec_driver_sql(f"SELECT {columns} FROM entry ORDER BY id").all()
    with opened() as ledger:
        assert ledger.connection.exec_driver_sql("SELECT version FROM ledger_version ORDER BY version").all() == [
            (number + 1,) for number in range(len(STEPS))
        ]
        assert ledger.connection.exec_driver_sql(f"SELECT {columns} FROM entry ORDER BY id").all() == before
        number = freeze(ledger, {"a": "b"}, "{}", version="1", seed=1, draws=1)
        assert frozen(ledger, number).inputs == {"a": "b"}
        with pytest.raises(Problems, match="cannot be changed or deleted"), writing(ledger) as connection:
            connection.exec_driver_sql("DELETE FROM frozen")


def back_to_the_first(ledger: Ledger) -> None:
    """Undo all steps but the first, which no program of ours can."""
    connection = ledger.connection
    for table in (tables.chain, *reversed((*tables.SHEETS, *tables.RUNS))):
        connection.exec_driver_sql(f"DROP TABLE {table.name}")
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql("DROP TRIGGER ledger_version_no_delete")
    else:
        for table, names in ADDED:  # SQLite cannot take such a column away: see the ledger of version 3 in test_chain
            for name in names:
                connection.exec_driver_sql(f"ALTER TABLE {table.name} DROP COLUMN {name}")
        connection.exec_driver_sql("DROP TABLE container_edition")
        for table in (tables.chain, tables.container_edition, *tables.SHEETS, *tables.RUNS):
            connection.exec_driver_sql(f"DROP FUNCTION {table.name}_refuse()")
        connection.exec_driver_sql("ALTER TABLE ledger_version DISABLE TRIGGER USER")
    connection.exec_driver_sql("DELETE FROM ledger_version WHERE version > 1")
    if connection.dialect.name == "sqlite":
        guards = [g for g in tables.guards(tables.version, "sqlite") if "no_delete" in g]
        connection.exec_driver_sql(guards[0])
    else:
        connection.exec_driver_sql("ALTER TABLE ledger_version ENABLE TRIGGER USER")


def test_each_step_leads_from_one_version_to_the_next(tmp_path: Path) -> None:
    engine = create_engine(f"sqlite:///{tmp_path / 'x.db'}")
    with engine.begin() as connection:
        reached = [upgrade(connection, to) for to in range(1, len(STEPS) + 1)]
        assert reached == list(range(1, len(STEPS) + 1))
        assert set(inspect(connection).get_table_names()) == set(tables.metadata.tables)
    engine.dispose()


def test_a_newer_ledger_is_left_to_a_newer_program(address: str, opened: Callable[..., Any]) -> None:
    with opened(create=True) as ledger, writing(ledger) as connection:
        connection.exec_driver_sql("INSERT INTO ledger_version (version, at) VALUES (99, '2031-01-01')")
    with (
        pytest.raises(Problems, match="is of version 99 and this program knows versions up to 5; nothing was changed"),
        opened(),
    ):
        pass


def test_a_reader_sees_one_moment_while_others_write(opened: Callable[..., Any]) -> None:
    with opened(create=True) as ledger, opened() as other, reading(ledger) as connection:
        before = connection.exec_driver_sql("SELECT count(*) FROM entry").scalar()
        record(other, [draft("receive", "wash", "4 L")])
        assert connection.exec_driver_sql("SELECT count(*) FROM entry").scalar() == before == 0


def test_the_same_path_seen_from_another_folder_is_another_ledger(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What opens a ledger is kept by its address: a relative one wrote into the ledger of the folder before."""
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
        monkeypatch.chdir(tmp_path / name)
        with open_at("sqlite:///ledger.db", Path(), "North yard", create=True):
            pass
        assert (tmp_path / name / "ledger.db").exists()
    (tmp_path / "one" / "ledger.db").unlink()
    with open_at("sqlite:///ledger.db", Path(), "North yard"):
        pass
