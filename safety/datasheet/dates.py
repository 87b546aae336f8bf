"""The revision date of a sheet: which of its dates it is, and in which order it was written."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Literal

from safety.datasheet.pairs import Pair
from safety.datasheet.record import Draft, Value
from safety.datasheet.rows import Row
from safety.datasheet.text import fold, squeezed
from safety.words import say

OLD = 5  # years: a sheet older than that is worth asking for a new one. Common practice, no source
_MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "jan january enero ene januar janner", "feb february febrero februar", "mar march marzo marz mrz maerz", "apr april abril abr", "may mayo mai",
            "jun june junio juni", "jul july julio juli", "aug august agosto ago", "sep sept september septiembre setiembre", "oct october octubre oktober okt",
            "nov november noviembre", "dec december diciembre dic dezember dez",
        ),
        1,
    )
    for name in names.split()
}  # fmt: skip
_MONTH = "|".join(sorted(_MONTHS, key=len, reverse=True))
_DATE = re.compile(
    rf"(?<![\d/.-])(?:(?P<iso>\d{{4}})[-/.](?P<isom>\d{{1,2}})[-/.](?P<isod>\d{{1,2}})"
    r"|(?P<a>\d{1,2})(?P<mark>[./-])(?P<b>\d{1,2})(?P=mark)(?P<y>\d{4}|\d{2})"
    rf"|(?P<md>{_MONTH})\.?[\s-]+(?P<mdd>\d{{1,2}})(?:st|nd|rd|th)?[\s,-]+(?P<mdy>\d{{4}})"
    rf"|(?P<dmd>\d{{1,2}})\.?(?:st|nd|rd|th)?[\s-]*(?:de |of )?(?P<dm>{_MONTH})\.?[\s,-]*(?:del? )?(?P<dmy>\d{{4}}|\d{{2}}(?!\d))"
    rf"|(?P<mo>{_MONTH})\.?[\s,-]+(?:de )?(?P<moy>\d{{4}})|(?P<nm>\d{{1,2}})/(?P<nmy>\d{{4}}))(?![\d/]|-\d)"
)
#: What follows a word that means "takes the place of".
_TAIL = r"(?: (?:date|dated|a la|la|el|a|the|all|die|das|previous|vorherige)\b)?(?: (?:date|version|issue|edition|revision|fassung|ausgabe|edicion|sds|sheet|sheets))*(?: (?:no\.?|nr\.?|n\.?°)?\s?[\d.]+)?(?: (?:of|from|vom|de|dated|date|del))?"
Kind = Literal["revised", "issued", "printed", "other", ""]
_KINDS: tuple[tuple[Kind, str], ...] = (
    (
        "revised",
        r"revis(?:ion|ed)(?: date| no\.?\s?\d+)?|date of (?:last )?revision|last (?:revised|updated?|review(?:ed)?)|updated?(?: on)?|(?:fecha de )?(?:la )?(?:ultima )?(?:revision|actualizacion)|revisad[oa]|uberarbeitet(?: am)?|(?:letzte )?uberarbeitung(?:sdatum)?|bearbeitungsdatum|bearbeitet am|revisionsdatum|\bstand\b|geandert am|revision vom|letzte anderung",
    ),
    (
        "issued",
        r"(?:date of )?(?:issue|issuing)|issued|prepar(?:ed|ation)|compil(?:ed|ation)|effective|(?:sds|msds) date|\bdate\b|version(?: \d[\d.]*)?(?: (?:of|vom|de))?|fecha(?: de (?:emision|elaboracion|edicion|preparacion|publicacion))?|emision|emitid[oa]|elaborad[oa]|elaboracion|edicion|ausgabe(?:datum)?|ausgestellt|erstellt(?: am)?|erstellungsdatum|erstelldatum|\bdatum\b|creat(?:ed|ion)",
    ),
    (
        "printed",
        r"print(?:ed|ing)?(?: date| on)?|date printed|(?:fecha de )?impres(?:ion|[oa])|druck(?:datum)?|gedruckt(?: am)?",
    ),
    (
        "other",
        rf"(?:super[sc]ed\w*|replac\w*|anula(?: y sustituye)?|sustituye|reemplaza|ersetzt){_TAIL}|(?:date of )?(?:the )?(?:(?:first|previous|original) (?:issue|version|edition|revision)|last (?:issue|version|edition))(?: date)?|first issued"
        r"|previous date|next (?:review|revision)|valid (?:until|from)|expir\w*|(?:fecha de (?:la )?)?(?:version|edicion) anterior|primera (?:emision|edicion|version)|fecha de (?:la )?(?:primera|creacion|caducidad)(?: emision)?|erstausgabe|ersterstell\w*"
        r"|vorherige\w*(?: (?:fassung|version))?|fassung vom|letzte[rn]? (?:fassung|version|ausgabe)|\b(?:from|until|as of|since|ab|bis|desde|hasta|seit)\b|regulation|directive|according to|reglamento|verordnung|directiva|richtlinie|\bcfr\b|\bno\.?",
    ),
)
_LABELS = [(kind, re.compile(pattern)) for kind, pattern in _KINDS]


#: Key of a label -> what its date is.
_OF_LABEL: dict[str, Kind] = {"revised": "revised", "issued": "issued", "other date": "other"}


@dataclass(frozen=True, slots=True)
class _Seen:
    kind: Kind
    written: str
    page: int
    quote: str
    days: tuple[date, ...]  # what it can be; none where there is no such day
    whole: bool = True  # False for a month and a year alone


def revised(draft: Draft, rows: list[Row], labelled: list[Pair], american: bool, today: date) -> None:
    """Put the revision date into the draft.

    ``rows`` are where a sheet says its dates in running text; ``labelled`` what stands beside labels.
    """
    seen = list(dict.fromkeys(one for one in (*_labelled(labelled), *_seen(rows)) if one.kind))
    order = _order(seen, american)
    for kind in ("revised", "issued"):
        own = [one for one in seen if one.kind == kind]
        if own:
            _put(draft, own, order, today, settled=_settled(seen))
            return
    if any(one.kind == "printed" for one in seen):
        draft.missing(say('Only a print date was found, no revision date: "{quote}".', quote=seen[0].quote))
    else:
        draft.missing(say("No {what} was found.", what=say("revision date")))


def _put(draft: Draft, own: list[_Seen], order: str, today: date, settled: bool) -> None:
    days = {_day(one, order) for one in own if one.whole} - {None}
    quote = own[0].quote
    if any(one.whole and not one.days for one in own):
        bad = next(one for one in own if one.whole and not one.days)
        draft.contradictory(say('There is no such day, left out: "{quote}".', quote=bad.quote))
        return
    if not days:
        draft.missing(say('The revision date has only a month and a year, left out: "{quote}".', quote=quote))
        return
    if len(days) > 1:
        both = "; ".join(dict.fromkeys(f'"{one.quote}"' for one in own))
        draft.contradictory(say("Several revision dates, left out: {both}. Ask which holds.", both=both))
        return
    (day,) = days
    assert day is not None
    first = next(one for one in own if one.whole)
    if day > today:
        draft.contradictory(
            say('The revision date {day} lies in the future, left out: "{quote}".', day=day, quote=first.quote)
        )
        return
    remarks = []
    if len(first.days) > 1 and not settled:
        said = say("day, month, year") if order == "day" else say("month, day, year")
        remarks.append(
            say('"{date}" was read in the order {order}; both orders are possible.', date=first.written, order=said)
        )
    age = (today - day).days // 365
    if age >= OLD:
        remarks.append(say("The sheet is {age} years old ({day}). Ask the maker for a current one.", age=age, day=day))
    for remark in remarks:
        draft.careful(remark)
    draft.values["sds_revised"] = Value("sds_revised", day.isoformat(), first.page, first.quote, remarks)


def _day(one: _Seen, order: str) -> date | None:
    if not one.days:
        return None
    return one.days[0] if len(one.days) == 1 or order == "day" else one.days[1]


def _settled(seen: list[_Seen]) -> bool:
    """Whether a date of this sheet with a day over 12 shows the order of the others."""
    return any(_shown(one) for one in seen)


def _shown(one: _Seen) -> str:
    """The order a date shows by itself, where it is written in figures with the year last."""
    found = re.fullmatch(r"(\d{1,2})[/-](\d{1,2})[/-]\d{2,4}", one.written)
    if not found or len(one.days) != 1:
        return ""
    return "day" if int(found[1]) > 12 else "month" if int(found[2]) > 12 else ""


def _order(seen: list[_Seen], american: bool) -> str:
    shown = {_shown(one) for one in seen} - {""}
    return shown.pop() if len(shown) == 1 else "month" if american else "day"


def _seen(rows: list[Row]) -> Iterator[_Seen]:
    above: Row | None = None
    for row in rows:
        text = row.text
        low = fold(text)
        begin = 0
        for place in _DATE.finditer(low):
            kind = _kind(low[begin : place.start()])
            if not kind and above is not None and not re.search(r"[a-z]{3}", low[begin : place.start()]):
                kind = _kind(fold(_over(above, row, text[place.start() : place.end()])))
            written = text[place.start() : place.end()]
            days, whole = _days(place)
            quote = squeezed(text[max(begin, place.start() - 60) : place.end()])
            if kind or whole:
                yield _Seen(kind, written, row.page, quote, days, whole)
            begin = place.end()
        above = row


def _labelled(pairs: list[Pair]) -> Iterator[_Seen]:
    for pair in pairs:
        text = f"{pair.label} {pair.value}"
        for place in _DATE.finditer(fold(text)):
            days, whole = _days(place)
            yield _Seen(
                _OF_LABEL[pair.key], text[place.start() : place.end()], pair.page, squeezed(text)[:120], days, whole
            )
            break


def _over(above: Row, row: Row, written: str) -> str:
    """The cell of the row above that heads the cell a date stands in."""
    left = next((cell.left for cell in row.cells if written in cell.text), row.left)
    return min(above.cells, key=lambda cell: abs(cell.left - left)).text


def _kind(before: str) -> Kind:
    best: tuple[int, int, Kind] | None = None
    for kind, pattern in _LABELS:
        for found in pattern.finditer(before):
            mark = (found.end(), found.end() - found.start(), kind)
            if best is None or mark[:2] > best[:2]:
                best = mark
    if best is None or len(before) - best[0] > 25:
        return ""
    return best[2]


def _days(found: re.Match[str]) -> tuple[tuple[date, ...], bool]:
    if found["mo"] or found["nm"]:
        return (), False
    if found["iso"]:
        pairs = [(found["iso"], found["isom"], found["isod"])]
    elif found["md"]:
        pairs = [(found["mdy"], str(_MONTHS[found["md"]]), found["mdd"])]
    elif found["dm"]:
        pairs = [(found["dmy"], str(_MONTHS[found["dm"]]), found["dmd"])]
    else:
        pairs = [(found["y"], found["b"], found["a"])]  # day first
        if found["mark"] != "." and found["a"] != found["b"]:
            pairs.append((found["y"], found["a"], found["b"]))
    made = (_made(*map(int, pair)) for pair in pairs)
    return tuple(day for day in made if day), True


def _made(year: int, month: int, day: int) -> date | None:
    year += 0 if year > 99 else 1900 if year >= 70 else 2000
    try:
        return date(year, month, day)
    except ValueError:
        return None
