"""``hazstep plugins``: what is installed and what it answers."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

import click

from safety.cli.options import FORM
from safety.words import say


@click.command()
@FORM
def command(form: str) -> None:
    """List the plugins and what they answer.

    What went wrong with a plugin stands below it. In a shop's folder the list includes the plugins
    its shop.toml names by path.

    \b
    Example:
      hazstep plugins --format json
    """
    from safety.files.shop_files import ShopFiles
    from safety.hosting import host
    from safety.problems import Problems
    from safety.render import text_safe

    files: tuple[str, ...] = ()
    folder = Path()
    try:
        own = ShopFiles.of()
    except Problems:
        pass  # outside a shop there is nothing to add
    else:
        files, folder = own.shop.plugin_files, own.folder
    listing = host.load(files, folder).listing()
    if form == "json":
        import json

        click.echo(json.dumps([asdict(one) for one in listing], ensure_ascii=False, indent=2))
        return
    for one in listing:
        origin = say("{distribution} {version}", distribution=one.distribution, version=one.version).strip()
        hooks = ", ".join(one.hooks) or say("no hooks")
        click.echo(text_safe(say("{name} ({origin}): {hooks}", name=one.name, origin=origin, hooks=hooks)))
        if one.failure:
            click.echo(say("  failed: {reason}", reason=text_safe(one.failure)))
    if not listing:
        click.echo(say("No plugin is installed."))
