"""Reports made by hand: an invented job with every kind of finding, block and gap."""

from __future__ import annotations

import shutil
from contextlib import nullcontext
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest

from safety.cited import Cited, Source, Unknown
from safety.model import (
    AirState,
    Chart,
    Curve,
    Failure,
    Figure,
    Finding,
    Grid,
    Job,
    Leftover,
    Lines,
    Pack,
    Part,
    Place,
    Product,
    Range,
    Report,
    Segment,
    Shop,
    Step,
    Timeline,
    Use,
    Window,
)
from safety.waste_label import NoRecords
from safety.workplace import assess_job

SHOP_FOLDER = Path(__file__).parents[2] / "safety" / "data" / "demo"

SOURCE = Source("handbook", "Handbook of invented numbers", "2nd edition, 2020", "Invented Press")
RULE = "29 CFR 1910.1000(a)(2), Table Z-2"


def product(id: str, name: str, hazards: tuple[str, ...] | Unknown) -> Product:
    part = Part("toluene", "108-88-3", 0.9, 1.0)
    return Product(
        id, name, "solvent", (part,), 867.0, 277.15, 383.75, hazards, date(2025, 3, 1), file=f"products/{id}.toml"
    )


SOLVENT = product("wipe", "Wiping solvent W (invented)", ("H225", "H304", "H315", "H336", "H361d", "H373"))
PRIMER = product("primer", "Primer P (invented)", ("H225", "H319", "H317", "H411"))
GLUE = product("glue", "Glue G (invented)", Unknown("the product file gives no hazard statements"))

SHUT = AirState("doors shut", Range(0.3 / 3600, 2 / 3600), Range(0.03, 0.2), "measured")
ROOM = Place("room-1", "room", 180.0, Range(295.15, 299.15), (SHUT,), Range(0.5, 1.0), name="Roller room")
SHOP = Shop(
    "Invented roller works",
    "us",
    {"room-1": ROOM},
    {p.id: p for p in (SOLVENT, PRIMER, GLUE)},
    notice="The shop, the names and the products on this sheet are invented. Do not use it for real work.",
    file="shop.toml",
)


def use(of: Product, work: str, written: str, area: float = 0.5) -> Use:
    return Use(of, work, Range(0.2, 0.2), written, area)  # type: ignore[arg-type]


STEPS = (
    Step("Lay out and mask", 900, "near", ROOM, SHUT),
    Step(
        "Wipe the roller twice",
        1200,
        "near",
        ROOM,
        SHUT,
        (use(SOLVENT, "wipe", "250 mL"),),
        (Leftover("used wipes", SOLVENT, Range(0.05, 0.1), "60 mL", 0.2, "Tidy up"),),
    ),
    Step("Prime", 600, "near", ROOM, SHUT, (use(PRIMER, "brush", "0.5 m^2 at 120 g/m^2"),)),
    Step("Bond the sleeve", 1800, "near", ROOM, SHUT, (use(GLUE, "brush", "120 g"),)),
    Step("Tidy up", 600, "far", ROOM, SHUT),
)

SEGMENTS = (
    Segment(0, "work", 0, 900, "work"),
    Segment(1, "work", 900, 2100, "work"),
    Segment(2, "coat", 2100, 2700, "coat 1", 1),
    Segment(2, "dry", 2700, 3000, "dry"),
    Segment(2, "coat", 3000, 3600, "coat 2", 2),
    Segment(2, "dry", 3600, 4200, "dry"),
    Segment(3, "work", 4200, 6000, "work"),
    Segment(4, "work", 6000, 6600, "work"),
)
WINDOW = Window(PRIMER, 2, 3, 3600, 4230, 10830, 14400, Range(0.06, 0.06), Range(0.2, 0.3))

PEAK = Figure(
    "highest 15 minutes at the face",
    3.12e-4,
    "kg/m3",
    "two_zone_near",
    (("limit", Cited(2.0e-4, "1", "200 ppm", SOURCE, "table 3")), ("air changes", Range(0.3, 2, "0.3 to 2 /hour"))),
    1.4e-4,
)


