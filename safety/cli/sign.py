"""``hazstep sign``: put a name under a frozen sheet or log."""

from __future__ import annotations

import json
from pathlib import Path

import click

from safety.cli.options import FORM, shop
from safety.cli.terminal import said_of_what_is_kept
from safety.wall import now_at
from safety.words import say


@click.command()
@click.argument("id", metavar="ID")
@click.option("--name", required=True, metavar="TEXT", help="Who signs.")
@click.option(
    "--role", required=True, metavar="TEXT", help="As what: technician, safety officer, environmental officer."
)
@click.option("--note", default="", metavar="TEXT", help="What else to write down, such as why it is late.")
@FORM
@shop()
def command(id: str, name: str, role: str, note: str, form: str, folder: Path) -> None:
    """Put a name under a frozen sheet or log.

    The time is now. ID is what --freeze printed, or its first 8 letters or more. Signing after the job has begun is
    taken and marked late.

    \b
    Example:
      hazstep sign 3f2a9c01 --name "R. Vale" --role "safety officer"
    """
    from safety.files.shop_files import ShopFiles
    from safety.frozen.pages import about, lines
    from safety.ledger.sheets import frozen, sign
    from safety.ledger.store import open_ledger
    from safety.problems import Problem, Problems

    empty = [flag for flag, text in (("--name", name), ("--role", role)) if not text.strip()]
    if empty:
        raise Problems(Problem("sign", 0, flag, say("this is empty")) for flag in empty)
    shop, _ = ShopFiles.of(folder).of_the_ledger()
    with open_ledger(shop) as ledger:
        sign(ledger, id, name.strip(), role.strip(), now_at(shop), note.strip())
        kept = frozen(ledger, id)
    with said_of_what_is_kept(say("Signed {id}", id=kept.id[:12])):
        if form == "json":
            click.echo(json.dumps(about(kept), ensure_ascii=False, indent=2))
            return
        for line in lines(kept):
            click.echo(line)
