"""Whatever an answer rests on takes its mark to it: each loaded record is marked, one at a time is taken away.

Seventy sorts of answer had lost the mark of a row, a limit, a threshold or a value behind them: the time at which the
air is clear had none of its limits', a stop for the whole place none of the explosive limits', "no eyewear" none of the
classes it was told by. So nothing here names an answer: where a record that is taken away, or made ten times as large
or as small, changes what a sheet says, the answer that changes must carry that record's mark. Where an answer that
stops or asks for something in a step comes up only then, its absence rests on the record: another answer of the same
plugin on the same topic of the step must carry the mark.
"""

from __future__ import annotations

import inspect
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from functools import cache, cached_property
from importlib.metadata import entry_points
from pathlib import Path
from typing import Any

import pytest

from safety import assessment, timeline
from safety.cited import Unknown
from safety.exposure.engine import compute
from safety.exposure.result import Exposure
from safety.files import reading
from safety.files.shop_files import ShopFiles
from safety.hosting import host
from safety.marks import unchecked
from safety.model import Block, Finding, Job
from safety.reference import Reference
from tests.unsafe_answers.shops import write_shop

DRAWS = 20
#: What the engine makes the air from: another value is another air.
IN_THE_AIR = ("molar_mass", "antoine_a", "lower_explosive_limit")
#: What some of the plugins look up beside it.
LOOKED_UP = (
    "flash_point", "lower_explosive_limit", "boiling_point", "log_kow", "water_solubility", "conductivity",
    "heat_of_combustion", "refractive_index", "density", "molar_mass",
)  # fmt: skip
Where = tuple[str, str, str, "int | None"]  # plugin, topic, key, step
Record = tuple[Any, ...]  # its kind, and its name


@cache
def _plugins() -> tuple[host.Host, list[Any], dict[str, Callable[..., list[Finding]]]]:
    loaded = host.load()
    named = {e.name: e.load() for e in entry_points(group=host.GROUP) if e.name in host.BUILT_IN}
    return loaded, list(loaded.ask("contribute")), {n: m.assess for n, m in named.items() if hasattr(m, "assess")}


class Spy(Reference):
    """Notes what is looked up."""

    seen: set[Record]

    def threshold(self, name: str) -> Any:
        self.seen.add(("threshold", name))
        return Reference.threshold(self, name)

    def table(self, name: str) -> Any:
        self.seen.add(("table", name))
        return Reference.table(self, name)

    def limits(self, *of: Any) -> Any:
        self.seen.add(("limits",))
        return Reference.limits(self, *of)

    def limits_on_groups(self) -> Any:
        self.seen.add(("limits",))
        return Reference.limits_on_groups(self)


def _spied(reference: Reference) -> Spy:
    spy = Spy(*(getattr(reference, name) for name in Reference.__dataclass_fields__))
    object.__setattr__(spy, "seen", set())
    return spy


@dataclass(frozen=True)
class Scene:
    """A job on reference data in which each record carries a mark of its own."""

    job: Job
    reference: Reference

    @cached_property
    def clock(self) -> Any:
        return timeline.build(self.job)

    def air(self, reference: Reference) -> Exposure:
        return compute(self.job, self.clock, reference.apart(), draws=DRAWS, seed=1)

    @cached_property
    def exposure(self) -> Exposure:
        return self.air(self.reference)

    @cached_property
    def asked(self) -> dict[str, set[Record]]:
        """What each plugin looks up."""
        found = {}
        for name in _plugins()[2]:
            spy = _spied(self.reference.apart())
            list(self._ask(name, spy, self.exposure))
            found[name] = spy.seen
        return found

    def _ask(self, name: str, reference: Reference, air: Exposure) -> Iterable[Finding | Block]:
        given = {"job": self.job, "exposure": air, "reference": reference, "ledger": None}
        ask = _plugins()[2][name]
        return ask(**{wanted: given[wanted] for wanted in inspect.signature(ask).parameters})

    def answers(self, names: Iterable[str], reference: Reference, air: Exposure) -> dict[Where, list[Finding]]:
        found: dict[Where, list[Finding]] = defaultdict(list)
        for name in names:
            for one in self._ask(name, reference.apart(), air):
                if isinstance(one, Finding):  # a block stands on the findings it comes with
                    found[one.plugin, one.topic, one.key, one.step].append(one)
        return found

    @cached_property
    def before(self) -> dict[str, dict[Where, list[Finding]]]:
        return {name: self.answers((name,), self.reference, self.exposure) for name in self.asked}

    @cached_property
    def said(self) -> dict[str, dict[Where, list[tuple[Any, ...]]]]:
        """What they say."""
        return {
            name: {where: [*map(_said, own)] for where, own in found.items()} for name, found in self.before.items()
        }

    @cached_property
    def marks(self) -> dict[str, dict[Where, set[str]]]:
        """The marks they carry."""
        return {name: {where: _marks(own) for where, own in found.items()} for name, found in self.before.items()}

    def lost(self, mark: str, other: Reference, names: Iterable[str], air: Exposure | None = None) -> Iterator[Where]:
        """The answers that differ on other data and do not carry a mark."""
        for name in names:
            before, after = self.said[name], self.answers((name,), other, air or self.exposure)
            carries = {where for where, marks in self.marks[name].items() if mark in marks}
            for where, own in before.items():
                if where not in carries and sorted(own) != sorted(map(_said, after.get(where, ()))):
                    yield where
            near = {(plugin, topic, step) for plugin, topic, _, step in carries}
            there = {(plugin, topic, step) for plugin, topic, _, step in before}
            for where in after.keys() - before.keys():
                place = (where[0], where[1], where[3])
                if where[3] is not None and place in there - near and any(one.level != "note" for one in after[where]):
                    yield where


