"""Static electricity: liquids that keep their charge, in the steps that put them on."""

from __future__ import annotations

from safety.cited import Unknown
from safety.model import Finding, Product
from safety.reference import past
from safety.words import capital, joined, say
from safety_ignition.bench import PLUGIN, Bench
from safety_ignition.wet import present, verdict


def judge(bench: Bench, index: int) -> list[Finding]:
    step = bench.job.steps[index]
    products = {w.product.id: w.product for w in present(bench, index) if w.own and verdict(bench, w, step).burns}
    keeps: list[str] = []
    unknown: list[str] = []
    for product in products.values():
        for part, known in _parts(bench, product):
            (keeps if known else unknown).append(part)
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
            rule=bench.rule("static"),
            grounds=bench.grounds("static", "static-accumulator"),
            key="fire-static",
        )
    ]


def _parts(bench: Bench, product: Product) -> list[tuple[str, bool]]:
    """Volatile parts that keep their charge (True), or of which nobody knows (False)."""
    limit = bench.reference.threshold("static-accumulator")
    found = []
    for part in bench.burning(product):
        substance = bench.reference.substance(part.cas) if part.cas else Unknown("")
        conductivity = substance if isinstance(substance, Unknown) else bench.lowest(part.cas, "conductivity")
        if isinstance(conductivity, Unknown) or isinstance(limit, Unknown):
            found.append((part.name, False))
        elif past(conductivity.value, limit):
            found.append((part.name, True))
    return found


def _listed(names: list[str]) -> str:
    return capital(", ".join(dict.fromkeys(names)))
