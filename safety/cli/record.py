"""``hazstep record``: write down what came in, was used, went back and was thrown away."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from safety.cli import complete
from safety.cli.record_output import print_stored
from safety.cli.record_words import EXAMPLES, FIELDS, KINDS, WAY_OPTION
from safety.cli.terminal import asking, said_of_what_is_kept
from safety.files.notation import Miswritten, nearest
from safety.ledger.amounts import read_amount
from safety.ledger.drafts import SHAPES, Draft, Mistake, read_draft, read_field
from safety.problems import Problem, Problems
from safety.units import UnitError
from safety.wall import now_at
from safety.words import say

if TYPE_CHECKING:
    from safety.ledger.entries import Stored
    from safety.ledger.twins import Twins
    from safety.model import Shop

_SHOP = click.Option(
    ["--shop", "folder"],
    type=click.Path(path_type=Path),
    default=Path(),
    show_default=False,
    metavar="PATH",
    help="The shop. Left out: the one this folder belongs to.",
)
_FORM = click.Option(["--format", "form"], type=click.Choice(["text", "json"]), default="text", help="How to print.")


def _option(name: str, kind: str, flag: str = "") -> click.Option:
    words = FIELDS[name][0].format(ways=", ".join(SHAPES[kind].ways or ()) if kind in SHAPES else "as it was recorded")
    return click.Option(
        [flag or f"--{name}", name], help=words, metavar="TEXT", shell_complete=complete.FIELDS.get(name)
    )


def _flag(kind: str, name: str) -> str:
    """How a field is given on the command line of a kind of record."""
    if kind in KINDS and name in KINDS[kind][1]:
        return name.upper()
    return WAY_OPTION.get(kind, "--way") if name == "way" else f"--{name}"


class _Kind(click.Command):
    """A command whose amount may be mistyped with a minus: click would take "-100 mL" for an option."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        takes = {flag for p in self.params if isinstance(p, click.Option) and not p.is_flag for flag in p.opts}
        own = args[: args.index("--")] if "--" in args else args
        for before, argument in zip(["", *own], own, strict=False):
            if before not in takes and re.match(r"-[\d.,]", argument):
                try:
                    read_amount(argument)
                except (Miswritten, UnitError) as error:
                    raise _told(str(ctx.info_name), [Mistake("amount", error.wrong, error.write)]) from None
        return super().parse_args(ctx, args)


@click.group()
def command() -> None:
    """Write down what came in, was used, went back and was thrown away.

    At a terminal, what is missing is asked for. Each record prints its key. Give --key yourself
    where a command may be sent twice: the same key counts once.

    \b
    Example:
      hazstep record use acetone "250 mL" --lot A-2607 --basis measured --who "Tech 3"
    """


def _kind(kind: str) -> click.Command:
    """The command of one kind of record."""
    summary, arguments = KINDS[kind]
    parameters: list[click.Parameter] = [
        click.Argument([name], required=False, metavar=f"[{name.upper()}]", shell_complete=complete.FIELDS.get(name))
        for name in arguments
    ]
    options = [name for name in FIELDS if name in (*SHAPES[kind].fields, "when", "key") and name not in arguments]
    parameters += [_option(name, kind, _flag(kind, name)) for name in options]
    parameters.append(
        click.Option(["--again"], is_flag=True, help="It is a second one, like one of that day in everything.")
    )

    def run(folder: Path, form: str, again: bool, **texts: str | None) -> None:
        _record(kind, _shop(folder), form, again, {name: line for name, line in texts.items() if line})

    return _Kind(kind, params=[*parameters, _SHOP, _FORM], callback=run, help=_explained(kind, summary))


def _explained(kind: str, summary: str) -> str:
    example = say("hazstep record {kind} {rest}", kind=kind, rest=EXAMPLES[kind])
    return say("{summary}\n\n\b\nExample:\n  {example}", summary=summary, example=example)


