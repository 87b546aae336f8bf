"""A PDF's text layer to words. With ``picture`` the only one that imports pypdfium2."""

from __future__ import annotations

import ctypes
import unicodedata
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from math import hypot, pi
from typing import Any, Literal

import pypdfium2 as pdfium
from pypdfium2 import raw as api

from safety.datasheet.page import LEAST_LETTERS, MOST_PAGES, MOST_SIGNS, Page, Source, Word, too_much
from safety.datasheet.refused import Refused
from safety.words import say

_BLANK = frozenset(
    " \t\r\n\f\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000"
)
_NOTHING = frozenset("\u200b\u200c\u200d\u2060\ufeff\u00ad\ufffe\uffff")
#: Signs that some fonts print for a minus, a degree or a comparison.
_SAME = str.maketrans(
    {"\u2212": "-", "\u2010": "-", "\u2011": "-", "\u02da": "°", "\u25e6": "°", "\u2264": "≤", "\u2265": "≥"}
)
#: Accents that some files print as signs of their own.
_ACCENTS = {"¨": "\u0308", "´": "\u0301", "`": "\u0300", "ˆ": "\u0302", "˜": "\u0303", "¸": "\u0327"}
_CUT = "\u0002"  # the engine's word for a hyphen at the end of a line
_UNSEEN = 3  # text render mode: neither filled nor stroked
_SMALLEST = 2.0  # points: what is smaller is not there to be read
_WHITE = 245  # of 255
_TURNED = 0.1  # of a quarter turn
_MOST_OBJECTS = 20_000  # looked at on one page for its lines


@dataclass(slots=True)
class _Sign:
    text: str
    left: float
    right: float
    base: float
    size: float
    unseen: bool


@dataclass(slots=True)
class _Counts:
    """Of the signs of all pages: how far they can be trusted."""

    letters: int = 0
    control: int = 0
    unseen: int = 0
    turned: int = 0
    pictured: int = 0  # pages that a picture covers
    bare: int = 0  # pages of hardly a letter

    def refuse(self, pages: int) -> None:
        if self.control > 0.05 * (self.letters + self.control):
            wrong = say("its fonts have no character map, so the text cannot be read")
            raise Refused(say("{wrong}; ask the maker for another PDF, or type the values in", wrong=wrong))
        if self.letters < LEAST_LETTERS or (self.bare == pages and self.pictured == pages):
            wrong = say("its pages are pictures (a scan) with no text to read")
            raise Refused(say("{wrong}; ask the maker for another PDF, or type the values in", wrong=wrong))

    def remarks(self, pages: int) -> Iterator[str]:
        if self.unseen > 0.5 * self.letters:
            yield say(
                "The words are those of a text recognition under a picture: letters and figures may be misread. "
                "Compare every value with the picture."
            )
        if self.bare:
            yield say(
                "{count} of {all} pages hold no text (pictures?); nothing was read there.", count=self.bare, all=pages
            )
        if self.turned > 0.1 * self.letters:
            yield say("Much of the text is turned and was not read. Look at these pages yourself.")


def read_pdf(raw: bytes) -> Source:
    """The pages of a PDF. Raises Refused where its text cannot be read or trusted."""
    damaged = say("the PDF is damaged or cut off; fetch it again")
    try:
        document = pdfium.PdfDocument(raw)
        count = len(document)
    except pdfium.PdfiumError as error:
        if "assword" in str(error) or "ecurity" in str(error):
            raise Refused(say("it opens only with a password; ask the maker for one without")) from None
        raise Refused(damaged) from None
    if not count or b"%%EOF" not in raw[-2048:]:
        # the engine mends what it can: a half of the sheet would pass as the whole
        raise Refused(damaged)
    if count > MOST_PAGES:
        wrong = say("it has {count} pages, and a data sheet has fewer than {most}", count=count, most=MOST_PAGES)
        raise Refused(say("{wrong}; save the sheet alone as a file", wrong=wrong))
    counts, pages, signs = _Counts(), [], 0
    for index in range(count):
        try:
            page, found = _page(document, index, counts)
        except pdfium.PdfiumError:
            raise Refused(damaged) from None
        signs += found
        if signs > MOST_SIGNS:
            raise too_much()
        pages.append(page)
    counts.refuse(count)
    remarks = list(counts.remarks(count))
    if document.get_formtype():
        remarks.append(say("The PDF has form fields; what is filled in there was not read."))
    return Source(pages, remarks)


