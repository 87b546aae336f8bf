"""``hazstep serve``: the page for the shop's tablet, on this machine."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import click

from safety.cli.options import shop
from safety.problems import Problem, Problems
from safety.words import say

#: What the page needs beside the program itself.
_EXTRA = ("starlette", "uvicorn", "jinja2", "python_multipart")


@click.command()
@shop()
@click.option("--port", type=click.IntRange(0, 65535), default=8420, show_default=True, help="Where to listen.")
def command(folder: Path, port: int) -> None:
    """Serve a page on this machine, for the work itself.

    Nothing has to be set up. Only this machine reaches the page; nothing is sent anywhere. It needs the extra
    "serve", and runs until you press Ctrl-C.

    \b
    Example:
      hazstep serve
    """
    if not all(map(find_spec, _EXTRA)):
        write = say("install it with: pip install 'hazstep[serve]'")
        raise Problems([Problem("serve", 0, "", say("what the page needs is not installed"), write)])
    from safety.files.reading import find_shop
    from safety.serve.engine import Engine
    from safety.serve.listening import serve

    try:
        serve(find_shop(folder), port, lambda file: Engine(file, keep=file.with_name("serve-answers")), _told)
    except KeyboardInterrupt:
        click.echo(say("\nThe page is closed."))


def _told(address: str) -> None:
    click.echo(say("The page is at {address} - Ctrl-C ends it.", address=address))
