"""A draft of a product beside the data sheet it was read from: each value ticked by a person before it counts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from markupsafe import Markup, escape

from safety.datasheet.confirming import confirmed
from safety.datasheet.picture import drawn
from safety.datasheet.refused import Refused as NotDrawn
from safety.datasheet.sources import Said, sheet_of, sources
from safety.files.toml import LARGEST_FILE, files_in, open_document
from safety.problems import Problems
from safety.render import text_safe
from safety.serve import forms
from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.screens.shown import shown
from safety.words import say

_SHEETS = "data-sheets"
#: Not read from the sheet: made by the program, or written by a person.
_OWN = ("draft", "id", "role", "purpose", "reactivity")


@dataclass(frozen=True, slots=True)
class Opened:
    """A draft and its data sheet, where that is in the shop."""

    path: Path
    text: str
    sheet: Path | None
    said: tuple[Said, ...]


def show(desk: Desk, asked: Asked) -> Answer:
    return _page(desk, asked, _open(desk, asked))


def confirm(desk: Desk, asked: Asked) -> Answer:
    """Put the name of the session under the draft: every value is ticked, and the file still is what was read."""
    one = _open(desk, asked)
    if asked.get("read") != forms.hashed(one.text):
        notice = say("Somebody has changed this file since you opened it. Compare it once more.")
        return _page(desk, asked, one, notice, 409)
    if not all(asked.get(f"t-{at}") for at in range(len(one.said))):
        return _page(desk, asked, one, say("Tick every value that you have compared."), 400)
    day = desk.local(asked.now).date()
    try:
        after = confirmed(one.path, one.path.read_bytes(), asked.session.person, day).decode("utf-8")
    except Problems as mistakes:
        return _page(desk, asked, one, "; ".join(map(desk.shown, mistakes.problems)), 409)
    if not forms.write(one.path, one.text, after):
        raise Refused(409, say("Somebody has changed this file meanwhile. Nothing was kept. Open the page again."))
    name = one.path.relative_to(desk.folder).as_posix()
    desk.audit(asked, "confirmed", name, forms.hashed(one.text), forms.hashed(after))
    return Answer(to="/review")


def picture(desk: Desk, asked: Asked) -> Answer:
    """A page of the data sheet, the words of the draft marked on it."""
    one, number = _open(desk, asked), asked.path["number"]
    words = [said.words for said in one.said if str(said.page) == number]
    if one.sheet is None or one.sheet.suffix.lower() != ".pdf" or not words:
        raise Refused(404, say("There is no such page here."))
    try:
        return Answer(drawn(one.sheet, int(number), list(dict.fromkeys(words))), kind="image/png")
    except NotDrawn as refused:
        raise Refused(409, str(refused)) from None


def _page(desk: Desk, asked: Asked, one: Opened, notice: str = "", status: int = 200) -> Answer:
    pdf = one.sheet is not None and one.sheet.suffix.lower() == ".pdf"
    address = f"/draft/{quote(asked.path['product'])}"
    return shown(
        desk,
        asked,
        "draft.html",
        title=say("Draft: {product}", product=asked.path["product"]),
        status=status,
        here="review",
        back=("/review", say("Review")),
        notice=notice,
        read=forms.hashed(one.text),
        address=address,
        form=f"/files/products/{quote(one.path.stem)}/product",
        said=one.said,
        ticked={at for at in range(len(one.said)) if asked.get(f"t-{at}")},
        sheet=one.sheet.name if one.sheet else "",
        pages=sorted({said.page for said in one.said if said.page}) if pdf else [],
        letters=_marked(one) if one.sheet and not pdf else "",
    )


def _open(desk: Desk, asked: Asked) -> Opened:
    """The draft of a product of the shop. An address names a product that is there and is a draft."""
    for path in files_in(desk.folder / "products"):
        try:
            table = open_document(path).data.get("product")
        except Problems:
            continue
        if isinstance(table, dict) and table.get("id") == asked.path["product"] and table.get("draft") is True:
            text = forms.read(path)
            said = tuple(one for one in sources(text) if one.key not in _OWN)
            return Opened(path, text, _sheet(desk, text), said)
    raise Refused(404, say("There is no such draft."))


def _sheet(desk: Desk, text: str) -> Path | None:
    """The data sheet among those in the shop; a link that leads out of it is none."""
    folder, inside = desk.folder / _SHEETS, desk.folder.resolve()
    there = {path.name: path for path in _listed(folder) if path.resolve().is_relative_to(inside) and path.is_file()}
    return there.get(sheet_of(text, there))


def _listed(folder: Path) -> Iterator[Path]:
    if folder.is_dir():
        yield from sorted(folder.iterdir())


def _marked(one: Opened) -> Markup:
    """A data sheet that is plain text, the words of the draft marked in it."""
    assert one.sheet is not None
    with one.sheet.open("rb") as stream:
        lines = stream.read(LARGEST_FILE).decode("utf-8", "replace").splitlines()
    text = "\n".join(str(escape(text_safe(line))) for line in lines)
    for words in sorted({said.words for said in one.said if said.words}, key=len, reverse=True):
        for cell in words.split(" | "):
            plain = str(escape(cell))
            text = text.replace(plain, f"<mark>{plain}</mark>", 1) if f"<mark>{plain}" not in text else text
    return Markup(text)
