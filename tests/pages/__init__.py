"""The files that are made from the code: where each lies, and what makes it."""

from __future__ import annotations

from collections.abc import Callable

from tests.pages import commands, data, factors, files, formulas, mistakes, plugin_api, plugins, schemas, validation

PAGES: dict[str, Callable[[], str]] = {
    "docs/commands.md": commands.page,
    "docs/data.md": data.page,
    "docs/files.md": files.page,
    "docs/formulas.md": formulas.page,
    "docs/mistakes.md": mistakes.page,
    "docs/plugin-api.md": plugin_api.page,
    "docs/validation.md": validation.page,
    "safety/data/factors.tsv": factors.page,
    "safety/data/plugins.txt": plugins.page,
    **schemas.SCHEMAS,
}
