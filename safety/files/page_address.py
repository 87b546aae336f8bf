"""The address under which the shop's own pages are found, as it is printed in codes on paper."""

from __future__ import annotations

import re

from safety.files.notation import Miswritten, text
from safety.words import say

#: A name of a computer, and a port. Nothing after it: the whole address is printed in capitals.
_ADDRESS = re.compile(r"https?://([a-z0-9](?:[a-z0-9.-]*[a-z0-9])?)(?::([1-9][0-9]{0,4}))?/?", re.ASCII | re.IGNORECASE)
_MOST = 60  # letters: more would not be read from the paper


def page_address(value: object) -> str:
    """``"http://shop-pc.local:8420"``, without the slash at its end."""
    line = text(value)
    found = _ADDRESS.fullmatch(line)
    write = say('write for example "http://shop-pc.local:8420"')
    if not found or len(line) > _MOST or int(found[2] or 0) > 65535:
        wrong = say(
            "this is not http:// or https:// with the name of a computer and a port, and nothing more, in at most "
            "{most} letters",
            most=_MOST,
        )
        raise Miswritten(wrong, write)  # the address itself is not printed: a password may stand in it
    if found[1].lower() == "localhost" or found[1].startswith("127."):
        raise Miswritten(say("a phone that reads the code would look for the page on itself"), write)
    return line.rstrip("/")
