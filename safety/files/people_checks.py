"""Mistakes in what a shop says of its people, and in whom a job names. Works on plain data, as cross_checks does."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from safety.files.notation import nearest, squeezed
from safety.files.toml import Document, problem, tables
from safety.model import Shop
from safety.problems import Problem
from safety.words import say


def check_people(document: Document) -> Iterator[Problem]:
    """What is wrong in the people of a shop: a fit test of no respirator, a clearance that ends before it begins."""
    stock = [squeezed(one.get("id")) for _, one in tables(document.data, "respirator")]
    for at, person in tables(document.data, "person"):
        tests = person.get("fit_tests")
        for name in tests if isinstance(tests, dict) else ():
            if squeezed(name) not in stock:
                wrong = say('there is no respirator "{id}" in {file}', id=squeezed(name), file=document.shown)
                yield problem(document, (*at, "fit_tests", name), wrong, nearest(squeezed(name), stock))
        first, last = person.get("cleared"), person.get("cleared_until")
        if "cleared_until" in person and "cleared" not in person:
            wrong = say("cleared_until stands without cleared")
            yield problem(document, (*at, "cleared_until"), wrong, say("write the day of the clearance as well"))
        elif isinstance(first, date) and isinstance(last, date) and type(first) is type(last) and last < first:
            wrong = say("the clearance ends ({last}) before it begins ({first})", last=last, first=first)
            yield problem(document, (*at, "cleared_until"), wrong, say("check both days"))


def named_people(document: Document, shop: Shop | None) -> list[Problem]:
    """A mistake for each person of a job's crew whom the shop does not have, who is named twice, or is one too many."""
    job = document.data.get("job")
    who = job.get("who") if isinstance(job, dict) else None
    if not isinstance(job, dict) or not isinstance(who, list) or shop is None:
        return []
    known, found = [person.id for person in shop.people], []
    for index, one in enumerate(who):
        word = squeezed(one)
        if word not in known:
            wrong = say('there is no person "{id}" in {home}', id=word, home="shop.toml")
            found.append(problem(document, ("job", "who", index), wrong, nearest(word, known)))
        elif word in map(squeezed, who[:index]):
            wrong, write = say('"{word}" is there twice', word=word), say("name each person once")
            found.append(problem(document, ("job", "who", index), wrong, write))
    crew = job.get("crew")
    if isinstance(crew, int) and len(who) > crew:
        wrong = say("{count} people are named, and the crew is {crew}", count=len(who), crew=crew)
        found.append(problem(document, ("job", "who"), wrong, say("write crew = {count}", count=len(who))))
    return found
