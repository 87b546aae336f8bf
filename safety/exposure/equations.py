"""Which equations of the catalogue the air of a job was computed by."""

from __future__ import annotations

from collections.abc import Iterator

from safety.exposure.plan import doors_of
from safety.exposure.result import Exposure
from safety.model import Job, Use

#: Of every air with a wet surface. The two zones are the closed form that cell after cell is solved by.
ALWAYS = (
    "two_zone_near", "two_zone_far", "near_field_exchange", "antoine_pressure", "vapour_diffusivity",
    "mass_transfer_coefficient", "laminar_transfer", "vapour_density_excess", "buoyant_transfer_level",
    "buoyant_transfer_upright", "combined_transfer", "evaporation_flux", "stefan_flux",
    "heat_of_vaporisation_from_antoine", "heat_transfer_from_mass_transfer", "film_drying_time", "held_back",
    "saturation_concentration", "ppm_from_mass", "model_error",
)  # fmt: skip
#: Of what not every job has.
OF_A_FRACTION = ("slice_boiling_point", "watson_factor", "fraction_molar_mass", "fraction_vapour_pressure")
OF_A_SETTING_COAT = ("setting_film_given_off",)
OF_A_DEEP_CAN = ("transfer_below_a_rim",)
OF_A_STREAM = ("stream_exchange",)
OF_A_DOOR = ("doorway_exchange",)
OF_A_HOOD = ("hood_velocity", "hood_capture")
OF_RESULTS = ("updated_error",)


def equations(exposure: Exposure, fraction: bool) -> tuple[str, ...]:
    """Their names, in the order of the work; ``fraction``: what is asked about is a petroleum fraction."""
    return (*ALWAYS, *(OF_A_FRACTION if fraction else ()), *_of_some(exposure))


def _of_some(exposure: Exposure) -> Iterator[str]:
    jobs = (exposure.job, *(n.job for n in exposure.neighbours))
    uses = [use for job in jobs for step in job.steps for use in step.wet_things]
    airs = [air for job in jobs for place in job.places for air in place.airs]
    if any(use.product.forms_film for use in uses):
        yield from OF_A_SETTING_COAT
    if any(isinstance(use, Use) and use.freeboard > 0 for use in uses):
        yield from OF_A_DEEP_CAN
    if any(air.face_velocity is not None for air in airs):
        yield from OF_A_STREAM
    if any(air.capture.high > 0 and air.capture.basis for air in airs):
        yield from OF_A_HOOD
    if any(_opening(job) for job in jobs):
        yield from OF_A_DOOR
    if exposure.learnt:
        yield from OF_RESULTS


def _opening(job: Job) -> bool:
    """Whether the air of a job goes through a door that is known by its opening."""
    return any(door.known and door.airflow is None for *_, door in doors_of(job))
