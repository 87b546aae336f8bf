"""Write every generated page and message catalogue again: ``python -m tests.pages``."""

from pathlib import Path

from tests.pages import PAGES, words

for name, page in PAGES.items():
    (Path(__file__).parents[2] / name).write_text(page(), encoding="utf-8", newline="\n")
words.write()
