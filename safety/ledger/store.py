"""Opening a ledger, writing to it one at a time, and saying in words what went wrong."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError
from sqlalchemy.pool import NullPool

from safety.ledger import chain
from safety.ledger.address import DEFAULT, address_of
from safety.ledger.migrate import STEPS, NotALedger, upgrade, version_of
from safety.ledger.plans import Plans
from safety.ledger.read import Unreadable
from safety.model import Shop
from safety.problems import Problem, Problems
from safety.words import say

_WAIT = 60  # s a writer waits for the others
_LOCK = 0x48535450  # any number, the same in every program that writes to this ledger


@dataclass(frozen=True, slots=True)
class Ledger:
    """An open ledger. ``shop`` is written into each line; ``where`` names the ledger to people."""

    connection: Connection
    shop: str
    where: str
    new: bool = False
    earlier: tuple[str, ...] = ()  # names the shop had before: their lines are its own
    plans: Plans = field(default_factory=Plans)  # what the shop's jobs leave in waste
    editions: dict[str, int] = field(default_factory=dict)  # hash -> number of what is in it for good, as described

    @property
    def names(self) -> frozenset[str]:
        """The names under which the shop's own lines stand."""
        return frozenset((self.shop, *self.earlier))


@contextmanager
def open_ledger(shop: Shop, *, create: bool = False, wait: float = _WAIT) -> Iterator[Ledger]:
    """Open the ledger a shop names, or ``ledger.db`` in its folder. With ``create``, make it where there is none.

    ``wait`` is how long to wait for others that write [s].

    Raises Problems: there is none, it cannot be reached, it is damaged, or it is something else.
    """
    with open_at(address_of(shop), Path(shop.file).parent, shop.name, create=create, wait=wait) as ledger:
        yield replace(ledger, earlier=shop.earlier_names, plans=Plans(shop))


@contextmanager
def open_at(address: str, folder: Path, shop: str, *, create: bool = False, wait: float = _WAIT) -> Iterator[Ledger]:
    """Open the ledger at a database URL; the path of an SQLite file is seen from ``folder``. Raises Problems."""
    url, file = _address(address, folder)
    where = file.as_posix() if file else _shown(url)
    new = False
    with _in_words(where):
        if file:
            new = _there(file, create)
        at_rest = file.absolute() if file and _at_rest(file) else None
        with _engine(url, at_rest, wait).connect() as connection:
            version = _version(connection, where)
            if version == 0 and not create:
                raise _wrong(where, say("there is no ledger yet"), say("record something first"))
            if version < len(STEPS):
                with _begun(connection):
                    upgrade(connection)
            yield Ledger(connection, shop, where, new or version == 0)


def has_ledger(shop: Shop) -> bool:
    """Return whether there is a ledger at the shop's address. Raises Problems where the address leads nowhere."""
    url, file = _address(address_of(shop), Path(shop.file).parent)
    if file:
        return file.exists()
    where = _shown(url)
    with _in_words(where), _engine(url).connect() as connection:
        return _version(connection, where) > 0


@contextmanager
def writing(ledger: Ledger) -> Iterator[Connection]:
    """Hold the write lock: all that is done inside is stored for good at the end, or none of it. Raises Problems."""
    with _in_words(ledger.where), _begun(ledger.connection):
        yield ledger.connection


