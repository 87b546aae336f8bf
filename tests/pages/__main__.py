"""Write every generated page again: ``python -m tests.pages``."""

from pathlib import Path

from tests.pages import PAGES

for name, page in PAGES.items():
    (Path(__file__).parents[2] / "docs" / name).write_text(page(), encoding="utf-8", newline="\n")
