"""What the technician taps, without a browser: what is asked about, what an officer accepts, and somebody hurt."""

from __future__ import annotations

import json
import re
import secrets
from collections.abc import Iterator
from datetime import datetime

import pytest

from safety.ledger.drafts import Draft, read_draft
from safety.ledger.entries import record
from safety.ledger.keyed import keyed
from safety.ledger.runs import TapLine, audits, runs, taps_of
from safety.ledger.store import open_ledger
from safety.model import Entry
from safety.serve.desk import Desk, Record
from tests.serve.inside import Browser, Near, desk_of
from tests.serve.shop import JOB, slipway
from tests.serve.test_people import PEOPLE

MINUTE = 60.0


class Clock:
    now = datetime(2026, 12, 2, 13, 5, 20).timestamp()

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """One desk for all: each test has a run of its own."""
    folder = slipway(tmp_path_factory.mktemp("slipway") / "shop")
    (folder / "shop.toml").write_text((folder / "shop.toml").read_text() + PEOPLE)
    (folder / "jobs" / "dark.toml").write_text(
        JOB.replace('"patch"', '"dark"').replace('product = "wash"', 'product = "murk"')
    )
    wash = (folder / "products" / "wash.toml").read_text()
    (folder / "products" / "murk.toml").write_text(
        wash.replace('id = "wash"', 'id = "murk"').replace('flash_point = "4 degC"', "")
    )
    desk = desk_of(folder, Clock(), Near(folder))
    yield desk
    desk.close()


@pytest.fixture
def desk(shop: Desk, clock: Clock) -> Desk:
    shop.now = clock  # type: ignore[method-assign]
    return shop


@pytest.fixture
def tech(desk: Desk) -> Browser:
    one = Browser(desk)
    one.named("Tech 1")
    return one


def begun(one: Browser, job: str = "patch", **more: str) -> str:
    key = f"r-{secrets.token_hex(8)}"
    one.get("/who")
    ticks = {f"tick-{number}": "yes" for number in range(9)}
    status = one.post(f"/job/{job}/start", {"key": key, "air": "gate open", **ticks, **more})
    return key if status == 303 else str(status)


def tap(one: Browser, run: str, kind: str, step: int = -1, coat: int = 0, **more: str) -> int:
    one.get("/who")
    fields = {"kind": kind, "step": str(step), "coat": str(coat), "key": f"d-{secrets.token_hex(8)}", **more}
    return one.post(f"/run/{run}/tap", fields)


def kept(desk: Desk, run: str) -> list[TapLine]:
    with open_ledger(desk.shop()) as ledger:
        return list(taps_of(ledger, run))


def lines(desk: Desk) -> list[tuple[str, str, str]]:
    with open_ledger(desk.shop()) as ledger:
        return [(one.who, one.what, one.after) for one in audits(ledger)]


# ---------------------------------------------------------------- a Done that may be a slip


def test_a_done_at_once_is_asked_about_and_kept_with_the_time_it_was_made(
    desk: Desk, tech: Browser, clock: Clock
) -> None:
    """It was taken: a second tap on the same place ended a step of 20 min after 4 s, and its air was that of none."""
    run = begun(tech)
    tap(tech, run, "begin", 0)
    clock.now += 4
    assert tap(tech, run, "end", 0) == 200
    assert "Done already?" in tech.body
    assert "Done after 4 s, planned 20 min" in tech.body
    assert [one.kind for one in kept(desk, run)] == ["begin"]
    fields = dict(
        re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', tech.body.split("Done already?")[1])
    )
    clock.now += 30  # somebody thinks
    assert tech.post(f"/run/{run}/tap", fields) == 303
    _, end = kept(desk, run)
    assert (end.kind, end.note) == ("end", "Done after 4 s, planned 20 min")
    assert abs(end.at.timestamp() - (clock.now - 30)) < 0.01, "the answer is no tap of its own"


