"""``hazstep serve``: the page for the shop's tablet, on this machine."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import click

from safety.cli.options import shop
from safety.files.notation import nearest
from safety.files.toml import plain
from safety.problems import Problem, Problems
from safety.words import say

#: What the page needs beside the program itself.
_EXTRA = ("cryptography", "starlette", "uvicorn", "jinja2", "python_multipart")


@click.command()
@shop()
@click.option("--port", type=click.IntRange(0, 65535), default=8420, show_default=True, help="Where to listen.")
@click.option("--passphrase", "name", metavar="NAME", help="Give somebody of the shop a passphrase, and end.")
def command(folder: Path, port: int, name: str | None) -> None:
    """Serve a page on this machine, for the work itself.

    Nothing has to be set up. Only this machine reaches the page; nothing is sent anywhere. It needs the extra
    "serve", and runs until you press Ctrl-C.

    Who is officer or office stands in shop.toml, under [[person]]. With --passphrase such a name is taken with a
    passphrase only.

    \b
    Examples:
      hazstep serve
      hazstep serve --passphrase "R. Vale"
    """
    if not all(map(find_spec, _EXTRA)):
        write = say("install it with: pip install 'hazstep[serve]'")
        raise Problems([Problem("serve", 0, "", say("what the page needs is not installed"), write)])
    from safety.files.reading import find_shop

    if name is not None:
        _give(find_shop(folder), name)
        return
    from safety.serve.engine import Engine
    from safety.serve.listening import serve

    try:
        serve(find_shop(folder), port, lambda file: Engine(file, keep=file.with_name("serve-answers")), _told)
    except KeyboardInterrupt:
        click.echo(say("\nThe page is closed."))


def _give(file: Path, name: str) -> None:
    """Ask for a passphrase and keep it. Raises Problems."""
    from safety.files.reading import read_shop
    from safety.serve.passphrases import SHORTEST, Passphrases, wanting
    from safety.serve.store import Store

    people = [one.name for one in read_shop(file).people]
    if name not in people:
        wrong = say("{name} is not among the people of the shop", name=plain(name))
        write = say("write [[person]] with id, name and roles") if not people else nearest(name, people)
        raise Problems([Problem(file.as_posix(), 0, "[[person]]", wrong, write)])
    given = click.prompt(say("Passphrase of {name}", name=name), hide_input=True, confirmation_prompt=True)
    if wanting(given, name):
        wrong = say("this passphrase is found too easily")
        write = say("take a longer one: {count} letters at least, several words", count=SHORTEST)
        raise Problems([Problem("--passphrase", 0, "", wrong, write)])
    Passphrases(Store(file.parent)).keep(name, given)
    click.echo(say("{name} has a passphrase now.", name=name))


def _told(address: str) -> None:
    click.echo(say("The page is at {address} - Ctrl-C ends it.", address=address))
