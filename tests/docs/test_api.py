"""Every example of the page on Python is run, in a copy of the demo shop."""

from __future__ import annotations

import doctest
import shutil
from pathlib import Path

import pytest

from safety.cli.demo import SHOP, keep_records

PAGE = Path(__file__).parents[2] / "docs" / "api.md"


def test_every_example_says_what_the_page_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    keep_records(Path(shutil.copytree(SHOP, tmp_path / "shop")))
    monkeypatch.chdir(tmp_path / "shop")
    page = doctest.DocTestParser().get_doctest(PAGE.read_text("utf-8"), {}, PAGE.name, str(PAGE), 0)
    assert len(page.examples) > 30
    told: list[str] = []
    doctest.DocTestRunner(optionflags=doctest.REPORT_NDIFF).run(page, out=told.append)
    assert not told, "".join(told)
