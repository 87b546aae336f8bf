"""docs/files.md is made from the shapes, and every TOML block in the docs is read by the real readers."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from safety.files.reading import read_all
from safety.files.toml import open_document
from safety.reference import read_pack, read_substance
from safety.reference.substance_files import substance_files
from tests.pages.files import page

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "safety" / "data" / "demo"
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").glob("*.md")])
_BLOCK = re.compile(r"^```toml\n(.*?)^```", re.DOTALL | re.MULTILINE)
_NAME = re.compile(r"# ((?:shop|(?:products|jobs|rules|substances)/[\w.-]+)\.toml)\n")


@pytest.mark.parametrize("path", PAGES, ids=lambda p: p.name)
def test_blocks_are_read(path: Path, tmp_path: Path) -> None:
    """A block whose first line is ``# jobs/x.toml`` is that file of a shop; any other is TOML."""
    folder = tmp_path / "shop"
    blocks = _BLOCK.findall(path.read_text(encoding="utf-8"))
    named = {match[1]: block for block in blocks if (match := _NAME.match(block))}
    if "shop.toml" not in named:
        shutil.copytree(DEMO, folder)
    for name, block in named.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(block, encoding="utf-8")
    for number, block in enumerate(set(blocks) - set(named.values())):
        (tmp_path / f"{number}.toml").write_text(block, encoding="utf-8")
        open_document(tmp_path / f"{number}.toml")
    read_all(folder)
    for own in substance_files(folder):
        read_substance(own)
    for own in (folder / "rules").glob("*.toml"):
        read_pack(own)


def test_files_page_has_every_kind_of_file() -> None:
    blocks = _BLOCK.findall(page())
    assert [match[1].split("/")[0] for block in blocks if (match := _NAME.match(block))] == [
        "shop.toml",
        "products",
        "jobs",
    ]
