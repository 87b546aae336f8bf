"""Files that are no text, not for the eye, damaged or hostile: refused in one sentence, or read as a person sees them."""

from __future__ import annotations

import zlib
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DecodedStreamObject, NameObject
from reportlab.lib.pagesizes import A4
from reportlab.pdfgen.canvas import Canvas

from safety.datasheet.refused import Refused
from tests.datasheet.invented import PANEL, layout, pdf
from tests.datasheet.scored import read

SOUND = pdf(PANEL, layout("plain"))


def drawn(*pages: Callable[[Canvas], None]) -> bytes:
    data = BytesIO()
    canvas = Canvas(data, pagesize=A4)
    for page in pages:
        page(canvas)
        canvas.showPage()
    canvas.save()
    return data.getvalue()


def written(writer: PdfWriter) -> bytes:
    data = BytesIO()
    writer.write(data)
    return data.getvalue()


def over(draw: Callable[[Canvas], None]) -> bytes:
    """The sound sheet with something drawn over each page."""
    writer = PdfWriter(clone_from=BytesIO(SOUND))
    for page in writer.pages:
        page.merge_page(PdfReader(BytesIO(drawn(draw))).pages[0])
    return written(writer)


def white(canvas: Canvas) -> None:
    canvas.setFillColorRGB(1, 1, 1)
    for y in range(0, 800, 12):
        canvas.drawString(200, y, "H350 H340 CAS 71-43-2 50 % flash point 90 °C")


def tiny(canvas: Canvas) -> None:
    canvas.setFont("Helvetica", 1)
    for y in range(0, 800, 12):
        canvas.drawString(200, y, "H350 H340 CAS 71-43-2 50 %")


def unseen(canvas: Canvas) -> None:
    text = canvas.beginText(200, 400)
    text.setTextRenderMode(3)
    text.textLine("H350 flash point 99 °C")
    canvas.drawText(text)


def stamp(canvas: Canvas) -> None:
    canvas.setFont("Helvetica", 50)
    canvas.setFillGray(0.9)
    canvas.drawString(80, 420, "DRAFT COPY")


def aslant(canvas: Canvas) -> None:
    canvas.translate(300, 400)
    canvas.rotate(45)
    canvas.setFont("Helvetica", 60)
    canvas.drawCentredString(0, 0, "UNCONTROLLED COPY H350")


@pytest.mark.parametrize("draw", [white, tiny, unseen, stamp, aslant])
def test_what_nobody_reads_is_not_read(tmp_path: Path, draw: Callable[[Canvas], None]) -> None:
    (draft,) = read(tmp_path, over(draw))
    assert draft.values["hazards"].written == PANEL.expect["hazards"]
    assert draft.values["flash_point"].written == "-8 degC"
    assert [part.cas for part in draft.parts] == [part.cas for part in PANEL.parts]


def test_text_recognition_under_a_picture_is_told(tmp_path: Path) -> None:
    writer = PdfWriter(clone_from=BytesIO(SOUND))
    for page in writer.pages:
        stream = DecodedStreamObject()
        stream.set_data(page.get_contents().get_data().replace(b"BT ", b"BT 3 Tr "))  # type: ignore[union-attr]
        page[NameObject("/Contents")] = writer._add_object(stream)
    (draft,) = read(tmp_path, written(writer))
    assert any("text recognition" in sentence for sentence in draft.warnings)


def picture(canvas: Canvas) -> None:
    canvas.rect(0, 0, 600, 842, fill=1)


def no_map() -> bytes:
    """Signs that stand for glyph numbers, as a subset font without a map has them."""
    line = bytes(range(1, 9)) + bytes(range(14, 32)) + b"ABC"
    content = (
        b"BT /F1 9 Tf 40 780 Td " + b"".join(b"<" + line.hex().encode() + b"> Tj 0 -12 Td " for _ in range(60)) + b"ET"
    )
    return one_page(b"<< /Length %d >>\nstream\n" % len(content) + content + b"\nendstream")


