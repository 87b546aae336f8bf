"""On the page of a day a step is black where it brings an ignition source, and not where it says that it brings none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from reportlab.lib.colors import black
from reportlab.pdfgen.canvas import Canvas

from safety.model import Ignites, Report, with_role
from safety.render.day import arrange_day
from safety.render.day_chart import Clock
from safety.render.layout import fonts
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Sign shop (invented)"
rules = ["us-federal"]

[[place]]
id = "bay"
kind = "hangar"
volume = "3000 m^3"
temperature = "21 degC"

[[place.air]]
state = "doors shut"
air_changes = ["1 /hour", "2 /hour"]
air_speed = ["0.1 m/s", "0.2 m/s"]
basis = "invented"
"""

JOB = """
[job]
id = "sign"
title = "Bend a sign"
place = "bay"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Mark"
duration = "10 min"
ignition_sources = ["none"]

[[step]]
name = "Bend"
duration = "10 min"
ignition_sources = ["heat gun"]

[[step]]
name = "Look at it"
duration = "10 min"
"""


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Report:
    return sheet(write_shop(tmp_path_factory.mktemp("black") / "shop", SHOP, {}, {"sign": JOB}), "sign")


def boxes(report: Report) -> Sequence[bool]:
    """Whether the box of each step is filled black."""
    filled: list[bool] = []

    class Watched(Canvas):  # type: ignore[misc]
        def setFillColor(self, color: object, *args: object, **more: object) -> None:
            self.now = color
            super().setFillColor(color, *args, **more)

        def rect(self, *args: object, stroke: int = 1, fill: int = 0, **more: object) -> None:
            if stroke and fill:
                filled.append(self.now == black)
            super().rect(*args, stroke=stroke, fill=fill, **more)

    fonts()
    chart = Clock(arrange_day([report]).tasks, 500)
    chart.drawOn(Watched("unused.pdf"), 0, 0)
    return filled


def test_a_step_that_says_it_brings_no_ignition_source_is_not_black(report: Report) -> None:
    """It was drawn black: the list held a word, and what the word means was not asked."""
    assert boxes(report) == [False, True, False]
    said = {finding.step: role.source for finding, role in with_role(report.findings, Ignites)}
    assert said == {0: "", 1: "heat gun", 2: ""}


def test_where_nobody_has_looked_all_that_is_named_counts(report: Report) -> None:
    unasked = replace(report, findings=tuple(f for f in report.findings if f.plugin != "ignition"))
    assert boxes(unasked) == [True, True, False]
