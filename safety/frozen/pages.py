"""Frozen sheets and logs: kept whole in the ledger, and shown again to the last digit."""

from __future__ import annotations

import base64
import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from safety.frozen import files
from safety.model.sheets import in_turn
from safety.problems import Problem, Problems
from safety.words import say, steers

if TYPE_CHECKING:
    from safety.ledger.sheets import Frozen
    from safety.model import LogReport, Report, Shop
    from safety.workplace import Workplace

#: Where the forms of a page stand among the inputs of a frozen one.
TEXT, PDF, CSV = "forms/page.txt", "forms/page.pdf (base64)", "forms/page.csv"
ANNEX = "forms/annex.pdf (base64)"  # of a sheet; earlier ones had all in one PDF


def freeze_sheet(workplace: Workplace, report: Report) -> str:
    """Keep a sheet for good: every file it was made from, the rules, and all three forms. Returns its id."""
    from safety.ledger.sheets import freeze
    from safety.ledger.store import has_ledger, open_ledger
    from safety.render import forms as form
    from safety.render.pdf import annex, sheet

    forms = {
        TEXT: form.sheet(report, "text"),
        PDF: base64.b64encode(sheet(report)).decode(),
        ANNEX: base64.b64encode(annex(report)).decode(),
    }
    looked = "yes" if has_ledger(report.job.shop) else "no"
    inputs = {
        **files.shop_files(report.job.shop),
        **files.data_files(workplace.plugins),
        **files.looked_up(report),
        **forms,
        "job": report.job.file,
        "ledger": looked,
    }
    with open_ledger(report.job.shop, create=True) as ledger:
        return freeze(
            ledger,
            inputs,
            form.sheet(report, "json"),
            version=report.version,
            seed=report.seed,
            draws=report.draws,
            title=report.job.title,
        )


def freeze_log(workplace: Workplace, report: LogReport) -> str:
    """Keep a log for good, as it was filed. Returns its id: the same again where nothing differs from the last one."""
    from safety.ledger.sheets import freeze
    from safety.ledger.store import open_ledger
    from safety.render import forms as form
    from safety.render.log import named
    from safety.render.log_pdf import log
    from safety.render.log_text import table

    report = replace(report, filed=tuple(one for one in report.filed if one.differs))
    forms = {
        TEXT: form.log(report, "text"),
        PDF: base64.b64encode(log(report)).decode(),
        CSV: table(report).decode("utf-8"),
    }
    inputs = {**files.shop_files(report.shop), **files.data_files(workplace.plugins), **forms}
    with open_ledger(report.shop) as ledger:
        return freeze(
            ledger,
            inputs,
            form.log(report, "json"),
            version=report.version,
            seed=0,
            draws=0,
            title=named(report.period),
            what="log",
        )


def read(id: str, folder: Path, what: str) -> tuple[Frozen, Shop, Problems | None]:
    """A frozen page by its id, the shop of this folder, and the mistakes in today's files. Raises Problems."""
    from safety.files.shop_files import ShopFiles
    from safety.ledger.sheets import frozen
    from safety.ledger.store import open_ledger

    shop, mistakes = ShopFiles.of(folder).of_the_ledger()
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
        if ANNEX in kept.inputs:
            annex_of(kept)
        texts = (kept.inputs[TEXT], json.dumps(then, ensure_ascii=False), kept.title, kept.version, *signed)
        sound = isinstance(then["complete"], bool) and (CSV in kept.inputs or _is_sheet(kept, then))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return False
    return sound and not any(steers(text, but="\n") for text in texts)


def _is_sheet(kept: Frozen, then: dict[str, Any]) -> bool:
    # fewer draws were once enough for a sheet than are now
    datetime.fromisoformat(then["job"]["start"])
    asked_of(then)
    stops, findings = then["stops"], findings_of(then)
    needed = kept.inputs["job"] and kept.inputs["ledger"]
    return isinstance(stops, list) and bool(findings) and bool(needed) and 50 <= kept.draws <= 200_000


def asked_of(sheet: dict[str, Any]) -> tuple[datetime | None, str]:
    """The start and the state of the air that were given for a sheet in JSON; earlier ones had the file's alone."""
    asked = sheet.get("asked") or {"start": None, "air": ""}
    start, air = asked["start"], asked["air"]
    return None if start is None else datetime.fromisoformat(start), f"{air}"


def pdf_of(kept: Frozen) -> bytes:
    return base64.b64decode(kept.inputs[PDF], validate=True)


def annex_of(kept: Frozen) -> bytes:
    """The annex of a frozen sheet. Raises Problems for one of before there were any."""
    if ANNEX not in kept.inputs:
        wrong = say("the frozen sheet {id} has no annex: all of it is in its PDF", id=kept.id[:12])
        raise Problems([Problem("sheet", 0, "--annex", wrong, say("write --pdf alone"))])
    return base64.b64decode(kept.inputs[ANNEX], validate=True)


def about(kept: Frozen) -> dict[str, Any]:
    """When a page was frozen and who signed it, ready for JSON."""
    return {
        "id": kept.id,
        "title": kept.title,
        "frozen": kept.at.isoformat(timespec="seconds"),
        "version": kept.version,
        "signed": [
            {"name": s.name, "role": s.role, "at": s.at.isoformat(), "late": is_late(kept, s.at), "note": s.note}
            for s in kept.signed
        ],
    }


def is_late(kept: Frozen, signed: datetime) -> bool:
    """Whether a sheet is signed after its job has begun, by the clock on the wall."""
    start = json.loads(kept.result).get("job", {}).get("start")
    return start is not None and signed.replace(tzinfo=None) > datetime.fromisoformat(start)


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
        late = say(" LATE, after the job had begun") if is_late(kept, one.at) else ""
        note = say(" ({note})", note=one.note) if one.note else ""
        yield say(
            "Signed by {name}, {role}, {at}{late}{note}.",
            name=one.name,
            role=one.role,
            at=one.at.isoformat(),
            late=late,
            note=note,
        )


def findings_of(sheet: dict[str, Any]) -> dict[tuple[tuple[str, str, Any], int], dict[str, Any]]:
    """The findings of a sheet in JSON, by what they answer, several of one kind in their turn."""
    return in_turn(sheet["findings"], lambda f: (f["plugin"], f["key"], f["step_number"]))
