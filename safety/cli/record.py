"""``hazstep record``: write down what came in, was used, went back and was thrown away."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from safety.problems import Problem, Problems
from safety.words import say

if TYPE_CHECKING:
    from safety.ledger.drafts import Draft, Mistake
    from safety.ledger.entries import Stored
    from safety.model import Shop

#: Field -> how it is given on the command line, what the help says, what is asked at a terminal.
FIELDS = {
    "product": ("PRODUCT", "", "Product"),
    "amount": ("AMOUNT", "", 'Amount, for example "250 mL" or "1.2 lb"'),
    "container": ("CONTAINER", "", "Waste container"),
    "lot": ("--lot", "Lot on the label.", "Lot on the label"),
    "expires": ("--expires", "Date on the label; none where the maker sets no date; or unknown.", "Expires (date, none or unknown)"),
    "basis": ("--basis", "How the amount is known: weighed, measured, guessed or label.", "How is the amount known (weighed, measured, guessed, label)"),
    "job": ("--job", "Job it was used for.", "Job (Enter for none)"),
    "step": ("--step", "Step of the job.", "Step (Enter for none)"),
    "operation": ("--operation", 'What it was used for, such as "hand-wipe".', ""),
    "area": ("--area", 'Area treated, such as "1.5 m^2".', ""),
    "density": ("--density", "Density of mixed waste.", ""),
    "receiver": ("--receiver", "Who takes the waste.", "Who takes it"),
    "manifest": ("--manifest", "Number of the shipping paper.", "Number of the shipping paper (Enter for none)"),
    "who": ("--who", "Who did it.", "Who did it"),
    "note": ("--note", "Anything worth remembering.", ""),
    "anyway": ("--anyway", "Go on with an expired or unknown lot, for this reason. It shows in the log.", ""),
}  # fmt: skip
_WAYS = {"return": ("--to", "stock or supplier."), "waste": ("--from", "stock or job."), "weigh": ("WAY", "")}
_ARGUMENTS = {"weigh": ("way", "product", "amount"), "waste": ("container", "amount"), "ship": ("container", "amount"),
              "open": ("product",)}  # fmt: skip
_SUMMARIES = {
    "receive": "A delivery came in.",
    "open": "A lot was opened.",
    "use": "Something was used.",
    "return": "Something went back, to stock or to the supplier.",
    "waste": "Something went into a waste container. Without --product it is mixed waste.",
    "ship": "A waste container was collected.",
    "weigh": "A can was weighed. WAY is out before a job, in after it (that records the use), or count for stocktaking.",
}

_SHOP = click.option("--shop", "folder", type=click.Path(path_type=Path), default=Path(), metavar="PATH", help="The shop; left out, the one this folder belongs to.")  # fmt: skip
_FORM = click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to print.")


@click.group()
def command() -> None:
    """Write down what came in, was used, went back and was thrown away.

    At a terminal, what is missing is asked for. Each record prints its key. Give --key yourself
    where a command may be sent twice: the same key counts once.
    """


def _add(kind: str) -> None:
    """Make the command of one kind of record from its fields."""
    from safety.ledger.drafts import SHAPES

    shape = SHAPES[kind]
    arguments = _ARGUMENTS.get(kind, ("product", "amount"))
    places = {name: (f"[{flag}]", text) for name, (flag, text, _) in FIELDS.items()} | {
        "way": (f"[{_WAYS[kind][0]}]", "") if kind in _WAYS else ("", "")
    }
    parameters: list[click.Parameter] = [
        click.Argument([name], required=False, metavar=places[name][0]) for name in arguments
    ]
    for name in (*(field for field in FIELDS if field in shape.fields), *(("way",) if shape.ways else ())):
        if name not in arguments:
            flag, text = _WAYS[kind] if name == "way" else (_flag(name), FIELDS[name][1])
            parameters.append(click.Option([flag, name], help=text, metavar="TEXT"))
    parameters += [
        click.Option(["--when"], help="Day, or day and time on the wall clock. Left out: now.", metavar="TEXT"),
        click.Option(["--key"], help="Your own key for this record: the same key counts once.", metavar="TEXT"),
        click.Option(["--again"], is_flag=True, help="It is a second one, like one of that day in everything."),
    ]
    made = click.Command(kind, params=parameters, callback=_FORM(_SHOP(_callback(kind))), help=_SUMMARIES[kind])
    made.params += getattr(made.callback, "__click_params__", [])[::-1]
    command.add_command(made)


def _flag(name: str) -> str:
    return FIELDS[name][0] if FIELDS[name][0].startswith("--") else f"--{name}"


def _callback(kind: str) -> Callable[..., None]:
    def run(folder: Path, form: str, again: bool, **texts: str | None) -> None:
        _record(kind, folder, form, again, {name: line for name, line in texts.items() if line})

    return run


def _record(kind: str, folder: Path, form: str, again: bool, texts: dict[str, str]) -> None:
    from dataclasses import replace

    from safety.ledger.drafts import read_draft
    from safety.ledger.entries import Refused, record
    from safety.ledger.store import open_ledger

    shop = _shop(folder)
    if sys.stdin.isatty():
        _ask(kind, shop, texts)
    draft = read_draft(kind, texts, shop, _now())
    if isinstance(draft, list):
        raise _told(kind, draft)
    draft = replace(draft, again=again)
    _notes(draft, shop, folder)
    with open_ledger(shop, create=True) as ledger:
        if ledger.new:
            click.echo(say("A new ledger was started: {where}", where=ledger.where), err=True)
        try:
            stored = record(ledger, [draft])
        except Refused as error:
            mistakes = [mistake for _, mistake in error.mistakes]
            if not (mistakes[0].field == "again" and sys.stdin.isatty()):
                raise _told(kind, mistakes) from None
            if not click.confirm(say("{wrong}. Record it a second time?", wrong=mistakes[0].wrong.capitalize())):
                raise click.Abort from None
            stored = record(ledger, [replace(draft, again=True)])
    _tell(stored, shop, form)


@command.command("correct")
@click.argument("key")
@click.option("--by", metavar="TEXT", help="Who corrects it.")
@click.option("--why", metavar="TEXT", help="What was wrong.")
@click.option("--withdraw", is_flag=True, help="It never happened: take it back and put nothing in its place.")
@click.option("--product", metavar="TEXT", help="The product; given, its file is read anew.")
@click.option("--amount", metavar="TEXT", help="The amount.")
@click.option("--container", metavar="TEXT", help="The waste container.")
@click.option("--way", metavar="TEXT", help="Where to or where from.")
@click.option("--when", metavar="TEXT", help="Day, or day and time.")
@_SHOP
@_FORM
def correct_one(
    key: str, by: str | None, why: str | None, withdraw: bool, folder: Path, form: str, **texts: str | None
) -> None:
    """Take a record back and put the corrected one in its place.

    Give only what changes. The record with the mistake stays in the log, with its reversal.
    """
    from safety.ledger.drafts import Mistake, read_draft
    from safety.ledger.entries import Refused, correct, draft_of
    from safety.ledger.store import open_ledger

    shop = _shop(folder)
    given = {name: line for name, line in texts.items() if line}
    told = {"by": by, "why": why}
    for name, words in (("by", say("Who corrects it")), ("why", say("What was wrong"))):
        if not told[name] and sys.stdin.isatty():
            told[name] = click.prompt(words)
    mistakes = [Mistake(name, say("this is missing")) for name, line in told.items() if not line]
    if bool(given) == withdraw:
        wrong = say("a withdrawn record takes no other changes") if withdraw else say("nothing is said to change")
        mistakes.append(Mistake("withdraw", wrong, say("give what changes, or --withdraw alone")))
    with open_ledger(shop) as ledger:
        old = draft_of(ledger, key)
        if old is None:
            mistakes.append(Mistake("key", say('there is no record "{key}"', key=key), say("look it up in the log")))
            raise _told("correct", mistakes)
        draft = None if withdraw else read_draft(old.kind, given, shop, _now(), old)
        mistakes += draft if isinstance(draft, list) else []
        if mistakes or isinstance(draft, list):
            raise _told("correct", mistakes)
        try:
            stored = correct(ledger, key, draft, str(told["by"]), str(told["why"]))
        except Refused as error:
            raise _told("correct", [mistake for _, mistake in error.mistakes]) from None
    _tell(stored, shop, form)


@command.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--dry-run", is_flag=True, help="Read and check everything and store nothing.")
@click.option("--anyway", default="", metavar="TEXT", help="Take rows with expired or unknown lots, for this reason.")
@_SHOP
@_FORM
def import_file(file: Path, dry_run: bool, anyway: str, folder: Path, form: str) -> None:
    """Take past records from a CSV file: all rows, or none when one is bad.

    The first line names the columns. The same file again adds nothing.
    """
    from safety.ledger.csv_rows import read_csv
    from safety.ledger.entries import Refused, record
    from safety.ledger.store import open_ledger

    shop = _shop(folder)
    rows = read_csv(file, shop, _now(), anyway)
    with _scratch(shop, dry_run) as there, open_ledger(there, create=True) as ledger:
        try:
            stored = record(ledger, rows.drafts, dry_run=dry_run)
        except Refused as error:
            raise Problems(
                Problem(file.as_posix(), rows.lines[index], m.field, m.wrong, _on_paper(m.write))
                for index, m in error.mistakes
            ) from None
    new = sum(line.new for line in stored)
    if form == "json":
        import json

        click.echo(json.dumps({"added": 0 if dry_run else new, "would_add": new, "there": len(stored) - new}, indent=2))
    elif dry_run:
        click.echo(
            say(
                "{new} records would be added, {old} are there already; nothing was stored",
                new=new,
                old=len(stored) - new,
            )
        )
    else:
        click.echo(say("{new} records added, {old} were there already", new=new, old=len(stored) - new))


@contextmanager
def _scratch(shop: Shop, dry_run: bool) -> Iterator[Shop]:
    """The shop; for a dry run where there is no ledger yet, with a ledger that is thrown away."""
    from dataclasses import replace

    from safety.ledger.store import DEFAULT, has_ledger

    if not dry_run or has_ledger(shop):
        yield shop
        return
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        yield replace(shop, ledger=DEFAULT, file=str(Path(folder) / "shop.toml"))


# ---------------------------------------------------------------- asking and telling


def _shop(folder: Path) -> Shop:
    from safety.reading import find_shop, read_shop

    return read_shop(find_shop(folder))


def _now() -> datetime:
    return datetime.now().astimezone()


def _ask(kind: str, shop: Shop, texts: dict[str, str]) -> None:
    """Ask at the terminal for what is missing; an answer that cannot be read is asked for again."""
    from safety.ledger.drafts import SHAPES, read_field
    from safety.units import UnitError
    from safety.written import Miswritten

    shape = SHAPES[kind]

    def read(name: str) -> Callable[[str], str]:
        def check(line: str) -> str:
            if line:
                try:
                    read_field(name, line, kind, shop)
                except (Miswritten, UnitError) as error:
                    raise click.UsageError(str(error)) from None
            return line

        return check

    for name in (*shape.needs, *shape.asks):
        if name in texts or (name == "lot" and "anyway" in texts):
            continue
        words = say("Which way ({words})", words=", ".join(shape.ways or ())) if name == "way" else FIELDS[name][2]
        default = {} if name in shape.needs else {"default": "", "show_default": False}
        answer = click.prompt(words, value_proc=read(name), err=True, **default)  # type: ignore[arg-type]
        if answer:
            texts[name] = answer


def _notes(draft: Draft, shop: Shop, folder: Path) -> None:
    """Say so where the shop has no such job or step: it may be a slip, or work that has no file."""
    if not draft.job:
        return
    from safety.reading import find_job, find_shop
    from safety.toml import open_document

    try:
        job = open_document(find_job(draft.job, find_shop(folder).parent)).data
    except Problems as error:
        click.echo(say("note: {problem}", problem=error.problems[0]), err=True)
        return
    steps = [step.get("name", "") for step in job.get("step", ())]
    if draft.step and draft.step not in steps:
        from safety.written import nearest

        click.echo(
            say('note: the job has no step "{step}"; {near}', step=draft.step, near=nearest(draft.step, steps)),
            err=True,
        )


def _on_paper(write: str) -> str:
    return write.replace('--anyway "reason"', say("the reason in the column anyway")).replace(
        "--again", say("a key of its own")
    )


def _told(kind: str, mistakes: Sequence[Mistake]) -> Problems:
    """Mistakes in the words of the command line."""

    def place(name: str) -> str:
        if name == "way" and kind in _WAYS:
            return _WAYS[kind][0]
        return (
            FIELDS[name][0]
            if name in FIELDS and kind != "correct"
            else f"--{name}"
            if name != "key" or kind != "correct"
            else "KEY"
        )

    return Problems(Problem(say("record {kind}", kind=kind), 0, place(m.field), m.wrong, m.write) for m in mistakes)


def _tell(stored: Sequence[Stored], shop: Shop, form: str) -> None:
    if form == "json":
        import json

        click.echo(json.dumps([_plain(line) for line in stored], indent=2, ensure_ascii=False))
        return
    for line in stored:
        _tell_one(line, shop)


def _tell_one(line: Stored, shop: Shop) -> None:
    entry = line.entry
    what = (
        say("taken back")
        if entry.reverses
        else say("recorded")
        if line.new
        else say("was recorded already, nothing was added")
    )
    thing = entry.name or entry.container
    click.echo(say("{kind} {what}: {thing}{lot}, key {key}", kind=entry.kind, what=what, thing=thing, lot=say(", lot {lot}", lot=entry.lot) if entry.lot else "", key=entry.key))  # fmt: skip
    if entry.typed and entry.way != "out":
        click.echo(say("  {typed} = {mass} = {volume}", typed=entry.typed, mass=_amount(entry.mass, "mass", shop), volume=_amount(entry.volume, "volume", shop)))  # fmt: skip
    if entry.against:
        click.echo(say("  against: {against}; anyway: {reason}", against=entry.against, reason=entry.anyway))
    lot = line.lot
    if lot is None:
        return
    from safety.cited import Unknown

    expires = lot.expires.reason if isinstance(lot.expires, Unknown) else say("no expiry date") if lot.expires is None else say("expires {day}", day=lot.expires)  # fmt: skip
    click.echo(say("  left in lot {lot}: {volume} = {mass}; {expires}", lot=lot.lot, volume=_amount(lot.volume, "volume", shop), mass=_amount(lot.mass, "mass", shop), expires=expires))  # fmt: skip
    if any(not isinstance(left, Unknown) and left < 0 for left in (lot.mass, lot.volume)):
        click.echo(
            say("note: more was taken from this lot than came in; a delivery is missing, or an amount is wrong"),
            err=True,
        )


def _amount(value: Any, kind: str, shop: Shop) -> str:
    """An amount in the units people of this shop pour and weigh in."""
    from safety.cited import Unknown
    from safety.units import show

    if isinstance(value, Unknown):
        return say("UNKNOWN {kind}", kind=kind)
    small = abs(value) < (1.0 if kind == "mass" else 1e-3)
    metric = show(value, kind, {"mass": ("kg", "g"), "volume": ("L", "mL")}[kind][small])
    if shop.print_units == "si":
        return metric
    ours = show(value, kind, {"mass": "lb", "volume": "US_gal"}[kind])
    return say("{ours} ({metric})", ours=ours.replace("US_gal", say("gal")), metric=metric)


def _plain(line: Stored) -> dict[str, Any]:
    """A stored line as JSON; what is unknown is null, never zero."""
    from dataclasses import fields

    from safety.cited import Unknown

    def plain(value: Any) -> Any:
        return None if isinstance(value, Unknown) else value.isoformat() if hasattr(value, "isoformat") else value

    def flat(thing: Any) -> dict[str, Any]:
        return {name: plain(getattr(thing, name)) for name in (f.name for f in fields(thing))}

    return {"new": line.new, "entry": flat(line.entry), "lot": line.lot and flat(line.lot)}


for _kind in _SUMMARIES:
    _add(_kind)
