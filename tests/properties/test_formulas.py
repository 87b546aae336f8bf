"""What must hold for every formula: dimensions, broadcasting, direction, limits, and exact solutions."""

from __future__ import annotations

import doctest
import math
from importlib import import_module
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from safety import units
from safety.calc.call import WORDS
from safety.formulas import GROUPS, Formula, basis, catalogue, described, formula
from safety.formulas.air import (
    mass_from_ppm,
    ppm_from_mass,
    purge_time,
    two_zone_far,
    two_zone_near,
    well_mixed,
)
from safety.formulas.evaporation import (
    decaying_source,
    evaporation_flux,
    film_drying_time,
    heat_of_vaporisation_from_antoine,
    stefan_flux,
)
from safety.formulas.exposure import compliance_index, exceedance_upper, extended_shift_factor, upper_tolerance
from safety.formulas.ignition import antoine_pressure, flammable_category, mixture_flash_point, packing_group
from safety.formulas.protection import yoon_nelson_time
from safety.formulas.transfer import (
    buoyant_transfer_level,
    buoyant_transfer_upright,
    combined_transfer,
    heat_transfer_from_mass_transfer,
    laminar_transfer,
    mass_transfer_coefficient,
    vapour_diffusivity,
)

# ------------------------------------------------------------------ the catalogue itself


@pytest.mark.parametrize("group", GROUPS)
def test_doctests(group: str) -> None:
    result = doctest.testmod(import_module(f"safety.formulas.{group}"))
    assert result.attempted > 0
    assert result.failed == 0


@pytest.mark.parametrize("entry", catalogue().values(), ids=lambda e: e.name)
def test_entry_is_complete(entry: Formula) -> None:
    """Every kind exists, the citation is there, and the docstring says what it returns and raises."""
    kinds = [k for _, kind in entry.inputs for k in kind.removesuffix(", ...").replace(":", "|").split("|")]
    known = {*units.KINDS, *WORDS}
    assert set(kinds) <= known, f"{entry.name}: write a kind of units.KINDS for each input in @formula"
    gives = {*units.KINDS, "text"}
    assert set(entry.gives.split("|")) <= gives, f"{entry.name}: write a kind of units.KINDS as gives in @formula"
    assert entry.source, f"{entry.name}: write source = author, title, edition and equation in @formula"
    text = entry.function.__doc__ or ""
    assert "Returns" in text, f'{entry.name}: write "Returns [unit]." below the equation in its docstring'
    for name, _ in entry.inputs:
        assert name in text, f"{entry.name}: write what {name} is, with its unit, below the equation in its docstring"


# ------------------------------------------------------------------ dimensional homogeneity
# Powers of (kg, m, s, K, mol) of each kind. A formula that holds no constant with a unit, except R
# and 1 atm which are scaled along, must follow when every base unit is changed (styles: scale test).

DIMENSION = {
    "mass": (1, 0, 0, 0, 0),
    "volume": (0, 3, 0, 0, 0),
    "length": (0, 1, 0, 0, 0),
    "area": (0, 2, 0, 0, 0),
    "time": (0, 0, 1, 0, 0),
    "temperature": (0, 0, 0, 1, 0),
    "kelvin": (0, 0, 0, 1, 0),
    "concentration": (1, -3, 0, 0, 0),
    "solubility": (1, -3, 0, 0, 0),
    "mass_rate": (1, 0, -1, 0, 0),
    "airflow": (0, 3, -1, 0, 0),
    "rate": (0, 0, -1, 0, 0),
    "speed": (0, 1, -1, 0, 0),
    "pressure": (1, -1, -2, 0, 0),
    "molar_mass": (1, 0, 0, 0, -1),
    "molar_energy": (1, 2, -2, 0, -1),
    "flux": (1, -2, -1, 0, 0),
    "permeability": (0, 1, -1, 0, 0),
    "diffusivity": (0, 2, -1, 0, 0),
    "amount": (0, 0, 0, 0, 1),
    **dict.fromkeys(("ppm", "air_share", "fraction", "number", "count"), (0, 0, 0, 0, 0)),
}
GAS_CONSTANT_DIMENSION = (1, 2, -2, -1, -1)

