"""Codes on paper: what an independent reader finds in the picture of one, and that nothing but the thing decides it."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pypdfium2
import pytest
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from safety.paper_codes import PaperCode, letters, of_container, of_lot, of_step
from safety.render import qr
from safety.render.layout import fonts
from safety.words import speaking, speech

zxingcpp = pytest.importorskip("zxingcpp", reason="an environment from before it was used: pip install -e '.[dev]'")

PAGES = "http://shop-pc.local:8420"
LONGEST = "https://" + "a" * 47 + ":8420"  # as long as shop.toml takes
DPI = 100


def drawn(code: PaperCode, pages: str, size: float = qr.SIZE) -> bytes:
    fonts()
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=(200, 200), invariant=1)
    qr.draw(canvas, code, pages, 71.3, 60.7, size)
    canvas.save()
    return buffer.getvalue()


def read(page: bytes, one_bit: bool = False, dpi: int = DPI) -> list[str]:
    """What stands in the codes of the first page, copied at 100 dots an inch."""
    picture = pypdfium2.PdfDocument(page)[0].render(scale=dpi / 72, grayscale=True).to_numpy()
    if one_bit:
        picture = np.where(picture < 128, 0, 255).astype(np.uint8)
    return [found.text for found in zxingcpp.read_barcodes(np.ascontiguousarray(picture))]


CODES = {
    "step": of_step("boot-replacement", "Prime the shoe", 6),
    "longest step": of_step("a" * 60, "Prime", 100),
    "lot": of_lot("bond-primer", "P-2511/07"),
    "lot in other letters": of_lot("bond-primer", "Charge 12 für Öl 日本"),
    "longest lot": of_lot("a" * 60, "7" * 200),
    "container": of_container("rags-1"),
}


@pytest.mark.parametrize("one_bit", [False, True], ids=["grey", "one bit"])
@pytest.mark.parametrize("pages", ["", PAGES, LONGEST], ids=["words", "address", "longest address"])
@pytest.mark.parametrize("code", CODES.values(), ids=list(CODES))
def test_another_program_reads_it_from_a_copy(code: PaperCode, pages: str, one_bit: bool) -> None:
    assert read(drawn(code, pages), one_bit) == [code.content(pages)]


def test_it_says_what_it_stands_for_where_there_are_no_pages() -> None:
    assert CODES["step"].content("") == "STEP boot-replacement 6"
    assert CODES["lot"].content("") == "LOT bond-primer P-2511/07"
    assert CODES["container"].content("") == "CONTAINER rags-1"
    assert CODES["longest lot"].content("") == f"LOT {CODES['longest lot'].letters}"


def test_it_opens_the_pages_of_the_shop_where_there_are_some() -> None:
    code = CODES["step"]
    assert code.content(PAGES) == f"HTTP://SHOP-PC.LOCAL:8420/C/{code.letters}"


def test_it_is_the_same_every_time_and_in_every_language() -> None:
    """As it was printed once: a change of the code would make every label in the shop a stranger's."""
    codes = CODES["step"].letters, CODES["lot"].letters, CODES["container"].letters
    assert codes == ("9QSPGL9H", "86MW9Y2P", "N6GZ9XV6")
    with speaking(speech("es")):
        assert of_step("boot-replacement", "Prime the shoe", 6).letters == CODES["step"].letters
    assert drawn(CODES["lot"], PAGES) == drawn(CODES["lot"], PAGES)


def test_a_step_put_in_before_it_does_not_change_whose_it_is() -> None:
    """By its number, the code on yesterday's paper would open whatever step now has that number."""
    assert of_step("job", "Prime", 6).letters == of_step("job", "Prime", 7).letters
    assert of_step("job", "Prime", 6).letters != of_step("job", "Wipe", 6).letters


def test_no_two_things_share_a_code() -> None:
    things = [("step", "a", "b"), ("lot", "a", "b"), ("lot", "a b", ""), ("lot", "", "a b"), ("container", "a")]
    things += [("lot", f"product-{i % 40}", str(i)) for i in range(10_000)]
    codes = [letters(*thing) for thing in things]  # type: ignore[arg-type]
    assert len(set(codes)) == len(codes)
    assert not set("01IO") & set("".join(codes))
    assert {len(code) for code in codes} == {8}


def test_four_modules_of_white_stand_around_it() -> None:
    """ISO/IEC 18004:2015, 6.3.8: a quiet zone of four modules."""
    size = 25 * mm
    picture = pypdfium2.PdfDocument(drawn(CODES["step"], PAGES, size))[0].render(scale=10, grayscale=True).to_numpy()
    dark = picture < 128
    code = dark[: 2000 - round(10 * (60.7 + qr.LETTERS)), :]
    rows, columns = np.flatnonzero(code.any(axis=1)), np.flatnonzero(code.any(axis=0))
    white = 4 * size / (29 + 8)  # version 3 has 29 modules
    assert columns[0] / 10 - 71.3 == pytest.approx(white, abs=0.15)
    assert 71.3 + size - (columns[-1] + 1) / 10 == pytest.approx(white, abs=0.15)
    assert rows[0] / 10 - (200 - 60.7 - qr.LETTERS - size) == pytest.approx(white, abs=0.15)
