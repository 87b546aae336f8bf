"""One browser and one served shop for all tests of the page; the page's clock is moved by the tests."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from safety.cli.demo import keep_records
from tests import demo

ROOT = Path(__file__).parents[2]
MISSING = "no browser on this machine: apt-get install -y chromium, or name one in HAZSTEP_BROWSER"
TABLET = {"width": 810, "height": 1080}
LYING = {"width": 1280, "height": 800}
PHONE = {"width": 390, "height": 844}
NARROW = {"width": 320, "height": 640}


def find_browser() -> str:
    named = os.environ.get("HAZSTEP_BROWSER", "")
    found = next(filter(None, map(shutil.which, filter(None, (named, "chromium", "chromium-headless-shell")))), None)
    if found is None:
        if os.environ.get("CI"):
            pytest.fail(MISSING)
        pytest.skip(MISSING)
    return found


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = find_browser()
    with sync_playwright() as playwright:
        flags = ["--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-sandbox"]
        browser = playwright.chromium.launch(executable_path=path, args=flags)
        expect.set_options(timeout=30_000)  # of a machine that has other things to do
        yield browser
        browser.close()


# ---------------------------------------------------------------- the served shop


@dataclass
class Served:
    """A shop whose page is served by a process of its own."""

    folder: Path
    ahead: float = 0.0  # s of the page's clock before the machine's
    process: subprocess.Popen[str] | None = None
    address: str = ""

    @property
    def shop(self) -> Path:
        return self.folder / "shop.toml"

    @property
    def _clock(self) -> Path:
        return self.folder / "clock.txt"

    def now(self) -> datetime:
        return datetime.fromtimestamp(time.time() + self.ahead)

    def set(self, moment: datetime) -> None:
        """Set the page's clock."""
        self.ahead = moment.timestamp() - time.time()
        self._write()

    def on(self, **later: float) -> None:
        """Let time pass for the page."""
        self.ahead += timedelta(**later).total_seconds()
        self._write()

    def _write(self) -> None:
        beside = self._clock.with_suffix(".new")
        beside.write_text(f"{self.ahead:.3f}")
        beside.replace(self._clock)

    def begin(self, port: int = 0) -> None:
        self._write()
        command = (sys.executable, "-m", "tests.serve.server", str(self.shop), str(self._clock), str(port))
        self.process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)
        assert self.process.stdout is not None
        self.address = self.process.stdout.readline().strip()
        assert self.address.startswith("http://127.0.0.1:"), "the server did not begin"

    def end(self, how: signal.Signals = signal.SIGINT) -> None:
        assert self.process is not None
        own = children(self.process.pid)
        self.process.send_signal(how)
        self.process.wait(15)
        if self.process.stdout:
            self.process.stdout.close()
        until = time.monotonic() + 10
        while any(alive(pid) for pid in own) and time.monotonic() < until:
            time.sleep(0.05)
        assert not [pid for pid in own if alive(pid)], "a process of the engine outlived its page"

    def ask(self, path: str, **headers: str) -> tuple[int, dict[str, str], str]:
        """A bare GET, as no browser sends it."""
        from http.client import HTTPConnection

        host, port = self.address.removeprefix("http://").rstrip("/").split(":")
        connection = HTTPConnection(host, int(port), timeout=10)
        try:
            connection.putrequest("GET", path, skip_host="Host" in headers)
            for name, value in headers.items():
                connection.putheader(name, value)
            connection.endheaders()
            answer = connection.getresponse()
            return answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read().decode("utf-8")
        finally:
            connection.close()


