"""The code on paper opens the step, the lot or the container, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from safety.ledger.drafts import Draft, read_draft
from safety.ledger.entries import record
from safety.ledger.store import open_ledger
from safety.paper_codes import letters, plain
from safety.serve.desk import Desk
from tests.serve.inside import Browser, Near, desk_of
from tests.serve.shop import slipway
from tests.serve.test_people import PEOPLE, WORDS


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    folder: Path = slipway(tmp_path_factory.mktemp("slipway") / "shop")
    (folder / "shop.toml").write_text((folder / "shop.toml").read_text() + PEOPLE)
    desk = desk_of(folder, datetime(2026, 12, 2, 13, 5).timestamp, Near(folder))
    fields = {"product": "wash", "amount": "5 L", "lot": "W-1", "expires": "2026-11-30", "who": "Stores"}
    draft = read_draft("receive", fields, desk.shop(), desk.local(desk.now() - 86_400 * 20))
    assert isinstance(draft, Draft)
    with open_ledger(desk.shop(), create=True) as ledger:
        record(ledger, [draft])
    yield desk
    desk.close()


@pytest.fixture
def tech(desk: Desk) -> Browser:
    one = Browser(desk)
    one.named("Tech 1")
    return one


def test_a_step_opens_on_its_sheet_and_while_it_is_done_where_it_is_done(desk: Desk, tech: Browser) -> None:
    prime = letters("step", "patch", "Prime")
    assert tech.get(f"/C/{prime}") == 303
    assert tech.headers["location"] == "/job/patch#step-2"
    tech.get("/job/patch")
    assert 'id="step-2"' in tech.body
    ticks = {f"tick-{number}": "yes" for number in range(9)}
    assert tech.post("/job/patch/start", {"key": "r-0123456789abcdef", "air": "gate open", **ticks}) == 303
    wipe = letters("step", "patch", "Wipe the hull")
    assert (tech.get(f"/c/{wipe}"), tech.headers["location"]) == (303, "/run/r-0123456789abcdef")
    assert (tech.get(f"/c/{prime}"), tech.headers["location"]) == (303, "/job/patch#step-2")


def test_a_lot_says_that_it_is_out_of_date_and_a_container_what_goes_in(desk: Desk, tech: Browser) -> None:
    assert tech.get(f"/c/{letters('lot', 'wash', 'W-1')}") == 200
    assert "Out of date: do not use it." in tech.text
    assert "2026-11-30: over" in tech.text
    assert "/stock" not in tech.body, "that is not a technician's page"
    assert tech.get(f"/c/{letters('container', 'rags')}") == 200
    assert "Container rags" in tech.text


def test_a_code_is_typed_in_either_case_and_what_nothing_has_is_no_page(tech: Browser) -> None:
    code = letters("container", "rags")
    assert plain(f" {code[:4].lower()} {code[4:]} ") == code
    assert plain("../shop") == plain("0000 0000") == ""
    assert (tech.get(f"/c?code={code[:4].lower()}+{code[4:]}"), tech.headers["location"]) == (303, f"/c/{code}")
    for other in (letters("step", "patch", "Prime it"), letters("lot", "wash", "W-2"), "AAAAAAAA", "..", "%2e%2e", "0"):
        assert tech.get(f"/c/{other}") == 404


def test_who_has_no_name_yet_is_asked_and_comes_where_the_code_leads(desk: Desk) -> None:
    code = letters("container", "rags")
    one = Browser(desk)
    assert (one.get(f"/c/{code}"), one.headers["location"]) == (303, f"/who?code={code}")
    one.get(f"/who?code={code}")
    assert one.post("/who", {"name": "Tech 1", "code": code}) == 303
    assert one.headers["location"] == f"/c/{code}"
    desk.who.passphrases.keep("Officer 1", WORDS)
    two = Browser(desk)
    two.get(f"/who?code={code}")
    assert two.post("/who", {"name": "Officer 1", "code": code}) == 200
    assert f'name="code" value="{code}"' in two.body
    assert two.post("/who", {"name": "Officer 1", "code": code, "passphrase": WORDS}) == 303
    assert two.headers["location"] == f"/c/{code}"
    two.get("/who?code=//elsewhere.example")
    assert two.post("/who", {"name": "Tech 1", "code": "//elsewhere.example"}) == 303
    assert two.headers["location"] == "/"
