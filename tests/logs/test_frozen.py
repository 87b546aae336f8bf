"""Frozen sheets and logs, and who signed them."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

BUTANONE, TOLUENE = "78-93-3", "108-88-3"


@pytest.fixture
def ready(yard: Any) -> Any:
    rule = '[pack]\nid = "house"\ntitle = "House"\njurisdiction = "here"\nedition = "2026"\n[[limit]]\n'
    rule += f'cas = "{TOLUENE}"\nlist = "House"\nkind = "twa"\nvalue = "150 ppm"\naveraging = "8 h"\ncompare = "over"\n'
    rule += 'citation = "house rule"\nedition = "2026"\n'
    (yard.folder / "house.toml").write_text(rule, encoding="utf-8")
    yard.shop(rules='us-federal", "house.toml')
    yard.product("wash", (TOLUENE, "100 %", "100 %"))
    yard.job("wash", "500 mL", "2026-01-05T08:00:00")
    return yard


def frozen(done: Any) -> str:
    found = re.search(r"Frozen as ([0-9a-f]{12})", done.stderr)
    assert found, done.output
    return found[1]


def test_a_frozen_sheet_comes_back_to_the_last_digit(ready: Any, tmp_path: Path) -> None:
    first = ready.run("sheet", "wipe-down", "--draws", "60", "--freeze", "--pdf", str(tmp_path / "a.pdf"))
    id = frozen(first)
    # the job is edited, and the product: what was frozen stands
    ready.job("wash", "5 L", "2026-01-05T08:00:00")
    ready.product("wash", (BUTANONE, "100 %", "100 %"))
    again = ready.run("sheet", "--frozen", id, "--pdf", str(tmp_path / "b.pdf"))
    assert again.output.startswith(first.stdout)
    assert again.exit_code == first.exit_code
    assert "the same, to the last digit" in again.output
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()
    whole = json.loads(ready.run("sheet", "--frozen", id, "--format", "json").output)
    assert whole["sheet"]["draws"] == 60
    assert whole["signed"] == []


def test_todays_rules_are_shown_beside_it_where_they_decide_otherwise(ready: Any) -> None:
    id = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    rule = ready.folder / "house.toml"
    rule.write_text(rule.read_text("utf-8").replace("150 ppm", "0.01 ppm"), encoding="utf-8")
    output = ready.run("sheet", "--frozen", id).output
    assert "Computed again today from the same files: the same, to the last digit." in output
    assert "house.toml of the shop has changed." in output
    assert "With the shop's rules of today" in output
    assert "now control" in output or "now stop" in output


def test_a_changed_result_is_not_called_the_same(ready: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    from dataclasses import replace

    from safety.ledger import sheets

    id = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    kept = sheets.frozen

    def altered(*arguments: Any) -> Any:
        one = kept(*arguments)
        return replace(one, result=one.result.replace('"level": "note"', '"level": "control"', 1))

    monkeypatch.setattr(sheets, "frozen", altered)
    output = ready.run("sheet", "--frozen", id).output
    assert "the same, to the last digit" not in output
    assert "then control" in output


def test_late_sign_offs_are_taken_and_marked(ready: Any) -> None:
    early = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    done = ready.run("sign", early, "--name", "Pat", "--role", "technician")
    assert done.exit_code == 0
    assert "Signed by Pat, technician" in done.output
    assert "LATE, after the job had begun" in done.output  # the job was in January 2026
    ready.job("wash", "500 mL", "2099-01-05T08:00:00")
    ahead = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    done = ready.run("sign", ahead[:8], "--name", "Pat", "--role", "technician")
    assert "LATE" not in done.output


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("sheet",), "nothing says which job"),
        (("sheet", "wipe-down", "--frozen", "12345678"), "a frozen sheet takes no job"),
        (("sheet", "--frozen", "12345678"), 'there is no frozen sheet "12345678"'),
        (("sign", "12345678", "--name", "Pat", "--role", "x"), 'there is no frozen sheet "12345678"'),
    ],
)
def test_what_does_not_go_together_is_one_clear_line(ready: Any, arguments: tuple[str, ...], says: str) -> None:
    ready.use("2026-01-02", "wash", "1 kg")
    done = ready.run(*arguments)
    assert done.exit_code == 2
    assert says in done.output


def test_a_frozen_log_stands_as_it_was_filed(ready: Any, tmp_path: Path) -> None:
    ready.use("2026-01-05", "wash", "5 kg", job="wipe-down", step="Wipe", key="a")
    first = ready.run("log", "--month", "2026-01", "--freeze", "--csv", str(tmp_path / "a.csv"))
    id = frozen(first)
    ready.correct("a", amount="50 kg")
    again = ready.run("log", "--frozen", id, "--csv", str(tmp_path / "b.csv"))
    assert again.output.startswith(first.stdout)
    assert again.exit_code == first.exit_code
    assert (tmp_path / "a.csv").read_bytes() == (tmp_path / "b.csv").read_bytes()
    assert "50 kg" in ready.run("log", "--month", "2026-01").output


def test_later_records_do_not_change_what_the_sheet_rested_on(ready: Any) -> None:
    ready.use("2026-01-02", "wash", "1 kg")
    id = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    ready.record("waste", "2026-01-03", "wash", "120 kg")  # past the limit of the smallest generators
    assert "the same, to the last digit" in ready.run("sheet", "--frozen", id).output
