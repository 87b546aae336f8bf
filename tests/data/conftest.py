"""The shipped data, read once."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from safety.model import Substance
from safety.reference import Reference, load

DAY = date(2026, 11, 25)


@pytest.fixture(scope="session")
def shipped() -> Reference:
    return load(("us-federal", "eu"), Path(__file__).parent, DAY)


@pytest.fixture(scope="session")
def substances(shipped: Reference) -> tuple[Substance, ...]:
    found = tuple(shipped.substance(cas) for cas in shipped.known())
    assert all(isinstance(s, Substance) for s in found)
    return found  # type: ignore[return-value]
