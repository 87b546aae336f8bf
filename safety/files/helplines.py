"""What a shop does not say of whom to call and where to rinse: the technician's sheet leaves a line for it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import get_args

from safety.model import Called, Shop
from safety.problems import Problem
from safety.words import say


def unsaid(shop: Shop) -> Iterator[Problem]:
    """A note for the telephone numbers that are missing, and for each of eyewash and shower."""
    known = {phone.reaches for phone in shop.phones}
    if missing := [one for one in get_args(Called) if one not in known]:
        wrong = say("no number for: {whom}; the sheet has a line to write it on", whom=", ".join(missing))
        write = say('write [[phone]] with reaches = "{whom}" and number', whom=missing[0])
        yield Problem(shop.file, 0, "[[phone]]", wrong, write)
    for what in ("eyewash", "shower"):
        without = [place.id for place in shop.places.values() if not (getattr(place, what) or getattr(shop, what))]
        if without:
            wrong = say("where the nearest one is from {places} is not said", places=", ".join(without))
            yield Problem(shop.file, 0, what, wrong, say("write {what} in [shop] or in each [[place]]", what=what))
