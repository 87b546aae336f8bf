"""Labels of cans filled from a larger one.

Before there were any, such a can got a strip of tape with a name on it: no hazards, no lot, no date. 29 CFR
1910.1200(f)(6) asks for the product identifier and for words and pictures that tell its hazards.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from click.testing import CliRunner, Result

from safety.cli import label_can, main
from safety.paper_codes import of_lot
from safety.render.label_sheets import SHEETS
from tests.unsafe_answers.shops import write_shop

zxingcpp = pytest.importorskip("zxingcpp", reason="an environment from before it was used: pip install -e '.[dev]'")

SHOP = """\
[shop]
name = "Frame shop"
print_units = "si"
rules = ["us-federal"]
[[place]]
id = "hall"
kind = "room"
volume = "500 m^3"
temperature = "20 degC"
[[place.air]]
state = "fans on"
air_changes = "6 /hour"
air_speed = "0.2 m/s"
basis = "made up for a test"
[[container]]
id = "drum-1"
stream = "spent solvent"
size = "200 L"
kind = "central"
"""

PRODUCT = """\
[product]
id = "{id}"
name = "Frame cleaner {id}"
role = "cleaner"
density = "0.8 g/mL"
{more}
[[product.part]]
cas = "67-63-0"
weight = ["90 %", "100 %"]
"""


def _run(*arguments: str) -> Result:
    return CliRunner().invoke(main, [*arguments], catch_exceptions=False)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shop of all these tests, with two lots of one product."""
    told = 'hazards = ["H225", "H319", "H336"]\nemergency_telephone = "030 23125 199"'
    kinds = {"known": told, "mute": "", "draft": f"{told}\ndraft = true", "harmless": "not_classified = true"}
    products = {id: PRODUCT.format(id=id, more=more) for id, more in kinds.items()}
    folder = write_shop(tmp_path_factory.mktemp("cans") / "shop", SHOP, products, {})
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        for lot, expires in (("L-1", "2099-01-31"), ("L-0", "2020-01-31")):
            done = _run("record", "receive", "known", "20 L", "--lot", lot, "--expires", expires, "--who", "Kim")
            assert done.exit_code == 0, done.output
    return folder


@pytest.fixture
def run(shop: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Result]:
    monkeypatch.chdir(shop)
    Path("can.pdf").unlink(missing_ok=True)
    return _run


def test_a_can_is_told_by_its_name_its_hazards_and_its_lot(run: Callable[..., Result]) -> None:
    done = run(
        "label",
        "known",
        "--can",
        "--lot",
        "L-1",
        "--pdf",
        "can.pdf",
        "--sheet",
        "99x68mm-4x2",
        "--start-at",
        "3",
        "--count",
        "2",
    )
    assert done.exit_code == 0, done.output
    for words in (
        "Frame cleaner known",
        "Danger",
        "Highly flammable liquid and vapour.",
        "GHS02",
        "GHS07",
        "Lot: L-1. Expires: 2099-01-31",
        "030 23125 199",
    ):
        assert words in done.stdout
    page = pypdfium2.PdfDocument(Path("can.pdf"))[0]
    picture = np.ascontiguousarray(page.render(scale=100 / 72, grayscale=True).to_numpy())
    codes = zxingcpp.read_barcodes(picture)
    assert [found.text for found in codes] == [of_lot("known", "L-1").content("")] * 2
    corners = sorted((round(one.position.top_left.x), round(one.position.top_left.y)) for one in codes)
    left, right = corners
    assert left[1] == pytest.approx(right[1], abs=3)  # places 3 and 4 are one row,
    assert 68 < left[1] / 100 * 25.4 - 13.1 < 2 * 68  # the second
    assert right[0] - left[0] == pytest.approx(101.6 / 25.4 * 100, abs=4)


@pytest.mark.parametrize(
    ("product", "why"),
    [("mute", "nobody knows the hazards"), ("draft", "nobody has confirmed"), ("knwn", "there is no product")],
)
def test_a_can_whose_hazards_nobody_knows_gets_no_label(run: Callable[..., Result], product: str, why: str) -> None:
    done = run("label", product, "--can", "--lot", "L-1", "--pdf", "can.pdf")
    assert (done.exit_code, done.stdout) == (2, "")
    assert why in done.stderr
    assert not Path("can.pdf").exists()


def test_what_is_not_known_stands_on_it(run: Callable[..., Result]) -> None:
    done = run("label", "known", "--can")
    assert done.exit_code == 3
    assert "Lot: UNKNOWN. Expires: UNKNOWN" in done.stdout
    assert "Code" not in done.stdout
    stranger = run("label", "known", "--can", "--lot", "L-9")
    assert stranger.exit_code == 3
    assert "Lot L-9 was never received by the records." in stranger.stdout


def test_a_lot_past_its_date_is_called_so(run: Callable[..., Result]) -> None:
    done = run("label", "known", "--can", "--lot", "L-0")
    assert done.exit_code == 3
    assert "Lot L-0 expired on 2020-01-31: do not use it." in done.stdout


def test_one_that_is_not_classified_says_so(run: Callable[..., Result]) -> None:
    done = run("label", "harmless", "--can", "--format", "text")
    assert "Highly flammable" in done.stdout or "Not classified as hazardous by its data sheet." in done.stdout


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (("known", "--can", "--start-at", "9", "--sheet", "99x68mm-4x2", "--pdf", "can.pdf"), "has 8 places"),
        (("drum-1", "--lot", "L-1"), "--lot"),
        (("drum-1", "--count", "2"), "--count"),
        (("known", "--can", "--month", "2026-11"), "--month"),
    ],
)
def test_what_would_be_left_unheard_is_refused(
    run: Callable[..., Result], arguments: tuple[str, ...], why: str
) -> None:
    done = run("label", *arguments)
    assert (done.exit_code, done.stdout) == (2, "")
    assert why in done.stderr


def test_the_command_and_the_pages_know_the_same_sheets() -> None:
    assert set(label_can.SHEETS) == set(SHEETS)
    for sheet in SHEETS.values():
        for place in (1, sheet.each):
            x, y = sheet.corner(place)
            assert -0.01 <= x <= sheet.page[0] - sheet.width + 0.01
            assert -0.01 <= y <= sheet.page[1] - sheet.height + 0.01
