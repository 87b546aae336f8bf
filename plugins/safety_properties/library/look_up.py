"""A substance put together from the tables: what it is, how it evaporates, how it burns.

Never from them: what it does to people, limits, and what the law says of it. Those stay unknown.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from types import MappingProxyType

from safety.cited import Cited, Source, Unknown
from safety.files.notation import Miswritten
from safety.formulas.ignition import lower_limit_from_heat
from safety.model import ANTOINE, Composition, Substance
from safety.reference import elements
from safety.words import message, say
from safety_properties.library import burning, constants, pressure, tables
from safety_properties.library.pressure import Chosen
from safety_properties.library.tables import UNCHECKED, Identity

#: Blocks of numbers that were given to mixtures: fractions of petroleum, oils and resins of plants, polymers. One
#: molecule's data are not theirs. (Common practice, no source.)
_MIXTURES = re.compile(r"(6474[1-3]|80[0-7]\d|90\d\d)-\d\d-\d")
#: An isocyanate group in SMILES, read from either end or from its middle.
_ISOCYANATE = re.compile(r"N=C=O|O=C=N|^C\(=N.+\)=O$")

#: As the shipped list of sources has it.
_LAW = Source("burgess-wheeler", "Burgess-Wheeler law, on the careful side", "2002")
ESTIMATED = message("no compilation gives it: estimated low from the heat of combustion")


def substance(cas: str) -> Substance | Unknown:
    """What the installed package holds on a CAS number, or why that is nothing."""
    if tables.folder() is None:
        return Unknown(say("to look it up, type: pip install 'hazstep[library]'"))
    if _MIXTURES.fullmatch(cas):
        return Unknown(say("it is a mixture, and its data are on its own data sheet"))
    one = tables.identity(cas)
    if one is None or "." in one.bonds:
        return Unknown(say("the installed library has nothing on it"))
    chosen = pressure.choose(pressure.curves(cas))
    if chosen is None:
        return Unknown(say("the installed library has no vapour pressure of it"))
    burns, not_used = burning.values(cas, chosen.curve)
    faint = chosen.room < pressure.FAINT
    if faint:
        not_used.append(say("Its vapour pressure at 20 °C is below {pa:g} Pa and is not used.", pa=pressure.FAINT))
    found = {**constants.values(one, chosen), **({} if faint else _evaporates(cas, chosen)), **burns}
    if not found.get("lower_explosive_limit"):
        found["lower_explosive_limit"] = tuple(_lower_limit(found["heat_of_combustion"]))
    groups = len(_ISOCYANATE.findall(one.bonds))
    return Substance(
        cas=cas,
        names=one.names,
        properties=MappingProxyType({name: values for name, values in found.items() if values}),
        notes=MappingProxyType({"not_used": " ".join(not_used)} if not_used else {}),
        groups=MappingProxyType({"NCO": groups} if groups else {}),
        composition=_composition(one),
    )


def _composition(one: Identity) -> Composition | Unknown:
    try:
        symbols = elements.formula(one.formula)
    except Miswritten:
        return Unknown(say("no formula is loaded"))
    return Composition(symbols, one.formula, one.table.source(), f"row {one.cas}", UNCHECKED)


def _lower_limit(heats: Iterable[Cited]) -> Iterator[Cited]:
    """A careful estimate where no compilation gives a lower limit; there is a heat only of what it holds for."""
    for heat in heats:
        share = float(lower_limit_from_heat(heat.value))
        at = f"from the heat of combustion {heat.written}, {heat.source.title}"
        yield Cited(share, "1", f"{share * 100:.2g} %", _LAW, at, ESTIMATED)


def _evaporates(cas: str, chosen: Chosen) -> dict[str, tuple[Cited, ...]]:
    a, b, c = chosen.constants
    table, mark, remark = chosen.curve.table, chosen.mark, chosen.remark
    room = table.cited(
        chosen.room, "Pa", f"{chosen.room:.4g} Pa", cas, unverified=mark, remark=remark, temperature=pressure.ROOM
    )
    equation = (
        table.cited(a, "1", f"{a:.5f}", cas, unverified=mark, remark=remark, low=chosen.low, high=chosen.high),
        table.cited(b, "K", f"{b:.3f} K", cas, unverified=mark),
        table.cited(c, "K", f"{c:.3f} K", cas, unverified=mark),
    )
    return {
        **{name: (value,) for name, value in zip(ANTOINE, equation, strict=True)},
        "vapour_pressure": (room,),
    }
