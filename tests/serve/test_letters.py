"""Every screen in other letters, on the narrowest tablet: no word is left that nobody can translate, and nothing is cut."""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterator
from datetime import datetime
from functools import cache
from urllib.parse import urlsplit

import pytest
import tomli
from playwright.sync_api import Browser as Chromium
from playwright.sync_api import Route

from safety.ledger.drafts import Draft, read_draft
from safety.ledger.entries import record
from safety.ledger.store import open_ledger
from safety.serve import app
from safety.words import Speech, speaking
from tests.serve import inside
from tests.serve.conftest import NARROW
from tests.serve.inside import Near, desk_of
from tests.serve.shop import slipway
from tests.serve.test_people import PEOPLE
from tests.words.test_pages import RULE_CODES, OtherLetters, as_written, strings


class Kept(OtherLetters):
    """Each message is put into other letters once."""

    gettext = cache(OtherLetters.gettext)


OTHER = Speech("es", Kept())
#: What stands on a screen in every language: what languages call themselves, keys of the files, and signs.
SIGNS = ("english", "español", "deutsch", "hazstep", "key=value")


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[inside.Browser, str]]:
    """Somebody with every office, in the midst of a run, whose page is in other letters."""
    folder = slipway(tmp_path_factory.mktemp("slipway") / "shop")
    roles = PEOPLE.replace('roles = ["officer"]', 'roles = ["officer", "office"]')
    (folder / "shop.toml").write_text((folder / "shop.toml").read_text() + roles)
    now = datetime(2026, 12, 2, 13, 5, 20).timestamp()
    clock = [now]
    with pytest.MonkeyPatch.context() as patched, speaking(OTHER):
        patched.setattr(app, "speech", lambda language: OTHER)
        desk = desk_of(folder, lambda: clock[0], Near(folder))
        fields = {"product": "wash", "amount": "5 kg", "lot": "W-1", "expires": "none", "who": "Stores"}
        draft = read_draft("receive", fields, desk.shop(), desk.local(now - 86_400))
        assert isinstance(draft, Draft)
        with open_ledger(desk.shop(), create=True) as ledger:
            record(ledger, [draft])
        one = inside.Browser(desk)
        assert one.named("Officer 1") == 303
        run = f"r-{secrets.token_hex(8)}"
        ticks = {f"tick-{number}": "yes" for number in range(9)}
        one.get("/who")
        assert one.post("/job/patch/start", {"key": run, "air": "gate open", **ticks}) == 303
        for kind, step, coat, minutes in (("begin", 0, 0, 20), ("end", 0, 0, 0), ("begin", 1, 1, 1)):
            one.get("/who")
            told = {"kind": kind, "step": str(step), "coat": str(coat), "key": f"d-{secrets.token_hex(8)}", "sure": "y"}
            assert one.post(f"/run/{run}/tap", told) == 303
            clock[0] += minutes * 60
        yield one, run
        desk.close()


PATHS = (
    "/who",
    "/",
    "/job/patch",
    "/job/patch/before",
    "/job/patch/before?air=gate+open",
    "/run/RUN",
    "/run/RUN/doors",
    "/run/RUN/amount/1/1",
    "/run/RUN/weigh/2/1",
    "/run/RUN/waste",
    "/run/RUN/done",
    "/emergency",
    "/review",
    "/job/patch/what-if",
    "/job/patch/least",
    "/stock",
    "/record/receive",
    "/files",
    "/tablets",
)
#: Of these the sentences of the log and of the files' keys are English in every language: see docs/serve.md.
IN_ENGLISH = ("/month/2026-12", "/files/jobs/patch/step.0")


def test_no_word_is_left_and_nothing_is_cut(bench: tuple[inside.Browser, str], browser: Chromium) -> None:
    one, run = bench
    known = sorted({*as_written(), *SIGNS, *_of_the_shop(one)}, key=len, reverse=True)
    context = browser.new_context(viewport=NARROW, has_touch=True, service_workers="block")

    def answered(route: Route) -> None:
        url = urlsplit(route.request.url)
        status = one.get(f"{url.path}?{url.query}" if url.query else url.path)
        route.fulfill(status=status, body=one.raw, headers=one.headers)

    context.route("**/*", answered)
    page, left, cut = context.new_page(), {}, {}
    for path in (*PATHS, *IN_ENGLISH):
        page.goto(f"http://{inside.HOST}{path.replace('RUN', run)}")
        text = page.locator("main").inner_text()
        words = set(re.findall(r"[a-z]{4,}", RULE_CODES.sub("~", _without(text.casefold(), known))))
        if words and path not in IN_ENGLISH:
            left[path] = words
        found = page.evaluate(CUT)
        if found:
            cut[path] = found
    context.close()
    assert left == {}
    assert cut == {}


#: What lies outside the window, or inside a box that shows less than it holds.
CUT = """() => [
  ...[...document.querySelectorAll("main *")].filter((one) => {
    const box = one.getBoundingClientRect(), own = getComputedStyle(one);
    if (!box.width || one.closest(".scroll, svg, select, pre, [hidden], details:not([open]) > :not(summary)")) return false;
    if (box.right > innerWidth + 1 || box.left < -1) return true;
    return own.overflowX === "hidden" && one.scrollWidth > one.clientWidth + 1;
  }).map((one) => one.outerHTML.slice(0, 80)),
  ...(document.documentElement.scrollWidth > innerWidth ? ["the page"] : []),
]"""


def _of_the_shop(one: inside.Browser) -> set[str]:
    folder = one.desk.folder
    files = sorted(folder.rglob("*.toml"))
    return {text.casefold() for path in files for text in (path.stem, *strings(tomli.loads(path.read_text())))}


def _without(text: str, known: list[str]) -> str:
    for phrase in known:
        if len(phrase) > 1:
            text = text.replace(phrase, "~")
    return text
