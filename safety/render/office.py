"""The page for the office: one side that stands before every log, made of what the blocks of the log mean."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Literal, TypeVar

from safety import levels
from safety.logbook import each_once, last_day
from safety.model import (
    Chart,
    LeavesBy,
    LogReport,
    LogRole,
    OpenPoint,
    Period,
    Settles,
    Tallied,
    TalliedOver,
    Tally,
    TallyLimit,
)
from safety.quantities import mass, volume
from safety.reference import crossed, settled
from safety.words import message, say, term

#: How an amount stands to its limit, the gravest first. What is not all counted is never within.
State = Literal["over", "near", "not all counted", "within"]
STATES: dict[State, str] = {
    "over": message("over"),
    "near": message("near"),
    "not all counted": message("not all counted"),
    "within": message("within"),
}
#: Share of a limit from which it is called near: our choice, no source.
NEAR = 0.8
_SMALL = 0.1  # share of a limit under which no bar is drawn, likewise

#: What is asked after; a row stands for each of these even where nobody counts it.
_TALLIED: dict[Tallied, str] = {
    "solvent": message("Solvent used"),
    "VOC": message("VOC"),
    "HAP": message("HAP"),
    "waste": message("Hazardous waste that counts"),
}
#: What is asked after only where a pack of the shop names a law on it.
_BY_LAW: frozenset[Tallied] = frozenset({"HAP"})
_OVER: dict[TalliedOver, str] = {
    "period": message("in this period"),
    "month": message("in a month"),
    "year": message("in the calendar year"),
    "rolling 12 months": message("in 12 months"),
    "now": message("at the end of the period"),
}
#: Who settles what, in the order of the page.
_WHO: dict[Settles, str] = {
    "recorder": message("Whoever wrote the records"),
    "files": message("Whoever keeps the shop's files"),
    "maker": message("The maker, by the data sheet"),
    "officer": message("The officer, with the authority"),
    "rules": message("Whoever keeps the rules packs"),
    "program": message("Whoever looks after the program"),
    "": message("Nobody has said who"),
}

A_role = TypeVar("A_role", bound=LogRole)


@dataclass(frozen=True, slots=True)
class Bar:
    """One amount against its limit."""

    of: TallyLimit
    state: State
    share: float  # of the limit; 1 where nothing is allowed and something is there
    ahead: float  # share still planned
    words: str  # "37.3 kg of 60 kg in 12 months, 62 %"

    @property
    def state_word(self) -> str:
        return term(STATES[self.state])

    @property
    def small(self) -> bool:
        """Whether what is counted is so far from the limit that its name is enough."""
        counted = self.of.amount > 0 or self.of.whole
        return counted and self.state in ("not all counted", "within") and self.share + self.ahead < _SMALL


@dataclass(frozen=True, slots=True)
class Leaving:
    of: LeavesBy
    over: bool  # its last day is before the end of the period
    words: str  # "2027-05-01, 152 days left"


@dataclass(frozen=True, slots=True)
class Open:
    """Open points of one kind that one and the same person can settle."""

    who: str
    text: str  # of the first of them
    more: int  # how many more there are


@dataclass(frozen=True, slots=True)
class Office:
    title: str
    heads: tuple[str, ...]  # of the two columns of amounts
    amounts: tuple[tuple[str, ...], ...]  # a name, and an amount for each head
    tallies: tuple[Tally, ...]  # all that ``amounts`` are made of
    bars: tuple[Bar, ...]  # the gravest and the fullest first
    leaving: tuple[Leaving, ...]  # by day
    open: tuple[Open, ...]
    counts: tuple[tuple[str, int], ...]  # a word, and how many there are of it
    points: tuple[OpenPoint, ...]  # all that ``open`` is made of

    @property
    def drawn(self) -> tuple[Bar, ...]:
        """The bars that are more than a name."""
        return tuple(bar for bar in self.bars if not bar.small)

    @property
    def small(self) -> tuple[str, ...]:
        """The others, in a sentence for each state."""
        found: dict[str, list[str]] = {}
        for bar in self.bars:
            if bar.small:
                found.setdefault(bar.state_word, []).append(bar.of.name)
        return tuple(
            say(
                "Under {percent:.0f} % of its limit, {state}: {names}.",
                percent=100 * _SMALL,
                state=state,
                names="; ".join(dict.fromkeys(names)),
            )
            for state, names in found.items()
        )

    @property
    def no_bars(self) -> str:
        return "" if self.bars else say("No limit, permit or threshold is loaded, so nothing is held against one.")

    @property
    def none_leaving(self) -> str:
        return "" if self.leaving else say("Nothing has a last day.")

    @property
    def none_open(self) -> str:
        return "" if self.open else say("Nothing is open.")


def arrange_office(report: LogReport, named: str) -> Office:
    """The page of a log. ``named``: its period in words."""
    rolling = say("12 months to {month}", month=report.period.last)
    bars = sorted((_bar(one, report) for one in _roles(report, TallyLimit)), key=_gravest)
    leaving = tuple(_leaving(one, last_day(report.period)) for one in sorted(_roles(report, LeavesBy), key=_by_day))
    amounts, uncounted = _amounts(report)
    points = each_once((*report.points, *_roles(report, OpenPoint), *uncounted))
    counts = [(term(word), sum(bar.state == state for bar in bars)) for state, word in STATES.items()]
    return Office(
        title=say("{period}, for the office", period=named),
        heads=(named,) if _a_year(report.period) else (named, rolling),
        amounts=amounts,
        tallies=tuple(_roles(report, Tally)),
        bars=tuple(bars),
        leaving=leaving,
        open=tuple(_open(points)),
        counts=(*counts, (say("past the last day"), sum(one.over for one in leaving))),
        points=points,
    )


def _roles(report: LogReport, kind: type[A_role]) -> list[A_role]:
    return [
        role
        for block in report.blocks
        if not isinstance(block, Chart)
        for role in block.roles
        if isinstance(role, kind)
    ]


def _a_year(period: Period) -> bool:
    """Whether the period is the rolling year itself."""
    return (period.first[5:], period.last) == ("01", f"{period.first[:4]}-12")


def state_of(one: TallyLimit) -> State:
    """How an amount stands to its limit."""
    if crossed(settled(one.amount), one.limit, one.compare):
        return "over"
    with_ahead = crossed(settled(one.amount + one.ahead), one.limit, one.compare)
    if with_ahead or settled(one.amount) >= NEAR * one.limit:
        return "near"
    return "within" if one.whole and one.ahead_whole else "not all counted"


def _bar(one: TallyLimit, report: LogReport) -> Bar:
    def show(value: float) -> str:
        system = report.shop.print_units
        return mass(value, system) if one.unit == "kg" else volume(value, system)

    share, ahead = (one.amount / one.limit, one.ahead / one.limit) if one.limit else (float(one.amount > 0), 0.0)
    so_far = levels.shown(one.amount, one.limit, show)
    so_far = so_far if one.whole else _least(so_far, one.amount)
    words = say("{amount} of {limit} {over}", amount=so_far, limit=show(one.limit), over=term(_OVER[one.over]))
    if one.limit and (one.amount > 0 or one.whole):
        words = say("{words}, {share} %", words=words, share=levels.compared(100 * share, 100.0, digits=2))
    if one.ahead > 0 or not one.ahead_whole:
        end = levels.shown(one.amount + one.ahead, one.limit, show)
        end = end if one.whole and one.ahead_whole else _least(end, one.amount + one.ahead)
        words = say("{words}; with the jobs planned {end}", words=words, end=end)
    if one.then:
        words = say("{words}. Over it: {then}", words=words, then=one.then)
    return Bar(one, state_of(one), share, ahead, words)


def _least(text: str, amount: float) -> str:
    """A sum from which something is missing; one with nothing in it is not known."""
    return say("at least {text}", text=text) if amount > 0 else say("UNKNOWN")


def _gravest(bar: Bar) -> tuple[int, float, str]:
    return list(STATES).index(bar.state), -bar.share, bar.of.name


def _by_day(one: LeavesBy) -> tuple[date, str]:
    return one.last, one.what


def _leaving(one: LeavesBy, day: date) -> Leaving:
    left = (one.last - day).days
    when = one.last.isoformat()
    if left < 0:
        return Leaving(one, True, say("{day}: over", day=when))
    return Leaving(one, False, say("{day}: {left} days left", day=when, left=left))


def _amounts(report: LogReport) -> tuple[tuple[tuple[str, ...], ...], list[OpenPoint]]:
    """A row for each thing that is tallied, and a point for each that nobody tallies."""
    found: dict[tuple[Tallied, str], dict[str, Tally]] = {}
    for one in _roles(report, Tally):
        found.setdefault((one.of, one.name), {})[one.over] = one
    spans = ("period",) if _a_year(report.period) else ("period", "rolling 12 months")
    rows, uncounted = [], []
    laws = {str(row["id"]) for pack in report.packs for row in pack.tables.get("duty", ())}
    for of, name in _TALLIED.items():
        mine = {key: tallies for key, tallies in found.items() if key[0] == of}
        if not mine and of in _BY_LAW - laws:
            continue
        if not mine:
            title = term(name)
            rows.append((title, *(say("not counted") for _ in spans)))
            uncounted.append(OpenPoint(say("{what}: no rule that is loaded says what counts.", what=title), "rules"))
        for (_, own), tallies in mine.items():
            rows.append((own or term(name), *(_amount(tallies.get(span), report) for span in spans)))
    others = {key: tallies for key, tallies in found.items() if key[0] == "other"}
    rows += [(own, *(_amount(tallies.get(span), report) for span in spans)) for (_, own), tallies in others.items()]
    return tuple(rows), uncounted


def _amount(one: Tally | None, report: LogReport) -> str:
    if one is None:
        return say("not counted")
    show = mass if one.unit == "kg" else volume
    text = show(one.amount, report.shop.print_units)
    return text if one.whole else _least(text, one.amount)


def _open(points: Iterable[OpenPoint]) -> Iterator[Open]:
    """By who can settle them. Of one kind the first is said, and how many more there are like it."""
    points = list(points)
    for who, name in _WHO.items():
        kinds: dict[str, list[OpenPoint]] = {}
        for point in points:
            if point.who == who:
                kinds.setdefault(point.kind or point.text, []).append(point)
        for alike in kinds.values():
            yield Open(term(name), alike[0].text, len(alike) - 1)
