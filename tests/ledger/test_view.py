"""What a large ledger must not be asked twice, and what is asked of some products alone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import event

from safety.ledger.entries import record
from safety.ledger.store import open_at
from safety.ledger.view import view
from safety.model import Period
from tests.ledger.made_up import SHOP, draft

NOVEMBER = Period("2026-11", "2026-11")


def test_lines_of_which_there_are_few_are_read_once(tmp_path: Path) -> None:
    """At a million uses and 20,000 lines of waste a sheet built ten times as many records as there are lines."""
    with open_at("sqlite:///ledger.db", tmp_path, SHOP.name, create=True) as ledger:
        drafts = [draft("receive", "wash", "4 L", key="r"), draft("waste", "wash", "1 L", key="w", way="job")]
        record(ledger, drafts)
        asked: list[str] = []
        with view(ledger) as seen:
            event.listen(ledger.connection, "before_cursor_execute", lambda *given: asked.append(given[2]))
            first = [seen.entries(NOVEMBER, "waste"), seen.begins]
            once = len(asked)
            assert once
            assert [seen.entries(NOVEMBER, "waste"), seen.begins] == first
            assert len(asked) == once
        record(ledger, [draft("waste", "wash", "1 L", key="w2", way="job")])
        with view(ledger) as seen:
            assert [one.key for one in seen.entries(NOVEMBER, "waste")] == ["w", "w2"]


def test_what_is_added_up_over_all_the_years_is_read_from_an_index_alone(tmp_path: Path) -> None:
    """Each lot was added up by looking up every line of it: 4 s of a million uses, three times over in one log."""
    with open_at("sqlite:///ledger.db", tmp_path, SHOP.name, create=True) as ledger:
        record(ledger, [draft("receive", "wash", "4 L", key="r"), draft("waste", "wash", "1 L", key="w", way="job")])
        asked: list[tuple[str, Any]] = []
        with view(ledger, SHOP) as seen:
            event.listen(ledger.connection, "before_cursor_execute", lambda *given: asked.append((given[2], given[3])))
            seen.lots()
            seen.weighed_rates()
            seen.balance(NOVEMBER)
            seen.in_waste(NOVEMBER)
            seen.entries(NOVEMBER, "waste")
            asked_before = len(asked)
            wide = seen.flows(Period("2026-10", "2026-11"))
            assert seen.flows(NOVEMBER) == wide
            assert len(asked) == asked_before + 1
        driver = ledger.connection.connection.driver_connection
        assert driver is not None
        plans = [row[3] for text, given in asked for row in driver.execute("EXPLAIN QUERY PLAN " + text, given)]
        for index in ("COVERING INDEX entry_of_lot", "COVERING INDEX entry_weighed", "INDEX entry_waste"):
            assert any(plan.endswith(index) or f"{index} " in plan for plan in plans), (index, plans)


def test_lots_and_rates_of_some_products_are_theirs_alone(tmp_path: Path) -> None:
    with open_at("sqlite:///ledger.db", tmp_path, SHOP.name, create=True) as ledger:
        record(ledger, [draft("receive", one, "4 L", key=one) for one in ("wash", "acetone")])
        with view(ledger) as seen:
            assert [lot.product for lot in seen.lots()] == ["acetone", "wash"]
            assert seen.lots({"wash"}) == tuple(lot for lot in seen.lots() if lot.product == "wash")
            assert seen.lots(()) == seen.weighed_rates(()) == ()
