"""The docs page of the catalogue. Regenerate: python -m tests.pages"""

from __future__ import annotations

import inspect
import re
import shlex
from collections.abc import Mapping

from safety import units
from safety.calc.call import call, default
from safety.files.notation import nearest
from safety.formulas import Formula, catalogue
from safety.hosting import host
from safety.units import significant

#: Kinds whose values come from the shipped data: answers would move with it.
LOOKED_UP = {"cas", "flash_part", "solvent_part", "listed_part"}

#: What to write for a kind that is no quantity.
WRITTEN = {
    "cas": 'CAS number or name in the shipped data, such as "108-88-3"',
    "flash_part": 'list of name or CAS number : mole fraction, such as "toluene:0.4, 78-93-3:0.6"',
    "solvent_part": 'list of name or CAS number : weight share or mass, such as "toluene:60 %, 67-63-0:40 %", or of '
    'mass : molar mass : vapour pressure, such as "80.5 g:72.1 g/mol:70.6 mmHg"',
    "listed_part": 'list of name, CAS number or "other" : share by volume, such as "xylene:80 %, other:20 %"',
    "date": "date, such as 2026-05-07",
    "yes_no": '"yes" or "no"',
}

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
    "stream_exchange": 'radius="0.8 m" face_velocity="0.5 m/s"',
    "doorway_exchange": 'area="1.8 m^2" height="2 m" temperature_difference="2 K" temperature="20 degC" discharge=0.65',
    "hood_velocity": 'airflow="500 cfm" opening="0.09 m^2" distance="0.3 m" flange=yes',
    "hood_capture": 'capture_velocity="0.3 m/s"',
    "purge_time": 'volume="100 m3" airflow="500 cfm" start="100 ppm" target="25 ppm" mixing=0.5',
    "dilution_airflow": 'generation="1.2 g/min" limit="75 mg/m3" mixing=0.25',
    "explosive_dilution_airflow": 'generation="12 g/min" lower_limit="1.1 %" fraction="25 %" mixing=0.5 '
    'molar_mass="92.14 g/mol" temperature="24 degC"',
    "saturation_concentration": 'vapour_pressure="2.9 kPa" molar_mass="92.14 g/mol" temperature="20 degC"',
    "vapour_diffusivity": 'molar_mass="92.14 g/mol" temperature="25 degC"',
    "mass_transfer_coefficient": 'air_speed="0.1 m/s" length="1 m" molar_mass="92.14 g/mol" temperature="25 degC"',
    "laminar_transfer": 'air_speed="0.1 m/s" length="30 cm" molar_mass="92.14 g/mol" temperature="25 degC"',
    "vapour_density_excess": 'vapours="3.79 kPa:92.14 g/mol"',
    "buoyant_transfer_level": 'density_excess=0.0816 area="0.09 m2" molar_mass="92.14 g/mol" temperature="25 degC"',
    "buoyant_transfer_upright": 'density_excess=0.0816 height="30 cm" molar_mass="92.14 g/mol" temperature="25 degC"',
    "combined_transfer": 'forced="0.068 cm/s" laminar="0.11 cm/s" buoyant="0.14 cm/s"',
    "transfer_below_a_rim": 'mass_transfer="0.15 cm/s" freeboard="30 cm" width="10 cm" molar_mass="92.14 g/mol" '
    'temperature="20 degC"',
    "held_back": 'mass_transfer="0.2 cm/s" area="5 m2" airflow="40 m3/h" volume="30 m3" time="1 h"',
    "heat_transfer_from_mass_transfer": 'mass_transfer="0.06 cm/s" temperature="20 degC" diffusivity="0.085 cm2/s"',
    "standard_pressure": 'altitude="1500 m"',
    "evaporation_flux": 'mass_transfer="0.06 cm/s" molar_mass="92.14 g/mol" vapour_pressure="3.79 kPa" '
    'temperature="25 degC"',
    "stefan_flux": 'mass_transfer="0.06 cm/s" molar_mass="58.08 g/mol" vapour_pressure="24.6 kPa" '
    'temperature="20 degC"',
    "film_drying_time": 'parts="0.65 mol:0.052 cm/s:3786 Pa, 0.277 mol:0.058 cm/s:12.1 kPa" area="1.2 m2" '
    'temperature="25 degC"',
    "setting_film_given_off": 'mass_transfer="0.2 cm/s" vapour_pressure="3.79 kPa" amount="2 mol" area="1.2 m2" '
    'temperature="25 degC" time="5 min"',
    "decaying_source": 'mass="100 g" rate="0.0318 /min" time="10 min"',
    "heat_of_vaporisation_from_antoine": 'antoine_b="1345 K" antoine_c="-53.7 K" temperature="25 degC"',
    "time_weighted_average": 'concentrations="110 ppm, 330 ppm, 90 ppm" durations="2 h, 2 h, 4 h"',
    "additive_index": 'concentrations="500 ppm, 45 ppm, 40 ppm" limits="1000 ppm, 200 ppm, 200 ppm"',
    "limit_counted_as_group": "limit='10 ug/m3' molar_mass='168.193 g/mol' count=2 group_molar_mass='42.017 g/mol'",
    "extended_shift_factor": "hours=12",
    "geometric_mean": 'measurements="0.84 mg/m3, 0.98 mg/m3, 0.42 mg/m3, 1.16 mg/m3, 1.36 mg/m3, 2.66 mg/m3"',
    "geometric_sd": 'measurements="0.84 mg/m3, 0.98 mg/m3, 0.42 mg/m3, 1.16 mg/m3, 1.36 mg/m3, 2.66 mg/m3"',
    "exceedance_fraction": 'geometric_mean="1.06 mg/m3" geometric_sd=1.83 limit="5 mg/m3"',
    "tolerance_factor": "count=6",
    "model_error": "deviate=1.645 gsd_up=2",
    "lower_end": 'low="40 ppm" middle="100 ppm" gsd_down=5',
    "updated_error": "share='95 %' results='0.2, 0.3, 0.25'",
    "upper_tolerance": 'measurements="0.84 mg/m3, 0.98 mg/m3, 0.42 mg/m3, 1.16 mg/m3, 1.36 mg/m3, 2.66 mg/m3"',
    "lognormal_percentile": 'geometric_mean="1.06 mg/m3" geometric_sd=1.83',
    "compliance_index": 'measurements="0.84 mg/m3, 0.98 mg/m3, 0.42 mg/m3, 1.16 mg/m3" limit="5 mg/m3"',
    "exceedance_upper": 'measurements="0.84 mg/m3, 0.98 mg/m3, 0.42 mg/m3, 1.16 mg/m3" limit="5 mg/m3"',
    "chance_of_at_least": "count=4 found=1 share=5%",
    "antoine_pressure": 'a=9.0795 b="1344.8 K" c="-53.67 K" temperature="20 degC"',
    "vapour_pressure": 'cas=toluene temperature="20 degC"',
    "mixture_lower_limit": 'mole_fractions="0.4, 0.6" limits="1.1 %, 1.4 %"',
    "lower_limit_at": 'lower_limit="1.1 %" temperature="60 degC" heat_of_combustion="3733 kJ/mol"',
    "lower_limit_from_heat": 'heat_of_combustion="4147 kJ/mol"',
    "ethanol_water_flash_point": 'ethanol="40 %" flash_point="12 degC" a="10.33675" b="1648.22 K" c="-42.232 K"',
    "flash_point_at": 'flash_point="38 degC" pressure="84 kPa"',
    "mixture_flash_point": 'parts="toluene:0.4, 78-93-3:0.6"',
    "flammable_category": 'flash_point="4 degC" boiling_point="110.6 degC"',
    "liquid_class": 'flash_point="40 degF" boiling_point="231 degF"',
    "packing_group": 'flash_point="4 degC" boiling_point="110.6 degC"',
    "charge_relaxation_time": 'permittivity=2.4 conductivity="1 pS/m"',
    "hazardous_mixture_volume": 'room_volume="80 m3"',
    "flammable_mass": 'volume="6 m3" lower_limit="1.1 %" fraction="10 %" molar_mass="92.14 g/mol" '
    'temperature="25 degC"',
    "watson_factor": 'boiling_point="178 degC" density="0.78 g/mL"',
    "fraction_molar_mass": 'boiling_point="178 degC" density="0.78 g/mL"',
    "true_boiling_point": 'distilled="10 %" temperature="173.7 degC"',
    "slice_boiling_point": 'start="150 degC" end="200 degC" first="0 %" last="5 %"',
    "fraction_vapour_pressure": 'boiling_point="178 degC" watson=12.0 temperature="20 degC"',
    "fraction_lower_limit": 'molar_mass="127 g/mol"',
    "fraction_flash_point": 'distilled_tenth="159 degC"',
    "fraction_heat_of_combustion": 'density="0.78 g/mL" molar_mass="142 g/mol"',
    "reciprocal_limit": 'shares="82 %, 18 %" limits="1200 mg/m3, 100 mg/m3"',
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
    "composite_vapour_pressure": 'parts="toluene:60 %, isopropanol:40 %"',
    "content_of_material": 'density="6.55 lb/US_gal" weight="50.67 %"',
    "water_volume_share": 'density="8.52 lb/US_gal" water="53 %"',
    "voc_less_water_and_exempt": 'voc="2.23 lb/US_gal" water="54.2 %" exempt="0 %"',
    "average_content": 'parts="1 US_gal:2.5 lb/US_gal, 0.25 US_gal:6.8 lb/US_gal"',
    "voc_for_solids": 'content="3.5 lb/US_gal"',
    "pollutant_mass": 'volume="6 L" density="0.867 kg/L" weight="100 %"',
    "used_from_stock": 'opening="20 kg" received="16 kg" closing="18 kg" returned="0 kg"',
    "emission_by_balance": 'used="13.4 kg" recovered="0 kg" waste="4 kg"',
    "solvent_input": 'bought="4200 kg" reused="300 kg"',
    "solvent_consumption": 'bought="4200 kg" recovered="150 kg"',
    "fugitive_emission_indirect": 'bought="4200 kg" waste_gas="0 kg" destroyed="0 kg" waste="900 kg" sold="0 kg" '
    'recovered="150 kg"',
    "fugitive_emission_direct": 'water="0 kg" product="50 kg" uncaptured="3000 kg" other="100 kg"',
    "total_solvent_emission": 'fugitive="3150 kg" waste_gas="0 kg"',
    "fugitive_emission_share": 'fugitive="3150 kg" solvent="4200 kg"',
    "reference_emission": 'solids="1 t" factor=2.33',
    "target_emission": 'reference="2330 kg" fugitive_limit="25 %" addition="15 %"',
    "midpoint_share": 'least="2 %" others="80 %"',
    "reportable_share": 'releases="800 lb, 1200 lb" quantities="1000 lb, 5000 lb"',
    "major_source_share": 'emissions="18000 lb, 18000 lb"',
    "generator_category": 'hazardous="104 kg" acute="0 kg"',
    "spent_solvent_codes": 'parts="xylene:80 %, toluene:9 %, other:11 %" flash_point="26 degC"',
    "ignitability_code": 'flash_point="54 degC" water="77 %" alcohol="13 %"',
    "leachate_at_most": 'solids="4000 ppm" solid_mass="1 kg"',
    "empty_container_residue": 'capacity="55 US_gal" density="7 lb/US_gal"',
    "last_day": "start=2026-05-07 days=3",
    "weighted_share": 'shares="2 %, 6 %" weights="10, 1" cut_offs="1 %, 1 %"',
}

