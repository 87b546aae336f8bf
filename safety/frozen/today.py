"""A frozen sheet held beside today: computed again from the files it was made from, and what is decided otherwise."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from safety.frozen.files import DATA, SHOP, data_files, looked_up_today, text_of
from safety.frozen.pages import asked_of, findings_of
from safety.problems import Problem, Problems
from safety.words import ENGLISH, LANGUAGES, say, speaking, speech

if TYPE_CHECKING:
    from safety.files.toml import Document
    from safety.ledger.sheets import Frozen
    from safety.model import LedgerView, Shop


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
    files = {name.removeprefix(SHOP): text for name, text in kept.inputs.items() if name.startswith(SHOP)}
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
        kept[name] = text_of(path)
        if kept[name] != files[name]:
            told.append(say("{name} of the shop has changed.", name=name))
    return kept, told


def _rules_today(files: Mapping[str, str], shop: Shop) -> dict[str, str]:
    """The rules packs of its own that the shop lists today, where they are new or read otherwise."""
    folder = Path(shop.file).parent
    today = {name: text_of(folder / name) for name in shop.rules if (folder / name).is_file()}
    return {name: text for name, text in today.items() if text != files.get(name)}


def _compared(
    kept: Frozen, shop: Shop, files: Mapping[str, str], lead: str, packs: list[str] | None = None
) -> tuple[list[str], list[str]]:
    """Assess the job in these files; return how the result differs from the frozen one, and the rules packs loaded.

    Loaded are ``packs``; None: those that the frozen shop lists.
    """
    from safety.assessment import no_records
    from safety.ledger.recorded import recorded
    from safety.render import forms
    from safety.workplace import Workplace

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
                workplace = Workplace.open(job, records=records).edited(listed)
                start, air = asked_of(then)
                report = workplace.assess(job, start=start, air=air, draws=kept.draws, seed=kept.seed)
                now = forms.sheet(report, "json")
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
    from safety.workplace import Workplace

    if kept.version != __version__:
        yield say("The program was version {old} and is {new}.", old=kept.version, new=__version__)
    plugins = Workplace.open(Path(shop.file)).plugins
    today = {**data_files(plugins), **looked_up_today(kept, plugins)}
    for name in sorted({n for n in kept.inputs if n.startswith(DATA)} | today.keys()):
        if kept.inputs.get(name) != today.get(name):
            shown = name.removeprefix(DATA)
            if name not in today:
                yield say("{name} is gone.", name=shown)
            elif name not in kept.inputs:
                yield say("{name} is new.", name=shown)
            else:
                yield say("{name} has changed.", name=shown)


def _otherwise(then: dict[str, Any], now: dict[str, Any], lead: str) -> Iterator[str]:
    """Every finding that is decided otherwise today."""
    old, new = findings_of(then), findings_of(now)
    decided = False
    for reason in [reason for reason in _not_known(now) if reason not in _not_known(then)]:
        decided = True
        yield say("{lead}: INCOMPLETE, and it was not for this reason then: {reason}", lead=lead, reason=reason)
    if now["complete"] and not then["complete"]:
        decided = True
        yield say("{lead}: then INCOMPLETE, now everything is known.", lead=lead)
    for key in sorted(old.keys() | new.keys(), key=str):
        (*_, step), _ = key
        before, after = old.get(key), new.get(key)
        if before and after and (before["level"], before["short"]) == (after["level"], after["short"]):
            continue
        decided = True
        yield say(
            "{lead}: {where}, {topic}: then {old}; now {new}.",
            lead=lead,
            where=say("Step {step}", step=step) if step else say("Whole job"),
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


def _said(finding: dict[str, Any] | None) -> str:
    return say("{level} ({short})", level=finding["level"], short=finding["short"]) if finding else say("nothing")
