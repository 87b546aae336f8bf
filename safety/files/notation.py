"""How single values are written in a file: quantities, names, ids, CAS numbers, dates."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from difflib import get_close_matches
from functools import lru_cache
from math import isfinite, nextafter
from typing import Literal, TypeVar
from urllib.parse import unquote_plus

from safety import units
from safety.files.spelling import Miswritten as Miswritten
from safety.files.spelling import one_end, two_ends
from safety.files.spelling import with_points as with_points
from safety.files.toml import plain
from safety.model import Range
from safety.words import say

_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*", re.ASCII)
_DEVICES = frozenset(["con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(10))])
_CAS = re.compile(r"([1-9]\d{1,6})-(\d\d)-(\d)", re.ASCII)
#: What stands in the place of a share that is not given.
_NO_SHARE = frozenset(
    {"balance", "rest", "remainder", "resto", "unknown", "trade secret", "proprietary", "confidential"}
)
_HAZARD = re.compile(r"(?:EUH|H)\d{3}[A-Za-z]{0,2}", re.ASCII)
#: "://user:password@", taken apart as SQLAlchemy does it, and a password as a key of its own.
_PASSWORD = re.compile(r"^[^:]*://[^:/]*:[^@]+@|password\s*=", re.IGNORECASE)
#: Words people write for units -> ours. They are only asked back: a gallon may be another country's.
_SPOKEN = {
    "gallon": "us_gal", "quart": "us_qt", "pint": "us_pt", "floz": "us_fl_oz", "fluid_ounce": "us_fl_oz",
    "pound": "lb", "ounce": "oz", "gram": "g", "gramme": "g", "kilogram": "kg", "kilo": "kg",
    "liter": "l", "litre": "l", "ltr": "l", "milliliter": "ml", "millilitre": "ml", "cc": "cm3",
}  # fmt: skip
_YEARS = range(1990, 2101)

Day = TypeVar("Day", bound=date)


@dataclass(frozen=True, slots=True)
class Amount:
    """A range and the kind of quantity it was written in (mass or volume, for example)."""

    range: Range
    kind: str


@dataclass(frozen=True, slots=True)
class Quantity:
    """Reads text with a unit into SI.

    ``between`` holds for each kind what is plausible for one key, within what the kind allows. ``careful``: which end
    of a range is the more dangerous one; of ">200 degC" the 200 degC is taken where that is the low end.
    """

    kinds: tuple[str, ...]
    between: tuple[tuple[str, str], ...] = ()
    positive: bool = False
    careful: Literal["low", "high", ""] = ""

    def one(self, value: object) -> tuple[float, str]:
        """Return the value in the base unit of its kind, and that kind."""
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            raise Miswritten(say("{value} is a plain number, without a unit", value=plain(value)), "")
        if not isinstance(value, str) or plain(value) != value:
            raise Miswritten(say('"{value}" is not a quantity', value=plain(value)), "")
        return self._read(self._careful(with_points(value)))

    @lru_cache(4096)  # noqa: B019  (there are as many quantities as kinds of keys, and they stay)
    def _read(self, value: str) -> tuple[float, str]:
        kind = self._kind(value)
        if units.KINDS[kind].base == "1" and value.strip()[-1:].isdigit():
            raise Miswritten(say('"{value}" has no unit', value=value), "")
        number = units.read(value, kind)
        if self.positive and number <= 0:
            raise Miswritten(say('"{value}" is zero', value=value), say("write more than zero, or take this entry out"))
        if self.between:
            low, high = self.between[self.kinds.index(kind)]
            if not units.read(low, kind) <= number <= units.read(high, kind):
                wrong = say('"{value}" is not between {low} and {high}', value=value, low=low, high=high)
                raise Miswritten(wrong, say("check the number and its unit"))
        return number, kind

    def _kind(self, text: str) -> str:
        if len(self.kinds) == 1:
            return self.kinds[0]
        written, near = units.written_unit(text), self._near(text)
        for kind in self.kinds:
            if units.unit_of(written, units.KINDS[kind]):
                return kind
        for kind in () if near else self.kinds:  # a number that cannot be read, before a unit that can
            if any(re.search(rf"[\d.\s]{re.escape(unit)}\s*\Z", text) for unit in units.KINDS[kind].units):
                return kind
        names = say(" or ").join(map(units.called, self.kinds))
        examples = say(" or ").join(f'"{units.KINDS[kind].example}"' for kind in self.kinds)
        wrong = say('"{text}" has no unit of {names}', text=text, names=names)
        if near:
            raise Miswritten(wrong, say('did you mean "{near}"?', near=near))
        known = [unit for kind in self.kinds for unit in units.KINDS[kind].units]
        meant = units.did_you_mean(written, known)
        raise Miswritten(wrong, say("{near}write for example {examples}", near=meant, examples=examples))

    def _near(self, text: str) -> str:
        """The quantity in a unit of ours that people write otherwise ("2 gallons", "9 ml"); "" where there is none."""
        unit = units.written_unit(text)
        word = unit.casefold().rstrip("s.").replace(" ", "_")
        word = _SPOKEN.get(word, word)
        for kind in self.kinds:
            for ours in units.KINDS[kind].units:
                if word and word in (ours.casefold(), ours.casefold().removeprefix("us_")):
                    return text.strip().removesuffix(unit) + ours
        return ""

    def _careful(self, text: str) -> str:
        """The careful end of what is a range or has one end only. Raises Miswritten where none of them is."""
        if two := self._two(text):
            if self.careful:
                return two[1] if self.careful == "high" else two[0]
            wrong = say('"{text}" is a range, and one value belongs here', text=text)
            raise Miswritten(wrong, say('write "{first}" or "{second}"', first=two[0], second=two[1]))
        end = one_end(text)
        if not end:
            return text
        sign, rest = end
        if sign == "~":
            wrong = say('"{text}" says only about how much', text=text)
            raise Miswritten(wrong, say("write the least and the most it can be, or the one that is more dangerous"))
        if not self.careful:
            return text
        if (sign == ">") == (self.careful == "low"):
            return rest
        if self.careful == "low":
            wrong = say('"{text}" may be any lower, which is more dangerous', text=text)
            raise Miswritten(wrong, say("write the lowest it can be, or leave it out"))
        wrong = say('"{text}" may be any higher, which is more dangerous', text=text)
        raise Miswritten(wrong, say("write the highest it can be, or leave it out"))

    def _two(self, text: str) -> tuple[str, str, bool] | None:
        """The ends of a range in one text, and whether the high one is not meant itself."""
        two = two_ends(text)
        if not two or two[1] not in ("", two[3]) or not any(units.unit_of(two[3], units.KINDS[k]) for k in self.kinds):
            return None
        low, unit, high, last, open_ = two
        return f"{low} {unit or last}", f"{high} {last}", open_

    def _ends(self, text: str) -> tuple[str, str, bool] | None:
        """The ends of what is a range or one end of a range: "10-30 %", "< 5 %". None: it is neither."""
        if two := self._two(text):
            return two
        end = one_end(text)
        if end and end[0] == "~":
            self._careful(text)
        if end and self.kinds == ("fraction",):
            return (end[1], "100 %", False) if end[0] == ">" else ("0 %", end[1], end[0] == "<")
        if end and self.kinds == ("pressure",) and end[0] != ">":
            return "0 Pa", end[1], end[0] == "<"
        if self.kinds == ("fraction",) and text.strip().casefold() in _NO_SHARE:
            wrong = say('"{text}" is not one quantity and not a list of two', text=text)
            raise Miswritten(wrong, say('write the least and the most it can be, such as ["0 %", "100 %"]'))
        return None

    def number(self, value: object) -> float:
        """Read one quantity."""
        return self.one(value)[0]

    def number_or_none(self, value: object) -> float | None:
        """Read one quantity; "unknown" is None."""
        return None if value == "unknown" else self.number(value)

    def number_or_absent(self, value: object) -> float | Literal["none"] | None:
        """Read as :meth:`number_or_none`; "none", there is none, stays as it is."""
        return "none" if value == "none" else self.number_or_none(value)

    def span(self, value: object) -> Range:
        """Read one quantity, or a list of two: the 5th and the 95th percentile."""
        return self.amount(value).range

    def span_or_unknown(self, value: object) -> Range | Literal["unknown"]:
        """Read as :meth:`span`; "unknown" stays as it is."""
        return "unknown" if value == "unknown" else self.span(value)

    def amount(self, value: object) -> Amount:
        """Read one quantity or a list of two, and say which kind it was written in."""
        given = with_points(value) if isinstance(value, str) and plain(value) == value else ""
        ends = self._ends(given) if given else None
        value = [*ends[:2]] if ends else value
        if not isinstance(value, list):
            number, kind = self.one(value)
            return Amount(Range(number, number, str(value).strip()), kind)
        if len(value) != 2:
            raise Miswritten(
                say("a range needs two values, this has {count}", count=len(value)), say("write [low, high]")
            )
        (low, kind), (high, other) = self.one(value[0]), self.one(value[1])
        if kind != other:
            raise Miswritten(
                say("the two ends of the range are different kinds of quantity"),
                say("write both as {kind}", kind=units.called(kind)),
            )
        if ends and ends[2]:
            high = nextafter(high, 0.0)
        if low > high:
            raise Miswritten(
                say('the range runs from "{low}" down to "{high}"', low=value[0], high=value[1]),
                say("write the lower value first"),
            )
        return Amount(Range(low, high, say("{low} to {high}", low=value[0].strip(), high=value[1].strip())), kind)

    def single(self, value: object) -> Amount:
        """Read one quantity that may be of several kinds; a list is a mistake."""
        number, kind = self.one(value)
        return Amount(Range(number, number, str(value).strip()), kind)

    def amount_or_unknown(self, value: object) -> Amount | Literal["unknown"]:
        """Read as :meth:`amount`; "unknown" stays as it is."""
        return "unknown" if value == "unknown" else self.amount(value)


def squeezed(value: object) -> str:
    """Text with single spaces, as :func:`text` keeps it; "" for anything else."""
    return " ".join(value.replace("\u00a0", " ").split()) if isinstance(value, str) else ""


def atoms(value: object) -> tuple[int, int]:
    """The fewest and the most carbon atoms: "C9-C11" as a list of two whole numbers."""
    if not isinstance(value, list) or len(value) != 2 or not all(type(n) is int and 1 <= n <= 60 for n in value):
        raise Miswritten(say("this is not a list of two whole numbers"), "")
    fewest, most = value
    if fewest > most:
        raise Miswritten(say("the first number is larger than the second"), say("write the lower value first"))
    return fewest, most


def text(value: object) -> str:
    """A short text on one line."""
    if not isinstance(value, str):
        raise Miswritten(say("this is not text"), say("write it in quotes"))
    line = squeezed(value)
    if not line:
        raise Miswritten(say("the text is empty"), say("write something, or take the key out"))
    if not line.isprintable() or len(line) > 200:
        raise Miswritten(
            say("the text is longer than 200 letters or holds a sign that cannot be printed"),
            say("write it again, shorter"),
        )
    return line


def address(value: object) -> str:
    """Where a ledger is kept. A password in it would be stored and filed with every copy of the shop's file."""
    line = text(value)
    if any(_PASSWORD.search(form) for form in (line, unquote_plus(line))):  # "pass%77ord=" is read as "password="
        raise Miswritten(
            say("a password stands in the address"),  # the address itself is not printed
            say(
                'take it out, write "postgresql://clerk@host/solvents", and put the password into the file ~/.pgpass '
                "or the variable PGPASSWORD; change it if others have seen this file"
            ),
        )
    return line


