"""Seconds since a job's start as the clock on the wall."""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta
from typing import Literal

from safety.words import Message, message, say

Rounded = Literal["near", "up", "down"]


class ClockTime(Message):
    """A time on the wall as it is said."""

    __slots__ = ()


def clock(start: datetime, seconds: float, rounded: Rounded = "near") -> ClockTime:
    """``"09:45"``, or ``"00:10 next day"`` on a later day, to the minute.

    A time before which something is too early is rounded up, one after which it is too late down.
    """
    at = moment(start, seconds, rounded)
    return _of_day(f"{at:%H:%M}", days_after(start, at))


def moment(start: datetime, seconds: float, rounded: Rounded = "near") -> datetime:
    """The whole minute a time is said with."""
    # a hair of float noise must not cost a whole minute
    exact = (seconds + start.second) / 60
    minutes = {"near": round(exact), "up": math.ceil(exact - 1e-6), "down": math.floor(exact + 1e-6)}[rounded]
    return start.replace(second=0, microsecond=0) + timedelta(minutes=minutes)


def days_after(start: datetime, at: datetime) -> int:
    """How many midnights lie between a job's start and a time; below 0 for a time on a day before it."""
    return (at.date() - start.date()).days


def hour(at: datetime) -> ClockTime:
    """A time of its own day: "09:45"."""
    return _of_day(f"{at:%H:%M}", 0)


def _of_day(time: str, days: int) -> ClockTime:
    if days == 0:
        return ClockTime(time, "{time}", {"time": time})
    if abs(days) == 1:
        said = say("{time} next day", time=time) if days > 0 else say("{time} the day before", time=time)
    elif days > 0:
        said = say("{time} ({days} days later)", time=time, days=days)
    else:
        said = say("{time} ({days} days before)", time=time, days=-days)
    return ClockTime(said, "{time}", {"time": said})


_MONTHS = (
    message("January {year}"),
    message("February {year}"),
    message("March {year}"),
    message("April {year}"),
    message("May {year}"),
    message("June {year}"),
    message("July {year}"),
    message("August {year}"),
    message("September {year}"),
    message("October {year}"),
    message("November {year}"),
    message("December {year}"),
)


def month(day: date) -> str:
    """The month of a day with its year: "November 2026"."""
    return say(_MONTHS[day.month - 1], year=day.year)
