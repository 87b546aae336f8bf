"""One step at a time: what to wear, the one clock that matters, and the one thing to press."""

from __future__ import annotations

from dataclasses import dataclass, replace

from safety import units
from safety.clock import clock
from safety.model import TITLES
from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.run import EARLY, Button, Clock, Tap
from safety.serve.running import BETWEEN, LATE, OLDEST, Live, Record, View, made_before, when
from safety.serve.screens.news import page_version
from safety.serve.screens.shown import shown
from safety.serve.screens.writing import open_amounts, still_open, taken
from safety.words import say, steers, term

#: What is worn, in the order of a sheet.
WORN = ("hands", "breathing", "eyes", "skin")
#: Notes of these are for reading up, not for the work.
_READ_UP = ("data", "solvent")
_LONGEST = 4000  # characters of what a tap says beside its kind
_MARKS = ("", "Control", "UNKNOWN", "STOP")
#: Of the plan such a share, or so soon [s], before which a Done is asked about, once (common practice, no source).
_SHORT, _SOON = 0.25, 10.0
#: So long before its end [s] a clock is heard (our choice, no source).
_SOUNDS = {"window": "900 300", "mend": "900 300", "dry": "0", "stand": "0", "gloves": "0", "cartridges": "0"}
#: What somebody at the bench may tap.
_TAPS = ("begin", "end", "pause", "resume", "gloves", "cartridges", "air", "coat", "seen", "undo", "hurt", "close")


@dataclass(frozen=True, slots=True)
class Counted:
    """A clock with its sentence."""

    until: float
    words: str
    sounds: str = ""  # how long before its end it is heard [s]: of what must not be missed


# ---------------------------------------------------------------- the page


def show(desk: Desk, asked: Asked) -> Answer:
    live = desk.runs.find(asked.path["run"])
    if desk.once(live.question) is None:  # after a new start of the program
        failed, news = desk.failed(live.question), f"/run/{live.run.key}/news"
        return shown(desk, asked, "working.html", title=live.run.title, news=news, job=live.job, failed=failed)
    return page(desk, asked, live)


def of_run(desk: Desk, asked: Asked) -> Answer:
    live = desk.runs.find(asked.path["run"])
    return page_version(asked, desk.runs.view(live, asked.now).version if desk.once(live.question) else "")


def page(
    desk: Desk,
    asked: Asked,
    live: Live,
    *,
    notice: str = "",
    status: int = 200,
    question: tuple[str, Tap] | None = None,
) -> Answer:
    """The step that is being done, or comes next."""
    view = desk.runs.view(live, asked.now)
    number = min(view.state.step, len(view.plan.steps) - 1)
    button = view.state.button
    large, others = clocks(view)
    found = taken(desk, live)
    return shown(
        desk,
        asked,
        "step.html",
        title=live.run.title,
        status=status,
        news=f"/run/{live.run.key}/news",
        version=view.version,
        job=live.job,
        view=view,
        card=view.page["cards"][number],
        step=number,
        count=len(view.plan.steps),
        worn=worn(view, number),
        boxes=boxes(view, number),
        large=large,
        others=others,
        pressed=pressed(view, button),
        notice=notice,
        question=question,
        alarms=[(one, topic_named(one.topic), step_named(view, one.step)) for one in view.alarms],
        looser=[(one, topic_named(one.topic), step_named(view, one.step)) for one in view.offers],
        amounts=still_open(found, view),
        weighed=[one for one in found if one.step == number and one.entry is None],
        seen=BETWEEN.join(one.key for one in view.alarms),
    )


def doors(desk: Desk, asked: Asked) -> Answer:
    """How the doors are now, where they are not as they were."""
    live = desk.runs.find(asked.path["run"])
    back = (f"/run/{live.run.key}", say("Back"))
    states = [air.state for air in desk.job(live.job).place.airs]
    return shown(
        desk, asked, "doors.html", title=say("How are the doors?"), back=back, job=live.job, live=live, states=states
    )


def step_named(view: View, step: int) -> str:
    if step < 0:
        return say("Whole job")
    return say("Step {number}, {name}", number=step + 1, name=view.page["cards"][step]["name"])


