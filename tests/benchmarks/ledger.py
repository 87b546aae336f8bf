"""How long the ledger takes with a million uses over ten years, beside the same sums as bare SQL on the same file.

Run it by its own command, from the folder of the project: ``python tests/benchmarks/ledger.py``.
It is no part of the test run. It prints a table of medians and exits with 1 where a target is missed.
"""

from __future__ import annotations

import os
import random
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from pathlib import Path
from statistics import median
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))

from safety.cited import Unknown
from safety.ledger.amounts import both
from safety.ledger.drafts import Draft, read_draft
from safety.ledger.entries import record
from safety.ledger.store import Ledger, open_at
from safety.ledger.tables import entry
from safety.ledger.view import view
from safety.model import Part, Period, Product, Shop

USES, PRODUCTS, LOTS, ROUNDS, SINGLE = 1_000_000, 40, 25, 5, 400
PERIOD = Period("2017-01", "2026-12")
NOW = datetime(2026, 12, 31, 18, 0, tzinfo=timezone.utc)
#: Targets: times of the bare SQL.
TOTALS_TARGET, RECORD_TARGET = 1.3, 2.0
#: Logs as cold commands: what is asked -> processor time beyond that of the same log of a shop with one line [s].
LOGS = {"--month=2026-05": 3.0, "--year=2026": 5.0}
#: Memory that any of them takes at most [MB].
MEMORY_TARGET = 250
_HAZSTEP = (sys.executable, "-c", "from safety.cli import main; main()")
_SHOP = """[shop]
name = "Yard"
print_units = "si"
rules = ["us-federal"]

[[place]]
id = "hall"
kind = "room"
volume = "500 m^3"
temperature = "20 degC"
[[place.air]]
state = "fans on"
air_changes = "6 /hour"
air_speed = "0.2 m/s"
basis = "made up for a benchmark"
"""

# The bare SQL groups by the number of the product as it was, which the index holds: grouping by its name takes longer.
_FLOWS = """
  SELECT month, edition, SUM(CASE kind WHEN 'use' THEN mass_ug ELSE -mass_ug END) AS mass,
         SUM(CASE kind WHEN 'use' THEN volume_nl ELSE -volume_nl END) AS volume, SUM(sign) AS lines,
         SUM(CASE WHEN mass_ug IS NULL THEN sign ELSE 0 END) AS no_mass
  FROM entry WHERE kind IN ('use', 'return') AND way IN ('', 'to stock') AND month BETWEEN '2017-01' AND '2026-12'
  GROUP BY month, edition"""
_PRODUCTS = f"""
  SELECT f.month, e.product AS name, SUM(f.mass) AS mass, SUM(f.volume), SUM(f.lines), SUM(f.no_mass)
  FROM ({_FLOWS}) AS f JOIN product_edition AS e ON e.id = f.edition GROUP BY f.month, e.product"""
_SUBSTANCES = f"""
  SELECT f.month, p.cas AS name, SUM(f.mass * p.low) AS mass, SUM(f.mass * (p.low + p.high) / 2) AS mid,
         SUM(f.mass * p.high) AS high, SUM(f.no_mass) AS no_mass
  FROM ({_FLOWS}) AS f JOIN product_part AS p ON p.edition = f.edition GROUP BY f.month, p.cas"""
_ROLLING = """
  SELECT month, name, SUM(mass) OVER (PARTITION BY name ORDER BY month ROWS 11 PRECEDING) FROM ({monthly}) AS m"""
#: What is timed: name -> our call, the bare SQL.
SUMS: dict[str, tuple[Callable[[Any], object], str]] = {
    "monthly by product": (lambda seen: seen.by_product(PERIOD), _PRODUCTS),
    "monthly by substance": (lambda seen: seen.by_substance(PERIOD), _SUBSTANCES),
    "rolling 12 by product": (lambda seen: seen.by_product(PERIOD, span=12), _ROLLING.format(monthly=_PRODUCTS)),
    "rolling 12 by substance": (lambda seen: seen.by_substance(PERIOD, span=12), _ROLLING.format(monthly=_SUBSTANCES)),
}


