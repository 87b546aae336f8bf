"""``hazstep sheet``: the pre-task sheet of one job, or of each job of a day."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn, TypeVar

import click

from safety.cli import DONE, INCOMPLETE, STOP, complete
from safety.cli.as_frozen import alone
from safety.cli.given import AIR, AS_OF, START, day_of, moment, state_of
from safety.cli.options import DRAWS, FORM, SEED, language
from safety.cli.output import Target, look, write
from safety.cli.terminal import painted, progress_bar
from safety.words import say

if TYPE_CHECKING:
    from datetime import date

    from safety.model import Report
    from safety.render.forms import Form
    from safety.workplace import Workplace

Of = TypeVar("Of")


@click.command()
@click.argument("jobs", metavar="[JOB]...", nargs=-1, shell_complete=complete.jobs)
@click.option(
    "--pdf",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Also write the technician's two sides as a PDF: a new file, or over an earlier one.",
)
@click.option(
    "--annex",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Also write the officer's annex as a PDF: all findings in full, charts, tables, sources.",
)
@FORM
@click.option("--full", is_flag=True, help="Print every finding in full as text too.")
@DRAWS
@SEED
@START
@AIR
@AS_OF
@click.option("--freeze", is_flag=True, help="Keep the sheet in the ledger for good, with all it was made from.")
@language("What to say it in.")
@click.option("--frozen", metavar="ID", help="Show a frozen sheet again, and what today would decide otherwise.")
def command(
    jobs: tuple[str, ...],
    pdf: Path | None,
    annex: Path | None,
    form: Form,
    full: bool,
    draws: int,
    seed: int,
    start: str | None,
    air: str | None,
    as_of: str | None,
    freeze: bool,
    frozen: str | None,
) -> None:
    """Print the pre-task sheet of one job, or of each job of a day.

    JOB is the file of a job, or its name in the shop of this folder. As text, only what needs doing is printed
    in full; --full adds the rest, and JSON always has everything.

    --pdf is the technician's sheet: two sides for up to ten steps, a further such sheet for more. --annex is for the
    safety officer: everything else, in a file of its own.

    Several JOBs are judged on one clock: what one gives off is in the air of the others. A page for
    the day comes first, then each sheet, all in one PDF; the annexes of all are one PDF too.

    --start, --air and --as-of change no file; the sheet says that they were given. With --as-of it is not frozen.

    \b
    Examples:
      hazstep sheet boot-replacement --pdf today.pdf --annex annex.pdf
      hazstep sheet boot-replacement laminate-wipe-down --pdf day.pdf
      hazstep sheet laminate-wipe-down --start now --air "roof fans on" --as-of 2027-01-01
      hazstep sheet laminate-wipe-down --freeze
      hazstep sheet --frozen 3f2a9c01

    The exit status is 3 where the sheet is INCOMPLETE, even when there is a stop finding too.
    """
    from safety.render import forms

    _fits(jobs, freeze, frozen, start is not None or air is not None, as_of is not None)
    day, (target, behind) = day_of(as_of), _targets(pdf, annex)
    if frozen is not None:
        sys.exit(_frozen(frozen, target, behind, form))
    if len(jobs) > 1:
        _day(jobs, target, behind, form, full, draws, seed, day)
    workplace, path = _by_the_rules_of(day, jobs[0])
    begins, state = moment(start, workplace.shop), state_of(air)
    with progress_bar(say("assessing"), form) as progress:
        report = workplace.assess(path, start=begins, air=state, draws=draws, seed=seed, progress=progress)
    if target or behind:
        from safety.render import pdf as paper

        write(_papers(report, (target, paper.sheet), (behind, paper.annex)))
    if freeze:
        from safety.frozen.pages import freeze_sheet

        # before it is printed: what cannot be kept is not handed out as if it were
        click.echo(say("Frozen as {id}", id=freeze_sheet(workplace, report)[:12]), err=True)
    click.echo(painted(forms.sheet(report, form, full)), nl=False)
    sys.exit(status(report))


def _by_the_rules_of(day: date | None, job: str) -> tuple[Workplace, Path]:
    """The workplace of a job and its file; by the rules of a day, where one was given."""
    from safety.workplace import Workplace

    workplace, path = Workplace.of(job)
    return (workplace.as_of(day) if day else workplace), path


def _fits(jobs: tuple[str, ...], freeze: bool, frozen: str | None, asked: bool, as_of: bool) -> None:
    """Raise Problems where jobs and options do not go together."""
    from safety.problems import Problem, Problems

    wrong = ""
    if not jobs and frozen is None:
        wrong = say("nothing says which job")
    elif freeze and len(jobs) > 1:
        wrong = say("one job is frozen at a time")
    elif asked and len(jobs) > 1:
        wrong = say("--start and --air are for one job")
    elif as_of and freeze:
        wrong = say("a sheet by the rules of another day is not frozen")
    if wrong:
        raise Problems([Problem("sheet", 0, "", wrong, say("write hazstep sheet JOB, or hazstep sheet --frozen ID"))])


def _day(
    jobs: tuple[str, ...],
    target: Target | None,
    behind: Target | None,
    form: Form,
    full: bool,
    draws: int,
    seed: int,
    as_of: date | None,
) -> NoReturn:
    """Print every sheet of a day after a page for the day; the exit status is that of the worst sheet."""
    from safety.day import assess_day
    from safety.render import day, forms, records

    (workplace, _), *_ = found = [_by_the_rules_of(as_of, job) for job in jobs]
    with progress_bar(say("assessing"), form) as progress:
        reports = assess_day(workplace, [path for _, path in found], draws=draws, seed=seed, progress=progress)
    if target or behind:
        from safety.render import day_pdf

        write(_papers(reports, (target, day_pdf.day), (behind, day_pdf.annexes)))
    if form == "text":
        pages = [day.overview(reports), *(forms.sheet(r, form, full) for r in reports)]
        click.echo(painted("\n\n".join(pages)), nl=False)
    else:
        import json

        content = {"day": day.record(reports), "sheets": [records.sheet(r) for r in reports]}
        click.echo(json.dumps(content, ensure_ascii=False, allow_nan=False, indent=2))
    sys.exit(max((status(r) for r in reports), key=(DONE, STOP, INCOMPLETE).index))


def _frozen(id: str, target: Target | None, behind: Target | None, form: Form) -> int:
    """Show a frozen sheet to the last digit, then what has changed since; the exit status is the sheet's own."""
    import json

    from safety.frozen import pages
    from safety.frozen.today import again

    alone(click.get_current_context(), "sheet")
    kept, shop, mistakes = pages.read(id, Path(), "sheet")
    write(_papers(kept, (target, pages.pdf_of), (behind, pages.annex_of)))
    then, today = json.loads(kept.result), again(kept, shop, mistakes)
    if form == "json":
        whole = {**pages.about(kept), "today": today, "sheet": then}
        click.echo(json.dumps(whole, ensure_ascii=False, indent=2))
    else:
        click.echo(painted(kept.inputs[pages.TEXT]))
        for line in (*pages.lines(kept), *today):
            click.echo(line)
    if not then["complete"]:
        return INCOMPLETE
    return STOP if then["stops"] else DONE


def _targets(pdf: Path | None, annex: Path | None) -> tuple[Target | None, Target | None]:
    """Where the sheet and the annex go: each to a new file, or over an earlier one of its kind. Raises Problems."""
    from safety.problems import Problem, Problems
    from safety.render import is_pdf

    sheet = Target(pdf, ".pdf", partial(is_pdf, "sheet")) if pdf else None
    behind = Target(annex, ".pdf", partial(is_pdf, "annex")) if annex else None
    if pdf and annex and pdf.absolute() == annex.absolute():
        wrong = say("--pdf and --annex name one file")
        raise Problems([Problem("sheet", 0, "--annex", wrong, say("give the annex a name of its own"))])
    look(sheet, behind)
    return sheet, behind


def _papers(of: Of, *wanted: tuple[Target | None, Callable[[Of], bytes]]) -> dict[Target, bytes]:
    """What was asked for, drawn."""
    return {target: draw(of) for target, draw in wanted if target}


def status(report: Report) -> int:
    """The exit status a report stands for; an answer that is not whole outranks a stop."""
    if not report.complete:
        return INCOMPLETE
    return STOP if report.stops else DONE
