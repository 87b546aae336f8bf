"""The docs page of the catalogue. Regenerate: python -m safety.formulas.page > docs/formulas.md"""

from __future__ import annotations

import inspect
import shlex

from safety import units
from safety.formulas import Formula, catalogue
from safety.formulas.call import WORDS, call, default
from safety.units import significant

#: One call for each formula, as a person would write it. The tests run every one.
EXAMPLES = {
    "ppm_from_mass": 'concentration="375 mg/m3" molar_mass="92.14 g/mol" temperature="25 degC"',
    "mass_from_ppm": 'concentration="100 ppm" molar_mass="92.14 g/mol" temperature="25 degC"',
    "well_mixed": 'generation="0.1 g/min" airflow="100 cfm" volume="50 m3" time="2 h" mixing=0.5',
    "two_zone_near": 'generation="1 g/min" airflow="33.3 m3/min" exchange="7.24 m3/min" volume="2000 m3" '
    'near_volume="1.07 m3" time="15 min"',
    "two_zone_far": 'generation="1 g/min" airflow="33.3 m3/min" exchange="7.24 m3/min" volume="2000 m3" '
    'near_volume="1.07 m3" time="15 min"',
    "near_field_exchange": 'radius="0.8 m" air_speed="3.6 m/min"',
    "purge_time": 'volume="100 m3" airflow="500 cfm" start="100 ppm" target="25 ppm" mixing=0.5',
    "dilution_airflow": 'generation="1.2 g/min" limit="75 mg/m3" mixing=0.25',
    "explosive_dilution_airflow": 'generation="12 g/min" lower_limit="1.1 %" fraction="25 %" mixing=0.5 '
    'molar_mass="92.14 g/mol" temperature="24 degC"',
    "saturation_concentration": 'vapour_pressure="2.9 kPa" molar_mass="92.14 g/mol" temperature="20 degC"',
    "vapour_diffusivity": 'molar_mass="92.14 g/mol" temperature="25 degC"',
    "mass_transfer_coefficient": 'air_speed="0.1 m/s" length="1 m" molar_mass="92.14 g/mol" temperature="25 degC"',
    "evaporation_flux": 'mass_transfer="0.06 cm/s" molar_mass="92.14 g/mol" vapour_pressure="3.79 kPa" '
    'temperature="25 degC"',
    "stefan_flux": 'mass_transfer="0.06 cm/s" molar_mass="58.08 g/mol" vapour_pressure="24.6 kPa" '
    'temperature="20 degC"',
    "heat_transfer_from_mass_transfer": 'mass_transfer="0.06 cm/s" temperature="20 degC" diffusivity="0.085 cm2/s"',
    "film_drying_time": 'parts="0.65 mol:0.052 cm/s:3786 Pa, 0.277 mol:0.058 cm/s:12.1 kPa" area="1.2 m2" '
    'temperature="25 degC"',
    "decaying_source": 'mass="100 g" rate="0.0318 /min" time="10 min"',
    "heat_of_vaporisation_from_antoine": 'antoine_b="1345 K" antoine_c="-53.7 K" temperature="25 degC"',
    "time_weighted_average": 'concentrations="110 ppm, 330 ppm, 90 ppm" durations="2 h, 2 h, 4 h"',
    "additive_index": 'concentrations="500 ppm, 45 ppm, 40 ppm" limits="1000 ppm, 200 ppm, 200 ppm"',
    "extended_shift_factor": "hours=12",
    "geometric_mean": 'measurements="0.84 mg/m3, 0.98 mg/m3, 0.42 mg/m3, 1.16 mg/m3, 1.36 mg/m3, 2.66 mg/m3"',
    "geometric_sd": 'measurements="0.84 mg/m3, 0.98 mg/m3, 0.42 mg/m3, 1.16 mg/m3, 1.36 mg/m3, 2.66 mg/m3"',
    "exceedance_fraction": 'geometric_mean="1.06 mg/m3" geometric_sd=1.83 limit="5 mg/m3"',
    "tolerance_factor": "count=6",
    "upper_tolerance": 'measurements="0.84 mg/m3, 0.98 mg/m3, 0.42 mg/m3, 1.16 mg/m3, 1.36 mg/m3, 2.66 mg/m3"',
    "antoine_pressure": 'a=9.0795 b="1344.8 K" c="-53.67 K" temperature="20 degC"',
    "vapour_pressure": 'cas=toluene temperature="20 degC"',
    "mixture_lower_limit": 'mole_fractions="0.4, 0.6" limits="1.1 %, 1.4 %"',
    "lower_limit_at": 'lower_limit="1.1 %" temperature="60 degC" heat_of_combustion="3733 kJ/mol"',
    "mixture_flash_point": 'parts="toluene:0.4, 78-93-3:0.6"',
    "flammable_category": 'flash_point="4 degC" boiling_point="110.6 degC"',
    "packing_group": 'flash_point="4 degC" boiling_point="110.6 degC"',
    "charge_relaxation_time": 'permittivity=2.4 conductivity="1 pS/m"',
    "hazardous_mixture_volume": 'room_volume="80 m3"',
    "flammable_mass": 'volume="6 m3" lower_limit="1.1 %" fraction="10 %" molar_mass="92.14 g/mol" '
    'temperature="25 degC"',
    "protection_factor_needed": 'concentration="600 ppm" limit="100 ppm"',
    "maximum_use_concentration": 'protection_factor=10 limit="100 ppm"',
    "skin_permeation": 'log_kow=2.73 molar_mass="92.14 g/mol"',
    "skin_to_inhalation_ratio": 'permeation="0.0362 cm/h" solubility="0.526 g/L" limit="75 mg/m3"',
    "cartridge_service_life_wood": 'concentration="200 ppm" breakthrough="10 %" molar_mass="92.14 g/mol" '
    'density="0.8669 g/mL" vapour_pressure="24.5 mmHg" refractive_index=1.4961 sorbent_mass="26 g" bed_area="25 cm2" '
    'bed_density="0.4 g/cm3" airflow="26.65 L/min" temperature="22 degC"',
    "cartridge_service_life_rule_of_thumb": 'boiling_point="110.6 degC" concentration="150 ppm" humidity="50 %"',
    "yoon_nelson_time": 'penetration="10 %" half_time="82.1 min" constant=17.9',
    "glove_wear_time": 'breakthrough="120 min"',
    "permeation_lag_time": 'thickness="0.3 mm" diffusivity="5e-8 cm2/s"',
}

