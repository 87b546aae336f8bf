"""The page as a technician sees it: one test for each thing that has to be true of it, in a real browser."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import expect

from safety.files.reading import read_shop
from tests import demo
from tests.serve.conftest import LYING, NARROW, PHONE, TABLET, Served, Tablet, sheets

Make = Callable[..., Tablet]


def everything_worked_out(one: Tablet) -> None:
    one.open("/")
    expect(one.page.get_by_text("is being worked out")).to_have_count(0, timeout=150_000)


# ---------------------------------------------------------------- 1, 2: Today


def test_today_says_what_the_sheets_say(tablet: Make, served: Served) -> None:
    one = tablet("Tech 1")
    everything_worked_out(one)
    found = {}
    for card in one.page.locator("article.card").all():
        title = card.get_by_role("heading").inner_text()
        found[title] = [state.inner_text() for state in card.locator(".state").all()]
        assert card.locator(".state svg").count() == len(found[title]), "a word without its shape"
    wanted, order = {}, []
    for job in demo.JOBS:
        told = sheets(served, job)
        stop = ["STOP - do not start"] if told["stops"] else []
        unknown = [] if told["complete"] else ["UNKNOWN"]
        wanted[told["job"]["title"]] = stop + unknown or ["Controls needed"]
        order.append((not stop, not unknown, told["job"]["title"]))
    assert found == wanted
    assert [title in [t for s, _, t in order if not s] for title in found] == sorted(
        (title in [t for s, _, t in order if not s] for title in found), reverse=True
    ), "what must not start stands first"
    one.looked_at()


def test_a_stop_has_no_start(tablet: Make, served: Served) -> None:
    one = tablet("Tech 1")
    for job in ("boot-replacement-fuel-hot", "floor-adhesive-removal"):
        everything_worked_out(one)
        told = sheets(served, job)
        card = one.page.locator("article.card", has_text=told["job"]["title"])
        assert card.get_by_role("link", name="Before start").count() == 0
        for finding in told["stops"][:1]:
            assert finding["topic"]
        card.get_by_role("link", name="Look").click()
        expect(one.page.get_by_role("heading", level=1)).to_have_text(told["job"]["title"])
        assert one.page.get_by_role("button", name="Start").count() == 0
        assert one.page.locator(f'[href*="/job/{job}/before"], [action*="/start"]').count() == 0
        one.looked_at()
        state = read_shop(served.shop).places[told["job"]["place"]].airs[0].state
        ticks = {f"tick-{n}": "yes" for n in range(9)}
        one.open("/who")
        assert one.post(f"/job/{job}/start", key="r-0123456789abcdef", air=state, **ticks) == 409


# ---------------------------------------------------------------- 18: help


def test_help_is_one_tap_away_and_needs_no_network(tablet: Make, served: Served) -> None:
    one = tablet("Tech 1")
    one.expected = ("Failed to load", "ERR_INTERNET_DISCONNECTED")
    for path in ("/", "/job/boot-replacement", "/who"):
        one.open(path)
        one.context.set_offline(True)
        for size in (TABLET, LYING, PHONE, NARROW):
            one.page.set_viewport_size(size)
            one.page.get_by_role("link", name="Emergency").click()
            dialog = one.page.get_by_role("dialog")
            expect(dialog.get_by_text("9-911")).to_be_in_viewport()
            expect(dialog.get_by_text("Eyewash")).to_be_in_viewport()
            for what in ("Eyes", "Skin", "Breathed in", "Fire", "Spill", "Swallowed"):
                tile = dialog.locator("summary", has_text=what)
                if size is not NARROW:
                    expect(tile).to_be_in_viewport(ratio=0.98)
                if path == "/":
                    tile.click()
                    assert 2 <= dialog.locator("details[open] li").count() <= 5
                    tile.click()
            dialog.get_by_role("button", name="Back").click()
            expect(dialog).to_be_hidden()
        one.context.set_offline(False)
    for size in (TABLET, PHONE, NARROW):
        one.page.set_viewport_size(size)
        one.open("/emergency")
        one.looked_at()


# ---------------------------------------------------------------- 25: languages


def test_two_tablets_speak_two_languages_at_once(tablet: Make, served: Served) -> None:
    english, spanish = tablet("Tech 1"), tablet()
    spanish.open("/who")
    spanish.page.get_by_role("button", name="Español").click()
    spanish.page.locator("#other").fill("Tech 2")
    spanish.page.locator("form:has(#other) button").click()
    spanish.page.wait_for_url(served.address)
    for one, word, other in ((english, "Breathing", "Respir"), (spanish, "Respir", "Breathing")):
        one.open("/job/laminate-wipe-down")
        expect(one.page.get_by_text(word).first).to_be_visible(timeout=120_000)
        assert other not in one.page.locator("main").inner_text()
        one.looked_at()
    assert spanish.page.locator("html").get_attribute("lang") == "es"
