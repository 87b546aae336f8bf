"""docs/plugin-api.md: what of the program a plugin may use. The list is kept by hand; what each name does is not."""

from __future__ import annotations

import inspect
from importlib import import_module

from safety import model

#: Module -> the names of it that are promised. Records of ``safety.model`` and the formulas of the catalogue always are.
API: dict[str, tuple[str, ...]] = {
    "safety": ("hookimpl",),
    "safety.cited": ("Cited", "Source", "Unknown"),
    "safety.words": ("capital", "clause", "joined", "message", "say", "spoken", "term"),
    "safety.clock": ("clock", "month"),
    "safety.units": ("UnitError", "convert", "read", "show", "significant"),
    "safety.quantities": ("mass", "volume"),
    "safety.levels": ("at_least", "at_most", "compared", "plume", "printed", "shown"),
    "safety.timeline": ("applied", "coats_of"),
    "safety.exposure": ("Exposure", "Neighbour"),
    "safety.exposure.result": (
        *(
            "Balance",
            "Careful",
            "Decisive",
            "Exposure",
            "FarAir",
            "Floats",
            "Learnt",
            "Metrics",
            "NextDoor",
            "PRESSURE",
            "Standing",
            "StepAir",
            "Width",
        ),
        *("all_of", "any_of", "careful", "decisive", "p50", "p95"),
    ),
    "safety.exposure.evidence": ("DAYS", "lowers"),
    "safety.exposure.expected": ("AMBIENT", "expected", "in_ppm"),
    "safety.exposure.origin": ("Inputs", "data_of", "made_of"),
    "safety.exposure.lying": ("Lying", "NEVER", "lying", "stays", "still_wet", "wet_beside", "wet_until"),
    "safety.exposure.meetings": ("two_airs",),
    "safety.formulas": ("described",),
    "safety.formulas.basis": ("ATMOSPHERE",),
    "safety.formulas.ignition": ("FLASH_LOW",),
    "safety.formulas.prediction": ("FEW_RESULTS", "GUESSED", "MEASURED", "Z95"),
    "safety.formulas.protection": ("OSHA_BED_DENSITY",),
    "safety.formulas.waste": ("NONE",),
    "safety.reference": ("Reference", "crossed", "own_packs", "past", "read_pack", "settled"),
    "safety.reference.citing": ("Law", "as_threshold", "called", "cite", "cited", "duty", "sources"),
    "safety.reference.elements": ("formula",),
    "safety.reference.fractions": ("contradictions", "is_fraction", "stated"),
    "safety.reference.grouped": ("Uncounted", "uncounted"),
    "safety.reference.hazards": (
        *("Implied", "ProductHazards", "base", "fits", "product_hazards", "sensitisers", "single", "unproven"),
    ),
    "safety.reference.long_shift": (
        *("as_compared", "compared", "factor", "hours", "longest_stay", "of_shift", "sentence", "words"),
    ),
    "safety.reference.tables": ("beside", "said_by"),
    "safety.files.notation": ("Miswritten",),
    "safety.files.toml": ("open_document",),
}

#: What stands in no docstring.
SAID: dict[str, str] = {
    "safety.hookimpl": "Marks a function of a plugin as the answer to a hook.",
    "safety.units.read": "A quantity as a person writes it, in the SI base unit of its kind.",
    "safety.exposure.lying.NEVER": "The time at which something that does not dry is dry.",
    "safety.exposure.evidence.DAYS": "Days on which results must have been taken before they make a prediction milder.",
    "safety.exposure.expected.AMBIENT": "Temperature [K] at which mg/m3 becomes ppm where no list names another.",
    "safety.exposure.origin.Inputs": "What a figure was made from: the inputs of a `Figure`.",
    "safety.exposure.result.Floats": "An array of floats.",
    "safety.exposure.result.PRESSURE": "Pressure of the air [Pa].",
    "safety.formulas.basis.ATMOSPHERE": "Standard atmosphere [Pa].",
    "safety.formulas.ignition.FLASH_LOW": "Below it a liquid that burns is of GHS category 1 or 2 [K].",
    "safety.formulas.prediction.FEW_RESULTS": "Spread of results from day to day where few are known, as a geometric sd.",
    "safety.formulas.prediction.GUESSED": "Width of the model error upward and downward where something was guessed.",
    "safety.formulas.prediction.MEASURED": "Width of the model error where air, amounts and areas were measured.",
    "safety.formulas.prediction.Z95": "The normal quantile of 95 %.",
    "safety.formulas.protection.OSHA_BED_DENSITY": "Density of a cartridge's carbon [kg/m3].",
    "safety.formulas.waste.NONE": "What a formula of codes gives where there is none.",
}


def said(module: str, name: str) -> str:
    """What a name is for, in one line."""
    if f"{module}.{name}" in SAID:
        return SAID[f"{module}.{name}"]
    first, _, _ = (inspect.getdoc(getattr(import_module(module), name)) or "").partition("\n")
    return first


def page() -> str:
    lines = [
        "# What a plugin may use",
        "",
        "The names a plugin may import from the program, ours as well as yours; [plugins.md](plugins.md) says how one is",
        "written. Anything else may change from one day to the next. A name here changes only with the version of the",
        "hooks. Beside these are promised every record of `safety.model` (its fields are explained in `safety/model/`)",
        "and the functions of [formulas.md](formulas.md), which lie in `safety.formulas.GROUP`.",
        "",
        "This page is made from `tests/pages/plugin_api.py`; a test holds the imports of our own plugins against it.",
    ]
    for module, names in API.items():
        lines += ["", f"## {module}", "", "| name | |", "|---|---|"]
        lines += [f"| `{name}` | {said(module, name).replace('|', '/')} |" for name in names]
    lines += ["", "## safety.model", "", *(f"- `{name}`" for name in sorted(model.__all__))]
    return "\n".join(lines) + "\n"
