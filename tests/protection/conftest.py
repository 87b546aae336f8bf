"""Reference data as a shop has them: the shipped packs with this plugin's rules merged in."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
import safety_protection

from safety.reference import Reference, load


def _loaded(*rules: str) -> Reference:
    return load(rules, Path(__file__).parent, date(2026, 3, 10), [("protection", safety_protection.contribute())])


@pytest.fixture(scope="session")
def us() -> Reference:
    return _loaded("us-federal")


@pytest.fixture(scope="session")
def eu() -> Reference:
    return _loaded("eu")


@pytest.fixture(scope="session")
def both() -> Reference:
    return _loaded("us-federal", "eu")