def topic_named(topic: str) -> str:
    return term(TITLES.get(topic, topic))


def worn(view: View, step: int) -> list[Record]:
    """What is worn in a step, as it rules; what nobody answered is not known."""
    found = []
    for topic in WORN:
        entries = said(view, step, topic)
        marks = {one["mark"] for one in entries}
        mark = next((one for one in ("STOP", "UNKNOWN", "NOT ASSESSED", "Control") if one in marks), "")
        if not entries and topic == "skin":
            continue
        if not entries:
            mark, entries = "NOT ASSESSED", [{"mark": "NOT ASSESSED", "text": ""}]
        found.append({"topic": topic, "title": topic_named(topic), "mark": mark, "entries": entries})
    return found


def boxes(view: View, step: int) -> list[Record]:
    """What else is said of a step."""
    topics = [box["topic"] for box in view.page["cards"][step]["boxes"]]
    topics += [topic for at, topic in view.ruling.rules if at == step]
    other = [topic for topic in dict.fromkeys(topics) if topic not in (*WORN, *_READ_UP)]
    found = [{"topic": one, "title": topic_named(one), "entries": said(view, step, one)} for one in other]
    return [box for box in found if box["entries"]]


def said(view: View, step: int, topic: str) -> list[Record]:
    """What is said on one topic of a step: as the newest sheet has it, or what is stricter and rules over that."""
    newest: list[Record] = next(
        (box["entries"] for box in view.page["cards"][step]["boxes"] if box["topic"] == topic), []
    )
    held = next((one.before for one in view.ruling.looser if (one.step, one.topic) == (step, topic)), None)
    if held is None:
        return list(newest)
    return [{"mark": _MARKS[held.rank], "text": held.text}, *(one for one in newest if one["mark"])]


# ---------------------------------------------------------------- clocks


def clocks(view: View) -> tuple[Counted | None, list[Counted]]:
    """The one clock that matters now, and the others, soonest first."""
    ordered = list(view.state.clocks)
    large = next((one for one in ordered if _is_large(view, one)), None)
    others = [counted(view, one) for one in ordered if one is not large]
    return (counted(view, large) if large else None), others


def _is_large(view: View, one: Clock) -> bool:
    """A wait that holds the next stretch up; else whatever has to be changed or begun soonest. Never a mere plan."""
    if view.state.button.press == "wait":
        return one.counts in ("dry", "stand") and one.at == view.state.button.since
    if view.state.button.press == "coat":
        return one.counts == "mend"
    return one.counts != "planned"


def counted(view: View, one: Clock) -> Counted:
    """A clock in words: a time before which something is too early is rounded up, one after which too late down."""
    live = view.live
    rounded = "up" if one.counts in ("dry", "stand") else "down"
    time = clock(live.start, one.at - live.began, rounded)  # type: ignore[arg-type]
    button = view.state.button
    if one.counts == "dry" and button.press == "wait" and button.coat > 1 and button.since == one.at:
        words = say("Coat {number} not before {time}", number=button.coat, time=time)
    elif one.counts == "dry":
        words = say("Let it dry until {time}", time=time)
    elif one.counts == "stand":
        words = say("Leave it standing until {time}", time=time)
    elif one.counts == "window":
        words = say("Begin the next step before {time}", time=time)
    elif one.counts == "mend":
        words = say("One more coat mends it until {time}", time=time)
    elif one.counts == "gloves" and one.at <= view.state.now:
        words = say("Change these gloves: over since {time}", time=time)
    elif one.counts == "cartridges" and one.at <= view.state.now:
        words = say("Change the cartridges: over since {time}", time=time)
    elif one.counts == "gloves":
        words = say("These gloves until {time}", time=time)
    elif one.counts == "cartridges":
        words = say("New cartridges at {time}", time=time)
    else:
        words = say("Planned until {time}", time=time)
    return Counted(one.at, words, _SOUNDS.get(one.counts, ""))