@pytest.mark.parametrize(("after", "asked"), [(4.9 * MINUTE, True), (5.1 * MINUTE, False), (20 * MINUTE, False)])
def test_less_than_a_quarter_of_the_plan_is_asked_about(tech: Browser, clock: Clock, after: float, asked: bool) -> None:
    run = begun(tech)
    tap(tech, run, "begin", 0)
    clock.now += after
    assert tap(tech, run, "end", 0) == (200 if asked else 303)


def test_a_done_that_waited_on_its_tablet_is_never_held_up_by_a_question(
    desk: Desk, tech: Browser, clock: Clock
) -> None:
    """Nobody may be looking any more: the tap would be lost."""
    run = begun(tech)
    tap(tech, run, "begin", 0)
    clock.now += 2 * MINUTE
    assert tap(tech, run, "end", 0, ago="60") == 303
    assert [one.kind for one in kept(desk, run)] == ["begin", "end"]


# ---------------------------------------------------------------- a milder answer


def offers(one: Browser, run: str) -> list[str]:
    one.get(f"/run/{run}")
    found = one.body.split('id="looser"')
    return re.findall(r'name="value" value="([^"]+)"', found[1].split("</details>")[0]) if len(found) > 1 else []


def test_a_milder_answer_rules_once_an_officer_accepts_it_and_not_before(
    desk: Desk, tech: Browser, clock: Clock
) -> None:
    officer = Browser(desk)
    officer.named("Officer 1")
    run = begun(tech)
    tap(tech, run, "begin", 0)
    clock.now += 60 * MINUTE  # three times the plan: less in the air at a time
    tap(tech, run, "end", 0)
    live = desk.runs.find(run)
    looser = desk.runs.view(live, clock.now).offers
    assert all(one.step != 0 for one in looser), "what is over is not accepted any more"
    assert looser, "this shop's job has to have an answer that is milder by the real times"
    assert offers(tech, run) == []
    assert "Only the safety officer can accept it." in tech.body
    assert tap(tech, run, "accept", looser[0].step, value=looser[0].key) == 400
    shown = offers(officer, run)
    assert shown == [one.key for one in looser]
    before = desk.runs.view(live, clock.now).ruling.rules[looser[0].step, looser[0].topic]
    assert tap(officer, run, "accept", looser[0].step, value="0/hands/0-0--") == 409
    assert tap(officer, run, "accept", looser[0].step, value=looser[0].key) == 303
    now = desk.runs.view(desk.runs.find(run), clock.now).ruling
    assert now.rules[looser[0].step, looser[0].topic] == looser[0].after != before
    assert looser[0].key not in [one.key for one in now.looser]
    assert kept(desk, run)[-1].who == "Officer 1"
    assert ("Officer 1", "accept", looser[0].key) in lines(desk)


# ---------------------------------------------------------------- a start with something unknown


def test_with_something_unknown_an_officer_begins_it_with_a_reason_and_nobody_else(desk: Desk, tech: Browser) -> None:
    officer = Browser(desk)
    officer.named("Officer 1")
    assert begun(tech, "dark") == "409"
    assert begun(tech, "dark", anyway="it is late") == "409", "a technician cannot"
    assert begun(officer, "dark") == "409", "and an officer says why"
    officer.get("/job/dark/before?air=gate+open")
    assert 'name="anyway"' in officer.body
    tech.get("/job/dark/before?air=gate+open")
    assert "Start now" not in tech.body
    run = begun(officer, "dark", anyway="Asked the maker by telephone")
    assert run.startswith("r-")
    with open_ledger(desk.shop()) as ledger:
        (found,) = (one for one in runs(ledger) if one.key == run)
    assert found.anyway == "Officer 1: Asked the maker by telephone"
    tech.get(f"/run/{run}")
    assert "Asked the maker by telephone" in tech.body


# ---------------------------------------------------------------- somebody is hurt


def test_gloves_whose_time_is_over_are_to_be_changed(tech: Browser, clock: Clock) -> None:
    """ "These gloves until 14:25" stood there at three o'clock."""
    run = begun(tech)
    tap(tech, run, "begin", 0)
    clock.now += 90 * MINUTE
    tech.get(f"/run/{run}")
    assert "Change these gloves: over since" in tech.body
    assert "These gloves until" not in tech.body


