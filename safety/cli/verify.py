"""``hazstep verify``: whether the ledger is as it was written."""

from __future__ import annotations

import json
import re
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from safety.cli import DONE, STOP
from safety.cli.options import FORM, shop
from safety.words import say

if TYPE_CHECKING:
    from safety.ledger.verify import Verified


@click.command()
@click.option("--head", "heads", multiple=True, metavar="HASH", help="A head that was printed or kept elsewhere.")
@FORM
@shop()
@click.pass_context
def command(ctx: click.Context, heads: tuple[str, ...], form: str, folder: Path) -> None:
    """Look whether the ledger is as it was written.

    Every line holds a hash of the one before. Who may write the file can write all of it anew: so keep the head that
    each log prints, on paper or elsewhere. With --head, the command says whether the ledger still holds it.

    \b
    Example:
      hazstep verify --head 3f2a9c01d5e6

    The exit status is 1 where something does not match.
    """
    from safety.files.shop_files import ShopFiles
    from safety.ledger.store import open_ledger
    from safety.ledger.verify import verify
    from safety.problems import Problem, Problems

    for head in heads:
        if not re.fullmatch(r"[0-9a-f]{8,64}", head):
            wrong = say('"{head}" is no head of a ledger', head=head)
            raise Problems(
                [Problem("verify", 0, "--head", wrong, say("give 8 or more letters of it, 0 to 9 and a to f"))]
            )
    there, _ = ShopFiles.of(folder).of_the_ledger()
    with open_ledger(there) as ledger:
        found = verify(ledger, heads)
        where = ledger.where
    if form == "json":
        by = [{"computer": c, "account": a, "lines": count} for (c, a), count in sorted(found.by.items())]
        click.echo(json.dumps({**asdict(found), "by": by, "sound": found.sound}, ensure_ascii=False, indent=2))
    else:
        for line in _told(found, where):
            click.echo(line)
    ctx.exit(DONE if found.sound else STOP)


def _told(found: Verified, where: str) -> list[str]:
    told = [say("{where}: lines in the chain: {count}.", where=where, count=found.lines)]
    if found.earlier:
        told.append(
            say(
                "Covered from {at}. Rows of before, taken over as they were then: {count}.",
                at=found.covered,
                count=found.earlier,
            )
        )
    else:
        told.append(say("Covered from {at}, from the first record on.", at=found.covered))
    told += [
        say("Written by {account} on {computer}: {count}.", account=account, computer=computer, count=count)
        for (computer, account), count in sorted(found.by.items())
    ]
    for head, at in found.heads.items():
        if at:
            told.append(say("Head {head} is in the chain, of {at}.", head=head, at=at))
        else:
            told.append(say("Head {head} is NOT in it: the ledger was written anew, or cut off.", head=head))
    told += [say("DOES NOT MATCH: {what}.", what=what) for what in (*found.wrong, *found.unguarded)]
    told += [say("DATED BACK: {what}.", what=what) for what in found.dated]
    if found.late:
        told.append(say("Late papers, recorded more than 31 days after their day: {count}.", count=found.late))
    told.append(say("Head: {head}, of {at}.", head=found.head, at=found.at))
    if found.sound:
        told.append(say("Every line is as it was written."))
    return told
