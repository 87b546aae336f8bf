"""``hazstep new``: the files of a new shop."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from safety.problems import Problem
from safety.words import say

#: The files of a new shop, as they come with the program.
STARTER = Path(__file__).parents[1] / "data" / "new"
#: What the line "#:schema" of a file names: by it an editor completes keys and marks mistakes.
SCHEMAS = STARTER.parent / "schemas"


@click.command()
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to print.")
def command(folder: Path, form: str) -> None:
    """Write the files of a new shop into DIR.

    \b
    Example:
      hazstep new my-shop
    """
    sources = {path.relative_to(STARTER): path for path in sorted(STARTER.rglob("*.toml"))}
    sources |= {path.relative_to(SCHEMAS.parent): path for path in sorted(SCHEMAS.glob("*.json"))}
    there = [name for name in sources if (folder / name).exists()]
    if there:
        _stop(folder / there[0], say("this file is there already"), say("name a new folder; nothing was written"))
    done: list[Path] = []
    try:
        for name, source in sources.items():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            with (folder / name).open("x", encoding="utf-8", newline="\n") as stream:
                done.append(folder / name)
                stream.write(source.read_text(encoding="utf-8"))
    except OSError as error:
        for path in done:  # half a shop would be taken for a whole one
            path.unlink(missing_ok=True)
        reason = say("the folder cannot be written: {reason}", reason=(error.strerror or str(error)).lower())
        _stop(folder, reason, say("name a folder that you may write to"))
    written = [(folder / name).as_posix() for name in sources]
    if form == "json":
        import json

        click.echo(json.dumps({"written": written}, indent=2))
        return
    for line in written:
        click.echo(say("wrote {file}", file=line))
    click.echo(say("Replace the example values, then run: hazstep check {folder}", folder=folder.as_posix()))


def _stop(path: Path, wrong: str, write: str) -> None:
    click.echo(Problem(path.as_posix(), 0, "", wrong, write), err=True)
    sys.exit(2)