def _page(document: Any, index: int, counts: _Counts) -> tuple[Page, int]:
    page = document[index]
    text = page.get_textpage()
    total = text.count_chars()
    if total > MOST_SIGNS:
        raise too_much()
    before = counts.letters
    left, bottom, right, top = page.get_bbox()
    marks = list(_marks(text, total, (left, bottom, right, top), _Ground(page), counts))
    place = _Placed.of(_direction(marks), left, bottom, right, top)
    signs = [place.sign(mark) for mark in marks if isinstance(mark, str) or mark.turn == place.turn]
    counts.turned += len(marks) - len(signs)
    rules, covered = _drawn(page, place, (right - left) * (top - bottom))
    counts.bare += counts.letters - before < LEAST_LETTERS / 4
    counts.pictured += covered
    hidden = sum(s.unseen for s in signs)
    if hidden * 2 < len(signs):  # a few: meant for nobody's eye. All: a text recognition under a picture
        signs = [s for s in signs if not s.unseen]
    text.close()
    page.close()
    return Page(index + 1, _words(signs), rules), total


@dataclass(slots=True)
class _Mark:
    """One sign as the PDF has it, in its own places."""

    text: str
    box: tuple[float, float, float, float]  # left, bottom, right, top
    foot: tuple[float, float]
    size: float
    turn: int  # quarters of a turn, against the clock
    unseen: bool


@dataclass(frozen=True, slots=True)
class _Placed:
    """From the PDF's own places to points from the upper left corner, as a person holds the page to read it."""

    turn: int  # of most of the text, quarters against the clock
    along: int  # which of the PDF's two numbers of a place runs along a line: 0 or 1
    ahead: int  # 1 or -1: which way it grows
    start: float
    down: int  # the same of the other one, down the page
    head: float

    @classmethod
    def of(cls, turn: int, left: float, bottom: float, right: float, top: float) -> _Placed:
        if turn == 1:
            return cls(turn, 1, 1, -bottom, 1, -left)
        if turn == 2:
            return cls(turn, 0, -1, right, 1, -bottom)
        if turn == 3:
            return cls(turn, 1, -1, top, -1, right)
        return cls(turn, 0, 1, -left, -1, top)

    def at(self, place: tuple[float, float]) -> tuple[float, float]:
        return self.ahead * place[self.along] + self.start, self.down * place[1 - self.along] + self.head

    def sign(self, mark: _Mark | str) -> _Sign:
        if isinstance(mark, str):
            return _Sign(" ", 0, 0, 0, 0, False)
        one = self.ahead * mark.box[self.along] + self.start
        other = self.ahead * mark.box[self.along + 2] + self.start
        base = self.down * mark.foot[1 - self.along] + self.head
        if other < one:
            one, other = other, one
        return _Sign(mark.text, one, other, base, mark.size, mark.unseen)


def _direction(marks: list[_Mark | str]) -> int:
    """How most of the text is turned."""
    turns = Counter(mark.turn for mark in marks if isinstance(mark, _Mark))
    return turns.most_common(1)[0][0] if turns else 0


