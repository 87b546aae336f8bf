"""``hazstep draft``: product files from safety data sheets, for a person to confirm."""

from __future__ import annotations

import sys
from datetime import date
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import click

from safety.cli import BAD_INPUT, DONE, INCOMPLETE
from safety.cli.options import FORM
from safety.cli.output import Target, only_new, write
from safety.problems import Problem, Problems
from safety.words import printable, say

if TYPE_CHECKING:
    from safety.datasheet.record import Draft
    from safety.reference import Reference


@click.command()
@click.argument("sheets", metavar="SHEET...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--into", type=click.Path(path_type=Path), required=True, metavar="DIR", help="The shop's folder products."
)
@FORM
def command(sheets: tuple[Path, ...], into: Path, form: str) -> None:
    """Draft product files from safety data sheets.

    SHEET is a PDF with a text layer, or plain text, in English, Spanish or German. Each product becomes a new file in
    DIR, with the page and the words above each value. It is a draft until a person confirms it: sheets made with it
    are INCOMPLETE.

    \b
    Example:
      hazstep draft data-sheets/lacquer-thinner.txt --into products

    The exit status is 3 where something is missing or contradictory, and 2 where a file was refused.
    """
    refused: list[str] = []
    drafts: list[tuple[Path, Draft]] = []
    for sheet in sheets:
        try:
            drafts += [(sheet, draft) for draft in _read(sheet)]
        except Problems as problems:
            refused += map(str, problems.problems)
    files: dict[Path, str] = {}
    try:
        files = _files(drafts, into)
        write({Target(path, ".toml", only_new): text.encode() for path, text in files.items()})
    except Problems as problems:
        refused += map(str, problems.problems)
        files, drafts = {}, []
    warnings = [warning for _, draft in drafts for warning in draft.warnings]
    _print(list(files), [(sheet.name, draft) for sheet, draft in drafts], warnings, refused, form)
    sys.exit(BAD_INPUT if refused else INCOMPLETE if any(_open(draft) for _, draft in drafts) else DONE)


@cache
def _data() -> Reference:
    from safety.datasheet.known import shipped

    return shipped()


def _read(sheet: Path) -> list[Draft]:
    from safety.datasheet.apart import read_apart
    from safety.datasheet.refused import Refused

    if not sheet.is_file():
        wrong = say("there is no such file") if not sheet.exists() else say("this is not an ordinary file")
        raise Problems([Problem(sheet.as_posix(), 0, "", wrong, say("name the file of a data sheet"))])
    try:
        drafts = read_apart(sheet, date.today(), meanwhile=_data)
    except Refused as refusal:
        raise Problems([Problem(sheet.as_posix(), 0, "", str(refusal))]) from None
    from safety.datasheet.known import against_known

    for draft in drafts:
        against_known(draft, _data())
    return drafts


def _files(drafts: list[tuple[Path, Draft]], into: Path) -> dict[Path, str]:
    """The new files by their path. Raises Problems where a product of the shop has the id already."""
    from safety.datasheet.draft_file import identifier, text

    taken = _ids(into)
    files: dict[Path, str] = {}
    for sheet, draft in drafts:
        name = identifier(draft.name)
        number = 2
        id_ = name
        while into / f"{id_}.toml" in files:  # two sheets of one name in one run
            id_, number = f"{name}-{number}", number + 1
        path = into / f"{id_}.toml"
        if id_ in taken:
            wrong = say('the shop has a product "{id}" already; nothing was written', id=id_)
            write_ = say("compare it with the sheet yourself, or draft into another folder")
            raise Problems([Problem(taken[id_].as_posix(), 0, "", wrong, write_)])
        files[path] = text(draft, id_, sheet.name, date.today())
    return files


def _ids(into: Path) -> dict[str, Path]:
    """The ids of the products that are there, and the names of their files, which become ids in a moment."""
    from safety.files.toml import files_in, open_document

    found: dict[str, Path] = {}
    for path in files_in(into):
        found[path.stem] = path
        try:
            product = open_document(path).data.get("product")
        except Problems:
            continue  # its own mistakes are for check to tell
        if isinstance(product, dict):
            found[str(product.get("id"))] = path
    return found


def _open(draft: Draft) -> bool:
    from safety.datasheet.record import Group

    return any(note.group in (Group.CONTRADICTORY, Group.MISSING) for note in draft.notes)


def _print(
    files: list[Path], drafts: list[tuple[str, Draft]], warnings: list[str], refused: list[str], form: str
) -> None:
    if form == "json":
        import json

        told = {
            "drafts": [path.as_posix() for path in files],
            "warnings": warnings,
            "refused": " ".join(refused) or None,
        }
        click.echo(json.dumps(told, indent=2, ensure_ascii=False))
    for sentence in refused:
        click.echo(printable(sentence), err=True)
    if form == "json":
        return
    for path, (_, draft) in zip(files, drafts, strict=True):
        click.echo(say("wrote {file}", file=path.as_posix()))
        for warning in draft.warnings:
            click.echo(f"  - {printable(warning)}")
        click.echo(
            say("Compare it with the sheet and the can, then run: hazstep confirm {id} --who NAME", id=path.stem)
        )