def locked() -> bytes:
    writer = PdfWriter(clone_from=BytesIO(SOUND))
    writer.encrypt("open", "own", algorithm="RC4-128")
    return written(writer)


def bomb() -> bytes:
    """A page of a hundred million signs in a file of a few kB."""
    pack = zlib.compressobj(9)
    content = (
        b"".join(pack.compress(b"BT /F1 12 Tf 50 700 Td (flash) Tj ET " * 10_000) for _ in range(30)) + pack.flush()
    )
    return one_page(b"<< /Length %d /Filter /FlateDecode >>\nstream\n" % len(content) + content + b"\nendstream")


def one_page(content: bytes) -> bytes:
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 600 800] /Contents 4 0 R /Resources << /Font << /F1 5 0 R >> >> >>",
        content,
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
    ]
    data, places = b"%PDF-1.4\n", []
    for number, one in enumerate(objects, 1):
        places.append(len(data))
        data += b"%d 0 obj\n" % number + one + b"\nendobj\n"
    table = len(data)
    data += b"xref\n0 6\n0000000000 65535 f \n" + b"".join(b"%010d 00000 n \n" % place for place in places)
    return data + b"trailer << /Size 6 /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % table


def long(canvas: Canvas) -> None:
    canvas.drawString(40, 800, "SECTION 1: Identification")


LOOP = b"%PDF-1.4\n1 0 obj << /Type /Catalog /Pages 2 0 R >> endobj\n2 0 obj << /Type /Pages /Kids [2 0 R 2 0 R] /Count 2 >> endobj\ntrailer << /Root 1 0 R >>\n%%EOF"


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (lambda: drawn(picture, picture), "picture"),
        (lambda: drawn(lambda c: (picture(c), c.drawString(40, 20, "Scanned 2024-01-02"))), "picture"),  # type: ignore[func-returns-value]
        (no_map, "character map"),
        (locked, "password"),
        (lambda: SOUND[: len(SOUND) // 2], "cut off"),
        (lambda: SOUND[:-40], "cut off"),
        (lambda: b"%PDF-1.7 nothing", "damaged"),
        (lambda: LOOP, "damaged"),
        (lambda: drawn(*[long] * 500), "500 pages"),
        (lambda: b"", "empty"),
        (lambda: b"\x00\x01\x02" * 100, "neither a PDF nor plain text"),
        (lambda: b"An invoice.\nTwo drums of thinner, 90.00\n" * 20, "no safety data sheet"),
        (lambda: b"a" * 2_000_000, "far more text"),
        (bomb, ""),
    ],
)  # fmt: skip
def test_refused_in_one_sentence(tmp_path: Path, data: Callable[[], bytes], says: str) -> None:
    with pytest.raises(Refused) as refused:
        read(tmp_path, data())
    assert says in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_password_of_the_owner_alone_lets_everybody_read(tmp_path: Path) -> None:
    writer = PdfWriter(clone_from=BytesIO(SOUND))
    writer.encrypt("", "own", algorithm="RC4-128")
    (draft,) = read(tmp_path, written(writer))
    assert draft.values["flash_point"].written == "-8 degC"


HEADS = "SECTION 1: Identification\nProduct name: X\nSECTION 2: Hazards identification\n{}\nSECTION 3: Composition/information on ingredients\n{}\nSECTION 4: First aid measures\nx\nSECTION 9: Physical and chemical properties\n{}\n"


@pytest.mark.parametrize(
    "text",
    [
        HEADS.format("not " * 3000 + "H225" + "-225" * 800, "9" * 800 + "-" + "9" * 800, "Flash point: " + "1 " * 3000),
        HEADS.format(
            "H225",
            "(" * 1000 + "cas " * 800,
            "Density: " + "1." * 3000 + "\nBoiling point: " + "-" * 3000 + " °C\nVOC: " + "9 999 " * 800,
        ),
    ],
)
def test_no_text_takes_long(tmp_path: Path, text: str) -> None:
    from time import process_time

    began = process_time()
    read(tmp_path, text.encode(), "sheet.txt")
    assert process_time() - began < 10
