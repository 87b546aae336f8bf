"""What every test has: settings of its own, in which nothing is trusted but what a test says."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis.internal.conjecture import providers

from safety.files import trust
from safety.files.toml import open_document

#: Files that take long for few tests: begun last, one of them would keep the whole run waiting.
LONG = (
    "packaging/test_lowest_versions.py",
    "serve/test_runs.py",
    "serve/test_pages.py",
    "unsafe_answers/test_marks_are_carried.py",
    "unsafe_answers/test_spelling.py",
    "invariants/",
    "commands/test_manners.py",
    "unsafe_answers/test_least_change.py",
    "unsafe_answers/test_other_country.py",
    "compare/",
    "test_quality.py",
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    def place(item: pytest.Item) -> int:
        file = item.path.relative_to(Path(__file__).parent).as_posix()
        return next((at for at, begin in enumerate(LONG) if file.startswith(begin)), len(LONG))

    items.sort(key=place)


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
        # an installed program has its bytecode: else each process that tests start compiles it again
        patch.delenv("PYTHONDONTWRITEBYTECODE", raising=False)
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
