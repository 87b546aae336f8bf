"""A shop that was renamed: what the ledger holds under another name is counted or missed aloud, never left out silently."""

from __future__ import annotations

from typing import Any

import pytest

from safety.ledger.recorded import recorded
from safety.model import Report
from safety.workplace import assess_job

TOLUENE = ("108-88-3", "100 %", "100 %")
SAYS = "The ledger also holds records under a name that is not counted here: North yard."


def rename(yard: Any, more: str = "") -> None:
    """The shop is called South yard from now on; ``more`` are further lines of its table."""
    file = yard.folder / "shop.toml"
    text = file.read_text("utf-8").replace('name = "North yard"', f'name = "South yard"\n{more}')
    file.write_text(text, encoding="utf-8")


@pytest.fixture
def month(yard: Any) -> Any:
    """A month with 90 kg of waste under the first name, and a job of 8 kg that takes it over the 100 kg of a VSQG with 5 kg more."""
    yard.product("wash", TOLUENE)
    yard.use("2026-11-02", "wash", "95 kg")
    yard.record("waste", "2026-11-03", "wash", "90 kg")
    yard.job("wash", "20 kg")
    return yard


def sheet(yard: Any) -> Report:
    return assess_job(yard.folder / "jobs" / "wipe-down.toml", draws=60, records=recorded)


def forecast(report: Report) -> Any:
    return next(f for f in report.findings if f.key == "waste-month")


def test_under_its_own_name_the_month_is_whole(month: Any) -> None:
    report = sheet(month)
    assert forecast(report).figures[0].value > 90
    assert not any(SAYS in text for text in report.books)


def test_after_a_rename_the_sheet_says_what_is_not_counted(month: Any) -> None:
    rename(month)
    report = sheet(month)
    found = forecast(report)
    assert found.figures[0].value < 90  # the 90 kg are not in it
    assert "Records under another name are not counted, so the month may hold more." in found.statement
    assert SAYS in found.unknown
    assert "at least" in found.short
    assert not any(SAYS in text for text in report.missing)  # the work is no less safe for it
    assert sum(SAYS in text for text in report.books) == 1


def test_a_name_the_shop_had_before_is_counted(month: Any) -> None:
    before = forecast(sheet(month)).figures[0].value
    rename(month, 'earlier_names = ["North yard"]\n')
    report = sheet(month)
    assert forecast(report).figures[0].value == before
    assert not any(SAYS in text for text in report.books)
    log = month.log("2026-11")
    assert log.other_shops == ()
    assert len(log.entries) == 2


def test_another_shop_is_not_counted_and_not_missed(month: Any) -> None:
    rename(month, 'ledger_shared_with = ["North yard"]\n')
    report = sheet(month)
    assert forecast(report).figures[0].value < 90
    assert not any(SAYS in text for text in report.books)
    log = month.log("2026-11")
    assert log.other_shops == ("North yard",)
    assert not any(SAYS in text for text in log.missing)


def test_the_log_and_its_forecast_are_incomplete(month: Any, block: Any) -> None:
    rename(month)
    month.record("receive", "2026-11-10", "wash", "5 kg", lot="L2")
    log = month.log("2026-11")
    assert any(SAYS in text for text in log.missing)
    found = block(log, "solvent-forecast")
    assert any(SAYS in point.text for point in found.unknown)
    assert not any("at most" in line for line in found.lines)  # what may be missing has no upper end


def test_a_label_does_not_hide_that_a_container_may_be_older(month: Any) -> None:
    rename(month)
    result = month.run("label", "drum-1", "--month", "2026-11")
    assert result.exit_code == 3
    assert SAYS in result.stderr


def test_a_shop_is_not_its_own_neighbour(month: Any) -> None:
    rename(month, 'earlier_names = ["North yard"]\nledger_shared_with = ["North yard"]\n')
    result = month.run("check")
    assert result.exit_code == 2
    assert '"North yard" is a name of this shop itself' in result.stdout + result.stderr
