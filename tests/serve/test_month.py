"""The month of the office: what the log says, in the same words, and the papers of it byte for byte."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import main
from safety.cli.demo import keep_records
from safety.ledger.drafts import SHAPES
from safety.model import FATES
from safety.serve.screens import recording
from tests import demo
from tests.serve.answers import browser
from tests.serve.inside import Browser

WORDS = "seven dry coats of varnish"


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("office") / "shop"
    shutil.copytree(demo.SHOP, folder, ignore=shutil.ignore_patterns("__pycache__"))
    keep_records(folder)
    return folder / "shop.toml"


@pytest.fixture(scope="module")
def office(shop: Path) -> Browser:
    return browser(shop, "Office 1")


def command(shop: Path, *arguments: str) -> str:
    return CliRunner().invoke(main, [*arguments, "--shop", str(shop.parent)]).stdout


@pytest.mark.parametrize("month", ["2026-10", "2026-11"])
def test_every_bar_says_what_the_log_says(office: Browser, shop: Path, month: str) -> None:
    log = json.loads(command(shop, "log", "--month", month, "--format", "json"))
    assert office.get(f"/month/{month}") == 200
    text = office.text
    limits = log["office"]["limits"]
    assert len(limits) > 5
    bars = [" ".join(part.split()) for part in text.split("Against each limit")[1].split("Must leave")]
    for one in limits:
        assert f"{one['name']} {one['state']} {one['shown']}" in bars[0]
    assert office.body.count('class="bar"') == len(limits)
    for one in log["office"]["leaving"]:
        assert f"{one['shown']} {one['what']}: {one['why']}" in text
    assert log["result"] in text
    assert all(line in text for line in log["missing"])
    assert ("INCOMPLETE" in text) == (not log["complete"])
    for one in log["office"]["counts"]:
        assert f"{one['count']} {one['state']}" in text
    for block in log["blocks"]:
        if block["key"].startswith("container:"):
            assert block["title"] in text
            assert all(cell in text for row in block["rows"] for cell in row)


def test_papers_are_those_of_the_commands(office: Browser, shop: Path, tmp_path: Path) -> None:
    pdf, csv, label = tmp_path / "log.pdf", tmp_path / "log.csv", tmp_path / "label.pdf"
    told = command(shop, "log", "--month", "2026-11", "--format", "json", "--pdf", str(pdf), "--csv", str(csv))
    command(shop, "label", "rags-1", "--month", "2026-11", "--pdf", str(label))
    for path, content, kind in (
        ("log.pdf", pdf.read_bytes(), "application/pdf"),
        ("log.csv", csv.read_bytes(), "text/csv; charset=utf-8"),
        ("log.json", told.encode(), "application/json"),
        ("label/rags-1", label.read_bytes(), "application/pdf"),
    ):
        assert office.get(f"/month/2026-11/{path}") == 200
        assert office.headers["content-type"] == kind
        assert office.raw == content


@pytest.mark.parametrize(
    "path",
    ["/month/2026-13", "/month/x", "/month/0000", "/month/../shop", "/month/2026-11/log.toml",
     "/month/2026-11/label/..%2fshop", "/month/2026-11/label/nobody", "/month/2026/label/rags-1", "/record/use",
     "/record/nothing", "/correct/no-such-line"],
)  # fmt: skip
def test_what_is_no_period_no_paper_and_no_record_is_no_page(office: Browser, path: str) -> None:
    assert office.get(path) == 404


def test_what_was_collected_is_written_down_once_and_put_right(shop: Path, office: Browser) -> None:
    before = (shop.parent / "ledger.db").read_bytes()
    assert office.get("/stock") == 200
    assert (shop.parent / "ledger.db").read_bytes() == before, "reading wrote"
    fields = {"container": "rags-1", "basis": "weighed", "receiver": "Harbour Waste", "key": "d-ship1"}
    office.get("/record/ship")
    assert office.post("/record/ship", {**fields, "amount": "4"}) == 400
    assert 'aria-describedby="w-amount"' in office.body
    for _ in range(2):  # a page that is sent twice
        office.get("/record/ship")
        assert office.post("/record/ship", {**fields, "amount": "3 kg"}) == 303
        assert office.headers["location"] == "/month/2026-12/records"
    office.get("/month/2026-12/records")
    assert office.text.count("container collected") == 1
    assert "3 kg" in office.text
    assert "Office 1" in office.text
    office.get("/correct/d-ship1")
    assert office.post("/correct/d-ship1", {"amount": "2.5 kg", "why": "", "do": "correct"}) == 400
    assert office.post("/correct/d-ship1", {"amount": "2.5 kg", "why": "read it again", "do": "correct"}) == 303
    log = json.loads(command(shop, "log", "--month", "2026-12", "--format", "json"))
    shown = [(one["shown"]["typed"], bool(one["reverses"]), bool(one["replaces"])) for one in log["records"]]
    assert shown == [("3 kg", False, False), ("3 kg", True, False), ("2.5 kg", False, True)]


def test_a_log_is_kept_and_signed_by_the_office_and_a_sheet_is_not(shop: Path, office: Browser) -> None:
    office.get("/month/2026-10")
    assert office.post("/month/2026-10/keep") == 303
    log = office.headers["location"]
    office.desk.who.passphrases._cost = (4, 8, 1)
    office.desk.who.passphrases.keep("Office 1", WORDS)
    office.get("/who")
    assert office.named("Office 1", WORDS) == 303
    office.get(log)
    assert office.post(f"{log}/sign", {"passphrase": WORDS}) == 303
    office.get(log)
    assert "Signed by Office 1, environmental officer" in office.text
    sheet = office.desk.engine.ask({"ask": "freeze", "job": "laminate-wipe-down"})["id"]
    office.get("/who")
    assert office.post(f"/frozen/{sheet}/sign", {"passphrase": WORDS}) == 403


def test_every_field_of_a_record_has_its_words() -> None:
    """A field that was added to a record once took the whole page away."""
    named = {name for kind in recording.KINDS for name in SHAPES[kind].fields} - {"who"}
    assert named <= recording._LABELS.keys()
    words = {word for kind in recording.KINDS for word in (SHAPES[kind].ways or ())} | {*FATES[1:]}
    assert words <= recording._CHOICES.keys()


def test_the_books_are_not_for_a_technician(shop: Path) -> None:
    one = browser(shop, "Tech 1")
    for path in ("/month", "/month/2026-11", "/stock", "/record/ship", "/month/2026-11/log.pdf"):
        assert one.get(path) == 403
    one.get("/")
    assert "/month" not in one.body


@pytest.mark.parametrize(("language", "words"), [("es", "escriba más que cero"), ("de", "mehr als null schreiben")])
def test_what_is_wrong_with_a_record_is_said_in_the_language_of_the_tablet(
    shop: Path, language: str, words: str
) -> None:
    """It stood there in English on every tablet."""
    one = browser(shop, "Officer 1")
    one.get("/who")
    one.post("/language", {"language": language})
    one.get("/record/return")
    said = {"product": "acetone", "amount": "0 L", "lot": "none-such", "way": "stock", "basis": "measured"}
    assert one.post("/record/return", said) == 400
    assert words in one.text