def test_somebody_hurt_is_a_line_at_once_without_a_name_too(desk: Desk, tech: Browser, clock: Clock) -> None:
    run = begun(tech)
    nobody = Browser(desk)
    nobody.get("/emergency?job=patch")
    assert nobody.post("/hurt", {"job": "patch", "key": "d-0123456789abcdef"}) == 303
    nobody.get(nobody.headers["location"])
    assert "somebody is hurt. Call now." in nobody.body
    assert ("", "hurt", "") in lines(desk)
    assert [one.kind for one in kept(desk, run)] == ["hurt"]
    nobody.get("/emergency?told=%3Cb%3Eall+is+well")
    assert "all is well" not in nobody.body


# ---------------------------------------------------------------- at the scales


def records(desk: Desk, run: str) -> list[Entry]:
    with open_ledger(desk.shop()) as ledger:
        return list(keyed(ledger, f"{run}."))


@pytest.fixture
def lot(desk: Desk, clock: Clock) -> str:
    name = f"W-{secrets.token_hex(3)}"
    fields = {"product": "wash", "amount": "5 kg", "lot": name, "expires": "none", "who": "Stores"}
    draft = read_draft("receive", fields, desk.shop(), desk.local(clock.now - 86_400))
    assert isinstance(draft, Draft)
    with open_ledger(desk.shop(), create=True) as ledger:
        record(ledger, [draft])
    return name


def test_a_can_weighed_out_and_in_is_the_use(desk: Desk, tech: Browser, lot: str) -> None:
    run = begun(tech)
    tech.get(f"/run/{run}")
    assert f"/run/{run}/weigh/1/1" in tech.body
    tech.get(f"/run/{run}/weigh/1/1")
    assert "Weighed out" in tech.body
    out = {"way": "out", "lot": lot, "amount": "912.5"}
    assert tech.post(f"/run/{run}/weigh/1/1", out) == 303
    tech.get(f"/run/{run}/weigh/1/1")
    assert tech.post(f"/run/{run}/weigh/1/1", out) == 303, "sent twice"
    tech.get(f"/run/{run}/weigh/1/1")
    assert f"Weighed out: 912.5 g, lot {lot}" in tech.body
    assert tech.post(f"/run/{run}/weigh/1/1", {"way": "in", "lot": lot, "amount": "950"}) == 409, "it cannot grow"
    tech.get(f"/run/{run}/weigh/1/1")
    assert tech.post(f"/run/{run}/weigh/1/1", {"way": "in", "lot": lot, "amount": "890"}) == 303
    assert tech.headers["location"] == f"/run/{run}/amount/1/1"
    weighed, use = records(desk, run)
    assert (weighed.kind, weighed.way, use.kind, use.basis, use.lot, use.step) == (
        "weigh", "out", "use", "weighed", lot, "Wipe the hull",
    )  # fmt: skip
    assert use.mass == pytest.approx(0.0225)
    tech.get(f"/run/{run}/amount/1/1")
    assert "Written down: 22.5 g" in tech.body


def test_what_goes_into_a_container_is_written_once_and_taken_back(desk: Desk, tech: Browser) -> None:
    run = begun(tech)
    tech.get(f"/run/{run}/waste")
    key = f"{run}.waste.1"
    fields = {"key": key, "container": "rags", "amount": "400", "basis": "guessed"}
    for wrong in ({"container": "lake"}, {"amount": ""}, {"amount": "4e3"}, {"basis": "measured"}, {"key": "x"}):
        assert tech.post(f"/run/{run}/waste", {**fields, **wrong}) == 400
        tech.get(f"/run/{run}/waste")
    for _ in range(2):
        assert tech.post(f"/run/{run}/waste", fields) == 303
        tech.get(f"/run/{run}/waste")
    assert "Written down: 400 g in rags" in tech.body
    (line,) = records(desk, run)
    assert (line.kind, line.container, line.basis, line.way, line.job, line.who) == (
        "waste", "rags", "guessed", "from job", "patch", "Tech 1",
    )  # fmt: skip
    assert tech.post(f"/run/{run}/waste/back", {"key": line.key}) == 303
    assert [bool(one.reversed_by) for one in records(desk, run) if not one.reverses] == [True]