def _marks(findings: Iterable[Finding]) -> set[str]:
    return {str(one.why) for finding in findings for one in unchecked(finding)}


def _said(one: Finding) -> tuple[Any, ...]:
    figures = tuple((f.name, float(f"{f.value:.9g}")) for f in one.figures)
    return one.level, one.short, one.statement, one.remedy, one.unknown, figures


# ---------------------------------------------------------------- marking, and taking away


def _mark(*of: Any) -> str:
    return "probe " + " ".join(map(str, of))


def _marked(reference: Reference, job: Job) -> Reference:
    """The same data, in which each limit, threshold, row and value has a mark of its own."""
    limits = {key: replace(x, unverified=_mark("limit", *key)) for key, x in reference._limits.items()}
    thresholds = {name: replace(x, unverified=_mark("threshold", name)) for name, x in reference._thresholds.items()}
    tables = {
        name: tuple({**row, "unverified": _mark("row", name, at)} for at, row in enumerate(rows))
        for name, rows in reference._tables.items()
    }
    read = {}
    for cas in {part.cas for product in job.products for part in product.parts if part.cas}:
        one = reference.substance(cas)
        if isinstance(one, Unknown):
            continue
        properties = {
            name: tuple(replace(value, unverified=_mark("value", cas, name)) for value in values)
            for name, values in one.properties.items()
        }
        classes = tuple(replace(c, unverified=_mark("class", cas, at)) for at, c in enumerate(one.classes))
        composition = one.composition
        if not isinstance(composition, Unknown):
            composition = replace(composition, unverified=_mark("composition", cas))
        read[cas] = replace(one, properties=properties, classes=classes, composition=composition)
    return replace(reference, _limits=limits, _thresholds=thresholds, _tables=tables, _read={**reference._read, **read})


def _times(reference: Reference, cas: str, name: str, factor: float) -> Reference:
    """A substance with another value of one property; the constant of its equation is a logarithm."""
    one = reference.substance(cas)
    assert not isinstance(one, Unknown)
    values = tuple(
        replace(v, value=v.value + (0.3 if factor > 1 else -0.3) if name == "antoine_a" else v.value * factor)
        for v in one.properties[name]
    )
    other = replace(one, properties={**one.properties, name: values})
    return replace(reference, _read={**reference._read, cas: other})


def rules(scene: Scene) -> Iterator[tuple[str, Reference, list[str]]]:
    """For each limit, threshold and row: its mark, the data without it or with another number, and whom to ask."""
    whole = scene.reference
    carried = {part.cas for product in scene.job.products for part in product.parts}
    asks = {
        record: [n for n, seen in scene.asked.items() if record in seen] for s in scene.asked.values() for record in s
    }
    for key, limit in whole._limits.items():
        if not limit.cas or limit.cas in carried:
            left = {k: x for k, x in whole._limits.items() if k != key}
            yield _mark("limit", *key), replace(whole, _limits=left), asks.get(("limits",), [])
    for name, threshold in whole._thresholds.items():
        for factor in (0.1, 10.0):
            other = {**whole._thresholds, name: replace(threshold, value=threshold.value * factor)}
            yield _mark("threshold", name), replace(whole, _thresholds=other), asks.get(("threshold", name), [])
    for name, rows in whole._tables.items():
        names = asks.get(("table", name), [])
        empty = replace(whole, _tables={**whole._tables, name: ()})
        if not names or not any(_differs(scene, name, empty) for name in names):
            continue
        for at in range(len(rows)):
            left = tuple(row for number, row in enumerate(rows) if number != at)
            yield _mark("row", name, at), replace(whole, _tables={**whole._tables, name: left}), names


