"""Frozen sheets and logs: kept whole in the ledger, shown again to the last digit, and held beside today."""

from __future__ import annotations

import base64
import json
import os
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import AbstractContextManager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from safety.cli import frozen_files
from safety.problems import Problem, Problems
from safety.words import ENGLISH, LANGUAGES, say, speaking, speech, steers

if TYPE_CHECKING:
    from safety.files.toml import Document
    from safety.ledger.sheets import Frozen, SignOff
    from safety.model import LedgerView, LogReport, Report, Shop

#: Where the forms of a page stand among the inputs of a frozen one.
TEXT, PDF, CSV = "forms/page.txt", "forms/page.pdf (base64)", "forms/page.csv"
#: What is heard beside --frozen.
_HEARD = ("frozen", "pdf", "csv", "form", "folder")


def freeze_sheet(report: Report) -> str:
    """Keep a sheet for good: every file it was made from, the rules, and all three forms. Returns its id."""
    from safety.cli.sheet import printed
    from safety.ledger.sheets import freeze
    from safety.ledger.store import has_ledger, open_ledger
    from safety.render.pdf import sheet

    forms = {TEXT: printed(report, "text"), PDF: base64.b64encode(sheet(report)).decode()}
    looked = "yes" if has_ledger(report.job.shop) else "no"
    inputs = {
        **frozen_files.shop_files(report.job.shop),
        **frozen_files.data_files(),
        **frozen_files.looked_up(report),
        **forms,
        "job": report.job.file,
        "ledger": looked,
    }
    with open_ledger(report.job.shop, create=True) as ledger:
        return freeze(
            ledger,
            inputs,
            printed(report, "json"),
            version=report.version,
            seed=report.seed,
            draws=report.draws,
            title=report.job.title,
        )


def freeze_log(report: LogReport) -> str:
    """Keep a log for good, as it was filed. Returns its id."""
    from safety.cli.log import printed
    from safety.ledger.sheets import freeze
    from safety.ledger.store import open_ledger
    from safety.render.log import named
    from safety.render.log_pdf import log
    from safety.render.log_text import table

    forms = {
        TEXT: printed(report, "text"),
        PDF: base64.b64encode(log(report)).decode(),
        CSV: table(report).decode("utf-8"),
    }
    inputs = {**frozen_files.shop_files(report.shop), **frozen_files.data_files(), **forms}
    with open_ledger(report.shop) as ledger:
        return freeze(
            ledger,
            inputs,
            printed(report, "json"),
            version=report.version,
            seed=0,
            draws=0,
            title=named(report.period),
            what="log",
        )


def alone(context: click.Context, what: str) -> None:
    """Refuse what a frozen page would leave unheard: it is shown as it was made. Raises Problems."""
    typed = click.core.ParameterSource.COMMANDLINE
    given = [
        p.opts[0] if isinstance(p, click.Option) else say("JOB")
        for p in context.command.params
        if p.name and p.name not in _HEARD and context.get_parameter_source(p.name) is typed
    ]
    if given:
        wrong = say("a frozen {what} is shown as it was made and takes no {given}", what=what, given=", ".join(given))
        raise Problems([Problem(what, 0, "--frozen", wrong, say("leave it out"))])


def read(id: str, folder: Path, what: str) -> tuple[Frozen, Shop, Problems | None]:
    """A frozen page by its id, the shop of this folder, and the mistakes in today's files. Raises Problems."""
    from safety.files.reading import find_shop, read_shop_for_its_ledger
    from safety.ledger.sheets import frozen
    from safety.ledger.store import open_ledger

    shop, mistakes = read_shop_for_its_ledger(find_shop(folder))
    with open_ledger(shop) as ledger:
        kept = frozen(ledger, id)
    if kept.what != what:
        wrong = say("{id} is a frozen {what}", id=kept.id[:12], what=kept.what)
        raise Problems(
            [
                Problem(
                    what,
                    0,
                    "--frozen",
                    wrong,
                    say("write hazstep {what} --frozen {id}", what=kept.what, id=kept.id[:12]),
                )
            ]
        )
    if not _whole(kept):
        wrong = say("the frozen {what} {id} holds what this program never wrote", what=what, id=kept.id[:12])
        raise Problems([Problem(what, 0, "--frozen", wrong, say("ask who may write to the ledger"))])
    return kept, shop, mistakes


def _whole(kept: Frozen) -> bool:
    """Whether what is kept can be shown and computed again: whoever may write to the ledger may have put it there."""
    signed = (text for one in kept.signed for text in (one.name, one.role, one.note))
    try:
        then = json.loads(kept.result)
        pdf_of(kept)
        texts = (kept.inputs[TEXT], json.dumps(then, ensure_ascii=False), kept.title, kept.version, *signed)
        sound = isinstance(then["complete"], bool) and (CSV in kept.inputs or _is_sheet(kept, then))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return False
    return sound and not any(steers(text, but="\n") for text in texts)