# ---------------------------------------------------------------- what is asked of the engine


class Changed(Near):
    """Every file and record was changed since: nothing but what was answered before is known at once."""

    def __init__(self, near: Near) -> None:
        self._near = near
        self.asked: list[Record] = []

    def once(self, question: Record, language: str = "en") -> Record | None:
        return self._near._kept.get(json.dumps([language, question], sort_keys=True))

    def kept(self, question: Record, language: str = "en") -> Record | None:
        self.asked.append(question)
        return None

    def ask(self, question: Record, language: str = "en") -> Record:
        self.asked.append(question)
        return self._near.ask(question, language)


def test_after_a_record_only_the_newest_answer_of_a_run_is_asked_again(desk: Desk, tech: Browser, clock: Clock) -> None:
    """All of them were, the start's first: for as long the step was a blank page, and the newest came last."""
    run = begun(tech)
    for step in (0, 1):
        tap(tech, run, "begin", step, step)
        clock.now += 20 * MINUTE
        tap(tech, run, "end", step, step, sure="yes")
    near = desk.engine
    assert isinstance(near, Near)
    view = desk.runs.view(desk.runs.find(run), clock.now)
    desk.engine = changed = Changed(near)
    try:
        again = desk.runs.view(desk.runs.find(run), clock.now)
        assert tech.get(f"/run/{run}") == 200
    finally:
        desk.engine = near
    assert again.ruling.rules == view.ruling.rules
    assert again.waits
    assert "being worked out" in tech.body
    told = {json.dumps(one, sort_keys=True) for one in changed.asked if "real" in one}
    assert len(told) == 1
    assert all("real" in one for one in changed.asked)


def test_today_shows_what_was_known_while_it_is_worked_out_anew_and_offers_no_start(desk: Desk, tech: Browser) -> None:
    """After each record every card was blank until its sheet came, a STOP among them."""
    tech.get("/")
    assert "/job/patch/before" in tech.body
    near = desk.engine
    assert isinstance(near, Near)
    desk.engine = Changed(near)
    try:
        tech.get("/")
    finally:
        desk.engine = near
    assert "being worked out anew" in tech.body
    assert "Controls needed" in tech.body
    assert "/job/patch/before" not in tech.body


# ---------------------------------------------------------------- before its time, and what the officer hears


def test_a_wait_is_cut_short_with_a_reason_only_and_the_officer_reads_it(
    desk: Desk, tech: Browser, clock: Clock
) -> None:
    """It could not be: whoever saw that it was dry waited for the clock, or tapped what was not so."""
    run = begun(tech)
    tap(tech, run, "begin", 0)
    clock.now += 20 * MINUTE
    tap(tech, run, "end", 0)
    tap(tech, run, "begin", 1, 1)
    clock.now += 8 * MINUTE
    tap(tech, run, "end", 1, 1)
    tech.get(f"/run/{run}")
    assert "Start all the same" in tech.body
    assert tap(tech, run, "begin", 1, 2) == 409
    assert tap(tech, run, "begin", 1, 2, value="because") == 400
    assert tap(tech, run, "begin", 1, 2, value="ready") == 303
    assert kept(desk, run)[-1].value == "ready"
    officer = Browser(desk)
    officer.named("Officer 1")
    officer.get("/review")
    assert "STARTED EARLY" in officer.text
    assert "before its time, Tech 1" in officer.text


def test_what_a_closed_run_asked_for_is_still_looked_at(desk: Desk, tech: Browser, clock: Clock) -> None:
    """Its rows were gone with the tap that closed it: a missed window, an amount far from the plan, a step that had
    asked for a mask that nobody wore."""
    run = begun(tech)
    for step, coat, lasts in ((0, 0, 5.5), (1, 1, 8), (1, 2, 8), (2, 0, 20)):
        tap(tech, run, "begin", step, coat)
        clock.now += lasts * MINUTE
        tap(tech, run, "end", step, coat)
        clock.now += 11 * MINUTE
    officer = Browser(desk)
    officer.named("Officer 1")
    officer.get("/review")
    while_open = re.findall(rf'href="/run/{run}">.*?</a>', officer.body, re.S)
    tap(tech, run, "close")
    officer.get("/review")
    assert re.findall(rf'href="/run/{run}">.*?</a>', officer.body, re.S) == while_open
    clock.now += 8 * 24 * 3600
    officer.get("/review")
    assert f"/run/{run}" not in officer.body


