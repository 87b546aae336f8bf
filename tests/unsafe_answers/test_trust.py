"""Nothing in a folder runs until a person of this computer has said that it may.

``check``, ``sheet``, ``why``, ``log`` and ``label`` once ran what a ``shop.toml`` in any folder above listed, from any
place on the disk.
"""

from __future__ import annotations

import json
import os
import py_compile
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import safety
from safety.cli import main
from safety.files import trust
from tests.unsafe_answers.shops import write_shop
from tests.unsafe_answers.test_outputs import JOB, PRODUCT, RECEIVED, SHOP

#: Leaves a mark when it is run, and answers.
CODE = """
from pathlib import Path
from safety import hookimpl
from safety.model import Lines
Path({mark!r}).touch()
@hookimpl
def sheet_blocks():
    return [Lines("Ours", ("Be kind to the paper.",))]
"""
SHEET = ("sheet", "spine", "--draws", "60")
EVERY = (
    ("check",), ("calc",), ("plugins",), SHEET, (*SHEET, "spine"), ("why", "spine"), ("log", "--year", "2026"),
    ("label", "rags"), ("compare", "spine", "--draws", "60", "--change", "job.crew=1"), (*SHEET, "--freeze"),
)  # fmt: skip


@pytest.fixture
def mark(tmp_path: Path) -> Path:
    return tmp_path / "mark"


