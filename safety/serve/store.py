"""What the page alone knows, kept beside the shop's files for their owner only: sessions, passphrases, tablets."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

NAME = "serve.db"

_TABLES = """
create table if not exists visit (id text primary key, person text not null, language text not null,
    named real not null, proved real not null);
create table if not exists passphrase (person text primary key, kept text not null);
create table if not exists tablet (id text primary key, name text not null, added real not null, who text not null);
"""


class Store:
    """The file. Every call opens it anew: two of them never wait for each other for long."""

    def __init__(self, folder: Path) -> None:
        self.file = folder / NAME

    def __bool__(self) -> bool:
        """Whether anything was kept yet."""
        return self.file.exists()

    @contextmanager
    def open(self) -> Iterator[sqlite3.Connection]:
        """The database in one transaction. Raises sqlite3.Error and OSError."""
        if not self.file.exists():
            os.close(os.open(self.file, os.O_CREAT | os.O_WRONLY, 0o600))
        with closing(sqlite3.connect(self.file, timeout=1.0)) as database, database:
            database.executescript(_TABLES)
            yield database
