"""The page for the office before every log.

Before it, page 1 of a log listed what is not known once for each month and each record, limits stood on page 3, and a
total from which something was missing could stand beside "within" further on.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from io import BytesIO

import pypdfium2
import pytest
from reportlab.pdfgen.canvas import Canvas

from safety.hosting.answers import Unsound, check
from safety.logbook import each_once
from safety.model import LeavesBy, Lines, LogReport, OpenPoint, Period, Place, Shop, Tally, TallyLimit
from safety.render import log_pdf, log_records, log_text
from safety.render.office import arrange_office, state_of
from safety.render.office_pdf import draw_bar

CAP = TallyLimit("Kiln permit, dust", "month", 3.0, 10.0)


def report(*roles: object, points: tuple[OpenPoint, ...] = (), units: str = "si") -> LogReport:
    """A log with one block of a plugin nobody knows."""
    places: dict[str, Place] = {}
    block = Lines("Dust", ("A line.",), "stranger-dust", roles=roles)  # type: ignore[arg-type]
    shop = Shop("Made-up kiln", units, places, {})  # type: ignore[arg-type]
    return LogReport(shop, Period("2026-11", "2026-11"), (), 0, (), {}, None, (), (block,), (), points, (), "0")


def first_page(log: LogReport) -> str:
    return str(pypdfium2.PdfDocument(log_pdf.log(log))[0].get_textpage().get_text_bounded())


@pytest.mark.parametrize(
    ("changes", "state"),
    [
        ({"amount": 10.0}, "over"),
        ({"amount": 10.0, "compare": "over"}, "near"),
        ({"amount": 10.1, "compare": "over"}, "over"),
        ({"amount": 8.0}, "near"),
        ({"amount": 3.0, "ahead": 7.0}, "near"),
        ({"amount": 0.0, "whole": False}, "not all counted"),
        ({"amount": 3.0, "whole": False}, "not all counted"),
        ({"amount": 3.0, "ahead_whole": False}, "not all counted"),
        ({"amount": 12.0, "whole": False}, "over"),
        ({"amount": 0.1, "limit": 0.0}, "over"),
        ({}, "within"),
    ],
)
def test_what_is_not_all_counted_is_never_within(changes: dict[str, object], state: str) -> None:
    assert state_of(replace(CAP, **changes)) == state  # type: ignore[arg-type]


def test_the_limit_of_a_plugin_nobody_knows_stands_on_it_in_every_form() -> None:
    """By its role: the page would else know the limits of our own plugins by name, and no others."""
    log = report(replace(CAP, amount=12.0), Tally("other", "period", 12.0, name="Dust"))
    assert "Kiln permit, dust" in first_page(log)
    assert "over" in first_page(log)
    assert "over: Kiln permit, dust" in log_text.log(log)
    told = log_records.log(log)["office"]
    assert [(one["name"], one["state"]) for one in told["limits"]] == [("Kiln permit, dust", "over")]
    assert "Kiln permit, dust" not in log_text.table(log).decode()


def test_it_is_one_page_whatever_there_is_to_say_and_the_gravest_stands_on_it() -> None:
    caps = [
        replace(CAP, name=f"Permit {i} " + 8 * "long ", amount=float(i % 30) / 3, whole=i % 2 == 0) for i in range(60)
    ]
    caps.append(replace(CAP, name="The one that is over", amount=11.0))
    lots = [LeavesBy(f"lot {i}", date(2026, 12, 1 + i % 28), "waste " * 9) for i in range(50)]
    lots.append(LeavesBy("the oldest drum", date(2026, 1, 1), "90 days"))
    points = tuple(OpenPoint(f"Nobody knows what {i} is. " * 4, "maker", "", str(i)) for i in range(80))
    log = report(*caps, *lots, points=points)
    page = first_page(log)
    for words in ("The one that is over", "the oldest drum", "more, behind this page", "Signature", "Page 1 of"):
        assert words in page
    assert "Solvent and waste log" in str(pypdfium2.PdfDocument(log_pdf.log(log))[1].get_textpage().get_text_bounded())


def test_what_is_not_known_is_said_once_with_its_count() -> None:
    """The same product without a density was a line for each month and each record."""
    months = [
        OpenPoint(f"Thinner: records without a known mass: {n}.", "files", "no mass", "thinner", n) for n in (1, 4, 2)
    ]
    other = OpenPoint("Primer: records without a known mass: 1.", "recorder", "no mass", "primer")
    assert each_once([*months, other, other]) == (months[1], other)
    office = arrange_office(report(points=(months[1], other)), "November 2026")
    assert [one.text for one in office.open if one.text in (months[1].text, other.text)] == [other.text, months[1].text]


def test_what_nobody_counts_is_not_left_out() -> None:
    """A shop without a pack on solvent had no line on VOC at all, which reads like nothing used."""
    page = log_text.log(report())
    assert "not counted" in page
    assert "VOC: no rule that is loaded says what counts." in page
    assert "No limit, permit or threshold is loaded" in page


@pytest.mark.parametrize(
    "role",
    [
        TallyLimit("", "month", 1.0, 2.0),
        TallyLimit("Permit", "month", 1.0, -2.0),
        TallyLimit("Permit", "month", float("nan"), 2.0),
        TallyLimit("Permit", "week", 1.0, 2.0),  # type: ignore[arg-type]
        Tally("other", "period", 1.0),
        OpenPoint("", "maker"),
        OpenPoint("What is it?", "somebody"),  # type: ignore[arg-type]
    ],
)
def test_a_role_that_cannot_be_is_not_taken(role: object) -> None:
    with pytest.raises(Unsound):
        check("log_blocks", [Lines("Dust", (), roles=(role,))])  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("amount", "ahead", "full"), [(5.0, 0.0, 0.4), (5.0, 2.5, 0.4), (30.0, 0.0, 1.0), (0.0, 0.0, 0.0)]
)
def test_a_bar_is_full_up_to_what_is_used_in_one_bit(amount: float, ahead: float, full: float) -> None:
    """200 pt long, its limit at four fifths of that; what is planned is striped, so neither full nor empty."""
    bar = arrange_office(report(replace(CAP, amount=amount, ahead=ahead)), "November 2026").bars[0]
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=(240, 40))
    draw_bar(canvas, bar, 20, 16, 200, 8)
    canvas.save()
    dark = pypdfium2.PdfDocument(buffer.getvalue())[0].render(scale=4, grayscale=True).to_numpy() < 128
    inside = dark[4 * 17 : 4 * 23, 4 * 20 : 4 * 220].mean(axis=0)
    used, planned = (slice(4, int(800 * share)) for share in (full, full + ahead / 12.5))
    if full:
        assert (inside[used] > 0.95).mean() >= (0.9 if amount > CAP.limit else 1.0)
    if ahead:
        assert 0.2 < inside[used.stop + 4 : planned.stop - 4].mean() < 0.8
    if full < 1:
        assert inside[planned.stop + 8 : 620].mean() < 0.05
