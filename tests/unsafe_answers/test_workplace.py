"""A workplace that stays open answers as one that is opened now.

Nothing was kept before, so every question read the shop twice. What is kept can be out of date: a page left open would
go on answering from the files of this morning, from a plugin nobody trusts any more, or with another job's failures.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest

from safety.files import reading, trust
from safety.files.toml import Document
from safety.problems import Problems
from safety.render import forms
from safety.words import speaking, speech
from safety.workplace import Workplace
from tests.unsafe_answers.shops import write_shop
from tests.unsafe_answers.test_outputs import JOB, PRODUCT

DRAWS = 60
SHOP = """
[shop]
name = "Binder's corner (invented)"
altitude = "0 m"
rules = ["us-federal", "rules/house.toml"]
plugins = ["house.py"]
print_units = "si"

[[place]]
id = "bench"
kind = "room"
volume = "80 m3"
temperature = "20 degC"
[[place.air]]
state = "window open"
air_changes = ["1 /hour", "3 /hour"]
air_speed = "0.1 m/s"
basis = "estimated"
[[place.air]]
state = "window shut"
air_changes = ["0.1 /hour", "0.3 /hour"]
air_speed = "0.05 m/s"
basis = "estimated"
"""
HOUSE = """
[pack]
id = "house"
title = "House rules (invented)"
jurisdiction = "this shop"
edition = "2026"
reference_temperature = "25 degC"

[[limit]]
cas = "67-64-1"
list = "house"
kind = "twa"
value = "200 ppm"
averaging = "8 h"
compare = "over"
citation = "house rule 1"
edition = "2026"
"""
PLUGIN = """
from safety import hookimpl
from safety.model import Lines
@hookimpl
def sheet_blocks():
    return [Lines("Ours", ("Be kind to the paper.",))]
"""


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    folder = write_shop(tmp_path / "shop", SHOP, {"glue-off": PRODUCT}, {"spine": JOB}, {"house": HOUSE})
    (folder / "house.py").write_text(PLUGIN)
    trust_now(folder)
    return folder


def trust_now(folder: Path) -> None:
    code = trust.read(folder, "house.py")
    assert code is not None
    trust.trust([code])


def says(workplace: Workplace, **how: object) -> str:
    return forms.sheet(workplace.assess("spine", draws=DRAWS, **how), "json")  # type: ignore[arg-type]


def put(file: str, old: str, new: str) -> Callable[[Path], None]:
    def change(folder: Path) -> None:
        text = (folder / file).read_text("utf-8")
        assert old in text
        (folder / file).write_text(text.replace(old, new), "utf-8")

    return change


def same_size_and_time(folder: Path) -> None:
    """As where a file system tells the time of a change only roughly."""
    file = folder / "jobs" / "spine.toml"
    before = os.stat(file)
    put("jobs/spine.toml", "30 mL", "90 mL")(folder)
    os.utime(file, ns=(before.st_atime_ns, before.st_mtime_ns))


def trusts_it_no_longer(folder: Path) -> None:
    trust.forget(trust.trusted())


CHANGES: dict[str, Callable[[Path], None]] = {
    "job": put("jobs/spine.toml", "30 mL", "300 mL"),
    "job, by its content alone": same_size_and_time,
    "product": put("products/glue-off.toml", "0.79 g/mL", "0.85 g/mL"),
    "shop": put("shop.toml", '["1 /hour", "3 /hour"]', '["9 /hour", "9 /hour"]'),
    "rules": put("rules/house.toml", "200 ppm", "20 ppm"),
    "plugin": put("house.py", "kind to the paper", "unkind to the glue"),
    "trust": trusts_it_no_longer,
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_what_has_changed_is_noticed(shop: Path, change: Callable[[Path], None]) -> None:
    kept = Workplace.open(shop)
    before = says(kept)
    assert says(kept) == before
    change(shop)
    assert says(kept) == says(Workplace.open(shop)) != before


def test_a_new_file_beside_the_others_is_noticed(shop: Path) -> None:
    kept = Workplace.open(shop)
    says(kept)
    (shop / "products" / "other.toml").write_text(PRODUCT, "utf-8")
    with pytest.raises(Problems, match=r'glue-off\.toml is "glue-off" already'):
        says(kept)


@pytest.mark.parametrize("language", ["es", ""])
def test_another_start_another_air_another_language_are_one_call(shop: Path, language: str) -> None:
    kept = Workplace.open(shop)
    planned = says(kept)
    asked = says(kept, start=datetime(2026, 5, 5, 7, 30), air="window shut", language=language)
    assert says(kept) == planned
    put("jobs/spine.toml", "2026-05-04T09:00:00", "2026-05-05T07:30:00")(shop)
    put("jobs/spine.toml", 'air = "window open"', 'air = "window shut"')(shop)
    with speaking(speech(language or "en")):
        by_hand = Workplace.open(shop).assess("spine", draws=DRAWS)
    told, written = json.loads(asked), json.loads(forms.sheet(by_hand, "json"))
    assert (told.pop("asked"), written.pop("asked")) == (
        {"start": "2026-05-05T07:30:00", "air": "window shut", "as_of": None},
        {"start": None, "air": "", "as_of": None},
    )
    assert told == written


def test_an_air_the_place_does_not_have_is_a_mistake(shop: Path) -> None:
    with pytest.raises(Problems, match="window ajar"):
        Workplace.open(shop).assess("spine", air="window ajar", draws=DRAWS)


def test_a_file_is_read_once_however_often_one_asks(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A job and every product were read twice for each sheet, and four times for each alternative."""
    opened: list[str] = []

    def counted(path: Path, shown: str = "") -> Document:
        opened.append(path.name)
        return real(path, shown)

    real = reading.open_document
    monkeypatch.setattr(reading, "open_document", counted)
    kept, job = Workplace.open(shop), shop / "jobs" / "spine.toml"
    for _ in range(3):
        kept.assess(job, draws=DRAWS)
    assert sorted(opened) == ["glue-off.toml", "shop.toml", "spine.toml"]


def test_every_mistake_of_shop_and_job_comes_at_once(shop: Path) -> None:
    for change in (
        put("shop.toml", "80 m3", "80 apples"),
        put("products/glue-off.toml", "-18 degC", "cold"),
        put("jobs/spine.toml", "15 min", "soon"),
    ):
        change(shop)
    kept = Workplace.open(shop)
    with pytest.raises(Problems) as caught:
        kept.assess("spine")
    assert {Path(one.file).name for one in caught.value.problems} == {"shop.toml", "glue-off.toml", "spine.toml"}


def test_what_fails_in_one_job_is_no_failure_of_another(shop: Path) -> None:
    """Plugins are loaded once: a failure noted on them would stand on every later sheet."""
    (shop / "house.py").write_text(
        "from safety import hookimpl\n@hookimpl\ndef assess(job):\n    assert job.id != 'spine', 'not this one'\n"
        "    return []\n"
    )
    trust_now(shop)
    (shop / "jobs" / "back.toml").write_text(JOB.replace('id = "spine"', 'id = "back"'), "utf-8")
    kept = Workplace.open(shop)
    for _ in range(2):
        assert [one.plugin for one in kept.assess("spine", draws=DRAWS).failures] == ["house"]
        assert kept.assess("back", draws=DRAWS).failures == ()


def test_what_if_changes_nothing_that_is(shop: Path) -> None:
    def milder(document: Document) -> Document:
        if "product" in document.data:
            document.data["product"]["density"] = "0.5 g/mL"
        return document

    kept = Workplace.open(shop)
    before = says(kept)
    assert says(kept.edited(milder)) != before
    assert says(kept) == before
