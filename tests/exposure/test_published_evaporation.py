"""Film cooling against published relative evaporation rates (n-butyl acetate = 1, by volume).

A film that gets all the heat it wants (heat supply 1) and one that gets none but the air's
(heat supply 0) must enclose what is published for solvents that were measured on filter paper
or metal. Two known disagreements are listed with how far they lie outside. Both lie below: every
ratio is relative to n-butyl acetate, whose vapour pressure here (1098 Pa at 20 degC) is the lowest
of the published ones (1098 to 1333 Pa), which raises every ratio by up to a fifth. Since its own weight moves the
vapour too, a strong vapour gains on a weak one, and size matters: the paper is that of the method, 90 mm, lying level.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from safety import reference
from safety.cited import Cited
from safety.exposure.liquids import Conditions, liquid_of, wetted
from safety.model import Part, Product
from tests.exposure.made_up import product

DATA = reference.load((), Path(), date(2026, 1, 1))
GLOSSARY = "safety data sheet glossary of a university laboratory safety site, entry Evaporation Rate (undated)"
GUIDE = "public solvent guide, supplier not named (2020s)"

ONE = np.ones(1)
#: m2: filter paper of 90 mm (ASTM D3539, from memory).
PAPER = 0.25 * np.pi * 0.09**2
AROUND = Conditions(298.15 * ONE, 298.15 * ONE, 0.1 * ONE, ONE, 0.0 * ONE)

#: CAS, published rate, source, how far outside the bounds the published value may lie
PUBLISHED = [
    ("108-38-3", 0.6, GLOSSARY, 0.17),
    ("78-93-3", 3.8, GLOSSARY, 0.0),
    ("67-64-1", 5.6, GLOSSARY, 0.0),
    ("110-54-3", 8.3, GLOSSARY, 0.0),
    ("64-17-5", 1.4, GLOSSARY, 0.0),
    ("108-10-1", 1.6, GUIDE, 0.0),
    ("141-78-6", 2.8, GUIDE, 0.10),
    ("67-63-0", 1.7, GUIDE, 0.0),
    ("142-82-5", 3.3, GUIDE, 0.0),
]


def pure(cas: str) -> Product:
    return product((Part(cas, cas, 1.0, 1.0),))


def volume_rate(cas: str, heat_supply: float) -> float:
    """Liquid height lost per second from the paper of the method at 25 degC and 0.1 m/s [m/s]."""
    liquid = liquid_of(pure(cas), DATA)
    film = wetted(liquid, ONE[None], PAPER * ONE, AROUND).film(heat_supply * ONE)
    density = liquid.substances[0].best("density")
    assert isinstance(density, Cited)
    return float(1.0 / film.shares[0, 0] / density.value / PAPER)


@pytest.mark.parametrize(("cas", "published", "source", "beyond"), PUBLISHED)
def test_published_rate_lies_between_the_bounds(cas: str, published: float, source: str, beyond: float) -> None:
    bounds = [volume_rate(cas, supply) / volume_rate("123-86-4", supply) for supply in (0.0, 1.0)]
    assert min(bounds) * (1 - beyond) <= published <= max(bounds) * (1 + beyond), (bounds, source)
    if beyond:
        assert not min(bounds) <= published <= max(bounds), "no exception is needed any more: take it out"


@pytest.mark.parametrize("cas", ["67-64-1", "108-88-3", "108-65-6"])
def test_a_film_that_gets_no_heat_is_slower_and_colder(cas: str) -> None:
    assert volume_rate(cas, 0.0) < volume_rate(cas, 0.5) < volume_rate(cas, 1.0)


def test_cold_of_evaporating_acetone() -> None:
    """A wet cloth of acetone in room air falls to well below freezing-cold of water (common practice, no source)."""
    liquid = liquid_of(pure("67-64-1"), DATA)
    film = wetted(liquid, ONE[None], ONE, AROUND).film(0.0 * ONE)
    assert 255.0 < film.temperature[0] < 275.0
