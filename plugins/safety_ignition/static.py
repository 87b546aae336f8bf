"""Static electricity: liquids that keep their charge, in the steps that put them on."""

from __future__ import annotations

from safety.cited import Cited, Unknown
from safety.model import Finding, Product
from safety.reference import past
from safety.words import capital, joined, say
from safety_ignition.task import PLUGIN, FireTask
from safety_ignition.wet import present, verdict


def judge(task: FireTask, index: int) -> list[Finding]:
    step = task.job.steps[index]
    judged = [verdict(task, w, step) for w in present(task, index) if w.own]
    burning = [one for one in judged if one.burns]
    products = {one.wet.product.id: one.wet.product for one in burning}
    keeps: list[str] = []
    unknown: list[str] = []
    measured: list[Cited] = []
    for product in products.values():
        for part, conductivity in _parts(task, product):
            if conductivity is None:
                unknown.append(part)
            else:
                keeps.append(part)
                measured.append(conductivity)
    if not keeps and not unknown:
        return []
    sentences = []
    if keeps:
        sentences.append(say("{parts} keeps a static charge.", parts=_listed(keeps)))
    if unknown:
        sentences.append(
            say("Whether {parts} keeps a charge is not known; it is treated as if it did.", parts=_listed(unknown))
        )
    sentences.append(
        say("Bond cans, brushes and the part together and to earth before you pour or wipe. Use no synthetic rags.")
    )
    return [
        Finding(
            level="control",
            topic="fire",
            statement=joined(sentences),
            short=say("Bond and earth, no synthetic rags"),
            plugin=PLUGIN,
            step=index,
            rule=task.rule("static"),
            grounds=(
                *task.grounds("static", "static-accumulator"),
                *measured,
                *(ground for one in burning for ground in (*one.figures, *one.grounds)),
            ),
            key="fire-static",
        )
    ]


def _parts(task: FireTask, product: Product) -> list[tuple[str, Cited | None]]:
    """Volatile parts that keep their charge, by what they conduct; None of one of which nobody knows."""
    limit = task.reference.threshold("static-accumulator")
    found: list[tuple[str, Cited | None]] = []
    for part in task.burning(product):
        substance = task.reference.substance(part.cas) if part.cas else Unknown("")
        conductivity = substance if isinstance(substance, Unknown) else task.lowest(part.cas, "conductivity")
        if isinstance(conductivity, Unknown) or isinstance(limit, Unknown):
            found.append((part.name, None))
        elif past(conductivity.value, limit):
            found.append((part.name, conductivity))
    return found


def _listed(names: list[str]) -> str:
    return capital(", ".join(dict.fromkeys(names)))