def finding(level: str, topic: str, step: int | None, short: str, statement: str = "", **more: object) -> Finding:
    return Finding(level, topic, statement or f"{short}, in a whole sentence.", short, "invented", step, **more)  # type: ignore[arg-type]


def _dry(step: int) -> list[Finding]:
    return [
        finding("note", "hands", step, "No splash expected"),
        finding("note", "eyes", step, "No splash expected"),
        finding("note", "skin", step, "No splash expected"),
        finding("note", "air", step, "Air under every limit"),
        finding("note", "waste", step, "No waste"),
    ]


def _protected(step: int) -> list[Finding]:
    return [
        finding("control", "air", step, "Worst 15 minutes 72 ppm (312 mg/m³), limit 150 ppm"),
        finding(
            "control",
            "hands",
            step,
            "Laminate liner under nitrile, change at 08:05",
            "Wear a laminate liner under a nitrile glove.",
            rule="29 CFR 1910.138(a)",
            remedy="A tool that keeps the hands dry.",
        ),
        finding("control", "eyes", step, "Splash goggles"),
        finding(
            "control", "breathing", step, "Half mask, organic vapour cartridge, fresh today", figures=(PEAK,), rule=RULE
        ),
        finding("note", "breathing", step, "Index of all substances 0.8"),
        finding("control", "fire", step, "No flame, heater or switch within 3 m"),
        finding("control", "skin", step, "Long sleeves, no bare forearm"),
        finding("note", "waste", step, "Wipes: closed red can W-2"),
    ]


FINDINGS = (
    finding(
        "stop",
        "fire",
        3,
        "Heater runs 2 m away",
        "The heater beside the door is 2 m from open glue and would light its vapour.",
        remedy="Turn the heater off and wait 10 minutes.",
        rule="29 CFR 1910.106(e)(6)(i)",
    ),
    finding("control", "waste", None, "Weigh every can back in"),
    finding("control", "fire", None, "Keep the spill kit at the door"),
    finding("note", "breathing", 0, "No mask needed"),
    finding("note", "fire", 0, "Nothing here burns"),
    *_dry(0),
    *_dry(4),
    *_protected(1),
    *_protected(2),
    *_protected(3),
    finding("note", "breathing", 4, "No mask at a distance of 3 m"),
    finding("note", "fire", 4, "Lids on before the heater"),
)

TIMES = tuple(float(60 * i) for i in range(200))
CHART = Chart(
    "Toluene in the air over the clock",
    "ppm",
    TIMES,
    tuple(
        Curve(name, tuple(middle * s for s in shape), tuple(2.2 * middle * s for s in shape))
        for name, middle, shape in (
            (
                "at the hands",
                90.0,
                [max(0.02, min(1.0, (t - 900) / 900) if t < 6000 else 1.0 / (1 + (t - 6000) / 700)) for t in TIMES],
            ),
            (
                "rest of the room",
                14.0,
                [max(0.01, min(1.0, (t - 900) / 5000) if t < 6000 else 1.0 / (1 + (t - 6000) / 2500)) for t in TIMES],
            ),
        )
    ),
    (("OSHA PEL, 8 hours", 200.0), ("NIOSH REL, 15 minutes", 150.0), ("NIOSH REL, 10 hours", 100.0)),
)
BLOCKS = (
    CHART,
    Lines(
        "If something goes wrong",
        (
            "Splash in the eye: rinse at once for 15 minutes, then see a doctor.",
            "Spill: people out, flames out, open doors.",
        ),
    ),
    Grid(
        "Gloves against each substance",
        ("Substance", "Glove", "Time to break through", "Standard"),
        (
            ("toluene", "Laminate liner", "480 min", "EN 16523-1"),
            ("butanone", "Laminate liner", "480 min", "EN 16523-1"),
        ),
    ),
)
PACKS = (Pack("us-federal", "United States federal rules", "US federal", "2026-01-15"),)


def make(**changes: object) -> Report:
    job = Job(
        "sleeve",
        "Bond a rubber sleeve to a roller",
        SHOP,
        ROOM,
        datetime(2026, 3, 2, 7, 30),
        2,
        "steel",
        STEPS,
        unit="Press 4, roller 2",
        file="jobs/sleeve.toml",
    )
    report = Report(
        job, Timeline(SEGMENTS, (WINDOW,), 6600.0), None, FINDINGS, BLOCKS, (), (), PACKS, (SOURCE,), "0.1.0", 1, 2000
    )
    return replace(report, **changes)  # type: ignore[arg-type]


