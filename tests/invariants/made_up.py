"""Made-up shops and jobs: a strategy that draws sound files, and what is needed to assess them quickly.

Nothing here decides what is right. Everything is drawn as the plain data of the TOML files, so that a
property can take one datum away and assess the job again.
"""

from __future__ import annotations

import copy
import json
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hypothesis import strategies as st

from safety import assessment
from safety.files import reading
from safety.files.toml import open_document
from safety.hosting import host
from safety.model import IN_A_VESSEL, Job, Report
from safety.reference import Reference
from safety.reference.data_files import DATA

DRAWS = 60
SEED = assessment.SEED
WATER = "7732-18-5"
NOT_LOADED = "6283-86-9"  # a sound CAS number that no data are shipped for

Edit = Callable[[Reference], Reference]


@dataclass(frozen=True)
class Case:
    """A shop with one job, as the plain data of its files."""

    shop: dict[str, Any]
    products: tuple[dict[str, Any], ...]
    job: dict[str, Any]
    packs: Mapping[str, dict[str, Any]] = field(default_factory=dict)  # name of the file in rules/ -> its data

    def changed(self, change: Callable[[Case], None]) -> Case:
        """A copy that ``change`` has worked on."""
        other = copy.deepcopy(self)
        change(other)
        return other

    def product(self, id: str) -> dict[str, Any]:
        return next(p["product"] for p in self.products if p["product"]["id"] == id)

    def assess(self, edit: Edit = lambda reference: reference, draws: int = DRAWS, seed: int = SEED) -> Assessed:
        """Read the files and assess the job, on reference data that ``edit`` has worked on."""
        with TemporaryDirectory() as name:
            folder = Path(name)
            self.write(folder)
            shop, (job,) = reading.read_all(folder)
            plugins, contributions = _plugins()
            reference = edit(assessment.reference_on(shop, job.start.date(), plugins, contributions))
            shop, (job,) = reading.read_all(folder, find=reference.find)
            report = assessment.assess(job, reference, plugins, draws=draws, seed=seed)
        assert not report.failures, report.failures
        return Assessed(job, report, reference)

    def write(self, folder: Path) -> None:
        for kind in ("products", "jobs", "rules"):
            (folder / kind).mkdir(parents=True, exist_ok=True)
        (folder / "shop.toml").write_text(toml(self.shop), encoding="utf-8")
        (folder / "jobs" / "job.toml").write_text(toml(self.job), encoding="utf-8")
        for product in self.products:
            path = folder / "products" / f"{product['product']['id']}.toml"
            path.write_text(toml(product), encoding="utf-8")
        for name, pack in self.packs.items():
            (folder / "rules" / name).write_text(toml(pack), encoding="utf-8")


@dataclass(frozen=True)
class Assessed:
    job: Job
    report: Report
    reference: Reference


@cache
def _plugins() -> tuple[host.Host, list[Any]]:
    plugins = host.load()
    return plugins, list(plugins.ask("contribute"))


def toml(data: Mapping[str, Any]) -> str:
    """Plain data as TOML, every table inline."""
    return "".join(f"{_key(key)} = {_value(value)}\n" for key, value in data.items())


def _key(key: str) -> str:
    return json.dumps(key)


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_value(v) for v in value) + "]"
    return value.isoformat() if isinstance(value, date) else json.dumps(value, ensure_ascii=False)


# ---------------------------------------------------------------- what there is to draw from


@cache
def vapours() -> tuple[str, ...]:
    """The shipped substances that a vapour pressure equation is loaded for, but water."""
    found = []
    for path in sorted((DATA / "substances").glob("*.toml")):
        if "antoine" in path.read_text(encoding="utf-8") and path.stem != WATER:
            found.append(path.stem)
    return tuple(found)


@cache
def name_of(cas: str) -> str:
    return str(open_document(DATA / "substances" / f"{cas}.toml").data["names"][0])


