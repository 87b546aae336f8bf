"""``hazstep demo``: a shop to try everything on."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from datetime import datetime, timezone
from pathlib import Path
from typing import TYPE_CHECKING

import click

from safety.cli.options import FORM
from safety.cli.output import Target, only_new, write
from safety.cli.terminal import progress_bar
from safety.problems import Problem, Problems
from safety.words import say

if TYPE_CHECKING:
    from safety.workplace import Workplace

#: The demo shop as it comes with the program.
SHOP = Path(__file__).parents[1] / "data" / "demo"
#: The moment up to which the invented records run.
_NOW = datetime(2026, 11, 30, 18, 0, tzinfo=timezone.utc)
_LOGS = ("2026-11", "2026")


@click.command()
@click.argument("folder", metavar="[DIR]", default="hazstep-demo", type=click.Path(path_type=Path))
@FORM
def command(folder: Path, form: str) -> None:
    """Write the invented demo shop, its sheets and its logs into DIR.

    DIR must be new or empty; without it, hazstep-demo in this folder. The exit status is 0 when
    everything was written, whatever the sheets say.

    \b
    Example:
      hazstep demo my-demo
    """
    there = folder.exists()
    if there and (not folder.is_dir() or any(folder.iterdir())):
        wrong, advice = say("is there already and is not an empty folder"), say("name another folder")
        raise Problems([Problem(folder.as_posix(), 0, "", wrong, advice)])
    try:
        results, logs = _fill(folder, form)
    except BaseException:  # half a shop would be taken for a whole one
        shutil.rmtree(folder, ignore_errors=True)
        if there:
            folder.mkdir(exist_ok=True)
        raise
    if form == "json":
        import json

        whole = {"folder": folder.as_posix(), "jobs": results, "logs": logs}
        click.echo(json.dumps(whole, ensure_ascii=False, indent=2))
        return
    click.echo(say("The demo shop is in {folder}. Its names and products are invented.", folder=folder))
    for result in (*results.values(), *logs.values()):
        click.echo("")
        click.echo(say("{title}: {result}", **result))
        if not result["complete"] and say("INCOMPLETE") not in str(result["result"]):
            click.echo(say("  INCOMPLETE: the page says what is not known"))
        for file in result["files"]:  # type: ignore[attr-defined]
            click.echo(say("  {file}", file=file))


def _fill(folder: Path, form: str) -> tuple[dict[str, dict[str, object]], dict[str, dict[str, object]]]:
    """Write everything; return what to say of each job and of each log."""
    from safety.assessment import part_of
    from safety.render import forms, pdf, text_safe
    from safety.render.arrange import arrange
    from safety.workplace import Workplace

    shutil.copytree(SHOP, folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns("__pycache__"))
    keep_records(folder)
    results: dict[str, dict[str, object]] = {}
    workplace = Workplace.open(folder)
    jobs = sorted((folder / "jobs").glob("*.toml"))
    with progress_bar(say("assessing"), form) as progress:
        reports = [workplace.assess(job, progress=part_of(progress, at, len(jobs))) for at, job in enumerate(jobs)]
    for job, report in zip(jobs, reports, strict=True):
        page = arrange(report)
        base = folder / "sheets" / job.stem
        text, record = forms.sheet(report, "text").encode(), forms.sheet(report, "json").encode()
        files = _write(base, {"pdf": pdf.sheet(report), "annex.pdf": pdf.annex(report), "txt": text, "json": record})
        results[job.stem] = {
            "title": text_safe(page.title),
            "result": page.result[1],
            "complete": report.complete,
            "files": files,
        }
    return results, {period: _log(workplace, folder, period) for period in _LOGS}


def keep_records(folder: Path) -> None:
    """Take the invented records into a ledger, and correct the one with a slip in it."""
    from safety.files.shop_files import ShopFiles
    from safety.ledger.corrections import correct, draft_of
    from safety.ledger.csv_rows import read_csv
    from safety.ledger.drafts import Draft, read_draft
    from safety.ledger.entries import record
    from safety.ledger.store import open_ledger

    shop = ShopFiles.of(folder).shop
    rows = read_csv(folder / "records.csv", shop, _NOW)
    with open_ledger(shop, create=True) as ledger:
        record(ledger, rows.drafts)
        amended = read_draft("use", {"amount": "750 mL"}, shop, _NOW, draft_of(ledger, "demo-flap-wipe"))
        assert isinstance(amended, Draft)
        correct(ledger, "demo-flap-wipe", amended, "Tech 3", "a zero was missing")


def _log(workplace: Workplace, folder: Path, period: str) -> dict[str, object]:
    from safety.logbook import make_log
    from safety.model import Period
    from safety.render import forms, log_pdf, log_text
    from safety.render.log import arrange

    whole = Period(period, period) if "-" in period else Period(f"{period}-01", f"{period}-12")
    report = make_log(workplace, whole)
    page = arrange(report)
    text, record = forms.log(report, "text").encode(), forms.log(report, "json").encode()
    contents = {"pdf": log_pdf.log(report), "csv": log_text.table(report), "txt": text, "json": record}
    files = _write(folder / "logs" / period, contents)
    return {"title": page.title, "result": page.result, "complete": report.complete, "files": files}


def _write(base: Path, forms: dict[str, bytes]) -> Sequence[str]:
    """Write each form beside the others; returns the names."""
    files = [base.with_name(f"{base.name}.{suffix}") for suffix in forms]
    write({Target(f, f.suffix, only_new): content for f, content in zip(files, forms.values(), strict=True)})
    return [file.as_posix() for file in files]
