"""Any bytes in any file of a shop: sound, or mistakes in our words; never a fault, never a hang, never a stray file."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Iterator
from copy import deepcopy
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import pytest
import tomli
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from safety.cli import main
from safety.files import toml
from safety.files.reading import read_all
from safety.problems import Problems
from safety.reference.rules_files import read_pack
from safety.reference.substance_files import read_substance
from safety.workplace import assess_job

BASE = Path(__file__).parents[1] / "mistakes" / "base"
DATA = Path(__file__).parents[2] / "safety" / "data"
FILES = ("shop.toml", "products/wash.toml", "products/primer.toml", "jobs/clean.toml")

#: Values that fit nowhere, fit almost, or fit and should not.
VALUES: list[Any] = [
    "", " ", "unknown", "0 m", "-1 m", "1e400 kg", "1e-300 g", "nan", "inf", "9" * 400, "24 h", "1 s", "30 day", "100000 m2",
    "a\x1b[31m", "\u202ea", "\ufeff", "a\nb", "x" * 5000, "\u0663 m", "\xb2", "<font color=red>x</font>", "<img src='x'/>",
    "=1+1", "{0.__class__}", "%s", "../../x", "/etc/passwd", "C:\\x", "con", "CON", "108-88-3", "0-00-0", "H225",
    "1990-01-01", "9999-12-31 23:59", "20 degC", "-273.15 degC", "wipe", "pour", "open", "wash", "soak", "hangar", "enclosed",
    True, 0, -1, 1, 10**30, 2**63, 1.5, 1e308, float("nan"), float("inf"), [], {}, [[]], [{}], {"": 1}, ["1 g", "2 g"],
    ["2 g", "1 g"], [1, 2], date(1, 1, 1), datetime(9999, 12, 31, 23, 59), datetime(2026, 3, 2, 7, 30), time(7, 30),
]  # fmt: skip


def written(value: Any) -> str:
    """A value as TOML. Every table is written in one line, which is TOML too."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{" + ", ".join(f"{written(str(k))} = {written(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(written, value)) + "]"
    if isinstance(value, str):
        return json.dumps(value).replace("\x7f", "\\u007f")
    return value.isoformat() if isinstance(value, (date, time)) else str(value)


def places(data: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    for key in data if isinstance(data, dict) else range(len(data)) if isinstance(data, list) else ():
        yield (*at, key)
        yield from places(data[key], (*at, key))


@st.composite
def mutated(draw: Callable[..., Any], sound: dict[str, Any]) -> str:
    """A sound file with up to three values dropped, replaced, moved, doubled or renamed."""
    data = deepcopy(sound)
    for _ in range(draw(st.integers(1, 3))):
        where = draw(st.sampled_from(list(places(data)) or [()]))
        if not where:
            break
        table = data
        for step in where[:-1]:
            table = table[step]
        key, do = where[-1], draw(st.sampled_from(("put", "put", "drop", "double", "rename", "wrap")))
        if do == "drop":
            del table[key]
        elif do == "double" and isinstance(table, list):
            table.insert(0, deepcopy(table[key]))
        elif do == "rename" and isinstance(table, dict):
            table[draw(st.sampled_from(("plugins", "id", "\u202e", "a.b", "__class__")))] = table.pop(key)
        elif do == "wrap":
            table[key] = [table[key]]
        else:
            table[key] = deepcopy(draw(st.sampled_from(VALUES)))
    return "".join(f"{written(k)} = {written(v)}\n" for k, v in data.items())


@st.composite
def damaged(draw: Callable[..., Any], sound: bytes) -> bytes:
    """A sound file with bytes put in, taken out or doubled."""
    raw = bytearray(sound)
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(raw)))
        put = draw(st.sampled_from((b"\0", b"\xff", b"\xef\xbb\xbf", b"\r", b"'''", b"[[", b"=", b"\xed\xa0\x80", b"\x1b[2J", b"[" * 900, b"a." * 500)))  # fmt: skip
        raw[at : at + draw(st.sampled_from((0, 1, 40)))] = put
    return bytes(raw)


def any_of(sound: bytes) -> st.SearchStrategy[bytes]:
    return mutated(tomli.loads(sound.decode())).map(str.encode) | damaged(sound) | st.binary(max_size=60)


def told(read: Callable[[], object]) -> list[str]:
    """The mistakes a person is told; each stands on one line, in words, and steers no terminal."""
    try:
        read()
    except Problems as mistakes:
        lines = [str(problem) for problem in mistakes.problems]
        assert lines
        for line, problem in zip(lines, mistakes.problems, strict=True):
            assert line.isprintable()
            assert len(line) < 1500
            assert problem.file
            assert problem.wrong
        return lines
    return []


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("files") / "shop"
    shutil.copytree(BASE, folder)
    return folder


FEW = settings(max_examples=100, derandomize=True, deadline=None, suppress_health_check=list(HealthCheck))


@pytest.mark.parametrize("name", FILES)
@FEW
@given(data=st.data())
def test_any_file_of_a_shop(shop: Path, name: str, data: st.DataObject) -> None:
    content = data.draw(any_of((BASE / name).read_bytes()))
    (shop / name).write_bytes(content)
    try:
        for line in told(lambda: read_all(shop)):
            assert "; " in line  # what to write
    finally:
        shutil.copy(BASE / name, shop / name)


