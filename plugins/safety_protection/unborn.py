"""What can harm an unborn child, or a child that is nursed: who asks before this work."""

from __future__ import annotations

from collections.abc import Mapping

from safety.model import Finding, KeptOut
from safety.reference.hazards import ProductHazards
from safety.words import say
from safety_protection.mixture_hazards import PLUGIN
from safety_protection.phrases import listed

#: Statements of what harms fertility, the unborn child, or a child through its mother's milk.
CHILD = frozenset({"H360", "H361", "H362"})


def judge(hazards: Mapping[str, ProductHazards]) -> list[Finding]:
    """One finding for all products that can, or of which nobody says that they cannot."""
    known = [one for one in hazards.values() if one.careful & CHILD]
    doubtful = [one for one in hazards.values() if not one.known and one not in known]
    if not known and not doubtful:
        return []
    names = listed([one.product.name for one in (*known, *doubtful)])
    codes = listed(sorted({code for one in known for code in one.careful & CHILD})) or say("not all is known")
    return [
        Finding(
            "note",
            "skin",
            say(
                "{products} can harm an unborn child, or may do so ({codes}). Who is or may be pregnant, or nurses a "
                "child, asks the safety officer before this work. So does who plans a child.",
                products=names,
                codes=codes,
            ),
            say("pregnant, nursing or planning a child: ask the safety officer first"),
            PLUGIN,
            rule=say("special instructions before use (P201, P202)") if known else "",
            key="unborn",
            grounds=tuple(ground for one in known for ground in one.by(CHILD)),
            roles=(KeptOut("pregnant"),),
        )
    ]