SOLIDS = ("1333-86-4", "7789-06-2", "13530-65-9")
HAZARDS = (
    "H225",
    "H226",
    "H304",
    "H315",
    "H317",
    "H319",
    "H318",
    "H336",
    "H351",
    "H361",
    "H373",
    "H411",
    "H311",
    "H334",
)
MATERIALS = ("PE/EVAL laminate", "butyl", "nitrile", "fluoroelastomer", "neoprene", "natural rubber", "unheard-of")
SOURCES = ("work lamp", "heat gun", "mobile phone", "grinder", "hand lamp of an unlisted kind")
#: Cartridges in the words of the first pack, and one that holds no solvent.
CARTRIDGES = {
    "us-federal": (*["organic vapour"] * 5, "OV", "OV/P100", "acid gas"),
    "eu": (*["A2", "A3"] * 3, "A1", "AX", "A2P3", "B2"),
}
NO_SOLVENT = ("acid gas", "B2")
POWERED = (("powered air-purifying", "full facepiece"), ("powered air-purifying", "hood"))
RULES = (["us-federal"], ["eu"], ["us-federal", "eu"], ["eu", "us-federal"])


def _maybe(strategy: st.SearchStrategy[Any], often: int = 2) -> st.SearchStrategy[Any]:
    """None once in ``often`` + 1 times."""
    return st.one_of(*[strategy] * often, st.none())


def _filled(table: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in table.items() if value is not None}


def _span(low: float, high: float, unit: str, digits: int = 3) -> st.SearchStrategy[Any]:
    """One quantity, or a range of two."""

    def written(pair: tuple[float, float]) -> Any:
        a, b = sorted(float(f"{x:.{digits}g}") for x in pair)
        return f"{a:g} {unit}" if a == b else [f"{a:g} {unit}", f"{b:g} {unit}"]

    number = st.floats(low, high, allow_nan=False)
    return st.one_of(number.map(lambda x: written((x, x))), st.tuples(number, number).map(written))


def _one(low: float, high: float, unit: str) -> st.SearchStrategy[str]:
    return st.floats(low, high).map(lambda x: f"{float(f'{x:.3g}'):g} {unit}")


# ---------------------------------------------------------------- products


@st.composite
def parts(draw: st.DrawFn, known: bool = False) -> list[dict[str, Any]]:
    """One to four parts whose shares can hold together; with ``known`` all of them are shipped vapours."""
    number = draw(st.integers(1, 4))
    kinds = ["vapour"] * 12 + ["water", "resin", "solid"] + ([] if known else ["secret", "secret", "not loaded"])
    chosen: dict[str, dict[str, Any]] = {}
    for index in range(number):
        kind = draw(st.sampled_from(kinds))
        if kind == "vapour":
            cas = draw(st.sampled_from(vapours()))
            chosen[cas] = {"cas": cas, "name": name_of(cas)}
        elif kind == "water":
            chosen[WATER] = {"cas": WATER, "name": "water"}
        elif kind == "solid":
            cas = draw(st.sampled_from(SOLIDS))
            chosen[cas] = {"cas": cas, "name": name_of(cas), "volatile": False}
        elif kind == "not loaded":
            chosen[NOT_LOADED] = {"cas": NOT_LOADED, "name": "a liquid without data"}
        elif kind == "resin":
            chosen[f"resin {index}"] = {"name": f"resin {index}", "volatile": False}
        else:
            chosen[f"secret {index}"] = {"name": f"secret {index}"}
    weights = [draw(st.integers(1, 20)) for _ in chosen]
    whole = draw(st.sampled_from((100, 100, 100, 90)))
    found = []
    for part, weight in zip(chosen.values(), weights, strict=True):
        share = whole * weight / sum(weights)
        spread = draw(st.sampled_from((0, 0, 5)))
        low, high = max(math.floor(100 * (share - spread)) / 100, 0.0), min(share + spread, 100.0)
        part["weight"] = f"{low:.2f} %" if low == high else [f"{low:.2f} %", f"{high:.2f} %"]
        found.append(part)
    return found


