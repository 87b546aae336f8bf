"""``hazstep report``: what is owed to somebody of a period, as a draft for the responsible person."""

from __future__ import annotations

import re
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from safety.cli import DONE, INCOMPLETE
from safety.cli.options import FORM, shop
from safety.cli.output import Target, look, write
from safety.words import say

if TYPE_CHECKING:
    from safety.model import OwedReport, Period
    from safety.render.forms import Form
    from safety.workplace import Workplace

_FILE = click.Path(path_type=Path)
_MONTH = re.compile(r"\d{4}-(0[1-9]|1[0-2])", re.ASCII)


@click.command()
@click.argument("kind", required=False)
@click.option("--period", metavar="PERIOD", help="A month, 2026-11, or a calendar year, 2026.")
@click.option("--from", "first", metavar="YYYY-MM", help="The first month.")
@click.option("--to", "last", metavar="YYYY-MM", help="The last month.")
@click.option("--pdf", type=_FILE, metavar="FILE", help="Also write a PDF.")
@click.option("--csv", type=_FILE, metavar="FILE", help="Also write all of it as one CSV file.")
@click.option("--tables", type=_FILE, metavar="DIR", help="Also write each table as a tidy CSV file into DIR.")
@click.option("--sqlite", type=_FILE, metavar="FILE", help="Also write all tables as one SQLite file, such as year.db.")
@FORM
@shop()
def command(
    kind: str | None,
    period: str | None,
    first: str | None,
    last: str | None,
    pdf: Path | None,
    csv: Path | None,
    tables: Path | None,
    sqlite: Path | None,
    form: Form,
    folder: Path,
) -> None:
    """Print a report that is owed, as a draft for the responsible person.

    Without KIND, list the reports there are. Give --period, or --from and --to. All forms say the same.
    In the tables of --tables and --sqlite numbers are numbers, a column's name ends in its unit, what
    is not known is empty, and the table "about" explains each column.

    \b
    Examples:
      hazstep report
      hazstep report waste-manifests --period 2026 --pdf manifests.pdf
      hazstep report records --from 2026-01 --to 2026-06 --tables half-year

    The exit status is 3 where the totals are INCOMPLETE.
    """
    from safety import reports
    from safety.render import is_pdf, owed_tables
    from safety.workplace import Workplace

    one = Target(pdf, ".pdf", partial(is_pdf, "report")) if pdf else None
    sheet = Target(csv, ".csv", owed_tables.is_csv) if csv else None
    base = Target(sqlite, ".db", owed_tables.is_sqlite) if sqlite else None
    look(one, sheet, base)
    when = _period(period, first, last) if kind or period or first or last else None
    workplace = Workplace.open(folder)
    if kind is None:
        _list(workplace, when)
        return
    assert when is not None
    with reports.opened(workplace, kind, when) as report:
        files: dict[Target, bytes] = {}
        if one:
            from safety.render.owed_pdf import pdf as page

            files[one] = page(report)
        if sheet:
            files[sheet] = owed_tables.one_csv(report)
        if tables:
            files |= {
                Target(tables / f"{name}.csv", ".csv", owed_tables.is_csv): content
                for name, content in owed_tables.csv_files(report)
            }
        if base:
            files[base] = owed_tables.sqlite_file(report)
        write(files)
        click.echo(_said(report, form), nl=False)
        complete = report.complete
    sys.exit(DONE if complete else INCOMPLETE)


def _said(report: OwedReport, form: Form) -> str:
    import json

    from safety.render import owed

    if form == "text":
        return owed.text(report)
    return json.dumps(owed.record(report), ensure_ascii=False, allow_nan=False, indent=2) + "\n"


def _list(workplace: Workplace, when: Period | None) -> None:
    """Every report that can be asked for, a line each."""
    from datetime import date

    from safety import reports
    from safety.model import Period

    today = f"{date.today():%Y-%m}"
    for name, kind in reports.kinds(workplace, when or Period(today, today)).items():
        click.echo(str(say("{name:<22} {title}. {says}", name=name, title=kind.title, says=kind.says)).rstrip())


def _period(period: str | None, first: str | None, last: str | None) -> Period:
    from safety.logbook import month_of, year_of
    from safety.model import Period
    from safety.problems import Problem, Problems

    if period and not (first or last) and (found := month_of(period) or year_of(period)):
        return found
    if not period and first and last and _MONTH.fullmatch(first) and _MONTH.fullmatch(last) and first <= last:
        return Period(first, last)
    if period:
        field, wrong = "--period", say('"{text}" cannot be read', text=period)
        wrong = say("a report is of a period, or from a month to one, not of both") if first or last else wrong
    elif first and last:
        field, wrong = "--from", say('from "{first}" to "{last}" is no time', first=first, last=last)
    else:
        field, wrong = "--period", say("nothing says of which months")
    write = say("write --period 2026-11, --period 2026, or --from 2026-01 --to 2026-06")
    raise Problems([Problem("report", 0, field, wrong, write)])
