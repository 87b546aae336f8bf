"""What is read arrives in SI, as it was written, and what is not given arrives as Unknown."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import pytest
from chemicals.identifiers import check_CAS

from safety.cited import Unknown
from safety.files.notation import Miswritten, cas
from safety.files.reading import notes, read_all, read_job, read_shop
from safety.model import Range
from safety.reference.substance_files import substance_files

Make = Callable[..., Path]
Base = Callable[[str], str]
DEMO = Path(__file__).parents[2] / "safety" / "data" / "demo"


def test_shop_in_si(shop: Make) -> None:
    read = read_shop(shop())
    place = read.places["room-1"]
    assert place.volume == 100.0
    assert place.temperature == Range(293.15, 293.15, "20 degC")
    changes = place.airs[0].air_changes
    assert (changes.low, changes.high) == pytest.approx((0.3 / 3600, 2 / 3600))
    assert changes.written == "0.3 /hour to 2 /hour"
    assert (place.near_radius.low, place.near_radius.high) == (0.4, 0.9)
    assert place.near_radius.basis == "our assumption, no published source"
    (glove,) = read.gloves
    assert glove.thickness == 0.0005
    assert (glove.breakthrough[0].cas, glove.breakthrough[0].time) == ("67-64-1", 14400.0)
    assert read.expects is None


def test_what_a_data_sheet_does_not_give_is_unknown(shop: Make, base: Base) -> None:
    text = base("products/wash.toml").replace("2026-01-15", '"unknown"').replace('["H225"]', '"unknown"')
    text = text.replace('"4 degC"', '"unknown"').replace('boiling_point = "111 degC"\n', "")
    product = read_shop(shop({"products/wash.toml": text})).products["wash"]
    for value, word in (
        (product.flash_point, "flash point"),
        (product.boiling_point, "boiling point"),
        (product.hazards, "hazards"),
        (product.sds_revised, "revision date"),
        (product.voc, "VOC"),
    ):
        assert isinstance(value, Unknown)
        assert value.reason.startswith(f"the file of wash gives no {word}")


def test_not_classified_is_no_hazards_and_not_unknown(shop: Make, base: Base) -> None:
    text = base("products/wash.toml").replace('hazards = ["H225"]', "not_classified = true")
    product = read_shop(shop({"products/wash.toml": text})).products["wash"]
    assert product.hazards == ()
    assert product.sds_revised == date(2026, 1, 15)


def test_a_rest_that_nobody_named_is_a_part_nobody_knows(shop: Make, base: Base) -> None:
    text = base("products/wash.toml").replace('["70 %", "100 %"]', '["50 %", "60 %"]')
    rest = read_shop(shop({"products/wash.toml": text})).products["wash"].parts[-1]
    assert (rest.disclosed, rest.volatile) == (False, True)
    assert (rest.low, rest.high) == pytest.approx((0.1, 0.5))


def test_parts_that_reach_the_whole_leave_no_rest(shop: Make) -> None:
    parts = read_shop(shop()).products["wash"].parts
    assert [p.cas for p in parts] == ["108-88-3", "142-82-5"]


def test_job_in_si(shop: Make) -> None:
    folder = shop()
    job = read_job(folder / "jobs/clean.toml", read_shop(folder))
    assert job.start == datetime(2026, 11, 25, 7, 30)
    assert job.file == "jobs/clean.toml"
    wipe, prime, bond = job.steps
    assert wipe.duration == 900.0
    # 100 mL at 0.87 g/mL is 87 g
    assert wipe.uses[0].mass == Range(pytest.approx(0.087), pytest.approx(0.087), "100 mL")
    # 150 g/m2 on 1.5 m2 is 225 g
    assert prime.uses[0].mass == Range(pytest.approx(0.225), pytest.approx(0.225), "150 g/m^2")
    assert bond.joins == "primer"
    assert bond.air.state == "door open"


@pytest.mark.parametrize(
    ("coverage", "grams"),
    [
        # 400 to 600 ft2/gal, brushed paint on sheet steel (TM 43-0139 table 3-2); with 1 ft2 = 0.09290304 m2 and
        # 1 US gal = 3.785411784 L (NIST SP 811 app. B) that is 101.9 to 67.9 mL/m2, times 0.86 g/mL
        ('["400 ft2/US_gal", "600 ft2/US_gal"]', (58.4, 87.6)),
        ('"100 mL/m^2"', (86.0, 86.0)),
        ('"10 m^2/L"', (86.0, 86.0)),
    ],
)
def test_coverage_by_volume(coverage: str, grams: tuple[float, float], shop: Make, base: Base) -> None:
    text = base("products/primer.toml").replace('"150 g/m^2"', coverage)
    application = read_shop(shop({"products/primer.toml": text})).products["primer"].application
    assert application
    assert application.coverage
    assert (application.coverage.low * 1e3, application.coverage.high * 1e3) == pytest.approx(grams, abs=0.05)


def test_a_volume_without_density_has_no_mass(shop: Make, base: Base) -> None:
    folder = shop({"products/wash.toml": base("products/wash.toml").replace('"0.87 g/mL"', '"unknown"')})
    use = read_job(folder / "jobs/clean.toml", read_shop(folder)).steps[0].uses[0]
    assert use.mass == Unknown("100 mL cannot be weighed: the file of wash gives no density")
    assert use.written == "100 mL"


def test_weather_of_the_day_and_of_a_step(shop: Make, base: Base) -> None:
    text = base("jobs/clean.toml").replace("crew = 1", 'crew = 1\ntemperature = ["30 degC", "38 degC"]')
    text = text.replace('joins = "primer"', 'joins = "primer"\ntemperature = "10 degC"\nair = "doors shut"')
    folder = shop({"jobs/clean.toml": text})
    job = read_job(folder / "jobs/clean.toml", read_shop(folder))
    assert (job.place.temperature.low, job.place.temperature.high) == (303.15, 311.15)
    assert job.steps[0].place.temperature.high == 311.15
    assert job.steps[2].place.temperature == Range(283.15, 283.15, "10 degC")
    assert job.steps[2].air.state == "doors shut"


def test_names_of_substances_become_numbers(shop: Make, base: Base) -> None:
    text = base("jobs/clean.toml").replace('joins = "primer"', 'joins = "primer"\nstructure_holds = "jet fuel"')
    folder = shop({"jobs/clean.toml": text})

    class Fuel:
        cas = "8008-20-6"

    job = read_job(folder / "jobs/clean.toml", read_shop(folder), lambda word: Fuel())
    assert job.steps[2].structure_holds == "8008-20-6"
    assert read_job(folder / "jobs/clean.toml", read_shop(folder)).steps[2].structure_holds == "jet fuel"


def test_a_product_nobody_has_data_on_is_a_note_and_no_mistake(shop: Make) -> None:
    folder = shop()
    (note,) = notes(read_shop(folder), lambda cas: Unknown("not loaded") if cas == "142-82-5" else "loaded")
    assert str(note) == (
        f"{folder.as_posix()}/products/wash.toml:16: [product] part[2].cas: no data are loaded for CAS 142-82-5: "
        "sheets will say unknown; add substances/142-82-5.toml to the shop"
    )


def test_substances_of_the_shop(shop: Make) -> None:
    folder = shop({"substances/67-64-1.toml": "", "substances/notes.txt": "", "substances/sources.toml": ""})
    assert [p.name for p in substance_files(folder)] == ["67-64-1.toml"]


@pytest.mark.parametrize("number", ["108-88-3", "67-64-1", "7732-18-5", "107-07-3", "1330-20-7"])
def test_cas_check_digit(number: str) -> None:
    """Registry numbers in use, and every other last digit against the `chemicals` library."""
    for digit in range(10):
        typed = number[:-1] + str(digit)
        try:
            right = cas(typed) == typed
        except Miswritten:
            right = False
        assert right == check_CAS(typed)


def test_demo_shop() -> None:
    shop, jobs = read_all(DEMO)
    assert [job.id for job in jobs] == [
        "boot-replacement-fuel-hot",
        "boot-replacement",
        "floor-adhesive-removal",
        "laminate-wipe-down",
    ]
    assert "invented" in shop.notice
    unmarked = shop.products["old-thinner"]  # there to show what a can without a data sheet does
    assert not any(part.disclosed for part in unmarked.parts)
    for product in shop.products.values():
        if product is unmarked:
            continue
        assert all(part.disclosed for part in product.parts)
        assert sum(p.low for p in product.parts) <= 1 <= sum(p.high for p in product.parts) + 1e-9
    for job in jobs:
        assert all(isinstance(use.mass, Range) for step in job.steps for use in step.uses)


def test_random_damage_gives_problems_and_nothing_else(
    shop: Make, base: Base, told: Callable[[Path], list[str]]
) -> None:
    """400 damaged files: each is read, or refused with lines; nothing else is ever raised."""
    folder = shop()
    pick = random.Random(7)
    refused = 0
    for turn in range(400):
        name = pick.choice(["shop.toml", "products/wash.toml", "products/primer.toml", "jobs/clean.toml"])
        text = base(name)
        for _ in range(pick.randrange(1, 4)):
            at = pick.randrange(len(text))
            cut = pick.choice([0, 1, 3, 20])
            junk = pick.choice(
                ["", '"', "[", "]", "=", "\n", "{}", "-1", "nan", "[]", "\u202e", "é", "9" * 400, "[[step]]"]
            )
            text = text[:at] + junk + text[at + cut :]
        (folder / name).write_text(text, encoding="utf-8")
        lines = told(folder)
        refused += bool(lines)
        assert all(len(line) < 1000 and line.isprintable() for line in lines), turn
        (folder / name).write_text(base(name), encoding="utf-8")
    assert refused > 200
