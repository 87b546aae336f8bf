"""docs/commands.md, made from the commands' own help."""

from __future__ import annotations

from importlib import import_module

import click

from safety.cli import COMMANDS, main
from safety.words import say


def page() -> str:
    """The whole page. It changes only when a command does."""
    parts = [
        "# Commands\n",
        say("Every command explains itself with `--help`; this page is made from that."),
        say("Mistakes go to standard error, one a line; results go to standard output."),
    ]
    root = click.Context(main, info_name="hazstep", terminal_width=88, max_content_width=88)
    parts.append(_help(main, root))
    for name in COMMANDS:
        command = import_module(f"safety.cli.{name}").command
        context = click.Context(command, parent=root, info_name=name, terminal_width=88, max_content_width=88)
        parts += [f"\n## hazstep {name}", _help(command, context)]
    return "\n".join(parts) + "\n"


def _help(command: click.Command, context: click.Context) -> str:
    return f"\n```text\n{command.get_help(context)}\n```"
