"""Options that several commands have, each said once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from safety.words import ENGLISH, LANGUAGES, speaking, speech

#: Text for people, or JSON for programs.
FORM = click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to print.")
DRAWS = click.option(
    "--draws", type=click.IntRange(59, 200_000), default=2000, show_default=True, help="How many draws."
)
SEED = click.option("--seed", type=click.IntRange(0), default=1, show_default=True, help="Where the draws begin.")


def shop(help: str = "The shop; left out, the one this folder belongs to.") -> Callable[[Any], Any]:
    """Which shop a command works on."""
    return click.option("--shop", "folder", type=click.Path(path_type=Path), default=Path(), metavar="PATH", help=help)


def language(help: str) -> Callable[[Any], Any]:
    """What a command speaks from here on."""
    return click.option(
        "--language",
        type=click.Choice(LANGUAGES),
        default=ENGLISH,
        show_default=True,
        expose_value=False,
        callback=lambda context, _, chosen: context.with_resource(speaking(speech(chosen))),
        help=help,
    )
