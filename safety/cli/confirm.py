"""``hazstep confirm``: a person puts a name under the draft of a product."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import click

from safety.cli.options import FORM, shop
from safety.cli.output import Target, write
from safety.problems import Problem, Problems
from safety.words import say

_DRAFT = re.compile(r"[ \t]*draft[ \t]*=[ \t]*true[ \t]*(#[^\n]*)?")


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
    path = _file(product, folder)
    before = path.read_bytes()
    after = _confirmed(path, before, who)
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


def _confirmed(path: Path, content: bytes, who: str) -> bytes:
    """The file with a name and a day in place of the line draft = true. Raises Problems where it may not be."""
    from safety.files.notation import Miswritten, text
    from safety.files.reading import look_through_product
    from safety.files.toml import locate, open_document, problem

    document = open_document(path)
    table = document.data.get("product")
    if not isinstance(table, dict) or table.get("draft") is not True:
        raise Problems(
            [Problem(path.as_posix(), 0, "[product]", say("this is no draft"), say("there is nothing to confirm"))]
        )
    try:
        name = text(who)
    except Miswritten as error:
        raise Problems([Problem("--who", 0, "", error.wrong, error.write)]) from None
    if table.get("role") == "unknown":
        wrong, write_ = say("nobody has written what the product is for"), say('write for example role = "cleaner"')
        raise Problems([problem(document, ("product", "role"), wrong, write_)])
    if "purpose" not in table:
        wrong, write_ = say("nobody has written what the product is for"), say('write for example purpose = "cleaner"')
        raise Problems([problem(document, ("product", "purpose"), wrong, write_)])
    look_through_product(document)  # nobody can stand for what cannot be read
    whole = content.decode("utf-8-sig")
    lines = whole.splitlines(keepends=True)
    at = (locate(document.text, ("product", "draft")) or 0) - 1
    bare = lines[at].rstrip("\r\n") if 0 <= at < len(lines) else ""
    if not _DRAFT.fullmatch(bare):
        wrong = say("draft = true does not stand on a line of its own")
        raise Problems([problem(document, ("product", "draft"), wrong, say("write it on a line of its own"))])
    end = lines[at][len(bare) :] or "\n"
    quoted = name.replace("\\", "\\\\").replace('"', '\\"')
    lines[at] = f'confirmed = "{quoted}, {date.today().isoformat()}"{end}'
    made = "".join(lines)
    _same_but_for_that(document.data, made, name)
    return made.encode("utf-8")


def _same_but_for_that(before: dict[str, object], made: str, name: str) -> None:
    """Make sure that the new text says what the old one said, but for the name and the day."""
    import tomli

    wanted = dict(before["product"]) if isinstance(before["product"], dict) else {}
    del wanted["draft"]
    wanted["confirmed"] = f"{name}, {date.today().isoformat()}"
    if tomli.loads(made) != {**before, "product": wanted}:
        raise AssertionError("the confirmed file would say something else")