#: Inputs in SI for every formula without a constant of its own that has a unit.
HOMOGENEOUS: dict[str, dict[str, Any]] = {
    "ppm_from_mass": {"concentration": 4e-4, "molar_mass": 0.092, "temperature": 298.0, "pressure": 9e4},
    "mass_from_ppm": {"concentration": 100.0, "molar_mass": 0.092, "temperature": 298.0, "pressure": 9e4},
    "well_mixed": {
        "generation": 1e-4, "airflow": 0.2, "volume": 300.0, "time": 700.0, "start": 1e-5, "mixing": 0.4,
    },
    "two_zone_near": {
        "generation": 1e-4, "airflow": 0.3, "exchange": 0.1, "volume": 90.0, "near_volume": 1.1, "time": 80.0,
    },
    "two_zone_far": {
        "generation": 1e-4, "airflow": 0.3, "exchange": 0.1, "volume": 90.0, "near_volume": 1.1, "time": 80.0,
    },
    "near_field_exchange": {"radius": 0.8, "air_speed": 0.06},
    "stream_exchange": {"radius": 0.8, "face_velocity": 0.5},
    "purge_time": {"volume": 90.0, "airflow": 0.3, "start": 4e-4, "target": 2e-5, "mixing": 0.5},
    "dilution_airflow": {"generation": 1e-4, "limit": 7e-5, "mixing": 0.5},
    "explosive_dilution_airflow": {
        "generation": 1e-4, "lower_limit": 0.01, "fraction": 0.25, "mixing": 0.5, "molar_mass": 0.09,
        "temperature": 300.0, "pressure": 8e4,
    },
    "saturation_concentration": {"vapour_pressure": 2900.0, "molar_mass": 0.092, "temperature": 293.0},
    "evaporation_flux": {
        "mass_transfer": 6e-4, "molar_mass": 0.09, "vapour_pressure": 3e3, "temperature": 295.0, "background": 200.0,
    },
    "stefan_flux": {
        "mass_transfer": 6e-4, "molar_mass": 0.06, "vapour_pressure": 2e4, "temperature": 295.0, "background": 200.0,
        "pressure": 9e4,
    },
    "combined_transfer": {"forced": 7e-4, "laminar": 1.1e-3, "buoyant": 1.4e-3},
    "held_back": {"mass_transfer": 2e-3, "area": 5.0, "airflow": 0.01, "volume": 30.0, "time": 3600.0},
    "setting_film_given_off": {
        "mass_transfer": 2e-3, "vapour_pressure": 3790.0, "amount": 2.0, "area": 1.2, "temperature": 298.0, "time": 300.0,
    },
    "decaying_source": {"mass": 0.1, "rate": 5e-4, "time": 600.0},
    "heat_of_vaporisation_from_antoine": {"antoine_b": 1345.0, "antoine_c": -53.7, "temperature": 298.0},
    "exceedance_fraction": {"geometric_mean": 1e-6, "geometric_sd": 1.8, "limit": 5e-6},
    "flammable_mass": {
        "volume": 6.0, "lower_limit": 0.011, "fraction": 0.1, "molar_mass": 0.092, "temperature": 298.0,
        "pressure": 8e4,
    },
    "protection_factor_needed": {"concentration": 6e-4, "limit": 1e-4},
    "maximum_use_concentration": {"protection_factor": 10.0, "limit": 1e-4},
    "yoon_nelson_time": {"penetration": 0.1, "half_time": 4900.0, "constant": 17.9},
    "glove_wear_time": {"breakthrough": 7200.0, "factor": 0.4},
    "permeation_lag_time": {"thickness": 3e-4, "diffusivity": 5e-12},
}  # fmt: skip


