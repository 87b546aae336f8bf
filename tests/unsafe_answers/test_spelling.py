"""Spelling decided near a limit: the draws were named after products, places and steps, and another name drew anew.

Of 99 made-up jobs six changed an answer when their things were called something else.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety.day import assess_day
from safety.exposure import Exposure
from safety.model import Finding
from safety.words import speaking, speech
from safety.workplace import Workplace, assess_job
from tests.benchmarks.turning import decisions, made_up, renamed, turned
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Frame shop by the lake (invented)"
altitude = "0 m"
rules = ["us-federal"]
[[place]]
id = "{room}"
name = "{Room}"
kind = "room"
volume = "120 m^3"
temperature = ["18 degC", "26 degC"]
[[place.air]]
state = "{shut}"
air_changes = ["0.5 /hour", "2 /hour"]
air_speed = ["0.05 m/s", "0.2 m/s"]
basis = "our guess"
[[place.air]]
state = "{open}"
air_changes = ["2 /hour", "6 /hour"]
air_speed = ["0.1 m/s", "0.4 m/s"]
basis = "our guess"
[[place]]
id = "{yard}"
kind = "outdoor"
temperature = ["5 degC", "25 degC"]
[[place.air]]
state = "{wind}"
air_speed = ["0.5 m/s", "3 m/s"]
basis = "our guess"
"""
WASH = """
[product]
id = "{wash}"
name = "{Wash}"
role = "cleaner"
purpose = "cleaner"
density = "0.85 g/mL"
flash_point = "4 degC"
boiling_point = "80 degC"
sds_revised = 2026-02-01
hazards = ["H225"]
[[product.part]]
name = "{toluene}"
cas = "108-88-3"
weight = ["40 %", "60 %"]
[[product.part]]
name = "{ketone}"
cas = "78-93-3"
weight = ["40 %", "60 %"]
"""
VARNISH = """
[product]
id = "{varnish}"
name = "{Varnish}"
role = "coating"
purpose = "coating"
density = "0.95 g/mL"
flash_point = "27 degC"
boiling_point = "126 degC"
sds_revised = 2026-02-01
hazards = ["H226"]
[[product.part]]
name = "{acetate}"
cas = "123-86-4"
weight = ["45 %", "65 %"]
[[product.part]]
name = "{resin}"
volatile = false
weight = ["35 %", "55 %"]
"""
FRAMES = """
[job]
id = "{frames}"
title = "{Frames}"
place = "{room}"
start = 2026-03-10T08:00:00
crew = 1
[[step]]
name = "{wipe}"
duration = "20 min"
air = "{shut}"
[[step.use]]
product = "{wash}"
work = "wipe"
amount = ["100 mL", "200 mL"]
area = "1.5 m^2"
kept = ["10 %", "40 %"]
[[step]]
name = "{coat}"
duration = "30 min"
air = "{open}"
[[step.use]]
product = "{varnish}"
work = "brush"
amount = ["150 mL", "250 mL"]
area = "2 m^2"
[[step.leaves_wet]]
what = "wet rags"
form = "wet-cloths"
product = "{wash}"
amount = ["20 mL", "60 mL"]
area = "0.2 m^2"
taken_away = "{carry}"
[[step]]
name = "{carry}"
duration = "10 min"
place = "{yard}"
air = "{wind}"
"""
RACK = (
    FRAMES.split("[[step]]")[0].replace("frames", "rack").replace("Frames", "Rack")
    + """
[[step]]
name = "{wipe}"
duration = "20 min"
air = "{shut}"
[[step.use]]
product = "{varnish}"
work = "brush"
amount = ["100 mL", "300 mL"]
area = "1 m^2"
"""
)
PACK = """
[pack]
id = "house"
title = "Our own limits"
jurisdiction = "this shop"
edition = "2026-01-01"
[[limit]]
cas = "108-88-3"
list = "house limit"
kind = "short-term"
value = "{ppm} ppm"
averaging = "15 min"
compare = "over"
citation = "our rule 3"
edition = "2026-01-01"
[[limit]]
cas = "78-93-3"
list = "house limit"
kind = "twa"
value = "5000 ppm"
averaging = "8 h"
compare = "over"
citation = "our rule 3"
edition = "2026-01-01"
[[limit]]
cas = "123-86-4"
list = "house limit"
kind = "twa"
value = "5000 ppm"
averaging = "8 h"
compare = "over"
citation = "our rule 3"
edition = "2026-01-01"
"""
WORDS = (
    *("room", "yard", "shut", "open", "wind", "wash", "varnish", "frames", "rack", "wipe", "coat", "carry"),
    *("Room", "Wash", "Varnish", "Frames", "Rack", "toluene", "ketone", "acetate", "resin"),
)
PLAIN = {word: word for word in WORDS}
#: Other words, in the opposite order of the alphabet.
OTHER = {word: f"z{99 - at}" for at, word in enumerate(sorted(WORDS))}


def write(folder: Path, names: Mapping[str, str], swapped: bool = False) -> Path:
    """The shop in some words; ``swapped``: its files under names that sort the other way round."""
    goods, jobs = {"a": WASH, "b": VARNISH}, {names["frames"]: FRAMES, names["rack"]: RACK}
    if swapped:
        goods = {"a": VARNISH, "b": WASH}
    return write_shop(
        folder,
        SHOP.format(**names),
        {name: text.format(**names) for name, text in goods.items()},
        {name: text.format(**names) for name, text in jobs.items()},
    )


