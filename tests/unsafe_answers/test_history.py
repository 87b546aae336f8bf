"""Today's files rewrote the logs of months gone by.

When a product's file changed or went, January's cleaning route, coating limits, waste codes and drum labels changed
with it. A bin that was taken out of shop.toml made a very small generator of January a small one.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from contextlib import closing
from datetime import datetime, timezone
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from safety.cli.label import command as label_command
from safety.cli.verify import command as verify_command
from safety.files.reading import read_shop
from safety.ledger.drafts import Draft, read_draft
from safety.ledger.entries import Refused, record
from safety.ledger.store import open_ledger
from safety.ledger.view import view
from safety.logbook import make_log
from safety.model import Period
from safety.problems import Problems
from safety.render import forms
from safety.workplace import Workplace
from tests.unsafe_answers.shops import write_shop

NOW = datetime(2026, 3, 9, 12, 0, tzinfo=timezone.utc)
SHOP = """\
[shop]
name = "North yard"
print_units = "si"
rules = ["us-federal"]

[[place]]
id = "bay"
kind = "room"
volume = "300 m3"
temperature = "20 degC"

[[place.air]]
state = "fans on"
air_changes = "6 /h"
air_speed = "0.2 m/s"
basis = "measured"
"""
DRUM = """
[[container]]
id = "drum"
stream = "spent solvent"
size = "200 L"
kind = "central"
accepts = ["free-liquid"]
reactivity = []
"""
RAGS = """
[[container]]
id = "rags"
stream = "solvent wipes"
size = "400 L"
kind = "central"
accepts = ["wet-cloths"]
reactivity = []
"""
WASH = """\
[product]
id = "wash"
name = "Wash"
role = "cleaner"
purpose = "cleaner"
density = "0.86 g/mL"
flash_point = "4 degC"
boiling_point = "110 degC"
hazards = ["H225", "H304", "H373"]
sds_revised = 2026-01-01

[[product.part]]
name = "toluene"
cas = "108-88-3"
weight = "100 %"
"""
PRIMER = """\
[product]
id = "primer"
name = "Primer"
role = "primer"
purpose = "primer"
coating = "primer"
density = "1.1 g/mL"
flash_point = "10 degC"
boiling_point = "80 degC"
hazards = ["H225", "H336"]
sds_revised = 2026-01-01

[[product.part]]
name = "butanone"
cas = "78-93-3"
weight = "40 %"

