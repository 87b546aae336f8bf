"""The plugins that come with the program, by the entry points that pyproject.toml declares."""

from __future__ import annotations

from pathlib import Path

import tomli

from safety.hosting import host

_PROJECT = tomli.loads((Path(__file__).parents[2] / "pyproject.toml").read_text("utf-8"))["project"]

SHIPPED = sorted(_PROJECT["entry-points"][host.GROUP])


def page() -> str:
    """What ``safety.hosting.host`` reads, so that a sheet misses one that is gone."""
    return "".join(f"{name}\n" for name in SHIPPED)