_HEAD = """\
# Formulas

One published equation, one function in `safety/formulas/`, one line to run it. What a plugin brings stands under its
name, after ours. This page is made from the catalogue: `python -m tests.pages`.

How to write inputs: `key="number unit"`. Items of a list are parted by a comma and a space. Rows of
a list have their parts joined by colons. Where one quantity is asked for, several may be given
("0.1 m/s, 0.2 m/s"), and the answer has as many. Shares of the air may be given as ppm or %, and
where a formula takes "share of the air or concentration", all such inputs of one call must be of
one sort. A formula marked **unverified** holds something that has not been checked against its
source yet.
"""


def shipped() -> dict[str, Formula]:
    """The formulas that the plugins of this program bring, by name."""
    plugins = host.load()
    plugins.contributions()
    return {name: entry for name, entry in plugins.formulas.items() if entry.group in host.BUILT_IN}


def page(brought: Mapping[str, Formula] | None = None) -> str:
    """The page as Markdown; ``brought`` are formulas of plugins. Runs every example that needs no substance data."""
    parts, group = [_HEAD], ""
    brought = shipped() if brought is None else brought
    for entry in (*catalogue().values(), *brought.values()):
        if entry.group != group:
            group = entry.group
            parts.append(f"## {group.capitalize()}\n")
        parts.append(_section(entry, brought))
    return "\n".join(parts)