def telephone(value: object) -> str:
    """A telephone number, and what stands beside it. Three figures at least, as of an emergency number of a country."""
    line = text(value)
    if sum(sign.isdigit() for sign in line) < 3:
        raise Miswritten(say('"{text}" is not a telephone number', text=plain(line)), "")
    return line


def names(value: object) -> list[str]:
    """One name, or a list of names."""
    if isinstance(value, list) and not value:
        raise Miswritten(say("the list is empty"), say("write a name, or take the key out"))
    return [text(one) for one in value] if isinstance(value, list) else [text(value)]


def identifier(value: object) -> str:
    """An id: it becomes a file name, so it must be one on every computer."""
    line = text(value)
    if not _ID.fullmatch(line) or len(line) > 60:
        better = re.sub(r"[^a-z0-9]+", "-", line.lower()).strip("-")[:60] or "bay-2"
        raise Miswritten(
            say(
                '"{id}" is not an id: only small letters a to z, digits and single hyphens, at most 60', id=plain(line)
            ),
            say('write for example "{better}"', better=better if better not in _DEVICES else f"{better}-1"),
        )
    if line in _DEVICES:
        raise Miswritten(
            say('"{id}" cannot be a file name on every computer', id=line), say('write for example "{id}-1"', id=line)
        )
    return line


