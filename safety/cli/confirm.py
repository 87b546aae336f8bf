"""``hazstep confirm``: a person puts a name under the draft of a product."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from safety.cli.options import FORM, shop
from safety.cli.output import Target, write
from safety.words import say


@click.command()
@click.argument("product", metavar="PRODUCT")
@click.option("--who", required=True, metavar="NAME", help="Who compared the file with the data sheet and the can.")
@shop()
@FORM
def command(product: str, who: str, folder: Path, form: str) -> None:
    """Put a name under the draft of a product.

    PRODUCT is its id, or its file. Do it after you have compared every value with the data sheet and the can. The
    line draft = true becomes your name and the day; nothing else in the file changes.

    \b
    Example:
      hazstep confirm lacquer-thinner-l-6 --who "R. Vale"
    """
    from safety.datasheet.confirming import confirmed

    path = _file(product, folder)
    before = path.read_bytes()
    after = confirmed(path, before, who, date.today())
    write({Target(path, ".toml", lambda content: content == before): after})
    if form == "json":
        import json

        click.echo(
            json.dumps(
                {"confirmed": path.as_posix(), "by": who, "on": date.today().isoformat()}, indent=2, ensure_ascii=False
            )
        )
        return
    click.echo(say("{file}: confirmed by {who}", file=path.as_posix(), who=who))


def _file(product: str, folder: Path) -> Path:
    """The file of a product: named itself, or by the id in it. Raises Problems."""
    from safety.files.shop_files import ShopFiles
    from safety.files.toml import is_file

    if product.endswith(".toml") and is_file(Path(product)):
        return Path(product)
    return ShopFiles.of(folder).product(product)
