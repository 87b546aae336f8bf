"""How a job's figures are known: results measured at it, and the basis of an amount or an area."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

#: How an amount of a job is known, and a wet area.
AmountBasis = Literal["weighed", "measured", "guessed"]
AreaBasis = Literal["measured", "guessed"]


@dataclass(frozen=True, slots=True)
class Measurement:
    """One result of a badge, tube or meter, taken while a job of this kind was done."""

    cas: str
    value: float  # share of the air (unit "ppm") or kg/m3 (unit "mg/m3"); the detection limit where nothing was found
    unit: Literal["ppm", "mg/m3"]
    written: str
    kind: Literal["badge", "tube", "meter"]
    duration: float  # s it was worn or drawn
    date: date
    steps: tuple[str, ...] = ()  # names of the steps it covers; () = the whole shift
    position: Literal["worker", "far"] = "worker"
    air: str = ""  # state of the air it was taken in; "" = not said
    method: str = ""
    below_detection: bool = False
    as_planned: bool = False  # amounts, areas and air were those of the job as it is planned