@st.composite
def products(draw: st.DrawFn, id: str, known: bool = False) -> dict[str, Any]:
    """A product file. With ``known`` nothing about it is missing."""
    least = 6

    def perhaps(strategy: st.SearchStrategy[Any]) -> Any:
        return draw(strategy if known else _maybe(strategy, least))

    role = draw(st.sampled_from(("cleaner", "primer", "thinner", "adhesive")))
    product = {
        "id": id,
        "name": f"Product {id}",
        "role": role,
        "purpose": role,
        "density": perhaps(_one(0.7, 1.4, "g/mL")),
        "flash_point": perhaps(_one(-30, 110, "degC")),
        "boiling_point": perhaps(_one(40, 220, "degC")),
        "sds_revised": perhaps(st.just(date(2026, 1, 15))),
        "part": draw(parts(known)),
    }
    hazards = draw(st.sampled_from(("some", "some", "none") if known else ("some", "some", "none", "not said")))
    if hazards == "some":
        product["hazards"] = draw(st.lists(st.sampled_from(HAZARDS), min_size=1, max_size=4, unique=True))
    elif hazards == "none":
        product["not_classified"] = True
    flash = product["flash_point"]
    if "not_classified" in product and flash is not None and float(flash.split()[0]) <= 60:
        del product["not_classified"]  # up to 60 degC a liquid is classified: Regulation (EC) No 1272/2008, 2.6
        product["hazards"] = ["H225"]
    if draw(st.integers(0, 3)) == 0:
        product["application"] = draw(_applications())
    return {"product": _filled(product)}


@st.composite
def _applications(draw: st.DrawFn) -> dict[str, Any]:
    final = draw(st.integers(0, 60))
    within = draw(_maybe(st.integers(0, 120).map(lambda more: final + more + 1)))
    recoat = None if within is None else draw(_maybe(st.integers(1, 120).map(lambda more: within + more)))
    return _filled(
        {
            "coats": {"aluminium": draw(st.integers(1, 3))},
            "dry_between": f"{draw(st.integers(0, 20))} min",
            "dry_final": f"{final} min",
            "start_within": None if within is None else f"{within} min",
            "recoat_within": None if recoat is None else f"{recoat} min",
            "stand_at_least": None,
        }
    )


# ---------------------------------------------------------------- the shop


@st.composite
def _places(draw: st.DrawFn, id: str) -> dict[str, Any]:
    kind = draw(st.sampled_from(("hangar", "hangar", "room", "room", "booth", "enclosed", "outdoor")))
    sizes = {"hangar": (500, 5000), "room": (15, 400), "booth": (10, 100), "enclosed": (0.5, 60)}
    airs = []
    for state in draw(st.sampled_from((("shut",), ("shut", "open")))):
        low = draw(st.floats(0.1, 6))
        high = low * draw(st.floats(1, 4))
        airs.append(
            _filled(
                {
                    "state": state,
                    "air_changes": None if kind == "outdoor" else [f"{low:.3f} /hour", f"{high:.3f} /hour"],
                    "air_speed": draw(_span(0.03, 0.6, "m/s")),
                    "basis": "made up",
                    "capture": draw(_maybe(st.just("40 %"), 1)) if kind == "room" else None,
                    "face_velocity": draw(st.sampled_from(("unknown", "0.4 m/s"))) if kind == "booth" else None,
                }
            )
        )
    return _filled(
        {
            "id": id,
            "kind": kind,
            "volume": None if kind == "outdoor" else draw(_one(*sizes[kind], "m^3")),
            "temperature": draw(_span(-10, 40, "degC")),
            "humidity": draw(_maybe(_one(20, 90, "%"))),
            "ignition_sources": draw(st.sampled_from(([], [], ["gas heater"]))),
            "air": airs,
        }
    )


@st.composite
def _gloves(draw: st.DrawFn, id: str, against: list[str]) -> dict[str, Any]:
    known = [cas for cas in against if draw(st.integers(0, 7)) > 0]
    standard = draw(st.sampled_from(("EN 16523-1", "ASTM F739")))
    return {
        "id": id,
        "material": draw(st.sampled_from(MATERIALS)),
        "thickness": draw(st.sampled_from(("0.06 mm", "0.12 mm", "0.4 mm", "0.7 mm"))),
        "disposable": draw(st.sampled_from((False, False, True))),
        "breakthrough": {
            cas: {
                "time": f"{draw(st.sampled_from((2, 10, 12, 30, 60, 240, 480, 480, 480)))} min",
                "standard": standard if draw(st.integers(0, 9)) else "EN 374-3",
                "temperature": f"{draw(st.sampled_from((20, 23, 23, 35)))} degC",
            }
            for cas in known
        },
    }


