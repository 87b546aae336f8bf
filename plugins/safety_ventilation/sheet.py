"""Page two: the air over the clock, and every step against its limits."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from safety.exposure import Exposure
from safety.exposure.result import PRESSURE, Floats, p50, p95
from safety.formulas.air import ppm_from_mass
from safety.levels import compared, printed
from safety.model import Block, Chart, Curve, Grid, Job, Limit
from safety.reference import long_shift, settled
from safety.words import capital, say
from safety_ventilation.limits import JUDGED, AirTask, in_step, label, over_shift, plain

WIDEST = 7  # steps side by side; more of them would leave the limits a word on each line
WORTH_A_ROW = 0.1  # of a limit; substances further from all of theirs are only named


def blocks(task: AirTask) -> list[Block]:
    job, exposure = task.job, task.exposure
    if not exposure.substances:
        return []
    compared = _compared(task)
    return [_chart(job, exposure, compared), *_grids(job, exposure, compared)]


Compared = dict[str, dict[Limit, tuple[float, float]]]  # CAS -> limit -> (limit in ppm, worst ratio to it)


def _compared(task: AirTask) -> Compared:
    """The limits that judge the air of the steps and of a shift, and the most that is reached of each."""
    exposure = task.exposure
    airs = [*map(in_step, exposure.steps), over_shift(exposure.worker), over_shift(exposure.bystander)]
    found: Compared = {}
    for reading in (r for air in airs for r in task.readings(air, JUDGED)):
        of_substance = found.setdefault(reading.limit.cas, {})
        ratio = settled(reading.value / reading.allowed)
        of_substance[reading.limit] = (reading.allowed, max(ratio, of_substance.get(reading.limit, (0.0, 0.0))[1]))
    return found


def _governing(exposure: Exposure, compared: Compared) -> int:
    """The column nearest to or furthest over a limit; without limits the one with most vapour.

    Only of vapours that come into the air of the curves: another place's would be drawn as a line at nothing.
    """

    def rank(column: int) -> tuple[bool, float, float]:
        limits = compared.get(exposure.substances[column].cas, {})
        ratio = max((r for _, r in limits.values()), default=0.0)
        most = float(np.max(exposure.curves.near_p95[:, column], initial=0.0))
        return most > 0, ratio, most

    return max(range(len(exposure.substances)), key=rank)


def _chart(job: Job, exposure: Exposure, compared: Compared) -> Chart:
    column = _governing(exposure, compared)
    substance, curves = exposure.substances[column], exposure.curves
    temperature = float(np.median(exposure.temperature))

    def ppm(curve: Floats) -> tuple[float, ...]:
        values = ppm_from_mass(curve[:, column], exposure.molar_mass[column], temperature, PRESSURE)
        return tuple(float(v) for v in values)

    levels = tuple(
        (_level(job, limit), allowed)
        for limit, (allowed, _) in sorted(compared.get(substance.cas, {}).items(), key=lambda item: item[1][0])
    )
    title = (
        say("{substance} in the air of {place} over the clock", substance=substance.name, place=job.place.name)
        if len(job.places) > 1
        else say("{substance} in the air over the clock", substance=substance.name)
    )
    return Chart(
        title=capital(title),
        unit="ppm",
        times=tuple(float(t) for t in curves.times),
        curves=(
            Curve(say("within about a metre of the work"), ppm(curves.near_p50), ppm(curves.near_p95)),
            Curve(say("rest of the place"), ppm(curves.far_p50), ppm(curves.far_p95)),
        ),
        levels=levels,
        key="air-chart",
    )


def _level(job: Job, limit: Limit) -> str:
    if long_shift.words(job, limit):
        return say("{list}, cut for a {hours} h shift", list=limit.list, hours=long_shift.hours(job))
    return say("{list}, {kind}", list=limit.list, kind=label(limit))


def _grids(job: Job, exposure: Exposure, compared: Compared) -> list[Grid]:
    """Each step against the limits, for the substances that come near one; the others by name."""
    worst = [exposure.ppm(air.worst_15min) for air in exposure.steps]
    rows: list[tuple[float, tuple[str, ...]]] = []
    low, without = [], []
    for column, substance in enumerate(exposure.substances):
        limits = compared.get(substance.cas, {})
        values = [(settled(float(p50(w)[column])), settled(float(p95(w)[column]))) for w in worst]
        most = max(careful for _, careful in values)
        ratio = max((r for _, r in limits.values()), default=0.0)
        if ratio >= WORTH_A_ROW:
            little = settled(0.01 * min(allowed for allowed, _ in limits.values()))
            brief = [allowed for x, (allowed, _) in limits.items() if x.kind != "twa"]
            cells = tuple(_pair(middle, careful, little, brief) for middle, careful in values)
            rows.append((ratio, (substance.name, *cells, _lowest(job, limits))))
        elif limits:
            low.append(substance.name)
        elif most > 0:
            without.append(say("{substance} (up to {ppm} ppm)", substance=substance.name, ppm=plain(most)))
    ordered = [row for _, row in sorted(rows, key=lambda pair: -pair[0])]
    blank = ("",) * len(job.steps)
    if low:
        ordered.append((", ".join(low), *blank, say("under a tenth of every limit")))
    if any(air.unknown for air in exposure.steps):
        cells = tuple(say("UNKNOWN") if air.unknown else "" for air in exposure.steps)
        ordered.append((say("what could not be counted"), *cells, say("UNKNOWN")))
    if without:
        ordered.append((", ".join(without), *blank, say("UNKNOWN: no limit is loaded")))
    title = say("Worst 15 minutes of each step [ppm]: middle/careful estimate")
    numbers = [str(i + 1) for i in range(len(job.steps))]
    tables = math.ceil(len(numbers) / WIDEST)
    grids = []
    for table in range(tables):
        # as many steps in each, so that none is left alone in the last
        start, end = (len(numbers) * edge // tables for edge in (table, table + 1))
        if tables > 1:
            title = say(
                "Worst 15 minutes of steps {first} to {last} [ppm]: middle/careful estimate", first=start + 1, last=end
            )
        rows_of = tuple((row[0], *row[1 + start : 1 + end], row[-1]) for row in ordered)
        columns = (say("Vapour"), *numbers[start:end], say("Lowest limits [ppm]"))
        grids.append(Grid(title=title, columns=columns, rows=rows_of, key="air-grid"))
    return grids


def _pair(middle: float, careful: float, little: float, limits: Sequence[float]) -> str:
    """Without spaces, so that no pair is torn apart; what is under 1 % of a limit is not worth digits.

    The careful end has those digits that tell it from the ``limits`` for a short time beside it.
    """
    under = say("<{ppm}", ppm=plain(little))
    if careful < little:
        return under if careful > 0 else "0"
    return say(
        "{middle}/{careful}",
        middle=plain(middle) if middle >= little else under,
        careful=compared(careful, *limits, digits=2),
    )


def _lowest(job: Job, limits: dict[Limit, tuple[float, float]]) -> str:
    """The lowest limit for the shift and the lowest for a shorter time, with their lists."""
    long = [(allowed, x.list, label(x), x) for x, (allowed, _) in limits.items() if x.kind == "twa"]
    brief = [(allowed, x.list, label(x), x) for x, (allowed, _) in limits.items() if x.kind != "twa"]
    lowest = [min(group, key=lambda one: one[:3]) for group in (long, brief) if group]
    return "; ".join(
        say("{sort} {ppm} ({list})", sort=sort, ppm=printed(ppm), list=_list(job, limit))
        for ppm, _, sort, limit in lowest
    )


def _list(job: Job, limit: Limit) -> str:
    cut = long_shift.words(job, limit)
    return say("{list}: {written}, {cut}", list=limit.list, written=limit.written, cut=cut) if cut else limit.list
