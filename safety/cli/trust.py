"""``hazstep trust``: let the plugin files of a shop run on this computer."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from safety.cli.options import FORM
from safety.cli.terminal import asking
from safety.problems import Problem, Problems
from safety.words import say

if TYPE_CHECKING:
    from safety.files.trust import Code, Trusted


@click.command()
@click.argument("path", metavar="[PATH]", default=".", type=click.Path(path_type=Path))
@click.option("--yes", is_flag=True, help="Trust them without being asked.")
@click.option("--list", "listed", is_flag=True, help="List all that you trust on this computer.")
@click.option("--forget", is_flag=True, help="Trust the shop's files no longer.")
@FORM
def command(path: Path, yes: bool, listed: bool, forget: bool, form: str) -> None:
    """Let the plugin files of a shop run on this computer.

    PATH is a shop's folder, or a file in it; left out, the shop of this folder. A plugin file is a program: it runs
    with your rights when a sheet, a log or a label is made. So nothing in a shop's folder runs until you have said
    that you trust it. Read the files first, or ask who wrote them.

    What you trust is remembered by its content, in your own settings: when a file changes, it must be
    trusted again. Every person who prints sheets says it once. What a trusted file loads by itself is not looked at.

    \b
    Examples:
      hazstep trust --list
      hazstep trust --yes
      hazstep trust my-shop --forget
    """
    from safety.files import trust

    if listed:
        _tell(_all(trust.trusted()), form, say("You trust no plugin file."))
        return
    codes = _files(path)
    if forget:
        known = {one.digest: one for one in trust.trusted()}
        gone = [known[code.digest] for code in codes if code.digest in known]
        trust.forget(gone)
        _tell(_all(gone), form, say("None of the shop's plugin files was trusted."), say("No longer trusted:"))
        return
    new = [code for code in codes if not trust.is_trusted(code)]
    if new and not yes:
        for line in _rows(new):
            click.echo(_line(line), err=True)
        if not asking():
            wrong = say("nobody is there to say whether these files may run")
            raise Problems([Problem("trust", 0, "", wrong, say("read them, then write hazstep trust --yes"))])
        if not click.confirm(say("May they run with your rights?"), err=True):
            raise click.Abort
    if new:
        trust.trust(new)
    _tell(_rows(codes), form, say("The shop lists no plugin files."), say("Trusted:"))


def _files(path: Path) -> list[Code]:
    """The plugin files a shop lists, as they are. Raises Problems."""
    from safety.files import trust
    from safety.files.shop_files import ShopFiles

    files = ShopFiles.of(path)
    codes = []
    for name in files.shop.plugin_files:
        code = trust.read(files.folder, name)
        if code is None:
            raise Problems([Problem(name, 0, "", say("this is no plugin file"), say("write a file of up to 1 MB"))])
        codes.append(code)
    return codes


def _rows(codes: Sequence[Code]) -> list[dict[str, str | int]]:
    return [{"path": c.path.as_posix(), "bytes": len(c.text), "sha256": c.digest} for c in codes]


def _all(kept: Sequence[Trusted]) -> list[dict[str, str | int]]:
    return [{"path": one.path, "since": one.day, "sha256": one.digest} for one in kept]


def _tell(rows: Sequence[dict[str, str | int]], form: str, none: str, lead: str = "") -> None:
    if form == "json":
        click.echo(json.dumps(rows, ensure_ascii=False, indent=2))
        return
    for line in [lead, *map(_line, rows)] if rows else [none]:
        if line:
            click.echo(line)


def _line(row: dict[str, str | int]) -> str:
    from safety.render import text_safe

    size = say("{bytes} bytes", bytes=row["bytes"]) if "bytes" in row else say("since {day}", day=row["since"])
    return text_safe(say("{path}: {size}, sha256 {digest}", path=row["path"], size=size, digest=row["sha256"]))
