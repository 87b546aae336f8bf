"""Did the prediction hold?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from safety.exposure import Exposure
from safety.exposure.evidence import DAYS, lowers
from safety.exposure.expected import AMBIENT, expected
from safety.exposure.origin import Inputs, made_of
from safety.exposure.result import Floats, Learnt, p50, p95
from safety.formulas.exposure import (
    chance_of_at_least,
    geometric_mean,
    geometric_sd,
    lognormal_percentile,
    upper_tolerance,
)
from safety.formulas.prediction import FEW_RESULTS, lower_end
from safety.model import EIGHT_HOURS, Figure, Finding
from safety.reference import settled
from safety.words import joined, say
from safety_measured.group import PLUGIN, Group, plain

LOW = 5.0  # percentile at the lower end of the predicted range
OUTSIDE = 0.05  # share of results that lie above a right prediction's range


def band(draws: Floats, exposure: Exposure, before: bool) -> tuple[float, float, float]:
    """What 5 of 100 cases stay below, half of them and 95 of them, the error of the model itself counted.

    ``before``: the draws are those before anything was learnt from results, with the error as it was drawn.
    """
    error = exposure.error if before or not exposure.learnt else None
    error = np.ones(len(draws)) if error is None else error
    low, middle = (float(x) for x in np.percentile(draws / error, (LOW, 50)))
    below = float(lower_end(low, middle, exposure.width.down)) if low > 0 else 0.0
    return below, middle, float(p95(draws))


def _learnt(group: Group, exposure: Exposure) -> Learnt | None:
    """What the prediction has learnt from these results; None where none of them counts for it."""
    if group.first.position != "worker":
        return None
    asked = (group.first.cas, group.first.steps)
    return next((one for one in exposure.learnt if (one.cas, one.steps) == asked), None)


def judge(group: Group, exposure: Exposure) -> Finding:
    """Whether the results lie where the engine expects them."""
    after, learnt = expected(exposure, group.first), _learnt(group, exposure)
    draws = after if learnt is None else learnt.prior
    values = group.ppm(AMBIENT)
    if draws is None or not np.any(draws > 0):
        return _not_in_plan(group, values)
    low, middle, high = band(draws, exposure, learnt is not None)
    above = sum(v > high and not m.below_detection for v, (_, m) in zip(values, group.results, strict=True))
    below = sum(v < low for v in values)
    inside = len(values) - above - below
    counts = {"inside": inside, "count": len(values), "above": above, "below": below}
    stated = say(
        "{where}: inside the predicted range {low} to {high} ppm: {inside} of {count}. "
        "Above it: {above}. Below it: {below}.",
        where=group.where, low=plain(low), high=plain(high), **counts,
    )  # fmt: skip
    factor = float(geometric_mean(values)) / middle
    sentences = [
        stated,
        say("On average the results are {factor} times the middle of the prediction.", factor=plain(factor)),
        *_verdict(values, above, below),
        *_narrowed(group, learnt, high, after),
        *_conditions(group, exposure),
    ]
    bad = above > 0 and above / len(values) > OUTSIDE
    figure = Figure(
        say("measured {substance}, geometric mean", substance=group.name),
        float(geometric_mean(values)), "ppm", formula="geometric_mean", inputs=group.given,
    )  # fmt: skip
    before = Figure(
        say("predicted {substance} for the same", substance=group.name),
        high,
        "ppm",
        inputs=((say("5 in 100 cases stay below, ppm"), low), *_origin(group, exposure)),
        p50=middle,
        note=say("95 in 100 cases stay below"),
    )
    return Finding(
        level="control" if bad else "note",
        topic="air",
        statement=joined(sentences),
        short=say("Measured: {above} of {count} above the prediction", **counts)
        if bad
        else say("Measured: {inside} of {count} in the predicted range", **counts),
        plugin=PLUGIN,
        figures=(
            figure,
            before,
            *_after(group, learnt, after),
            Figure(say("measured over predicted"), factor, "1", inputs=group.given),
        ),
        remedy=say("Plan by the measured values. Then set amounts and air of the job file right and compare again.")
        if bad
        else "",
        key=group.key("prediction"),
    )


def _narrowed(group: Group, learnt: Learnt | None, high: float, after: Floats | None) -> Iterator[str]:
    """What these results do to the figures of the sheet."""
    if group.first.position != "worker":
        return
    if learnt is None or after is None:
        yield say(
            "They do not change the prediction: for that a sample needs its state of the air in the file, and about "
            "the planned time."
        )
        return
    yield say(
        "Results that change the prediction: {count}. Without them 95 of 100 cases stay below {before} ppm, with them "
        "below {after} ppm. The sheet counts with the second.",
        count=len(learnt.results),
        before=plain(high),
        after=plain(float(p95(after))),
    )
    if not lowers([group.job.measurements[i] for i in learnt.results]):
        yield say(
            "They can only raise it. To lower it takes {days} days or more, each with as_planned = true in the file.",
            days=DAYS,
        )


def _after(group: Group, learnt: Learnt | None, after: Floats | None) -> Iterator[Figure]:
    """The prediction with these results in it."""
    if learnt is not None and after is not None:
        counted = tuple((label, given) for label, given in group.given if given.path[1] in learnt.results)
        yield Figure(
            say("predicted {substance} with these results", substance=group.name),
            float(p95(after)),
            "ppm",
            "updated_error",
            (*counted, (say("spread of few results"), FEW_RESULTS)),
            p50=float(p50(after)),
            note=say("95 in 100 cases stay below"),
        )


def _origin(group: Group, exposure: Exposure) -> Inputs:
    """What the prediction was made from, up to the last step the results cover."""
    covered = [i for i, s in enumerate(group.job.steps) if s.name in group.first.steps]
    return made_of(exposure, group.first.cas, max(covered, default=None))


def _verdict(values: Sequence[float], above: int, below: int) -> Iterator[str]:
    """The plain answer."""
    count = len(values)
    if above and above / count > OUTSIDE:
        if count >= 2 and min(values) < max(values):
            spread = geometric_sd(values)
            yield say(
                "Treat the prediction as too low: use the measured 95th percentile, {value} ppm "
                "({upper} ppm with 70 % confidence).",
                value=plain(float(lognormal_percentile(geometric_mean(values), spread))),
                upper=plain(float(upper_tolerance(values))),
            )
        else:
            yield say("Treat the prediction as too low: use {value} ppm, and measure more.", value=plain(max(values)))
        chance = float(chance_of_at_least(count, above, OUTSIDE))
        if settled(chance) <= OUTSIDE:
            yield say("Chance does not explain so many results above.")
        else:
            yield say("Chance alone would do this in {share} of 100 such sets.", share=plain(chance * 100))
    elif below > count / 2:
        yield say("The prediction is on the careful side here.")
    else:
        yield say("The prediction held.")


def _conditions(group: Group, exposure: Exposure) -> Iterator[str]:
    """What a reader must know to weigh the comparison."""
    measured = [m for _, m in group.results]
    if group.blanks:
        yield say(
            "Results below detection: {count}. They count as the detection limit, the careful side.",
            count=group.blanks,
        )
    if not all(m.air for m in measured):
        yield say("The air state of some results is not given; the planned one is assumed.")
    if len({m.date for m in measured}) == 1 and len(measured) > 1:
        yield say("All results are from one day; days differ.")
    if any(m.unit == "mg/m3" for m in measured):
        yield say("Results in mg/m3 are turned into ppm at 25 °C.")
    if group.first.steps:
        spans = [exposure.timeline.span(i) for i, s in enumerate(group.job.steps) if s.name in group.first.steps]
        time = sum(end - start for start, end in spans)
        odd = sum(not 0.5 * time <= m.duration <= 1.5 * time for m in measured)
        if odd:
            yield say("Results over a time much shorter or longer than planned: {count}.", count=odd)
    elif group.job.afterwards == "far" and any(m.duration < 0.9 * min(group.job.shift, EIGHT_HOURS) for m in measured):
        yield say("Part of the shift was not sampled; it is counted at the level of the rest.")


def _not_in_plan(group: Group, values: Sequence[float]) -> Finding:
    """Something measured that the prediction does not hold."""
    seen = group.blanks < len(values)
    statement = say("{where}: measured, but the plan has no such vapour there.", where=group.where)
    held = (
        say("The highest result is {value} ppm. The prediction misses it.", value=plain(max(values)))
        if seen
        else say("None was found. The prediction held.")
    )
    return Finding(
        level="control" if seen else "note",
        topic="air",
        statement=joined((statement, held)),
        short=say("Measured {substance}: not in the plan", substance=group.name),
        plugin=PLUGIN,
        figures=(Figure(say("highest result"), max(values), "ppm", inputs=group.given),),
        remedy=say("Find where it comes from and add it to the job file.") if seen else "",
        key=group.key("prediction"),
    )