@st.composite
def _respirators(draw: st.DrawFn, id: str, types: tuple[str, ...]) -> dict[str, Any]:
    kind = draw(st.sampled_from((*["air-purifying"] * 3, "powered air-purifying", "supplied air", "self-contained")))
    cartridge = kind in ("air-purifying", "powered air-purifying")
    return _filled(
        {
            "id": id,
            "kind": kind,
            "facepiece": draw(st.sampled_from((*["half mask", "full facepiece"] * 3, "hood", "loose-fitting"))),
            "cartridge": draw(st.sampled_from(types)) if cartridge else None,
            "mode": None if cartridge else draw(st.sampled_from(("demand", "continuous flow", "pressure demand"))),
            "cartridge_limit": draw(_maybe(st.sampled_from(("500 ppm", "1000 ppm")), 1)) if cartridge else None,
            "sorbent_mass": draw(_maybe(st.just("100 g"), 5)) if cartridge else None,
            "bed_depth": draw(_maybe(st.just("22 mm"), 5)) if cartridge else None,
        }
    )


_CONTAINERS = (
    {"id": "rags-1", "stream": "solvent wipes", "size": "40 L", "kind": "satellite", "accepts": ["wet-cloths"]},
    {"id": "liquid-1", "stream": "spent solvent", "size": "20 L", "kind": "satellite", "accepts": ["free-liquid"]},
    {"id": "scrapings-1", "stream": "scrapings", "size": "60 L", "kind": "satellite", "accepts": ["scrapings"]},
    {"id": "solids-1", "stream": "brushes and gloves", "size": "60 L", "kind": "satellite", "accepts": ["tools-and-gloves"]},
    {"id": "ask-1", "stream": "not classified yet", "size": "20 L", "kind": "satellite", "accepts": ["held"]},
    {"id": "drum-1", "stream": "spent solvent", "size": "200 L", "kind": "central", "accepts": ["free-liquid"]},
)  # fmt: skip


def _local_pack(draw: st.DrawFn, against: list[str]) -> dict[str, Any]:
    """A pack of the shop's own with limits on a list of its own, so that it tightens nothing by name."""
    rows = []
    for cas in against:
        for kind, averaging in (("twa", "8 h"), ("short-term", "15 min"), ("ceiling", "0 s"), ("idlh", "0 s")):
            if draw(st.integers(0, 2)) == 0:
                value = draw(st.sampled_from((1, 10, 50, 200) if kind != "idlh" else (500, 2000)))
                rows.append(house_limit(cas, kind, averaging, value))
    return local_pack(rows)


def house_limit(cas: str, kind: str, averaging: str, ppm: float) -> dict[str, Any]:
    return {
        "cas": cas,
        "list": "house limit",
        "kind": kind,
        "value": f"{ppm:g} ppm",
        "averaging": averaging,
        "compare": "over",
        "citation": "made-up rule 7",
        "edition": "2026-01-01",
    }


def local_pack(limits: list[dict[str, Any]], thresholds: list[dict[str, Any]] | None = None) -> dict[str, Any]:
    about = {"id": "local", "title": "Made-up rules", "jurisdiction": "this shop", "edition": "2026-01-01"}
    return {"pack": about, "limit": limits, "threshold": thresholds or []}


# ---------------------------------------------------------------- the job


