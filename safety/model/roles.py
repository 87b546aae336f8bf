"""What a judgement means to others, whatever its words are and whoever made it.

A finding carries roles. Whoever compares jobs, draws a day or counts masks reads these and never the words, the key or
the name of a plugin: so they work with any plugin that answers.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

#: What a person can wear.
Wear = Literal["gloves", "respirator", "eyewear", "clothing"]
#: Over what time the air is held against a limit.
Averaged = Literal["shift average", "15 min", "ceiling"]
#: Close to the work, and in the rest of the place.
Zone = Literal["near", "far"]
#: What a stretch of the clock is for.
Stretch = Literal["others out", "air not clear", "no ignition source", "after another job", "window"]
#: Why somebody does not do the work, or asks first.
Excluded = Literal["asthma", "allergic", "pregnant", "untrained", "young", "not ready"]


@dataclass(frozen=True, slots=True)
class Worn:
    """What is worn in the step of the finding, in its few words. A ``note`` says that nothing has to be."""

    what: Wear
    item: str = ""  # its id in the shop's stock; "" where nothing of the stock is meant
    factor: float | None = None  # of a respirator: the protection factor the rules assign it
    lasts: float | None = None  # s from its first use, pauses counted, after which it is changed; None: no time is set


@dataclass(frozen=True, slots=True)
class AgainstLimit:
    """How many times a limit the worker of the job breathes without a mask (95th percentile)."""

    over: Averaged
    ratio: float
    cas: str = ""  # "" = all vapours together, each against its own limit


@dataclass(frozen=True, slots=True)
class ExplosiveShare:
    """How much of the lower explosive limit the air of a zone reaches in the step of the finding (95th percentile)."""

    zone: Zone
    percent: float


@dataclass(frozen=True, slots=True)
class Ignites:
    """What can set off vapour in the step of the finding, by the step's own words.

    "" says that these were looked at and hold nothing of the kind; without the role nobody has looked.
    """

    source: str


@dataclass(frozen=True, slots=True)
class ClockSpan:
    """A stretch of the job's clock that a judgement sets [s since the job's start].

    "others out": nobody without a mask in the place. "air not clear": after the last step. "no ignition source": around
    the step. "after another job": too early for this job, for what ``job`` leaves. "window": in which the next step
    must begin. One that ends where it begins asks for nothing.
    """

    what: Stretch
    begin: float
    end: float | None  # None: nobody knows when
    job: str = ""  # id of another job of the day


@dataclass(frozen=True, slots=True)
class Planned:
    """A mass the job plans to use, or to throw away [kg], as a careful estimate.

    On a finding of a step it is a part, on one of the whole job the total.
    """

    what: Literal["solvent", "waste"]
    mass: float
    middle: float | None = None  # the middle estimate
    kind: str = ""  # what of it counts: "VOC", "HAP" ...; "" = all of it
    product: str = ""  # Product.id; "" = of several


@dataclass(frozen=True, slots=True)
class KeptOut:
    """Somebody who may not do this work, or asks before it: said in the few words of the finding."""

    who: Excluded


@dataclass(frozen=True, slots=True)
class Lights:
    """A thing that can light vapour, and whether it may be used in the step of the finding, or in the whole job."""

    thing: str  # its name, as a person reads it
    allowed: bool


@dataclass(frozen=True, slots=True)
class SaidUnder:
    """What there is to do stands under a topic, of this step or of others: on paper this is there to be read up."""

    topic: str


Role = Worn | AgainstLimit | ExplosiveShare | Ignites | ClockSpan | Planned | KeptOut | Lights | SaidUnder
