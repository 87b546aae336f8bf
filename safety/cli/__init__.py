"""The command line: a table of stubs. A command's own module is imported only to run or explain it."""

from __future__ import annotations

import codecs
import gc
import os
import sys
from collections.abc import Sequence
from functools import partial
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import click

import safety
from safety.problems import Problem, Problems
from safety.words import printable, say, steers

#: Command -> the first line of its help.
COMMANDS = {
    "demo": "Write the invented demo shop, its sheets and its logs into DIR.",
    "new": "Write a new shop into DIR; or ask, and write a product, job, place or stock.",
    "draft": "Draft product files from safety data sheets.",
    "confirm": "Put a name under the draft of a product.",
    "check": "Look for mistakes in the files of a shop.",
    "sheet": "Print the pre-task sheet of one job, or of each job of a day.",
    "compare": "Show what a change would do, and the least change that helps.",
    "impact": "Show what other rules, or another edition of a product, change in each job.",
    "uses": "Show which products hold a substance or a hazard, and which jobs use them.",
    "why": "Show where a figure of a sheet comes from.",
    "label": "Print the label of a waste container, or of a can.",
    "record": "Write down what came in, was used, went back and was thrown away.",
    "log": "Print the consumption log and waste totals of a month or year.",
    "report": "Print a report that is owed, as a draft for the responsible person.",
    "serve": "Serve a page on this machine, for the work itself.",
    "sign": "Put a name under a frozen sheet or log.",
    "verify": "Look whether the ledger is as it was written.",
    "calc": "Work out one published formula and say where it comes from.",
    "plugins": "List the plugins and what they answer.",
    "trust": "Let the plugin files of a shop run on this computer.",
}

#: Commands that ask plugins: code that may end the process.
ASKING = ("demo", "check", "sheet", "compare", "impact", "uses", "why", "label", "log", "report", "plugins")
#: Exit statuses.
DONE, STOP, BAD_INPUT, INCOMPLETE, BROKEN = 0, 1, 2, 3, 70
#: New things held before cycles are looked for: a run is over before looking for them pays.
SELDOM = 100_000
#: As a shell counts them: ended by the person, and the reader of our pipe has gone. click's own 1 would read as STOP.
INTERRUPTED, UNREAD = 130, 141


class Mixed(click.ClickException):
    """Two distributions share our folder."""

    exit_code = BROKEN  # click's own 1 would read as a stop finding


class Commands(click.Group):
    """Stubs serve help, suggestions and completion; a command is imported only to run or explain it."""

    def main(self, args: Sequence[str] | None = None, *more: Any, **extra: Any) -> Any:
        """Run what was typed; where it asks plugins and the system can, in a process that is watched."""
        run = partial(super().main, args, *more, **extra)
        if args is None and hasattr(os, "fork") and sys.argv[1:2] in [[name] for name in ASKING]:
            from safety.cli.supervised import supervised

            supervised(run, (DONE, STOP, INCOMPLETE), BROKEN)
        return run()

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        name, stub, rest = super().resolve_command(ctx, args)
        return name, stub and import_module(f"safety.cli.{name}").command, rest

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Refuse what could steer the terminal when it is printed again."""
        for argument in args:
            if steers(argument, but="\t\n"):
                wrong = say('"{text}" holds a sign that cannot be printed', text=argument)
                click.echo(Problem("hazstep", 0, "", wrong, say("type it again")), err=True)
                ctx.exit(BAD_INPUT)
        return super().parse_args(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; whatever escapes it becomes plain words and an exit status."""
        try:
            return super().invoke(ctx)
        except (click.ClickException, click.exceptions.Exit):
            raise
        except (click.Abort, KeyboardInterrupt, EOFError):
            click.echo(say("\nStopped; what was not done by then is left out."), err=True)
            ctx.exit(INTERRUPTED)
        except Problems as mistakes:
            for problem in mistakes.problems:
                click.echo(problem, err=True)
            ctx.exit(BAD_INPUT)
        except OSError as error:
            if isinstance(error, BrokenPipeError):
                sys.stdout = sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 nothing is left to say
                ctx.exit(UNREAD)
            where = error.filename or say("standard output")
            click.echo(printable(say("{file}: {reason}", file=where, reason=error.strerror or error)), err=True)
            ctx.exit(BAD_INPUT)
        except Exception as error:
            if os.environ.get("HAZSTEP_TRACE"):
                raise
            kind = type(error).__name__
            click.echo(
                say(
                    "hazstep failed, which is a fault of the program ({kind}: {error}); "
                    "set HAZSTEP_TRACE=1 and run it again to see where.",
                    kind=kind,
                    error=error,
                ),
                err=True,
            )
            ctx.exit(BROKEN)


@click.group(
    cls=Commands,
    commands=[click.Command(name, help=line) for name, line in COMMANDS.items()],
)
@click.version_option(safety.__version__, prog_name="hazstep")
def main() -> None:
    """What a job puts in the air and on the skin, step by step.

    Exit status: 0 done, 1 done and there is a stop finding, 2 bad input, 3 done but INCOMPLETE.
    """
    gc.set_threshold(SELDOM)
    for stream in (sys.stdout, sys.stderr):
        # a name the terminal cannot show must not end the program
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="spelt")
    if _mixed():
        raise Mixed(
            say(
                "Another package called safety is installed in the same folder ({folder}); "
                "install hazstep in an environment of its own.",
                folder=Path(safety.__file__).parent,
            )
        )


def _spelt(error: UnicodeError) -> tuple[str, int]:
    """What an encoding lacks, as JSON spells it: what is printed may be JSON, in which \\xf3 is a mistake."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    halves = error.object[error.start : error.end].encode("utf-16-be", "surrogatepass").hex()
    return "".join(f"\\u{halves[i : i + 4]}" for i in range(0, len(halves), 4)), error.end


codecs.register_error("spelt", _spelt)


def _mixed() -> bool:
    """Whether another distribution has written its own ``safety`` over or into ours.

    Ours never holds a module named like itself, nor a module and a folder of one name.
    """
    folder = Path(safety.__file__).parent
    ours = hasattr(safety, "HOOKS_VERSION") and (folder / "data" / "units.txt").is_file()
    foreign = find_spec("safety.safety") is not None or (folder / "cli.py").exists()
    return foreign or not ours