def _differs(scene: Scene, name: str, other: Reference) -> bool:
    after, before = scene.answers((name,), other, scene.exposure), scene.said[name]
    return before.keys() != after.keys() or any(before[w] != list(map(_said, after[w])) for w in before)


def values(scene: Scene) -> Iterator[tuple[str, Reference, Exposure]]:
    """For each value of the job's substances: its mark, the data with another one, and the air that makes."""
    whole = scene.reference
    for one in scene.exposure.substances:
        for name in dict.fromkeys((*IN_THE_AIR, *LOOKED_UP)):
            for factor in (0.8, 1.25) if name in one.properties else ():
                other = _times(whole, one.cas, name, factor)
                air = scene.air(other) if name in IN_THE_AIR else scene.exposure
                yield _mark("value", one.cas, name), other, air
        bare = [("composition", _mark("composition", one.cas), replace(one, composition=Unknown("taken away")))]
        for at in range(len(one.classes)):
            left = tuple(c for number, c in enumerate(one.classes) if number != at)
            bare.append(("class", _mark("class", one.cas, at), one.classified(left)))
        for _, mark, other_one in bare:
            yield mark, replace(whole, _read={**whole._read, one.cas: other_one}), scene.exposure


# ---------------------------------------------------------------- shops


def scene_of(folder: Path, job: str) -> Scene:
    path = folder / "jobs" / f"{job}.toml"
    plugins, contributions, _ = _plugins()
    shop, _ = reading.read_all(ShopFiles.of(path).file, [path])
    names = assessment.reference_on(shop, date.min, plugins, contributions)
    read = reading.read_job(path, shop, names.find)
    return Scene(read, _marked(assessment.reference_on(shop, read.start.date(), plugins, contributions), read))