def children(pid: int) -> list[int]:
    """Every process under one, where the system tells."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            if int(stat.read_text().rsplit(")", 1)[1].split()[1]) == pid:
                found += [int(stat.parent.name), *children(int(stat.parent.name))]
        except (OSError, IndexError, ValueError):
            continue
    return found


def alive(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


def demo_shop(folder: Path) -> Served:
    shutil.copytree(demo.SHOP, folder, ignore=shutil.ignore_patterns("__pycache__"))
    keep_records(folder)
    served = Served(folder)
    served.set(datetime(2026, 12, 1, 7, 0))
    return served


@pytest.fixture(scope="session")
def served(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    served = demo_shop(tmp_path_factory.mktemp("served") / "shop")
    served.begin()
    yield served
    served.end()


# ---------------------------------------------------------------- tablets


@dataclass
class Tablet:
    """A browser of its own, that hears every error of its pages."""

    served: Served
    context: BrowserContext
    page: Page
    errors: list[str] = field(default_factory=list)
    expected: tuple[str, ...] = ()

    def open(self, path: str = "/") -> Page:
        self.page.goto(self.served.address.rstrip("/") + path)
        return self.page

    def name(self, who: str) -> Tablet:
        self.open("/who")
        self.page.fill("#other", who)
        self.page.get_by_role("button", name="That is me").click()
        self.page.wait_for_url(self.served.address)
        return self

    def post(self, path: str, **form: str) -> int:
        """A POST of this browser made by hand, with the token of its pages."""
        origin = self.served.address.rstrip("/")
        token = self.page.locator("input[name=token]").first.get_attribute("value")
        fields: dict[str, Any] = {"token": token, **form}
        return self.context.request.post(origin + path, form=fields, headers={"Origin": origin}, max_redirects=0).status

    def key_to(self, name: str) -> None:
        """Press what has this name, by the keyboard alone; on the way the focus is seen, and never under the foot."""
        for _ in range(60):
            self.page.keyboard.press("Tab")
            where, seen = self.page.evaluate(FOCUS)
            assert seen, f"the focus is not seen: {where}"
            if where.startswith(name):
                self.page.keyboard.press("Enter")
                return
        raise AssertionError(f"no way by the keyboard to: {name}")

    def looked_at(self) -> None:
        """What holds for every page that is shown."""
        violations = Axe().run(self.page).response["violations"]
        assert [(one["id"], one["nodes"][0]["html"]) for one in violations] == []
        text = self.page.locator("body").inner_text()
        assert "&lt;" not in text
        assert "<" not in text.replace("<=", "")
        wide = self.page.evaluate("() => [document.documentElement.scrollWidth, innerWidth]")
        assert wide[0] <= wide[1], "the page scrolls sideways"


#: What has the focus, and whether somebody sees that it has: a line around it, in the window, and no foot over it.
FOCUS = """() => {
  const one = document.activeElement, box = one.getBoundingClientRect(), own = getComputedStyle(one);
  if (one === document.body) return ["", true];
  const foot = document.querySelector("#foot, .foot"), under = foot && !foot.contains(one) && getComputedStyle(foot).position === "sticky"
    && box.bottom > foot.getBoundingClientRect().top + 1;
  const line = own.outlineStyle !== "none" && parseFloat(own.outlineWidth) >= 3;
  return [one.innerText || one.value || one.id, line && box.top > -1 && box.bottom < innerHeight + 1 && !under];
}"""


@pytest.fixture
def tablet(browser: Browser, served: Served) -> Iterator[Callable[..., Tablet]]:
    """Makes tablets; at the end none may have had an error that was not expected."""
    made: list[Tablet] = []

    def make(who: str = "", **options: Any) -> Tablet:
        context = browser.new_context(viewport=options.pop("viewport", TABLET), has_touch=True, **options)
        context.set_default_timeout(60_000)
        one = Tablet(served, context, context.new_page())
        one.page.on("console", lambda said: one.errors.append(said.text) if said.type == "error" else None)
        one.page.on("pageerror", lambda error: one.errors.append(str(error)))
        made.append(one)
        return one.name(who) if who else one

    yield make
    for one in made:
        one.context.close()
    left = [error for one in made for error in one.errors if not any(text in error for text in one.expected)]
    assert left == []


def sheets(served: Served, job: str, **asked: Any) -> dict[str, Any]:
    """What ``hazstep sheet --format json`` prints."""
    from safety.render import records
    from safety.workplace import Workplace

    told: dict[str, Any] = json.loads(
        json.dumps(records.sheet(Workplace.open(served.shop).assess(job, draws=demo.DRAWS, **asked)))
    )
    return told


__all__ = ["LYING", "NARROW", "PHONE", "TABLET", "Served", "Tablet", "sheets"]