@st.composite
def _steps(
    draw: st.DrawFn, index: int, last: int, places: list[dict[str, Any]], ids: list[str], known: bool
) -> dict[str, Any]:
    unknown = [] if known else ["unknown"]
    amounts = st.one_of(
        *[_span(2, 60, "mL")] * 4, *[_span(50, 900, "mL")] * 2, _span(2, 300, "g"), *map(st.just, unknown)
    )
    place = draw(st.sampled_from(places)) if draw(st.integers(0, 4)) == 0 else places[0]
    later = st.integers(index, last).map(lambda i: f"step {i}")

    def use() -> dict[str, Any]:
        work = draw(st.sampled_from(("wipe", "brush", "soak", "gel", "spray", "pour", "open", "wash")))
        return _filled(
            {
                "product": draw(st.sampled_from(ids)),
                "work": work,
                "amount": draw(amounts),
                "area": draw(_one(0.02, 3, "m^2")),
                "kept": draw(_span(0, 50, "%")) if work in ("wipe", "brush") else None,
                "lifted_by": draw(_maybe(later)) if work in ("soak", "gel") else None,
            }
        )

    def left() -> dict[str, Any]:
        return _filled(
            {
                "what": draw(st.sampled_from(("wet rags", "strips of wet rubber", "tray of scrapings"))),
                "product": draw(st.sampled_from(ids)),
                "amount": draw(amounts),
                "area": draw(_one(0.02, 1, "m^2")),
                "taken_away": draw(_maybe(later)),
                "near": draw(st.booleans()),
            }
        )

    return _filled(
        {
            "name": f"step {index}",
            "duration": draw(
                st.sampled_from(("1 s", *(f"{n} min" for n in (1, 5, 10, 10, 20, 20, 45, 45, 120)), "13 h"))
            ),
            "people": draw(st.sampled_from(("near", "near", "near", "far", "away"))),
            "place": place["id"],
            "air": draw(st.sampled_from([air["state"] for air in place["air"]])),
            "surface_temperature": draw(_maybe(_span(0, 55, "degC"), 1)) if draw(st.booleans()) else None,
            "length": draw(_maybe(_one(0.5, 6, "m"), 1)),
            "ignition_sources": [draw(st.sampled_from(SOURCES))] if draw(st.integers(0, 3)) == 0 else [],
            "structure_holds": draw(st.sampled_from((None,) * 6 + ("8008-20-6", "unknown"))),
            "overhead": draw(st.booleans()),
            "contact": draw(st.sampled_from((None, None, "splash", "wet cloth", "immersion", "none"))),
            "use": [use() for _ in range(draw(st.sampled_from((0, 1, 1, 1, 2))))],
            "leaves_wet": [left()] if draw(st.integers(0, 3)) == 0 else [],
        }
    )


def _touch_only_what_is_wet(steps: list[dict[str, Any]]) -> None:
    """Take away a contact that no liquid can be meant by: it would be a mistake."""
    names = [step["name"] for step in steps]
    for index, step in enumerate(steps):
        wet = [
            thing
            for before, earlier in enumerate(steps[: index + 1])
            if earlier["place"] == step["place"]
            for thing in (*earlier.get("use", ()), *earlier.get("leaves_wet", ()))
            if before == index or (thing.get("lifted_by") or thing.get("taken_away")) not in names[before:index]
        ]
        if not wet and "joins" not in step and step.get("contact") != "none":
            step.pop("contact", None)