@contextmanager
def reading(ledger: Ledger) -> Iterator[Connection]:
    """See the ledger as it stands at one moment, whatever others write meanwhile. Raises Problems."""
    connection = ledger.connection
    sqlite = connection.dialect.name == "sqlite"
    with _in_words(ledger.where):
        connection.exec_driver_sql("BEGIN" if sqlite else "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
        try:
            yield connection
        finally:
            with suppress(DBAPIError):
                connection.exec_driver_sql("ROLLBACK")


@contextmanager
def _begun(connection: Connection) -> Iterator[None]:
    sqlite = connection.dialect.name == "sqlite"
    cursor = connection.connection.cursor()  # the driver's own: these words come with every record
    cursor.execute("BEGIN IMMEDIATE" if sqlite else "BEGIN")
    try:
        if not sqlite:
            cursor.execute(f"SELECT pg_advisory_xact_lock({_LOCK})")
        chain.forget(connection)
        yield
        cursor.execute("COMMIT")
    except BaseException:
        with suppress(DBAPIError):  # a full disk has rolled back already
            connection.exec_driver_sql("ROLLBACK")
        raise
    finally:
        chain.forget(connection)


# ---------------------------------------------------------------- addresses and engines


def _address(address: str, folder: Path) -> tuple[URL, Path | None]:
    advice = say('write for example "{example}", or a PostgreSQL address', example=DEFAULT)
    try:
        url = make_url(address)
    except (ArgumentError, ValueError):
        raise _wrong("shop.toml", say("the address of the ledger cannot be read"), advice) from None
    backend = url.get_backend_name()
    if backend == "sqlite":
        if not url.database or url.database == ":memory:":
            raise _wrong("shop.toml", say("the address of the ledger names no file"), advice)
        file = folder / url.database
        if not file.name or file.is_dir():
            raise _wrong("shop.toml", say("the address of the ledger names no file"), advice)
        # from wherever one stands: what opens it is kept, and a relative path is another file in another folder
        return url.set(drivername="sqlite", database=str(file.absolute())), file
    if backend in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg"), None
    wrong = say('the ledger cannot be kept in "{backend}"', backend=backend)
    raise _wrong("shop.toml", wrong, advice)


def _shown(url: URL) -> str:
    """An address as it may be printed: what follows its question mark may be secret too."""
    return url.set(query={}).render_as_string(hide_password=True)


@lru_cache(16)
def _engine(url: URL, at_rest: Path | None = None, wait: float = _WAIT) -> Engine:
    """What opens connections to an address, each anew; kept, for with it the statements that were put together."""
    if at_rest:
        at_rest_uri = f"{at_rest.as_uri()}?mode=ro&immutable=1"
        return create_engine(
            url,
            isolation_level="AUTOCOMMIT",
            poolclass=NullPool,
            # a plugin is asked in a thread of its own, one at a time
            creator=lambda: _resting(at_rest_uri),
        )
    options = {"timeout": wait} if url.drivername == "sqlite" else {"connect_timeout": 10}
    try:
        # transactions are begun and ended by our own words, so that both databases do it alike
        engine = create_engine(url, isolation_level="AUTOCOMMIT", poolclass=NullPool, connect_args=options)
    except (NoSuchModuleError, ImportError):
        advice = say("install it with: pip install 'hazstep[postgresql]'")
        raise _wrong("shop.toml", say("the driver for PostgreSQL is not installed"), advice) from None
    if url.drivername == "sqlite":
        event.listen(engine, "connect", _settle)
    else:
        event.listen(engine, "connect", lambda connection, record: _bear(connection, wait))
    return engine


def _resting(uri: str) -> sqlite3.Connection:
    """A ledger that may not be written. An older one is read from a copy in memory, which takes the steps it lacks."""
    found = sqlite3.connect(uri, uri=True, check_same_thread=False)
    try:
        version = found.execute("SELECT MAX(version) FROM ledger_version").fetchone()[0] or 0
    except sqlite3.Error:
        return found  # damaged, or no ledger: whoever reads it says so
    if version >= len(STEPS):
        return found
    copy = sqlite3.connect(":memory:", check_same_thread=False)
    with closing(found):
        found.backup(copy)
    return copy


def _bear(connection: Any, wait: float) -> None:
    """Set how long one PostgreSQL connection waits for others that write."""
    connection.execute(f"SET lock_timeout = {round(wait * 1000)}")


def _settle(connection: sqlite3.Connection, record: object) -> None:
    """Set up one SQLite connection: each commit is on the disk before it is acknowledged."""
    for setting in ("foreign_keys = ON", "synchronous = FULL", "fullfsync = ON"):
        connection.execute(f"PRAGMA {setting}")


# ---------------------------------------------------------------- SQLite files


def _there(file: Path, create: bool) -> bool:
    """Make the file where there is none and say whether it is new. An existing file is never touched."""
    if file.exists():
        if file.stat().st_size == 0:
            # SQLite would take it for a new database and every earlier record would be gone without a word
            wrong = say("the file is empty, so it is no ledger")
            raise _wrong(file.as_posix(), wrong, say("put the backup in its place, or delete it to start a new ledger"))
        return False
    if not create:
        raise _wrong(file.as_posix(), say("there is no ledger yet"), say("record something first"))
    if file.with_name(f"{file.name}-wal").exists() and not file.exists():
        wrong = say("the ledger is gone, but the file that belongs to it is there ({file}-wal)", file=file.name)
        raise _wrong(file.as_posix(), wrong, say("put the ledger back beside it, or the backup in its place"))
    return _make(file)


def _at_rest(file: Path) -> bool:
    """Whether we may not write beside the file and nobody else does: SQLite can then read it without its helpers."""
    if file.with_name(f"{file.name}-wal").exists():
        return False
    effective = os.access in os.supports_effective_ids
    return not all(os.access(path, os.W_OK, effective_ids=effective) for path in (file, file.parent))


def _make(file: Path) -> bool:
    """Write a new ledger beside the name and give it the name only when it is whole; the first of several wins."""
    with tempfile.TemporaryDirectory(dir=file.parent, prefix=f".{file.name}.") as folder:
        beside = Path(folder) / "new.db"
        with _engine(URL.create("sqlite", database=str(beside))).connect() as connection:
            connection.exec_driver_sql("PRAGMA journal_mode = WAL")
            with _begun(connection):
                upgrade(connection)
        try:
            os.link(beside, file)
        except FileExistsError:
            return False
        except OSError:
            if file.exists():
                return False
            os.replace(beside, file)  # a file system without hard links
    with suppress(OSError):  # Windows cannot open a folder
        handle = os.open(file.parent, os.O_RDONLY)
        os.fsync(handle)
        os.close(handle)
    return True


# ---------------------------------------------------------------- what went wrong


def _version(connection: Connection, where: str) -> int:
    try:
        return version_of(connection)
    except NotALedger as error:
        raise _wrong(where, str(error), say("nothing was changed; use another address or a newer program")) from None


def _wrong(where: str, wrong: str, write: str) -> Problems:
    return Problems([Problem(where, 0, "", wrong, write)])


_HELD = "another program holds the ledger and did not let go of it; nothing was recorded"
_DAMAGED, _BACKUP = "the file is damaged; it was left as it is", "put the backup in its place"

#: What the databases say -> what is wrong, what to do.
_WORDS = (  # damage first: a damaged trigger is told with the words that it holds
    ("not a database", "the file is damaged or is no ledger; it was left as it is", "put the backup in its place"),
    ("malformed", _DAMAGED, _BACKUP),
    ("could not decode", _DAMAGED, _BACKUP),
    ("foreign key mismatch", _DAMAGED, _BACKUP),  # the words of a table or of an index were hit
    ("no such table", _DAMAGED, _BACKUP),  # the version was there, so the tables were
    ("no such column", _DAMAGED, _BACKUP),
    ("append-only", "lines of a ledger cannot be changed or deleted", "record a correction instead"),
    ("disk is full", "the disk is full; nothing was recorded", "make room and record it again"),
    ("disk i/o error", "the disk cannot be written; nothing was recorded", "see if it is full, then record it again"),
    ("no space left", "the disk is full; nothing was recorded", "make room and record it again"),
    ("could not extend", "the disk of the server is full; nothing was recorded", "make room and record it again"),
    ("readonly database", "the ledger cannot be written", "ask for the right to write to it and its folder"),
    ("read-only transaction", "the ledger cannot be written", "ask for the right to write to it"),
    ("permission denied", "the ledger cannot be written", "ask for the right to write to it"),
    ("unable to open", "the ledger cannot be opened", "look at the rights on the file and its folder"),
    ("database is locked", _HELD, "try again"),
    ("lock timeout", _HELD, "try again"),
)  # fmt: skip


@contextmanager
def _in_words(where: str) -> Iterator[None]:
    """Turn what a database reports into one Problem. A fault of this program stays what it is."""
    try:
        yield
    except Exception as error:
        told_by = error.orig if isinstance(error, DBAPIError) else error
        if isinstance(told_by, Unreadable | UnicodeDecodeError):  # a damaged page may hold anything
            raise _wrong(where, say(_DAMAGED), say(_BACKUP)) from error
        if type(told_by).__module__.partition(".")[0] not in ("sqlite3", "psycopg"):
            raise  # no word of a database
        text = str(told_by).lower()
        for told, wrong, write in _WORDS:
            if told in text:
                raise _wrong(where, say(wrong), say(write)) from error
        if type(told_by).__module__.startswith("psycopg") and type(told_by).__name__ == "OperationalError":
            reason = str(told_by).strip().splitlines()[0]  # the rest only asks whether the server runs
            wrong = say("the database cannot be reached ({reason})", reason=reason)
            raise _wrong(where, wrong, say("look whether it runs; a retry with the same --key counts once")) from error
        raise
