"""What every test has: settings of its own, in which nothing is trusted but what a test says."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis.internal.conjecture import providers

from safety.files import trust
from safety.files.toml import open_document


@pytest.fixture(scope="session", autouse=True)
def _same_examples() -> Iterator[None]:
    """The same made-up cases whatever ran before in the process.

    Hypothesis mixes in constants of the modules loaded so far, and remembers them for the next test.
    """
    with pytest.MonkeyPatch.context() as patch:
        if hasattr(providers, "_get_local_constants"):
            nothing = providers.Constants()
            patch.setattr(providers, "_get_local_constants", lambda: nothing)
            providers.CONSTANTS_CACHE.cache.clear()
        yield


@pytest.fixture(scope="session", autouse=True)
def _own_settings(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("settings")))
        yield


@pytest.fixture(scope="session")
def trusts() -> Callable[[Path], Path]:
    """Trusts the plugin files that the shop in a folder lists, as a person does; returns the folder."""

    def trusting(folder: Path) -> Path:
        names = open_document(folder / "shop.toml").data["shop"]["plugins"]
        codes = [trust.read(folder, name) for name in names]
        trust.trust(code for code in codes if code)
        return folder

    return trusting
