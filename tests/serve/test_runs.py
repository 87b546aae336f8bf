"""A job as it is done on the page, tap by tap: clocks, amounts, a lost network, a killed server, two tablets."""

from __future__ import annotations

import re
import secrets
import signal
import time
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta, timezone
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page, expect

from safety.files.reading import read_shop
from safety.ledger.drafts import Draft, read_draft
from safety.ledger.entries import record
from safety.ledger.keyed import keyed
from safety.ledger.runs import TapLine, runs, taps_of
from safety.ledger.store import open_ledger
from safety.model import Entry
from tests.serve.conftest import LYING, NARROW, PHONE, TABLET, Served, Tablet, sheets
from tests.serve.shop import slipway

Make = Callable[..., Tablet]


@pytest.fixture(scope="module")
def served(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A shop with one job of three steps: wipe, two coats of primer, bond."""
    folder = slipway(tmp_path_factory.mktemp("slipway") / "shop")
    shop = read_shop(folder)
    drafts = []
    for product, lot in (("primer", "P-1"), ("wash", "W-1")):
        fields = {"product": product, "amount": "5 L", "lot": lot, "expires": "none", "who": "Stores"}
        draft = read_draft("receive", fields, shop, datetime(2026, 11, 1, 9, tzinfo=timezone.utc))
        assert isinstance(draft, Draft)
        drafts.append(draft)
    with open_ledger(shop, create=True) as ledger:
        record(ledger, drafts)
    served = Served(folder)
    served.set(datetime(2026, 12, 2, 13, 5, 20))
    served.begin()
    yield served
    served.end()


def begun(one: Tablet) -> str:
    """Begin the job by a hand-made POST, and open its run. Returns the key."""
    key = f"r-{secrets.token_hex(8)}"
    one.open("/who")
    ticks = {f"tick-{number}": "yes" for number in range(9)}
    assert one.post("/job/patch/start", key=key, air="gate open", **ticks) == 303
    one.open(f"/run/{key}")
    return key


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def tapped(one: Tablet, key: str, kind: str, step: int, coat: int = 0) -> int:
    fields = {"kind": kind, "step": str(step), "coat": str(coat), "key": f"d-{secrets.token_hex(8)}"}
    return one.post(f"/run/{key}/tap", **fields)


def kept(served: Served, run: str) -> list[TapLine]:
    with open_ledger(read_shop(served.shop)) as ledger:
        return list(taps_of(ledger, run))


def records(served: Served, run: str) -> list[Entry]:
    with open_ledger(read_shop(served.shop)) as ledger:
        return list(keyed(ledger, f"{run}."))


def seconds(shown: str) -> int:
    parts = [int(part) for part in shown.split(":")]
    return sum(part * 60**power for power, part in enumerate(reversed(parts)))


# ---------------------------------------------------------------- 3: start now


def test_start_now_moves_every_clock(tablet: Make, served: Served) -> None:
    """The plan said 08:00; the work begins at 13:05:20, and nothing says another time."""
    served.set(datetime(2026, 12, 2, 13, 5, 20))
    one = tablet("Tech 1")
    one.open("/job/patch/before")
    one.looked_at()
    one.page.get_by_role("button", name="gate open").click()
    expect(one.page.get_by_role("button", name="Start now")).to_be_visible(timeout=60_000)
    one.looked_at()
    for tick in one.page.locator("label.tick").all():
        tick.click()
    press(one.page, "Start now")
    one.page.wait_for_url("**/run/**", timeout=60_000)
    one.looked_at()
    key = one.page.url.rsplit("/", 1)[1]
    with open_ledger(read_shop(served.shop)) as ledger:
        run = next(run for run in runs(ledger) if run.key == key)
    assert run.sheet, "the sheet it was started with is kept"
    begins = run.started.replace(tzinfo=None)
    assert abs(begins - datetime(2026, 12, 2, 13, 5, 20)) < timedelta(minutes=2)
    told = sheets(served, "patch", start=begins, air="gate open")
    text = one.page.locator("main").inner_text()
    assert not re.search(r"\b0[89]:\d\d\b", text)
    one.page.locator("summary", has_text="Fire, air, clock").click()
    for entry in next(box for box in told["steps"][0]["boxes"] if box["topic"] == "fire")["entries"]:
        assert entry["text"] in one.page.locator("main").inner_text()


# ---------------------------------------------------------------- 4, 5: coats and windows


def primed(one: Tablet, served: Served, coats: int) -> str:
    """A run whose first step is done, with some coats on."""
    key = begun(one)
    assert tapped(one, key, "begin", 0) == 303
    served.on(minutes=20)
    assert tapped(one, key, "end", 0) == 303
    for coat in range(1, coats + 1):
        assert tapped(one, key, "begin", 1, coat) == 303
        served.on(minutes=8)
        assert tapped(one, key, "end", 1, coat) == 303
        if coat < coats:
            served.on(minutes=5, seconds=1)
    one.open(f"/run/{key}")
    return key


def test_the_next_coat_waits_and_then_becomes_the_main_button_by_itself(tablet: Make, served: Served) -> None:
    one = tablet("Tech 1")
    primed(one, served, 1)
    large = one.page.locator(".clock .digits")
    assert 5 * 60 - 12 <= seconds(large.inner_text()) <= 5 * 60
    said = one.page.locator(".clock .what").inner_text()
    assert said.startswith("Coat 2 not before ")
    assert one.page.get_by_role("button", name="Start coat 2").count() == 0
    assert one.page.locator("#foot form").count() == 0
    assert "gloves" in one.page.locator(".clocks").inner_text(), "the gloves' clock goes on through the wait"
    one.looked_at()
    for size in (TABLET, LYING):
        one.page.set_viewport_size(size)
        foot = one.page.locator("#foot").bounding_box()
        wear = [each.bounding_box() for each in one.page.locator(".wear li").all()]
        assert foot
        assert len(wear) >= 3
        assert all(box and box["y"] + box["height"] <= foot["y"] for box in wear), "what to wear lay under the foot"
    one.page.set_viewport_size(NARROW)
    expect(one.page.locator("#foot .glance")).to_be_in_viewport(ratio=1)
    one.looked_at()
    served.on(minutes=4, seconds=50)
    one.page.reload()
    expect(one.page.get_by_role("button", name="Start coat 2")).to_be_visible(timeout=20_000)
    one.looked_at()
    one.key_to("Start coat 2")
    expect(one.page.get_by_role("button", name="Done", exact=True)).to_be_visible()


def test_a_closed_window_offers_no_start(tablet: Make, served: Served) -> None:
    """One more coat mends it for an hour; then it is cleaned and started again, and nothing here begins the step."""
    one = tablet("Tech 1")
    key = primed(one, served, 2)
    served.on(hours=2, minutes=5)
    one.page.reload()
    expect(one.page.get_by_role("button", name="One more coat")).to_be_visible()
    assert "mends it until" in one.page.locator(".clock").inner_text(), "the gloves' clock stood in its place"
    assert "Too late" in one.page.locator("main").inner_text()
    assert one.page.locator("form[data-tap] input[name=kind][value=begin]").count() == 0
    assert tapped(one, key, "begin", 2) == 409
    one.looked_at()
    served.on(minutes=57)
    one.page.reload()
    expect(one.page.get_by_text("Clean it and start again")).to_be_visible()
    assert one.page.locator(".foot button").count() == 0
    assert tapped(one, key, "begin", 2) == 409
    assert tapped(one, key, "coat", 1, 3) == 409
    one.expected = ("409",)


# ---------------------------------------------------------------- 9 to 13: amounts


@pytest.fixture
def amount(tablet: Make, served: Served) -> tuple[Tablet, str]:
    """The screen of an amount, as the technician comes to it from Done."""
    one = tablet("Tech 1", viewport=PHONE)
    key = begun(one)
    one.key_to("Start this step")
    expect(one.page.get_by_role("button", name="Done", exact=True)).to_be_visible()
    served.on(minutes=20)
    one.page.reload()
    one.key_to("Done")
    one.page.wait_for_url("**/amount/1/1")
    return one, key


def test_as_planned_is_one_tap_and_can_be_taken_back(amount: tuple[Tablet, str], served: Served) -> None:
    one, key = amount
    one.looked_at()
    one.key_to("As planned")
    expect(one.page.get_by_text("Written down: 25 mL, lot W-1")).to_be_visible()
    (line,) = records(served, key)
    assert (line.kind, line.basis, line.typed, line.lot, line.job, line.step, line.who) == (
        "use", "guessed", "25 mL", "W-1", "patch", "Wipe the hull", "Tech 1",
    )  # fmt: skip
    assert line.note == "as planned, 20 mL to 30 mL"
    one.looked_at()
    press(one.page, "Take it back")
    expect(one.page.locator("#amount")).to_be_visible()
    (line,) = records(served, key)
    assert line.reversed_by, "the line stays, and another takes it back"


def test_the_pad_writes_what_was_tapped_and_no_more_than_a_number(amount: tuple[Tablet, str], served: Served) -> None:
    one, key = amount
    pad = one.page.locator("[data-pad]")
    for sign in ("2", "2", ".", "5", "."):
        pad.filter(has_text=re.compile(f"^{re.escape(sign)}$")).click()
    expect(one.page.locator("#amount")).to_have_value("22.5")
    for _ in range(9):
        pad.filter(has_text=re.compile("^1$")).click()
    assert len(one.page.locator("#amount").input_value()) == 7
    for _ in range(3):
        one.page.locator("[data-pad=back]").click()
    expect(one.page.locator("#amount")).to_have_value("22.5")
    assert one.page.locator("select").count() == 1, "there is no unit to choose"
    press(one.page, "I know it: write it down")
    expect(one.page.get_by_text("Written down: 22.5 mL")).to_be_visible()
    (line,) = records(served, key)
    assert (line.typed, line.basis) == ("22.5 mL", "measured")


def test_what_is_typed_is_never_lost_to_news(amount: tuple[Tablet, str], tablet: Make, served: Served) -> None:
    """The screen was once drawn anew while a number was being typed, and the number was gone."""
    one, key = amount
    for sign in "22":
        one.page.locator(f"[data-pad='{sign}']").click()
    other = tablet("Tech 2")
    assert other.open("/who")
    assert tapped(other, key, "begin", 1, 1) == 303
    time.sleep(7)
    expect(one.page.locator("#amount")).to_have_value("22")


def test_a_slipped_digit_is_asked_about_once_and_kept_as_it_was_said(
    amount: tuple[Tablet, str], served: Served
) -> None:
    one, key = amount
    one.page.locator("#amount").fill("250")
    press(one.page, "I know it: write it down")
    expect(one.page.get_by_text("Meant 25 mL?")).to_be_visible()
    assert records(served, key) == []
    one.looked_at()
    said = {name: one.page.locator(f"input[name={name}]").first.input_value() for name in ("key", "lot")}
    one.post(urlsplit(one.page.url).path, way="measured", amount="400", sure="250 mL", **said)
    assert records(served, key) == [], "an amount that nobody was asked about overruled what speaks against it"
    press(one.page, "It was 250 mL")
    expect(one.page.get_by_text("Written down: 250 mL")).to_be_visible()
    (line,) = records(served, key)
    assert line.typed == "250 mL"
    assert line.note == "asked and said to be so"


# ---------------------------------------------------------------- 14 to 16: lost, killed, at once


def test_a_tap_without_network_is_kept_with_its_time_and_sent_once(tablet: Make, served: Served) -> None:
    one = tablet("Tech 1")
    one.expected = ("Failed to load", "ERR_INTERNET_DISCONNECTED")
    key = begun(one)
    press(one.page, "Start this step")
    expect(one.page.get_by_role("button", name="Done", exact=True)).to_be_visible()
    one.context.set_offline(True)
    before = served.now()
    press(one.page, "Done")
    after = served.now()
    strip = one.page.locator("#strip")
    expect(strip).to_contain_text("1 tap waits on this tablet")
    one.page.get_by_role("link", name="Emergency").click()
    expect(one.page.get_by_role("dialog").get_by_text("Eyewash")).to_be_visible()
    one.page.get_by_role("button", name="Back").click()
    large = one.page.locator(".clocks .digits").first
    told = seconds(large.inner_text())
    one.page.reload()
    expect(one.page.get_by_role("heading", name="Wipe the hull")).to_be_visible()
    assert told - 60 < seconds(large.inner_text()) <= told, "the clock of a page that was kept goes on"
    expect(one.page.get_by_role("button", name="Done", exact=True)).to_be_disabled()
    expect(strip).to_contain_text("No connection")
    one.page.get_by_role("link", name="Emergency").click()
    expect(one.page.get_by_role("dialog").get_by_text("Eyewash")).to_be_visible()
    one.page.get_by_role("button", name="Back").click()
    time.sleep(5)
    one.context.set_offline(False)
    one.page.wait_for_url("**/amount/1/1", timeout=20_000)
    (begin, end) = kept(served, key)
    assert (begin.kind, end.kind) == ("begin", "end")
    made = end.at.astimezone().replace(tzinfo=None)
    assert before - timedelta(seconds=3) <= made <= after + timedelta(seconds=3)
    assert (end.heard - end.at).total_seconds() > 5
    assert end.who == "Tech 1"


def test_a_tap_waits_for_a_name_that_has_run_out(tablet: Make, served: Served) -> None:
    """It was put aside as what cannot be kept: the tablet had nobody's session when it was sent."""
    one = tablet("Tech 1")
    one.expected = ("403",)
    key = begun(one)
    one.context.clear_cookies()
    press(one.page, "Start this step")
    one.page.wait_for_url("**/who")
    expect(one.page.locator("#strip")).to_contain_text("1 tap waits on this tablet")
    one.page.locator("#other").fill("Tech 2")
    press(one.page, "That is me")
    one.page.wait_for_url(served.address)
    expect(one.page.locator("#strip")).to_be_hidden(timeout=15_000)
    (line,) = kept(served, key)
    assert (line.kind, line.who, line.note) == ("begin", "Tech 2", "tapped as Tech 1")


def test_after_sleep_and_by_a_wrong_clock_the_digits_are_right_at_once(tablet: Make, served: Served) -> None:
    """A tablet 7 min ahead that slept for a minute: nothing can be pressed before it has heard the time."""
    one = tablet()
    one.page.clock.install(time=time.time() + served.ahead + 7 * 60)
    one.name("Tech 1")
    key = begun(one)
    assert tapped(one, key, "begin", 0) == 303
    one.open(f"/run/{key}")
    digits = one.page.locator("[data-until]").first

    def left() -> float:
        return float(digits.get_attribute("data-until") or 0) - served.now().timestamp()

    one.page.clock.run_for(300)
    assert abs(seconds(digits.inner_text()) - left()) <= 2
    served.on(seconds=60)
    one.page.clock.fast_forward(60_000)
    expect(digits).not_to_have_text("-:--")
    assert abs(seconds(digits.inner_text()) - left()) <= 2


def test_a_tap_outlives_a_killed_server(tablet: Make, served: Served) -> None:
    """Whether it was killed before, while or after it kept the tap: there is one line, with the time it was made."""
    one = tablet("Tech 1")
    one.expected = ("Failed to load", "ERR_CONNECTION", "ERR_EMPTY")
    key = begun(one)
    port = int(served.address.rstrip("/").rsplit(":", 1)[1])
    press(one.page, "Start this step")
    served.end(signal.SIGKILL)
    served.begin(port)
    expect(one.page.get_by_role("button", name="Done", exact=True)).to_be_visible(timeout=40_000)
    (line,) = kept(served, key)
    assert line.kind == "begin"


def test_of_two_taps_at_once_one_counts_and_the_other_is_told(tablet: Make, served: Served) -> None:
    first, second = tablet("Tech 1"), tablet("Tech 2")
    key = begun(first)
    second.open(f"/run/{key}")
    second.expected = first.expected = ("409",)
    for one in (first, second):
        one.page.get_by_role("button", name="Start this step").click(no_wait_after=True)
    for one in (first, second):
        expect(one.page.get_by_role("button", name="Done", exact=True)).to_be_visible(timeout=20_000)
    (line,) = kept(served, key)
    other = second if line.who == "Tech 1" else first
    expect(other.page.get_by_text(f"{line.who} was first.")).to_be_visible()


# ---------------------------------------------------------------- 8: doors


def test_other_doors_make_another_sheet_and_stop_what_must_stop(tablet: Make, served: Served) -> None:
    one = tablet("Tech 1")
    key = begun(one)
    press(one.page, "Start this step")
    expect(one.page.get_by_role("button", name="Done", exact=True)).to_be_visible()
    one.page.get_by_role("link", name="Doors changed").click()
    one.looked_at()
    press(one.page, "gate shut")
    one.page.wait_for_url(f"**/run/{key}")
    expect(one.page.get_by_text("The real times are being worked out")).to_have_count(0, timeout=60_000)
    (_, air) = kept(served, key)
    assert (air.kind, air.value) == ("air", "gate shut")
    one.looked_at()