@st.composite
def cases(draw: st.DrawFn, known: bool = False) -> Case:
    """A sound shop with one job. With ``known`` no product and no amount lacks a datum."""
    ids = [f"p{i}" for i in range(draw(st.integers(1, 3)))]
    goods = tuple(draw(products(id, known)) for id in ids)
    against = sorted(
        {p["cas"] for g in goods for p in g["product"]["part"] if p.get("cas") and p.get("volatile", True)}
    )
    places = [draw(_places(f"place-{i}")) for i in range(draw(st.integers(1, 2)))]
    local = draw(st.booleans()) or known
    rules = draw(st.sampled_from(RULES))
    shop = {
        "shop": {
            "name": "Made-up shop",
            "print_units": draw(st.sampled_from(("us", "si"))),
            "rules": [*rules, *(["rules/local.toml"] if local else [])],
        },
        "place": places,
        "glove": [draw(_gloves(f"glove-{i}", against)) for i in range(draw(st.integers(0, 4)))],
        "respirator": [draw(_respirators(f"mask-{i}", CARTRIDGES[rules[0]])) for i in range(draw(st.integers(0, 4)))],
        "eyewear": [{"id": "goggles", "kind": "splash goggles"}] * draw(st.integers(0, 1)),
        "container": [c for c in _CONTAINERS if draw(st.integers(0, 4))],
    }
    last = draw(st.integers(0, 5))
    steps = [draw(_steps(i, last, places, ids, known)) for i in range(last + 1)]
    _join(draw, steps, goods)
    _touch_only_what_is_wet(steps)
    start = datetime(2026, 3, 10, draw(st.sampled_from((0, 7, 13, 22, 23))), draw(st.sampled_from((0, 50))))
    job = {
        "job": _filled(
            {
                "id": "job",
                "title": "A made-up job",
                "place": places[0]["id"],
                "air": draw(st.sampled_from([air["state"] for air in places[0]["air"]])),
                "start": start,
                "shift": draw(_maybe(st.sampled_from(("8 h", "8.01 h", "10 h", "12 h", "24 h")))),
                "afterwards": draw(st.sampled_from((None, "away", "far"))),
                "crew": draw(st.integers(1, 4)),
                "surface": "aluminium",
                "carried": [{"product": ids[0], "amount": draw(_span(0.2, 4, "L"))}] * draw(st.integers(0, 1)),
            }
        ),
        "step": steps,
    }
    packs = {"local.toml": _local_pack(draw, against)} if local else {}
    if known:  # every vapour has a limit of each kind that a list may leave out
        low = draw(st.sampled_from((20, 60, 200)))
        packs["local.toml"]["limit"] = [
            house_limit(cas, *kind)
            for cas in against
            for kind in (("twa", "8 h", low), ("short-term", "15 min", 2 * low), ("idlh", "0 s", 5000))
        ]
    return Case(shop, goods, job, packs)


@st.composite
def masked_cases(draw: st.DrawFn) -> Case:
    """A shop with cartridge masks only, and a job whose vapour is known, near and often over a limit.

    Of what ``cases`` draws hardly one sheet in a hundred hands out a mask with cartridges.
    """
    case = draw(cases(known=True))
    for file in case.products:
        _fill_up(file["product"]["part"])
    for step in case.job["step"]:
        step["people"] = "near"
        for use in step["use"]:
            use["work"] = "wipe" if use["work"] == "spray" else use["work"]
    types = tuple(x for x in CARTRIDGES[case.shop["shop"]["rules"][0]] if x not in NO_SOLVENT)
    case.shop["respirator"] = [
        {
            "id": f"mask-{i}",
            "kind": kind,
            "facepiece": draw(st.sampled_from(("half mask", "full facepiece"))) if kind == "air-purifying" else face,
            "cartridge": draw(st.sampled_from(types)),
            "sorbent_mass": draw(_one(40, 400, "g")),
            "bed_depth": draw(_one(15, 40, "mm")),
        }
        for i in range(draw(st.integers(1, 3)))
        for kind, face in [draw(st.sampled_from((*[("air-purifying", "")] * 2, *POWERED)))]
    ]
    return case


def _fill_up(parts: list[dict[str, Any]]) -> None:
    """Let the first part take what the others leave of the whole: no rest that nobody names."""
    ends = [[float(x.removesuffix(" %")) for x in _pair(p["weight"])] for p in parts[1:]]
    low, high = (100 - sum(end[at] for end in ends) for at in (1, 0))
    parts[0]["weight"] = [f"{max(low, 0.0):.2f} %", f"{high:.2f} %"]


def _pair(written: Any) -> list[str]:
    return list(written) if isinstance(written, list) else [written, written]


def _join(draw: st.DrawFn, steps: list[dict[str, Any]], goods: tuple[dict[str, Any], ...]) -> None:
    """Let later steps meet the windows of what was put on before."""
    windows = {g["product"]["id"] for g in goods if "application" in g["product"]}
    applied: set[str] = set()
    for step in steps:
        able = sorted(applied & windows)
        if able and draw(st.booleans()):
            step["joins"] = draw(st.sampled_from(able))
        applied |= {use["product"] for use in step["use"] if use["work"] not in IN_A_VESSEL}