def _record(kind: str, shop: Shop, form: str, again: bool, texts: dict[str, str]) -> None:
    from safety.ledger.entries import Refused, record
    from safety.ledger.store import open_ledger

    somebody = asking()
    if somebody:
        _ask(kind, shop, texts)
    draft = read_draft(kind, texts, shop, now_at(shop))
    if isinstance(draft, list):
        raise _told(kind, draft)
    draft = replace(draft, again=again)
    _remark(draft, shop)
    with open_ledger(shop, create=True) as ledger:
        if ledger.new:
            click.echo(say("A new ledger was started: {where}", where=ledger.where), err=True)
        try:
            stored = record(ledger, [draft])
        except Refused as error:
            (_, mistake), *_ = error.mistakes
            if not somebody or mistake.field != "again":
                raise _told(kind, [mistake]) from None
            click.echo(say("{wrong}.", wrong=mistake.wrong), err=True)
            if not click.confirm(say("Record it a second time?"), err=True):
                raise click.Abort from None
            stored = record(ledger, [replace(draft, again=True)])
        with said_of_what_is_kept(_keys(stored)):
            print_stored(stored, ledger, shop, form)


def _correct(folder: Path, form: str, key: str, by: str, why: str, withdraw: bool, **texts: str | None) -> None:
    """Take a record back and put the corrected one in its place.

    Give only what changes. The record with the mistake stays in the log, with its reversal. With
    --product the product's file is read anew; otherwise the product stays as it was then.

    \b
    Example:
      hazstep record correct qb04-t1pa-gcn6 --amount "80 mL" --by "Tech 3" --why "read it again"
    """
    from safety.ledger.corrections import correct, draft_of, no_record, weighings_of
    from safety.ledger.entries import Refused
    from safety.ledger.store import open_ledger

    shop = _shop(folder)
    given = {name: line for name, line in texts.items() if line}
    if asking():
        by = by or click.prompt(say("Who corrects it"), err=True)
        why = why or click.prompt(say("What was wrong"), err=True)
    mistakes = [Mistake(name, say("this is missing")) for name, line in (("by", by), ("why", why)) if not line]
    if bool(given) == withdraw:
        wrong = say("a withdrawn record takes no other changes") if withdraw else say("nothing is said to change")
        mistakes.append(Mistake("withdraw", wrong, say("give what changes, or --withdraw alone")))
    with open_ledger(shop) as ledger:
        old = draft_of(ledger, key)
        if old is None:
            raise _told("correct", [*mistakes, no_record(key)])
        draft = None if withdraw else read_draft(old.kind, given, shop, now_at(shop), old)
        if isinstance(draft, list):
            mistakes += draft
        if mistakes or isinstance(draft, list):
            raise _told("correct", mistakes)
        try:
            stored = correct(ledger, key, draft, by, why)
        except Refused as error:
            raise _told("correct", [mistake for _, mistake in error.mistakes]) from None
        with said_of_what_is_kept(_keys(stored)):
            print_stored(stored, ledger, shop, form)
        weighed = weighings_of(ledger, key) if "amount" in given else ""
        if weighed:
            whole = say('"{amount}" is now the whole use, not what the balance showed', amount=given["amount"])
            click.echo(say("note: the use was {weighed}; {whole}", weighed=weighed, whole=whole), err=True)


def _import(file: Path, dry_run: bool, anyway: str, twins: Twins | None, folder: Path, form: str) -> None:
    """Take past records from a CSV file: all rows, or none when one is bad.

    The first line names the columns. The same file again adds nothing. A row that may be in the ledger already, written
    down at a terminal, is listed and asked about; --twins answers for all of them.

    \b
    Example:
      hazstep record import records.csv --dry-run
    """
    from safety.ledger.csv_rows import read_csv
    from safety.ledger.entries import Refused, record
    from safety.ledger.store import open_ledger

    shop = _shop(folder)
    rows = read_csv(file, shop, now_at(shop), anyway)
    with _scratch(shop, dry_run) as there, open_ledger(there, create=True) as ledger:
        try:
            stored = record(ledger, rows.drafts, dry_run=dry_run, twins=twins or "")
        except Refused as error:
            mistakes = Problems(
                Problem(file.as_posix(), rows.lines[index], m.field, m.wrong, m.in_a_file or m.write)
                for index, m in error.mistakes
            )
            if not asking() or any(m.field != "again" for _, m in error.mistakes):
                raise mistakes from None
            twins = _asked_of_twins(mistakes)
            stored = record(ledger, rows.drafts, dry_run=dry_run, twins=twins or "")
    new = sum(line.new for line in stored)
    old = len(stored) - new
    told = say("{new} records added, {old} were there already", new=new, old=old)
    if dry_run:
        told = say("{new} records would be added, {old} are there already; nothing was stored", new=new, old=old)
    answer = told
    if form == "json":
        import json

        answer = json.dumps({"added": 0 if dry_run else new, "would_add": new, "there": old}, indent=2)
    with said_of_what_is_kept(told):
        click.echo(answer)


