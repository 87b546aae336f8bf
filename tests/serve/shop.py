"""A small shop of its own: a hull is wiped, primed in two coats, and a patch is bonded to it."""

from __future__ import annotations

from pathlib import Path

from tests.unsafe_answers.shops import write_shop

SHOP = """
[shop]
name = "Slipway (invented)"
rules = ["us-federal"]
began = 2026-01-01

[[place]]
id = "shed"
kind = "room"
volume = "2000 m^3"
temperature = "22 degC"

[[place.air]]
state = "gate open"
air_changes = ["6 /hour", "9 /hour"]
air_speed = ["0.1 m/s", "0.2 m/s"]
basis = "invented"

[[place.air]]
state = "gate shut"
air_changes = ["0.3 /hour", "0.5 /hour"]
air_speed = ["0.03 m/s", "0.1 m/s"]
basis = "invented"

[[respirator]]
id = "half-mask"
name = "Half mask"
kind = "air-purifying"
facepiece = "half mask"
cartridge = "organic vapour"
cartridge_limit = "1000 ppm"
sorbent_mass = "100 g"
bed_depth = "22 mm"

[[respirator]]
id = "air-line"
name = "Air line"
kind = "supplied air"
facepiece = "full facepiece"
mode = "pressure demand"

[[eyewear]]
id = "goggles"
kind = "splash goggles"

[[eyewear]]
id = "glasses"
kind = "spectacles"

[[container]]
id = "drum"
stream = "spent solvent"
accepts = ["free-liquid"]
reactivity = []
size = "200 L"
kind = "central"
started = 2026-11-01

[[container]]
id = "rags"
stream = "rags"
reactivity = []
size = "20 L"
kind = "satellite"
started = 2026-11-01
accepts = ["wet-cloths", "tools-and-gloves"]

[[glove]]
id = "laminate"
name = "Laminate liner"
material = "laminate"
thickness = "0.06 mm"
breakthrough = { "108-88-3" = { time = "240 min", standard = "EN 16523-1", temperature = "23 degC" } }
"""

PRIMER = """
[product]
id = "primer"
name = "Primer"
role = "primer"
purpose = "primer"
reactivity = []
density = "0.87 g/mL"
flash_point = "4 degC"
boiling_point = "110 degC"
hazards = ["H225", "H304", "H315", "H336", "H361", "H373"]
sds_revised = 2026-01-15

[[product.part]]
cas = "108-88-3"
weight = "60 %"

[[product.part]]
name = "resin"
weight = "40 %"
volatile = false

[product.application]
coats = { any = 2 }
dry_between = "5 min"
dry_final = "10 min"
start_within = "2 h"
recoat_within = "3 h"
"""

WASH = """
[product]
id = "wash"
name = "Wash"
role = "solvent"
purpose = "cleaner"
density = "0.87 g/mL"
flash_point = "4 degC"
boiling_point = "110 degC"
hazards = ["H225", "H304", "H315", "H336", "H361", "H373"]
sds_revised = 2026-01-15

[[product.part]]
cas = "108-88-3"
weight = "100 %"
"""

JOB = """
[job]
id = "patch"
title = "Bond the patch"
place = "shed"
air = "gate open"
start = 2026-11-25T08:00:00
crew = 1
surface = "laminate"

[[step]]
name = "Wipe the hull"
duration = "20 min"

[[step.use]]
product = "wash"
work = "wipe"
amount = ["20 mL", "30 mL"]
area = "0.5 m^2"

[[step]]
name = "Prime"
duration = "8 min"

[[step.use]]
product = "primer"
work = "brush"
amount = "12 mL"
area = "0.5 m^2"

[[step]]
name = "Bond"
duration = "20 min"
joins = "primer"
"""


def slipway(folder: Path) -> Path:
    """The shop in a folder."""
    return write_shop(folder, SHOP, {"primer": PRIMER, "wash": WASH}, {"patch": JOB})
