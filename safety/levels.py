"""A level beside a limit, in figures that do not hide which of the two is more.

Rounding alone would print "150 ppm, limit 150: over" of 150.3 ppm.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from safety.units import significant
from safety.words import say

_TRACE = 1e-4  # share of the lowest limit under which only that it is less is said
_ALIKE = 1e-9  # numbers this near to each other are one: no decision hangs on the last binary digit


def compared(level: float, *limits: float, digits: int = 3) -> str:
    """``level`` to so many figures, and on the same side of each limit as the level itself.

    One more figure where rounding hides the side, and "just over 150" where that does not show it either.
    Far below every limit it is no more than "less than" a ten-thousandth of the lowest.
    """
    if not math.isfinite(level):
        return significant(level)
    trace = _TRACE * min(limits, default=0.0)
    if 0 < level < trace:
        return say("less than {level}", level=f"{trace:.12f}".rstrip("0").rstrip("."))
    for figures in (digits, digits + 1):
        text = significant(level, figures)
        if all(_side(float(text), float(printed(x))) == _side(level, x) for x in limits):
            return text
    nearest = min(limits, key=lambda limit: abs(level - limit))
    return _words(_side(level, nearest), printed(nearest))


def plume() -> str:
    """What is said wherever the highest minute is held against a level that may not be passed for a moment.

    Right above a wet surface the air is far from that average, and no published figure tells how far at a face over
    it: beside a point source 5-minute averages within a metre varied more than a hundredfold (Acevedo-Bolton et al.,
    J. Environ. Monit. 14:94-104, 2012, abstract). So it is not judged, and people are told what to do instead.
    """
    return say(
        "The highest minute is of the air within about a metre, on average. The plume right above a wet surface is "
        "thicker and is not judged: keep your face out of it."
    )


def at_least(number: float, digits: int = 2) -> str:
    """To so many figures and never less: of what somebody has to bring about."""
    text = significant(number, digits)
    if not math.isfinite(number) or _side(float(text), number) >= 0:
        return text
    return significant(float(text) + 10.0 ** (math.floor(math.log10(abs(number))) - digits + 1), digits)


def at_most(number: float, digits: int = 2) -> str:
    """To so many figures and never more: of what somebody may let be."""
    text = significant(number, digits)
    if not math.isfinite(number) or _side(float(text), number) <= 0:
        return text
    return significant(float(text) - 10.0 ** (math.floor(math.log10(abs(number))) - digits + 1), digits)


def shown(level: float, limit: float, show: Callable[[float], str], *more: float) -> str:
    """``show(level)``, or "just over" what a limit is shown as where the two would look alike and are not."""
    text = show(level)
    alike = [x for x in (limit, *more) if show(x) == text]
    return _words(_side(level, alike[0]), text) if alike else text


def _words(side: int, limit: str) -> str:
    if side == 0:
        return limit
    return say("just over {limit}", limit=limit) if side > 0 else say("just under {limit}", limit=limit)


def _side(level: float, limit: float) -> int:
    """1 over, -1 under, 0 at the limit."""
    if math.isclose(level, limit, rel_tol=_ALIKE):
        return 0
    return 1 if level > limit else -1


def printed(limit: float) -> str:
    """A limit as it stands beside a level, wherever it stands: to three figures, and to four where it has no more."""
    four = significant(limit, 4)
    return four if math.isclose(float(four), limit, rel_tol=_ALIKE) else significant(limit)
