"""A coat of paint dried like a pool: all of its vapour in its own step, and none for who comes after."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from safety import timeline
from safety.exposure import Exposure
from safety.exposure.engine import compute
from safety.model import ANY, AirState, Application, Job, Product
from tests.exposure.made_up import BAY, TOLUENE, FewSubstances, exact, job, part, product, step, wipe

COATS = Application(coats={ANY: 1})
REFERENCE: Any = FewSubstances()
AIRED = AirState("aired", exact(20 / 3600), exact(0.2), "made up")
ROOM = replace(BAY, volume=200.0, airs=(AIRED,))


def _paint(solids: tuple[float, float], application: Application | None = COATS) -> Product:
    stays = replace(part(TOLUENE, solids[0]), name="resin", cas="", high=solids[1], volatile=False)
    solvent = replace(part(TOLUENE, 1 - solids[1]), high=1 - solids[0])
    return replace(product((solvent, stays)), application=application)


def _run(thing: Product) -> Exposure:
    coat = step("Coat", 10, wipe(thing, exact(0.15), 1.5, work="brush"), place=ROOM)
    a_job: Job = job(coat, step("Wait", 60, place=ROOM), step("Bond", 30, place=ROOM), place=ROOM)
    return compute(a_job, timeline.build(a_job), REFERENCE, draws=400)


@pytest.fixture(scope="module")
def runs() -> dict[str, Exposure]:
    kinds = {"paint": _paint((0.3, 0.3)), "liquid": _paint((0.3, 0.3), None), "unsure": _paint((0.0, 0.6))}
    return {name: _run(thing) for name, thing in kinds.items()}


def _careful(values: Any) -> float:
    return float(np.percentile(values[:, 0], 95))


def test_who_comes_after_breathes_what_the_coat_still_holds(runs: dict[str, Exposure]) -> None:
    """Before: once it was dry as a liquid dries, the next step had clean air."""
    assert _careful(runs["paint"].steps[2].mean) > 1.2 * _careful(runs["liquid"].steps[2].mean)


def test_its_own_step_is_not_called_harmless(runs: dict[str, Exposure]) -> None:
    """How far the resin holds it is drawn from not at all on: the careful side stays near the liquid."""
    assert _careful(runs["paint"].steps[0].mean) > 0.8 * _careful(runs["liquid"].steps[0].mean)


def test_a_coat_is_never_dry_sooner_for_holding_its_solvent(runs: dict[str, Exposure]) -> None:
    (paint,), (liquid,) = runs["paint"].balances, runs["liquid"].balances
    assert (paint.dry_after >= liquid.dry_after * (1 - 1e-6)).all()
    assert paint.wet_until_at_least == pytest.approx(liquid.wet_until_at_least)


def test_an_unknown_make_up_holds_nothing_back() -> None:
    """Nobody's air is milder for what nobody knows: from 20 % that surely stays behind on, and in coats only."""
    assert _paint((0.2, 0.6)).forms_film
    assert not _paint((0.0, 0.6)).forms_film
    assert not _paint((0.3, 0.3), None).forms_film
    assert not _paint((0.3, 0.3), Application()).forms_film


def test_every_gram_is_somewhere(runs: dict[str, Exposure]) -> None:
    for exposure in runs.values():
        for b in exposure.balances:
            assert b.applied == pytest.approx(b.evaporated + b.kept + b.solids + b.wet, rel=1e-9)
