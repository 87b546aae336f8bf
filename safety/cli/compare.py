"""``hazstep compare``: what a change would do, and the least change that helps."""

from __future__ import annotations

import json
import sys

import click

from safety.cli import DONE, INCOMPLETE, STOP, complete
from safety.cli.given import AIR, START, moment, state_of
from safety.cli.options import DRAWS, FORM, SEED
from safety.cli.terminal import progress_bar
from safety.words import say


@click.command()
@click.argument("job", metavar="JOB", shell_complete=complete.jobs)
@click.option("--change", "changes", metavar="KEY=VALUE", multiple=True, help="One alternative; repeat it for more.")
@click.option("--try", "attempt", is_flag=True, help="Look for the least change that removes each stop and respirator.")
@START
@AIR
@FORM
@DRAWS
@SEED
def command(
    job: str,
    changes: tuple[str, ...],
    attempt: bool,
    start: str | None,
    air: str | None,
    form: str,
    draws: int,
    seed: int,
) -> None:
    """Show what a change would do, and the least change that helps.

    Each alternative stands beside the job as planned. JOB is a job's file or id. KEY is a key of
    the shop, the job or a product as the files have it, with ids, names or numbers for tables of
    a list. Changes that go together stand in one --change,
    with ; between them. No file is changed. With --start or --air every alternative begins then, or is in
    that state of the air, unless it says otherwise.

    \b
    Examples:
      hazstep compare boot-replacement --change 'place.bay-2.air_changes="6 /hour"'
      hazstep compare boot-replacement --change 'job.air=doors shut' --change 'step.1.people=far; step.2.people=far'
      hazstep compare boot-replacement --change 'step.Wipe the surface clean.use.1.amount=100 mL' --try

    The exit status is that of the best alternative, and 3 where any of them is INCOMPLETE.
    """
    from safety.compare import Alternative, compare, propose, ranked, read_alternatives
    from safety.render import compare as render
    from safety.render.records import asked
    from safety.workplace import Workplace

    if not changes and not attempt:
        raise click.UsageError(say("give at least one --change KEY=VALUE, or --try"))
    opened, path = Workplace.of(job)
    workplace = opened.given(path, start=moment(start, opened.shop), air=state_of(air))
    (planned,) = workplace.planned([path])
    alternatives = [Alternative(""), *read_alternatives(changes, path, planned.job)]
    with progress_bar(say("comparing"), form) as progress:
        outcomes = ranked(compare(workplace, path, alternatives, draws=draws, seed=seed, progress=progress))
    found = []
    if attempt:
        with progress_bar(say("trying"), form) as progress:
            found = propose(workplace, path, draws=draws, seed=seed, progress=progress)
    if form == "json":
        content = {
            "asked": asked(outcomes[0].report),
            "alternatives": render.record(outcomes),
            "proposals": render.record_proposals(found),
        }
        click.echo(json.dumps(content, ensure_ascii=False, allow_nan=False, indent=2))
    else:
        click.echo(render.table(outcomes), nl=False)
        if attempt:
            click.echo(render.proposals(found), nl=False)
    whole = all(o.report.complete for o in outcomes)
    sys.exit(INCOMPLETE if not whole else STOP if outcomes[0].stops else DONE)
