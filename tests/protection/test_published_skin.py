"""Skin uptake against the published ratio, with the shipped data."""

from __future__ import annotations

from dataclasses import replace

import pytest
from safety_protection import skin

from safety.cited import Cited, Source
from safety.model import Figure, Substance
from safety.reference import Reference


def test_benzene_at_a_tenth_of_a_ppm(us: Reference) -> None:
    """NIOSH CIB 61 model: the ratio published for benzene is 49 to 1, which belongs to 0.1 ppm (the NIOSH limit)."""
    benzene = us.substance("71-43-2")
    assert isinstance(benzene, Substance)
    # the published ratio was worked with 1.79 g/L; the shipped Pocket Guide figure is a rounded 0.07 %
    solubility = Cited(1.79, "kg/m3", "1.79 g/L", Source("cib-61", "NIOSH CIB 61", "2009"), "appendix")
    benzene = replace(benzene, properties={**benzene.properties, "water_solubility": (solubility,)})
    found = skin.uptake(benzene, us)
    assert isinstance(found.ratio, Figure)
    assert found.ratio.value == pytest.approx(49.0, rel=0.02)
    assert found.flagged
    inputs = dict(found.ratio.inputs)
    assert inputs["limit"].written == "0.1 ppm"
    assert inputs["permeation"].formula == "skin_permeation"
