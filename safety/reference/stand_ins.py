"""The level from which air is dangerous to life, where no loaded list names one: the best that stands in its place.

Only the United States has such a list (NIOSH IDLH). It was made for choosing a respirator anywhere, and a vapour is as
deadly in another country. For what it does not name, a tenth of the lower explosive limit: since 1994 NIOSH sets no
level above that (NIOSH IDLH criteria, and NIOSHTIC-2 20024772). Where no lower limit is known either, a tenth of the
threshold that is under all known ones. Poison may act before: so a stand-in never makes a mask do that its own factor
does not allow.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from safety.cited import Cited, Unknown
from safety.model import Limit, Substance, Threshold
from safety.reference.data_files import DATA
from safety.words import say

#: The shipped pack that holds the only list of dangerous levels there is.
LIST = DATA / "rules" / "us-federal.toml"
OF_THE_LOWER_LIMIT = 0.10
#: The threshold that is under every known lower explosive limit.
LOWEST_LOWER_LIMIT = "unknown-lower-limit"


def dangerous_level(
    substance: Substance | Unknown, listed: Iterable[Limit], lowest: Threshold | Unknown
) -> tuple[Limit, ...]:
    """A stand-in for the dangerous level of a substance. ``listed``: its limits in the shipped list.

    ``lowest`` is under the lower explosive limit of whatever may burn.
    """
    found = tuple(_stands_in(x) for x in listed if x.kind == "idlh")
    if found or isinstance(substance, Unknown):
        return found
    lower = min(substance.properties.get("lower_explosive_limit", ()), key=_value, default=None)
    if lower is not None:
        return (_by_explosion(substance, lower, say("10 % of the lower explosive limit (stand-in)")),)
    if isinstance(lowest, Unknown) or not substance.has_equation or "not_flammable" in substance.notes:
        return ()
    taken = say("10 % of the lowest lower explosive limit there is, its own is not known (stand-in)")
    return (_by_explosion(substance, lowest, taken),)


def _stands_in(one: Limit) -> Limit:
    """A level of a list that the shop has not chosen: a published figure, and no rule of a pack."""
    return replace(
        one,
        list=say("level dangerous to life (stand-in)"),
        citation=say("published figure, no rule of this shop: {citation}", citation=one.citation),
        pack="",
    )


def _by_explosion(substance: Substance, lower: Cited | Threshold, called: str) -> Limit:
    value = OF_THE_LOWER_LIMIT * lower.value
    return Limit(
        cas=substance.cas,
        list=called,
        kind="idlh",
        value=value,
        unit="ppm",
        written=f"{round(value * 1e6):g} ppm",
        averaging=0.0,
        compare="at or over",
        citation=say(
            "published figure, no rule of this shop: {citation}",
            citation=say("NIOSH IDLH criteria, 1994: no level above 10 % of the lower explosive limit"),
        ),
        edition="1994",
        jurisdiction="",
        pack="",
        unverified=lower.unverified,
    )


def _value(value: Cited) -> float:
    return float(value.value)