def _is_sheet(kept: Frozen, then: dict[str, Any]) -> bool:
    # fewer draws were once enough for a sheet than are now
    datetime.fromisoformat(then["job"]["start"])
    stops, findings = then["stops"], _findings(then)
    needed = kept.inputs["job"] and kept.inputs["ledger"]
    return isinstance(stops, list) and bool(findings) and bool(needed) and 50 <= kept.draws <= 200_000


def pdf_of(kept: Frozen) -> bytes:
    return base64.b64decode(kept.inputs[PDF], validate=True)


def about(kept: Frozen) -> dict[str, Any]:
    """When a page was frozen and who signed it, ready for JSON."""
    return {
        "id": kept.id,
        "title": kept.title,
        "frozen": kept.at.isoformat(timespec="seconds"),
        "version": kept.version,
        "signed": [
            {"name": s.name, "role": s.role, "at": s.at.isoformat(), "late": is_late(kept, s), "note": s.note}
            for s in kept.signed
        ],
    }


def is_late(kept: Frozen, signed: SignOff) -> bool:
    """Whether somebody signed a sheet after its job had begun, by the clock on the wall."""
    start = json.loads(kept.result).get("job", {}).get("start")
    return start is not None and signed.at.replace(tzinfo=None) > datetime.fromisoformat(start)


def lines(kept: Frozen) -> Iterator[str]:
    """The same in words."""
    yield say(
        'Frozen {kind} {id}, "{title}", of {at}.',
        kind=kept.what,
        id=kept.id[:12],
        title=kept.title,
        at=kept.at.isoformat(timespec="seconds"),
    )
    if not kept.signed:
        yield say("Nobody has signed it.")
    for one in kept.signed:
        late = say(" LATE, after the job had begun") if is_late(kept, one) else ""
        note = say(" ({note})", note=one.note) if one.note else ""
        yield say(
            "Signed by {name}, {role}, {at}{late}{note}.",
            name=one.name,
            role=one.role,
            at=one.at.isoformat(),
            late=late,
            note=note,
        )


# ---------------------------------------------------------------- the same sheet today


def again(kept: Frozen, shop: Shop, mistakes: Problems | None = None) -> list[str]:
    """Compute a frozen sheet anew from the files it was made from, with today's program and packs.

    The ledger is read as it stood when the sheet was frozen.

    Returns sentences: what has changed, and that it comes out the same or what would be decided
    otherwise. Where the shop's own rules have changed, or it loads other packs, also what they would decide.
    """
    if mistakes:
        return [
            say("Not computed again today: the files of the shop have mistakes ({first}).", first=mistakes.problems[0])
        ]
    files = {
        name.removeprefix(frozen_files.SHOP): text
        for name, text in kept.inputs.items()
        if name.startswith(frozen_files.SHOP)
    }
    files, other_code = _without_code(files, shop)
    lead = say("Computed again today from the same files")
    if other_code:
        lead = say("Computed again today from the same files, with the shop's plugins of today")
    told, packs = _compared(kept, shop, files, lead)
    found = [*_changed(kept, shop), *other_code, *told]
    rules, packs_today = _rules_today(files, shop), [*shop.rules]
    if rules or packs != packs_today:
        found += [say("{name} of the shop has changed.", name=name) for name in sorted(rules.keys() & files.keys())]
        if packs != packs_today:
            old, new = ", ".join(packs) or say("none"), ", ".join(packs_today) or say("none")
            found.append(say("The shop's rules packs were {old}, and are {new}.", old=old, new=new))
        found += _compared(kept, shop, files | rules, say("With the shop's rules of today"), packs_today)[0]
    return found


def _without_code(files: Mapping[str, str], shop: Shop) -> tuple[dict[str, str], list[str]]:
    """The frozen files, with the shop's own plugins of today in place of the frozen ones, and sentences on these.

    A ledger may be shared: what stands in it is data, and never becomes code that runs.
    """
    kept = {name: text for name, text in files.items() if name.endswith(".toml")}
    told = []
    for name in sorted(files.keys() - kept.keys()):
        path = Path(shop.file).parent / name
        if name not in shop.plugin_files or not path.is_file():
            told.append(say("{name} is not run again: the shop does not list it today.", name=name))
            continue
        kept[name] = frozen_files.text(path)
        if kept[name] != files[name]:
            told.append(say("{name} of the shop has changed.", name=name))
    return kept, told


def _rules_today(files: Mapping[str, str], shop: Shop) -> dict[str, str]:
    """The rules packs of its own that the shop lists today, where they are new or read otherwise."""
    folder = Path(shop.file).parent
    today = {name: frozen_files.text(folder / name) for name in shop.rules if (folder / name).is_file()}
    return {name: text for name, text in today.items() if text != files.get(name)}


