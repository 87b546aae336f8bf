"""The pages for a desk in a real browser: what needs the script, and what holds for every page."""

from __future__ import annotations

import time
from collections.abc import Callable

from playwright.sync_api import expect

from tests.serve.conftest import NARROW, TABLET, Served, Tablet

Make = Callable[..., Tablet]
PAGES = (
    "/review",
    "/month/2026-11",
    "/month/2026-11/records",
    "/stock",
    "/record/ship",
    "/files",
    "/files/shop/shop",
    "/files/shop/shop/place.0",
    "/job/boot-replacement/what-if",
    "/job/boot-replacement/least",
)


def test_every_page_can_be_read_by_everybody(tablet: Make) -> None:
    one = tablet("Officer 1")
    for path in PAGES:
        one.page.set_viewport_size(TABLET)
        one.open(path)
        expect(one.page.get_by_text("is being worked out")).to_have_count(0, timeout=150_000)
        one.looked_at()
        one.page.set_viewport_size(NARROW)
        one.looked_at()


def test_why_opens_in_place_and_gives_the_focus_back(tablet: Make) -> None:
    one = tablet("Officer 1")
    page = one.open("/job/laminate-wipe-down")
    expect(page.get_by_text("is being worked out")).to_have_count(0, timeout=120_000)
    page.locator("#all-1 > summary").click()
    own = page.locator("#all-1 .finding details").first
    own.locator("summary").click()
    expect(own.locator("li").first).to_be_visible()
    assert page.url.endswith("/job/laminate-wipe-down")
    own.get_by_role("button", name="Close").click()
    expect(own.locator("summary")).to_be_focused()
    expect(own.locator("li").first).to_be_hidden()
    own.locator("summary").press("Enter")
    expect(own.locator("li").first).to_be_visible()
    one.looked_at()


def test_the_least_change_shows_that_it_goes_on_and_ends_at_a_tap(tablet: Make, served: Served) -> None:
    """Pages stay quick meanwhile; and what was ended is gone."""
    one = tablet("Officer 1")
    page = one.open("/job/boot-replacement/least")
    begun = time.monotonic()
    page.get_by_role("button", name="Look for it").click()
    expect(page.get_by_role("progressbar")).to_be_visible()
    assert time.monotonic() - begun < 2
    took = []
    for _ in range(5):
        at = time.monotonic()
        assert served.ask("/who")[0] == 200
        took.append(time.monotonic() - at)
    assert sorted(took)[2] < 0.1
    begun = time.monotonic()
    page.get_by_role("button", name="Cancel").click()
    expect(page.get_by_role("button", name="Look for it")).to_be_visible()
    assert time.monotonic() - begun < 5
    one.looked_at()


def test_the_words_of_check_stand_under_a_field_while_one_types(tablet: Make) -> None:
    one = tablet("Officer 1")
    page = one.open("/files/shop/shop/place.0")
    field = page.get_by_label("volume")
    field.fill("2400")
    expect(page.locator("#w-volume")).to_contain_text("without a unit")
    expect(page.get_by_role("button", name="Save")).to_be_disabled()
    expect(field).to_be_focused()
    expect(field).to_have_value("2400")
    field.fill("2500 m^3")
    expect(page.locator("#w-volume")).to_have_text("")
    expect(page.locator(".diff")).to_contain_text('volume = "2500 m^3"')
    expect(page.get_by_role("button", name="Save")).to_be_enabled()
    one.looked_at()
