"""Who may do what on the page: names, offices, passphrases, and the lines that are kept of it."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import BAD_INPUT, main
from safety.ledger.runs import audits
from safety.ledger.store import open_ledger
from safety.serve import screens
from safety.serve.asked import Answer, Asked
from safety.serve.desk import Desk
from safety.serve.passphrases import WITHIN, WRONG, Passphrases, wanting
from safety.serve.screens import Way
from safety.serve.store import Store
from tests.serve.inside import Browser, desk_of
from tests.serve.shop import slipway

PEOPLE = """
[[person]]
id = "tech-1"
name = "Tech 1"
roles = []
[[person]]
id = "officer-1"
name = "Officer 1"
roles = ["officer"]
[[person]]
id = "office-1"
name = "Office 1"
roles = ["office"]
"""
WORDS = "four wet coats of primer"
MAY = {"officer": {"Officer 1"}, "office": {"Office 1"}, "desk": {"Officer 1", "Office 1"}}


class Clock:
    now = 1_796_100_000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture(autouse=True)
def offices(monkeypatch: pytest.MonkeyPatch) -> None:
    """A page for each office."""

    def done(desk: Desk, asked: Asked) -> Answer:
        return Answer("done")

    ways = [Way(method, f"/of/{role}", role, done) for role in MAY for method in ("GET", "POST")]  # type: ignore[arg-type]
    monkeypatch.setattr("safety.serve.app.ROUTES", (*screens.ROUTES, *ways))


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = slipway(tmp_path / "shop")
    (folder / "shop.toml").write_text((folder / "shop.toml").read_text() + PEOPLE)
    return folder


@pytest.fixture
def desk(shop: Path, clock: Clock) -> Desk:
    return desk_of(shop, clock)


def lines(desk: Desk) -> list[tuple[str, str, str]]:
    with open_ledger(desk.shop()) as ledger:
        return [(one.who, one.what, one.object) for one in audits(ledger)]


# ---------------------------------------------------------------- offices


@pytest.mark.parametrize("role", MAY)
@pytest.mark.parametrize("name", ["Tech 1", "Officer 1", "Office 1", "officer  1", "Somebody", "Officer1"])
def test_an_office_is_for_whom_the_list_has_it(desk: Desk, role: str, name: str) -> None:
    """A name in other capitals is the same name, and no name beside it has its office."""
    one = Browser(desk)
    assert one.named(name) == 303
    who = {"officer 1": "Officer 1"}.get(" ".join(name.split()), name)
    allowed = who in MAY[role]
    assert one.get(f"/of/{role}") == (200 if allowed else 403)
    one.get("/who")
    assert one.post(f"/of/{role}") == (200 if allowed else 403)
    if not allowed:
        assert (who, "refused", f"/of/{role}") in lines(desk), "nobody would ever learn that it was tried"


def test_without_a_list_everybody_is_a_technician(desk: Desk, shop: Path) -> None:
    file = shop / "shop.toml"
    file.write_text(file.read_text().replace(PEOPLE, ""))
    one = Browser(desk)
    one.named("Officer 1")
    assert [one.get(f"/of/{role}") for role in MAY] == [403, 403, 403]


def test_a_name_that_two_have_is_no_office(desk: Desk, shop: Path) -> None:
    file = shop / "shop.toml"
    file.write_text(file.read_text() + '[[person]]\nid = "other"\nname = "OFFICER 1"\n')
    one = Browser(desk)
    one.named("Officer 1")
    assert one.get("/of/officer") == 403


def test_a_list_with_mistakes_gives_no_office_and_holds_nobody_up(desk: Desk, shop: Path) -> None:
    one = Browser(desk)
    one.named("Officer 1")
    file = shop / "shop.toml"
    file.write_text(file.read_text().replace('["officer"]', '["boss"]'))
    assert one.get("/of/officer") == 403
    assert one.named("Officer 1") == 303
    assert one.get("/who") == 200
    assert "have mistakes" in one.body
    assert str(shop) not in one.body


def test_on_a_network_an_office_without_a_passphrase_is_none(shop: Path, clock: Clock) -> None:
    one = Browser(desk_of(shop, clock, alone=False))
    one.named("Officer 1")
    assert one.get("/of/officer") == 403


# ---------------------------------------------------------------- passphrases


@pytest.fixture
def secured(desk: Desk) -> Desk:
    desk.who.passphrases.keep("Officer 1", WORDS)
    return desk


def test_a_name_with_a_passphrase_is_taken_with_it_only(secured: Desk) -> None:
    one = Browser(secured)
    assert one.named("officer 1") == 200, "the passphrase is asked for"
    assert 'type="password"' in one.body
    assert one.get("/of/officer") == 303
    assert one.headers["location"] == "/who"
    assert one.named("Officer 1", "five wet coats of primer") == 403
    before = one.cookies["hazstep"]
    assert one.named("Officer 1", WORDS) == 303
    assert one.cookies["hazstep"] != before, "somebody could have laid the old cookie under them"
    assert one.get("/of/officer") == 200
    told = lines(secured)
    assert ("", "passphrase wrong", "Officer 1") in told
    assert ("", "passphrase", "Officer 1") in told
    assert WORDS not in str(told)


def test_an_office_shuts_where_nobody_asks_for_a_page_and_asks_for_the_passphrase(secured: Desk, clock: Clock) -> None:
    one = Browser(secured)
    one.named("Officer 1", WORDS)
    for _ in range(4):
        clock.now += 20 * 60
        assert one.get("/of/officer") == 200
    for _ in range(7):  # a page that lies open asks for news
        clock.now += 5 * 60
        one.get("/news")
    assert one.get("/of/officer") == 303
    assert one.headers["location"] == "/passphrase"
    one.get("/passphrase")
    assert one.post("/of/officer") == 403
    one.get("/passphrase")
    assert one.post("/passphrase", {"passphrase": WORDS}) == 303
    assert one.get("/of/officer") == 200


def test_a_session_of_before_the_passphrase_has_no_office(desk: Desk) -> None:
    one = Browser(desk)
    one.named("Officer 1")
    assert one.get("/of/officer") == 200
    desk.who.passphrases.keep("Officer 1", WORDS)
    assert one.get("/of/officer") == 303


def test_the_sixth_wrong_one_within_a_minute_is_not_looked_at(secured: Desk) -> None:
    one, other, elsewhere = Browser(secured), Browser(secured), Browser(secured, address="192.168.1.9")
    for _ in range(WRONG):
        assert one.named("Officer 1", "x" * 12) == 403, one.body
    assert one.named("Officer 1", "x" * 12) == 429
    assert one.named("Officer 1", WORDS) == 429, "else guessing would go on, and be told when it is right"
    assert other.named("Office 1") == 303, "who has none waits for nobody"
    assert elsewhere.named("Officer 1", WORDS) == 429, "another browser would be another five tries"
    clockless = Passphrases(Store(secured.folder), (4, 8, 1), clock=lambda: 0.0)
    assert clockless.check("Officer 1", WORDS, "here") == "right"


def test_after_a_minute_it_is_looked_at_again(tmp_path: Path) -> None:
    now = [0.0]
    known = Passphrases(Store(tmp_path), (4, 8, 1), clock=lambda: now[0])
    known.keep("A", WORDS)
    assert [known.check("A", "no", "here") for _ in range(WRONG + 1)] == [*["wrong"] * WRONG, "too many"]
    assert known.check("B", WORDS, "elsewhere") == "wrong", "a name that has none is looked at like any other"
    now[0] += WITHIN
    assert known.check("A", WORDS, "here") == "right"


def test_what_is_kept_is_no_passphrase_and_for_its_owner_only(secured: Desk) -> None:
    file = Store(secured.folder).file
    assert stat.S_IMODE(os.stat(file).st_mode) == 0o600
    assert WORDS.encode() not in file.read_bytes()


@pytest.mark.parametrize(
    "easy", ["", "short one", "aaaaaaaaaaaaaaaa", "abababababab", "Officer 1 Of", "officer of one"]
)
def test_what_is_found_too_easily_is_not_taken(easy: str) -> None:
    assert wanting(easy, "Officer of One") or easy == "Officer 1 Of"
    assert not wanting(WORDS, "Officer 1")


def test_a_passphrase_is_changed_with_the_old_one_and_ends_every_other_session(secured: Desk) -> None:
    one, other = Browser(secured), Browser(secured)
    one.named("Officer 1", WORDS)
    other.named("Officer 1", WORDS)
    new = {"new": "a long walk by the slip", "again": "a long walk by the slip"}
    one.get("/passphrase")
    assert one.post("/passphrase/new", {"passphrase": "wrong one, this is", **new}) == 403
    one.get("/passphrase")
    assert one.post("/passphrase/new", {"passphrase": WORDS, **new, "again": "another"}) == 400
    one.get("/passphrase")
    assert one.post("/passphrase/new", {"passphrase": WORDS, "new": "short", "again": "short"}) == 400
    one.get("/passphrase")
    assert one.post("/passphrase/new", {"passphrase": WORDS, **new}) == 303
    assert one.get("/of/officer") == 200
    assert other.get("/of/officer") == 303
    assert other.headers["location"] == "/who"
    assert ("Officer 1", "new passphrase", "Officer 1") in lines(secured)


def test_handed_over_it_is_nobodys(secured: Desk) -> None:
    one = Browser(secured)
    one.named("Officer 1", WORDS)
    old = dict(one.cookies)
    one.get("/who")
    assert one.post("/who/nobody") == 303
    assert one.get("/") == 303
    assert Browser(secured, cookies=old).get("/") == 303, "the old cookie is nobody's as well"


# ---------------------------------------------------------------- the command


def test_a_passphrase_is_given_at_the_machine(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("safety.serve.passphrases.COST", (4, 8, 1))
    monkeypatch.setattr(Passphrases.__init__, "__defaults__", ((4, 8, 1), lambda: 0.0))

    def run(name: str, typed: str) -> tuple[int, str]:
        done = CliRunner().invoke(
            main, ["serve", "--shop", str(shop), "--passphrase", name], input=f"{typed}\n{typed}\n"
        )
        return done.exit_code, done.output

    assert run("Officer 1", WORDS)[0] == 0
    assert WORDS not in run("Officer 1", WORDS)[1]
    assert Passphrases(Store(shop)).check("Officer 1", WORDS, "here") == "right"
    code, told = run("Officer 1", "short")
    assert (code, "found too easily" in told) == (BAD_INPUT, True)
    code, told = run("Oficer 1", WORDS)
    assert (code, 'did you mean "Officer 1"' in told or "Officer 1" in told) == (BAD_INPUT, True)
