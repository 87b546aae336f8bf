"""The code on paper of a step, a lot or a container: short, the same every time, without any data or right in it.

Whoever looks a code up computes those of everything the shop knows and compares. What nothing has the code of is not
known: a step that was renamed since is not the step that now stands in its place.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass
from typing import Literal

from safety.words import say

Kind = Literal["step", "lot", "container"]

#: Without 0, 1, I and O, which are taken for each other.
_LETTERS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
#: Of 5 bits each: in one shop of 20,000 that know 10,000 things, two of these share a code.
_LENGTH = 8
#: Bytes of UTF-8 that can still be read from 25 mm at 100 dots an inch; what is longer is told by its code alone.
_LONGEST = 74


@dataclass(frozen=True, slots=True)
class PaperCode:
    """A code, and what it stands for."""

    letters: str
    words: str  # "STEP boot-replacement 6"

    @property
    def shown(self) -> str:
        """In two groups, as people read it out."""
        return say("{first} {second}", first=self.letters[:4], second=self.letters[4:])

    def content(self, pages: str) -> str:
        """What a phone finds: the address under the shop's ``pages``, or where there are none what it stands for.

        The address is in capitals, which take less room; neither its scheme nor the name of a computer minds.
        """
        return f"{pages}/C/{self.letters}".upper() if pages else self.words


def plain(code: str) -> str:
    """A code as somebody typed it, in either case and with or without its gap; "" where it is none."""
    found = re.sub(r"[\s-]", "", code).upper()
    return found if len(found) == _LENGTH and set(found) <= set(_LETTERS) else ""


def letters(kind: Kind, *ids: str) -> str:
    """The code of a thing of this kind with these ids.

    A step has the id of its job and its own name, a lot the id of its product and its number, a container its id.
    """
    digest = hashlib.sha256(json.dumps([kind, *ids]).encode()).digest()
    number = int.from_bytes(digest, "big")
    return "".join(_LETTERS[number >> 5 * place & 31] for place in range(_LENGTH))


def of_step(job: str, step: str, number: int) -> PaperCode:
    """Of a step by its name; ``number``, from 1, is where it stands on the paper."""
    return _made(letters("step", job, step), say("STEP {job} {number}", job=job, number=number), say("STEP"))


def of_lot(product: str, lot: str) -> PaperCode:
    return _made(letters("lot", product, lot), say("LOT {product} {lot}", product=product, lot=lot), say("LOT"))


def of_container(id: str) -> PaperCode:
    return _made(letters("container", id), say("CONTAINER {id}", id=id), say("CONTAINER"))


def _made(code: str, words: str, kind: str) -> PaperCode:
    fits = len(words.encode()) <= _LONGEST
    return PaperCode(code, words if fits else say("{kind} {code}", kind=kind, code=code))
