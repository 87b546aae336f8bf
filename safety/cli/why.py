"""``hazstep why``: where a figure of a sheet comes from."""

from __future__ import annotations

import json
from typing import Any

import click

from safety.cli import complete
from safety.cli.given import AIR, START, moment, state_of
from safety.cli.options import FORM
from safety.words import say


@click.command()
@click.argument("job", shell_complete=complete.jobs)
@click.argument("reference", required=False)
@START
@AIR
@FORM
def command(job: str, reference: str | None, start: str | None, air: str | None, form: str) -> None:
    """Show where a figure of a sheet comes from.

    JOB is a job's file or id. REFERENCE is the short number printed beside a finding on the sheet, such as 3.2
    (step 3, second finding; 0 is the whole job), or a step's number for all of its findings. Without it, all
    references are listed. With --start or --air, of the sheet that is printed with the same.

    \b
    Examples:
      hazstep why boot-replacement
      hazstep why boot-replacement 6.3
      hazstep why laminate-wipe-down 1 --air "roof fans on"
    """
    from safety.files.notation import nearest
    from safety.problems import Problem, Problems
    from safety.why import explain, references
    from safety.workplace import Workplace

    workplace, path = Workplace.of(job)
    report = workplace.assess(path, start=moment(start, workplace.shop), air=state_of(air))
    known = references(report)
    chosen = [r for r in known if reference in (None, r, r.partition(".")[0])]
    if not chosen:
        raise Problems(
            [Problem(reference or job, 0, "", say("the sheet has no such reference"), nearest(reference or "", known))]
        )
    if reference is None:
        rows = [(r, known[r]) for r in chosen]
        if form == "json":
            click.echo(json.dumps({r: f.statement for r, f in rows}, indent=2, ensure_ascii=False))
        else:
            click.echo("\n".join(f"{r:6} {f.topic:10} {f.short}" for r, f in rows))
        return
    trees = [explain(report, r, known[r]) for r in chosen]
    if form == "json":
        click.echo(json.dumps([_record(tree) for tree in trees], indent=2, ensure_ascii=False))
    else:
        click.echo("\n\n".join("\n".join(tree.lines()) for tree in trees))


def _record(node: Any) -> dict[str, Any]:
    return {"text": node.text, "under": [_record(n) for n in node.under]}
