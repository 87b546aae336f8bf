"""Words that stand on every sheet: cautions, sign-off, and what the sheet rests on."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from pathlib import PurePath

from safety.hosting.host import BUILT_IN
from safety.marks import Mark
from safety.model import Block, Lines, Report
from safety.render.merging import UNCHECKED
from safety.words import ENGLISH, reviewer, say, spoken, term


def cautions(report: Report) -> Lines:
    """What every sheet says about itself."""
    words = (
        say("This sheet is computed from the files named on it."),
        say("If the work, the air or a product differs, the sheet is wrong: make a new one."),
        say("Local rules, the safety data sheets of the products, and licensed or competent persons come first."),
        say("It is not an entry permit, not a hot work permit and not medical advice."),
        say("What is not on this sheet was not looked at. A missing warning does not mean that a thing is harmless."),
        say("Figures are careful estimates, not readings. Where a reading is higher, believe the reading."),
        say("The hazard signs have a red frame on labels; on a black and white print the frame is black."),
    )
    return Lines(say("What to keep in mind"), (*words, *_as_written(report)))


def translation() -> str:
    """Who answers for the language of a sheet; "" of an English one."""
    if spoken() == ENGLISH:
        return ""
    name = reviewer()
    if name:
        return say("read and found right by {name}", name=name)
    return say("nobody who works in this language and knows the trade has read it yet")


def read_by() -> str:
    """The same in few words, for a label; "" of an English one."""
    if spoken() == ENGLISH:
        return ""
    name = reviewer()
    return say("Translation read by {name}", name=name) if name else say("Translation: read by nobody of the trade yet")


def assumed(report: Report) -> tuple[Lines, ...]:
    """What the figures take for what the shop's files leave out."""
    lines = report.job.assumed
    return (Lines(say("Taken where the files say nothing"), lines),) if lines else ()


def _as_written(report: Report) -> Iterator[str]:
    """What a sheet in another language still says in the words it was written in."""
    if spoken() == ENGLISH:
        return
    yield say("Where a sentence is not clear, or differs from the English sheet, ask before you start.")
    yield say("Titles of sources, and what the shop wrote in its own files, stand as they were written.")
    strangers = sorted({f.plugin for f in report.findings} - set(BUILT_IN))
    if strangers:
        yield say("So do the sentences of these plugins: {plugins}.", plugins=", ".join(strangers))


def left_out(report: Report, appendix: tuple[Block, ...], notes: int) -> str:
    """What a printed sheet does not hold, and where it is."""
    if not notes and not appendix:
        return ""
    titles = [say("{count} notes", count=notes)] if notes else []
    return say(
        'Not printed here: {what}. The command "hazstep sheet {job} --full" shows all of it, with every figure.',
        what="; ".join([*titles, *(block.title for block in appendix)]),
        job=as_asked_for(report),
    )


def as_asked_for(report: Report) -> str:
    """The job with what was given for this sheet, as it is typed."""
    start, air, as_of = report.asked.start, report.asked.air, report.asked.as_of
    return shlex.join(
        [
            report.job.id,
            *(["--start", start.isoformat(timespec="minutes")] if start else []),
            *(["--air", air] if air else []),
            *(["--as-of", as_of.isoformat()] if as_of else []),
        ]
    )


def unchecked_sign() -> str:
    """What the sign beside a topic means."""
    return say("{sign} rests on a value that nobody has checked yet. The list of them is at the end.", sign=UNCHECKED)


def unchecked(doubts: Sequence[Mark]) -> tuple[Lines, ...]:
    """Everything the sheet rests on that nobody has checked, each once."""
    title = say("{sign} Nobody has checked this yet", sign=UNCHECKED)
    return (Lines(title, tuple(map(str, doubts)), "unchecked"),) if doubts else ()


def closing(report: Report) -> tuple[Lines, ...]:
    """Plugins that failed, rules, sources and files a sheet rests on."""
    rules = tuple(
        say(
            "{title}, {edition} ({jurisdiction})",
            title=term(p.title),
            edition=p.edition,
            jurisdiction=term(p.jurisdiction),
        )
        for p in report.packs
    )
    sources = tuple(
        say(
            "{title}, {edition}{publisher}",
            title=s.title,
            edition=s.edition,
            publisher=s.publisher and say(", {name}", name=s.publisher),
        )
        for s in report.sources
    )
    failures = tuple(
        say("{plugin} did not answer ({hook}): {reason}", plugin=f.plugin, hook=f.hook, reason=f.reason)
        for f in report.failures
    )
    shop = report.job.shop
    paths = (
        shop.file,
        report.job.file,
        *(p.file for p in report.job.products),
        *report.own_data,
        *(p.file for p in report.packs if p.file in shop.rules),
        *shop.plugin_files,
    )
    # names only: where a shop keeps its files must not change a byte of the sheet
    files = tuple(dict.fromkeys(PurePath(path).name for path in paths if path))
    groups = (
        (say("Plugins that did not answer"), failures),
        (say("Books not complete (for the office, not for this work)"), report.books),
        (say("Rules used"), rules),
        (say("Sources used"), sources),
        (say("Files read"), files),
    )
    return tuple(Lines(title, lines) for title, lines in groups if lines)


def certification(report: Report) -> tuple[str, tuple[str, ...]]:
    """What the sheet is once it is signed, by the rules of the shop, and the fields a person fills in."""
    known = say(" and ").join(
        say("{what} ({law})", what=term(row["text"]), law=row["citation"]) for row in report.certifies
    )
    return (
        say(
            "Filled in and signed, this document is {what} for "
            "the products named on it, and for nothing else. Sparks, heat, noise, dust, fume and machines are not "
            "in it: assess them too.",
            what=known or say("a note of who looked at the hazards"),
        ),
        (say("Workplace evaluated"), say("Person certifying, signature"), say("Date of assessment")),
    )


def read() -> tuple[str, tuple[str, ...]]:
    """What the people who do the job sign."""
    return (
        say("I have read and understood this sheet. I have checked doors, fans, neighbours and ignition sources."),
        (say("Name"), say("Signature"), say("Date and time, before the start")),
    )
