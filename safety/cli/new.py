"""``hazstep new``: the files of a new shop; and a product, job, place or stock of it, by questions."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from safety.cli import complete
from safety.cli.options import FORM, language, shop
from safety.problems import Problem
from safety.words import say

#: The files of a new shop, as they come with the program.
STARTER = Path(__file__).parents[1] / "data" / "new"
#: What the line "#:schema" of a file names: by it an editor completes keys and marks mistakes.
SCHEMAS = STARTER.parent / "schemas"


@click.command()
@click.argument("what", metavar="DIR|product|job|place|stock", shell_complete=complete.new)
@shop("The shop that gets it; left out, the one this folder belongs to.")
@language("What to ask in.")
@FORM
def command(what: str, folder: Path, form: str) -> None:
    """Write a new shop into DIR; or ask, and write a product, job, place or stock.

    In a shop, the words product, job, place and stock ask one question at a time and say why. The answers become a
    new file; a place, and what is in stock, is added to shop.toml. Write ? for what you do not know. Nothing that is
    there is written over, and who stops half-way leaves nothing behind. Without a terminal, each line of standard
    input answers one question.

    \b
    Examples:
      hazstep new my-shop
      hazstep new product
      hazstep new job --language es
    """
    if what in complete.ASKED_FOR:
        from safety.cli.questions.run import run

        written, then = run(what, folder)
    else:
        written, then = _shop(Path(what)), say("Replace the example values, then run: hazstep check {folder}",
                                               folder=Path(what).as_posix())  # fmt: skip
    if form == "json":
        import json

        click.echo(json.dumps({"written": written}, indent=2))
        return
    for line in written:
        click.echo(say("wrote {file}", file=line))
    click.echo(then)


def _shop(folder: Path) -> list[str]:
    """Write a new shop: all of it, or nothing."""
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
    return [(folder / name).as_posix() for name in sources]


def _stop(path: Path, wrong: str, write: str) -> None:
    click.echo(Problem(path.as_posix(), 0, "", wrong, write), err=True)
    sys.exit(2)
