"""The same made-up jobs whatever ran before in the process."""

from __future__ import annotations

import pytest
from hypothesis.internal.conjecture import providers


@pytest.fixture(autouse=True)
def without_constants_of_modules(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hypothesis mixes in constants of the modules loaded so far, so that other tests would change the examples."""
    if hasattr(providers, "_get_local_constants"):
        nothing = providers.Constants()
        monkeypatch.setattr(providers, "_get_local_constants", lambda: nothing)