def _asked_of_twins(told: Problems) -> Twins:
    for problem in told.problems:
        click.echo(problem, err=True)
    words = say("Are these the records that are there already (same), or further ones (second)")
    answer: Twins = click.prompt(words, type=click.Choice(["same", "second"]), err=True)
    return answer


@contextmanager
def _scratch(shop: Shop, dry_run: bool) -> Iterator[Shop]:
    """The shop; for a dry run where there is no ledger yet, with one that is thrown away."""
    from safety.ledger.address import DEFAULT
    from safety.ledger.store import has_ledger

    if not dry_run or has_ledger(shop):
        yield shop
        return
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        yield replace(shop, ledger=DEFAULT, file=str(Path(folder) / "shop.toml"))


# ---------------------------------------------------------------- asking


def _shop(folder: Path) -> Shop:
    from safety.files.shop_files import ShopFiles

    return ShopFiles.of(folder).shop


def _ask(kind: str, shop: Shop, texts: dict[str, str]) -> None:
    """Ask for what is missing; an answer that cannot be read is asked for again."""
    shape = SHAPES[kind]

    def reader(name: str) -> Callable[[str], str]:
        def read(line: str) -> str:
            if line:
                try:
                    read_field(name, line, kind, shop)
                except (Miswritten, UnitError) as error:
                    raise click.UsageError(str(error)) from None
            return line

        return read

    for name in (*shape.needs, *shape.asks):
        if name in texts or (name == "lot" and "anyway" in texts):
            continue
        words = FIELDS[name][1].format(ways=", ".join(shape.ways or ()))
        default = None if name in shape.needs else ""
        answer = click.prompt(words, default=default, show_default=False, value_proc=reader(name), err=True)
        if answer:
            texts[name] = answer


def _remark(draft: Draft, shop: Shop) -> None:
    """Say so where the shop has no such job or step: it may be a slip, or work that has no file."""
    if not draft.job:
        return
    from safety.files.shop_files import ShopFiles
    from safety.files.toml import open_document

    try:
        job = open_document(ShopFiles.of_job(draft.job, Path(shop.file).parent)[1]).data
    except Problems as error:
        click.echo(say("note: {problem}", problem=error.problems[0]), err=True)
        return
    steps = [step["name"] for step in job.get("step", ()) if isinstance(step, dict) and "name" in step]
    if draft.step and draft.step not in steps:
        near = nearest(draft.step, steps)
        click.echo(say('note: the job has no step "{step}"; {near}', step=draft.step, near=near), err=True)


# ---------------------------------------------------------------- telling


def _keys(stored: Sequence[Stored]) -> str:
    return say("stored, key {key}", key=", ".join(line.entry.key for line in stored))


def _told(kind: str, mistakes: Sequence[Mistake]) -> Problems:
    """Mistakes in the words of the command line."""
    place = say("record {kind}", kind=kind)
    flags = {m: "KEY" if (kind, m.field) == ("correct", "key") else _flag(kind, m.field) for m in mistakes}
    return Problems(Problem(place, 0, flags[m], m.wrong, m.write) for m in mistakes)


for _name in KINDS:
    command.add_command(_kind(_name))
command.add_command(
    _Kind(
        "correct",
        callback=_correct,
        help=_correct.__doc__,
        params=[
            click.Argument(["key"]),
            click.Option(["--by"], default="", metavar="TEXT", help="Who corrects it."),
            click.Option(["--why"], default="", metavar="TEXT", help="What was wrong."),
            click.Option(["--withdraw"], is_flag=True, help="It never happened: put nothing in its place."),
            *(_option(name, "correct") for name in FIELDS if name != "key"),
            _SHOP,
            _FORM,
        ],
    )
)
command.add_command(
    click.Command(
        "import",
        callback=_import,
        help=_import.__doc__,
        params=[
            click.Argument(["file"], type=click.Path(path_type=Path)),
            click.Option(["--dry-run"], is_flag=True, help="Read and check everything and store nothing."),
            click.Option(["--anyway"], default="", metavar="TEXT", help="Take rows with bad lots, for this reason."),
            click.Option(
                ["--twins"],
                type=click.Choice(["same", "second"]),
                help="Rows that may be there already: leave them out, or add them.",
            ),
            _SHOP,
            _FORM,
        ],
    )
)
