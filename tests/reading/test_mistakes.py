"""Every mistake of the catalogue gives its line; what is no TOML or no file gives one too."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from safety.files.reading import read_job, read_shop
from safety.files.shop_files import ShopFiles
from safety.problems import Problems
from tests.pages.mistakes import BASES

CATALOGUE = Path(__file__).parents[1] / "mistakes"
CASES = sorted(CATALOGUE.glob("*.toml"))

Make = Callable[..., Path]
Told = Callable[[Path], list[str]]
Base = Callable[[str], str]


def test_base_shop_is_sound(shop: Make, told: Told) -> None:
    assert told(shop()) == []


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.stem)
def test_catalogue(case: Path, shop: Make, told: Told) -> None:
    text = case.read_text(encoding="utf-8")
    lines = told(shop({BASES[case.stem.split("-")[0]]: text}))
    assert lines == case.with_suffix(".txt").read_text(encoding="utf-8").splitlines()
    for line in lines:  # a key that is in the file is on the line that is named
        named = re.match(r"[^:]+:(\d+): \[[^:]*?([\w-]+)(?:\[\d+\])?(?:\]\] \d+)?: ", line)
        if named and f'"{named[2]}" is missing' not in line:
            assert named[2] in text.split("\n")[int(named[1]) - 1], line


@pytest.mark.parametrize(
    ("content", "line"),
    [
        (b'[job]\ntitle = "caf\xe9"\n', ":2: the file is not UTF-8 text; save it again as UTF-8"),
        (b"#" * 1_000_001, ": the file is larger than 1 MB; split it, or check that it is the right file"),
        (b"a = " + b"[" * 5000, ": a number is too long or brackets are nested too deep; write it in a simpler way"),
        (b"a = " + b"9" * 5000, ": a number is too long or brackets are nested too deep; write it in a simpler way"),
        (b"", ': [job]: "job" is missing; add a table [job]'),
    ],
    ids=["not-utf-8", "over-1-mb", "nested", "long-number", "empty"],
)
def test_what_is_no_toml(content: bytes, line: str, shop: Make, told: Told) -> None:
    assert f"jobs/bad.toml{line}" in told(shop({"jobs/bad.toml": content}))


def test_bytes_that_are_fine(shop: Make, told: Told, base: Base) -> None:
    text = "\ufeff" + base("jobs/clean.toml").replace("\n", "\r\n")
    assert told(shop({"jobs/clean.toml": text})) == []


def test_line_is_right_with_windows_line_ends(shop: Make, told: Told, base: Base) -> None:
    text = base("jobs/clean.toml").replace("15 min", "15 mn").replace("\n", "\r\n")
    assert told(shop({"jobs/clean.toml": text}))[0].startswith("jobs/clean.toml:12: [[step]] 1, duration: ")


def test_duplicate_ids_over_files(shop: Make, told: Told, base: Base) -> None:
    folder = shop({"jobs/twin.toml": base("jobs/clean.toml"), "products/zwin.toml": base("products/wash.toml")})
    assert told(folder) == [
        'jobs/twin.toml:2: [job] id: jobs/clean.toml is "clean" already; give each job its own id',
        'products/zwin.toml:2: [product] id: products/wash.toml is "wash" already; give each product its own id',
    ]


def test_mistakes_of_all_files_come_together(shop: Make, told: Told, base: Base) -> None:
    folder = shop(
        {
            "shop.toml": base("shop.toml").replace('"100 m^3"', "100").replace('kind = "room"', 'kind = "rom"'),
            "products/wash.toml": base("products/wash.toml").replace("0.87 g/mL", "0.87 g").replace("70 %", "101 %"),
            "jobs/clean.toml": base("jobs/clean.toml").replace("crew = 1", "crew = 0").replace('"primer"', '"primr"'),
        }
    )
    assert [line.split(": ")[0] for line in told(folder)] == [
        "jobs/clean.toml:7",
        "jobs/clean.toml:25",
        "products/wash.toml:5",
        "products/wash.toml:13",
        "shop.toml:7",
        "shop.toml:8",
    ]


def test_two_mistakes_that_pydantic_sees_and_does_not_see(shop: Make, told: Told, base: Base) -> None:
    text = (
        base("products/primer.toml")
        .replace("density", "densty")
        .replace("60 %", "85 %")
        .replace("80 %", "90 %")
        .replace('"2 h"', '"5 min"')
    )
    assert [line.split(": ")[0] for line in told(shop({"products/primer.toml": text}))] == [
        "products/primer.toml:5",
        "products/primer.toml:7",
        "products/primer.toml:20",
    ]


def test_a_file_of_nothing_but_mistakes_is_cut_short(shop: Make, told: Told) -> None:
    lines = told(shop({"products/bad.toml": "[product]\n" + "".join(f"key{n} = 1\n" for n in range(500))}))
    assert len(lines) == 51
    assert "mistakes or more in this file; 50 are shown; mend these first" in lines[0]


def test_a_job_of_too_many_steps(shop: Make, told: Told, base: Base) -> None:
    steps = "".join(f'\n[[step]]\nname = "Wait {n}"\nduration = "1 min"\n' for n in range(98))
    folder = shop({"jobs/clean.toml": base("jobs/clean.toml") + steps})
    assert told(folder) == ["jobs/clean.toml:10: [step]: there are more than 100; split the job in two"]


def test_text_from_a_file_stays_on_one_line(shop: Make, told: Told, base: Base) -> None:
    text = (
        base("jobs/clean.toml")
        .replace("crew = 1", 'crew = 1\n"a\\nb" = 1')
        .replace('"15 min"', '"15\\n\\u001b[31m min"')
    )
    lines = told(shop({"jobs/clean.toml": text}))
    assert len(lines) == 2
    assert all(line.isprintable() for line in lines)


def test_missing_shop_folder_and_file(tmp_path: Path, shop: Make) -> None:
    def line(call: Callable[[], object]) -> str:
        with pytest.raises(Problems) as caught:
            call()
        (only,) = caught.value.problems
        return str(only).replace(f"{tmp_path.as_posix()}", "T")

    assert (
        line(lambda: read_shop(tmp_path / "nowhere"))
        == "T/nowhere/shop.toml: there is no such file; check the name and the folder"
    )
    assert line(lambda: read_shop(tmp_path)) == "T/shop.toml: there is no such file; check the name and the folder"
    assert line(lambda: read_shop(tmp_path / ("x" * 5000))).endswith("check its name and its access rights")
    folder = shop()
    known = read_shop(folder)
    assert (
        line(lambda: read_job(folder / "jobs", known))
        == "T/shop/jobs: this is a folder, not a file; name one TOML file"
    )
    assert line(lambda: read_job(folder / "x.toml", known)).startswith("T/shop/x.toml: there is no such file")
    assert line(lambda: read_job(folder / ("x" * 5000), known)).endswith("check its name and its access rights")
    assert line(lambda: read_job(folder / "a\0b", known)).startswith("T/shop/a?b: ")
    assert line(lambda: find_job("claen", folder)) == 'claen: there is no job of this name; did you mean "clean"?'
    assert line(lambda: find_job("x" * 5000, folder)).endswith('there is no job of this name; write one of: "clean"')
    assert line(lambda: find_job("jobs/no.toml", folder)).startswith("jobs/no.toml: there is no such file")
    with pytest.raises(Problems, match=r"no shop\.toml in this folder or above it"):
        ShopFiles.of(tmp_path)


def find_job(name: str, folder: Path) -> Path:
    return ShopFiles.of_job(name, folder)[1]


def test_a_job_is_found_by_id_by_file_name_and_by_path(shop: Make, base: Base, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = shop({"jobs/monday.toml": base("jobs/clean.toml").replace('"clean"', '"wash-down"'), "jobs/bad.toml": "x"})
    assert find_job("wash-down", folder) == folder / "jobs/monday.toml"
    assert find_job("monday", folder) == folder / "jobs/monday.toml"
    assert find_job("bad", folder) == folder / "jobs/bad.toml"
    monkeypatch.chdir(folder / "jobs")
    assert find_job("monday.toml", Path()) == Path("monday.toml")
    assert ShopFiles.of(Path("monday.toml")).file == Path("../shop.toml")
    assert ShopFiles.of(folder / "jobs/monday.toml").file == folder / "shop.toml"
    assert ShopFiles.of(Path("monday.toml")).shop.name == "Test shop"
