"""Mistakes in what a product's file says of a flash point that is not there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from safety.files.toml import Document, problem
from safety.problems import Problem
from safety.words import say

#: Statements of a liquid that burns, so that it has a flash point.
_BURNS = ("H224", "H225", "H226")


def check_flash_point(document: Document, product: Mapping[str, Any]) -> Iterator[Problem]:
    """A "none" has its ground, and does not stand beside a statement that the liquid burns."""
    none, ground, hazards = (
        product.get("flash_point") == "none",
        product.get("flash_point_ground"),
        product.get("hazards"),
    )
    at = ("product", "flash_point")
    if none and not ground:
        write = say('write flash_point_ground = the test and where it stands, or flash_point = "unknown"')
        yield problem(document, at, say('"none" needs its ground'), write)
    if ground and not none:
        wrong = say('this is the ground of flash_point = "none" alone')
        yield problem(document, ("product", "flash_point_ground"), wrong, say("take it out"))
    burns = [code for code in _BURNS if isinstance(hazards, list) and code in hazards]
    if none and burns:
        wrong = say("the product has no flash point and is {hazards}", hazards=", ".join(burns))
        yield problem(document, at, wrong, say("keep one of the two"))
