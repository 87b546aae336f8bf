"""Windows that open and close: what may be done by when, what must be done again after, at what cost."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from safety.cited import Unknown
from safety.clock import clock
from safety.exposure import Exposure
from safety.exposure.origin import data_of
from safety.exposure.result import Floats, careful
from safety.model import ClockSpan, Figure, Finding, Job, Level, Product, Range, Timeline, Window
from safety.timeline import applied
from safety.units import show
from safety.words import joined, message, say

PLUGIN = "clock"
AFTER_START = message("min after the start")


def judge(job: Job, exposure: Exposure) -> list[Finding]:
    """Judge the job's own clock: each product's window, standing time and drying."""
    out: list[Finding] = []
    for window in exposure.timeline.windows:
        out += _window(job, exposure, window, exposure.timeline.ends[-1])
        out += _standing(job, exposure, window, exposure.timeline.ends[-1])
        out += _drying(job, exposure, window)
    return out


def _window(job: Job, exposure: Exposure, window: Window, slow: Timeline) -> Iterator[Finding]:
    if window.closes is None:
        return
    opens = clock(job.start, window.opens, "up")
    closes = clock(job.start, window.closes, "down")
    joins = job.steps[window.joins].name if window.joins is not None else say("the next step")
    begins = exposure.timeline.span(window.joins)[0] if window.joins is not None else window.opens
    again = say("start again: that takes {amount}.", amount=_amount(job, window.product, window.redo))
    late = say("After {time} clean the surface and {again}", time=closes, again=again)
    if window.recoat_until is not None:
        until = clock(job.start, window.recoat_until, "down")
        late = say(
            "After {closes} and before {until} put on one more coat: that takes {amount}. "
            "After {until} clean the surface and {again}",
            closes=closes,
            until=until,
            amount=_amount(job, window.product, window.extra_coat),
            again=again,
        )
    level, plan = _plan_keeps(job, window, begins)
    if level == "note" and window.joins is not None:
        level, plan = _slow_keeps(job, window, slow)
    within = say(
        "{product}: begin “{step}” between {opens} and {closes}.",
        product=window.product.name,
        step=joins,
        opens=opens,
        closes=closes,
    )
    figures = [
        Figure(
            say("window opens"),
            window.opens / 60,
            message("min after the start"),
            inputs=(("last coat ends", window.last_coat),),
        ),
        Figure(say("window closes"), window.closes / 60, AFTER_START),
        *_mass_figures(window),
    ]
    counts = ""
    if any(step.lasts for step in job.steps):
        counts = say(
            "If the last coat does not end at {time}, count from its end.", time=clock(job.start, window.last_coat)
        )
    yield Finding(
        level=level,
        topic="clock",
        statement=joined((within, counts, late, plan)),
        short=say("{product}: begin from {opens} to {closes}", product=window.product.name, opens=opens, closes=closes),
        plugin=PLUGIN,
        step=window.joins,
        figures=tuple(figures),
        rule=say("product data of {product}", product=window.product.name),
        remedy=""
        if level == "note"
        else say("Plan the steps between so that “{step}” begins by {closes}.", step=joins, closes=closes),
        key=f"window-{window.product.id}",
        roles=(ClockSpan("window", window.opens, window.closes),),
    )


def _plan_keeps(job: Job, window: Window, begins: float) -> tuple[Level, str]:
    """Whether the plan itself begins the joining step inside the window."""
    assert window.closes is not None
    planned = clock(job.start, begins, "up")
    if begins <= window.closes:
        return "note", ""
    if window.recoat_until is not None and begins <= window.recoat_until:
        return "control", say("The plan begins it at {planned}: plan one more coat.", planned=planned)
    return "stop", say("The plan begins it at {planned}: too late.", planned=planned)


def _slow_keeps(job: Job, window: Window, slow: Timeline) -> tuple[Level, str]:
    """Whether the joining step begins inside the window where the steps between take as long as they may."""
    assert window.closes is not None
    assert window.joins is not None
    its = next(w for w in slow.windows if (w.step, w.product.id) == (window.step, window.product.id))
    after, within = slow.span(window.joins)[0] - its.last_coat, window.closes - window.last_coat
    if after <= within:
        return "note", ""
    late = {"time": show(after, "time", "min", 2), "within": show(within, "time", "min", 2)}
    return "control", say(
        "Done slowly it begins {time} after the last coat, and {within} are allowed: keep the steps between short.",
        **late,
    )


def _standing(job: Job, exposure: Exposure, window: Window, slow: Timeline) -> Iterator[Finding]:
    """A softener must stand long enough and must not dry first."""
    application = window.product.application
    if application is None or application.stand_at_least <= 0:
        return
    dries = _drying_time(job, exposure, window, fast=True)
    lift = clock(job.start, window.opens, "up")
    if dries is None:
        if _has_solvent(window.product):
            yield _not_known(
                window,
                "stand",
                say(
                    "{product}: leave it until {lift}. When it is dry is not known.",
                    product=window.product.name,
                    lift=lift,
                ),
                joined((say("leave it on until {lift}", lift=lift), say("when it dries out is not known")), "; "),
            )
        return
    begins = exposure.timeline.span(window.step)[0]
    stood = slow.span(window.step)[1] - slow.span(window.step)[0]  # a window opens when its step is over
    dry = careful(dries, low=True)
    early = begins + dry.bound
    standing = dry.against(lambda after: after < stood)
    too_soon = standing.over
    figure = Figure(
        say("earliest drying (5 % of draws, film kept at the surface's temperature)"),
        dry.value / 60,
        "min",
        formula="film_drying_time",
        p50=float(np.percentile(dries, 50)) / 60,
    )
    yield Finding(
        level="control" if too_soon else "note",
        topic="clock",
        statement=say(
            "{product}: leave it until {lift}. It may be dry from {dry} on{then}.",
            product=window.product.name,
            lift=lift,
            dry=clock(job.start, early, "down"),
            then=say(", before it has stood long enough: cover it or wet it again") if too_soon else "",
        ),
        short=_standing_short(lift, clock(job.start, early, "down"), too_soon),
        plugin=PLUGIN,
        step=window.step,
        figures=(figure,),
        rule=say("product data of {product}", product=window.product.name),
        remedy=say("Cover the wet layer, or put on more.") if too_soon else "",
        key=f"stand-{window.product.id}",
        close=standing.close,
        grounds=_dries_by(exposure, window),
    )


def _standing_short(lift: str, dry: str, too_soon: bool) -> str:
    late = (
        say("cover it or wet it again: it can dry from {dry}", dry=dry)
        if too_soon
        else say("lift it before {dry}: then it can dry out", dry=dry)
    )
    return joined((say("leave it on until {lift}", lift=lift), late), "; ")


def _drying(job: Job, exposure: Exposure, window: Window) -> Iterator[Finding]:
    """Whether the maker's drying time is long enough for the solvent to have left, on the slow side."""
    application = window.product.application
    if application is None or application.dry_final <= 0:
        return
    slow = _drying_time(job, exposure, window, fast=False)
    if slow is None:
        if _has_solvent(window.product):
            yield _not_known(
                window,
                "drying",
                say(
                    "{product}: when its solvent has left is not known. Check that it is dry.",
                    product=window.product.name,
                ),
                say("drying not known: check that the coat is dry"),
            )
        return
    middle, late = (float(np.percentile(slow, q)) for q in (50, 95))
    if middle <= application.dry_final:
        return
    yield Finding(
        level="note",
        topic="clock",
        statement=say(
            "{product}: the maker asks for {given} of drying. Our estimate for this air is {middle} to {late} "
            "until the solvent has left a cold film. Check that the coat is dry before you go on: "
            "solvent under the bond is slow to leave.",
            product=window.product.name,
            given=show(application.dry_final, "time", "min", 2),
            middle=show(middle, "time", "min", 2),
            late=show(late, "time", "min", 2),
        ),
        short=say("check that the coat is dry"),
        plugin=PLUGIN,
        step=window.step,
        figures=(
            Figure(
                say("drying time, slow bound"),
                late / 60,
                "min",
                formula="film_drying_time",
                p50=middle / 60,
                note=say("film as cold as evaporation can make it; coefficients from memory, unverified"),
            ),
        ),
        key=f"drying-{window.product.id}",
        grounds=_dries_by(exposure, window),
    )


