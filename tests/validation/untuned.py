"""Jobs rebuilt from published measurements that nothing in the program was chosen by.

They were looked for when the engine stood, and its constants were not touched after. The assumptions were written
down, and committed, before the first run. Whoever made them had read the published values.
"""

from __future__ import annotations

from dataclasses import replace

from safety.model import WATER
from tests.validation.further import DICHLOROMETHANE
from tests.validation.scenarios import (
    BENZENE,
    MEK,
    STODDARD,
    TOLUENE,
    Check,
    Scenario,
    _between,
    _job,
    _part,
    _place,
    _solids,
    _use,
)

GLYCOL = "107-21-1"


def contact_adhesive() -> Scenario:
    adhesive = [_part(TOLUENE, 0.2, 0.6), _part(MEK, 0.05, 0.25), _solids(0.15, 0.3)]
    return Scenario(
        "Contact adhesive put on indoors, in a chamber after a case",
        "U1: Journal of Occupational and Environmental Hygiene 9 (2012) D95-D102, abstract",
        (
            ("toluene and MEK, 8 h of putting on, no exhaust; means over 8 h", "row"),
            ("toluene 20-60 %, MEK 5-25 %, solids 15-30 %; its other solvents are left out", "assumed"),
            ("4 to 15 kg, by brush or roller, 40 m2 in all, the hands travel along 6 m", "assumed"),
            ("room of 60 m3, 0.5 to 6 air changes an hour, 0.03 to 0.2 m/s, 18 to 26 degC", "assumed"),
        ),
        _job(
            _place(60.0, (0.5, 6), (0.03, 0.2), (18, 26)),
            ("glue", 480, [_use(adhesive, "brush", (4.0, 15.0), 40.0)], 6.0),
        ),
        (
            Check("U1", "toluene, 8 h", TOLUENE, "worker", (159, 159)),
            Check("U1", "MEK, 8 h", MEK, "worker", (58, 58)),
        ),
    )


def penetrating_oil(row: str, source: str, percent: float, by: str, measured: float, said: str) -> Scenario:
    share = percent / 100 * (0.88 / 0.8 if by == "volume" else 1.0)
    oil = [_part(BENZENE, share, share), _part(STODDARD, 1 - share, 1 - share)]
    return Scenario(
        f"Penetrating oil with {percent:g} % of benzene squirted on metal parts",
        f"{row}: {source}",
        (
            (said, "row"),
            (f"benzene by {by}; the rest counted as mineral spirits, though much of such an oil is heavier", "assumed"),
            ("10 to 60 mL in 15 min, on 0.02 to 0.2 m2, taken as 0.1 m2", "assumed"),
            ("shop of 100 m3, 0.5 to 6 air changes an hour, 0.05 to 0.3 m/s, 18 to 28 degC", "assumed"),
        ),
        _job(
            _place(100.0, (0.5, 6), (0.05, 0.3), (18, 28)),
            ("squirt", 15, [_use(oil, "wipe", (0.008, 0.048), 0.1)], None),
        ),
        (Check(row, f"benzene, 15 min, {percent:g} % in the oil", BENZENE, "worker", (measured, measured)),),
    )


def stripping_tank(
    row: str, source: str, said: str, hood: tuple[float, float], measured: tuple[float, float]
) -> Scenario:
    stripper = [_part(DICHLOROMETHANE, 0.6, 0.9), _solids(0.1, 0.4)]
    place = _place(400.0, (2, 10), (0.05, 0.3), (18, 26))
    air = replace(place.airs[0], capture=_between(*hood))
    return Scenario(
        "Furniture stripped at a tank with a poor exhaust",
        f"{row}: {source}",
        (
            (said, "row"),
            ("open tank of 2 m2, 20 to 100 kg, 60 to 90 % dichloromethane, 4 h a day at it, parts dipped", "assumed"),
            (f"the exhaust takes {hood[0]:.0%} to {hood[1]:.0%}", "assumed"),
            ("room of 400 m3, 2 to 10 air changes an hour, 0.05 to 0.3 m/s, 18 to 26 degC", "assumed"),
        ),
        _job(
            replace(place, airs=(air,)),
            ("strip", 240, [_use(stripper, "wash", (20.0, 100.0), 2.0, lifted_by="strip")], None),
        ),
        (Check(row, "dichloromethane", DICHLOROMETHANE, "worker", measured),),
    )


def latex_paint() -> Scenario:
    paint = [_part(GLYCOL, 0.01, 0.04), _part(WATER, 0.4, 0.6), _solids(0.36, 0.59)]
    return Scenario(
        "Latex paint on the walls of a closed bedroom",
        "U6: EPA, paper at Engineering Solutions to Indoor Air Quality Problems (2000), abstract",
        (
            ("all four walls of a closed bedroom of 30 m3; ethylene glycol highest some 4 h after", "row"),
            ("ethylene glycol 1-4 %, water 40-60 %; sprayed in 20 min, counted as put on by roller", "assumed"),
            ("4 to 8 kg on 28 m2; 0.2 to 1 air changes an hour, 0.02 to 0.1 m/s, 20 to 24 degC", "assumed"),
            ("what plaster board holds of it is not counted", "data"),
        ),
        _job(
            _place(30.0, (0.2, 1.0), (0.02, 0.1), (20, 24)),
            ("paint", 20, [_use(paint, "brush", (4.0, 8.0), 28.0, coat=True)], 8.0),
            ("left shut", 340, [], None),
        ),
        (Check("U6", "ethylene glycol, highest", GLYCOL, "peak", (5.5, 5.5), "mg/m3"),),
    )


def untuned() -> tuple[Scenario, ...]:
    """All of them, in the order of the table."""
    oil = "Journal of Occupational and Environmental Hygiene 4 (2007) 547-561 (place recalled), abstract"
    spread = "means of tests from 0.08 to 3.8 ppm with 1 to 30 %: the {which} counts as the {percent:g} %"
    return (
        contact_adhesive(),
        penetrating_oil("U2", oil, 1, "volume", 0.08, spread.format(which="lowest", percent=1)),
        penetrating_oil("U2", oil, 30, "volume", 3.8, spread.format(which="highest", percent=30)),
        penetrating_oil(
            "U3",
            "paper at the American Industrial Hygiene Conference (2004), abstract",
            6.8,
            "weight",
            5.03,
            "the highest of 27 samples of 15 min, of the mechanic",
        ),
        stripping_tank(
            "U4",
            "NIOSH survey of furniture stripping, Meadow Lands (Pennsylvania), abstract",
            "600 to 1150 ppm under the exhaust that was there",
            (0.0, 0.3),
            (600, 1150),
        ),
        stripping_tank(
            "U5",
            "NIOSH survey of furniture stripping, Cincinnati (2000), abstract",
            "geometric mean of 334 ppm before the exhaust was mended",
            (0.0, 0.5),
            (334, 334),
        ),
        latex_paint(),
    )
