"""The shapes of what people of the shop decided, what they may use, and where they are called."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field, PlainValidator

from safety.files.notation import Amount, day
from safety.files.shape_kinds import STOCK, Day, Id, Table, Telephone, Text, key
from safety.model import Called, Office


class AnswerTable(Table):
    question: Id = key("Id of the question, as the page that asks it prints it.", '"removing-bonded-parts"')
    answer: Literal["yes", "no"] = key("The answer.", '"no"')
    name: Text = key("Who decided.", '"R. Vale, environmental officer"')
    date: Day = key("The day it was decided.", "2026-03-02")
    reason: Text = key("Why.", '"The agency wrote so on 2026-02-20"', "")
    number: Text = key("Number of the authorisation it rests on, where the law asks for one.", '"REACH/19/26/0"', "")


class PermitTable(Table):
    name: Text = key("What people call it.", '"County permit, VOC cap"')
    value: Annotated[Amount, PlainValidator(STOCK.amount)] = key("How much is allowed, by mass or volume.", '"2000 kg"')
    per: Literal["month", "year", "rolling 12 months"] = key("Over what time it is added up.", '"rolling 12 months"')
    of: Text = key("What is counted: VOC, HAP, a CAS number, or the id of a product.", '"VOC"')
    citation: Text = key("Where it stands.", '"permit 14, condition 3"')
    compare: Literal["over", "at or over"] = key(
        "Whether reaching the value is too much already (at or over) or still allowed (over).", '"over"', "at or over"
    )


class PhoneTable(Table):
    reaches: Called = key("Whom it reaches.", '"emergency"')
    number: Telephone = key("The number as it is dialled at the work.", '"9-911"')
    name: Text = key("Who answers.", '"Gate, day and night"', "")


class PersonTable(Table):
    id: Id = key("The word by which jobs name this person.", '"tech-1"')
    name: Text = key("The name as the shop writes it. Initials are enough.", '"R. V."')
    under_18: bool | None = key(
        "Whether the person is under 18. Left out: not known, so asked where a law bars the young.", "false", None
    )
    cleared: Annotated[date | None, PlainValidator(day)] = key(
        "The day a doctor cleared the person to wear a respirator. The day alone: write no finding here. Left out: "
        "counts as not cleared.",
        "2026-02-03",
        None,
    )
    cleared_until: Annotated[date | None, PlainValidator(day)] = key(
        "The last day of that clearance. Left out: none is set.", "2029-02-02", None
    )
    fit_tests: dict[Id, Day] = Field(
        default_factory=dict,
        description="The day of the last fit test passed with each respirator, by its id.",
        examples=["{half-mask = 2026-01-20}"],
    )
    trained: dict[Id, Day] = Field(
        default_factory=dict,
        description="The day of the last training, by what it is for: respirator, or the id of the rule that asks it.",
        examples=["{respirator = 2026-01-20, reach-xvii-74 = 2024-05-06}"],
    )
    roles: list[Office] = Field(
        default_factory=list,
        description="What the person may do on the page, beside what everybody may: that of the safety officer, or of "
        "the office.",
        examples=['["officer"]'],
    )
