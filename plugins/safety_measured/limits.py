"""Are the limits kept? The tests of EN 689, and what else the results say about the limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from safety import levels
from safety.cited import Cited, Unknown
from safety.exposure.expected import AMBIENT
from safety.formulas.exposure import (
    compliance_index,
    exceedance_fraction,
    exceedance_upper,
    geometric_mean,
    geometric_sd,
    tolerance_factor,
    upper_tolerance,
)
from safety.model import Figure, Finding, Limit, LimitKind, Threshold
from safety.reference import Reference, crossed, long_shift, past
from safety.reference.citing import called
from safety.words import joined, say, term
from safety_measured.group import PLUGIN, Group, plain

LONGEST_SHORT = 1800.0  # s: a longer sample says too little of the worst 15 minutes (common practice, no source)
EN_689 = "EN 689:2018+AC:2019"
PRELIMINARY = {3: "en-689-three-results", 4: "en-689-four-results", 5: "en-689-five-results"}
ENOUGH = 6  # results for the statistical test
LEAST = 0.001  # share of shifts; smaller ones are not told apart
MOST_BLANK = 0.5  # share of results below detection over which the spread is hidden (common practice, no source)


def governing(group: Group, reference: Reference) -> tuple[Limit, float] | None:
    """The lowest limit these results can be held against, and what it allows [ppm]."""
    first = group.first
    if first.position != "worker":
        return None
    kinds: tuple[LimitKind, ...] = ("twa",)
    if first.steps:
        if any(m.duration > LONGEST_SHORT for _, m in group.results):
            return None
        kinds = ("short-term", "ceiling")
    known = []
    for limit in reference.limits(first.cas):
        ppm = reference.limit_ppm(limit)
        if limit.kind in kinds and not isinstance(ppm, Unknown):
            known.append((limit, ppm * long_shift.factor(group.job, limit)))
    return min(known, key=lambda one: one[1], default=None)


def _named(group: Group, limit: Limit, allowed: float) -> str:
    """The limit with its list, and what it is cut to where the shift is long."""
    cut = long_shift.words(group.job, limit)
    if not cut:
        return called(limit)
    return say("{ppm} ppm, {cut} from {limit}", ppm=levels.printed(allowed), cut=cut, limit=called(limit))


def ratios_of(group: Group, limit: Limit, allowed: float) -> list[float]:
    # a decision must not hang on the last binary digit of a change of units
    return [float(f"{v / allowed:.12g}") for v in group.ppm(limit.reference_temperature)]


def judge(group: Group, reference: Reference) -> list[Finding]:
    """What the results say about the lowest limit they can be held against; nothing where there is none."""
    held = governing(group, reference)
    if held is None:
        return []
    limit, allowed = held
    ratios = ratios_of(group, *held)
    over = sum(crossed(r, 1.0, limit.compare) for r in ratios)
    inputs = (*group.given, (say("limit"), limit))
    if long_shift.words(group.job, limit):
        inputs = (*inputs, (say("limit as compared"), long_shift.compared(group.job, limit, allowed)))
    figures = [Figure(say("highest result over limit"), max(ratios), "1", inputs=inputs)]
    sentences = [say("{where}: measured against {limit}.", where=group.where, limit=_named(group, limit, allowed))]
    kept: bool | None  # None: no decision
    if over:
        kept = False
        sentences.append(say("Results over it: {over} of {count}.", over=over, count=len(ratios)))
    elif len(ratios) < ENOUGH:
        kept, text = _preliminary(ratios, reference)
        sentences.append(text)
    elif group.blanks > MOST_BLANK * len(ratios):
        kept = None
        sentences.append(say("More than half are below detection. That hides the spread, so there is no test."))
    elif min(ratios) == max(ratios):
        kept = None
        sentences.append(say("All results are alike. Without a spread there is no test."))
    else:
        kept = float(compliance_index(ratios, 1.0)) >= float(tolerance_factor(len(ratios)))
        more, judged = _statistics(ratios, inputs)
        sentences += more
        figures += judged
    if kept is not None:
        sentences.append(say("So the limit is kept.") if kept else say("So the limit is not kept."))
    sentences += _remarks(group, limit)
    first = reference.threshold(PRELIMINARY[len(ratios)]) if len(ratios) in PRELIMINARY else None
    grounds = (*_data(group, reference), *((first,) if isinstance(first, Threshold) and not over else ()))
    return [replace(_finding(group, kept, sentences, figures), grounds=grounds)]


def _data(group: Group, reference: Reference) -> tuple[Cited, ...]:
    """What turns a mass in the air into a share of it."""
    substance = reference.substance(group.first.cas)
    mass = substance if isinstance(substance, Unknown) else substance.best("molar_mass")
    return (mass,) if isinstance(mass, Cited) else ()


def _remarks(group: Group, limit: Limit) -> list[str]:
    """What a reader must know to weigh the comparison."""
    out = []
    if long_shift.words(group.job, limit):
        out.append(say("The limit is cut for the long shift (Brief and Scala)."))
    if limit.kind == "ceiling":
        out.append(say("A sample is an average: shorter peaks can be higher."))
    if limit.unverified:
        out.append(say("This limit is unverified: {why}.", why=term(limit.unverified)))
    return out


def _finding(group: Group, kept: bool | None, sentences: list[str], figures: list[Figure]) -> Finding:
    short = {
        True: say("Measured: limit kept"),
        False: say("Measured: limit not kept"),
        None: say("Measured: no decision yet"),
    }
    remedy = {
        True: "",
        False: say("Take the vapour away at the source or wear a mask. Then measure again."),
        None: say("Measure on more days until there are six results with a value."),
    }
    return Finding(
        level="control" if kept is False else "note",
        topic="air",
        statement=joined(sentences),
        short=short[kept],
        plugin=PLUGIN,
        figures=tuple(figures),
        rule=EN_689,
        remedy=remedy[kept],
        key=group.key("limit"),
    )


def _preliminary(ratios: Sequence[float], reference: Reference) -> tuple[bool | None, str]:
    """EN 689's test for three to five results, none of them over the limit."""
    count = len(ratios)
    if count not in PRELIMINARY:
        return None, say("EN 689 asks for three results or more. So far: {count}.", count=count)
    share = reference.threshold(PRELIMINARY[count])
    if isinstance(share, Unknown):
        return None, say("The first test of EN 689 cannot be done: {reason}.", reason=share.reason)
    if any(past(r, share) for r in ratios):
        return None, say(
            "Not all {count} results are below {share} of it. The first test of EN 689 gives no decision.",
            count=count,
            share=share.written,
        )
    return True, say(
        "All {count} results are below {share} of it (first test of EN 689).", count=count, share=share.written
    )


