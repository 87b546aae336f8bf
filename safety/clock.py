"""Seconds since a job's start as the clock on the wall."""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta
from typing import Literal

from safety.words import message, say, term


def clock(start: datetime, seconds: float, rounded: Literal["near", "up", "down"] = "near") -> str:
    """``"09:45"``, or ``"+1 d 00:10"`` on a later day, to the minute.

    A time before which something is too early is rounded up, one after which it is too late down.
    """
    # a hair of float noise must not cost a whole minute
    exact = (seconds + start.second) / 60
    minutes = {"near": round(exact), "up": math.ceil(exact - 1e-6), "down": math.floor(exact + 1e-6)}[rounded]
    at = start.replace(second=0, microsecond=0) + timedelta(minutes=minutes)
    days = (at.date() - start.date()).days
    time = at.strftime("%H:%M")
    return say("+{days} d {time}", days=days, time=time) if days else time


_MONTHS = (
    message("January"),
    message("February"),
    message("March"),
    message("April"),
    message("May"),
    message("June"),
    message("July"),
    message("August"),
    message("September"),
    message("October"),
    message("November"),
    message("December"),
)


def month(day: date) -> str:
    """The month of a day with its year: "November 2026"."""
    return say("{month} {year}", month=term(_MONTHS[day.month - 1]), year=day.year)