def _compared(
    kept: Frozen, shop: Shop, files: Mapping[str, str], lead: str, packs: list[str] | None = None
) -> tuple[list[str], list[str]]:
    """Assess the job in these files; return how the result differs from the frozen one, and the rules packs loaded.

    Loaded are ``packs``; None: those that the frozen shop lists.
    """
    from safety.assessment import assess_job, no_records
    from safety.cli.sheet import printed
    from safety.ledger.recorded import recorded

    def records(_: Shop) -> AbstractContextManager[LedgerView | None]:
        return no_records(shop) if kept.inputs["ledger"] == "no" else recorded(shop, kept.at)

    loaded = [*shop.rules]  # until the frozen shop.toml has been read

    def listed(document: Document) -> Document:
        """A file with no plugin in it that the shop does not list today, and with the packs asked for."""
        table = document.data.get("shop")
        if isinstance(table, dict):
            if isinstance(table.get("plugins"), list):
                table["plugins"] = [name for name in table["plugins"] if name in files and name in shop.plugin_files]
            if packs is not None:
                table["rules"] = packs
            if isinstance(table.get("rules", []), list):  # anything else is a mistake that reading will tell
                loaded[:] = map(str, table.get("rules", []))
        return document

    with tempfile.TemporaryDirectory() as there:
        then = json.loads(kept.result)
        language = then.get("language", ENGLISH)
        try:
            for name, content in files.items():
                path = _inside(there, name)
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(content.encode("utf-8", errors="surrogateescape"))
            job = _inside(there, kept.inputs["job"])
            with speaking(speech(language if language in LANGUAGES else ENGLISH)):
                report = assess_job(job, draws=kept.draws, seed=kept.seed, records=records, edit=listed)
                now = printed(report, "json")
        except Problems as problems:
            return [say("{lead}: it cannot be computed ({why}).", lead=lead, why=problems.problems[0].wrong)], loaded
    if now == kept.result:
        return [say("{lead}: the same, to the last digit.", lead=lead)], loaded
    return [*_otherwise(then, json.loads(now), lead)], loaded


def _inside(there: str, name: str) -> Path:
    """Where a frozen file goes in a folder of its own; Problems for a name that leads out of it."""
    path = Path(os.path.normpath(Path(there) / "shop" / name))
    if not path.is_relative_to(there) or not name.isprintable():
        raise Problems([Problem(name, 0, "", say("{name} lies outside of the shop's folder", name=name))])
    return path


def _changed(kept: Frozen, shop: Shop) -> Iterator[str]:
    """What the sheet rested on that is not the same today."""
    from safety import __version__

    if kept.version != __version__:
        yield say("The program was version {old} and is {new}.", old=kept.version, new=__version__)
    today = {**frozen_files.data_files(), **frozen_files.looked_up_today(kept, shop)}
    for name in sorted({n for n in kept.inputs if n.startswith(frozen_files.DATA)} | today.keys()):
        if kept.inputs.get(name) != today.get(name):
            shown = name.removeprefix(frozen_files.DATA)
            if name not in today:
                yield say("{name} is gone.", name=shown)
            elif name not in kept.inputs:
                yield say("{name} is new.", name=shown)
            else:
                yield say("{name} has changed.", name=shown)


def _otherwise(then: dict[str, Any], now: dict[str, Any], lead: str) -> Iterator[str]:
    """Every finding that is decided otherwise today."""
    old, new = _findings(then), _findings(now)
    decided = False
    for reason in [reason for reason in _not_known(now) if reason not in _not_known(then)]:
        decided = True
        yield say("{lead}: INCOMPLETE, and it was not for this reason then: {reason}", lead=lead, reason=reason)
    if now["complete"] and not then["complete"]:
        decided = True
        yield say("{lead}: then INCOMPLETE, now everything is known.", lead=lead)
    for key in sorted(old.keys() | new.keys(), key=str):
        before, after = old.get(key), new.get(key)
        if before and after and (before["level"], before["short"]) == (after["level"], after["short"]):
            continue
        decided = True
        yield say(
            "{lead}: {where}, {topic}: then {old}; now {new}.",
            lead=lead,
            where=say("Step {step}", step=key[2]) if key[2] else say("Whole job"),
            topic=(before or after or {})["topic"],
            old=_said(before),
            new=_said(after),
        )
    if not decided:
        yield say("{lead}: some figures differ, and every finding is decided as it was then.", lead=lead)


def _not_known(sheet: dict[str, Any]) -> dict[str, None]:
    """Why a sheet is INCOMPLETE, in its own words and order."""
    failed = [say("{plugin} failed: {reason}", plugin=f["plugin"], reason=f["reason"]) for f in sheet["failures"]]
    return dict.fromkeys([*failed, *sheet["reasons"]])


def _findings(sheet: dict[str, Any]) -> dict[tuple[str, str, Any], dict[str, Any]]:
    return {(f["plugin"], f["key"], f["step_number"]): f for f in sheet["findings"]}


def _said(finding: dict[str, Any] | None) -> str:
    return say("{level} ({short})", level=finding["level"], short=finding["short"]) if finding else say("nothing")
