"""What spraying throws into the air that the vapour figures do not hold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from safety.model import Step
from safety.reference.hazards import ProductHazards
from safety.words import say

#: Breathed as droplets, these may kill, make allergic for life, or cause cancer or birth defects.
GRAVE = frozenset({"H300", "H301", "H310", "H330", "H331", "H334", "H340", "H350", "H360", "H370", "H372", "EUH204"})


@dataclass(frozen=True, slots=True)
class Mist:
    """What spraying throws into the air that the vapour figures do not hold."""

    poison: tuple[str, ...]  # sentences: droplets that may do grave harm
    plain: tuple[str, ...]  # names of products that throw other droplets


def of_step(step: Step, hazards: Mapping[str, ProductHazards], warmed: tuple[str, ...] = ()) -> Mist:
    """Droplets of what does not evaporate are breathed too, and nothing here computes them.

    ``warmed``: sentences on what may do grave harm and goes into the air because it is hot.
    """
    sprayed = {use.product.id: use.product for use in step.uses if use.work == "spray"}
    solid = [p for p in sprayed.values() if any(not part.volatile for part in p.parts)]
    grave = [p for p in solid if hazards[p.id].careful & GRAVE or not hazards[p.id].known]
    poison = tuple(
        say("The sprayed mist of {product} is not computed, and it may do grave harm.", product=p.name) for p in grave
    )
    return Mist((*poison, *warmed), tuple(p.name for p in solid if p not in grave))