def _dries_by(exposure: Exposure, window: Window) -> tuple[object, ...]:
    """The data of what evaporates from a coat."""
    held = {part.cas for part in window.product.parts}
    return tuple(one for s in exposure.substances if s.cas in held for _, one in data_of(exposure, s.cas))


def _has_solvent(product: Product) -> bool:
    return any(part.volatile and part.high > 0 for part in product.parts)


def _not_known(window: Window, key: str, text: str, short: str) -> Finding:
    """Nothing could be computed of a film that has solvent in it."""
    return Finding("note", "clock", text, short, PLUGIN, window.step, unknown=text, key=f"{key}-{window.product.id}")


def _drying_time(job: Job, exposure: Exposure, window: Window, fast: bool) -> Floats | None:
    """How long the coat takes to dry, (draws,); of several uses of one product the quickest or the slowest.

    None where nothing is known of one of them: it may be the quickest, and the slowest.
    """
    uses = [u for u in job.steps[window.step].uses if applied(u) and u.product.id == window.product.id]
    if not all(use.measured for use in uses):
        return None
    works = {use.work for use in uses}
    films = [
        b for b in exposure.balances if (b.step, b.product) == (window.step, window.product.id) and b.what in works
    ]
    if not films or not (fast or all(b.whole for b in films)):
        return None
    if fast:
        return np.asarray(np.min([b.wet_until_at_least for b in films], axis=0))
    return np.asarray(np.max([b.dry_after for b in films], axis=0))


def _mass_figures(window: Window) -> Iterator[Figure]:
    for name, mass in ((say("one more coat"), window.extra_coat), (say("start again"), window.redo)):
        if isinstance(mass, Range):
            yield Figure(name, mass.high * 1000, "g", p50=(mass.low + mass.high) / 2 * 1000)


def _amount(job: Job, product: Product, mass: Range | Unknown) -> str:
    """An amount of product and how much of it is solvent, in words."""
    if isinstance(mass, Unknown):
        return say("an amount that is not known ({reason})", reason=mass.reason)
    solvent = sum(p.high for p in product.parts if p.volatile)
    return say(
        "up to {mass} of product, {solvent} of it solvent (estimate)",
        mass=show(mass.high, "mass", "g"),
        solvent=show(mass.high * min(solvent, 1.0), "mass", "g"),
    )
