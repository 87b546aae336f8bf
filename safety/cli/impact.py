"""``hazstep impact``: what other rules, or another edition of a product, change in each job of a shop."""

from __future__ import annotations

import json
import sys
from dataclasses import asdict
from functools import partial
from pathlib import Path

import click

from safety.cli import DONE, INCOMPLETE, STOP, complete
from safety.cli.given import AS_OF, day_of
from safety.cli.options import FORM, SEED, shop
from safety.cli.output import Target, look, write
from safety.cli.terminal import progress_bar
from safety.render import is_pdf
from safety.words import say


@click.command()
@click.argument("jobs", metavar="[JOB]...", nargs=-1, shell_complete=complete.jobs)
@AS_OF
@click.option(
    "--rules", metavar="PACK", multiple=True, help="The packs in place of the shop's own; repeat it for more."
)
@click.option(
    "--product",
    "edition",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    metavar="FILE",
    help="Another edition of a product: a file with the id of the one it stands for.",
)
@click.option(
    "--pdf",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Also write a PDF: a new file, or over an earlier one.",
)
@click.option(
    "--csv", type=click.Path(path_type=Path), metavar="FILE", help="Also write a CSV file, or over an earlier one."
)
@FORM
@shop()
@click.option(
    "--draws", type=click.IntRange(59, 200_000), default=400, show_default=True, help="How many draws: a first pass."
)
@SEED
def command(
    jobs: tuple[str, ...],
    as_of: str | None,
    rules: tuple[str, ...],
    edition: Path | None,
    pdf: Path | None,
    csv: Path | None,
    form: str,
    folder: Path,
    draws: int,
    seed: int,
) -> None:
    """Show what other rules, or another edition of a product, change in each job.

    Each job of the shop, or each JOB, is assessed as it is and by the change, with the same draws, in processes of
    their own. No file is changed. The rules a job has now are those of its own day.

    \b
    Examples:
      hazstep impact --as-of 2029-01-01 --pdf impact.pdf
      hazstep impact --rules us-federal --rules eu --csv impact.csv
      hazstep impact --product products/wash-solvent.toml

    The exit status is 1 where a job gets a stop by the change, and 3 where a job is INCOMPLETE by it.
    """
    from safety.compare.impact import Changed, impact
    from safety.render import impact as render
    from safety.workplace import Workplace

    changed = Changed(day_of(as_of), rules, edition)
    if changed == Changed():
        raise click.UsageError(say("give --as-of DATE, --rules PACK or --product FILE"))
    target = Target(csv, ".csv", render.is_table) if csv else None
    page = Target(pdf, ".pdf", partial(is_pdf, "impact")) if pdf else None
    look(target, page)
    workplace = Workplace.open(folder)
    paths = [workplace.find(job) for job in jobs] or list(workplace.files.all("job"))
    with progress_bar(say("assessing"), form) as progress:
        found = impact(workplace, paths, changed, draws=draws, seed=seed, progress=progress)
    contents: dict[Target, bytes] = {}
    if target:
        contents[target] = render.table(found)
    if page:
        from safety.render.impact_pdf import pdf as drawn

        title = render.title(changed.as_of, rules, edition.name if edition else "")
        contents[page] = drawn(found, title, workplace.shop, draws)
    write(contents)
    if form == "json":
        content = {"draws": draws, "jobs": [{**asdict(one), "touched": one.touched} for one in found]}
        click.echo(json.dumps(content, ensure_ascii=False, allow_nan=False, indent=2))
    else:
        click.echo(render.text(found, draws), nl=False)
    if any(one.complete == (True, False) for one in found):
        sys.exit(INCOMPLETE)
    sys.exit(STOP if any(one.stops[1] > one.stops[0] for one in found) else DONE)
