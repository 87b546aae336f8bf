"""Writers in processes of their own, for the tests that set many at one ledger or kill them.

Run as ``python -m tests.ledger.writers HOW ADDRESS``. It prints one JSON object.
"""

from __future__ import annotations

import json
import os
import random
import resource
import select
import signal
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from safety.ledger.corrections import correct
from safety.ledger.entries import Refused, record
from safety.ledger.store import open_at
from safety.problems import Problems
from tests.ledger.made_up import SHOP, WASH, draft

PROCESSES, OWN, SHARED, KILLED = 8, 15, 5, 100
YARDS, FEW = (SHOP.name, "South yard"), 3


def fork(work: Callable[[int], None]) -> tuple[int, int]:
    """Start a process that does ``work`` with the writing end of a pipe; return its id and the reading end."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        try:
            work(writing)
            os._exit(0)
        except BaseException as error:
            sys.stderr.write(f"{type(error).__name__}: {error}\n")
            os._exit(1)
    os.close(writing)
    return child, reading


def all_lines(reading: int) -> list[str]:
    with os.fdopen(reading) as pipe:
        return pipe.read().split()


def many(address: str) -> dict[str, object]:
    """Processes that all make the ledger, write to it, send some records alike and correct one of them."""

    def writer(number: int) -> Callable[[int], None]:
        def work(pipe: int) -> None:
            with open_at(address, Path(), SHOP.name, create=True) as ledger:
                for n in range(OWN):
                    (stored,) = record(ledger, [draft("receive", "wash", "1 L", key=f"own-{number}-{n}")])
                    os.write(pipe, f"{stored.entry.key}={stored.new}\n".encode())
                for n in range(SHARED):
                    (stored,) = record(ledger, [draft("receive", "wash", "1 L", key=f"shared-{n}")])
                    os.write(pipe, f"{stored.entry.key}={stored.new}\n".encode())
                for stored in correct(ledger, "shared-0", draft("receive", "wash", "2 L"), "Lee", "test"):
                    os.write(pipe, f"{stored.entry.key}={stored.new}\n".encode())

        return work

    draft("receive", "wash", "1 L")  # loads what every writer needs
    children = [fork(writer(number)) for number in range(PROCESSES)]
    told = [all_lines(reading) for _, reading in children]
    states = [os.waitpid(child, 0)[1] for child, _ in children]
    return {"told": told, "states": states}


def yards(address: str) -> dict[str, object]:
    """Two yards with one ledger, each with its own writers, who write lines that are alike but for their keys."""

    def writer(yard: str, number: int) -> Callable[[int], None]:
        def work(pipe: int) -> None:
            with open_at(address, Path(), yard, create=True) as ledger:
                for n in range(FEW):
                    record(ledger, [draft("receive", "wash", "1 L", key=f"{yard[:5]}-{number}-{n}")])

        return work

    draft("receive", "wash", "1 L")
    children = [fork(writer(yard, number)) for yard in YARDS for number in range(PROCESSES)]
    for _, reading in children:
        all_lines(reading)
    return {"states": [os.waitpid(child, 0)[1] for child, _ in children]}


def killed(address: str) -> dict[str, object]:
    """One writer after the other, each killed at a random moment; a record is two lines and a product of its own."""
    chance = random.Random(7)
    with open_at(address, Path(), SHOP.name, create=True) as ledger:
        # what every writer needs is loaded here, so that it is killed at work and not at loading
        record(ledger, [draft("receive", "wash", "1 L", key=f"{side}-first") for side in ("a", "b")])
    told = ["first"]
    signals = 0
    for number in range(KILLED):

        def work(pipe: int, number: int = number) -> None:
            with open_at(address, Path(), SHOP.name) as ledger:
                for n in range(1000):
                    key = f"{number}-{n}"
                    # a density nobody had before: the product is written down anew with both lines
                    shop = replace(SHOP, products={"wash": replace(WASH, density=801 + number + n / 1000)})
                    record(ledger, [draft("receive", "wash", "1 L", shop, key=f"{side}-{key}") for side in ("a", "b")])
                    os.write(pipe, f"{key}\n".encode())

        child, reading = fork(work)
        if number % 4:  # most are killed while they record, the others while they begin
            select.select([reading], [], [])
        time.sleep(chance.uniform(0.0, 0.02))
        os.kill(child, signal.SIGKILL)
        signals += os.waitpid(child, 0)[1] == signal.SIGKILL
        told += all_lines(reading)
    return {"told": told, "signals": signals}


def full(address: str) -> dict[str, object]:
    """A writer that may not make any file longer than it is now and a bit: the disk is full."""
    told: list[str] = []
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    with open_at(address, Path(), SHOP.name) as ledger:
        resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, resource.RLIM_INFINITY))
        try:
            for n in range(2000):
                record(
                    ledger, [draft("receive", "wash", "1 L", key=f"{side}-{n}", note="x" * 150) for side in ("a", "b")]
                )
                told.append(str(n))
        except Problems as error:
            wrong = str(error)
        resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
        (again,) = record(ledger, [draft("receive", "wash", "1 L", key="room-again")])  # room has been made
        told_again = again.new
    return {"told": told, "wrong": wrong, "again": told_again}


if __name__ == "__main__":
    try:
        result = {"many": many, "yards": yards, "killed": killed, "full": full}[sys.argv[1]](sys.argv[2])
    except Refused as error:
        sys.exit(str(error))
    print(json.dumps(result))
