"""Generated pages say what the code says; links lead somewhere."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.pages import PAGES

ROOT = Path(__file__).parents[2]
WRITTEN = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").glob("*.md")])


@pytest.mark.parametrize("name", PAGES)
def test_page_is_up_to_date(name: str) -> None:
    assert (ROOT / name).read_text(encoding="utf-8") == PAGES[name](), "run: python -m tests.pages"


@pytest.mark.parametrize("path", WRITTEN, ids=lambda p: p.name)
def test_links_lead_somewhere(path: Path) -> None:
    for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", path.read_text(encoding="utf-8")):
        assert (path.parent / target).exists(), target
