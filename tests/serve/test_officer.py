"""The officer at the page: why, what if and the least change say what the commands say."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path
from time import sleep

import pytest
from click.testing import CliRunner

from safety.cli import main
from safety.compare import Alternative, compare, ranked, read_alternatives
from safety.ledger.runs import audits
from safety.ledger.store import open_ledger
from safety.render import compare as render
from safety.serve.sheet_records import tree
from safety.why import explain, references
from safety.workplace import Workplace
from tests.serve.answers import browser
from tests.serve.inside import Browser, desk_of
from tests.serve.shop import slipway

PEOPLE = """
[[person]]
id = "officer"
name = "Officer 1"
roles = ["officer"]
"""
SHUT = "job.air=gate shut"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = slipway(tmp_path_factory.mktemp("officer"))
    (folder / "shop.toml").write_text((folder / "shop.toml").read_text() + PEOPLE)
    return folder


@pytest.fixture(scope="module")
def officer(folder: Path) -> Browser:
    return browser(folder / "shop.toml", "Officer 1")


def lines(html: str) -> list[tuple[int, str]]:
    """The tree of a page, line by line: how deep each stands, and its words."""
    found, depth = [], 0
    for tag, words in re.findall(
        r"(</?ul>)|<span>(.*?)</span>", html.partition('class="tree"')[2].partition("</div>")[0]
    ):
        depth += {"<ul>": 1, "</ul>": -1}.get(tag, 0)
        if not tag:
            found.append((depth - 1, unescape(words)))
    return found


def test_why_is_the_tree_of_the_command_line_by_line(officer: Browser, folder: Path) -> None:
    report = Workplace.open(folder).assess("patch", draws=200)
    known = references(report)
    assert officer.get("/job/patch") == 200
    assert re.findall(r'data-here href="/job/patch/why/([\d.]+)"', officer.body) == sorted(
        known, key=lambda ref: int(ref.partition(".")[0])
    )
    for ref in [*known][:6]:
        node = explain(report, ref, known[ref])
        assert officer.get(f"/job/patch/why/{ref}") == 200
        told = [(len(line) - len(line.lstrip(" ")), line.lstrip(" ")) for line in node.lines()]
        assert lines(officer.body) == [(depth // 2, text.rstrip()) for depth, text in told]
        assert tree(node)["text"] in unescape(officer.body)


@pytest.mark.parametrize("ref", ["9.99", "x", "..%2f1", "1", "1.1.1"])
def test_a_reference_that_is_none_is_no_page(officer: Browser, ref: str) -> None:
    assert officer.get(f"/job/patch/why/{ref}") in (404, 409)


def test_columns_are_those_of_the_command(officer: Browser, folder: Path) -> None:
    place, path = Workplace.open(folder), folder / "jobs" / "patch.toml"
    (planned,) = place.planned([path])
    wanted = ranked(compare(place, path, [Alternative(""), *read_alternatives([SHUT], path, planned.job)], draws=200))
    assert officer.get("/job/patch/what-if?air=gate+shut") == 303
    assert officer.headers["location"] == "/job/patch/what-if?c1=job.air%3Dgate+shut"
    assert officer.get(officer.headers["location"]) == 200
    table = officer.body.partition("<table>")[2].partition("</table>")[0]
    rows = [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row) for row in re.findall(r"<tr>(.*?)</tr>", table, re.S)]
    told = render.columns(wanted)
    assert [[unescape(cell) for cell in row] for row in rows] == [
        ["What", *told["names"]],
        *told["rows"],
        *told["worn"],
    ]
    assert [one["alternative"] for one in render.record(wanted)] == told["names"]


def test_a_change_that_cannot_be_read_is_said_and_the_step_is_named_by_its_number(officer: Browser) -> None:
    assert officer.get("/job/patch/what-if?what=duration&step=1&value=45+min") == 303
    assert "step.1.duration%3D45+min" in officer.headers["location"]
    officer.get("/job/patch/what-if?own=job.nothing%3D3")
    assert officer.get(officer.headers["location"]) == 200


def test_the_least_change_shows_how_far_it_is_and_ends_when_it_is_cancelled(officer: Browser) -> None:
    assert officer.get("/job/patch/least") == 200
    assert officer.post("/job/patch/least") == 303
    officer.get("/job/patch/least")
    assert "So far: 0 %" in officer.text
    (work,) = officer.desk.works.values()
    work.share = 0.25
    version = re.findall(r'data-version="([^"]*)"', officer.body)
    officer.get("/job/patch/least/news")
    assert version[0] not in officer.body, "the page would not be drawn anew"
    officer.get("/job/patch/least")
    assert "So far: 25 %" in officer.text
    officer.get("/job/patch/least")
    assert officer.post("/job/patch/least/cancel") == 303
    assert work.done
    officer.get("/job/patch/least")
    assert "Look for it" in officer.text


def test_what_was_found_is_said_by_what_is_to_go(officer: Browser) -> None:
    officer.post("/job/patch/least")
    (work,) = officer.desk.works.values()
    about = {"step": "Prime", "finding": "Half mask", "level": "control", "key": "mask", "kind": "substitution"}
    does = {"control": "using less", "helps": True, "words": "use at most 20 %", "new_stops": 1}
    fails = {"control": "more clean air", "helps": False, "words": "", "new_stops": 0}
    work.run(lambda told: {"proposals": [{**about, **does}, {**about, **fails}]})
    assert officer.get("/job/patch/least") == 200
    assert "Half mask Prime use at most 20 % (but it brings 1 new stops)" in officer.text
    assert "No amount of this alone does it: more clean air." in officer.text


def test_none_of_it_is_for_a_technician(folder: Path) -> None:
    one = browser(folder / "shop.toml", "Tech 1")
    for path in ("/job/patch/why/1.1", "/job/patch/what-if", "/job/patch/least"):
        assert one.get(path) == 403
    one.get("/who")
    assert one.post("/job/patch/least") == 403


# ---------------------------------------------------------------- signing

WORDS = "seven dry coats of varnish"


@pytest.fixture
def kept(folder: Path, officer: Browser) -> str:
    """A sheet that was kept at the start of a job."""
    id: str = officer.desk.engine.ask({"ask": "freeze", "job": "patch"})["id"]
    return id


def listed(id: str) -> str:
    return CliRunner().invoke(main, ["sheet", "--frozen", id], catch_exceptions=False).stdout


def test_an_officer_signs_with_the_passphrase_and_the_command_lists_it(
    folder: Path, officer: Browser, kept: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder)
    officer.desk.who.passphrases._cost = (4, 8, 1)
    page, to = f"/frozen/{kept}", f"/frozen/{kept}/sign"
    officer.get("/review")
    assert page in officer.body
    assert officer.get(page) == 200
    officer.get("/who")
    assert officer.post(to, {"passphrase": ""}) == 409, "a name that anybody can tap is no signature"
    officer.desk.who.passphrases.keep("Officer 1", WORDS)
    officer.get("/who")
    assert officer.named("Officer 1", WORDS) == 303
    officer.get(page)
    assert "This is late" in officer.text, "the plan was for a day in November"
    assert officer.post(to, {"passphrase": "something else"}) == 403
    assert "Nobody has signed it." in listed(kept)
    assert officer.post(to, {"passphrase": WORDS, "note": "seen late"}) == 303
    told = listed(kept)
    assert "Signed by Officer 1, safety officer, 2026-12-01T09:00:00" in told
    assert "LATE, after the job had begun (seen late)" in told
    officer.get("/review")
    assert page not in officer.body
    with open_ledger(officer.desk.shop()) as ledger:
        assert ("Officer 1", "signed", kept) in [(one.who, one.what, one.object) for one in audits(ledger)]
    officer.get(f"{page}/pdf")
    assert officer.raw.startswith(b"%PDF")


def test_a_sheet_is_kept_from_its_page(officer: Browser) -> None:
    officer.get("/job/patch")
    assert officer.post("/job/patch/keep") == 303
    assert officer.get(officer.headers["location"]) == 200
    assert "Bond the patch" in officer.text


def test_a_technician_signs_nothing_and_the_try_is_written_down(folder: Path, kept: str) -> None:
    one = browser(folder / "shop.toml", "Tech 1")
    one.get("/who")
    assert one.post(f"/frozen/{kept}/sign", {"passphrase": WORDS}) == 403
    with open_ledger(one.desk.shop()) as ledger:
        found = [(line.who, line.what, line.object) for line in audits(ledger)]
    assert ("Tech 1", "refused", "/frozen/{id}/sign") in found


def test_who_was_hurt_stands_first_in_review(officer: Browser) -> None:
    officer.get("/emergency?job=patch")
    assert officer.post("/hurt", {"job": "patch", "key": "h-0123456789abcdef"}) == 303
    officer.get("/review")
    first = officer.body.partition('class="queue"')[2].partition("</li>")[0]
    assert "SOMEBODY IS HURT" in first
    assert "patch, told by Officer 1" in first


@pytest.mark.parametrize("id", ["..", "0" * 64, "%", "shop.toml", "ab"])
def test_what_is_no_id_of_a_kept_sheet_is_no_page(officer: Browser, id: str) -> None:
    assert officer.get(f"/frozen/{id}") == 404


@pytest.fixture
def unanswered(tmp_path: Path) -> Browser:
    """An officer at a page whose engine has no answer."""
    shop = slipway(tmp_path)
    (shop / "shop.toml").write_text((shop / "shop.toml").read_text() + PEOPLE)
    one = Browser(desk_of(shop, lambda: 1_796_115_600.0))
    one.named("Officer 1")
    return one


def test_a_sheet_that_is_not_there_yet_waits_in_review(unanswered: Browser) -> None:
    """ "Nothing waits." stood there while every sheet was still being worked out."""
    unanswered.get("/review")
    assert "Nothing waits" not in unanswered.text
    assert "UNKNOWN Bond the patch: This sheet" in unanswered.text


def test_what_if_says_that_it_cannot_be_worked_out(unanswered: Browser) -> None:
    """The page stood there without a table and without a word."""
    page, question = "/job/patch/what-if?c1=job.air%3Dgate+shut", {"ask": "compare", "job": "patch", "changes": [SHUT]}
    unanswered.get(page)
    for _ in range(1000):
        if unanswered.desk.failed(question):
            break
        sleep(0.01)
    unanswered.get(page)
    assert "This cannot be worked out" in unanswered.text


def test_a_ledger_that_cannot_be_read_is_not_one_without_records(unanswered: Browser) -> None:
    """The stock was not known "because there are no records yet"."""
    (unanswered.desk.folder / "ledger.db").write_bytes(b"no ledger" * 1000)
    assert unanswered.get("/stock") == 503
    assert "no records yet" not in unanswered.text


def test_a_change_that_helps_is_made_the_plan_in_its_form_and_not_before(officer: Browser, folder: Path) -> None:
    """It had to be typed again into the file it belongs to."""
    job = folder / "jobs" / "patch.toml"
    before = job.read_text()
    officer.get("/job/patch/what-if?c1=step.1.duration%3D45+min&c2=job.air%3Dgate+shut&c3=no+key")
    found = [unescape(one) for one in re.findall(r'href="(/files/[^"]*)">Make it the plan', officer.body)]
    assert found == ["/files/jobs/patch/step.0?f-duration=45+min", "/files/jobs/patch/job?f-air=gate+shut"]
    assert officer.get(found[0]) == 200
    assert '+ duration = "45 min"' in unescape(officer.body)
    assert 'value="save" disabled' not in officer.body
    assert job.read_text() == before
