"""A run of a job as it stands at a moment: from the plan and the taps alone, without a clock, a web or a database.

The order in which taps are given does not matter, and one given twice counts once. What a run is made of stands in
``run``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from safety.serve.run import (
    EARLY,
    Button,
    Clock,
    Plan,
    PlannedStep,
    PlannedWindow,
    Press,
    Rest,
    Standing,
    State,
    Stretch,
    Tap,
    Window,
)

#: So long before its end a window is said to be closing [s].
CLOSING = 15 * 60.0

#: So long after it was made a tap can be taken back by anybody [s]; later it is for the officer.
UNDO_WITHIN = 10 * 60.0

#: While work takes longer than planned, it is assessed anew each time so much more has passed [s].
OVERRUN = 10 * 60.0

#: What can be tapped whenever a run is open.
_ANY_TIME = ("gloves", "cartridges", "air", "seen", "accept", "hurt")
#: What is told once and for all: it is not the last thing that somebody may want to take back.
_KEPT = ("seen", "accept", "hurt")


def read_plan(told: Mapping[str, Any]) -> Plan:
    """The plan in the engine's answer to "sheet" (its key "plan")."""
    steps = (
        PlannedStep(**{**one, "between": Rest(**one["between"]), "after": Rest(**one["after"])})
        for one in told["steps"]
    )
    return Plan(told["job"], tuple(steps), tuple(PlannedWindow(**one) for one in told["windows"]), told["stop"])


def standing(taps: Iterable[Tap]) -> tuple[Tap, ...]:
    """The taps that count, in order of time: each key once, and none that was taken back."""
    once: dict[str, Tap] = {}
    for tap in sorted(taps, key=lambda one: (one.heard, one.at)):
        once.setdefault(tap.key, tap)
    undone = {tap.value for tap in once.values() if tap.kind == "undo"}
    counts = (tap for tap in once.values() if tap.kind != "undo" and tap.key not in undone)
    return tuple(sorted(counts, key=lambda one: (one.at, one.heard, one.key)))


def state(plan: Plan, taps: Iterable[Tap], now: float) -> State:
    """How a run stands at a moment; a clock that was set back does not bring back what was."""
    made = standing(taps)
    now = max([now, *(tap.at for tap in made)])
    coats = tuple(_coats(step, index, made) for index, step in enumerate(plan.steps))
    stretches = _stretches(plan, coats, made)
    paused = _paused(made)
    running = next((one for one in _in_order(plan, coats, stretches) if one.end is None), None)
    done = {(one.step, one.coat) for one in stretches}
    ahead = next((at for at in _all(plan, coats) if at not in done), None)
    step, coat = (running.step, running.coat) if running else ahead or (len(plan.steps), 0)
    windows = tuple(_window(one, plan, coats, stretches, now) for one in plan.windows)
    ready = max((one.end + _rest(plan, coats, one).whole for one in stretches if one.end is not None), default=now)
    if any(tap.kind == "close" for tap in made):
        button = Button("closed")
    elif running:
        pressed: Press = "stop" if _stopped(plan, step) else "end" if paused is None else "resume"
        button = Button(pressed, step, coat)
    elif ahead is None:
        button = Button("close")
    else:
        button = _next(plan, coats, windows, ahead, not stretches, ready, now)
    clocks = () if button.press in ("close", "closed") else _clocks(plan, coats, stretches, windows, running, made, now)
    moments = [ready, *(at for one in windows for at in _moments(one))]
    last = next((tap for tap in reversed(made) if tap.kind not in _KEPT), None)
    return State(
        now=now,
        step=step,
        coat=coat,
        coats=coats,
        button=button,
        clocks=clocks,
        windows=windows,
        stretches=stretches,
        paused=paused if running else None,
        airs=tuple((tap.at, tap.value) for tap in made if tap.kind == "air"),
        next_change=min((at for at in moments if at > now), default=None),
        undoable=last if last and now - last.at <= UNDO_WITHIN else None,
    )


def may(plan: Plan, taps: Sequence[Tap], tap: Tap) -> bool:
    """Whether a tap can be made as the run stands: what is done already, or out of turn, cannot.

    One that is there already can: it is the same tap, sent twice.
    """
    if any(one.key == tap.key for one in taps):
        return True
    now = state(plan, taps, tap.at)
    button, at = now.button, (tap.step, tap.coat)
    if tap.kind == "undo":
        return now.undoable is not None and tap.value == now.undoable.key
    if button.press == "closed":
        return tap.kind in _KEPT
    if tap.kind in _ANY_TIME:
        return True
    running = any(one.end is None for one in now.stretches)
    here = at == (button.step, button.coat)
    allowed: dict[str, bool] = {
        "begin": here and (button.press == "begin" or (button.press == "wait" and tap.value in EARLY)),
        "end": here and running and now.paused is None,
        "pause": running and now.paused is None,
        "resume": now.paused is not None,
        "coat": here and button.press == "coat",
        "close": button.press == "close",
    }
    return allowed.get(tap.kind, False)


