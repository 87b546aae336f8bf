"""What may stand beside --frozen on a command line."""

from __future__ import annotations

import click

from safety.problems import Problem, Problems
from safety.words import say

#: What is heard beside --frozen.
_HEARD = ("frozen", "pdf", "csv", "form", "folder")


def alone(context: click.Context, what: str) -> None:
    """Refuse what a frozen page would leave unheard: it is shown as it was made. Raises Problems."""
    typed = click.core.ParameterSource.COMMANDLINE
    given = [
        p.opts[0] if isinstance(p, click.Option) else say("JOB")
        for p in context.command.params
        if p.name and p.name not in _HEARD and context.get_parameter_source(p.name) is typed
    ]
    if given:
        wrong = say("a frozen {what} is shown as it was made and takes no {given}", what=what, given=", ".join(given))
        raise Problems([Problem(what, 0, "--frozen", wrong, say("leave it out"))])
