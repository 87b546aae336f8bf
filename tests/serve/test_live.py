"""A run of a job: what is offered next, whatever was tapped, in any order, twice, and with any clock."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety.serve.live import may, real, standing, state
from safety.serve.run import Plan, PlannedStep, PlannedWindow, Rest, State, Tap

MINUTE, HOUR = 60.0, 3600.0
GEAR = {"gloves": "laminate", "gloves_last": 240 * MINUTE, "mask": "half", "cartridges_last": 200 * MINUTE}
PLAN = Plan(
    "patch",
    (
        PlannedStep("Wipe", 0, 20 * MINUTE, Rest(), Rest(), **GEAR),
        PlannedStep("Prime", 2, 8 * MINUTE, Rest(5 * MINUTE), Rest(10 * MINUTE), **GEAR),
        PlannedStep("Bond", 0, 20 * MINUTE, Rest(), Rest()),
    ),
    (PlannedWindow("primer", "Primer", 1, 2, 2 * HOUR, 3 * HOUR),),
)
START = 1_000_000.0


class Doing:
    """Somebody who taps, one tap after the other."""

    def __init__(self, plan: Plan = PLAN) -> None:
        self.plan, self.taps, self.now = plan, list[Tap](), START

    def tap(self, kind: str, step: int = -1, coat: int = 0, value: str = "") -> Doing:
        made = Tap(f"k{len(self.taps)}", kind, self.now, self.now + 1, step, coat, value)  # type: ignore[arg-type]
        assert may(self.plan, self.taps, made), made
        self.taps.append(made)
        return self

    def after(self, minutes: float) -> Doing:
        self.now += minutes * MINUTE
        return self

    @property
    def state(self) -> State:
        return state(self.plan, self.taps, self.now)

    @property
    def press(self) -> tuple[str, int, int]:
        button = self.state.button
        return button.press, button.step, button.coat

    def primed(self) -> Doing:
        """The hull wiped, and both coats on."""
        self.tap("begin", 0).after(20).tap("end", 0)
        self.tap("begin", 1, 1).after(8).tap("end", 1, 1).after(5)
        return self.tap("begin", 1, 2).after(8).tap("end", 1, 2)


def clock(found: State, counts: str) -> float | None:
    return next((one.at for one in found.clocks if one.counts == counts), None)


def test_one_thing_is_to_be_pressed_at_a_time() -> None:
    doing = Doing()
    assert doing.press == ("begin", 0, 0)
    assert doing.tap("begin", 0).press == ("end", 0, 0)
    assert doing.after(20).tap("end", 0).press == ("begin", 1, 1)
    assert doing.tap("begin", 1, 1).after(8).tap("end", 1, 1).press == ("wait", 1, 2)
    assert doing.state.button.since == doing.now + 5 * MINUTE
    assert doing.state.next_change == doing.now + 5 * MINUTE
    assert doing.after(5).press == ("begin", 1, 2)
    assert doing.tap("begin", 1, 2).after(8).tap("end", 1, 2).after(10).press == ("begin", 2, 0)
    assert doing.tap("begin", 2).after(20).tap("end", 2).press == ("close", -1, 0)
    assert doing.tap("close").press == ("closed", -1, 0)


def test_gloves_and_cartridges_go_on_while_a_coat_dries() -> None:
    """The clocks of what is worn were gone from the screen in every wait."""
    doing = Doing().tap("begin", 0).after(20).tap("end", 0).tap("begin", 1, 1).after(8).tap("end", 1, 1)
    waiting = doing.after(1).state
    assert clock(waiting, "gloves") == START + 20 * MINUTE + 240 * MINUTE
    assert clock(waiting, "cartridges") == START + 200 * MINUTE
    assert clock(waiting, "dry") == START + 33 * MINUTE
    doing.tap("gloves").after(1).tap("cartridges")
    assert clock(doing.state, "gloves") == doing.now + 239 * MINUTE
    assert clock(doing.state, "cartridges") == doing.now + 200 * MINUTE


def test_a_closed_window_offers_one_more_coat_and_then_nothing() -> None:
    """The next step could be begun although its window had closed."""
    doing = Doing().primed()
    last = doing.now
    assert doing.after(100).press == ("begin", 2, 0)
    assert doing.after(6).state.windows[0].stands == "closing"
    assert doing.after(19).press == ("coat", 1, 3)
    assert doing.state.button.until == last + 3 * HOUR
    assert not may(PLAN, doing.taps, Tap("x", "begin", doing.now, doing.now, 2))
    too_late = Doing().primed().after(181)
    assert too_late.press == ("clean", 1, 0)
    assert not may(PLAN, too_late.taps, Tap("x", "begin", too_late.now, too_late.now, 2))
    assert doing.tap("coat", 1, 3).press == ("begin", 1, 3)
    doing.tap("begin", 1, 3).after(8).tap("end", 1, 3)
    (window,) = doing.state.windows
    assert (window.stands, window.closes) == ("drying", doing.now + 2 * HOUR)
    assert doing.press == ("wait", 2, 0)
    assert doing.after(10).press == ("begin", 2, 0)
    assert doing.tap("begin", 2).state.windows[0].stands == "met"


def test_a_coat_that_was_promised_and_not_begun_in_time_mends_nothing() -> None:
    doing = Doing().primed().after(125).tap("coat", 1, 3)
    assert doing.after(60).press == ("clean", 1, 0)


def test_a_stop_offers_no_start_and_work_in_it_stops() -> None:
    steps = list(PLAN.steps)
    for index in range(3):
        stopped = replace(PLAN, steps=(*steps[:index], replace(steps[index], stop=True), *steps[index + 1 :]))
        assert Doing(stopped).state.button.press == "stop"
    assert Doing(replace(PLAN, stop=True)).state.button.press == "stop"
    doing = Doing().tap("begin", 0)
    doing.plan = replace(PLAN, steps=(replace(steps[0], stop=True), *steps[1:]))
    assert doing.press == ("stop", 0, 0)
    doing.after(1).tap("end", 0)  # what has happened can be told
    doing.plan = replace(PLAN, steps=(*steps[:2], replace(steps[2], stop=True)))
    assert doing.press == ("begin", 1, 1)  # a stop of a later step does not hold up this one


def test_a_pause_stands_still_and_counts() -> None:
    doing = Doing().tap("begin", 0).after(5).tap("pause")
    assert doing.press == ("resume", 0, 0)
    assert not may(PLAN, doing.taps, Tap("x", "end", doing.now, doing.now, 0))
    doing.after(10).tap("resume").after(15).tap("end", 0)
    assert doing.state.stretches[0].paused == 10 * MINUTE


def test_undo_takes_back_the_last_tap_for_ten_minutes() -> None:
    doing = Doing().tap("begin", 0).after(1)
    last = doing.state.undoable
    assert last
    doing.tap("undo", value=last.key)
    assert doing.press == ("begin", 0, 0)
    doing.tap("begin", 0).after(11)
    assert doing.state.undoable is None


def test_what_the_engine_is_told_does_not_change_each_second() -> None:
    doing = Doing().tap("begin", 0).after(20).tap("end", 0).after(3).tap("begin", 1, 1)
    told = real(PLAN, doing.state, START)
    assert told == {
        "stretches": [[0, 0, 0.0, 1200.0, 0.0], [1, 1, 1380.0, None, 0.0]],
        "now": 1380.0,
        "airs": [],
    }
    assert real(PLAN, doing.after(7).state, START) == told
    assert real(PLAN, doing.after(12).state, START)["now"] == 1380.0 + 18 * MINUTE
    doing.tap("air", value="gate shut")
    assert real(PLAN, doing.state, START)["airs"] == [[doing.now - START, "gate shut"]]


# ---------------------------------------------------------------- whatever is tapped


@st.composite
def taps(draw: st.DrawFn) -> list[Tap]:
    """Taps of any kind at any time, sensible or not."""
    kinds = [
        "begin",
        "end",
        "begin",
        "end",
        "pause",
        "resume",
        "gloves",
        "cartridges",
        "air",
        "coat",
        "seen",
        "undo",
        "close",
    ]
    found = []
    for number in range(draw(st.integers(0, 14))):
        kind = draw(st.sampled_from(kinds))
        at = START + draw(st.integers(0, 8 * 60)) * MINUTE
        step = draw(st.integers(-1, 2))
        value = f"k{draw(st.integers(0, 14))}" if kind == "undo" else ""
        found.append(Tap(f"k{number}", kind, at, at + draw(st.integers(0, 300)), step, draw(st.integers(0, 3)), value))
    return found


@st.composite
def stories(draw: st.DrawFn) -> tuple[Plan, list[Tap], float]:
    """What a person who presses the button now and then comes to, by a plan with or without a stop."""
    plan = PLAN
    doing = Doing(plan)
    for _ in range(draw(st.integers(0, 16))):
        doing.after(draw(st.sampled_from([0, 1, 5, 10, 30, 115, 125, 185])))
        button = doing.state.button
        if button.press in ("begin", "end", "coat", "resume", "close"):
            doing.tap(button.press, button.step, button.coat)
        if doing.state.undoable and draw(st.integers(0, 6)) == 0:
            doing.tap("undo", value=doing.state.undoable.key)
    return plan, doing.taps, doing.now + draw(st.sampled_from([0, 1, 60, 125, 185])) * MINUTE


def check(plan: Plan, found: State) -> None:
    """What must hold of every state."""
    button = found.button
    for window in found.windows:
        if window.stands in ("closed", "lost") and button.press in ("begin", "wait"):
            assert window.stands == "closed"
            assert (button.step, button.coat) == (window.planned.step, found.coats[window.planned.step])
            assert button.coat > 2  # the coat that mends it
    if button.press in ("begin", "wait"):
        assert not plan.stop
        assert not plan.steps[button.step].stop
        assert all(one.end is not None for one in found.stretches)
        assert (button.step, button.coat) not in {(one.step, one.coat) for one in found.stretches}
    if button.press == "begin":
        assert all(c.at <= found.now for c in found.clocks if c.counts in ("dry", "stand"))
    assert list(found.clocks) == sorted(found.clocks, key=lambda one: (one.at, one.counts, one.step))
    assert found.next_change is None or found.next_change > found.now


@given(taps(), st.integers(-600, 900), st.randoms(use_true_random=False))
def test_any_taps_in_any_order_and_twice_are_one_state(made: list[Tap], minutes: int, chance: random.Random) -> None:
    now = START + minutes * MINUTE  # a clock that was set back, too
    found = state(PLAN, made, now)
    check(PLAN, found)
    mixed = [*made, *made[:3]]
    chance.shuffle(mixed)
    assert state(PLAN, mixed, now) == found


@given(taps(), st.integers(0, 600))
def test_an_undone_tap_leaves_no_trace(made: list[Tap], minutes: int) -> None:
    now = START + minutes * MINUTE + 24 * HOUR
    plain = [tap for tap in made if tap.kind != "undo"]
    extra = Tap("x", "begin", START, START, 0, 0)
    undo = Tap("y", "undo", START, START, value="x")
    before, after = state(PLAN, plain, now), state(PLAN, [*plain, extra, undo], now)
    assert after == before
    assert standing([*plain, extra, undo]) == standing(plain)


@given(stories(), st.sampled_from([None, 0, 1, 2, "whole"]))
def test_a_run_by_its_button_never_offers_what_must_not_begin(
    story: tuple[Plan, list[Tap], float], stop: int | str | None
) -> None:
    plan, made, now = story
    check(plan, state(plan, made, now))
    if stop == "whole":
        plan = replace(plan, stop=True)
    elif isinstance(stop, int):
        steps = [replace(one, stop=index == stop) for index, one in enumerate(plan.steps)]
        plan = replace(plan, steps=tuple(steps))
    found = state(plan, made, now)
    check(plan, found)
    told = real(plan, found, START)
    assert told["now"] >= max([0.0, *(end for *_, end, _ in told["stretches"] if end is not None)])


@given(stories())
def test_nothing_can_be_tapped_that_is_not_offered(story: tuple[Plan, list[Tap], float]) -> None:
    plan, made, now = story
    button = state(plan, made, now).button
    for step in range(3):
        for coat in range(4):
            one = Tap("x", "begin", now, now, step, coat)
            assert may(plan, made, one) == ((button.press, button.step, button.coat) == ("begin", step, coat))
    for one in made:
        assert may(plan, made, one)  # the same tap sent twice


@pytest.mark.parametrize("kind", ["gloves", "cartridges", "air", "seen", "accept", "hurt"])
def test_what_is_tapped_at_any_time_is_no_more_after_the_close(kind: str) -> None:
    doing = Doing().primed().after(10).tap("begin", 2).after(20).tap("end", 2).tap("close")
    made = Tap("x", kind, doing.now, doing.now)  # type: ignore[arg-type]
    assert may(PLAN, doing.taps, made) == (kind in ("seen", "accept", "hurt"))
