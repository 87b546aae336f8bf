"""How sure the prediction of the air is, what keeps it from being surer, and what measuring would buy."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from safety.cited import Cited
from safety.exposure.origin import data_of
from safety.exposure.result import p95
from safety.formulas.prediction import GUESSED, MEASURED, Z95
from safety.model import Figure, Finding
from safety.words import joined, say
from safety_ventilation.limits import PLUGIN, AirTask, plain

KEY = "air-model-error"
#: How far a figure may lie over those of all steps quick and of all slow, where each step goes as it likes: the highest
#: of 150 jobs made up for it (tests/exposure/test_paces.py); 124 of them stay under 1.15. No more than that is known.
BETWEEN_PACES = 2.5


def judge(task: AirTask) -> list[Finding]:
    """One note for the job: the error of the equations themselves is in every figure of the air."""
    if not task.exposure.substances:
        return []
    width = task.exposure.width
    up = width.up**Z95
    first = say(
        "The equations themselves err. In 95 of 100 cases the true air is not over {factor} times what they give. "
        "Every figure of the air here counts with that.",
        factor=plain(up),
    )
    if width.measured:
        sentences = [first, say("This is the narrow width: air, amounts and wet areas were measured.")]
    else:
        sentences = [first, say("This is the wide width. Not measured: {things}.", things="; ".join(_missing(task)))]
        sentences += [*_gain(task)]
    if task.exposure.timeline.quick is not None and len(task.job.steps) > 1:
        text = say(
            "The sheet holds for all steps quick, and for all slow. With some quick and others slow a figure may lie "
            "higher: in jobs made up for it at most {factor} times, in most of them hardly.",
            factor=plain(BETWEEN_PACES),
        )
        sentences.append(text)
    return [
        Finding(
            "note",
            "air",
            joined(sentences),
            say("Air: measured, a narrow prediction") if width.measured else say("Air: guessed, a wide prediction"),
            PLUGIN,
            figures=(
                Figure(
                    say("true air over what the equations give"),
                    up,
                    "1",
                    "model_error",
                    ((say("geometric standard deviation upward"), width.up),),
                    note=say("95 in 100 cases stay below"),
                ),
            ),
            key=KEY,
            grounds=(*_data(task),),
        )
    ]


def _data(task: AirTask) -> Iterator[Cited]:
    """What the shift average hangs on, of each vapour."""
    for substance in task.exposure.substances:
        yield from (value for _, value in data_of(task.exposure, substance.cas) if isinstance(value, Cited))


def _missing(task: AirTask) -> Iterator[str]:
    width = task.exposure.width
    for place, state in width.airs:
        yield say("the air of {place} with “{state}”", place=place, state=state)
    if width.amounts:
        yield say("amounts: {count}", count=width.amounts)
    if width.areas:
        yield say("wet areas: {count}", count=width.areas)


def _gain(task: AirTask) -> Iterator[str]:
    """What the narrow width alone would change; the draws are the same, so the rest stays as it is."""
    error = task.exposure.error
    if error is None or task.exposure.learnt:  # then the figures no longer hold the error that was drawn
        return
    breathed = task.exposure.worker.shift_average.sum(axis=1)
    now = float(p95(breathed))
    if now <= 0:
        return
    narrow = error ** (np.log(MEASURED[0]) / np.log(GUESSED[0]))
    then = float(p95(breathed / error * narrow)) / now
    yield say(
        "Were all of it measured and found as planned, the shift average would be about {share} % of what it is here.",
        share=plain(100 * then),
    )
    yield say("Measure the air, weigh the amounts, measure the wet areas, and say so in the files.")
