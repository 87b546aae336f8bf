"""A deep drum of which a hand's breadth is missing counted as a puddle of the same size: nobody asked for the rim."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety import reference, timeline
from safety.exposure.engine import compute
from safety.exposure.liquids import Conditions, liquid_of, wetted
from safety.model import WATER, Part, Product
from tests.exposure.made_up import TOLUENE, FewSubstances, exact, job, part, product, step, wipe

REFERENCE: Any = FewSubstances()
DATA = reference.load((), Path(), date(2026, 1, 1))
PURE = product((part(TOLUENE, 1.0),))


def _given_off(freeboard: float, area: float, liquid: Product = PURE) -> float:
    use = replace(wipe(liquid, exact(10.0), area, work="open", lifted_by="Open"), freeboard=freeboard)
    a_job = job(step("Open", 60, use))
    return float(np.median(compute(a_job, timeline.build(a_job), REFERENCE, draws=100).balances[0].evaporated))


def test_a_deep_narrow_can_gives_off_what_diffuses_out_of_it() -> None:
    """Opening 9 cm wide, liquid 30 cm below the rim: 21 cm at rest; D C_sat / d of toluene is some 25 g/m2 an hour."""
    full, deep = _given_off(0.0, 0.0078), _given_off(0.30, 0.0078)
    assert deep < full / 15
    assert 0.00010 < deep < 0.00025


def test_a_wide_tank_and_a_small_freeboard_are_not_held_back() -> None:
    """The careful side: air turns over in an opening to about its width."""
    assert _given_off(0.30, 0.25) == _given_off(0.0, 0.25)
    assert _given_off(0.05, 0.0078) == _given_off(0.0, 0.0078)


def test_a_vapour_that_rises_is_not_held_back() -> None:
    """Water is lighter than air and leaves the can by itself."""
    one = np.ones(1)
    liquid = liquid_of(product((Part("water", WATER, 1.0, 1.0),)), DATA)
    over = Conditions(293.15 * one, 293.15 * one, 0.1 * one, one, 0.0 * one)
    deep, full = (wetted(liquid, one[None], 0.0078 * one, replace(over, freeboard=h)).film(one) for h in (0.3, 0.0))
    assert deep.speeds == pytest.approx(full.speeds)
