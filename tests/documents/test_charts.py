"""The chart: a scale on which everything can be read, limits and steps by name."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from safety.model import Curve, Report
from safety.render import charts, layout
from safety.render.signs import RED

from .conftest import CHART
from .test_pdf import pages


@pytest.mark.parametrize(
    ("levels", "logarithmic"),
    [((200.0,), False), ((200.0, 50.0), False), ((200.0, 2.0), True), ((50_000.0,), True)],
)
def test_scale_holds_everything(levels: tuple[float, ...], logarithmic: bool) -> None:
    scale = charts._scale(replace(CHART, levels=tuple((f"limit {x}", x) for x in levels)), 100.0)
    assert scale.logarithmic is logarithmic
    values = [*levels, *(max(curve.high) for curve in CHART.curves)]
    heights = [scale.at(value) for value in values]
    assert all(0 < height < 100 for height in heights)
    assert sorted(zip(values, heights, strict=True)) == sorted(zip(sorted(values), sorted(heights), strict=True))
    assert 2 <= len(scale.ticks()) <= 8
    assert all(0 <= scale.at(tick) <= 100 for tick in scale.ticks())


def test_decades_are_evenly_spaced() -> None:
    scale = charts._scale(replace(CHART, levels=(("high", 20_000.0),)), 100.0)
    heights = [scale.at(tick) for tick in scale.ticks()]
    steps = [b - a for a, b in pairwise(heights)]
    assert steps == pytest.approx([steps[0]] * len(steps))


def test_limits_curves_and_steps_are_named(report: Report) -> None:
    page = next(text for text in pages(report) if CHART.title in text)
    for name, level in CHART.levels:
        assert f"{name}: {level:.0f} ppm" in page
    for curve in CHART.curves:
        assert curve.name in page
    assert "2 Wipe the roller twice" in page


def test_a_chart_of_nothing_can_be_drawn(report: Report) -> None:
    empty = replace(CHART, curves=(Curve("none", (0.0,) * len(CHART.times), (0.0,) * len(CHART.times)),), levels=())
    assert CHART.title in "".join(pages(replace(report, blocks=(empty,))))


def test_black_and_white_print_keeps_every_line() -> None:
    # relative luminance (ITU-R BT.709); a copier's threshold at half turns what is darker black
    def luminance(colour: object) -> float:
        return 0.2126 * colour.red + 0.7152 * colour.green + 0.0722 * colour.blue  # type: ignore[attr-defined, no-any-return]

    assert all(luminance(colour) < 0.45 for colour in (layout.GREY, layout.RULE, RED))
    assert luminance(layout.PALE) > 0.9
