"""``hazstep log``: the consumption log and the waste totals of a month or a year."""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from safety.cli import DONE, INCOMPLETE
from safety.cli.as_frozen import alone
from safety.cli.given import day_of
from safety.cli.options import FORM, language, shop
from safety.cli.output import Target, look, write
from safety.cli.terminal import painted, progress_bar
from safety.words import ENGLISH, say, spoken

if TYPE_CHECKING:
    from datetime import date

    from safety.model import LogReport, Period
    from safety.render.forms import Form


@click.command()
@click.option("--month", metavar="YYYY-MM", help="A month, such as 2026-11.")
@click.option("--year", metavar="YYYY", help="A calendar year.")
@click.option(
    "--pdf",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Also write a PDF: a new file, or over an earlier one.",
)
@click.option(
    "--csv",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Also write a CSV file: a new one, or over an earlier one.",
)
@click.option(
    "--as-of", "as_of", metavar="DATE", help="The day whose rules hold, in place of the last day of the time."
)
@click.option("--lines", is_flag=True, help="Print each record, however many there are.")
@FORM
@language("What to say it in.")
@shop()
@click.option("--freeze", is_flag=True, help="Keep the log in the ledger for good, as it is filed.")
@click.option("--frozen", metavar="ID", help="Show a frozen log again.")
def command(
    month: str | None,
    year: str | None,
    pdf: Path | None,
    csv: Path | None,
    as_of: str | None,
    lines: bool,
    form: Form,
    folder: Path,
    freeze: bool,
    frozen: str | None,
) -> None:
    """Print the consumption log and waste totals of a month or year.

    What was used, what went to the air and to waste, and what is left of every limit. Give --month
    or --year. All forms say the same; of more than 500 records the page is a summary, and each of
    them is in the CSV file, in JSON, or printed with --lines. The CSV file is UTF-8 with a byte order mark;
    a cell that a spreadsheet could run as a formula begins with an apostrophe.

    \b
    Examples:
      hazstep log --month 2026-11 --pdf log.pdf
      hazstep log --year 2026 --csv log.csv
      hazstep log --month 2026-11 --language es
      hazstep log --year 2026 --as-of 2027-04-01

    With --as-of it is INCOMPLETE as a log of its time, and it is not frozen.

    The exit status is 3 where the totals are INCOMPLETE.
    """
    from safety.frozen.filed import with_earlier
    from safety.logbook import make_log
    from safety.render import forms
    from safety.workplace import Workplace

    if freeze and spoken() != ENGLISH:
        _filed_in_english()
    page, table = _targets(pdf, csv)
    look(page, table)
    if frozen is not None:
        sys.exit(_frozen(frozen, folder, page, table, form))
    workplace = Workplace.open(folder).as_of(_rules_of(as_of, freeze))
    with progress_bar(say("counting"), form) as progress:
        every = lines or freeze or table is not None or form == "json"
        report = with_earlier(make_log(workplace, _period(month, year), progress, every))
    _write(report, page, table, lines)
    id = ""
    if freeze:
        from safety.frozen.pages import freeze_log

        id = freeze_log(workplace, report)  # before it is printed: what cannot be kept is not handed out as if it were
    if id:
        click.echo(say("Frozen as {id}", id=id[:12]), err=True)
    click.echo(painted(forms.log(report, form, lines)), nl=False)
    sys.exit(DONE if report.complete else INCOMPLETE)


def _frozen(id: str, folder: Path, page: Target | None, table: Target | None, form: str) -> int:
    """Show a log as it was filed, to the last digit."""
    import json

    from safety.frozen import pages
    from safety.frozen.filed import again

    alone(click.get_current_context(), "log")
    kept, shop, mistakes = pages.read(id, folder, "log")
    then = json.loads(kept.result)
    write(({page: pages.pdf_of(kept)} if page else {}) | ({table: kept.inputs[pages.CSV].encode()} if table else {}))
    today = again(kept, Path(shop.file), mistakes)
    if form == "json":
        click.echo(json.dumps({**pages.about(kept), "log": then, "today": today}, ensure_ascii=False, indent=2))
    else:
        click.echo(kept.inputs[pages.TEXT])
        for line in (*pages.lines(kept), *today):
            click.echo(line)
    return DONE if then["complete"] else INCOMPLETE


def _filed_in_english() -> NoReturn:
    """What is filed is held beside the log of a later day, word for word. Raises Problems."""
    from safety.problems import Problem, Problems

    wrong = say("a log is filed in English, so that a later one can be held beside it")
    raise Problems([Problem("log", 0, "--freeze", wrong, say("leave --language out, or --freeze"))])


def _write(report: LogReport, page: Target | None, table: Target | None, lines: bool) -> None:
    files = {}
    if page:
        from safety.render.log_pdf import log

        files[page] = log(report, lines)
    if table:
        from safety.render import log_text

        files[table] = log_text.table(report)
    write(files)


def _targets(pdf: Path | None, csv: Path | None) -> tuple[Target | None, Target | None]:
    """Where the log goes as a PDF, and as a table."""
    from safety.render import is_pdf
    from safety.render.log_text import is_table

    page = Target(pdf, ".pdf", partial(is_pdf, "log")) if pdf else None
    return page, Target(csv, ".csv", is_table) if csv else None


def _rules_of(as_of: str | None, freeze: bool) -> date | None:
    """The day whose rules are asked for; None: those of the time."""
    from safety.problems import Problem, Problems

    day = day_of(as_of)
    if day and freeze:
        wrong = say("a log by the rules of another day is not frozen")
        raise Problems([Problem("log", 0, "--as-of", wrong, say("leave out --as-of or --freeze"))])
    return day


def _period(month: str | None, year: str | None) -> Period:
    from safety.logbook import month_of, year_of
    from safety.problems import Problem, Problems

    if not (month and year) and (found := month_of(month or "") or year_of(year or "")):
        return found
    if month and year:
        field, wrong = "--month", say("a log is of a month or of a year, not of both")
    elif month or year:
        field = "--month" if month else "--year"
        wrong = say('"{text}" cannot be read', text=month or year)
    else:
        field, wrong = "--month", say("nothing says which month or year")
    raise Problems([Problem("log", 0, field, wrong, say("write --month 2026-11 or --year 2026"))])
