"""The catalogue: one published equation, one pure function of SI floats or arrays.

A formula is declared with :func:`formula`. The decorator changes nothing about the function;
it records what ``hazstep calc``, the docs and the tests need to know.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib import import_module
from types import MappingProxyType
from typing import Any, TypeVar

from safety.units import KINDS

F = TypeVar("F", bound=Callable[..., Any])

GROUPS = (
    *("air", "transfer", "evaporation", "exposure", "prediction", "ignition", "stores", "fractions", "protection"),
    *("solvent", "emission", "waste"),
)

#: Kinds of what goes in and comes out that are no quantities.
OTHER_KINDS = ("cas", "date", "flash_part", "listed_part", "solvent_part", "text", "yes_no")

_CATALOGUE: dict[str, Formula] = {}


@dataclass(frozen=True, slots=True)
class Formula:
    """One entry of the catalogue."""

    name: str
    group: str
    function: Callable[..., Any]
    gives: str  # a kind of units.KINDS, or "text"
    inputs: tuple[tuple[str, str], ...]  # argument -> kind
    optional: frozenset[str]  # arguments with a default
    source: str  # citation in words
    unverified: str  # why a constant of it has not been checked; "" once it has
    valid: tuple[tuple[str, float, float], ...]  # argument, low, high in SI: the published range

    def outside(self, values: dict[str, Any]) -> list[str]:
        """Sentences for each input that lies outside the published range."""
        return [
            f"{name} = {values[name]:.4g} is outside the published range {low:.4g} to {high:.4g} (SI units)"
            for name, low, high in self.valid
            if isinstance(values.get(name), (int, float)) and not low <= values[name] <= high
        ]


def formula(
    *,
    gives: str,
    source: str,
    unverified: str = "",
    valid: tuple[tuple[str, float, float], ...] = (),
    **inputs: str,
) -> Callable[[F], F]:
    """Enter a function into the catalogue.

    ``gives`` and each input name a kind of ``units.KINDS`` (which fixes the SI base unit).
    Raises TypeError when the declared inputs are not the function's own arguments.
    """

    def enter(function: F) -> F:
        one = described(function, gives=gives, source=source, unverified=unverified, valid=valid, **inputs)
        if one.name in _CATALOGUE:
            other = _CATALOGUE[one.name].function.__module__
            raise TypeError(f"{other} has a formula {one.name} already; give yours another name: def {one.name}_...")
        _CATALOGUE[one.name] = one
        return function

    return enter


def described(
    function: Callable[..., Any],
    *,
    gives: str,
    source: str,
    unverified: str = "",
    valid: tuple[tuple[str, float, float], ...] = (),
    **inputs: str,
) -> Formula:
    """A formula that stands in no catalogue yet: what a plugin hands over in ``Contribution.formulas``.

    Raises TypeError when the declared inputs are not the function's own arguments, or of a kind that nobody can read.
    """
    parameters = inspect.signature(function).parameters
    if list(parameters) != list(inputs):
        each = ", ".join(f'{name}="..."' for name in parameters)
        raise TypeError(f"{function.__name__} declares {list(inputs)}; write the kind of each argument: {each}")
    for name, kinds in (("gives", gives), *inputs.items()):
        for kind in kinds.removesuffix(", ...").replace(":", "|").split("|"):
            if kind not in (*KINDS, *OTHER_KINDS):
                near = " or ".join(get_close_matches(kind, (*KINDS, *OTHER_KINDS), 3, 0.4) or KINDS)
                wrong = f'{function.__name__} declares {name}="{kind}", and there is no such kind of quantity'
                raise TypeError(f'{wrong}; write {near}, or add a _kind("{kind}", ...) to safety/units.py')
    return Formula(
        name=function.__name__,
        group=function.__module__.rsplit(".", 1)[-1],
        function=function,
        gives=gives,
        inputs=tuple(inputs.items()),
        optional=frozenset(n for n, p in parameters.items() if p.default is not p.empty),
        source=source,
        unverified=unverified,
        valid=valid,
    )


def catalogue() -> Mapping[str, Formula]:
    """Every formula by name, in group order and then in the order of the module's text."""
    _complete()
    return MappingProxyType(_CATALOGUE)


@cache
def _complete() -> None:
    """Load every group, and put the entries in order: groups are also loaded one by one, by who needs them first."""
    for group in GROUPS:
        import_module(f"safety.formulas.{group}")
    for entry in sorted(_CATALOGUE.values(), key=lambda one: GROUPS.index(one.group)):
        _CATALOGUE[entry.name] = _CATALOGUE.pop(entry.name)
