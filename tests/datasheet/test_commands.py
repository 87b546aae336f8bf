"""hazstep draft: new files only, each value under its words, a stranger's file in a process of its own."""

from __future__ import annotations

import json
import os
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import tomli
from click.testing import CliRunner, Result

from safety.cli import main
from safety.datasheet import apart, child
from safety.files.reading import look_through_product
from safety.files.toml import open_document
from tests.datasheet.invented import LACK, PANEL, PRODUCTS, THINNER, layout, pdf


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(main, ["draft", *map(str, words)], catch_exceptions=False)


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    path = tmp_path / "panel wipe.pdf"
    path.write_bytes(pdf(PANEL, layout("ruled")))
    return path


@pytest.mark.parametrize("product", PRODUCTS, ids=lambda product: product.name)
def test_a_draft_is_a_sound_product_file(tmp_path: Path, product: Any) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(pdf(product, layout("plain")))
    result = run(path, "--into", tmp_path / "products", "--format", "json")
    told = json.loads(result.stdout)
    (file,) = told["drafts"]
    assert told["refused"] is None
    look_through_product(open_document(Path(file)))
    table = tomli.loads(Path(file).read_text(encoding="utf-8"))["product"]
    assert table["draft"] is True
    assert table["id"] == Path(file).stem
    assert table["name"] == product.name
    assert table["hazards"] == product.expect["hazards"]
    assert [part["cas"] for part in table["part"]] == [part.cas for part in product.parts]


def test_every_value_stands_under_its_page_and_words(tmp_path: Path, sheet: Path) -> None:
    run(sheet, "--into", tmp_path / "products")
    lines = (tmp_path / "products" / "ottermoor-pw-3-panel-wipe.toml").read_text(encoding="utf-8").splitlines()
    for key, words in (
        ("flash_point", "-8 °C (closed cup, ISO 13736)"),
        ("density", "0.716 g/cm³ at 20 °C"),
        ("voc", "716 g/l"),
    ):
        at = next(i for i, line in enumerate(lines) if line.startswith(f"{key} = "))
        above = lines[at - 1]
        assert above.startswith("# page ")
        assert words in above


def test_nothing_of_the_shop_is_replaced(tmp_path: Path, sheet: Path) -> None:
    own = tmp_path / "products" / "mine.toml"
    own.parent.mkdir()
    own.write_text('[product]\nid = "ottermoor-pw-3-panel-wipe"\n', encoding="utf-8")
    result = run(sheet, "--into", own.parent)
    assert result.exit_code == 2
    assert "mine.toml" in result.output
    assert [path.name for path in own.parent.iterdir()] == ["mine.toml"]


def test_a_second_run_writes_nothing(tmp_path: Path, sheet: Path) -> None:
    assert run(sheet, "--into", tmp_path / "products").exit_code == 0
    (file,) = (tmp_path / "products").iterdir()
    before = file.read_bytes()
    assert run(sheet, "--into", tmp_path / "products").exit_code == 2
    assert file.read_bytes() == before


def test_a_refusal_is_told_in_json_too(tmp_path: Path, sheet: Path) -> None:
    run(sheet, "--into", tmp_path / "products")
    again = run(sheet, "--into", tmp_path / "products", "--format", "json")
    told = json.loads(again.stdout)
    assert (again.exit_code, told["drafts"], told["warnings"]) == (2, [], [])
    assert "ottermoor-pw-3-panel-wipe" in told["refused"]


def test_two_products_of_one_name_in_one_run(tmp_path: Path, sheet: Path) -> None:
    result = run(sheet, sheet, "--into", tmp_path / "products")
    assert sorted(path.stem for path in (tmp_path / "products").iterdir()) == [
        "ottermoor-pw-3-panel-wipe",
        "ottermoor-pw-3-panel-wipe-2",
    ]
    assert result.exit_code == 0


def test_what_is_missing_makes_the_status_3(tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(pdf(replace(LACK, physical=LACK.physical[:5]), layout("plain")))
    result = run(path, "--into", tmp_path / "products", "--format", "json")
    assert result.exit_code == 3
    told = json.loads(result.stdout)
    assert any("flash point" in sentence for sentence in told["warnings"])
    text = Path(told["drafts"][0]).read_text(encoding="utf-8")
    assert 'flash_point = "unknown"' in text
    assert "No flash point was found." in text


def test_a_refused_sheet_does_not_lose_the_others(tmp_path: Path, sheet: Path) -> None:
    scan = tmp_path / "scan.pdf"
    scan.write_bytes(_blank())
    result = run(scan, sheet, "--into", tmp_path / "products", "--format", "json")
    told = json.loads(result.stdout)
    assert result.exit_code == 2
    assert "scan.pdf" in told["refused"]
    assert len(told["drafts"]) == 1


def _blank() -> bytes:
    from io import BytesIO

    from reportlab.pdfgen.canvas import Canvas

    data = BytesIO()
    canvas = Canvas(data)
    canvas.rect(0, 0, 600, 800, fill=1)
    canvas.showPage()
    canvas.save()
    return data.getvalue()


def test_text_of_a_sheet_stays_text(tmp_path: Path) -> None:
    """A name full of quotes, breaks and brackets is a name: it writes no key of its own."""
    name = 'Wipe" ]] \\ \x0b [product] draft = false #'
    product = replace(THINNER, name=name, identity=(("Product name", name.replace("\x0b", " ")), *THINNER.identity[1:]))
    path = tmp_path / "sheet.pdf"
    path.write_bytes(pdf(product, layout("plain")))
    run(path, "--into", tmp_path / "products")
    (file,) = (tmp_path / "products").iterdir()
    table = tomli.loads(file.read_text(encoding="utf-8"))
    assert set(table) == {"product"}
    assert table["product"]["draft"] is True
    assert "]]" in table["product"]["name"]


def test_no_such_file(tmp_path: Path) -> None:
    result = run(tmp_path / "none.pdf", "--into", tmp_path)
    assert result.exit_code == 2
    assert "there is no such file" in result.output


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.pdf")
    assert run(tmp_path / "pipe.pdf", "--into", tmp_path).exit_code == 2


def test_a_reader_that_never_ends_is_killed(tmp_path: Path, sheet: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(apart, "_PATIENCE", 0.01)
    result = run(sheet, "--into", tmp_path / "products")
    assert result.exit_code == 2
    assert "took longer" in result.output
    assert not (tmp_path / "products").exists()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no such limits here")
def test_the_reader_may_write_nothing_and_take_little(tmp_path: Path) -> None:
    import subprocess
    import sys

    code = (
        "from safety.datasheet.child import limit; limit()\n"
        "import signal; signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        f"try:\n    f = open({str(tmp_path / 'x')!r}, 'w'); f.write('x'); f.close(); print('wrote')\n"
        "except OSError:\n    print('no file')\n"
        "try:\n    bytearray(2_000_000_000); print('took')\nexcept MemoryError:\n    print('no memory')\n"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False).stdout.split("\n")
    assert said[:2] == ["no file", "no memory"]
    assert child.SECONDS <= 60
