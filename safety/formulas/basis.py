"""Constants and checks that every formula shares."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np

from safety.words import say

#: What formulas take and give: a float, or an array of floats that broadcasts with the others.
Values: TypeAlias = Any

#: Molar gas constant [J/mol/K]. SI Brochure, 9th edition (2019): exact product of k and N_A.
GAS_CONSTANT = 8.31446261815324
#: Standard atmosphere [Pa]. NIST Special Publication 811 (2008), Appendix B.8: exact.
ATMOSPHERE = 101325.0
#: Standard acceleration of gravity [m/s2]. ISO 80000-3: exact.
GRAVITY = 9.80665


def above_zero(**inputs: Values) -> None:
    """Raise ValueError with one sentence unless every value of every input is above zero."""
    for name, value in inputs.items():
        if not np.all(np.asarray(value) > 0):
            raise ValueError(say("{name} must be above zero", name=name))


def not_negative(**inputs: Values) -> None:
    """Raise ValueError with one sentence where a value of an input is below zero or no number."""
    for name, value in inputs.items():
        if not np.all(np.asarray(value) >= 0):
            raise ValueError(say("{name} cannot be below zero", name=name))


def share(**inputs: Values) -> None:
    """Raise ValueError with one sentence unless every value of every input lies above 0 and up to 1."""
    for name, value in inputs.items():
        if not np.all((np.asarray(value) > 0) & (np.asarray(value) <= 1)):
            raise ValueError(say("{name} must lie above 0 and not over 1", name=name))


def remainder(whole: Values, *parts: Values) -> Values:
    """What is left of a whole. Raises ValueError where the parts are more than the whole."""
    rest = whole - sum(parts)
    # a rest of a billionth below nothing is rounding, not a missing drum
    if not np.all(np.asarray(rest) >= -1e-9 * np.abs(whole)):
        raise ValueError(say("more is accounted for than there was: check the amounts"))
    return np.maximum(rest, 0.0)[()]