def cas(value: object) -> str:
    """A CAS number with a right check digit."""
    line = text(value)
    match = _CAS.fullmatch(line)
    if not match:
        raise Miswritten(say('"{cas}" is not a CAS number such as "108-88-3"', cas=plain(line)), _copy_again())
    digits = match[1] + match[2]
    check = sum(weight * int(digit) for weight, digit in enumerate(reversed(digits), 1)) % 10
    if check != int(match[3]):
        raise Miswritten(
            say('"{cas}" is mistyped: its last digit would have to be {check}', cas=line, check=check), _copy_again()
        )
    return line


def _copy_again() -> str:
    return say("copy it again from section 3 of the safety data sheet")


def hazard(value: object) -> str:
    """One H-code of a safety data sheet."""
    line = text(value)
    if not _HAZARD.fullmatch(line):
        raise Miswritten(say('"{code}" is not an H-code', code=plain(line)), say('write for example "H225"'))
    return line


def hazards(value: object) -> list[str] | None:
    """The H-codes of a safety data sheet; "unknown" is None."""
    if value == "unknown":
        return None
    if not isinstance(value, list):
        raise Miswritten(say("this must be a list of H-codes"), say('write for example ["H225", "H304"]'))
    if not value:
        raise Miswritten(
            say("the list of hazards is empty"),
            say('write not_classified = true where the safety data sheet says so, or hazards = "unknown"'),
        )
    return [hazard(code) for code in value]


