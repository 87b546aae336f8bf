"""hazstep calc: what it prints, and every mistake in one line on stderr."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

from safety import units
from safety.cli.calc import command
from safety.formulas import catalogue

PURGE = ("purge_time", "volume=100 m3", "airflow=500 cfm", "start=100 ppm", "target=25 ppm")


def run(*arguments: str) -> Result:
    return CliRunner().invoke(command, arguments)


def test_without_a_name_it_lists_every_formula_once() -> None:
    result = run()
    assert result.exit_code == 0
    lines = [line.strip().partition(":")[0] for line in result.stdout.splitlines() if line.startswith("  ")]
    assert lines == list(catalogue())
    assert [entry["name"] for entry in json.loads(run("--format", "json").stdout)] == list(catalogue())


def test_json_has_exactly_the_promised_keys() -> None:
    record = json.loads(run(*PURGE, "--format", "json").stdout)
    assert list(record) == ["name", "value", "unit", "inputs", "source"]
    assert record["name"] == "purge_time"
    # 100 m3 / (500 ft3/min) * ln 4, ft = 0.3048 m
    assert record["value"] == pytest.approx(100 / (500 * 0.3048**3) * 1.3862943611, rel=1e-9)
    assert record["unit"] == "min"
    assert record["inputs"]["airflow"] == "500 cfm"
    assert record["inputs"]["mixing"] == "100 % (default)"


def test_json_says_what_is_unverified() -> None:
    words = ("radius=0.5 m", "air_speed=0.1 m/s")
    record = json.loads(run("near_field_exchange", *words, "--format", "json").stdout)
    assert record["unverified"] == catalogue()["near_field_exchange"].unverified != ""


def test_json_says_what_is_out_of_range() -> None:
    record = json.loads(run("tolerance_factor", "count=4", "--format", "json").stdout)
    assert record["warnings"] == ["count = 4 is outside the published range 6 to 30 (SI units)"]


def test_text_names_the_source() -> None:
    lines = run(*PURGE, "mixing=0.5").stdout.splitlines()
    assert lines[0] == "purge_time = 19.58 min"
    assert "  mixing = 0.5" in lines
    assert lines[-1] == f"Source: {catalogue()['purge_time'].source}"


def test_several_values_give_several_answers() -> None:
    result = run("near_field_exchange", "radius=0.5 m, 1 m", "air_speed=0.1 m/s", "--format", "json")
    one, two = json.loads(result.stdout)["value"]
    assert two == pytest.approx(4 * one)


def test_answer_keeps_the_unit_of_the_concentrations() -> None:
    assert run("time_weighted_average", "concentrations=10 mg/m3, 20 mg/m3", "durations=4 h, 4 h").stdout.startswith(
        "time_weighted_average = 15 mg/m3\n"
    )


def test_a_charge_that_runs_off_at_once_is_shown_in_seconds() -> None:
    record = json.loads(
        run("charge_relaxation_time", "permittivity=2", "conductivity=1 S/m", "--format", "json").stdout
    )
    assert record["unit"] == "s"


@pytest.mark.parametrize(
    ("arguments", "lines"),
    [
        (("purg_time",), ['calc: there is no formula "purg_time"; did you mean "purge_time"?']),
        (
            ("near_field_exchange", "radus=1 m"),
            [
                'calc near_field_exchange: air_speed: is missing; write for example air_speed="0.1 m/s"',
                'calc near_field_exchange: radius: is missing; write for example radius="1.5 m"',
                'calc near_field_exchange: radus: this formula has no such input; did you mean "radius"?',
            ],
        ),
        (
            ("near_field_exchange", "radius=1", "air_speed=fast"),
            [
                'calc near_field_exchange: air_speed: "fast" does not begin with a plain number; '
                'write for example "0.1 m/s" (a point for the decimals)',
                'calc near_field_exchange: radius: "1" has no unit; '
                'write for example "1.5 m" (m, cm, mm, um, in, inch, ft, yd, mil)',
            ],
        ),
        (
            ("near_field_exchange", "radius=0.5 m, 1 m", "air_speed=0.1 m/s, 0.2 m/s, 0.3 m/s"),
            ["calc near_field_exchange: inputs have different numbers of values: radius 2, air_speed 3"],
        ),
        (
            ("near_field_exchange", "radius", "air_speed=0.1 m/s", "air_speed=0.2 m/s"),
            [
                'calc near_field_exchange: "radius" is not an input; write for example volume="100 m3"',
                "calc near_field_exchange: air_speed: is given twice",
                'calc near_field_exchange: radius: is missing; write for example radius="1.5 m"',
            ],
        ),
        (
            ("protection_factor_needed", "concentration=600 ppm", "limit=75 mg/m3"),
            [
                'calc protection_factor_needed: limit: "75 mg/m3" cannot be compared with concentration; '
                "write both as a share of the air, or both as mass in a volume"
            ],
        ),
        (
            ("protection_factor_needed", "concentration=600 ppb", "limit=75 ppm"),
            [
                'calc protection_factor_needed: concentration: "600 ppb" has a unit that is not known here; '
                + f'write "{units.KINDS["air_share"].example}" or "{units.KINDS["concentration"].example}"'
            ],
        ),
        (
            ("film_drying_time", "parts=0.5 mol:3 kPa", "area=1 m2", "temperature=20 degC"),
            [
                'calc film_drying_time: parts: "0.5 mol:3 kPa" must have 3 numbers parted by ":"; '
                'write for example "0.65 mol:0.1 m/s:2.9 kPa"'
            ],
        ),
        (
            ("flammable_category", "flash_point=4 degC, 5 degC", "boiling_point=80 degC"),
            ["calc flammable_category: flash_point: only one value can be given here"],
        ),
        (
            ("composite_vapour_pressure", "parts=toluene:60 %, isopropanol:40 g"),
            [
                'calc composite_vapour_pressure: parts: "40 g" cannot be compared with parts; '
                "write all as shares, or all as masses"
            ],
        ),
        (
            ("composite_vapour_pressure", "parts=toluen:60 %"),
            ['calc composite_vapour_pressure: parts: no substance called "toluen" is loaded; did you mean "toluene"?'],
        ),
        (
            ("spent_solvent_codes", "parts=xylene:80 %, toluene:9 %", "flash_point=26 degC", "degreasing=maybe"),
            ['calc spent_solvent_codes: degreasing: "maybe" is neither yes nor no; write "yes" or "no"'],
        ),
        (
            ("spent_solvent_codes", "parts=xylene:80 %, toluene:9 %", "flash_point=26 degC"),
            ['calc spent_solvent_codes: the shares must add up to 100 %; write what is on no list as "other"'],
        ),
        (
            ("last_day", "start=2026-02-30", "days=3"),
            ['calc last_day: start: "2026-02-30" is not a date; write for example "2026-05-07"'],
        ),
        (("last_day", "start=9999-12-31", "days=3"), ["calc last_day: start is too far in the future"]),
        (
            ("emission_by_balance", "used=1 kg", "recovered=0 kg", "waste=4 kg"),
            ["calc emission_by_balance: more is accounted for than there was: check the amounts"],
        ),
        (
            ("purge_time", "volume=100 m3", "airflow=0 cfm", "start=100 ppm", "target=25 ppm"),
            ["calc purge_time: airflow must be above zero"],
        ),
    ],
)
def test_mistakes(arguments: tuple[str, ...], lines: list[str]) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.splitlines() == lines