def test_who_does_it_is_kept_with_the_run_and_stands_at_its_end(desk: Desk, tech: Browser, clock: Clock) -> None:
    number = desk.people().index("Tech 1")
    run = begun(tech, **{f"crew-{number}": "Tech 1", f"crew-{number + 1}": "Nobody we know"})
    assert desk.runs.find(run).checks["crew"] == ["Tech 1"]
    tap(tech, run, "begin", 0)
    clock.now += 21 * MINUTE
    tap(tech, run, "end", 0)
    tech.get(f"/run/{run}/done")
    assert "Done by: Tech 1" in tech.text
    assert "21 min, planned 20 min" in tech.text


def test_an_amount_far_from_the_plan_waits_for_the_officer(desk: Desk, tech: Browser, clock: Clock, lot: str) -> None:
    run = begun(tech)
    for amount in ("400", "25"):
        tech.get(f"/run/{run}/amount/1/1")
        (key,) = set(re.findall(r'name="key" value="([^"]*\.1\.1\.\d)"', tech.body))
        way = {"way": "measured", "lot": lot, "amount": amount, "key": key, "sure": f"{amount} mL", "lot-sure": lot}
        assert tech.post(f"/run/{run}/amount/1/1", way) == 303
        officer = Browser(desk)
        officer.named("Officer 1")
        officer.get("/review")
        assert ("Bond the patch, Wash: 400 mL, planned 20 mL to 30 mL" in officer.text) == (amount == "400")
        tech.get(f"/run/{run}/amount/1/1")
        tech.post(f"/run/{run}/amount/1/1/back", {"key": records(desk, run)[-1].key})


def test_a_lot_that_is_out_of_date_is_asked_about_and_told_to_the_officer(
    desk: Desk, tech: Browser, clock: Clock, lot: str
) -> None:
    old = f"W-{secrets.token_hex(3)}"
    fields = {"product": "wash", "amount": "5 kg", "lot": old, "expires": "2026-11-30", "who": "Stores"}
    draft = read_draft("receive", fields, desk.shop(), desk.local(clock.now - 86_400 * 9))
    assert isinstance(draft, Draft)
    with open_ledger(desk.shop(), create=True) as ledger:
        record(ledger, [draft])
    run = begun(tech)
    to = f"/run/{run}/amount/1/1"
    tech.get(to)
    (key,) = set(re.findall(r'name="key" value="([^"]*\.1\.1\.\d)"', tech.body))
    said = {"key": key, "lot": old, "way": "measured", "amount": "25"}
    assert tech.post(to, said) == 200
    assert f"Lot {old} is out of date, empty or not known." in tech.text
    assert records(desk, run) == []
    assert tech.post(to, {**said, "lot-sure": old}) == 303
    (line,) = records(desk, run)
    assert line.anyway == "asked and said to be so"
    officer = Browser(desk)
    officer.named("Officer 1")
    officer.get("/review")
    assert "AGAINST A WARNING" in officer.text
    assert old in officer.text


def test_an_amount_that_waited_on_its_tablet_is_kept_and_not_asked_about(
    desk: Desk, tech: Browser, clock: Clock, lot: str
) -> None:
    """The question came to a page that nobody looked at any more, and the amount was gone."""
    run = begun(tech)
    to = f"/run/{run}/amount/1/1"
    tech.get(to)
    (key,) = set(re.findall(r'name="key" value="([^"]*\.1\.1\.\d)"', tech.body))
    assert tech.post(to, {"key": key, "lot": lot, "way": "measured", "amount": "250", "ago": "60"}) == 303
    (line,) = records(desk, run)
    assert (line.typed, line.note) == ("250 mL", "it waited on its tablet: nobody was asked")
