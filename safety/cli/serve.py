"""``hazstep serve``: the page for the shop's tablet, on this machine."""

from __future__ import annotations

from functools import partial
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import click

from safety.cli.options import shop
from safety.files.notation import nearest
from safety.files.toml import plain
from safety.problems import Problem, Problems
from safety.words import say

if TYPE_CHECKING:
    from safety.files.shop_files import ShopFiles
    from safety.serve.listening import Opened

#: What the page needs beside the program itself.
_EXTRA = ("cryptography", "starlette", "uvicorn", "jinja2", "python_multipart")


@click.command()
@shop()
@click.option("--port", type=click.IntRange(0, 65535), default=8420, show_default=True, help="Where to listen.")
@click.option("--passphrase", "name", metavar="NAME", help="Give somebody of the shop a passphrase, and end.")
@click.option("--network", metavar="ADDRESS", default="", help="Let tablets reach the page at this address, encrypted.")
@click.option("--name", "names", metavar="NAME", multiple=True, help="Another name of it, as in shop-pc.local.")
@click.option(
    "--certificate", metavar="FILE", type=click.Path(path_type=Path), help="The shop's own certificate, as PEM."
)
@click.option("--key", metavar="FILE", type=click.Path(path_type=Path), help="The key of that certificate.")
@click.option("--proxy", metavar="URL", default="", help="Stand behind the shop's own proxy, which shows it at URL.")
def command(
    folder: Path,
    port: int,
    name: str | None,
    network: str,
    names: tuple[str, ...],
    certificate: Path | None,
    key: Path | None,
    proxy: str,
) -> None:
    """Serve a page on this machine, for the work itself.

    Nothing has to be set up. Only this machine reaches the page; nothing is sent anywhere. It needs the extra
    "serve", and runs until you press Ctrl-C.

    Who is officer or office stands in shop.toml, under [[person]]. With --passphrase such a name is taken with a
    passphrase only.

    With --network tablets reach the page too. Each is added once, by somebody with a passphrase.

    \b
    Examples:
      hazstep serve
      hazstep serve --passphrase "Officer 1"
      hazstep serve --network 192.168.1.20 --name shop-pc.local
    """
    if not all(map(find_spec, _EXTRA)):
        write = say("install it with: pip install 'hazstep[serve]'")
        raise Problems([Problem("serve", 0, "", say("what the page needs is not installed"), write)])
    from safety.files.shop_files import ShopFiles

    if name is not None:
        _give(ShopFiles.of(folder), name)
        return
    from safety.serve.engine import Engine
    from safety.serve.listening import Reach, serve

    if (certificate is None) != (key is None):
        write = say("give --certificate and --key, or neither")
        raise Problems([Problem("--certificate", 0, "", say("a certificate and its key belong together"), write)])
    pair = (certificate, key) if certificate and key else None
    reach = Reach(network, tuple(one.lower() for one in names), pair, proxy)
    file = ShopFiles.of(folder).file
    engine = partial(Engine, keep=file.with_name("serve-answers"))
    try:
        serve(file, port, engine, _told, reach=reach)
    except KeyboardInterrupt:
        click.echo(say("\nThe page is closed."))


def _give(files: ShopFiles, name: str) -> None:
    """Ask for a passphrase and keep it. Raises Problems."""
    from safety.serve.passphrases import SHORTEST, Passphrases, wanting
    from safety.serve.store import Store

    people = [one.name for one in files.shop.people]
    if name not in people:
        wrong = say("{name} is not among the people of the shop", name=plain(name))
        write = say("write [[person]] with id, name and roles") if not people else nearest(name, people)
        raise Problems([Problem(files.file.as_posix(), 0, "[[person]]", wrong, write)])
    given = click.prompt(say("Passphrase of {name}", name=name), hide_input=True, confirmation_prompt=True)
    if wanting(given, name):
        wrong = say("this passphrase is found too easily")
        write = say("take a longer one: {count} letters at least, several words", count=SHORTEST)
        raise Problems([Problem("--passphrase", 0, "", wrong, write)])
    Passphrases(Store(files.folder)).keep(name, given)
    click.echo(say("{name} has a passphrase now.", name=name))


def _told(opened: Opened) -> None:
    click.echo(say("The page is at {address} - Ctrl-C ends it.", address=opened.address))
    if not opened.elsewhere:
        return
    click.echo(say("That address opens it to one browser, once. Tablets open {address}", address=opened.elsewhere))
    if opened.authority:
        click.echo(say("They are to trust this certificate: {file}", file=opened.authority.as_posix()))
        click.echo(say("Its SHA-256 fingerprint: {fingerprint}", fingerprint=opened.fingerprint))
