"""The pages of docs/ that are made from the code: name of the page, and what makes it."""

from __future__ import annotations

from collections.abc import Callable

from safety.formulas import page as formulas
from tests.pages import commands, data, files, mistakes, validation

PAGES: dict[str, Callable[[], str]] = {
    "commands.md": commands.page,
    "data.md": data.page,
    "files.md": files.page,
    "formulas.md": formulas.page,
    "mistakes.md": mistakes.page,
    "validation.md": validation.page,
}