def numbers(exposure: Exposure) -> list[np.ndarray]:
    """Every array of a result."""

    def inside(value: Any) -> Iterator[np.ndarray]:
        if isinstance(value, np.ndarray):
            yield value
        elif isinstance(value, Mapping):
            for one in value.values():
                yield from inside(one)
        elif isinstance(value, tuple):
            for one in value:
                yield from inside(one)
        elif is_dataclass(value) and type(value).__module__ == "safety.exposure.result":
            for field in fields(value):
                yield from inside(getattr(value, field.name))

    return [*inside(exposure)]


def alike(one: Exposure, other: Exposure) -> None:
    ours, theirs = numbers(one), numbers(other)
    assert len(ours) == len(theirs) > 20
    for mine, yours in zip(ours, theirs, strict=True):
        assert np.array_equal(mine, yours)


@pytest.mark.parametrize("swapped", [False, True], ids=["renamed", "and the files in another order"])
def test_no_name_moves_a_figure(tmp_path: Path, swapped: bool) -> None:
    """Wrong before: with other names the toluene of the same wiping came out up to a tenth higher or lower."""
    plain = sheet(write(tmp_path / "plain", PLAIN), "frames")
    other = sheet(write(tmp_path / "other", OTHER, swapped), OTHER["frames"])
    alike(plain.exposure, other.exposure)
    assert [(f.level, f.topic, f.step, f.unknown != "") for f in plain.findings] == [
        (f.level, f.topic, f.step, f.unknown != "") for f in other.findings
    ]


def test_the_language_moves_no_figure(tmp_path: Path) -> None:
    folder = write(tmp_path / "shop", PLAIN)
    plain = sheet(folder, "frames")
    with speaking(speech("es")):
        alike(plain.exposure, sheet(folder, "frames").exposure)


def test_no_name_moves_a_figure_of_a_day(tmp_path: Path) -> None:
    """Two jobs that begin together were put in order by their names, and drawn by them."""
    both = [
        assess_day(
            Workplace.open(folder := write(tmp_path / kind, names)),
            [folder / "jobs" / f"{names[job]}.toml" for job in ("frames", "rack")],
            draws=200,
        )
        for kind, names in (("plain", PLAIN), ("other", OTHER))
    ]
    for one, other in zip(*both, strict=True):
        alike(one.exposure, other.exposure)
        for mine, yours in zip(one.exposure.neighbours, other.exposure.neighbours, strict=True):
            assert mine.alone is not None
            assert yours.alone is not None
            alike(mine.alone, yours.alone)


def test_a_pause_before_a_step_draws_nothing_anew(tmp_path: Path) -> None:
    """What is compared with a changed plan is compared with the same draws: only the change may make the difference."""
    folder = write(tmp_path / "shop", PLAIN)
    before = sheet(folder, "frames")
    path = folder / "jobs" / "frames.toml"
    pause = '[[step]]\nname = "Pause"\nduration = "10 min"\npeople = "away"\nair = "shut"\n[[step]]\nname = "wipe"'
    path.write_text(path.read_text("utf-8").replace('[[step]]\nname = "wipe"', pause), "utf-8")
    after = sheet(folder, "frames")
    for one, other in zip(before.exposure.balances, after.exposure.balances, strict=True):
        assert np.array_equal(one.applied, other.applied)
        assert np.array_equal(one.dry_after, other.dry_after)


def test_a_limit_within_the_error_turns_with_no_seed_and_is_said(tmp_path: Path) -> None:
    """Wrong before: with some seeds the wiping was over this limit and with others it was under it, and neither said so."""
    folder = write(tmp_path / "shop", PLAIN)

    def mean(seed: int) -> tuple[float, Finding]:
        report = assess_job(folder / "jobs" / "frames.toml", draws=400, seed=seed)
        (found,) = [f for f in report.findings if f.key == "air-step" and f.step == 0]
        return found.figures[0].value, found

    job = (
        folder / "jobs" / "frames.toml"
    )  # a tenth of the solvent: no level that threatens life stands before the limit
    job.write_text(job.read_text("utf-8").replace('["100 mL", "200 mL"]', '["10 mL", "20 mL"]'), "utf-8")
    path = folder / "rules" / "house.toml"
    path.parent.mkdir()
    shop = folder / "shop.toml"
    shop.write_text(shop.read_text("utf-8").replace('"us-federal"', '"rules/house.toml"'), "utf-8")

    def house(ppm: float) -> None:
        path.write_text(PACK.format(ppm=ppm), "utf-8")

    house(1000)
    limit = float(np.median([mean(seed)[0] for seed in range(1, 9)]))
    house(limit)
    seen = [mean(seed) for seed in range(1, 9)]
    assert min(value for value, _ in seen) < limit < max(value for value, _ in seen), "it lies within the error"
    assert {found.level for _, found in seen} == {"control"}
    for value, found in seen:
        assert ("Close to the limit" in found.statement) == (value < limit)
    house(1.3 * limit)  # over what decides, near what would decide with another seed
    for value, found in (mean(seed) for seed in range(1, 9)):
        assert found.level == "control" or found.close == "under" or value < 1.1 * limit


def test_of_made_up_jobs_no_decision_turns_with_a_name_and_none_silently_with_the_seed() -> None:
    """What tests/benchmarks/turning.py measures over thousands of jobs with all draws, of a few with few.

    Wrong before: of 198 jobs eleven turned with the seed, one of them from a full facepiece to a stop.
    """
    decided = 0
    for case in made_up(16, first=3, batch=16):
        by_seed = [decisions(case.assess(draws=300, seed=seed).report) for seed in (1, 2)]
        other, names = renamed(case)
        assert decisions(other.assess(draws=300).report, names) == by_seed[0]
        for where, said, silent in turned(by_seed):
            assert not silent, (where, said)
        decided += len(by_seed[0])
    assert decided > 400