def made_up_shop() -> Shop:
    """Forty invented products of three parts each out of twenty substances; one has no density."""
    none = Unknown("invented")
    chance = random.Random(3)
    products = {}
    for n in range(PRODUCTS):
        parts = tuple(
            Part(f"substance {k}", f"{1000 + k}-00-0", low := chance.uniform(0, 0.3), low + 0.1)
            for k in chance.sample(range(20), 3)
        )
        density = none if n == 0 else chance.uniform(700.0, 1200.0)
        products[f"product-{n}"] = Product(
            f"product-{n}", f"Product {n}", "cleaner", parts, density, none, none, none, date(2016, 1, 1)
        )
    return Shop("Yard", "si", {}, products, file="shop.toml")


def draft(shop: Shop, kind: str, product: str, amount: str, **more: str) -> Draft:
    texts = {"product": product, "amount": amount, "who": "Pat", **more}
    read = read_draft(kind, texts, shop, NOW)
    assert isinstance(read, Draft), read
    return read


def fill(ledger: Ledger, shop: Shop, file: Path) -> None:
    """Receive every lot through the ledger, then put a million uses into the table as the ledger would."""
    lots = [
        draft(shop, "receive", name, "100 m3", lot=f"L{n}", expires="none", when="2016-12-31")
        for name in shop.products
        for n in range(LOTS)
    ]
    record(ledger, lots)
    with view(ledger) as seen:
        editions = {e.product: e for e in seen.editions().values()}
    columns = [c.name for c in entry.columns]
    chance = random.Random(5)
    first = date(2017, 1, 1)
    like = draft(shop, "use", "product-0", "1 mL", lot="L0", basis="measured")

    def rows() -> Any:
        for n in range(USES):
            product = f"product-{chance.randrange(PRODUCTS)}"
            day = (first + timedelta(days=n * 3651 // USES)).isoformat()
            amount = replace(like.amount, number=chance.randrange(10**6, 10**9))  # type: ignore[type-var]
            density = editions[product].density
            mass, volume = both(amount, None if isinstance(density, Unknown) else density)
            row = {
                "id": 10_000 + n, "key": f"bench-{n}", "content": f"{n:064x}", "kind": "use", "way": "", "sign": 1,
                "month": day[:7], "day": day, "happened": f"{day}T07:30:00+00:00", "recorded": f"{day}T07:31:00+00:00",
                "shop": "Yard", "who": "Pat", "product": product, "edition": editions[product].id,
                "lot": f"L{chance.randrange(LOTS)}", "job": f"job-{n % 997}", "step": "wipe",
                "operation": ("hand-wipe", "gun")[n % 2],
                "mass_ug": mass, "volume_nl": volume, "density": None if isinstance(density, Unknown) else density,
                "typed": "250 mL", "typed_in": "volume", "basis": ("weighed", "measured", "guessed")[n % 3],
            }  # fmt: skip
            yield tuple(row.get(name, "" if not entry.c[name].nullable else None) for name in columns)

    raw = sqlite3.connect(file, isolation_level=None)
    raw.execute("PRAGMA synchronous = OFF")
    raw.execute("BEGIN")
    raw.executemany(f"INSERT INTO entry VALUES ({', '.join('?' * len(columns))})", rows())
    raw.execute("COMMIT")
    raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    raw.close()


def timed(call: Callable[[], object]) -> float:
    begun = time.perf_counter()
    call()
    return time.perf_counter() - begun


def time_sums(ledger: Ledger, file: Path) -> list[tuple[str, float, float, float]]:
    """Ours and the bare SQL by turns, so that both meet the same machine."""
    raw = sqlite3.connect(file)
    found = []
    with view(ledger) as seen:
        for name, (ours, bare) in SUMS.items():
            pairs = [
                (timed(lambda c=ours: c(seen)), timed(lambda q=bare: raw.execute(q).fetchall()))
                for _ in range(ROUNDS + 1)
            ]
            mine, theirs = (median(times) for times in zip(*pairs[1:], strict=True))
            found.append((name, mine, theirs, TOTALS_TARGET))
    raw.close()
    return found


def time_single(ledger: Ledger, shop: Shop, file: Path) -> tuple[str, float, float, float]:
    """One use recorded with all its checks, beside one bare insert of its row; both are on the disk when they return."""
    raw = sqlite3.connect(file, isolation_level=None)
    raw.execute("PRAGMA synchronous = FULL")
    drafts = iter([
        draft(shop, "use", f"product-{n % PRODUCTS}", "250 mL", lot=f"L{n % LOTS}", basis="measured", key=f"one-{n}", job="j")
        for n in range(2 * SINGLE)
    ])  # fmt: skip
    names = [c.name for c in entry.columns if c.name != "id"]
    statement = f"INSERT INTO entry ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})"
    row = list(raw.execute(f"SELECT {', '.join(names)} FROM entry WHERE key = 'bench-7'").fetchone())
    count = 0

    def bare() -> None:
        nonlocal count
        count += 1
        row[names.index("key")], row[names.index("content")] = f"raw-{count}", f"raw-{count}"
        raw.execute("BEGIN IMMEDIATE")
        raw.execute(statement, row)
        raw.execute("COMMIT")

    mine, theirs = [], []
    for _ in range(8):  # in runs, since each connection must read anew what the other has written
        mine += [timed(lambda: record(ledger, [next(drafts)])) for _ in range(SINGLE // 8)]
        theirs += [timed(bare) for _ in range(SINGLE // 8)]
    raw.close()
    return "record one use", median(mine), median(theirs), RECORD_TARGET


def time_logs(folder: Path) -> list[tuple[str, float, int, float]]:
    """Each log as a command of its own: processor time beyond the start, and memory [MB]."""
    (folder / "shop.toml").write_text(_SHOP, "utf-8")
    small = folder / "small"
    small.mkdir()
    (small / "shop.toml").write_text(_SHOP, "utf-8")
    shop = made_up_shop()
    with open_at("sqlite:///ledger.db", small, shop.name, create=True) as ledger:
        record(ledger, [draft(shop, "receive", "product-1", "1 L", lot="L", expires="none", when="2016-12-31")])
    found = []
    for asked, target in LOGS.items():
        (start, _), (whole, memory) = (_command(asked, one) for one in (small, folder))
        found.append((f"log {asked}", whole - start, memory, target))
    return found


def _command(asked: str, folder: Path) -> tuple[float, int]:
    """Processor time [s] and memory [MB] of one log."""
    done = subprocess.Popen([*_HAZSTEP, "log", asked], cwd=folder, stdout=subprocess.DEVNULL)
    _, _, used = os.wait4(done.pid, 0)
    return used.ru_utime + used.ru_stime, used.ru_maxrss // 1024


def main() -> int:
    shop = made_up_shop()
    with tempfile.TemporaryDirectory() as name:
        file = Path(name) / "ledger.db"
        with open_at("sqlite:///ledger.db", Path(name), shop.name, create=True) as ledger:
            print(
                f"filled with {USES} uses in {timed(lambda: fill(ledger, shop, file)):.1f} s, {file.stat().st_size / 1e6:.0f} MB"
            )
            found = [*time_sums(ledger, file), time_single(ledger, shop, file)]
        logs = time_logs(Path(name))
    print(f"{'':26}{'ours, ms':>10}{'bare SQL, ms':>14}{'ratio':>8}{'target':>8}")
    for what, mine, theirs, target in found:
        print(f"{what:26}{mine * 1e3:10.2f}{theirs * 1e3:14.2f}{mine / theirs:8.2f}{target:8.1f}")
    print(f"{'':26}{'beyond start, s':>16}{'target':>8}{'memory, MB':>12}{'target':>8}")
    for what, seconds, memory, target in logs:
        print(f"{what:26}{seconds:16.2f}{target:8.1f}{memory:12}{MEMORY_TARGET:8}")
    missed = [mine / theirs > target for _, mine, theirs, target in found]
    return any(missed + [seconds > target or memory > MEMORY_TARGET for _, seconds, memory, target in logs])


if __name__ == "__main__":
    sys.exit(main())
