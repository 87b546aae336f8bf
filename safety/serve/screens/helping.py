"""What somebody needs who is hurt or sees a fire: whom to call, where to rinse, what to do.

It stands in every page, so that it opens without the network, and asks nobody's name. What to do is said for the
worst that a product can do: here nobody looks up first what it was.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass

from safety.model import Job, Shop
from safety.problems import Problems
from safety.serve.asked import Refused
from safety.serve.desk import Desk
from safety.words import say


@dataclass(frozen=True, slots=True)
class Aid:
    """One thing that happened, and what to do."""

    key: str
    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Helping:
    """The whole screen."""

    place: str
    calls: tuple[tuple[str, str, str], ...]  # whom, number, who answers
    rinse: tuple[tuple[str, str], ...]  # eyewash and shower, and where
    makers: tuple[tuple[str, str], ...]  # product, the maker's number
    aids: tuple[Aid, ...]


def helping(desk: Desk, job_id: str = "") -> Helping:
    """Help for a job, or for the whole shop; what cannot be read is left out, never the page."""
    shop: Shop | None = None
    job: Job | None = None
    with suppress(Problems, Refused):
        shop = desk.shop()
        job = desk.card(job_id).job if job_id else None
    place = job.place if job else None
    of_shop = (shop.eyewash, shop.shower) if shop else ("", "")
    of_place = (place.eyewash, place.shower) if place else ("", "")
    unsaid = say("Not written down: ask the lead now")
    eyewash, shower = (own or common or unsaid for own, common in zip(of_place, of_shop, strict=True))
    products = job.products if job else ()
    return Helping(
        place=(place.name or place.id) if place else "",
        calls=_calls(shop),
        rinse=((say("Eyewash"), eyewash), (say("Shower"), shower)),
        makers=tuple((p.name, p.emergency_telephone) for p in products if p.emergency_telephone),
        aids=_aids(),
    )


def _calls(shop: Shop | None) -> tuple[tuple[str, str, str], ...]:
    whom = {
        "emergency": say("Emergency"),
        "poison centre": say("Poison centre"),
        "officer": say("Safety officer"),
    }
    known = {str(phone.reaches): phone for phone in (shop.phones if shop else ())}
    calls = [(whom[key], known[key].number, known[key].name) for key in whom if key in known]
    if "emergency" not in known:
        calls.insert(0, (whom["emergency"], say("not written down"), say("Call the number of your country")))
    return tuple(calls)


def _aids() -> tuple[Aid, ...]:
    """After the first aid statements of GHS annex 3 and the sheet's own lines, each in its strictest form."""
    call = say("Call the emergency number.")
    eyes = (
        say("Rinse at once with plenty of water, 15 min at least."),
        say("Hold the lids open. Lenses out if that is easy."),
        say("Doctor at once. Take the data sheet along."),
    )
    skin = (
        say("Take soaked clothes off at once."),
        say("Wash with soap and plenty of water."),
        say("Doctor at once. Take the data sheet along."),
    )
    breathed = (
        say("You first: go into no vapour without the gear for it."),
        say("Fresh air. Keep the person at rest."),
        say("Dizzy, blue or not breathing: call the emergency number."),
        say("Cough or wheeze, even hours later: doctor."),
    )
    fire = (
        say("Raise the alarm. Get everybody out."),
        call,
        say("Fight it only if trained, small, and with the way out behind you."),
        say("Never a jet of water."),
        say("Clothes on fire: stop, drop, roll, drench."),
    )
    spill = (
        say("No flame, no switch, no spark."),
        say("Shout, get out, keep others out."),
        call,
        say("Only small, and with kit and training: soak it up from the edge."),
        say("Keep it out of drains."),
    )
    swallowed = (
        say("Rinse the mouth. Give nothing else."),
        say("Do NOT make the person vomit."),
        say("Call the poison centre at once."),
    )
    return (
        Aid("eyes", say("Eyes"), eyes),
        Aid("skin", say("Skin"), skin),
        Aid("breathed", say("Breathed in"), breathed),
        Aid("fire", say("Fire"), fire),
        Aid("spill", say("Spill"), spill),
        Aid("swallowed", say("Swallowed"), swallowed),
    )
