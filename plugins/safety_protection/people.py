"""The people of a job: who lacks a clearance, a fit test or a training that its work asks for, and who is too young.

Only days are held against the rules. What a doctor found is nowhere: that somebody expects a child is said of the
work, on every sheet, and never of a person.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from safety.model import Finding, Job, KeptOut, Person, Respirator, Worn, with_role
from safety.reference import Reference
from safety.reference.hazards import ProductHazards
from safety.words import joined, say, term
from safety_protection.mixture_hazards import PLUGIN
from safety_protection.phrases import listed
from safety_protection.rules import cite

Row = Mapping[str, Any]
#: Facepieces that let air in where they do not fit.
TIGHT = ("half mask", "full facepiece")


@dataclass(frozen=True, slots=True)
class Lack:
    """What a person has not got for this job, in words; the rule that asks for it."""

    text: str
    row: Row
    stops: bool


def _lack(text: str, row: Row) -> Lack:
    """What a duty of people asks for and is not there; the duty says whether it stops."""
    return Lack(text, row, row.get("level", "stop") == "stop")


def judge(
    job: Job,
    reference: Reference,
    hazards: Mapping[str, ProductHazards],
    findings: Sequence[Finding],
    trainings: Sequence[Row],
) -> list[Finding]:
    """Who of the crew lacks what, and who the young and the expecting are that keep off.

    ``findings`` say what is worn, ``trainings`` are the laws that this job stands under and that ask for a training.
    """
    young = _barred(job, reference, hazards, "under 18")
    found = [_kept_out(*one, hazards) for one in (*young, *_barred(job, reference, hazards, "expecting"))]
    if not job.shop.people:
        return found
    masks = _masks(findings)
    worn = [r for r in job.shop.respirators if r.id in masks]
    day = job.start.date()
    lacks = {
        person.id: (
            *(_of_the_mask(person, worn, reference, day) if masks else ()),
            *_of_training(person, trainings, day),
            *_of_age(person, [row for row, _, _ in young]),
        )
        for person in job.shop.people
    }
    return [*found, *_crew(job, lacks, [*reference.table("person_duty"), *trainings, *(row for row, *_ in young)])]


def _masks(findings: Sequence[Finding]) -> set[str]:
    """The respirators that this job asks for, by their ids in the stock; "" is one that is not in it."""
    roles = with_role(findings, Worn)
    return {worn.item for finding, worn in roles if worn.what == "respirator" and finding.level != "note"}


# ---------------------------------------------------------------- what a person lacks


def _of_the_mask(person: Person, worn: Sequence[Respirator], reference: Reference, day: date) -> Iterator[Lack]:
    for row in reference.table("person_duty"):
        if row["what"] == "clearance" and not person.cleared_on(day):
            yield _lack(say("not cleared by a doctor to wear a respirator"), row)
        elif row["what"] == "training" and (text := _late(person.trained.get("respirator"), row, day)):
            yield _lack(say("training on respirators: {state}", state=text), row)
        elif row["what"] == "fit test":
            for mask in worn:
                text = _late(person.fit_tests.get(mask.id), row, day) if mask.facepiece in TIGHT else ""
                if text:
                    yield _lack(say("fit test with {mask}: {state}", mask=mask.name or mask.id, state=text), row)


def _of_training(person: Person, trainings: Sequence[Row], day: date) -> Iterator[Lack]:
    for row in trainings:
        if text := _late(person.trained.get(row["id"]), row, day):
            # its level is that of a use whose people nobody looked up: without the training the law allows no use
            yield Lack(say('training that rule "{id}" asks for: {state}', id=row["id"], state=text), row, stops=True)


def _of_age(person: Person, young: Sequence[Row]) -> Iterator[Lack]:
    if person.under_18 is not False:
        for row in young[:1]:
            yield _lack(say("under 18") if person.under_18 else say("nobody said whether under 18"), row)


def _late(last: date | None, row: Row, day: date) -> str:
    """Why what was last done on a day does not count any more, or not yet; "" where it does."""
    if last is None or last > day:
        return say("none known by {day}", day=day)
    months = row.get("months")
    if months and _later(last, int(months)) < day:
        return say("the last was on {day}, and it counts for {months} months", day=last, months=int(months))
    return ""


def _later(day: date, months: int) -> date:
    """The same day some months later; the last of the month where it has no such day."""
    years, month = divmod(day.month - 1 + months, 12)
    year, month = day.year + years, month + 1
    return date(year, month, min(day.day, monthrange(year, month)[1]))


def _crew(job: Job, lacks: Mapping[str, Sequence[Lack]], rows: Sequence[Row]) -> list[Finding]:
    """One finding: of those the job names, or of all the shop has where it names none."""
    names = {person.id: person.name for person in job.shop.people}
    asked = job.who or tuple(names)
    short_of = [one for one in asked if lacks[one]]
    able = [names[one] for one in asked if not lacks[one]]
    sentences = [
        say("{name}: {lacks}.", name=names[one], lacks=joined([x.text for x in lacks[one]], "; ")) for one in short_of
    ]
    if able:
        sentences.append(
            say("By the days in shop.toml {names} may do this job.", names=listed(able))
            if rows
            else say("No loaded rule asks anything of {names} that has a date.", names=listed(able))
        )
    unnamed = job.crew - len(job.who)
    if unnamed:
        sentences.append(
            say("The job does not name {count} of its crew: look them up before the start.", count=unnamed)
        )
    stop = bool(job.who) and any(lack.stops for one in job.who for lack in lacks[one])
    used = {id(lack.row): lack.row for one in short_of for lack in lacks[one]}.values()
    return [
        Finding(
            "stop" if stop else "control" if short_of or unnamed else "note",
            "data",
            joined(sentences),
            say("not for {names} as the days stand", names=listed([names[one] for one in short_of]))
            if short_of
            else say("look up who does it")
            if unnamed
            else say("people: all days are good"),
            PLUGIN,
            rule=joined(dict.fromkeys(map(cite, used)), "; "),
            remedy=say("Let others do it, or first do what is missing and write its day under [[person]].")
            if stop
            else "",
            key="people",
            grounds=tuple(used),
            roles=(KeptOut("not ready"),) if short_of or unnamed else (),
        )
    ]


# ---------------------------------------------------------------- by what the products can do


def _barred(
    job: Job, reference: Reference, hazards: Mapping[str, ProductHazards], who: str
) -> list[tuple[Row, list[str], list[str]]]:
    """The rules that keep somebody off products of this job, each with the statements and products it is about."""
    found = []
    for row in reference.table("kept_out"):
        held = [one for one in hazards.values() if one.careful & set(row["codes"]) or not one.known]
        if row["who"] == who and held:
            codes = sorted({code for one in held for code in one.careful & set(row["codes"])})
            doubt = [] if all(one.known for one in held) else [say("not all is known")]
            found.append((row, [*codes, *doubt], [one.product.name for one in held]))
    return found


def _kept_out(row: Row, codes: list[str], products: list[str], hazards: Mapping[str, ProductHazards]) -> Finding:
    told = [ground for one in hazards.values() for ground in (*one.by(row["codes"]), *one.basis)]
    young = row["who"] == "under 18"
    return Finding(
        "control",
        "data",
        say("{products} ({codes}): {text}", products=listed(products), codes=listed(codes), text=term(row["text"])),
        say("under 18: not this work")
        if young
        else say("pregnant, nursing or planning a child: ask the safety officer first"),
        PLUGIN,
        rule=cite(row),
        key=f"kept-out-{row['id']}",
        grounds=(row, *told),
        roles=(KeptOut("young" if young else "pregnant"),),
    )
