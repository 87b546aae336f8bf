"""Jobs rebuilt from published field measurements, to see where the measured values fall.

Every assumption is written beside its source: "row" is what the published summary itself says,
"data" is a value of this program's own defaults or of its documents, "assumed" is a guess made
here. All were written down before the first run, and none has been changed since because of a
result. A range is read as 5th and 95th percentile. Where a summary gives no amount, no room and
no air, nearly everything is assumed: such a row tests whether the guesses of a careful person
would have covered the truth, not the equations alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from safety.cited import Unknown
from safety.model import ANY, AirState, Application, Job, Part, Place, Product, Range, Shop, Step, Use, Work

BENZENE, STODDARD, HEXANE, ACETONE, TOLUENE = "71-43-2", "8052-41-3", "110-54-3", "67-64-1", "108-88-3"
XYLENE, MIBK, MEK, NMP = "1330-20-7", "108-10-1", "78-93-3", "872-50-4"
#: the engine's own near field where a shop gives none
NEAR = Range(0.4, 0.9)


@dataclass(frozen=True, slots=True)
class Check:
    """One measured value: which substance, where, and what was published."""

    row: str  # in the table of published field measurements
    what: str
    cas: str
    at: Literal["worker", "far", "8 h in the place", "peak"]
    measured: tuple[float, float]  # low and high of what was published; the same twice for one number
    unit: Literal["ppm", "mg/m3"] = "ppm"
    at_most: bool = False  # only an upper bound was published
    also: tuple[str, ...] = ()  # substances measured together with it, in mg/m3


@dataclass(frozen=True, slots=True)
class Scenario:
    title: str
    source: str
    assumptions: tuple[tuple[str, str], ...]  # (what, where from)
    job: Job
    checks: tuple[Check, ...]


def _between(low: float, high: float) -> Range:
    return Range(low, high)


def _part(cas: str, low: float, high: float) -> Part:
    return Part(cas, cas, low, high)


def _solids(low: float, high: float) -> Part:
    return Part("solids", "", low, high, volatile=False)


def _place(
    volume: float, changes: tuple[float, float], speed: tuple[float, float], celsius: tuple[float, float]
) -> Place:
    air = AirState("as found", _between(changes[0] / 3600, changes[1] / 3600), _between(*speed), "see assumptions")
    kelvin = _between(celsius[0] + 273.15, celsius[1] + 273.15)
    return Place("site", "room", volume, kelvin, (air,), NEAR)


def _use(
    parts: Sequence[Part],
    work: Work,
    kilograms: tuple[float, float],
    area: float | None,
    kept: tuple[float, float] = (0.0, 0.0),
    lifted_by: str = "",
    coat: bool = False,
) -> Use:
    none = Unknown("not needed here")
    times = Application(coats={ANY: 1}) if coat else None
    product = Product("liquid", "liquid", "solvent", tuple(parts), none, none, none, (), date(2026, 1, 1), times)
    wet: float | Unknown = none if area is None else area
    return Use(product, work, _between(*kilograms), "", wet, _between(*kept), lifted_by)


def _job(place: Place, *steps: tuple[str, float, Sequence[Use], float | None], shift: float = 8.0) -> Job:
    """A job of (name, minutes, uses, length of the part in m) steps."""
    built = tuple(
        Step(name, minutes * 60, "near", place, place.airs[0], tuple(uses), length=length)
        for name, minutes, uses, length in steps
    )
    shop = Shop("field", "si", {place.id: place}, {})
    return Job("field", "field", shop, place, datetime(2026, 1, 5, 8), 1, "", built, shift=shift * 3600)


def _benzene(percent_by_volume: float) -> tuple[Part, Part]:
    """Benzene in mineral spirits; 0.88 and 0.78 g/mL turn the volume share into a weight share."""
    share = percent_by_volume / 100 * 0.88 / 0.78
    return _part(BENZENE, share, share), _part(STODDARD, 1 - share, 1 - share)


# ---------------------------------------------------------------- the rows, in order


def tank_wash() -> Scenario:
    return Scenario(
        "Wheel hub washed by hand in a solvent tank",
        "row 5: NIOSH HETA 99-0196-2860 (2001), abstract",
        (
            ("1.5 h, breathing zone, one sample", "row"),
            (
                "the solvent is mineral spirits, counted as one substance; washing (an open can, before that was a way)",
                "assumed",
            ),
            ("open liquid and wet hub together 0.8 m2; 20 to 60 kg of solvent in the tank", "assumed"),
            ("shop of 1000 m3, 2 to 8 air changes an hour, air speed 0.05 to 0.3 m/s, 18 to 26 degC", "assumed"),
            ("near field 0.4 to 0.9 m", "data"),
        ),
        _job(
            _place(1000.0, (2, 8), (0.05, 0.3), (18, 26)),
            ("wash", 90, [_use([_part(STODDARD, 1, 1)], "wash", (20.0, 60.0), 0.8, lifted_by="wash")], None),
        ),
        (Check("5", "total hydrocarbon", STODDARD, "worker", (211.5, 211.5), "mg/m3"),),
    )


def screen_cleaning() -> Scenario:
    thinner = [_part(TOLUENE, 0.3, 0.6), _part(XYLENE, 0.1, 0.3), _part(MIBK, 0.1, 0.3), _part(MEK, 0.02, 0.15)]
    return Scenario(
        "Screens cleaned with a solvent mix, hood without capture",
        "rows 11 and 12: NIOSH HHE 80-103-827 (1981), abstract",
        (
            ("solvent of toluene, xylene, MIBK and MEK; hoods capture nothing", "row"),
            ("toluene 30-60 %, xylene 10-30 %, MIBK 10-30 %, MEK 2-15 %: a common thinner", "assumed"),
            ("4 h of cleaning, 2 to 6 kg, 16 m2 wetted in all, 20 to 50 % stays in the cloths", "assumed"),
            ("room of 500 m3, 2 to 8 air changes an hour, air speed 0.05 to 0.3 m/s, 20 to 26 degC", "assumed"),
            ("near field 0.4 to 0.9 m", "data"),
            ("isophorone is left out: the program has no data on it", "data"),
        ),
        _job(
            _place(500.0, (2, 8), (0.05, 0.3), (20, 26)),
            ("clean", 240, [_use(thinner, "wipe", (2.0, 6.0), 16.0, (0.2, 0.5))], None),
        ),
        (
            Check("11", "toluene", TOLUENE, "worker", (149, 356)),
            Check("12", "xylene", XYLENE, "worker", (42, 85)),
            Check("12", "MIBK", MIBK, "worker", (52, 126)),
            Check("12", "MEK", MEK, "worker", (12, 25)),
        ),
    )


def small_wipe(percent: float, measured: float) -> Scenario:
    return Scenario(
        f"Small metal surfaces wiped or scraped, {percent:g} % benzene in petroleum solvent",
        "row 13: International Journal of Hygiene and Environmental Health 216 (2013) 324-332, abstract",
        (
            (f"{percent:g} % benzene by volume; task of 18 to 32 min, taken as 25 min; breathing zone", "row"),
            ("the rest counted as mineral spirits; 0.88 and 0.78 g/mL", "assumed"),
            ("30 to 300 mL, 0.3 m2 wet, up to half stays in the rag", "assumed; the paper speaks of small volumes"),
            ("room of 40 m3, 1 to 10 air changes an hour (varied in the test, values not in the abstract)", "assumed"),
            ("air speed 0.03 to 0.2 m/s, 20 to 24 degC", "assumed"),
            ("near field 0.4 to 0.9 m", "data"),
        ),
        _job(
            _place(40.0, (1, 10), (0.03, 0.2), (20, 24)),
            ("wipe", 25, [_use(_benzene(percent), "wipe", (0.0234, 0.234), 0.3, (0.0, 0.5))], None),
        ),
        (Check("13", f"benzene, {percent:g} % in the solvent", BENZENE, "worker", (measured, measured)),),
    )


def parts_washer(row: str, ppm: float, measured: float, at_most: bool) -> Scenario:
    share = ppm * 1e-6
    liquid = (_part(BENZENE, share, share), _part(STODDARD, 1 - share, 1 - share))
    return Scenario(
        f"Parts washer with brush, spray and air hose, {ppm:g} ppm benzene in the solvent",
        f"row {row}: Applied Occupational and Environmental Hygiene 18 (2003) 764-771, abstract",
        (
            (f"mineral spirits with {ppm:g} ppm benzene, 1 h of vigorous cleaning, breathing zone", "row"),
            ("the ppm are by weight; washing (an open can, before there was that way of working)", "assumed"),
            ("basin, parts and spray together 1 m2 wet; 20 to 100 kg of solvent", "assumed"),
            ("shop of 500 m3, 1 to 8 air changes an hour", "assumed"),
            ("air speed 0.1 to 0.5 m/s: hose and spray stir the air; 18 to 26 degC", "assumed"),
            ("near field 0.4 to 0.9 m", "data"),
        ),
        _job(
            _place(500.0, (1, 8), (0.1, 0.5), (18, 26)),
            ("wash", 60, [_use(liquid, "wash", (20.0, 100.0), 1.0, lifted_by="wash")], None),
        ),
        (Check(row, f"benzene, {ppm:g} ppm in the solvent", BENZENE, "worker", (measured, measured), at_most=at_most),),
    )


def aerosol() -> Scenario:
    can = [_part(HEXANE, 0.25, 0.35), _part(ACETONE, 0.45, 0.55), _part(TOLUENE, 0.05, 0.10)]
    return Scenario(
        "Aerosol solvent in vehicle repair",
        "row 17: Journal of Occupational and Environmental Hygiene 4 (2007) 301-310, abstract",
        (
            ("hexane 25-35 %, acetone 45-55 %, toluene 5-10 %; geometric mean air speed 5.2 m/min", "row"),
            ("air speed 0.028 to 0.27 m/s: that mean with a geometric standard deviation of 2", "assumed"),
            ("100 to 400 g a task: a quarter of a can to a whole one", "assumed; 14.4 oz a brake job is recalled"),
            ("60 min a task", "assumed; the length of a brake job, recalled"),
            ("everything sprayed is vapour at once", "data"),
            ("shop of 1000 m3, 1 to 20 air changes an hour, 18 to 26 degC", "assumed; the range is recalled"),
            ("near field 0.4 to 0.9 m", "data"),
        ),
        _job(
            _place(1000.0, (1, 20), (0.028, 0.27), (18, 26)),
            ("spray", 60, [_use(can, "spray", (0.1, 0.4), None)], None),
        ),
        (
            Check("17", "hexane", HEXANE, "worker", (36, 36), "mg/m3"),
            Check("17", "acetone", ACETONE, "worker", (50, 50), "mg/m3"),
            Check("17", "toluene", TOLUENE, "worker", (10, 10), "mg/m3"),
            Check("17", "hexane, area sample (25-35 % of the above)", HEXANE, "far", (9, 12.6), "mg/m3"),
        ),
    )


def floor_stripper() -> Scenario:
    gel = [_part(NMP, 0.4, 0.9), _solids(0.1, 0.6)]
    return Scenario(
        "Floor stripped with a thick NMP remover in a house",
        "row 29: NIOSH technical report abstract on an NMP floor stripper",
        (
            ("viscous NMP stripper on wood floors in a house; two personal and two mean area values", "row"),
            ("NMP 40-90 %, the rest does not evaporate", "assumed"),
            ("20 m2, 6 to 14 kg (3 to 5 m2 a litre and less); 1 h to put on, 3 h to stand and scrape", "assumed"),
            ("room of 50 m3, 0.3 to 3 air changes an hour, air speed 0.03 to 0.15 m/s, 18 to 26 degC", "assumed"),
            ("the worker moves along 5 m; near field 0.4 to 0.9 m", "assumed; data"),
        ),
        _job(
            _place(50.0, (0.3, 3), (0.03, 0.15), (18, 26)),
            ("put on", 60, [_use(gel, "gel", (6.0, 14.0), 20.0, lifted_by="scrape")], 5.0),
            ("scrape", 180, [], 5.0),
        ),
        (
            Check("29", "NMP, personal", NMP, "worker", (3.3, 4.0)),
            Check("29", "NMP, area", NMP, "far", (3.6, 7.7)),
        ),
    )


def drywall() -> Scenario:
    glue = [_part(HEXANE, 0.05, 0.15), _solids(0.85, 0.95)]
    return Scenario(
        "Drywall adhesive in a small bathroom",
        "row 38: NIOSH HETA 99-0163-2771 (1999), abstract",
        (
            ("small bathroom with poor ventilation; highest full-shift area sample; hexane is a main part", "row"),
            ("n-hexane 5-15 % of the adhesive; its other solvents are left out", "assumed"),
            ("0.5 to 3 kg in beads of 1.5 m2; half to nine tenths lies under the board and stays there", "assumed"),
            ("12 m3, 0.5 to 5 air changes an hour, air speed 0.03 to 0.15 m/s, 18 to 26 degC", "assumed"),
            ("60 min of work, the sample runs 8 h", "assumed"),
        ),
        _job(
            _place(12.0, (0.5, 5), (0.03, 0.15), (18, 26)),
            ("glue", 60, [_use(glue, "brush", (0.5, 3.0), 1.5, (0.5, 0.9))], None),
        ),
        (Check("38", "n-hexane, area", HEXANE, "8 h in the place", (37.7, 37.7)),),
    )


def alkyd(
    what: str, measured: float, volume: float, square_metres: float, minutes: float, changes: tuple[float, float]
) -> Scenario:
    paint = [_part(STODDARD, 0.35, 0.50), _solids(0.50, 0.65)]
    return Scenario(
        f"Alkyd paint: {what}",
        "row 43: Scandinavian Journal of Work, Environment and Health 10 (1984) 263-266, abstract",
        (
            ("alkyd paint with solvent naphtha; the value is a mean over many work situations", "row"),
            ("naphtha counted as white spirit, 35-50 % of the paint", "assumed"),
            ("100 to 150 g/m2, by brush or roller", "assumed"),
            (
                f"room of {volume:g} m3, {square_metres:g} m2 painted in {minutes:g} min, "
                f"{changes[0]:g} to {changes[1]:g} air changes an hour",
                "assumed",
            ),
            ("air speed 0.03 to 0.2 m/s, 18 to 24 degC; the hands travel along 8 m of wall", "assumed"),
            ("near field 0.4 to 0.9 m", "data"),
        ),
        _job(
            _place(volume, changes, (0.03, 0.2), (18, 24)),
            (
                "paint",
                minutes,
                [_use(paint, "brush", (0.100 * square_metres, 0.150 * square_metres), square_metres, coat=True)],
                8.0,
            ),
        ),
        (Check("43", f"solvent naphtha, {what}", STODDARD, "worker", (measured, measured)),),
    )


def scenarios() -> tuple[Scenario, ...]:
    """All rebuilt rows, in the order of the table."""
    return (
        tank_wash(),
        screen_cleaning(),
        small_wipe(0.003, 0.01),
        small_wipe(0.008, 0.05),
        small_wipe(0.07, 0.27),
        parts_washer("15", 9, 0.033, True),
        parts_washer("16", 58, 0.5, False),
        aerosol(),
        floor_stripper(),
        drywall(),
        alkyd("small, poorly ventilated room", 275, 10.0, 20.0, 75, (0.5, 3)),
        alkyd("walls and ceilings", 210, 30.0, 50.0, 150, (0.5, 4)),
        alkyd("windows and doors", 80, 30.0, 6.0, 60, (0.5, 4)),
        alkyd("walls and ceilings, strong draught (two thirds less)", 70, 30.0, 50.0, 150, (8, 30)),
    )


#: Rows of the table that are not rebuilt, and why.
LEFT_OUT = {
    "1, 2": "wipe-down, primer and topcoat by spray together: no amounts, no composition, no share of each",
    "3, 4": "paint stripping in three halls: no amounts, areas or air",
    "6": "five workers over a shift: no amounts, no solvent named",
    "7": "spray cleaning in an exhaust booth: no flow, no amounts",
    "8": "only a bound is published, no room, no air",
    "19, 20": "many tasks over a shift, no amounts",
    "21": "total organic vapour by a meter whose response is not given",
    "22, 23, 24, 26": "the hood decides, and its capture is not given",
    "27, 28": "no amounts and no room",
    "30": "no number is published",
    "31, 32, 33, 35": "fuel work of many kinds, fuel is not a liquid of known parts",
    "34, 36": "inside of tanks: what was left in them is not given",
    "37": "sprayed in a booth: no flow",
    "39, 40": "no amounts and no air",
    "44, 45": "styrene: part of it sets in the resin, which the engine does not have, and no data on it are loaded",
    "46": "only the change by an exhaust is published",
    "47": "no amounts and no air",
    "48": "cyclododecane is a solid and no data on it are loaded",
}
