"""An amount, or a share, that nobody knows makes nothing milder for anybody: no time, no other vapour's level."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from safety.exposure.result import p95
from safety.model import Finding, Report
from tests.unsafe_answers.shops import answers, sheet, write_shop
from tests.unsafe_answers.test_defaults import COAT, HEPTANE, SHOP

TWO = """\
[job]
id = "two"
title = "Wash, then prime"
place = "shed"
start = 2026-11-25T09:00:00
crew = 1
surface = "oak"

[[step]]
name = "Wash"
duration = "60 min"

[[step.use]]
product = "thin"
work = "wipe"
amount = "{first}"
area = "2 m^2"

[[step]]
name = "Pause"
duration = "60 min"
people = "away"

[[step]]
name = "Prime"
duration = "30 min"

[[step.use]]
product = "coat"
work = "brush"
amount = "{second}"
area = "2 m^2"
"""


def done(folder: Path, first: str, second: str) -> Report:
    products = {"thin": HEPTANE, "coat": COAT.format(coats="coats = { any = 1 }\n")}
    return sheet(write_shop(folder, SHOP, products, {"two": TWO.format(first=first, second=second)}), "two")


def only(report: Report, key: str) -> Finding:
    (found,) = [f for f in report.findings if f.key == key]
    return found


def figure(finding: Finding, name: str) -> float:
    return next(f.value for f in finding.figures if f.name.startswith(name))


def test_others_stay_out_from_the_vapour_nobody_knows_on(tmp_path: Path) -> None:
    """ "Keep others out 09:00 to ..." became "from 11:02" when the amount of 09:00 became "unknown"."""
    known, unknown = done(tmp_path / "known", "120 mL", "250 mL"), done(tmp_path / "unknown", "unknown", "250 mL")
    before, after = (only(r, "air-bystanders") for r in (known, unknown))
    assert before.level == after.level == "control"
    assert figure(before, "others out from") < 3600  # while the first step goes on
    assert figure(after, "others out from") <= figure(before, "others out from")
    assert "from 09:00" in after.statement
    assert "after that as long as the rest is not known" in after.statement
    assert "until when is not known" in after.short


def test_no_flame_is_lit_by_the_clock_over_vapour_nobody_knows(tmp_path: Path) -> None:
    """With the last amount unknown the step said "from 11:00 to 11:35": when it ends, and the vapour with it."""
    known, unknown = done(tmp_path / "known", "10 mL", "1 L"), done(tmp_path / "unknown", "10 mL", "unknown")
    (before,), (after,) = ([f for f in answers(r, "fire", 2) if f.key == "fire-zone"] for r in (known, unknown))
    assert "until the air has been measured" not in before.statement
    assert "until the air has been measured" in after.statement
    assert "until when is not known" in after.short


BLEND = """\
[product]
id = "thin"
name = "Blend"
role = "cleaner"
density = "0.8 g/mL"
flash_point = "-4 degC"
boiling_point = "80 degC"
hazards = ["H225", "H336"]

[[product.part]]
cas = "142-82-5"
weight = ["60 %", "90 %"]

[[product.part]]
cas = "67-64-1"
weight = ["5 %", "30 %"]

[[product.part]]
cas = "67-63-0"
weight = {share}
"""


def test_a_share_that_may_be_anything_takes_nothing_from_the_other_vapours(tmp_path: Path) -> None:
    """It took room from all others: the level of acetone fell to 71 % of what it was, that of heptane to 91 %."""

    def levels(name: str, share: str) -> dict[str, float]:
        job = TWO.format(first="300 mL", second="1 mL")
        products = {"thin": BLEND.format(share=share), "coat": COAT.format(coats="coats = { any = 1 }\n")}
        report = sheet(write_shop(tmp_path / name, SHOP, products, {"two": job}), "two")
        peaks = p95(report.exposure.worker.peak)
        return {s.cas: float(peaks[i]) for i, s in enumerate(report.exposure.substances)}

    narrow, wide = levels("narrow", '"5 %"'), levels("wide", '["0 %", "100 %"]')
    assert wide["67-64-1"] >= narrow["67-64-1"] * 0.99
    # over an ideal mixture the pressure of one part falls with what lies beside it: that is no matter of the share
    assert wide["142-82-5"] >= narrow["142-82-5"] * 0.95
    assert np.isfinite(list(wide.values())).all()
