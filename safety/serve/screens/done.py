"""The end of a job: what is still open, and what the real times say of the steps that are over."""

from __future__ import annotations

from safety.serve.asked import Answer, Asked
from safety.serve.desk import Desk
from safety.serve.running import View
from safety.serve.screens.shown import shown
from safety.serve.screens.steps import lasting, step_named, topic_named
from safety.serve.screens.writing import open_amounts
from safety.words import say


def _times(view: View) -> list[tuple[str, str, str]]:
    """Each step that was begun: its name, how long it took of hands-on work, and how long it was planned to."""
    found = []
    for number, step in enumerate(view.plan.steps):
        own = [one for one in view.state.stretches if one.step == number]
        if own:
            took = sum((one.end or view.state.now) - one.begin - one.paused for one in own)
            found.append((step_named(view, number), lasting(took), lasting(len(own) * step.lasts)))
    return found


def show(desk: Desk, asked: Asked) -> Answer:
    live = desk.runs.find(asked.path["run"])
    view = desk.runs.view(live, asked.now)
    back = (f"/run/{live.run.key}", say("Step"))
    return shown(
        desk,
        asked,
        "done.html",
        title=say("End of the job"),
        back=back,
        news=f"/run/{live.run.key}/news",
        version=view.version,
        job=live.job,
        live=live,
        view=view,
        amounts=open_amounts(desk, live, view),
        crew=live.checks.get("crew", []),
        times=_times(view),
        exposures=[(one, topic_named(one.topic), step_named(view, one.step)) for one in view.exposures],
    )