_HEAD = """\
# Formulas

One published equation, one function in `safety/formulas/`, one line to run it. This page is made
from the catalogue: `python -m safety.formulas.page > docs/formulas.md`.

How to write inputs: `key="number unit"`. Items of a list are parted by a comma and a space. Rows of
a list have their parts joined by colons. Where one quantity is asked for, several may be given
("0.1 m/s, 0.2 m/s"), and the answer has as many. Shares of the air may be given as ppm or %, and
where a formula takes "share of the air or concentration", all such inputs of one call must be of
one sort. A formula marked **unverified** holds something that has not been checked against its
source yet.
"""


def page() -> str:
    """The page as Markdown. Runs every example that needs no substance data."""
    parts, group = [_HEAD], ""
    for entry in catalogue().values():
        if entry.group != group:
            group = entry.group
            parts.append(f"## {group.capitalize()}\n")
        parts.append(_section(entry))
    return "\n".join(parts)


def _section(entry: Formula) -> str:
    blocks = inspect.cleandoc(entry.function.__doc__ or "").split("\n>>>")[0].strip().split("\n\n")
    summary, equation, notes = blocks[0], blocks[1], blocks[2:]
    lines = [
        f"### {entry.name}",
        "",
        summary,
        "",
        "```",
        equation,
        "```",
        "",
        "| input | what to write | if left out |",
    ]
    lines.append("|---|---|---|")
    for key, kind in entry.inputs:
        left_out = default(entry, key).removesuffix(" (default)") if key in entry.optional else "must be given"
        lines.append(f"| `{key}` | {_kind(kind)} | {left_out} |")
    lines += ["", f"Gives {_gives(entry.gives)}.", "", *(f"{note}\n" for note in notes), f"Source: {entry.source}."]
    if entry.unverified:
        lines += ["", f"**Unverified:** {entry.unverified}."]
    for name, low, high in entry.valid:
        lines += ["", f"Published for `{name}` from {low:g} to {high:g} (SI units)."]
    lines += ["", "```console", f"$ hazstep calc {entry.name} {EXAMPLES[entry.name]}"]
    if not any(kind.split(",")[0] in WORDS for _, kind in entry.inputs):  # the answer would move with the data
        lines.append(_first_line(entry.name))
    return "\n".join([*lines, "```", ""])


def _first_line(name: str) -> str:
    answer = call(name, dict(part.split("=", 1) for part in shlex.split(EXAMPLES[name])))
    if isinstance(answer.value, str):
        return f"{name} = {answer.value}"
    return f"{name} = {significant(answer.value, 4)} {'' if answer.unit == '1' else answer.unit}".rstrip()


def _kind(kind: str) -> str:
    several = kind.endswith(", ...")
    one = kind.removesuffix(", ...")
    if one == "cas":
        return 'CAS number or name in the shipped data, such as "108-88-3"'
    if one == "flash_part":
        return 'list of name or CAS number : mole fraction, such as "toluene:0.4, 78-93-3:0.6"'
    choices = [":".join(_words(k) for k in choice.split(":")) for choice in one.split("|")]
    examples = [":".join(units.KINDS[k].example for k in choice.split(":")) for choice in one.split("|")]
    text = f"{' or '.join(choices)}, such as {' or '.join(examples)}"
    return f"list of {text}" if several else text


def _words(kind: str) -> str:
    return {"air_share": "share of the air", "ppm": "parts per million"}.get(kind, kind.replace("_", " "))


def _gives(kind: str) -> str:
    return " or ".join(_words(k) for k in kind.split("|"))


if __name__ == "__main__":
    print(page(), end="")
