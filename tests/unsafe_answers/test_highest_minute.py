"""What is held against a ceiling is the air of a metre over a minute, and is called that. The plume is not judged."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety.exposure.dose import Dose
from safety.exposure.measure import Recorder
from safety.model import Report
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "Frame shop (invented)"
altitude = "0 m"
rules = ["us-federal"]

[[place]]
id = "bench"
kind = "room"
volume = "120 m^3"
temperature = ["20 degC", "24 degC"]

[[place.air]]
state = "window open"
air_changes = ["2 /hour", "4 /hour"]
air_speed = ["0.05 m/s", "0.2 m/s"]
basis = "invented"

[[respirator]]
id = "half-mask"
name = "Half mask"
kind = "air-purifying"
facepiece = "half mask"
cartridge = "organic vapour"
cartridge_limit = "1000 ppm"
sorbent_mass = "100 g"
bed_depth = "22 mm"
"""

THINNER = """
[product]
id = "thinner"
name = "Thinner"
role = "solvent"
purpose = "cleaner"
density = "0.87 g/mL"
flash_point = "4 degC"
boiling_point = "110 degC"
hazards = ["H225"]
sds_revised = 2026-01-15

[[product.part]]
cas = "{cas}"
weight = "100 %"
"""

JOB = """
[job]
id = "wiping"
title = "Wipe frames"
place = "bench"
start = 2026-11-25T09:00:00
crew = 1

[[step]]
name = "Wipe"
duration = "20 min"
people = "{people}"

[[step.use]]
product = "thinner"
work = "wipe"
amount = "{amount}"
area = "0.4 m^2"
"""

TOLUENE = "108-88-3"


def _sheet(folder: Path, amount: str = "25 mL", people: str = "near", cas: str = TOLUENE) -> Report:
    jobs = {"wiping": JOB.format(amount=amount, people=people)}
    return sheet(write_shop(folder, SHOP, {"thinner": THINNER.format(cas=cas)}, jobs), "wiping")


def test_no_minute_of_the_worker_is_higher(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The name is a claim: the mean of no minute is over the figure, by more than the thousandth a cell may cost."""
    doses: list[Dose] = []
    breathed = Recorder._breathed

    def kept(*given: Any) -> Dose:
        doses.append(breathed(*given))
        return doses[-1]

    monkeypatch.setattr(Recorder, "_breathed", kept)
    for people in ("near", "far"):
        worker = _sheet(tmp_path / people, people=people).exposure.worker
        dose = doses[-1]
        starts = np.arange(0.0, dose.nodes[-1] - 60.0, 5.0)
        minutes = (dose.up_to(starts + 60.0) - dose.up_to(starts)).max(axis=0) / 60.0
        assert float(np.max(minutes.T / worker.peak)) <= 1.001, people


def test_every_judgement_by_it_says_that_the_plume_is_not_judged(tmp_path: Path) -> None:
    """Before: "reaches 53 ppm at the highest moment" beside a ceiling, of air averaged over a metre."""
    report = _sheet(tmp_path)
    told = [f for f in report.findings if f.key.startswith(("air-ceiling:", "air-idlh:"))]
    assert told
    for finding in told:
        assert "highest minute" in finding.statement, finding.key
        assert "plume right above a wet surface" in finding.statement, finding.key
    (step,) = [f for f in answers(report, "air", 0) if f.key == "air-step"]
    assert "keep your face out of it" in step.statement


def test_a_mask_with_a_cartridge_says_it_too(tmp_path: Path) -> None:
    """Before: a cartridge good to 1000 ppm was cleared by that average, and nothing was said of the plume."""
    report = _sheet(tmp_path, amount="35 mL")
    (breathing,) = answers(report, "breathing", 0)
    assert breathing.level == "control", breathing.statement
    assert "Half mask" in breathing.statement
    assert "keep your face out of it" in breathing.statement


def test_the_page_says_what_to_do_wherever_saturated_air_passes_a_limit(tmp_path: Path) -> None:
    """Toluene at 22 degC saturates at some 30,000 ppm, and 500 ppm are dangerous: one line on the first page."""
    for amount, level in (("6 mL", "note"), ("500 mL", "control")):  # to be done where something has to be done
        report = _sheet(tmp_path / amount, amount)
        (finding,) = [f for f in report.findings if f.key == "air-plume"]
        assert (finding.level, finding.step) == (level, None)
    far = _sheet(tmp_path / "far", people="far")
    assert not [f for f in far.findings if f.key == "air-plume"], "nobody stands over it"


def test_no_line_where_not_even_saturated_air_passes_a_limit(tmp_path: Path) -> None:
    """NMP at 24 degC saturates at some 450 ppm; a tenth of its explosive limit, 1300 ppm, stands in for its IDLH."""
    report = _sheet(tmp_path, cas="872-50-4")
    assert [f for f in report.findings if f.key == "air-idlh:872-50-4"]
    assert not [f for f in report.findings if f.key == "air-plume"]
