"""What the rules for mixtures make of the parts a sheet names, beside the statements it gives: told, never added."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

from safety.cited import Unknown
from safety.datasheet.record import Draft
from safety.datasheet.text import fold
from safety.model import Part, Product
from safety.reference import Reference
from safety.reference.hazards import Implied, base, product_hazards
from safety.words import say

#: Regulation (EC) No 1272/2008, Annex I, 2.3.2.1: an aerosol is never classified as a flammable liquid, too.
_LIQUIDS = frozenset({"H224", "H225", "H226", "H227"})
#: 29 CFR 1910.1200, Appendix B.6: a category that European law does not have.
_AMERICAN = frozenset({"H227"})
#: In the names of what carries the group, whether or not there is a number: English, Spanish and German.
_ISOCYANATE = re.compile(r"isoc[iy]an")


def demanded(draft: Draft, data: Reference) -> None:
    """Say which statements the parts ask for and section 2 does not have."""
    stated = draft.values.get("hazards")
    declared: tuple[str, ...] | None = tuple(stated.written) if stated and isinstance(stated.written, list) else None
    if "not_classified" in draft.values:
        declared = ()
    if declared is None or not draft.parts:
        return  # that nothing is known of its hazards is said elsewhere
    least, most = (_more(draft, declared, data, share) for share in (lambda low, high: low, lambda low, high: high))
    grave = [_called(one) for one in least if _to_ask(one)]
    others = [told for one in most if (told := _called(one)) not in grave]
    if grave:
        draft.contradictory(
            say(
                "The parts ask for {codes} also at the lower ends of their shares, and section 2 does not say it. Ask the maker.",
                codes=", ".join(grave),
            )
        )
    if others:
        draft.careful(
            say(
                "The parts ask for {codes} at the upper ends of their shares, and section 2 does not say it. Ask the maker.",
                codes=", ".join(others),
            )
        )


def _more(
    draft: Draft, declared: tuple[str, ...], data: Reference, share: Callable[[float, float], float]
) -> list[Implied]:
    hazards = product_hazards(_product(draft, declared, share), data)
    return [one for one in hazards.more if not _elsewhere(one.code, draft, declared)]


def _to_ask(one: Implied) -> bool:
    """Whether it harms a person, and hangs on nothing that nobody knows."""
    return not one.doubt and not one.code.startswith(("H4", "EUH066"))


def _called(one: Implied) -> str:
    return say("{code} ({doubt})", code=one.code, doubt=one.doubt) if one.doubt else one.code


def _elsewhere(code: str, draft: Draft, declared: tuple[str, ...]) -> bool:
    """Whether a statement is none of this sheet's law, or of this kind of product."""
    aerosol = not {"H222", "H223"}.isdisjoint(map(base, declared))
    other_law = code.startswith("EUH") if draft.american else base(code) in _AMERICAN
    return other_law or (aerosol and base(code) in _LIQUIDS)


def _product(draft: Draft, declared: tuple[str, ...], share: Callable[[float, float], float]) -> Product:
    """As much of a product as the rules for mixtures ask about."""
    open_ = Unknown(say("it is a draft"))
    flash, boiling, thick = (draft.values.get(key) for key in ("flash_point", "boiling_point", "viscosity"))
    parts = tuple(
        Part(
            part.name or part.cas,
            part.cas,
            part.low / 100,
            share(part.low, part.high) / 100,
            groups=("NCO",) if _ISOCYANATE.search(fold(part.name)) else (),
        )
        for part in draft.parts
    )
    return Product(
        "draft", draft.name, "", parts, open_,
        open_ if flash is None or flash.size is None else flash.size + 273.15,
        open_ if boiling is None or boiling.size is None else boiling.size + 273.15,
        declared, date.today(), viscosity=None if thick is None or thick.size is None else thick.size * 1e-6,
    )  # fmt: skip