@pytest.fixture
def shop(tmp_path: Path, mark: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    lists = SHOP.replace("[shop]", '[shop]\nplugins = ["house.py"]')
    folder = write_shop(tmp_path / "shop", lists, {"glue-off": PRODUCT}, {"spine": JOB})
    (folder / "house.py").write_text(CODE.format(mark=str(mark)))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    monkeypatch.chdir(folder)
    run(*RECEIVED)
    return folder


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


@pytest.mark.parametrize("words", EVERY, ids=" ".join)
def test_no_command_runs_what_nobody_trusted(shop: Path, mark: Path, words: tuple[str, ...]) -> None:
    done = run(*words)
    assert done.exit_code in (0, 1, 3), done.output
    assert not mark.exists()
    if words[0] in ("sheet", "log", "label"):
        assert done.exit_code == 3
        told = " ".join((done.stdout + done.stderr).replace("###", "").split())
        assert "nobody has trusted house.py on this computer" in told
        assert "then type in the shop's folder: hazstep trust" in told


def test_what_is_trusted_runs_until_it_changes(shop: Path, mark: Path) -> None:
    seen = run("trust")
    assert seen.exit_code == 2  # nobody sits there
    assert f"house.py: {len((shop / 'house.py').read_bytes())} bytes, sha256 " in seen.stderr
    assert not mark.exists()
    assert run("trust", "--yes").exit_code == 0
    assert "Be kind to the paper." in run(*SHEET, "--full").stdout
    assert mark.exists()
    mark.unlink()
    with (shop / "house.py").open("a") as file:
        file.write("\n")
    assert "nobody has trusted house.py" in " ".join(run(*SHEET).stdout.split())
    assert not mark.exists()
    assert run("trust", "--yes").exit_code == 0
    listed = json.loads(run("trust", "--list", "--format", "json").stdout)
    assert len(listed) == 2
    assert all(row["path"].endswith("house.py") for row in listed)
    assert run("trust", "--forget").exit_code == 0
    run(*SHEET)
    assert not mark.exists()


def test_check_runs_none_even_of_those_that_are_trusted(shop: Path, mark: Path) -> None:
    assert run("trust", "--yes").exit_code == 0
    done = run("check")
    assert (done.exit_code, done.stderr) == (0, "")
    assert not mark.exists()


def test_a_name_that_only_such_a_file_may_add_is_told_and_is_no_mistake(shop: Path) -> None:
    (shop / "shop.toml").write_text((shop / "shop.toml").read_text().replace('"us-federal"', '"us-federal", "ours"'))
    (shop / "jobs" / "spine.toml").write_text(
        JOB.replace('people = "near"', 'people = "near"\nstructure_holds = "glue X"')
    )
    done = run("check")
    assert done.exit_code == 0, done.output
    assert 'note: shop.toml: [shop] rules: no rules pack is called "ours"' in done.stdout
    assert 'structure_holds: no loaded substance is called "glue X"' in done.stdout
    assert done.stdout.count("a plugin file of the shop may add it: check runs none, the sheet will say") == 2
    assert run(*SHEET).exit_code == 2  # what was said


def test_trust_is_kept_outside_of_the_folder(shop: Path) -> None:
    before = sorted(shop.rglob("*"))
    assert run("trust", "--yes").exit_code == 0
    assert sorted(shop.rglob("*")) == before
    kept = trust.store()
    assert kept
    assert not kept.is_relative_to(shop)
    if os.name == "posix":
        assert kept.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize(
    "name", ["{elsewhere}", "../elsewhere.py", "plugins/../../elsewhere.py", "link.py", "..\\\\e.py", "C:\\\\e.py"]
)
def test_a_file_outside_of_the_folder_is_refused(shop: Path, mark: Path, tmp_path: Path, name: str) -> None:
    elsewhere = tmp_path / "elsewhere.py"
    elsewhere.write_text(CODE.format(mark=str(mark)))
    (shop / "link.py").symlink_to(elsewhere)
    (shop / "plugins").mkdir()
    lists = SHOP.replace("[shop]", f'[shop]\nplugins = ["{name.format(elsewhere=elsewhere)}"]')
    (shop / "shop.toml").write_text(lists)
    for words in (("check",), ("trust", "--yes"), SHEET):
        done = run(*words)
        assert done.exit_code == 2, done.output
        (line,) = done.stderr.splitlines()
        assert "does not lie in the shop's folder; copy it into the folder" in line
    assert not mark.exists()


def test_what_is_looked_at_is_what_runs(shop: Path, mark: Path, tmp_path: Path) -> None:
    """Compiled code that lies beside a trusted file ran in its place."""
    harmless, evil = shop / "house.py", tmp_path / "evil.py"
    evil.write_text(harmless.read_text())
    text = "hazstep_hooks = 2\nfrom safety import hookimpl\n@hookimpl\ndef sheet_blocks():\n    return []\n"
    harmless.write_text(text.ljust(len(evil.read_text()), "#"))
    stamp = harmless.stat().st_mtime
    os.utime(evil, (stamp, stamp))
    cached = shop / "__pycache__" / f"house.{sys.implementation.cache_tag}.pyc"
    py_compile.compile(str(evil), cfile=str(cached), doraise=True)
    assert run("trust", "--yes").exit_code == 0
    assert run(*SHEET).exit_code in (0, 1, 3)
    assert not mark.exists()


# ---------------------------------------------------------------- the folder above

stranger = pytest.mark.skipif(
    getattr(os, "geteuid", lambda: 1)() != 0, reason="only root can make a folder that belongs to somebody else"
)


@stranger
@pytest.mark.parametrize(
    ("above", "file", "mode", "taken"),
    [
        (4711, 4711, 0o755, False),  # a stranger's folder
        (0, 4711, 0o777, False),  # everybody's folder, such as /tmp, and a stranger's file in it
        (0, 4711, 0o1777, False),
        (0, 4711, 0o775, True),  # the administrator admits this group to the folder
        (0, 0, 0o755, True),
        (65534, 65534, 0o755, True),  # our own
    ],
)
def test_a_shop_above_is_taken_only_from_those_we_know(
    tmp_path: Path, above: int, file: int, mode: int, taken: bool
) -> None:
    """As an unprivileged person who works in a folder of his own below."""
    folder = write_shop(tmp_path / "above", SHOP, {"glue-off": PRODUCT}, {"spine": JOB})
    mine = folder / "mine"
    mine.mkdir()
    os.chown(mine, 65534, 65534)
    os.chown(folder, above, above)
    os.chown(folder / "shop.toml", file, file)
    folder.chmod(mode)
    look = (
        "import os, sys; sys.path.insert(0, sys.argv[2]); from safety.files.shop_files import ShopFiles; from pathlib import Path\n"
        "from safety.problems import Problems\n"
        "os.chdir(sys.argv[1]); os.setegid(65534); os.seteuid(65534)\n"
        "try:\n    print(ShopFiles.of(Path()).file)\nexcept Problems as told:\n    print(told)\n"
    )
    words = [sys.executable, "-c", look, str(mine), str(Path(safety.__file__).parents[1])]
    said = subprocess.run(words, capture_output=True, text=True, check=True).stdout
    assert ("so it is not taken" in said) is not taken, said
    words[3] = str(folder)  # who goes there has chosen it
    assert subprocess.run(words, capture_output=True, text=True, check=True).stdout == "shop.toml\n"


def test_settings_in_the_stranger_s_folder_count_for_nothing(
    shop: Path, mark: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With a relative folder for settings, a shop could bring along the list of what "was trusted" here."""
    monkeypatch.setenv("XDG_CONFIG_HOME", "settings")
    listed = shop / "settings" / "hazstep" / "trusted-plugins.txt"
    listed.parent.mkdir(parents=True)
    code = trust.read(shop, "house.py")
    assert code
    listed.write_text(f"{code.digest}\t2026-01-01\thouse.py\n")
    assert run(*SHEET).exit_code == 3
    assert not mark.exists()
    refused = run("trust", "--yes")
    assert refused.exit_code == 2
    assert "no folder for your settings" in refused.stderr