def pressed(view: View, button: Button) -> str:
    """What the main button says."""
    if button.press == "begin":
        return say("Start coat {number}", number=button.coat) if button.coat else say("Start this step")
    if button.press == "wait":
        return say("Coat {number} in", number=button.coat) if button.coat > 1 else say("Next step in")
    return {
        "end": say("Done"),
        "resume": say("Go on"),
        "coat": say("One more coat"),
        "close": say("To the end of the job"),
    }.get(button.press, "")


# ---------------------------------------------------------------- a tap


def tap(desk: Desk, asked: Asked) -> Answer:
    """Keep what was tapped, once, with the time at which it was."""
    live = desk.runs.find(asked.path["run"])
    made = _read(desk, live, asked)
    doubt = _doubt(desk, live, made, asked)
    if doubt and asked.get("sure"):
        made = replace(made, note=doubt)
    elif doubt and made_before(asked) < LATE:
        return page(desk, asked, live, question=(doubt, made))
    live, other = desk.runs.tap(live.run.key, made)
    if other is not None:
        if other is made:
            words = say("That is not to be done now. This is how the job stands.")
        else:
            words = say("{who} was first.", who=other.who)
        return page(desk, asked, live, notice=words, status=409)
    if made.kind in ("accept", "hurt"):
        desk.audit(asked, made.kind, live.run.key, after=made.value)
    if made.kind == "end":
        view = desk.runs.view(live, asked.now)
        todo = [one for one in open_amounts(desk, live, view) if one.step == made.step]
        if todo:
            return Answer(to=todo[0].address)
    if made.kind == "close":
        return Answer(to="/")
    return Answer(to=f"/run/{live.run.key}")


def _read(desk: Desk, live: Live, asked: Asked) -> Tap:
    kind, key, value = asked.get("kind"), asked.get("key"), asked.get("value")
    try:
        step, coat = int(asked.get("step") or -1), int(asked.get("coat") or 0)
    except ValueError:
        raise Refused(400, say("This tap cannot be read.")) from None
    taps = (*_TAPS, "accept") if asked.may("officer") else _TAPS
    if kind not in taps or not 8 <= len(key) <= 64 or not key.isascii() or len(value) > _LONGEST or steers(value):
        raise Refused(400, say("This tap cannot be read."))
    if kind == "begin" and value not in ("", *EARLY):
        raise Refused(400, say("This tap cannot be read."))
    if kind == "air" and value not in [air.state for air in desk.job(live.job).place.airs]:
        raise Refused(400, say("This tap cannot be read."))
    if kind == "accept" and value not in [one.key for one in desk.runs.view(live, asked.now).offers]:
        raise Refused(409, say("This is not what the real times say now. Look at it again."))
    tapped = asked.get("as")
    note = (
        say("tapped as {who}", who=tapped) if tapped and tapped != asked.session.person and not steers(tapped) else ""
    )
    at = when(live, asked.now, max(made_before(asked), _first_made(asked)))
    who = asked.session.person
    return Tap(key, kind, at, asked.now, step, coat, value, who, asked.device, note[:_LONGEST])  # type: ignore[arg-type]


def _first_made(asked: Asked) -> float:
    """How long ago a tap was made that was asked about meanwhile [s]."""
    try:
        return min(max(asked.now - float(asked.get("first") or asked.now), 0.0), OLDEST)
    except ValueError:
        raise Refused(400, say("This tap cannot be read.")) from None


def _doubt(desk: Desk, live: Live, made: Tap, asked: Asked) -> str:
    """Why a Done may be a slip: it comes at once, or long before the plan; "" where it may not."""
    if made.kind != "end":
        return ""
    view = desk.runs.view(live, asked.now)
    running = next((one for one in view.state.stretches if one.end is None), None)
    if running is None or (running.step, running.coat) != (made.step, made.coat):
        return ""
    lasted, planned = made.at - running.begin - running.paused, view.plan.steps[made.step].lasts
    if lasted >= max(_SOON, _SHORT * planned):
        return ""
    return say("Done after {time}, planned {planned}", time=lasting(lasted), planned=lasting(planned))


def lasting(seconds: float) -> str:
    """A time as people say it."""
    return units.show(round(seconds), "time", "min" if seconds >= 60 else "s")