@pytest.fixture(scope="session")
def report() -> Report:
    return make()


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Report]:
    """The reports of the demo shop, of few draws, with a ledger in which nothing is written yet."""
    folder = tmp_path_factory.mktemp("demo") / "shop"
    shutil.copytree(SHOP_FOLDER, folder)
    jobs = (folder / "jobs").glob("*.toml")
    return {job.stem: assess_job(job, draws=60, records=lambda _: nullcontext(NoRecords())) for job in jobs}


@pytest.fixture(scope="session")
def quiet() -> Report:
    """No stop and no control, complete, in SI units."""
    whole = make()
    notes = tuple(replace(f, level="note") for f in FINDINGS if f.level != "stop")
    job = replace(whole.job, shop=replace(SHOP, print_units="si", notice=""))
    return replace(whole, findings=notes, job=job)


@pytest.fixture(scope="session")
def incomplete() -> Report:
    """One unknown finding, one topic nobody answered, one plugin that failed."""
    kept = tuple(f for f in FINDINGS if not (f.step == 2 and f.topic == "hands") and f.level != "stop")
    unknown = finding(
        "control", "eyes", 3, "No data sheet for the glue", unknown="The hazard statements of the glue are not known."
    )
    return make(
        findings=(*kept, unknown),
        failures=(Failure("ignition", "assess", "it raised ValueError: no flash point"),),
        missing=(
            "The hazard statements of the glue are not known.",
            "Step 3, hands: nobody assessed it.",
            "The plugin ignition did not answer, so fire was not fully assessed.",
        ),
    )


LONG = "Polyoxyethylenesorbitantrioleatehexamethylenediisocyanatehomopolymerwithnospaceanywhereinitsname" * 2
HOSTILE = (
    '<img src="x"/>',
    "</para><b>bold</b> & <font size=40>big</font>",
    "{0} {name} %s %(x)s",
    "tab\tbell\x07null\x00escape\x1b[31mred\x1b[0m",
    "right\u202eto left\u2066",
)


@pytest.fixture(scope="session")
def hostile() -> Report:
    """Every text a file or plugin can bring in is markup, a control character or far too long."""
    whole = make()
    bad = " ".join(HOSTILE)
    nasty = replace(SOLVENT, name=f"{bad} {LONG}")
    steps = tuple(
        replace(
            s,
            name=f"{s.name} {bad}" if i != 2 else LONG,
            uses=tuple(replace(u, product=nasty, written=bad) for u in s.uses),
        )
        for i, s in enumerate(STEPS)
    )
    place = replace(ROOM, name=f"{bad} {LONG}")
    job = replace(
        whole.job,
        title=f"{bad} {LONG}",
        unit=bad,
        place=place,
        steps=steps,
        surface=LONG * 30,
        shop=replace(SHOP, name=bad, notice=bad * 20),
    )
    findings = tuple(
        replace(f, statement=f"{f.statement} {bad} {LONG}", short=f"{f.short} {bad}", rule=bad, remedy=LONG)
        for f in FINDINGS
    )
    essay = finding("control", "hands", 1, "word " * 2000, "sentence " * 3000)
    blocks = (
        Lines(bad, (LONG, bad, "line " * 2000)),
        Grid(LONG, (bad, LONG, "c"), ((LONG, bad, "cell " * 3000),) * 3 + (("a", "b", "c", "d"), (), ("e",)) * 50),
        replace(
            CHART,
            title=bad,
            unit=bad,
            curves=tuple(replace(c, name=f"{bad}{LONG}") for c in CHART.curves),
            levels=((LONG, 150.0), (bad, 151.0)),
        ),
    )
    window = replace(WINDOW, product=replace(PRIMER, name=bad))
    return replace(
        whole,
        job=job,
        findings=(*findings, essay),
        blocks=blocks,
        missing=(bad, LONG, "reason " * 1500),
        timeline=replace(whole.timeline, windows=(window,)),
    )
