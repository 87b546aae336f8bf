"""More jobs rebuilt from published field measurements, and evaporation rates published at a stated air speed.

Nobody tuned anything to these. Where the assumptions come from is said as in scenarios.py, and they too were written
down before the first run.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np

from safety import reference
from safety.exposure.draws import Draws, Stream
from safety.exposure.liquids import AGITATION, CORRELATION_SPREAD, Conditions, liquid_of, wetted
from safety.exposure.result import Floats
from safety.formulas.basis import GAS_CONSTANT
from safety.formulas.transfer import (
    buoyant_transfer_level,
    combined_transfer,
    laminar_transfer,
    mass_transfer_coefficient,
    vapour_density_excess,
)
from safety.model import WATER, Part, Range
from tests.exposure.made_up import product
from tests.validation.scenarios import (
    ACETONE,
    HEXANE,
    MIBK,
    STODDARD,
    TOLUENE,
    XYLENE,
    Check,
    Scenario,
    _between,
    _job,
    _part,
    _place,
    _solids,
    _use,
)

DICHLOROMETHANE, ETHANOL, ETHYLBENZENE, BUTYL_ACETATE = "75-09-2", "64-17-5", "100-41-4", "123-86-4"


def sprayed_motor() -> Scenario:
    spirits = [_part(STODDARD, 1, 1)]
    return Scenario(
        "Mineral spirits sprayed on a generator and a traction motor",
        "L1: Journal of Toxicology and Environmental Health A 65 (2002) 1965-1979, abstract",
        (
            ("mineral spirits sprayed on parts, 1-h mean of 121 ppm (34 to 221), worst case", "row"),
            ("0.3 to 1.5 kg thrown as mist, 3 to 15 kg run over 6 m2 of parts and pan", "assumed"),
            ("shop of 3000 m3, 1 to 6 air changes an hour, 0.05 to 0.3 m/s, 15 to 28 degC", "assumed"),
        ),
        _job(
            _place(3000.0, (1, 6), (0.05, 0.3), (15, 28)),
            ("spray", 60, [_use(spirits, "spray", (0.3, 1.5), None), _use(spirits, "wipe", (3.0, 15.0), 6.0)], None),
        ),
        (Check("L1", "mineral spirits, 1-h mean", STODDARD, "worker", (121, 121)),),
    )


def furniture_tray(row: str, measured: tuple[float, float]) -> Scenario:
    stripper = [_part(DICHLOROMETHANE, 0.6, 0.9), _solids(0.1, 0.4)]
    place = _place(400.0, (4, 10), (0.05, 0.3), (18, 26))
    hood = replace(place.airs[0], capture=_between(0.2, 0.7))
    return Scenario(
        "Furniture stripped over an open tray with a hood",
        f"{row}: NIOSH EPHB 170-23a (L5) and ECTB 170-20a (L6), abstracts",
        (
            ("the values; slot hood or pipe, new hood; two solutions", "row"),
            ("open tray of 2 m2, 20 to 100 kg, 60 to 90 % dichloromethane, 4 h a day at it", "assumed"),
            ("room of 400 m3, 4 to 10 air changes an hour, 0.05 to 0.3 m/s, the hood takes 20 to 70 %", "assumed"),
        ),
        _job(
            replace(place, airs=(hood,)),
            ("strip", 240, [_use(stripper, "open", (20.0, 100.0), 2.0, lifted_by="strip")], None),
        ),
        (Check(row, "dichloromethane", DICHLOROMETHANE, "worker", measured),),
    )


def hand_rub(row: str, what: str, seconds: float, millilitres: tuple[float, float], measured: float) -> Scenario:
    rub = [_part(ETHANOL, 0.7, 0.7), _part(WATER, 0.3, 0.3)]
    place = _place(30.0, (0.5, 3), (0.05, 0.2), (20, 24))
    job = _job(
        place,
        ("rub", seconds / 60, [_use(rub, "wipe", tuple(v * 0.87e-3 for v in millilitres), 0.09)], None),  # type: ignore[arg-type]
    )
    warm = _between(30 + 273.15, 34 + 273.15)
    return Scenario(
        f"Hands rubbed, {what}",
        f"{row}: International Journal of Environmental Research and Public Health 9 (2012) 868-879, abstract",
        (
            ("highest of samples of 10 s in the breathing zone over the hands", "row"),
            ("70 % ethanol, 0.09 m2 of hands at 30 to 34 degC; room of 30 m3, 0.5 to 3 air changes an hour", "assumed"),
            ("the engine's peak is a mean over a metre of air: not the same thing", "data"),
        ),
        replace(job, steps=(replace(job.steps[0], surface_temperature=warm),)),
        (Check(row, f"ethanol, {what}, 10 s", ETHANOL, "peak", (measured, measured), "mg/m3"),),
    )


def epoxy_primer() -> Scenario:
    primer = [
        _part(TOLUENE, 0.05, 0.2),
        _part(XYLENE, 0.10, 0.25),
        _part(ETHYLBENZENE, 0.02, 0.06),
        _part(MIBK, 0.02, 0.08),
        _solids(0.41, 0.81),
    ]
    values = (("ethylbenzene", ETHYLBENZENE, (154.5, 16.99, 6.7)), ("MIBK", MIBK, (28.95, 4.75)))
    return Scenario(
        "Epoxy primer indoors, three sites",
        "L10: Safety and Health at Work 7 (2016) 63-71, table 6",
        (
            ("epoxy primer, indoors; one description, three sites", "row"),
            ("toluene 5-20 %, xylene 10-25 %, ethylbenzene 2-6 %, MIBK 2-8 %", "assumed"),
            ("10 to 20 kg on 75 m2 in 3 h, by roller, the hands travel along 10 m", "assumed"),
            ("room of 500 m3, 0.5 to 10 air changes an hour, 0.05 to 0.3 m/s, 15 to 28 degC", "assumed"),
        ),
        _job(
            _place(500.0, (0.5, 10), (0.05, 0.3), (15, 28)),
            ("prime", 180, [_use(primer, "brush", (10.0, 20.0), 75.0, coat=True)], 10.0),
        ),
        tuple(
            Check("L10", f"{name}, site {site}", cas, "worker", (value, value))
            for name, cas, found in values
            for site, value in enumerate(found, 1)
        ),
    )


def aerosol_cleaner() -> Scenario:
    can = [_part(TOLUENE, 0.2, 0.6), _part(ACETONE, 0.1, 0.5), _part(HEXANE, 0.1, 0.4)]
    return Scenario(
        "Aerosol cleaner, worst case",
        "L11: Journal of Occupational and Environmental Hygiene 15 (2018) 531-540, abstract (row 19)",
        (
            ("15 min; 217.5 mg/m3 of total hydrocarbon in the worst scenario", "row"),
            ("one can of 100 to 400 g, toluene 20-60 %, acetone 10-50 %, hexane 10-40 %", "assumed"),
            ("room of 300 m3, 0.5 to 3 air changes an hour, 0.03 to 0.2 m/s, 15 to 28 degC", "assumed"),
        ),
        _job(
            _place(300.0, (0.5, 3), (0.03, 0.2), (15, 28)), ("spray", 15, [_use(can, "spray", (0.1, 0.4), None)], None)
        ),
        (Check("L11", "toluene and hexane", TOLUENE, "worker", (217.5, 217.5), "mg/m3", also=(HEXANE,)),),
    )


def further() -> tuple[Scenario, ...]:
    """All of them, in the order of the table."""
    return (
        sprayed_motor(),
        furniture_tray("L5", (138, 1052)),
        furniture_tray("L6", (300, 387)),
        hand_rub("L7", "hygienic", 30, (2.4, 4.0), 1.43e4),
        hand_rub("L8", "surgical", 90, (6.0, 10.0), 2.02e4),
        epoxy_primer(),
        aerosol_cleaner(),
    )


# ---------------------------------------------------------------- evaporation rates at a stated air speed

RATE_DRAWS = 2000
#: What a pool at 28 degC has over air of half that vapour [Pa].
HALF_DAMP = 0.5 * 3780.0


@dataclass(frozen=True, slots=True)
class Rate:
    """A published evaporation rate beside what is computed for its air speed."""

    row: str
    what: str
    source: str
    published: float
    unit: str
    low: float
    middle: float
    high: float

    @property
    def place(self) -> str:
        return "above" if self.published > self.high else "below" if self.published < self.low else "inside"


def rates() -> tuple[Rate, ...]:
    """Each of them. Nothing is fitted: air speed, size and temperature are what the source says or its method asks."""
    smith = "Smith, Lof & Jones, ASHRAE Transactions 104 (1998) part 1A, abstract"
    solar = "the same authors, Solar Energy 53 (1994) 3-7"
    still, wind = Range(0.05, 0.15), Range(2.1, 2.4)
    return (
        _rate("R1", "water pool, quiet, air nearly still", smith, 4.055, "mm/s", _pool(still)),
        _rate("R2", "water pool, quiet, 5 mph of wind", solar, 12.6, "mm/s", _pool(wind)),
        _rate("R3", "water pool in active use, splashed", smith, 6.905, "mm/s", _pool(still) * _washed()),
        _rate("R5", "n-butyl acetate on filter paper", "ASTM D3539, 470 s for 90 %", 470.0, "g/m2/h", _paper()),
    )


def _rate(row: str, what: str, source: str, published: float, unit: str, drawn: Floats) -> Rate:
    low, middle, high = (float(x) for x in np.percentile(drawn, (5, 50, 95)))
    return Rate(row, what, source, published, unit, low, middle, high)


def _chance() -> Draws:
    return Draws(RATE_DRAWS, 1)


def _pool(speed: Range) -> Floats:
    u, c = (
        _chance().positive(Stream("air speed", (0, 0)), speed),
        _chance().positive(Stream("correlation"), CORRELATION_SPREAD),
    )
    air = (0.018015, 301.15)
    excess = vapour_density_excess([(HALF_DAMP, 0.018015)])
    forced, laminar = mass_transfer_coefficient(u, 15.0, *air), laminar_transfer(u, 15.0, *air)
    return np.asarray(combined_transfer(forced, laminar, buoyant_transfer_level(excess, 15.0**2, *air)) * c * 1e3)


def _washed() -> Floats:
    return _chance().positive(Stream("agitation", (0, 0)), AGITATION)


def _paper() -> Floats:
    data = reference.load((), Path(), date(2026, 1, 5))
    liquid = liquid_of(product((Part(BUTYL_ACETATE, BUTYL_ACETATE, 1.0, 1.0),)), data)
    chance, one = _chance(), np.ones(RATE_DRAWS)
    area = np.pi / 4 * 0.09**2 * one
    around = Conditions(
        298.15 * one,
        298.15 * one,
        chance.positive(Stream("air speed", (0, 0)), Range(0.02, 0.1)),
        chance.positive(Stream("correlation"), CORRELATION_SPREAD),
        chance.between(Stream("stance", (0, 0)), 0.0, 1.0),
    )
    film = wetted(liquid, 0.7e-6 * 882 * one[None], area, around).film(chance.between(Stream("heat", (0, 0)), 0.0, 1.0))
    mass = liquid.molar_mass[0] * film.speeds[0] / (GAS_CONSTANT * film.temperature)
    sides = chance.between(Stream("mass", (0, 0)), 1.0, 2.0)
    return np.asarray(mass * sides * 3.6e6)
