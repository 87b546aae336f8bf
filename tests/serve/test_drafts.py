"""A draft is confirmed beside the page of the data sheet it was read from, value by value."""

from __future__ import annotations

import io
import re
import shutil
from html import unescape
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

from safety.cli import main
from safety.datasheet.sources import Said, sheet_of, sources
from safety.files.toml import open_document
from safety.ledger.runs import audits
from safety.ledger.store import open_ledger
from tests import demo
from tests.datasheet.invented import PANEL, layout, pdf
from tests.serve.inside import Browser, desk_of

INK = (20, 23, 26)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with two drafts."""
    folder = tmp_path_factory.mktemp("drafts") / "shop"
    shutil.copytree(demo.SHOP, folder, ignore=shutil.ignore_patterns("__pycache__", "logs", "sheets"))
    (folder / "data-sheets" / "panel.pdf").write_bytes(pdf(PANEL, layout("ruled")))
    names = [str(folder / "data-sheets" / name) for name in ("panel.pdf", "lacquer-thinner.txt")]
    CliRunner().invoke(main, ["draft", *names, "--into", str(folder / "products")], catch_exceptions=False)
    return folder


@pytest.fixture
def folder(made: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(made, tmp_path / "shop"))


@pytest.fixture
def officer(folder: Path) -> Browser:
    one = Browser(desk_of(folder, lambda: 1_796_100_000.0))
    assert one.named("Officer 1") == 303
    return one


def drafted(folder: Path, sheet: str) -> Path:
    """The product that was read from a sheet."""
    return next(path for path in (folder / "products").glob("*.toml") if sheet in path.read_text())


def test_every_value_says_where_it_was_read(folder: Path) -> None:
    text = drafted(folder, "lacquer-thinner.txt").read_text()
    found = {one.key: one for one in sources(text) if one.key not in ("cas", "name", "weight")}
    assert found["density"] == Said("density", '"0.85 g/mL"', 1, "Density: 0.85 g/mL at 20 °C")
    assert found["hazards"].words.endswith("H373 Aspiration hazard, Category 1, H304"), "a comment over several lines"
    assert found["voc"].page == 0
    parts = [one for one in sources(text) if one.key == "weight"]
    assert [one.words.split(" | ")[0] for one in parts] == ["Toluene", "Acetone", "n-Butyl acetate"]
    assert sheet_of(text, ["other.pdf", "lacquer-thinner.txt"]) == "lacquer-thinner.txt"
    assert sheet_of(text, ["other.pdf"]) == ""


def test_a_draft_counts_once_each_value_was_compared(officer: Browser, folder: Path) -> None:
    path = drafted(folder, "panel.pdf")
    id = open_document(path).data["product"]["id"]
    assert officer.get(f"/draft/{id}") == 200
    ticks = re.findall(r'name="(t-\d+)"', officer.body)
    read = re.findall(r'name="read" value="(\w+)"', officer.body)[0]
    assert len(ticks) > 5
    before = path.read_text()
    form = {"read": read} | dict.fromkeys(ticks, "yes")
    assert officer.post(f"/draft/{id}", {**form, ticks[0]: ""}) == 400
    assert officer.post(f"/draft/{id}", form) == 409, "nobody has written what it is for"
    assert 'role = "cleaner"' in unescape(officer.body)
    assert path.read_text() == before
    path.write_text(before.replace('role = "unknown"', 'role = "cleaner"\npurpose = "cleaner"'))
    officer.get(f"/draft/{id}")
    assert officer.post(f"/draft/{id}", form) == 409, "it is not the file that was compared"
    officer.get(f"/draft/{id}")
    form["read"] = re.findall(r'name="read" value="(\w+)"', officer.body)[0]
    assert officer.post(f"/draft/{id}", form) == 303
    product = open_document(path).data["product"]
    assert "draft" not in product
    assert product["confirmed"].startswith("Officer 1, 20")
    assert officer.get(f"/draft/{id}") == 404
    with open_ledger(officer.desk.shop()) as ledger:
        assert ("Officer 1", "confirmed") in [(one.who, one.what) for one in audits(ledger)]


def test_a_draft_of_many_parts_counts_once_every_value_was_compared(officer: Browser, folder: Path) -> None:
    """The page had ticks for 50 values, and with these the whole draft was confirmed."""
    path = drafted(folder, "lacquer-thinner.txt")
    more = "".join(f'\n[[product.part]]\nname = "resin {n}"\nweight = "0.1 %"\n' for n in range(30))
    text = path.read_text().replace('role = "unknown"', 'role = "thinner"\npurpose = "thinner"')
    path.write_text(text.rstrip() + "\n" + more)
    assert officer.get("/draft/lacquer-thinner-l-6") == 200
    ticks = re.findall(r'name="(t-\d+)"', officer.body)
    assert len(ticks) > 60
    assert unescape(officer.body).count('name = "resin') == 30
    form = dict.fromkeys(ticks, "yes") | {"read": re.findall(r'name="read" value="(\w+)"', officer.body)[0]}
    assert officer.post("/draft/lacquer-thinner-l-6", {**form, ticks[-1]: ""}) == 400
    assert officer.post("/draft/lacquer-thinner-l-6", form) == 303


def test_what_was_read_is_framed_on_the_picture_of_the_page(officer: Browser, folder: Path) -> None:
    id = open_document(drafted(folder, "panel.pdf")).data["product"]["id"]
    officer.get(f"/draft/{id}")
    pages = re.findall(rf'src="(/draft/{id}/page/\d+)"', officer.body)
    assert pages
    assert officer.get(pages[0]) == 200
    image = Image.open(io.BytesIO(officer.raw)).convert("RGB")
    frames = sum(count for count, color in image.getcolors(1 << 24) or [] if color == INK)
    assert frames > 1000
    for other in ("0", "99", "..", "x"):
        assert officer.get(f"/draft/{id}/page/{other}") == 404


def test_a_sheet_in_letters_has_the_words_marked(officer: Browser) -> None:
    assert officer.get("/draft/lacquer-thinner-l-6") == 200
    assert "<mark>Flash point: -12 °C (closed cup)</mark>" in officer.body
    officer.get("/review")
    assert "/draft/lacquer-thinner-l-6" in officer.body


@pytest.mark.parametrize("id", ["acetone", "nothing", "..", "..%2fshop"])
def test_what_is_no_draft_has_no_page(officer: Browser, id: str) -> None:
    assert officer.get(f"/draft/{id}") == 404


def test_a_technician_confirms_nothing(folder: Path) -> None:
    one = Browser(desk_of(folder, lambda: 1_796_100_000.0))
    one.named("Tech 1")
    assert one.get("/draft/lacquer-thinner-l-6") == 403
    assert one.post("/draft/lacquer-thinner-l-6", {"read": "x"}) == 403