@pytest.mark.parametrize("name", HOMOGENEOUS)
def test_answer_follows_when_base_units_change(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    entry, inputs = catalogue()[name], HOMOGENEOUS[name]
    scale = np.array([3.7, 0.21, 11.0, 1.9, 0.43])  # kg, m, s, K, mol in the new base units

    def factor(kind: str) -> float:
        return float(np.prod(scale ** np.array(DIMENSION[kind.split("|")[-1]])))

    before = entry.function(**inputs)
    module = import_module(f"safety.formulas.{entry.group}")
    for constant, powers in (
        ("GAS_CONSTANT", GAS_CONSTANT_DIMENSION),
        ("ATMOSPHERE", DIMENSION["pressure"]),
    ):
        if hasattr(module, constant):
            monkeypatch.setattr(module, constant, getattr(basis, constant) * float(np.prod(scale ** np.array(powers))))
    after = entry.function(**{key: inputs[key] * factor(kind) for key, kind in entry.inputs})
    assert after == pytest.approx(before * factor(entry.gives), rel=1e-12)


@pytest.mark.parametrize("name", HOMOGENEOUS)
def test_arrays_give_what_floats_give(name: str) -> None:
    entry, inputs = catalogue()[name], HOMOGENEOUS[name]
    for key in inputs:
        column = inputs[key] * np.array([[1.0], [0.97]])
        both = entry.function(**{**inputs, key: column})
        assert np.shape(both) == (2, 1)
        alone = [entry.function(**{**inputs, key: float(value)}) for value in column[:, 0]]
        assert both[:, 0] == pytest.approx(alone, rel=1e-12)


# ------------------------------------------------------------------ against numerical integration (SciPy)


def _zones(airflow: float, exchange: float, volume: float, near_volume: float, time: float) -> tuple[float, float]:
    generation = 1.3e-4

    def change(_: float, c: Any) -> list[float]:
        near, far = c
        return [
            (generation + exchange * (far - near)) / near_volume,
            (exchange * (near - far) - airflow * far) / (volume - near_volume),
        ]

    solved = solve_ivp(change, (0, time), [0.0, 0.0], method="LSODA", rtol=1e-11, atol=1e-20)
    return float(solved.y[0, -1]), float(solved.y[1, -1])


@pytest.mark.parametrize(
    ("airflow", "exchange", "volume", "near_volume", "time"),
    [
        (0.555, 0.1207, 1999.97, 1.07, 900.0),
        (0.0, 0.1, 300.0, 1.0, 3600.0),  # no fresh air at all
        (2.0, 0.05, 30.0, 5.0, 60.0),
        (0.01, 1.0, 20.0, 9.9, 7200.0),
        (5.0, 0.4, 60.0, 30.0, 5.0),
    ],
)
def test_two_zones_equal_numerical_integration(
    airflow: float, exchange: float, volume: float, near_volume: float, time: float
) -> None:
    near, far = _zones(airflow, exchange, volume, near_volume, time)
    arguments = (1.3e-4, airflow, exchange, volume, near_volume, time)
    assert two_zone_near(*arguments) == pytest.approx(near, rel=1e-8)
    assert two_zone_far(*arguments) == pytest.approx(far, rel=1e-8)


@pytest.mark.parametrize("solids", [0.0, 0.05])
def test_film_drying_equals_numerical_integration(solids: float) -> None:
    """Toluene and 2-butanone film; the moles are followed in time by the molar balance itself."""
    parts, area, temperature = [(0.651, 5.2e-4, 3786.0), (0.277, 5.8e-4, 12100.0)], 1.2, 298.15
    start = [n for n, _, _ in parts]
    left = 0.02

    def change(_: float, moles: Any) -> list[float]:
        total = sum(moles) + solids
        return [
            -area * k * p * n / total / (basis.GAS_CONSTANT * temperature)
            for n, (_, k, p) in zip(moles, parts, strict=True)
        ]

    def dry(_: float, moles: Any) -> float:
        return float(sum(moles)) - left * sum(start)

    dry.terminal = True  # type: ignore[attr-defined]
    solved = solve_ivp(change, (0, 1e5), start, method="LSODA", events=dry, rtol=1e-11, atol=1e-14)
    assert film_drying_time(parts, area, temperature, solids, left) == pytest.approx(solved.t_events[0][0], rel=1e-7)


def test_drying_to_nothing_is_the_end_of_drying_to_less_and_less() -> None:
    parts = [(0.651, 5.2e-4, 3786.0), (0.277, 5.8e-4, 12100.0)]
    assert film_drying_time(parts, 1.2, 298.15, 0.0, 1e-9) == pytest.approx(
        film_drying_time(parts, 1.2, 298.15), rel=1e-8
    )


def test_decaying_source_gives_off_all_of_it() -> None:
    total, _ = quad(lambda t: decaying_source(0.1, 5e-4, t), 0, 1e5)
    assert total == pytest.approx(0.1, rel=1e-8)


def test_antoine_heat_is_the_slope_of_the_pressure() -> None:
    """Clausius-Clapeyron by finite difference: H = R T^2 d(ln P)/dT."""
    t, d = 298.15, 0.01
    slope = math.log(antoine_pressure(9.08, 1345.0, -53.7, t + d)) - math.log(
        antoine_pressure(9.08, 1345.0, -53.7, t - d)
    )
    expected = basis.GAS_CONSTANT * t**2 * slope / (2 * d)
    assert heat_of_vaporisation_from_antoine(1345.0, -53.7, t) == pytest.approx(expected, rel=1e-6)


# ------------------------------------------------------------------ properties

positive = st.floats(1e-6, 1e3)


@given(c=st.floats(1e-9, 1), m=st.floats(0.002, 1), t=st.floats(200, 400), p=st.floats(5e4, 2e5))
@settings(max_examples=60, deadline=None)
def test_ppm_and_mass_undo_each_other(c: float, m: float, t: float, p: float) -> None:
    assert mass_from_ppm(ppm_from_mass(c, m, t, p), m, t, p) == pytest.approx(c, rel=1e-12)


@given(q=st.floats(0, 10), more=st.floats(1.001, 5), t=st.floats(1, 1e5), start=st.floats(0, 1e-3))
@settings(max_examples=60, deadline=None)
def test_more_air_is_never_more_vapour_in_a_mixed_room(q: float, more: float, t: float, start: float) -> None:
    # holds for any start: the start decays faster and the source is thinned more
    assert well_mixed(1e-4, q * more, 100.0, t, start) <= well_mixed(1e-4, q, 100.0, t, start) * (1 + 1e-12)


@given(q=st.floats(1e-3, 10), b=st.floats(1e-3, 10), t=st.floats(1, 1e5))
@settings(max_examples=60, deadline=None)
def test_near_is_over_far_and_under_its_steady_state(q: float, b: float, t: float) -> None:
    near, far = two_zone_near(1.0, q, b, 100.0, 1.0, t), two_zone_far(1.0, q, b, 100.0, 1.0, t)
    assert near >= far >= 0
    assert near <= (1 / q + 1 / b) * (1 + 1e-9)
    assert far <= 1 / q * (1 + 1e-9)


def test_a_strong_exchange_makes_one_room_of_two_zones() -> None:
    mixed = well_mixed(1e-4, 0.3, 90.0, 600.0)
    assert two_zone_near(1e-4, 0.3, 1e5, 90.0, 1.0, 600.0) == pytest.approx(mixed, rel=1e-4)
    assert two_zone_far(1e-4, 0.3, 1e5, 90.0, 1.0, 600.0) == pytest.approx(mixed, rel=1e-4)


def test_a_room_without_air_keeps_everything() -> None:
    assert well_mixed(1e-4, 0.0, 90.0, 600.0, 1e-3) == pytest.approx(1e-3 + 1e-4 * 600 / 90, rel=1e-12)


@given(v=positive, q=positive, c=st.floats(1e-6, 1e-2), ratio=st.floats(0.01, 1.0))
@settings(max_examples=60, deadline=None)
def test_purge_time_ends_at_the_target(v: float, q: float, c: float, ratio: float) -> None:
    t = purge_time(v, q, c, c * ratio)
    assert well_mixed(0.0, q, v, t, c) == pytest.approx(c * ratio, rel=1e-9)


def test_air_that_is_clear_needs_no_purge() -> None:
    assert purge_time(100.0, 1.0, 1e-5, 1e-4) == 0


def test_stefan_flux_is_the_plain_flux_for_a_weak_vapour_and_more_for_a_strong_one() -> None:
    assert stefan_flux(6e-4, 0.09, 1.0, 295.0) == pytest.approx(evaporation_flux(6e-4, 0.09, 1.0, 295.0), rel=1e-5)
    assert stefan_flux(6e-4, 0.06, 3e4, 295.0) > 1.15 * evaporation_flux(6e-4, 0.06, 3e4, 295.0)


def test_heat_transfer_of_water_vapour_meets_the_lewis_relation() -> None:
    """h / (k rho cp) is about 0.9 for water in air (Bird, Stewart & Lightfoot, wet-bulb thermometer)."""
    h = heat_transfer_from_mass_transfer(0.01, 293.15, 2.5e-5)
    assert h / (0.01 * 1.204 * 1006) == pytest.approx(0.89, abs=0.02)


def test_diffusivity_rises_with_temperature_and_falls_with_mass() -> None:
    assert vapour_diffusivity(0.09, 310.0) > vapour_diffusivity(0.09, 290.0) > vapour_diffusivity(0.12, 290.0)


TOLUENE = (277.55, 9.0795, 1344.8, -53.67)  # flash point 4.4 degC
MEK = (264.15, 9.1863, 1261.3, -51.18)  # flash point -9 degC


def test_flash_point_of_a_pure_liquid_is_its_own() -> None:
    assert mixture_flash_point([(1.0, *TOLUENE)]) == pytest.approx(277.55, abs=1e-9)


def test_ideal_flash_point_of_equal_moles_of_mek_and_toluene() -> None:
    """Raoult holds for this pair (Korean study, abstract); ideal Liaw gives -3.6 degC computed elsewhere."""
    assert mixture_flash_point([(0.5, *TOLUENE), (0.5, *MEK)]) - 273.15 == pytest.approx(-3.6, abs=0.3)


@given(x=st.floats(0.01, 0.99))
@settings(max_examples=40, deadline=None)
def test_ideal_flash_point_lies_between_the_parts(x: float) -> None:
    assert 264.15 < mixture_flash_point([(x, *TOLUENE), (1 - x, *MEK)]) < 277.55


def test_water_in_the_liquid_raises_the_flash_point() -> None:
    assert mixture_flash_point([(0.2, *TOLUENE)]) > mixture_flash_point([(0.8, *TOLUENE)]) > 277.55


@pytest.mark.parametrize(("celsius", "category"), [(22.999, "Category 2"), (23.0, "Category 3"), (60.0, "Category 3")])
def test_category_on_its_boundary(celsius: float, category: str) -> None:
    assert flammable_category(celsius + 273.15, 400.0) == category


def test_packing_group_on_its_boundary() -> None:
    assert packing_group(23 + 273.15, 35 + 273.15) == "I"
    assert packing_group(60 + 273.15, 400.0) == "III"


@given(h=st.floats(0.1, 23.9))
@settings(max_examples=40, deadline=None)
def test_a_limit_is_never_scaled_up(h: float) -> None:
    assert 0 < extended_shift_factor(h) <= 1
    assert (extended_shift_factor(h) == 1) == (h <= 8)


def test_half_time_is_where_half_comes_through() -> None:
    assert yoon_nelson_time(0.5, 4900.0, 17.9) == pytest.approx(4900.0, rel=1e-12)


def test_welding_fume_complies_with_en_689_though_its_95_95_limit_does_not() -> None:
    """Hewett's six welding-fume results against a limit of 5 mg/m3: U_R 2.555 over U_T 2.187."""
    fume = np.array([0.84, 0.98, 0.42, 1.16, 1.36, 2.66]) * 1e-6
    assert upper_tolerance(fume) < 5e-6 < upper_tolerance(fume, 0.95)


@pytest.mark.parametrize(("limit", "share"), [(0.5, 1.0), (2.0, 0.0)])
def test_exceedance_without_a_spread_to_speak_of(limit: float, share: float) -> None:
    assert exceedance_upper([1.0, 1.0, 1.0, 1.0, 1.0, 1.0 + 1e-12], limit, 0.95) == share


def test_measurements_that_are_alike_are_refused() -> None:
    with pytest.raises(ValueError, match=r"^measurements must differ$"):
        compliance_index([1e-6] * 6, 5e-6)


# ------------------------------------------------------------------ inputs that cannot be


@pytest.mark.parametrize(
    ("name", "change", "says"),
    [
        ("purge_time", {"airflow": 0.0}, "airflow must be above zero"),
        ("purge_time", {"target": 0.0}, "target must be above zero"),
        ("purge_time", {"mixing": 1.5}, "mixing must lie above 0 and not over 1"),
        ("well_mixed", {"volume": 0.0}, "volume must be above zero"),
        ("well_mixed", {"airflow": -1.0}, "airflow cannot be below zero"),
        ("two_zone_near", {"near_volume": 90.0}, "near_volume must be smaller than volume, which is the whole room"),
        ("two_zone_far", {"exchange": 0.0}, "exchange must be above zero"),
        ("dilution_airflow", {"limit": 0.0}, "limit must be above zero"),
        ("explosive_dilution_airflow", {"fraction": 0.0}, "fraction must lie above 0 and not over 1"),
        ("stefan_flux", {"vapour_pressure": 9e4}, "vapour_pressure reaches the pressure of the air: the liquid boils"),
        ("exceedance_fraction", {"geometric_sd": 1.0}, "geometric_sd must be over 1"),
        ("protection_factor_needed", {"limit": 0.0}, "limit must be above zero"),
        ("yoon_nelson_time", {"penetration": 1.0}, "penetration must be under 1"),
        ("permeation_lag_time", {"diffusivity": 0.0}, "diffusivity must be above zero"),
    ],
)
def test_impossible_input_is_one_sentence(name: str, change: dict[str, float], says: str) -> None:
    with pytest.raises(ValueError, match=f"^{says}$"):
        catalogue()[name].function(**{**HOMOGENEOUS[name], **change})


def test_film_with_solids_needs_an_end() -> None:
    with pytest.raises(ValueError, match=r"^left must be above zero for a film with solids"):
        film_drying_time([(0.5, 5e-4, 3e3)], 1.0, 298.0, solids=0.1)


def test_nan_is_refused() -> None:
    with pytest.raises(ValueError, match="volume must be above zero"):
        purge_time(float("nan"), 1.0, 1e-4, 1e-5)


def test_laminar_transfer_is_what_the_plate_gives() -> None:
    """Sh = 0.664 Re^(1/2) Sc^(1/3): at Re = 10 000 and Sc = 1 it is 66.4 (Pohlhausen 1921)."""
    diffusivity = vapour_diffusivity(0.092, 298.0)
    schmidt = 1.5e-5 / diffusivity
    k = laminar_transfer(0.5, 0.3, 0.092, 298.0)
    assert k * 0.3 / diffusivity == pytest.approx(66.4 * schmidt ** (1 / 3), rel=1e-9)


def test_transfer_by_buoyancy_alone_follows_the_published_numbers() -> None:
    """Numbers worked by hand at a Rayleigh number of 1e6: 0.54, 0.27 times 10^1.5; 0.15 times 10^(8/3) at 1e8."""
    diffusivity = vapour_diffusivity(0.092, 298.0)
    for rayleigh, sign, sherwood in ((1e6, -1, 17.08), (1e6, 1, 8.538), (1e8, -1, 69.62)):
        excess = sign * rayleigh * 1.5e-5 * diffusivity / 9.80665 / 0.25**3
        k = buoyant_transfer_level(excess, 1.0, 0.092, 298.0)
        assert k * 0.25 / diffusivity == pytest.approx(sherwood, rel=1e-3)


def test_upright_transfer_by_buoyancy_lies_near_the_older_rule_for_turbulent_flow() -> None:
    """0.13 Ra^(1/3) (McAdams 1954) and Churchill & Chu agree within a fifth at 1e9 to 1e12."""
    diffusivity = vapour_diffusivity(0.092, 298.0)
    for rayleigh in (1e9, 1e10, 1e12):
        excess = rayleigh * 1.5e-5 * diffusivity / 9.80665
        k = buoyant_transfer_upright(excess, 1.0, 0.092, 298.0)
        assert k / diffusivity == pytest.approx(0.13 * rayleigh ** (1 / 3), rel=0.2)


@given(st.floats(1e-3, 3.0), st.floats(0.05, 15.0), st.floats(-0.02, 0.6))
def test_transfer_never_falls_when_the_air_moves_or_the_vapour_weighs_more(u: float, size: float, e: float) -> None:
    def k(speed: float, excess: float) -> float:
        over = (speed, size, 0.092, 298.0)
        buoyant = buoyant_transfer_level(excess, size**2, 0.092, 298.0)
        return float(combined_transfer(mass_transfer_coefficient(*over), laminar_transfer(*over), buoyant))

    assert k(u, e) <= k(u + 0.05, e) * (1 + 1e-12)
    assert k(u, abs(e)) <= k(u, 1.1 * abs(e)) * (1 + 1e-12)
    assert k(u, e) >= mass_transfer_coefficient(u, size, 0.092, 298.0) * (1 - 1e-12)


def test_evaporation_follows_air_speed_as_in_a_test_chamber() -> None:
    """n-decane at 0.15 and 0.30 m/s: + 50 % (De Bortoli et al., Environ. Sci. Technol. 33 (1999) 1760, abstract)."""

    def k(speed: float, size: float) -> float:
        over = (speed, size, 0.14228, 296.15)
        excess = 170.0 / 101325.0 * (0.14228 / 0.028964 - 1)  # about 170 Pa at 23 degC
        buoyant = buoyant_transfer_level(excess, size**2, 0.14228, 296.15)
        return float(combined_transfer(mass_transfer_coefficient(*over), laminar_transfer(*over), buoyant))

    for size in (0.05, 0.1, 0.2):
        assert k(0.30, size) / k(0.15, size) == pytest.approx(1.5, abs=0.15)


def test_a_formula_that_cannot_be_entered_says_the_line_to_write() -> None:
    """A kind that nobody can read came out as a bare KeyError, once somebody asked for the formula."""

    def thinning(flow: float) -> float:
        return flow

    def purge_time(flow: float) -> float:
        return flow

    with pytest.raises(TypeError, match=r'"volume_flow", and there is no such kind of quantity; write volume or'):
        described(thinning, gives="time", source="made up", flow="volume_flow")
    with pytest.raises(TypeError, match=r"safety\.formulas\.air has a formula purge_time already; give yours another"):
        formula(gives="time", source="made up", flow="airflow")(purge_time)
