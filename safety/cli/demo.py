"""``hazstep demo``: a shop to try everything on."""

from __future__ import annotations

import shutil
from pathlib import Path

import click

from safety.cli.sheet import printed, write
from safety.problems import Problem, Problems
from safety.words import say

#: The demo shop as it comes with the program.
SHOP = Path(__file__).parents[1] / "data" / "demo"


@click.command()
@click.argument("folder", metavar="[DIR]", default="hazstep-demo", type=click.Path(path_type=Path))
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to print.")
def command(folder: Path, form: str) -> None:
    """Write the invented demo shop and every sheet of it into DIR.

    DIR must be new or empty; without it, hazstep-demo in this folder. The exit status is 0 when
    everything was written, whatever the sheets say.
    """
    from safety.assessment import assess_job
    from safety.render import pdf, text_safe
    from safety.render.arrange import arrange

    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        wrong, advice = say("is there already and is not an empty folder"), say("name another folder")
        raise Problems([Problem(folder.as_posix(), 0, "", wrong, advice)])
    shutil.copytree(SHOP, folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns("__pycache__"))
    results: dict[str, dict[str, object]] = {}
    for job in sorted((folder / "jobs").glob("*.toml")):
        report = assess_job(job)
        page = arrange(report)
        base = folder / "sheets" / job.stem
        files = [base.with_name(f"{job.stem}.{suffix}") for suffix in ("pdf", "txt", "json")]
        contents = (pdf.sheet(report), printed(report, "text").encode(), printed(report, "json").encode())
        for file, content in zip(files, contents, strict=True):
            write(file, content)
        results[job.stem] = {
            "title": text_safe(page.title),
            "result": page.result[1],
            "complete": report.complete,
            "files": [file.as_posix() for file in files],
        }
    if form == "json":
        import json

        click.echo(json.dumps({"folder": folder.as_posix(), "jobs": results}, ensure_ascii=False, indent=2))
        return
    click.echo(say("The demo shop is in {folder}. Its names and products are invented.", folder=folder))
    for result in results.values():
        click.echo("")
        click.echo(say("{title}: {result}", **result))
        if not result["complete"]:
            click.echo(say("  INCOMPLETE: the sheet says what is not known"))
        for file in result["files"]:  # type: ignore[attr-defined]
            click.echo(say("  {file}", file=file))