def _section(entry: Formula, brought: Mapping[str, Formula]) -> str:
    blocks = inspect.cleandoc(entry.function.__doc__ or "").split("\n>>>")[0].strip().split("\n\n")
    if len(blocks) < 2:
        raise SystemExit(
            f"{entry.name}: its docstring needs a sentence, an empty line and the equation, and below another empty "
            'line what each argument is with its unit, and "Returns [unit]."'
        )
    summary, equation, notes = blocks[0], blocks[1], blocks[2:]
    for key, kind in (*entry.inputs, ("gives", entry.gives)):
        for one in re.split(r"[|:]", kind.removesuffix(", ...")):
            if one not in (*units.KINDS, *WRITTEN, "text"):
                raise SystemExit(
                    f'{entry.name}: write another {key} in @formula, no kind is called "{one}"; {nearest(one, units.KINDS)}'
                )
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
    if entry.name not in EXAMPLES:
        write = f'"{entry.name}": \'{" ".join(f"""{key}="..." """.strip() for key, _ in entry.inputs)}\','
        raise SystemExit(f"{entry.name} has no example: write into EXAMPLES of tests/pages/formulas.py a line {write}")
    lines += ["", "```console", f"$ hazstep calc {entry.name} {EXAMPLES[entry.name]}"]
    if not any(kind.split(",")[0] in LOOKED_UP for _, kind in entry.inputs):  # the answer would move with the data
        lines.append(_first_line(entry.name, brought))
    return "\n".join([*lines, "```", ""])


def _first_line(name: str, brought: Mapping[str, Formula]) -> str:
    answer = call(name, dict(part.split("=", 1) for part in shlex.split(EXAMPLES[name])), brought)
    if isinstance(answer.value, str):
        return f"{name} = {answer.value}"
    return f"{name} = {significant(answer.value, 4)} {'' if answer.unit == '1' else answer.unit}".rstrip()


def _kind(kind: str) -> str:
    several = kind.endswith(", ...")
    one = kind.removesuffix(", ...")
    if one in WRITTEN:
        return WRITTEN[one]
    choices = [":".join(_words(k) for k in choice.split(":")) for choice in one.split("|")]
    examples = [":".join(units.KINDS[k].example for k in choice.split(":")) for choice in one.split("|")]
    text = f"{' or '.join(choices)}, such as {' or '.join(examples)}"
    return f"list of {text}" if several else text


def _words(kind: str) -> str:
    return {"air_share": "share of the air", "ppm": "parts per million"}.get(kind, kind.replace("_", " "))


def _gives(kind: str) -> str:
    return " or ".join(_words(k) for k in kind.split("|"))