def _statistics(ratios: Sequence[float], inputs: tuple[tuple[str, Any], ...]) -> tuple[list[str], list[Figure]]:
    """EN 689's test for six results and more, and how sure one can be."""
    index, needed = float(compliance_index(ratios, 1.0)), float(tolerance_factor(len(ratios)))
    share = float(exceedance_fraction(geometric_mean(ratios), geometric_sd(ratios), 1.0))
    likely, sure = (float(exceedance_upper(ratios, 1.0, c)) for c in (0.7, 0.95))
    upper = float(upper_tolerance(ratios, 0.95))
    sentences = [
        say(
            "The test value U_R is {index}; EN 689 asks for {needed} or more.",
            index=levels.compared(index, needed),
            needed=plain(needed, 3),
        ),
        say(
            "Shifts over the limit: {share}; not more than {likely} with 70 % and {sure} with 95 % confidence.",
            share=_percent(share),
            likely=_percent(max(likely, LEAST)),
            sure=_percent(max(sure, LEAST)),
        ),
        say("With 95 % confidence, 95 % of shifts stay below {upper} times the limit.", upper=plain(upper)),
    ]
    figures = [
        Figure(say("U_R"), index, "1", "compliance_index", inputs),
        Figure(say("U_T, asked for"), needed, "1", "tolerance_factor", ((say("results"), str(len(ratios))),)),
        Figure(say("share of shifts over the limit"), share, "1", "exceedance_fraction", inputs),
        Figure(say("the same, not passed with 70 % confidence"), likely, "1", "exceedance_upper", inputs),
        Figure(say("the same, not passed with 95 % confidence"), sure, "1", "exceedance_upper", inputs),
        Figure(say("95/95 upper tolerance limit over the limit"), upper, "1", "upper_tolerance", inputs),
    ]
    return sentences, figures


def _percent(share: float) -> str:
    if share < LEAST:
        return say("under {least}", least=_percent(LEAST))
    return say("{share} %", share=plain(share * 100))


def in_other_air(group: Group, reference: Reference) -> Finding:
    """Results taken in another state of the air: shown, and not counted as a test of this plan."""
    values = group.ppm(AMBIENT)
    held = governing(group, reference)
    states = ", ".join(dict.fromkeys(m.air for _, m in group.results))
    statement = say(
        "{where}: results taken in another state of the air ({states}): {count}. "
        "They do not test this plan. The highest is {value} ppm.",
        where=group.where, count=len(values), states=states,
        value=levels.compared(max(values), *((held[1],) if held else ()), digits=2),
    )  # fmt: skip
    over = held is not None and any(crossed(r, 1.0, held[0].compare) for r in ratios_of(group, *held))
    if held is not None and over:
        statement = joined((statement, say("It is over the limit {limit}.", limit=_named(group, *held))))
    return Finding(
        level="control" if over else "note",
        topic="air",
        statement=statement,
        short=say("Measured in another state of the air"),
        plugin=PLUGIN,
        figures=(Figure(say("highest result"), max(values), "ppm", inputs=group.given),),
        remedy=say("Do not work in that state of the air without protection.") if over else "",
        key=group.key("other-air"),
        grounds=(*_data(group, reference), *(() if held is None else held[:1])),
    )