def real(plan: Plan, now: State, start: float) -> dict[str, Any]:
    """What the engine is told of a run (its key "real"), as of the last tap that changes the air.

    While work takes longer than planned, as of the last of some even moments: so the same is not asked each second.
    """
    events = [start, *(at for at, _ in now.airs)]
    for one in now.stretches:
        events += [one.begin, *([] if one.end is None else [one.end])]
        over = one.begin + one.paused + plan.steps[one.step].lasts
        if one.end is None and now.now > over:
            events.append(over + (now.now - over) // OVERRUN * OVERRUN)
    return {
        "stretches": [
            [s.step, s.coat, s.begin - start, None if s.end is None else s.end - start, s.paused] for s in now.stretches
        ],
        "now": max(events) - start,
        "airs": [[at - start, told] for at, told in now.airs],
    }


# ---------------------------------------------------------------- what was done


def _coats(step: PlannedStep, index: int, taps: Sequence[Tap]) -> int:
    """The coats of a step, with each that was added after the last."""
    coats = step.coats
    for coat in sorted({tap.coat for tap in taps if tap.kind == "coat" and tap.step == index}):
        if coat == max(coats, 1) + 1:
            coats = coat
    return coats


def _of_step(plan: Plan, coats: Sequence[int], index: int) -> Iterator[tuple[int, int]]:
    """The stretches of a step: one that had no coats keeps its work beside those that were added."""
    first = 1 if plan.steps[index].coats else 0
    yield index, first
    yield from ((index, coat) for coat in range(2, coats[index] + 1))


def _all(plan: Plan, coats: Sequence[int]) -> Iterator[tuple[int, int]]:
    return (at for index in range(len(plan.steps)) for at in _of_step(plan, coats, index))


def _stretches(plan: Plan, coats: Sequence[int], taps: Sequence[Tap]) -> tuple[Stretch, ...]:
    """What was begun, in the order of its beginning; what ended without one is not known to have been done."""
    found = []
    for step, coat in _all(plan, coats):
        own = [tap for tap in taps if (tap.step, tap.coat) == (step, coat)]
        begin = next((tap.at for tap in own if tap.kind == "begin"), None)
        if begin is None:
            continue
        end = next((tap.at for tap in own if tap.kind == "end" and tap.at >= begin), None)
        found.append(Stretch(step, coat, begin, end, _pauses(taps, begin, end)))
    return tuple(sorted(found, key=lambda one: (one.begin, one.step, one.coat)))


def _pauses(taps: Sequence[Tap], begin: float, end: float | None) -> float:
    """How much of a stretch was pauses that are over [s]; one that is left open ends with the stretch."""
    paused, since = 0.0, None
    for tap in taps:
        if not begin <= tap.at <= (tap.at if end is None else end):
            continue
        if tap.kind == "pause" and since is None:
            since = tap.at
        elif since is not None and tap.kind in ("resume", "begin", "end"):
            paused, since = paused + tap.at - since, None
    return paused


def _paused(taps: Sequence[Tap]) -> float | None:
    """Since when work stands still; whoever begins or ends something goes on."""
    since = None
    for tap in taps:
        if tap.kind == "pause":
            since = tap.at if since is None else since
        elif tap.kind in ("resume", "begin", "end"):
            since = None
    return since


def _in_order(plan: Plan, coats: Sequence[int], stretches: Sequence[Stretch]) -> list[Stretch]:
    order = {at: number for number, at in enumerate(_all(plan, coats))}
    return sorted(stretches, key=lambda one: order[one.step, one.coat])


def _rest(plan: Plan, coats: Sequence[int], done: Stretch) -> Rest:
    step = plan.steps[done.step]
    return step.between if max(done.coat, 1) < coats[done.step] else step.after


def _stopped(plan: Plan, step: int) -> bool:
    return plan.stop or plan.steps[step].stop


# ---------------------------------------------------------------- windows and what comes next


def _window(one: PlannedWindow, plan: Plan, coats: Sequence[int], stretches: Sequence[Stretch], now: float) -> Window:
    own = [s for s in stretches if s.step == one.step]
    ended = [s.end for s in own if s.end is not None]
    least = max(plan.steps[one.step].coats, 1)
    if len(ended) < least or any(s.end is None for s in own):
        return Window(one, "ahead")
    last = max(ended)
    opens = last + plan.steps[one.step].after.whole
    closes, mended = (None if t is None else last + t for t in (one.start_within, one.recoat_within))
    stands = _stands(now, opens, closes, mended)
    joined = min((s.begin for s in stretches if s.step == one.joins), default=None)
    if joined is not None and len(ended) == max(coats[one.step], 1):
        stands = "met" if closes is None or joined <= closes else "missed"
    return Window(one, stands, last, opens, closes, mended if closes is not None else None)


def _stands(now: float, opens: float, closes: float | None, mended: float | None) -> Standing:
    if closes is not None and now > closes:
        return "closed" if mended is not None and now <= mended else "lost"
    if now < opens:
        return "drying"
    return "open" if closes is None or now < closes - CLOSING else "closing"


def _next(
    plan: Plan,
    coats: Sequence[int],
    windows: Sequence[Window],
    ahead: tuple[int, int],
    first: bool,
    ready: float,
    now: float,
) -> Button:
    """What may be begun: nothing where it is stopped, and nothing past a window that has closed."""
    step, coat = ahead
    if _stopped(plan, step) or (first and any(_stopped(plan, index) for index in range(len(plan.steps)))):
        return Button("stop", step, coat)
    over = [w for w in windows if w.stands in ("closed", "lost") and w.planned.joins is not None]
    for window in over:
        own = window.planned.step
        if window.stands == "lost":
            return Button("clean", own)
        if own != step:  # one more coat that is ahead already mends it
            return Button("coat", own, max(coats[own], 1) + 1, until=window.mended_until)
    if now < ready:
        return Button("wait", step, coat, since=ready)
    return Button("begin", step, coat)


def _moments(window: Window) -> Iterator[float]:
    for at in (window.opens, window.mended_until):
        if at is not None:
            yield at
    if window.closes is not None:
        yield from (window.closes - CLOSING, window.closes)


# ---------------------------------------------------------------- clocks


def _clocks(
    plan: Plan,
    coats: Sequence[int],
    stretches: Sequence[Stretch],
    windows: Sequence[Window],
    running: Stretch | None,
    taps: Sequence[Tap],
    now: float,
) -> tuple[Clock, ...]:
    found: list[Clock] = []
    if running:
        until = running.begin + running.paused + plan.steps[running.step].lasts
        found.append(Clock("planned", until, running.step, running.begin))
    elif stretches:
        found += _resting(plan, coats, max(stretches, key=lambda one: one.end or 0.0), now)
    for window in windows:
        since, about = window.last_coat or now, window.planned
        if window.stands in ("drying", "open", "closing") and window.closes is not None:
            found.append(Clock("window", window.closes, about.step, since, about.product))
        elif window.stands == "closed" and window.mended_until is not None:
            found.append(Clock("mend", window.mended_until, about.step, since, about.product))
    found += [clock for clock in (_gloves(plan, stretches, taps), _cartridges(plan, stretches, taps)) if clock]
    return tuple(sorted(found, key=lambda one: (one.at, one.counts, one.step)))


def _resting(plan: Plan, coats: Sequence[int], last: Stretch, now: float) -> Iterator[Clock]:
    rest, end = _rest(plan, coats, last), last.end or now
    if rest.dry and now < end + rest.dry:
        yield Clock("dry", end + rest.dry, last.step, end)
    if rest.stand and now < end + rest.whole:
        yield Clock("stand", end + rest.whole, last.step, end + rest.dry)


def _gloves(plan: Plan, stretches: Sequence[Stretch], taps: Sequence[Tap]) -> Clock | None:
    """Each step is begun in a new pair, as the sheet says; its time runs on through waits and pauses."""
    if not stretches:
        return None
    step = stretches[-1].step
    planned = plan.steps[step]
    if planned.gloves_last is None:
        return None
    # of a coat that was added later: the first since work went on in this step
    since = stretches[-1].begin
    for one in reversed(stretches):
        if one.step != step:
            break
        since = one.begin
    since = max([since, *(tap.at for tap in taps if tap.kind == "gloves")])
    return Clock("gloves", since + planned.gloves_last, step, since, item=planned.gloves)


def _cartridges(plan: Plan, stretches: Sequence[Stretch], taps: Sequence[Tap]) -> Clock | None:
    """From the first breath through them, or from when new ones were put in: waits and other steps count."""
    worn = [one for one in stretches if plan.steps[one.step].cartridges_last is not None]
    if not worn:
        return None
    mask = plan.steps[worn[-1].step].mask
    own = [one for one in worn if plan.steps[one.step].mask == mask]
    since = max((tap.at for tap in taps if tap.kind == "cartridges"), default=own[0].begin)
    lasts = min(time for one in own if (time := plan.steps[one.step].cartridges_last) is not None)
    return Clock("cartridges", since + lasts, own[-1].step, since, item=mask)
