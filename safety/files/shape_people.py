"""The shapes of what people of the shop decided, what they may use, and where they are called."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import PlainValidator

from safety.files.notation import Amount
from safety.files.shape_kinds import STOCK, Day, Id, Table, Telephone, Text, key
from safety.model import Called


class AnswerTable(Table):
    question: Id = key("Id of the question, as the page that asks it prints it.", '"removing-bonded-parts"')
    answer: Literal["yes", "no"] = key("The answer.", '"no"')
    name: Text = key("Who decided.", '"R. Vale, environmental officer"')
    date: Day = key("The day it was decided.", "2026-03-02")
    reason: Text = key("Why.", '"The agency wrote so on 2026-02-20"', "")


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
