"""A sheet in another language calls the shop's own things by their second names, and decides the same.

Before, a Spanish sheet said "Retire los guantes al final de “Strip the old sealer”": the one word that says which
work is meant stood in the language that its reader had asked not to get. ``names`` was an unknown key.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.files.reading import read_all
from safety.render import text
from safety.words import speaking, speech
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Boat shed (invented)"
print_units = "si"
rules = ["us-federal"]
[[place]]
id = "shed"
name = "Long shed"
names.es = "Nave larga"
kind = "room"
volume = "200 m3"
temperature = "20 degC"
[[place.air]]
state = "doors shut"
names.es = "puertas cerradas"
air_changes = "2 /hour"
air_speed = "0.1 m/s"
basis = "estimated"
[[glove]]
id = "liner"
name = "Flat liner"
names.es = "Guante interior plano"
material = "PE/EVAL laminate"
thickness = "0.06 mm"
[[respirator]]
id = "half"
name = "Half mask with cartridges"
names.es = "Media cara con cartuchos"
kind = "air-purifying"
facepiece = "half mask"
cartridge = "organic vapour"
[[eyewear]]
id = "gog"
name = "Splash goggles"
names.es = "Goggles contra salpicaduras"
kind = "splash goggles"
[[container]]
id = "rags-1"
stream = "wet rags with flammable solvent"
accepts = ["wet-cloths"]
reactivity = ["flammable"]
names.es = "trapos mojados con solvente"
size = "40 L"
kind = "satellite"
"""
PRODUCT = """
[product]
id = "wash"
name = "Wash 7 (invented)"
names = { es = "Solvente de lavado" }
role = "cleaner"
purpose = "cleaner"
density = "0.87 g/mL"
flash_point = "4 degC"
hazards = ["H225", "H304"]
part = [{ cas = "108-88-3", weight = "100 %" }]
"""
JOB = """
[job]
id = "wipe"
title = "Clean the deck"
names.es = "Limpiar la cubierta"
place = "shed"
start = 2026-12-01T08:00:00
crew = 1
[[step]]
name = "Wet it"
names.es = "Mojar"
duration = "10 min"
use = [{ product = "wash", work = "soak", amount = "200 mL", area = "0.5 m2", lifted_by = "Wipe it off" }]
leaves_wet = [{ what = "pad", form = "wet-cloths", product = "wash", amount = "20 mL", area = "0.1 m2", taken_away = "Wipe it off" }]
[[step]]
name = "Wipe it off"
names.es = "Limpiar con trapo"
duration = "10 min"
[[measurement]]
substance = "108-88-3"
value = "20 ppm"
kind = "badge"
step = "Wipe it off"
duration = "10 min"
date = 2026-03-02
"""
TYPED = (
    *("Long shed", "doors shut", "Flat liner", "Half mask with cartridges", "Splash goggles", "Clean the deck"),
    "Wet it",
)
SAID = (
    *("Nave larga", "puertas cerradas", "Guante interior plano", "Limpiar la cubierta", "Mojar", "Limpiar con trapo"),
    "Solvente de lavado (Wash 7 (invented))",
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_shop(tmp_path_factory.mktemp("names") / "shed", SHOP, {"wash": PRODUCT}, {"wipe": JOB})


def page(folder: Path, language: str, monkeypatch: pytest.MonkeyPatch) -> tuple[str, list[object]]:
    monkeypatch.setattr(text, "WIDTH", 10**4)
    with speaking(speech(language)):
        report = sheet(folder, "wipe", 60)
        said = text.sheet(report, full=True)
    decided = sorted((f.plugin, f.key, f.level, -1 if f.step is None else f.step) for f in report.findings)
    figures = sorted((figure.value, figure.unit) for f in report.findings for figure in f.figures)
    return said, [decided, figures, report.complete]


def test_a_sheet_says_the_second_names_of_its_language(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    said, decided = page(folder, "es", monkeypatch)
    assert [name for name in SAID if name not in said] == []
    assert [name for name in TYPED if name in said] == []
    english, same = page(folder, "en", monkeypatch)
    assert [name for name in SAID if name in english] == []
    assert decided == same  # with what is lifted, taken away and measured named by the typed name of a step


def test_every_kind_of_thing_has_its_second_name(folder: Path) -> None:
    with speaking(speech("es")):
        shop, (job,) = read_all(folder)
    assert [shop.places["shed"].name, shop.gloves[0].name, shop.respirators[0].name, shop.eyewear[0].name] == [
        "Nave larga",
        "Guante interior plano",
        "Media cara con cartuchos",
        "Goggles contra salpicaduras",
    ]
    # what goes in is still read from the words that were typed; only what the label says changes
    assert (shop.containers[0].stream, shop.containers[0].contents) == (
        "wet rags with flammable solvent",
        "trapos mojados con solvente",
    )
    assert [step.name for step in job.steps] == ["Mojar", "Limpiar con trapo"]
    assert job.steps[0].uses[0].lifted_by == job.steps[0].leaves_wet[0].taken_away == "Limpiar con trapo"
    assert job.measurements[0].steps == ("Limpiar con trapo",)


def test_without_a_second_name_the_name_stays_as_it_was_typed(tmp_path: Path) -> None:
    bare = [
        part.replace('names.es = "Mojar"\n', "").replace('names = { es = "Solvente de lavado" }\n', "")
        for part in (JOB, PRODUCT)
    ]
    folder = write_shop(tmp_path / "shed", SHOP, {"wash": bare[1]}, {"wipe": bare[0]})
    with speaking(speech("es")):
        shop, (job,) = read_all(folder)
    assert (shop.products["wash"].name, job.steps[0].name) == ("Wash 7 (invented)", "Wet it")
