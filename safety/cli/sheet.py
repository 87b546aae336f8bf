"""``hazstep sheet``: the pre-task sheet of one job."""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import click

from safety.cli import DONE, INCOMPLETE, STOP

if TYPE_CHECKING:
    from safety.model import Report


@click.command()
@click.argument("job", metavar="JOB")
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE", help="Also write a PDF.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to print.")
@click.option("--draws", type=click.IntRange(50, 200_000), default=2000, show_default=True, help="How many draws.")
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, help="Where the draws begin.")
def command(job: str, pdf: Path | None, form: str, draws: int, seed: int) -> None:
    """Print the pre-task sheet of one job.

    JOB is the file of a job, or its name in the shop of this folder.

    The exit status is 3 where the sheet is INCOMPLETE, even when there is a stop finding too.
    """
    from safety.assessment import assess_job
    from safety.reading import find_job

    report = assess_job(find_job(job, Path()), draws=draws, seed=seed)
    if pdf is not None:
        from safety.render.pdf import sheet

        write(pdf, sheet(report))
    click.echo(printed(report, form), nl=False)
    sys.exit(status(report))


def printed(report: Report, form: str) -> str:
    """The sheet as text or JSON, ending in a line break."""
    from safety.render import records, text

    if form == "text":
        return text.sheet(report)
    import json

    return json.dumps(records.sheet(report), ensure_ascii=False, allow_nan=False, indent=2) + "\n"


def status(report: Report) -> int:
    """The exit status a report stands for; an answer that is not whole outranks a stop."""
    if not report.complete:
        return INCOMPLETE
    return STOP if report.stops else DONE


def write(path: Path, content: bytes) -> None:
    """Write a file whole or not at all: beside it first, then renamed."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, beside = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            mask = os.umask(0)
            os.umask(mask)
            os.chmod(beside, 0o666 & ~mask)  # mkstemp makes it readable for its owner only
            os.replace(beside, path)
        except BaseException:
            Path(beside).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from error  # the name the person gave
