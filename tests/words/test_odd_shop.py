"""A shop that writes Spanish, on a bad day: whatever it does not know is still said in whole sentences."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from safety.render import text
from safety.words import LANGUAGES, speaking, speech
from safety.workplace import assess_job

SHOP = """
[shop]
name = "Taller inventado"
rules = ["us-federal"]
expects = ["ventilation", "ruido"]
plugins = ["roto.py", "vacio.py"]

[[place]]
id = "cabina"
kind = "booth"
volume = "60 m^3"
temperature = ["20 degC", "28 degC"]
[[place.air]]
state = "extractor encendido"
air_changes = ["60 /hour", "100 /hour"]
air_speed = ["0.3 m/s", "0.6 m/s"]
face_velocity = ["0.4 m/s", "0.6 m/s"]
basis = "medido con trazador"
measured = 2026-02-03

[[place]]
id = "patio"
kind = "outdoor"
temperature = "25 degC"
[[place.air]]
state = "viento"
air_speed = ["0.5 m/s", "3 m/s"]
basis = "suposición nuestra"

[[container]]
id = "mezcla-1"
stream = "brochas con cloruro de metileno"
reactivity = []
size = "40 L"
kind = "satellite"
accepts = ["tools-and-gloves", "wet-cloths"]
contents = "methylene chloride"
"""
BROKEN = """
from safety import hookimpl
hazstep_hooks = 2
@hookimpl
def assess(job, exposure):
    raise ValueError("division by zero")
@hookimpl
def sheet_blocks(job, exposure, findings):
    return 5
"""
PAINT = """
[product]
id = "pintura"
name = "Poliuretano 2K"
role = "coating"
purpose = "coating"
density = "1.02 g/mL"
flash_point = "25 degC"
hazards = ["H226", "H332", "H334"]
[[product.part]]
cas = "822-06-0"
weight = ["0.1 %", "0.5 %"]
[[product.part]]
cas = "123-86-4"
weight = ["30 %", "40 %"]
[[product.part]]
name = "resina"
weight = ["50 %", "65 %"]
volatile = false
"""
SECRET = """
[product]
id = "secreto"
name = "Limpiador"
role = "cleaner"
purpose = "cleaner"
[[product.part]]
cas = "67-64-1"
weight = ["30 %", "50 %"]
[[product.part]]
name = "secreto comercial"
weight = ["10 %", "30 %"]
"""
STRIPPER = """
[product]
id = "removedor"
name = "Removedor"
role = "remover"
purpose = "remover"
density = "1.25 g/mL"
hazards = ["H336", "H351"]
[[product.part]]
cas = "75-09-2"
weight = ["85 %", "100 %"]
"""
JOB = """
[job]
id = "trabajo"
title = "Pintar de noche"
place = "cabina"
start = 2026-11-25T22:30:00
shift = "12 h"
crew = 1
[[step]]
name = "Rociar"
duration = "80 min"
ignition_sources = ["compressor"]
[[step.use]]
product = "pintura"
work = "spray"
amount = "500 mL"
area = "4 m^2"
[[step]]
name = "Esperar"
duration = "2 h"
[[step]]
name = "Limpiar afuera"
duration = "20 min"
place = "patio"
structure_holds = "unknown"
[[step.use]]
product = "secreto"
work = "wipe"
amount = "unknown"
area = "1 m^2"
[[step]]
name = "Decapar"
duration = "20 min"
[[step.use]]
product = "removedor"
work = "brush"
amount = "200 mL"
area = "1 m^2"
[[measurement]]
substance = "75-09-2"
value = "300 ppm"
kind = "badge"
duration = "480 min"
date = 2026-10-02
"""

CAPITAL = "a capital after a semicolon"
#: What no sheet prints in any language. Names of the law keep their own dots.
NEVER = {
    "two stops": r"(?<!\.)\.\.(?!\.)",
    "a blank before a stop": r"\w [.,;:](?!\w)",
    CAPITAL: r"; (?!Limpiador|Poliuretano|Removedor|Shepherd)[A-ZÁÉÍÓÚ][a-záéíóú]+ [a-záéíóú]+ [a-záéíóú]+",
    "de el": r"\b(?:de|a) el\b",
    "one of many": r"(?<![\d.,-])1 (?:resultados|results|Ergebnisse|días|days|Tage|notas|notes|Hinweise)\b",
    "an exponent": r"\d[eE][+-]\d",
    "a class of the program": r"Unsound|Hangs",
    "a reversed least": r"\bal menos de\b",
}


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory, trusts: Callable[[Path], Path]) -> Path:
    folder = tmp_path_factory.mktemp("odd")
    files = {
        "shop.toml": SHOP,
        "roto.py": BROKEN,
        "vacio.py": "hazstep_hooks = 2\n",
        "products/pintura.toml": PAINT,
        "products/secreto.toml": SECRET,
        "products/removedor.toml": STRIPPER,
        "jobs/trabajo.toml": JOB,
    }
    for name, held in files.items():
        path = folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(held, encoding="utf-8")
    return trusts(folder)


@pytest.fixture(scope="module", params=LANGUAGES)
def page(shop: Path, request: pytest.FixtureRequest) -> str:
    monkeypatch = pytest.MonkeyPatch()
    monkeypatch.setattr(text, "WIDTH", 10**4)  # a sentence in one piece
    with speaking(speech(request.param)), monkeypatch.context():
        made = text.sheet(assess_job(shop / "jobs" / "trabajo.toml", draws=60), full=True)
    monkeypatch.undo()
    return made


@pytest.mark.parametrize("fault", NEVER)
def test_what_is_put_together_reads_as_a_sentence(page: str, fault: str) -> None:
    if fault == CAPITAL and "UNBEKANNT" in page:
        pytest.skip("every noun of German has a capital")
    found = [line.strip() for line in page.splitlines() if re.search(NEVER[fault], line)]
    assert found == []


def test_a_part_known_by_its_number_is_called_by_its_name(page: str) -> None:
    assert re.search(r"n-butyl acetate|acetato de n-butilo|n-Butylacetat", page)
    assert not re.search(r"\b(123-86-4|67-64-1|822-06-0)\b", page)


def test_a_source_bears_the_shop_s_word(page: str) -> None:
    assert re.search(r"(engine|motor|Motor) \(compressor\)", page)


def test_what_the_shop_measured_is_not_said_to_be_assumed(page: str) -> None:
    said = [
        line
        for line in page.splitlines()
        if re.search("gives no day on which|no da ningún día en que|nennt keinen Tag", line)
    ]
    assert [line for line in said if "suposición nuestra" in line]
    assert not [line for line in said if "medido con" in line]


def test_an_open_end_is_not_called_clear(page: str) -> None:
    """Nobody knows when its vapour can no longer burn: no sentence gives a time at which the air is clear."""
    assert re.search(r"is not clear before \d|no queda despejado antes de las \d|ist nicht frei vor \d", page)
    assert not re.search(r"is clear at \d|\bqueda despejado a las \d|ist um \d\S* wieder frei", page)