[[product.part]]
name = "resin"
volatile = false
weight = "60 %"
"""
JANUARY: tuple[Mapping[str, str], ...] = (
    {"kind": "receive", "product": "wash", "amount": "20 L", "lot": "W1", "expires": "none"},
    {"kind": "receive", "product": "primer", "amount": "5 L", "lot": "P1", "expires": "none"},
    {"kind": "use", "product": "wash", "amount": "4 L", "basis": "measured", "lot": "W1", "operation": "hand-wipe"},
    {"kind": "use", "product": "primer", "amount": "2 L", "basis": "measured", "lot": "P1"},
    {"kind": "waste", "product": "wash", "amount": "2 kg", "basis": "weighed", "container": "drum", "way": "job"},
    {"kind": "waste", "product": "wash", "amount": "160 kg", "basis": "weighed", "container": "rags", "way": "job"},
)  # fmt: skip


def put(folder: Path, *rows: Mapping[str, str], when: str = "2026-01-12") -> None:
    shop = read_shop(folder / "shop.toml")
    drafts = []
    for row in rows:
        fields = {"who": "Pat", "when": when, **row}
        read = read_draft(fields.pop("kind"), fields, shop, NOW)
        assert isinstance(read, Draft), read
        drafts.append(read)
    with open_ledger(shop, create=True) as ledger:
        record(ledger, drafts)


def january(folder: Path) -> str:
    report = make_log(Workplace.open(folder), Period("2026-01", "2026-01"))
    return forms.log(report, "text")


def label(folder: Path, container: str, *more: str) -> str:
    done = CliRunner().invoke(label_command, [container, "--shop", str(folder), *more])
    assert done.exit_code in (0, 3), done.output
    return done.output


def test_a_file_that_changes_or_goes_leaves_every_month_gone_by_as_it_was(tmp_path: Path) -> None:
    folder = write_shop(tmp_path, SHOP + DRUM + RAGS, {"wash": WASH, "primer": PRIMER}, {})
    put(folder, *JANUARY)
    then, on_the_drum = january(folder), label(folder, "rags", "--month", "2026-01")
    for said in ("F005", "VSQG", "within 45 mmHg", "440 g/L", "excluded wipes", "160 kg"):
        assert said in then, said
    assert "F005" in on_the_drum

    changed = WASH.replace("4 degC", "70 degC").replace('"108-88-3"', '"110-54-3"').replace("H373", "H411")
    (folder / "products" / "wash.toml").write_text(changed.replace("toluene", "hexane"), encoding="utf-8")
    (folder / "products" / "primer.toml").write_text(PRIMER.replace('coating = "primer"\n', ""), encoding="utf-8")
    assert january(folder) == then

    for gone in ("wash", "primer"):
        (folder / "products" / f"{gone}.toml").unlink()
    (folder / "shop.toml").write_text(SHOP + DRUM.replace("spent solvent", "used oil"), encoding="utf-8")
    assert january(folder) == then
    assert label(folder, "rags", "--month", "2026-01") == on_the_drum
    assert "used oil" in label(folder, "drum")  # what is printed of today is as shop.toml says today
    assert "used oil" not in label(folder, "drum", "--month", "2026-01")


def test_the_edition_of_its_own_day_is_in_each_month(tmp_path: Path) -> None:
    folder = write_shop(tmp_path, SHOP + DRUM + RAGS, {"wash": WASH, "primer": PRIMER}, {})
    put(folder, *JANUARY)
    before = january(folder).count("Wash")
    (folder / "products" / "wash.toml").write_text(WASH.replace("Wash", "New wash"), encoding="utf-8")
    put(folder, {**JANUARY[2], "lot": "W1"}, when="2026-02-03")
    now = january(folder)
    assert "New wash" not in now
    assert now.count("Wash") == before


def test_late_papers_take_the_edition_in_force_on_their_day(tmp_path: Path) -> None:
    """They took today's file, with another density and make-up."""
    folder = write_shop(tmp_path, SHOP + DRUM + RAGS, {"wash": WASH, "primer": PRIMER}, {})
    put(folder, JANUARY[0])
    heavy = WASH.replace("0.86 g/mL", "1.3 g/mL").replace("[[product.part]]", "since = 2026-02-01\n\n[[product.part]]")
    (folder / "products" / "wash.toml").write_text(heavy, encoding="utf-8")
    put(folder, JANUARY[2], when="2026-01-20")
    put(folder, JANUARY[2], when="2026-02-02")
    shop = read_shop(folder / "shop.toml")
    with open_ledger(shop) as ledger, view(ledger, shop) as seen:
        masses = [e.mass for e in seen.entries(Period("2026-01", "2026-02"), "use")]
    assert masses == pytest.approx([4 * 0.86, 4 * 1.3])
    late = PRIMER.replace("[[product.part]]", "since = 2026-02-01\n\n[[product.part]]", 1)
    (folder / "products" / "primer.toml").write_text(late, encoding="utf-8")
    with pytest.raises(Refused, match="the file of primer holds since 2026-02-01, and nothing is recorded of before"):
        put(folder, JANUARY[1])
    put(folder, {**JANUARY[1], "anyway": "the same drum"})


def test_a_ledger_that_was_written_over_is_told_by_the_log_and_by_verify(tmp_path: Path) -> None:
    """A row could be changed with any tool, and the log printed it as if it had always been so."""
    folder = write_shop(tmp_path, SHOP + DRUM + RAGS, {"wash": WASH, "primer": PRIMER}, {})
    put(folder, *JANUARY)

    def verified(*more: str) -> Any:
        return CliRunner().invoke(verify_command, ["--shop", str(folder), *more])

    assert verified().exit_code == 0
    head = json.loads(verified("--format", "json").output)["head"]
    assert head in " ".join(january(folder).split())
    assert verified("--head", head).exit_code == 0
    with closing(sqlite3.connect(folder / "ledger.db")) as stranger:
        stranger.execute("DROP TRIGGER entry_no_update")
        stranger.execute("UPDATE entry SET mass_ug = 1 WHERE kind = 'waste'")
        stranger.commit()
    report = make_log(Workplace.open(folder), Period("2026-01", "2026-01"))
    assert not report.complete
    assert "NOT AS IT WAS WRITTEN, places: 3" in " ".join(forms.log(report, "text").split())
    found = verified("--head", "0" * 64)
    assert found.exit_code == 1
    assert "was changed after it was written" in found.output
    assert "the trigger entry_no_update is not there" in found.output
    assert "is NOT in it" in found.output
    with pytest.raises(Problems, match="is no head of a ledger"):
        CliRunner().invoke(verify_command, ["--shop", str(folder), "--head", "xyz"], catch_exceptions=False)
