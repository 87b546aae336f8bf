"""A data sheet's file to words with their places: a PDF with a text layer, or a plain text."""

from __future__ import annotations

from pathlib import Path

from safety.datasheet.page import Source
from safety.datasheet.refused import Refused
from safety.words import say

LARGEST = 60_000_000  # bytes


def read(path: Path) -> Source:
    """The pages of a PDF or a plain text. Raises Refused where there is no text to trust."""
    with path.open("rb") as stream:
        raw = stream.read(LARGEST + 1)
    if len(raw) > LARGEST:
        raise Refused(say("it is larger than 60 MB, and a data sheet is not; save the sheet alone as a file"))
    if not raw.strip():
        raise Refused(say("the file is empty"))
    if b"%PDF-" not in raw[:1024]:
        from safety.datasheet.plain import read_plain

        return read_plain(raw)
    from safety.datasheet.pdf import read_pdf

    return read_pdf(raw)