def _marks(
    text: Any, total: int, inside: tuple[float, float, float, float], ground: _Ground, counts: _Counts
) -> Iterator[_Mark | str]:
    """The signs of a page; a blank that the engine put between two of them is a plain string.

    The engine is asked as little as can be: every question of a sign takes as long as all that is done here with it.
    """
    letter_of, object_of, box_of = api.FPDFText_GetUnicode, api.FPDFText_GetTextObject, api.FPDFText_GetLooseCharBox
    address = ctypes.c_void_p.from_buffer
    box = api.FS_RECTF()
    into = ctypes.byref(box)
    left, bottom, right, top = inside[0] - 2, inside[1] - 2, inside[2] + 2, inside[3] + 2
    handle, of, drawn = text.raw, 0, _NOT_DRAWN
    for i in range(total):
        sign = chr(letter_of(handle, i))
        kind = _kind(sign)
        if kind == "nothing" or (kind == "blank" and api.FPDFText_IsGenerated(handle, i)):
            if sign in _BLANK:
                yield " "
            continue
        if kind == "control":
            counts.control += 1
            continue
        thing = object_of(handle, i)
        at = address(thing).value or 0
        if at != of or not at:  # all signs of one object are drawn alike
            of, drawn = at, _drawn_as(handle, i, thing)
        if drawn.size < _SMALLEST:
            continue
        box_of(handle, i, into)
        edges = (box.left, box.bottom, box.right, box.top)
        x, y = (edges[0] + drawn.foot[0], edges[1] + drawn.foot[1]) if drawn.foot else _origin(handle, i)
        if not (left <= x <= right and bottom <= y <= top) or (drawn.pale and not ground.dark(x, y)):
            continue  # off the page, or white on white: nobody reads it
        counts.letters += kind == "letter"
        counts.unseen += drawn.unseen
        yield _Mark("-" if sign == _CUT else sign, edges, (x, y), drawn.size, drawn.turn, drawn.unseen)


@lru_cache(4096)
def _kind(sign: str) -> Literal["letter", "blank", "nothing", "control"]:
    if sign in _NOTHING:
        return "nothing"
    if sign in _BLANK:
        return "blank"
    return "control" if sign != _CUT and unicodedata.category(sign) in ("Cc", "Co") else "letter"


@dataclass(frozen=True, slots=True)
class _Drawn:
    size: float
    turn: int
    unseen: bool
    pale: bool
    #: From the corner of a sign's box to its foot, where all boxes are cut by the font; None where each is its own.
    foot: tuple[float, float] | None = None


_NOT_DRAWN = _Drawn(0.0, 0, False, False)


def _drawn_as(handle: Any, i: int, thing: Any) -> _Drawn:
    matrix = api.FS_MATRIX()
    api.FPDFText_GetMatrix(handle, i, matrix)
    size = api.FPDFText_GetFontSize(handle, i) * hypot(matrix.c, matrix.d)
    unseen = api.FPDFTextObj_GetTextRenderMode(thing) == _UNSEEN
    turn = _quarters(api.FPDFText_GetCharAngle(handle, i))
    return _Drawn(size, turn, unseen, _pale(thing), _foot(handle, i) if thing and turn == 0 else None)


def _foot(handle: Any, i: int) -> tuple[float, float] | None:
    loose, tight = api.FS_RECTF(), [ctypes.c_double() for _ in range(4)]
    api.FPDFText_GetLooseCharBox(handle, i, loose)
    api.FPDFText_GetCharBox(handle, i, *tight)
    _, _, low, high = (edge.value for edge in tight)
    if abs(loose.bottom - low) < 1e-3 and abs(loose.top - high) < 1e-3:
        return None  # the font says nothing of its height, so the box is that of the sign alone
    x, y = _origin(handle, i)
    return x - loose.left, y - loose.bottom


def _origin(handle: Any, i: int) -> tuple[float, float]:
    x, y = ctypes.c_double(), ctypes.c_double()
    api.FPDFText_GetCharOrigin(handle, i, x, y)
    return x.value, y.value


def _pale(thing: Any) -> bool:
    """Whether a thing is filled with white, or with nothing that can be seen."""
    parts = [ctypes.c_uint() for _ in range(4)]
    if not thing or not api.FPDFPageObj_GetFillColor(thing, *parts):
        return False
    red, green, blue, cover = (part.value for part in parts)
    return min(red, green, blue) >= _WHITE or cover < 255 - _WHITE


class _Ground:
    """What lies under the text of a page: looked at only where some of it is white."""

    def __init__(self, page: Any) -> None:
        self._page = page
        self._boxes: list[tuple[float, float, float, float]] | None = None

    def dark(self, x: float, y: float) -> bool:
        if self._boxes is None:
            self._boxes = list(self._filled())
        return any(left <= x <= right and bottom <= y <= top for left, bottom, right, top in self._boxes)

    def _filled(self) -> Iterator[tuple[float, float, float, float]]:
        for count, thing in enumerate(self._page.get_objects(max_depth=3)):
            if count > _MOST_OBJECTS:
                return
            if thing.type == api.FPDF_PAGEOBJ_IMAGE or (thing.type == api.FPDF_PAGEOBJ_PATH and _filled(thing)):
                left, bottom, right, top = thing.get_bounds()
                yield left - 1, bottom - 1, right + 1, top + 1


