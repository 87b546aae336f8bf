"""A small shop with a ledger in a folder of its own, and the plugins that this repository ships."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime, timezone
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

import pytest
import tomli
from click.testing import CliRunner, Result

from safety.cli import main
from safety.files.reading import read_shop
from safety.hosting import host
from safety.ledger.corrections import correct, draft_of
from safety.ledger.drafts import Draft, read_draft
from safety.ledger.entries import Stored, record
from safety.ledger.store import open_ledger
from safety.logbook import make_log
from safety.model import LogReport, Period
from safety.workplace import Workplace

NOW = datetime(2026, 12, 31, 12, 0, tzinfo=timezone.utc)
_ROOT = Path(__file__).parents[2]

SHOP = """\
[shop]
name = "North yard"
print_units = "{units}"
rules = ["{rules}"]

[[place]]
id = "hall"
kind = "room"
volume = "500 m^3"
temperature = "20 degC"
[[place.air]]
state = "fans on"
air_changes = "6 /hour"
air_speed = "0.2 m/s"
basis = "made up for a test"

[[container]]
id = "drum-1"
stream = "spent solvent"
accepts = ["free-liquid"]
reactivity = []
size = "55 US_gal"
kind = "satellite"
"""

PRODUCT = """\
[product]
id = "{id}"
name = "{id}"
role = "{role}"
purpose = "{role}"
density = "{density}"
{parts}
"""

JOB = """\
[job]
id = "wipe-down"
title = "Wipe down"
place = "hall"
start = {start}
crew = 1

[[step]]
name = "Wipe"
duration = "20 min"
[[step.use]]
product = "{product}"
work = "wipe"
amount = "{amount}"
area = "2 m^2"
"""


@pytest.fixture(autouse=True)
def _our_plugins(monkeypatch: pytest.MonkeyPatch) -> None:
    """The entry points of pyproject.toml, installed or not."""
    listed: Mapping[str, str] = tomli.loads((_ROOT / "pyproject.toml").read_text("utf-8"))["project"]["entry-points"][
        host.GROUP
    ]

    class Ours:  # else they would be watched like a stranger's
        name, version = host.DISTRIBUTION, "0"

    ours = Ours()
    found = [EntryPoint(name, value, host.GROUP)._for(ours) for name, value in listed.items()]
    monkeypatch.setattr(host, "entry_points", lambda group: found)


class Yard:
    """The shop of one test."""

    def __init__(self, folder: Path):
        self.folder = folder
        (folder / "products").mkdir(parents=True)
        (folder / "jobs").mkdir()
        self.shop()

    def shop(self, units: str = "si", rules: str = "us-federal", more: str = "") -> None:
        text = SHOP.format(units=units, rules=rules) + more
        (self.folder / "shop.toml").write_text(text, encoding="utf-8")

    def product(self, id: str, *parts: tuple[str, str, str], density: str = "0.8 g/mL", role: str = "cleaner") -> None:
        """Parts are (CAS number, "" for a resin, low, high)."""
        lines = []
        for cas, low, high in parts:
            which = f'cas = "{cas}"' if cas else 'name = "resin"\nvolatile = false'
            lines.append(f'[[product.part]]\n{which}\nweight = ["{low}", "{high}"]')
        text = PRODUCT.format(id=id, role=role, density=density, parts="\n".join(lines))
        (self.folder / "products" / f"{id}.toml").write_text(text, encoding="utf-8")

    def job(self, product: str, amount: str, start: str = "2026-11-25T08:00:00") -> None:
        text = JOB.format(product=product, amount=amount, start=start)
        (self.folder / "jobs" / "wipe-down.toml").write_text(text, encoding="utf-8")

    def record(self, kind: str, when: str, product: str = "", amount: str = "", **more: str) -> Stored:
        """Store one record; what a kind needs and the test does not care about is filled in.

        Published examples give the sum of a year in one line, which no single lot or drum holds: that is said.
        """
        fill: dict[str, dict[str, str]] = {
            "receive": {"lot": "L1", "expires": "none"},
            "use": {"lot": "L1", "basis": "measured"},
            "return": {"lot": "L1", "basis": "measured", "way": "stock"},
            "waste": {"container": "drum-1", "basis": "weighed", "way": "job"},
            "ship": {"container": "drum-1", "basis": "weighed", "receiver": "Carrier"},
            "weigh": {"lot": "L1"},
        }
        shop = read_shop(self.folder)
        said = {} if kind == "open" else {"anyway": "a year in one line"}
        given = {"who": "Pat", **fill[kind], **said, **more, "product": product, "amount": amount, "when": when}
        draft = read_draft(kind, given, shop, NOW)
        assert isinstance(draft, Draft), draft
        with open_ledger(shop, create=True) as ledger:
            return record(ledger, [draft])[0]

    def use(self, when: str, product: str, amount: str, **more: str) -> Stored:
        """Receive an endless lot once and use of it."""
        if not (self.folder / f".{product}").exists():
            (self.folder / f".{product}").touch()
            self.record("receive", "2020-01-01", product, "15 t", lot=f"L-{product}")
        return self.record("use", when, product, amount, lot=f"L-{product}", **more)

    def correct(self, key: str, **changes: str) -> None:
        shop = read_shop(self.folder)
        with open_ledger(shop) as ledger:
            draft = read_draft("use", changes, shop, NOW, draft_of(ledger, key))
            assert isinstance(draft, Draft), draft
            correct(ledger, key, draft, "Kim", "a slip")

    def log(self, first: str, last: str = "") -> LogReport:
        return make_log(Workplace.open(self.folder), Period(first, last or first))

    def run(self, *arguments: str) -> Result:
        return CliRunner().invoke(main, [*arguments], catch_exceptions=False)


@pytest.fixture
def yard(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Yard:
    made = Yard(tmp_path / "yard")
    monkeypatch.chdir(made.folder)
    return made


@pytest.fixture
def block() -> Callable[[LogReport, str], Any]:
    """A block of a log by its key."""

    def find(report: LogReport, key: str) -> Any:
        return next(b for b in report.blocks if b.key == key)

    return find
