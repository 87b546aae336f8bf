"""Frozen sheets are kept word for word under the hash of what they hold, and signed by name."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

import pytest

from safety.ledger.sheets import SignOff, freeze, frozen, sign
from safety.ledger.store import Ledger
from safety.problems import Problems

INPUTS = {"shop.toml": '[shop]\nname = "Größe ½"\r\n', "rules/us.toml": "x" * 100_000, "empty": ""}
AT = datetime(2026, 11, 25, 7, 30, tzinfo=timezone(timedelta(hours=-5)))


def frozen_once(ledger: Ledger, **changes: object) -> str:
    given = {"version": "0.1", "seed": 1, "draws": 2000, "title": "Boots", **changes}
    return freeze(ledger, INPUTS, '{"complete": true}', **given)  # type: ignore[arg-type]


def test_what_was_frozen_comes_back_word_for_word(ledger: Ledger) -> None:
    number = frozen_once(ledger)
    sheet = frozen(ledger, number[:8])
    assert sheet.inputs == INPUTS
    assert (sheet.result, sheet.version, sheet.seed, sheet.draws) == ('{"complete": true}', "0.1", 1, 2000)
    assert (sheet.id, sheet.what, sheet.title, sheet.signed) == (number, "sheet", "Boots", ())


def test_the_same_sheet_is_frozen_once_and_any_other_apart(ledger: Ledger) -> None:
    number = frozen_once(ledger)
    assert frozen_once(ledger) == number
    others = {frozen_once(ledger, seed=2), frozen_once(ledger, draws=2001), frozen_once(ledger, version="0.2")}
    others.add(freeze(ledger, {**INPUTS, "empty": " "}, '{"complete": true}', version="0.1", seed=1, draws=2000))
    assert len(others | {number}) == 5
    assert ledger.connection.exec_driver_sql("SELECT count(*) FROM frozen").scalar() == 5
    # texts that many sheets share are kept once: four of the inputs, one result
    assert ledger.connection.exec_driver_sql("SELECT count(*) FROM text_blob").scalar() == 5


def test_signatures_are_added_and_stay(ledger: Ledger) -> None:
    number = frozen_once(ledger)
    sign(ledger, number[:10], "Pat", "technician", AT)
    sign(ledger, number, "Pat", "technician", AT)  # a retry
    sign(ledger, number, "Lee", "supervisor", AT + timedelta(hours=1), "briefed the crew")
    assert frozen(ledger, number).signed == (
        SignOff("Pat", "technician", AT),
        SignOff("Lee", "supervisor", AT + timedelta(hours=1), "briefed the crew"),
    )


@pytest.mark.parametrize("id", ["", "abc", "0123456789", "%_______", "________"])
def test_an_unknown_sheet_is_told(ledger: Ledger, id: str) -> None:
    with pytest.raises(Problems, match="nothing is frozen yet: hazstep sheet JOB --freeze"):
        frozen(ledger, id)
    number = frozen_once(ledger)
    wanted = f'there is no frozen sheet or log "{id}"; give 8 or more letters of an id; the newest: {number[:12]} .sheet, Boots'
    with pytest.raises(Problems, match=wanted):
        frozen(ledger, id)
    with pytest.raises(Problems, match="there is no frozen sheet"):
        sign(ledger, id, "Pat", "technician", AT)


def test_a_page_is_found_again_by_its_title(ledger: Ledger) -> None:
    """Nobody keeps an id of sixty-four letters: eight pages are named, those of the title first."""
    numbers = [frozen_once(ledger, title=f"Job {i}", seed=i) for i in range(10)]
    boots = frozen_once(ledger, title="Boots, left")
    frozen_once(ledger, title="November 2026", what="log")
    with pytest.raises(Problems) as asked:
        frozen(ledger, "boots")
    assert f"the newest: {boots[:12]} (sheet, Boots, left, frozen 20" in str(asked.value)
    assert "Job" not in str(asked.value)
    with pytest.raises(Problems) as asked:
        frozen(ledger, "of no title")
    assert str(asked.value).count(", frozen 20") == 8
    assert "(log, November 2026, frozen 20" in str(asked.value)
    assert numbers[9][:12] in str(asked.value)
    assert numbers[0][:12] not in str(asked.value)


def test_a_sheet_that_was_tampered_with_does_not_pass(ledger: Ledger) -> None:
    number = frozen_once(ledger)
    postgresql = ledger.connection.dialect.name == "postgresql"
    ledger.connection.exec_driver_sql(
        "DROP TRIGGER text_blob_no_" + ("change ON text_blob" if postgresql else "update")
    )
    ledger.connection.exec_driver_sql("UPDATE text_blob SET content = '{}' WHERE content = '{\"complete\": true}'")
    with pytest.raises(Problems, match="damaged: its content does not fit its id"):
        frozen(ledger, number)