EU_SHOP = """
[shop]
name = "Canal boat yard (invented)"
altitude = "0 m"
rules = ["eu"]
[[place]]
id = "hall"
kind = "room"
volume = "900 m^3"
temperature = "21 degC"
[[place.air]]
state = "extract on"
air_changes = ["3 /hour", "6 /hour"]
air_speed = ["0.05 m/s", "0.2 m/s"]
basis = "our guess"
[[glove]]
id = "butyl"
material = "butyl"
thickness = "0.5 mm"
breakthrough = { "108-94-1" = { time = "480 min", standard = "EN 16523-1", temperature = "23 degC" } }
[[glove]]
id = "thin-nitrile"
material = "nitrile"
thickness = "0.12 mm"
disposable = true
[[respirator]]
id = "half"
kind = "air-purifying"
facepiece = "half mask"
cartridge = "A2P3"
[[respirator]]
id = "line"
kind = "supplied air"
facepiece = "full facepiece"
mode = "pressure demand"
[[eyewear]]
id = "goggles"
kind = "splash goggles"
[[container]]
id = "rags"
stream = "solvent rags"
accepts = ["wet-cloths"]
reactivity = []
size = "60 L"
kind = "central"
"""
THINNER = """
[product]
id = "thinner"
name = "Hull cleaner"
role = "cleaner"
purpose = "cleaner"
density = "0.92 g/mL"
flash_point = "31 degC"
not_classified = true
[[product.part]]
name = "cyclohexanone"
cas = "108-94-1"
weight = ["60 %", "80 %"]
[[product.part]]
name = "N-methyl-2-pyrrolidone"
cas = "872-50-4"
weight = ["20 %", "40 %"]
"""
HARD_COAT = """
[product]
id = "coat"
name = "Two-pack hull paint"
role = "topcoat"
purpose = "coating"
density = "1.1 g/mL"
flash_point = "27 degC"
[[product.part]]
name = "n-butyl acetate"
cas = "123-86-4"
weight = ["30 %", "40 %"]
[[product.part]]
name = "hexamethylene diisocyanate"
cas = "822-06-0"
weight = ["0.2 %", "0.6 %"]
[[product.part]]
name = "polyisocyanate"
weight = ["50 %", "60 %"]
volatile = false
groups = ["NCO"]
"""
EU_JOB = """
[job]
id = "hull"
title = "Clean and paint a hull"
place = "hall"
air = "extract on"
start = 2026-11-25T08:00:00
crew = 2
[[step]]
name = "Wipe the hull"
duration = "90 min"
ignition_sources = ["work lamp", "intrinsically safe lamp"]
[[step.use]]
product = "thinner"
work = "wipe"
amount = ["400 mL", "600 mL"]
area = "4 m^2"
[[step.leaves_wet]]
what = "wet rags"
form = "wet-cloths"
product = "thinner"
amount = "100 mL"
area = "0.5 m^2"
[[step]]
name = "Spray the hull"
duration = "30 min"
[[step.use]]
product = "coat"
work = "spray"
amount = "400 mL"
area = "4 m^2"
"""
US_SHOP = """
[shop]
name = "Furniture strippers (invented)"
altitude = "0 m"
rules = ["us-federal"]
[[place]]
id = "shed"
kind = "enclosed"
volume = "20 m^3"
temperature = ["20 degC", "24 degC"]
[[place.air]]
state = "door open"
air_changes = ["4 /hour", "9 /hour"]
air_speed = ["0.05 m/s", "0.2 m/s"]
basis = "our guess"
[[glove]]
id = "laminate"
material = "PE/EVAL laminate"
thickness = "0.06 mm"
[glove.breakthrough]
"127-18-4" = { time = "480 min", standard = "ASTM F739", temperature = "23 degC" }
"108-88-3" = { time = "480 min", standard = "ASTM F739", temperature = "23 degC" }
[[glove]]
id = "nitrile"
material = "nitrile"
thickness = "0.4 mm"
[[respirator]]
id = "full"
kind = "air-purifying"
facepiece = "full facepiece"
cartridge = "organic vapor"
sorbent_mass = "100 g"
bed_depth = "22 mm"
[[respirator]]
id = "line"
kind = "supplied air"
facepiece = "full facepiece"
mode = "pressure demand"
[[container]]
id = "rags"
stream = "solvent wipes"
accepts = ["wet-cloths"]
reactivity = []
size = "10 US_gal"
kind = "satellite"
[[container]]
id = "liquid"
stream = "halogenated solvent"
reactivity = ["halogenated"]
size = "5 US_gal"
kind = "satellite"
accepts = ["free-liquid"]
"""
DEGREASER = """
[product]
id = "degreaser"
name = "Brush degreaser"
role = "cleaner"
purpose = "cleaner"
density = "1.5 g/mL"
hazards = ["H351", "H411"]
[[product.part]]
name = "tetrachloroethylene"
cas = "127-18-4"
weight = ["85 %", "95 %"]
[[product.part]]
name = "toluene"
cas = "108-88-3"
weight = ["5 %", "15 %"]
"""
US_JOB = """
[job]
id = "chairs"
title = "Degrease chairs"
place = "shed"
air = "door open"
start = 2026-11-25T08:00:00
crew = 1
[[step]]
name = "Wipe the chairs"
duration = "45 min"
ignition_sources = ["heater"]
[[step.use]]
product = "degreaser"
work = "wipe"
amount = ["20 mL", "40 mL"]
area = "1 m^2"
"""


@pytest.fixture(scope="module", params=["eu", "us"])
def scene(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Scene:
    folder = tmp_path_factory.mktemp(request.param)
    if request.param == "eu":
        write_shop(folder, EU_SHOP, {"thinner": THINNER, "coat": HARD_COAT}, {"hull": EU_JOB})
        return scene_of(folder, "hull")
    write_shop(folder, US_SHOP, {"degreaser": DEGREASER}, {"chairs": US_JOB})
    return scene_of(folder, "chairs")


def test_no_answer_loses_the_mark_of_a_rule(scene: Scene) -> None:
    lost = {(where, mark) for mark, other, names in rules(scene) for where in scene.lost(mark, other, names)}
    assert lost == set()


def test_no_answer_loses_the_mark_of_a_value(scene: Scene) -> None:
    lost = {(where, mark) for mark, other, air in values(scene) for where in scene.lost(mark, other, scene.asked, air)}
    assert lost == set()


def test_something_is_carried(scene: Scene) -> None:
    """Answers that carry nothing would lose nothing only where nothing changes them."""
    kinds = {mark.split()[1] for found in scene.marks.values() for marks in found.values() for mark in marks}
    assert kinds >= {"limit", "threshold", "row", "value", "class", "composition"}
