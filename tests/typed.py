"""What people type at the questions of ``hazstep new``, one line for each."""

from __future__ import annotations

WASH = ("Wash W-1", "cleaner", "030 23125 199 (day and night)", "2026-01-15", "H225, H319 H336", "0,79 g/ml", "-18 °C", "56 degC", "?",
        "67-64-1", "yes", "70-90 %", "67-63-0", "yes", "balance", "", "no")  # fmt: skip
JOB = ("Wipe the sign", "1", "2026-12-01 07:30", "1", "", "",
       "Wipe", "15 min", "", "none", "1", "wipe", "100-150 ml", "1,5 m2", "20-50 %", "", "wet rags", "wash-w-1", "30 ml", "0.05 m2", "",
       "Put back", "10 min", "2", "?", "", "", "", "Put back", "", "no", "")  # fmt: skip
PLACE = ("Paint bay", "booth", "60 m3", "-5 degC to 28 degC", "?", "gas heater, charger", "fan on", "20-40 /hour",
         "0.1 to 0.4 m/s", "0.4-0.6 m/s", "vane meter", "2026-03-02", "", "")  # fmt: skip
#: One thing of each kind that a shop has in stock; the second row of the glove's table has no time.
STOCK = ("glove", "Laminate liner", "PE/EVAL laminate", "0.06 mm", "yes", "108-88-3", "480 min", "EN 16523-1", "23 degC",
         "67-64-1", "?", "", "respirator", "Half mask A2", "1", "half mask", "organic vapour", "", "eyewear", "2",
         "Goggles B", "container", "wet rags", "wet-cloths, tools-and-gloves", "none", "20 L", "1", "")  # fmt: skip

#: The same job in the shop that ``hazstep new DIR`` writes: its room has two states of the air.
IN_ROOM_1 = (JOB[0], "room-1", "doors shut", *JOB[2:10], "wash-w-1", *JOB[11:])
