"""The chart: a scale on which everything can be read, limits and steps by name."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import datetime
from itertools import pairwise

import pytest
from pypdf import PdfReader
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from safety.model import Curve, Report, Segment
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


@pytest.mark.parametrize("start", [datetime(2026, 3, 2, 7, 30), datetime(2026, 3, 2, 19, 40, 20)])
@pytest.mark.parametrize("hours", [0.2, 2.0, 10.5, 17.0, 30.0, 90.0])
def test_labels_of_the_clock_stand_apart(report: Report, start: datetime, hours: float) -> None:
    """Read back from paper: a label after midnight is twice as wide."""
    end = hours * 3600
    fifths = tuple(Segment(i, "work", end * i / 5, end * (i + 1) / 5, "work") for i in range(5))
    stretched = replace(
        report, job=replace(report.job, start=start), timeline=replace(report.timeline, segments=fifths, end=end)
    )
    block = replace(CHART, times=(0.0, end), curves=(Curve("at the hands", (1.0, 0.0), (1.0, 0.0)),))
    found = labels(charts.Plot(stretched, block, 540.0))
    assert 2 <= len(found) <= 12
    assert all(after > last + 4 for (_, last), (after, _) in pairwise(found))


def labels(chart: Flowable) -> list[tuple[float, float]]:
    """Where the clock times under a chart begin and end, from left to right."""
    layout.fonts()
    buffer = io.BytesIO()
    canvas = Canvas(buffer, invariant=1)
    chart.drawOn(canvas, 36, 200)
    canvas.save()
    found = []

    def note(text, cm, tm, font, size):  # type: ignore[no-untyped-def]
        assert len(re.findall(r"\d\d:\d\d", text)) <= 1, text  # those that touch are read as one
        if re.fullmatch(r"(\+\d+ d )?\d\d:\d\d", text.strip()):
            x = tm[4] * cm[0] + cm[4]
            found.append((x, x + stringWidth(text.strip(), layout.FONT, layout.SMALL)))

    PdfReader(buffer).pages[0].extract_text(visitor_text=note)
    return sorted(found)


def test_a_label_that_would_leave_the_paper_is_left_out() -> None:
    start = datetime(2026, 3, 2, 8, 0)
    assert [x for _, x in charts.clock_ticks(start, 7200.0, 100.0)] == ["08:00", "09:00", ""]
    assert [x for _, x in charts.clock_ticks(start, 7200.0, 100.0, 20.0)] == ["08:00", "09:00", "10:00"]


def test_a_chart_of_nothing_can_be_drawn(report: Report) -> None:
    empty = replace(CHART, curves=(Curve("none", (0.0,) * len(CHART.times), (0.0,) * len(CHART.times)),), levels=())
    assert CHART.title in "".join(pages(replace(report, blocks=(empty,))))


def test_black_and_white_print_keeps_every_line() -> None:
    # relative luminance (ITU-R BT.709); a copier's threshold at half turns what is darker black
    def luminance(colour: object) -> float:
        return 0.2126 * colour.red + 0.7152 * colour.green + 0.0722 * colour.blue  # type: ignore[attr-defined, no-any-return]

    assert all(luminance(colour) < 0.45 for colour in (layout.GREY, layout.RULE, RED))
    assert luminance(layout.PALE) > 0.9
