"""The schemas that editors read: never stricter than reading, and of use to who mistypes."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import tomli
from jsonschema import Draft7Validator

import safety
from tests.pages.mistakes import BASES

DATA = Path(safety.__file__).parent / "data"
MISTAKES = Path(__file__).parents[1] / "mistakes"
SCHEMAS = {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in (DATA / "schemas").glob("*.json")}
SOUND = [path for folder in (DATA, MISTAKES / "base") for path in sorted(folder.rglob("*.toml"))]


def kind(path: Path) -> str:
    if path.stem in ("shop", "sources"):
        return path.stem
    return "rules" if path.parent.name == "rules" else path.parent.name.removesuffix("s")


def marked(kind: str, text: str) -> list[str]:
    """What an editor would mark: the last key of each place."""
    errors = Draft7Validator(SCHEMAS[kind]).iter_errors(_plain(tomli.loads(text)))
    return [f"{'/'.join(map(str, error.path))}: {error.message}" for error in errors]


def _plain(value: Any) -> Any:
    """Dates as a TOML language server hands them on."""
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_plain(one) for one in value]
    return value.isoformat() if isinstance(value, date) else value


@pytest.mark.parametrize("name", sorted(SCHEMAS))
def test_it_is_a_schema_and_has_a_sentence_for_each_key(name: str) -> None:
    Draft7Validator.check_schema(SCHEMAS[name])

    def keys(schema: dict[str, Any]) -> list[dict[str, Any]]:
        more = schema.get("additionalProperties")
        own = [
            *schema.get("properties", {}).values(),
            *([more] if isinstance(more, dict) and "description" in more else []),
        ]
        inner = [*own, *(s for s in (schema.get("items"),) if s)]
        return [*own, *(key for one in inner for key in keys(one))]

    assert len(keys(SCHEMAS[name])) > (20 if name != "sources" else 0)
    assert all(key["description"] for key in keys(SCHEMAS[name]))


@pytest.mark.parametrize("path", SOUND, ids=lambda p: f"{p.parent.name}-{p.stem}")
def test_nothing_is_marked_in_a_sound_file(path: Path) -> None:
    assert marked(kind(path), path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("file", "change", "place"),
    [
        ("rules/us-federal.toml", ('kind = "twa"', 'kind = "average"'), "kind"),
        ("rules/us-federal.toml", ('averaging = "8 h"', 'averaging = "8 hrs"'), "averaging"),
        ("rules/us-federal.toml", ("citation = ", "citaton = "), "limit"),
        ("rules/general.toml", ("[[threshold]]\nname = ", "[[threshold]]\nnane = "), "threshold"),
        ("rules/general.toml", ("[pack]\nid = ", "[pack]\nidd = "), "pack"),
        ("substances/108-88-3.toml", ('value = "92.138 g/mol"', 'value = "92.138"'), "molar_mass"),
        ("substances/108-88-3.toml", ('code = "H225"', 'code = "225"'), "code"),
        ("substances/108-88-3.toml", ('class = "Flam. Liq. 2"', 'class = "flammable"'), "class"),
        ("substances/108-88-3.toml", ("[[molar_mass]]", "[[molar_weight]]"), "molar_weight"),
        ("sources.toml", ("title = ", "titel = "), "tit"),
    ],
)
def test_what_is_mistyped_in_data_is_marked(file: str, change: tuple[str, str], place: str) -> None:
    text = (DATA / file).read_text(encoding="utf-8")
    assert change[0] in text
    found = marked(kind(DATA / file), text.replace(*change, 1))
    assert found
    assert all(place in line for line in found), found


def test_a_row_of_a_table_that_a_plugin_declares_is_marked() -> None:
    row = '[pack]\nid = "a"\ntitle = "A"\njurisdiction = "b"\nedition = "1"\n[[record_retention]]\nid = "x"\nyears = "3"\n'
    (years, missing) = sorted(marked("rules", row + 'text = "t"\ncitation = "c"\n'))
    assert "'edition' is a required property" in missing
    assert years.startswith("record_retention/0/years: '3' is not of type 'number'")
    assert marked("rules", row.split("[[")[0] + "[[our_own]]\nx = 1\n") == []  # a plugin of the shop may read it


@pytest.mark.parametrize(
    ("name", "change", "place"),
    [
        ("products", ('density = "', 'densty = "'), "densty"),
        ("products", ('hazards = ["H225"', 'hazards = ["225"'), "hazards"),
        ("jobs", ('duration = "15 min"', "duration = 15"), "duration"),
        ("jobs", ('duration = "15 min"', 'duration = "15 parsecs"'), "duration"),
        ("jobs", ('work = "wipe"', 'work = "wave"'), "work"),
        ("jobs", ("crew = 1", "crew = 0"), "crew"),
        ("jobs", ('title = "', '# "'), "title"),
    ],
)
def test_what_is_mistyped_is_marked(name: str, change: tuple[str, str], place: str) -> None:
    (path,) = sorted((DATA / "new" / name).glob("*.toml"))
    text = path.read_text(encoding="utf-8")
    assert change[0] in text
    found = marked(kind(path), text.replace(*change))
    assert found
    assert all(place in line for line in found), found


def test_the_mistakes_that_one_key_shows_are_marked() -> None:
    """The catalogue of mistakes holds more: what no key shows alone, only reading finds."""
    cases = {path: Path(BASES.get(path.stem.split("-")[0], "")) for path in MISTAKES.glob("*.toml")}
    shaped = [path for path, base in cases.items() if base.suffix == ".toml"]
    seen, read = 0, 0
    for path in shaped:
        try:
            seen += bool(marked(kind(cases[path]), path.read_text(encoding="utf-8")))
        except tomli.TOMLDecodeError:
            continue
        read += 1
    assert seen > read / 3, (seen, read)


@pytest.mark.parametrize("path", sorted((DATA / "new").rglob("*.toml")), ids=lambda p: p.stem)
def test_the_first_line_names_a_schema_that_new_writes(path: Path) -> None:
    first = path.read_text(encoding="utf-8").splitlines()[0]
    assert first.startswith("#:schema ")
    target = (path.parent / first.removeprefix("#:schema ")).resolve().relative_to((DATA / "new").resolve())
    assert (DATA / target).is_file()
    assert target.stem == kind(path)


@pytest.mark.parametrize(
    "weight", ["max. 3 %", "10 - <25 %", "30 bis 60 %", "höchstens 5 %", "\u2265 10 \u2013 \u2264 25 %"]
)
def test_what_reading_takes_is_not_marked(weight: str) -> None:
    product = (MISTAKES / "base" / "products" / "wash.toml").read_text(encoding="utf-8")
    assert marked("product", f'{product}\n[[product.part]]\nname = "x"\nweight = "{weight}"\n') == []