@pytest.mark.parametrize("file", ["rules/general.toml", "substances/108-88-3.toml"])
@FEW
@given(data=st.data())
def test_any_file_of_data(tmp_path_factory: pytest.TempPathFactory, file: str, data: st.DataObject) -> None:
    path = tmp_path_factory.getbasetemp() / Path(file).name
    path.write_bytes(data.draw(any_of((DATA / file).read_bytes())))
    read = read_pack if file.startswith("rules") else read_substance
    told(lambda: read(path, file))


# ---------------------------------------------------------------- no hang


def test_a_file_of_nothing_but_mistakes_is_soon_given_up(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Looking for the lines of mistakes costs at most a few times the file, however many there are."""
    parsed, loads = [0], tomli.loads

    def counted(text: str) -> Any:
        parsed[0] += len(text)
        return loads(text)

    monkeypatch.setattr(toml.tomli, "loads", counted)
    bad = shop / "jobs" / "bad.toml"
    text = "[job]\nid = 'x'\n[[step]]\nname = 'a'\n" + "".join(f"[[step.use]]\nproduct = 'zz{n}'\n" for n in range(900))
    bad.write_text(text, encoding="utf-8")
    try:
        lines = told(lambda: read_all(shop))
    finally:
        bad.unlink()
    assert any('there is no "zz' in line for line in lines)
    assert parsed[0] < 33 * len(text) + 3_100_000


@pytest.mark.parametrize(
    ("changed", "line"),
    [
        (
            ("products/primer.toml", 'dry_between = "5 min"', 'dry_between = "30 day"'),
            "with its coats and waits the job lasts 30 day; 14 days at most; split the job in two, or check the times",
        ),
        (
            ("jobs/clean.toml", 'product = "wash"', 'product = "wash"\n' + 'work = "spray"\namount = "1 g"\n[[step.use]]\nproduct = "wash"\n' * 300),
            "coats, other uses and wet leftovers come to 303; 300 at most; split the job in two",
        ),
    ],
)  # fmt: skip
def test_a_job_that_would_be_computed_for_hours(tmp_path: Path, changed: tuple[str, str, str], line: str) -> None:
    folder = tmp_path / "shop"
    shutil.copytree(BASE, folder)
    name, old, new = changed
    text = (folder / name).read_text("utf-8")
    assert old in text
    (folder / name).write_text(text.replace(old, new, 1), encoding="utf-8")
    (only,) = told(lambda: read_all(folder))
    assert only.endswith(f"jobs/clean.toml:10: [step]: {line}")


# ---------------------------------------------------------------- no code


def test_no_file_of_data_can_make_code_run(tmp_path: Path) -> None:
    """Only the shop's own list of plugins is followed: the key is refused wherever else it stands."""
    mark = tmp_path / "ran"
    folder = tmp_path / "shop"
    shutil.copytree(BASE, folder)
    (folder / "evil.py").write_text(f"open({str(mark)!r}, 'w')\n", encoding="utf-8")
    for name, table in (("jobs/clean.toml", "[job]"), ("products/wash.toml", "[product]"), ("shop.toml", "[[place]]")):
        before = (folder / name).read_text("utf-8")
        (folder / name).write_text(before.replace(table, f'{table}\nplugins = ["evil.py"]', 1), encoding="utf-8")
        run = CliRunner().invoke(main, ["sheet", str(folder / "jobs" / "clean.toml")])
        assert run.exit_code == 2
        assert 'plugins: unknown key "plugins"' in run.stderr
        (folder / name).write_text(before, encoding="utf-8")
    (folder / "shop.toml").write_text(before.replace("[shop]", '[shop]\nrules = ["evil.py"]', 1), encoding="utf-8")
    run = CliRunner().invoke(main, ["sheet", str(folder / "jobs" / "clean.toml")])
    assert run.exit_code == 2
    assert not mark.exists()


# ---------------------------------------------------------------- what is in a file's place


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="named pipes and links of POSIX")
@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("kind", ["pipe", "folder", "loop", "gone"])
def test_what_is_no_ordinary_file(tmp_path: Path, name: str, kind: str) -> None:
    folder = tmp_path / "shop"
    shutil.copytree(BASE, folder)
    path = folder / name
    path.unlink()
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "folder":
        path.mkdir()
    else:
        path.symlink_to(path if kind == "loop" else folder / "nowhere")
    lines = told(lambda: read_all(folder))
    assert any(f"{name}: " in line for line in lines)


def test_markup_and_formulas_in_names_are_printed_as_they_are(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    shutil.copytree(BASE, folder)
    name = "<a href='http://x.example'>x</a> =1+1"
    job = folder / "jobs" / "clean.toml"
    text = job.read_text("utf-8").replace("[job]\n", f'[job]\nunit = "{name}"\n', 1)
    job.write_text(text, encoding="utf-8")
    from safety.render.pdf import sheet

    pdf = sheet(assess_job(job, draws=60))
    assert b"/URI" not in pdf
    assert pdf.rstrip().endswith(b"%%EOF")