def _filled(path: Any) -> bool:
    mode, stroke = ctypes.c_int(), ctypes.c_int()
    api.FPDFPath_GetDrawMode(path.raw, mode, stroke)
    return bool(mode.value) and not _pale(path.raw)


def _quarters(angle: float) -> int:
    """An angle in quarters of a turn; -1 for one in between: a stamp or a watermark."""
    turn = angle / (pi / 2)
    near = round(turn)
    return near % 4 if abs(turn - near) < _TURNED else -1


def _words(signs: list[_Sign]) -> list[Word]:
    """Signs in the order of the file become words: cut at blanks, at gaps and where the line changes."""
    words: list[Word] = []
    last: _Sign | None = None
    for sign in _accented(signs):
        if sign.text in _BLANK:
            last = None
            continue
        joined = (
            last is not None
            and abs(sign.base - last.base) < 0.6 * max(sign.size, last.size)
            and -0.5 * sign.size < sign.left - last.right < 0.18 * sign.size
            and sign.left >= last.left - 0.1
        )
        if joined:
            word = words[-1]
            if sign.size > word.size:  # "m" after a raised figure: the line is that of the larger one
                word.base, word.size = sign.base, sign.size
            word.text += sign.text
            word.right = max(word.right, sign.right)
        else:
            words.append(Word(sign.text, sign.left, sign.right, sign.base, sign.size))
        last = sign
    for word in words:
        word.text = unicodedata.normalize("NFC", _ligatures(word.text)).translate(_SAME)
    return words


def _accented(signs: list[_Sign]) -> list[_Sign]:
    """The signs with every accent that is printed over a letter put into that letter."""
    kept: list[_Sign] = []
    over: _Sign | None = None  # an accent that waits for its letter
    for sign in signs:
        if over is not None:
            if _covers(over, sign):
                sign.text = unicodedata.normalize("NFC", sign.text + _ACCENTS[over.text])
            elif kept and _covers(over, kept[-1]):
                kept[-1].text = unicodedata.normalize("NFC", kept[-1].text + _ACCENTS[over.text])
            over = None
        if sign.text in _ACCENTS:
            over = sign
        else:
            kept.append(sign)
    if over is not None and kept and _covers(over, kept[-1]):
        kept[-1].text = unicodedata.normalize("NFC", kept[-1].text + _ACCENTS[over.text])
    return kept


def _covers(accent: _Sign, letter: _Sign) -> bool:
    shared = min(accent.right, letter.right) - max(accent.left, letter.left)
    return letter.text.isalpha() and shared > 0.4 * min(accent.right - accent.left, letter.right - letter.left)


def _ligatures(text: str) -> str:
    return "".join(unicodedata.normalize("NFKC", c) if "\ufb00" <= c <= "\ufb06" else c for c in text)


def _drawn(page: Any, place: _Placed, whole: float) -> tuple[list[tuple[float, float, float]], bool]:
    """The level lines of a page, and whether a picture covers it."""
    rules: list[tuple[float, float, float]] = []
    covered = False
    for count, thing in enumerate(page.get_objects(max_depth=3)):
        if count > _MOST_OBJECTS:
            break
        if thing.type not in (api.FPDF_PAGEOBJ_PATH, api.FPDF_PAGEOBJ_IMAGE):
            continue
        left, bottom, right, top = thing.get_bounds()
        (x1, y1), (x2, y2) = place.at((left, bottom)), place.at((right, top))
        if thing.type == api.FPDF_PAGEOBJ_IMAGE:
            covered = covered or abs((x2 - x1) * (y2 - y1)) > 0.8 * whole
        elif abs(y2 - y1) < 2.5 and abs(x2 - x1) > 20:
            rules.append((min(x1, x2), max(x1, x2), (y1 + y2) / 2))
    return rules, covered