def setting(value: object) -> float | str:
    """A number or a text for a plugin."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        if not isfinite(value):
            raise Miswritten(say("this is not a number with an end"), say("write a plain number"))
        return value
    return text(value)


def day(value: object) -> date:
    """A date."""
    if isinstance(value, str):
        try:
            value = date.fromisoformat(value.strip())
        except ValueError:
            raise Miswritten(
                say('"{value}" is not a date', value=plain(value)), say("write for example 2026-03-02")
            ) from None
    if not isinstance(value, date) or isinstance(value, datetime):
        raise Miswritten(say("this is not a date"), say("write for example 2026-03-02, without a time"))
    return _near_our_time(value)


def day_or_none(value: object) -> date | None:
    """A date; "unknown" is None."""
    return None if value == "unknown" else day(value)


def day_or_moment(value: object) -> date:
    """A date, or a date with a time of day by the shop's own clock."""
    if isinstance(value, datetime) or (isinstance(value, str) and ":" in value):
        return moment(value)
    return day(value)


def moment(value: object) -> datetime:
    """A date with a time of day, by the shop's own clock."""
    example = say("write for example 2026-11-25T07:30:00")
    if isinstance(value, str):
        value = _moment_in(value.strip().replace("T", " ")) or value
    if not isinstance(value, datetime):
        raise Miswritten(say('"{value}" is not a date with a time', value=plain(value)), example)
    if value.tzinfo is not None:
        raise Miswritten(
            say("the time has a time zone"), say("{example}, by the clock on the shop's wall", example=example)
        )
    return _near_our_time(value)


def _moment_in(value: str) -> datetime | None:
    for pattern in ("%Y-%m-%d %H:%M", "%Y-%m-%d %H:%M:%S"):
        try:
            return datetime.strptime(value, pattern)
        except ValueError:
            continue
    return None


def _near_our_time(value: Day) -> Day:
    if value.year not in _YEARS:
        raise Miswritten(say("the year {year} cannot be right", year=value.year), say("check the year"))
    return value


def nearest(word: object, known: Iterable[str]) -> str:
    """Return ``did you mean "x"?`` for the most similar known word, or the words to choose from."""
    words = tuple(sorted(known))
    if close := _closest(str(word), words):
        return say('did you mean "{word}"?', word=close)
    shown = ", ".join(f'"{w}"' for w in words[:12]) + (" ..." if len(words) > 12 else "")
    return say("write one of: {words}", words=shown) if words else say("there are none yet")


@lru_cache(256)
def _closest(word: str, words: tuple[str, ...]) -> str:
    """The most similar of some words, or ""; a sheet asks for the same few again and again."""
    return next(iter(get_close_matches(word, words, 1, 0.6)), "")
