"""Taking away one datum never makes a sheet better: no level falls, and what stood on it is said to be unknown."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from types import MappingProxyType
from typing import Any, NamedTuple

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from safety.assessment import ASKED
from safety.cited import Unknown
from safety.reference import Reference
from safety.reference.data_files import DATA
from tests.invariants.made_up import Assessed, Case, Edit, cases
from tests.invariants.test_sheets import CLAIMS, demanded, worn

RANK = {"note": 0, "control": 1, "stop": 2}
Levels = dict[tuple[int | None, str], int]


class Removal(NamedTuple):
    """One datum taken away: from the files, from the loaded data, or from both."""

    label: str
    case: Case
    edit: Edit
    instead: Edit | None = None  # what then speaks in its place, put there; None where nothing may


def unchanged(reference: Reference) -> Reference:
    return reference


def levels(one: Assessed) -> Levels:
    """The worst level of each topic in each step, and for the whole job."""
    found: Levels = {}
    for f in one.report.findings:
        key = (f.step, f.topic)
        found[key] = max(found.get(key, 0), RANK[f.level])
    return found


def without_limits(cas: str) -> Edit:
    def edit(reference: Reference) -> Reference:
        kept = {key: limit for key, limit in reference._limits.items() if limit.cas != cas}
        return replace(reference, _limits=MappingProxyType(kept))

    return edit


def without_property(cas: str, name: str) -> Edit:
    def edit(reference: Reference) -> Reference:
        substance = reference.substance(cas)
        if not isinstance(substance, Unknown):
            gone = ("antoine_a", "antoine_b", "antoine_c", "vapour_pressure") if name == "antoine" else (name,)
            kept = {key: value for key, value in substance.properties.items() if key not in gone}
            reference._read[cas] = replace(substance, properties=MappingProxyType(kept))
        return reference

    return edit


def flash_point_of_the_product(case: Case, cas: str) -> Edit:
    """The part with the highest flash point a product with it has of its own, in place of its own lower one."""
    products = (file["product"] for file in case.products)
    own = [
        p["flash_point"] for p in products if any(part.get("cas") == cas for part in p["part"]) and "flash_point" in p
    ]

    def edit(reference: Reference) -> Reference:
        substance = reference.substance(cas)
        if not isinstance(substance, Unknown) and own:
            highest = max(273.15 + float(written.split()[0]) for written in own)
            as_high = tuple(replace(one, value=max(highest, one.value)) for one in substance.properties["flash_point"])
            properties = {**substance.properties, "flash_point": as_high}
            reference._read[cas] = replace(substance, properties=MappingProxyType(properties))
        return reference

    return edit


def burns(product: dict[str, Any]) -> bool:
    """Whether some part has a lower explosive limit: else a flash point drawn for it is one that cannot be."""
    found = (DATA / "substances" / f"{part.get('cas')}.toml" for part in product["part"] if part.get("volatile", True))
    return any(path.is_file() and "lower_explosive_limit" in path.read_text(encoding="utf-8") for path in found)


def removals(case: Case) -> Iterator[Removal]:
    """Every way to take one datum away."""
    for index, file in enumerate(case.products):
        product = file["product"]
        for key in ("density", "flash_point", "boiling_point", "hazards", "not_classified"):
            if key in product and (key != "flash_point" or burns(product)):
                without = case.changed(lambda c, i=index, k=key: c.products[i]["product"].pop(k))
                yield Removal(f"product {key}", without, unchanged)
        yield from removals_of_parts(case, index)
    for at, step in enumerate(case.job["step"]):
        for kind in ("use", "leaves_wet"):
            for n, thing in enumerate(step[kind]):

                def forget(c: Case, at: int = at, kind: str = kind, n: int = n) -> None:
                    c.job["step"][at][kind][n]["amount"] = "unknown"

                yield Removal(f"amount of a {kind}", case.changed(forget), unchanged)
                if kind == "leaves_wet" and "area" in thing:
                    without = case.changed(lambda c, a=at, k=kind, n=n: c.job["step"][a][k][n].pop("area"))
                    yield Removal("area left wet", without, unchanged)
    for n, _ in enumerate(case.job["job"]["carried"]):
        without = case.changed(lambda c, n=n: c.job["job"]["carried"][n].update(amount="unknown"))
        yield Removal("amount carried", without, unchanged)
    yield from removals_of_the_shop(case)


def removals_of_the_shop(case: Case) -> Iterator[Removal]:
    """Every way to take something away that the shop says of its places and its gear."""
    for n, place in enumerate(case.shop["place"]):
        if "humidity" in place:
            without = case.changed(lambda c, n=n: c.shop["place"][n].pop("humidity"))
            yield Removal("humidity", without, unchanged)
    for n, glove in enumerate(case.shop["glove"]):
        for cas in glove["breakthrough"]:
            without = case.changed(lambda c, n=n, cas=cas: c.shop["glove"][n]["breakthrough"].pop(cas))
            yield Removal("a breakthrough time", without, unchanged)
    for n, mask in enumerate(case.shop["respirator"]):
        for key in ("sorbent_mass", "bed_depth"):
            if key in mask:
                without = case.changed(lambda c, n=n, k=key: c.shop["respirator"][n].pop(k))
                yield Removal(f"respirator {key}", without, unchanged)


def removals_of_parts(case: Case, index: int) -> Iterator[Removal]:
    """Every way to take away something that is said of the parts of one product."""
    product = case.products[index]["product"]
    for at, part in enumerate(product["part"]):
        if "cas" in part and part.get("volatile", True):

            def hide(c: Case, i: int = index, at: int = at) -> None:
                c.products[i]["product"]["part"][at].pop("cas")

            yield Removal("what a part is", case.changed(hide), unchanged)

        # with a rest that nobody lists, a wider range would say more: that this part may be the rest
        if sum(most(p) for p in product["part"]) >= 100:

            def vague(c: Case, i: int = index, at: int = at) -> None:
                c.products[i]["product"]["part"][at]["weight"] = ["0 %", "100 %"]

            yield Removal("a part's share", case.changed(vague), unchanged)
        if "cas" in part:
            cas = part["cas"]
            yield Removal("limits", case, without_limits(cas))
            for name in (
                "flash_point",
                "lower_explosive_limit",
                "boiling_point",
                "antoine",
                "molar_mass",
                "density",
            ):
                instead = flash_point_of_the_product(case, cas) if name == "flash_point" else None
                yield Removal(f"substance {name}", case, without_property(cas, name), instead)


def most(part: dict[str, Any]) -> float:
    """The upper end of a part's share [%]."""
    written = part["weight"]
    return float((written if isinstance(written, str) else written[-1]).removesuffix(" %"))


def lowered(before: Assessed, after: Assessed) -> Iterator[tuple[int | None, str, int, int]]:
    """(step, topic, level before, level after) wherever a level fell; a note may go, an answer may not."""
    was, now = levels(before), levels(after)
    for (step, topic), level in was.items():
        least = now.get((step, topic), -1)
        if least < level and not (level == 0 and (step is None or topic not in ASKED)):
            yield step, topic, level, least


def excused(
    label: str, before: Assessed, after: Assessed, instead: Levels, step: int | None, topic: str, level: int, least: int
) -> bool:
    """Where a level may fall, and why.

    - Whoever must not start for vapour that nobody can estimate is told so once, under breathing: the step's answers
      on the air and on fire then say "not known" as controls.
    - How full of solvent a small place may get, and whether a law bars a product, is not known without the amounts and
      the names: the job says so as a control.
    - Without any limit of a vapour nobody can say that a mask is needed, nor which: the step says so as a control.
    - What nobody names goes into no container, so it cannot lack one: it is kept apart, as a control.
    - A data sheet that gives hazards speaks for the whole product, also for what it does not name. Eyes, skin and
      clothes go by it, so what a part alone would ask for goes, by one level.
    - A half mask without a change time makes way for a full facepiece, which covers the eyes too.
    - Beside steps that are stopped for vapour that nobody can estimate, no mask can be looked for that keeps the shift's
      average. A step that had none in stock for it gets one for its own air, for no less of it, and says what is not
      known, as a control. Its air has no such excuse.
    - Where nobody says whether a product makes skin or lungs allergic, that stands once, under breathing, as a control.
    - Over an ideal mixture the pressure of one part falls with what lies beside it. So where a part may be anything
      from 0 to 100 %, a vapour just over a limit may come to be under it, by one level; how far a vapour may fall is
      a claim of its own (``no_vapour_falls_far``).
    - Of two flash points that contradict each other, a product's own and a lower one of its part, the lower one counts.
      Without that the product's own does: it is what the data sheet says of the whole. So fire may fall as far as it
      would if the part's were as high as that (``instead``), and no further.
    """
    now = levels(after)
    unknown = any(f.unknown for f in after.report.findings if f.step == step and f.topic == topic)
    by_one = least == level - 1
    if topic in ("fire", "data") and step is None and least == 1 and unknown:
        return True
    steps = range(len(after.job.steps)) if step is None else [step]
    uncounted = any(after.report.exposure.steps[i].unknown for i in steps)
    if topic in ("air", "fire") and least == 1 and unknown and uncounted:
        return True
    if label == "limits" and topic in ("air", "breathing") and least == 1 and unknown:
        return True
    if topic == "waste" and least == 1 and level == 2:
        return any(f.key.startswith("waste-held") for f in after.report.findings if f.step == step)
    mask = None if step is None else worn(after, step)
    if topic == "eyes" and by_one and mask is not None and mask[0].facepiece == "full facepiece":
        return True
    stopped = {f.step for f in after.report.findings if f.topic == "breathing" and f.level == "stop" and f.unknown}
    if topic == "breathing" and step is not None and (level, least) == (2, 1) and stopped and step not in stopped:
        return unknown and demanded(after, step) >= demanded(before, step) * (1 - 1e-6)
    if topic == "skin" and step is None and (level, least) == (1, -1):
        asked = [f for f in after.report.findings if f.key.startswith("allergy-") and f.topic == "breathing"]
        return bool(asked) and all(f.level == "control" for f in asked)
    if label == "a part's share" and topic in ("air", "breathing"):
        return by_one
    if topic == "fire" and (step, topic) in instead:
        return least >= instead[step, topic]
    given = all(not isinstance(p.hazards, Unknown) for p in after.job.products)
    return label == "what a part is" and topic in ("skin", "eyes") and by_one and given and now[step, topic] == least


def what_is_counted_is_no_less_over(before: Assessed, after: Assessed) -> None:
    """A step's answer on the vapour that is still counted is no milder, whatever stands beside it."""
    controls = {f.step for f in before.report.findings if f.key == "air-step" and f.level == "control"}
    for f in after.report.findings:
        assert f.step not in controls or f.key != "air-step" or f.level != "note" or not f.figures, (f.step, f.short)


def no_vapour_falls_far(before: Assessed, after: Assessed) -> None:
    """A part whose share may be anything takes room from no other: each vapour is judged near the top of its range."""
    was, now = before.report.exposure, after.report.exposure
    for column, substance in enumerate(was.substances):
        other = now.column(substance.cas)
        assert other is not None, substance.name
        for name in ("peak", "worst_15min", "shift_average"):
            a, b = (np.percentile(getattr(x.worker, name)[:, c], 95) for x, c in ((was, column), (now, other)))
            assert b >= a * (1 - FALL), (substance.name, name, float(a), float(b))


#: Most by which another vapour may fall where a part widens to 0 to 100 %: by what then lies beside it in the film.
FALL = 0.10
#: So many draws that a percentile scatters by far less than that; the few of most claims do not.
MANY = 1000


#: Name of a figure that is a time -> its key, and whether it must not come later (-1) or not earlier (1).
TIMES = {
    "others out from, after the start": ("air-bystanders", -1),
    "others out until, after the start": ("air-bystanders", 1),
    "air clear, after the start": ("air-clear", 1),
    "no ignition source until, after the start": ("fire-zone", 1),
    "drying time, slow bound": ("drying-", 1),
}


def times(one: Assessed) -> dict[tuple[str, int | None, str], float]:
    """Every time a sheet sets, by its name, its step and the key of its finding."""
    return {
        (figure.name, f.step, f.key): figure.value
        for f in one.report.findings
        for figure in f.figures
        if figure.name in TIMES and f.key.startswith(TIMES[figure.name][0])
    }


def not_better(was: float, now: float, side: int) -> bool:
    """Whether a time moved only to its careful side; one without an end stays without an end."""
    return now == was if np.isinf(was) else side * (now - was) >= -0.02 * was - 60


def no_time_gets_better(before: Assessed, after: Assessed, label: str) -> None:
    """A time that stood on a datum comes no earlier for whoever waits for it, or is said not to be known."""
    now = times(after)
    for (name, step, key), value in times(before).items():
        found = now.get((name, step, key))
        of_it = [f for f in after.report.findings if f.step == step and (f.key == key or f.key in SAID.get(key, ()))]
        said = any(f.unknown for f in of_it)
        held = found is not None and not_better(value, found, TIMES[name][1])
        begins = TIMES[name][1] < 0 and found is not None  # a beginning that is there must hold; an end may be open
        assert held or (said and not begins) or label == "a part's share", (label, name, step, value, found)


#: Key of a finding with a time -> keys of those that say beside it that the time is not known.
SAID = {"fire-zone": ("fire-unknown",)}


def check(case: Case, removal: Removal) -> None:
    label, other, edit, in_its_place = removal
    before, after = case.assess(), other.assess(edit)
    fell = [*lowered(before, after)]
    instead = levels(case.assess(in_its_place)) if in_its_place and fell else {}
    for step, topic, level, least in fell:
        assert excused(label, before, after, instead, step, topic, level, least), (label, step, topic, level, least)
    no_time_gets_better(before, after, label)
    what_is_counted_is_no_less_over(before, after)
    if label == "a part's share":
        no_vapour_falls_far(case.assess(draws=MANY), other.assess(edit, draws=MANY))
    if not before.report.complete:
        assert not after.report.complete, label
    for claim in CLAIMS:
        claim(after)


@settings(max_examples=12, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
@given(cases(known=True), st.data())
def test_taking_away_a_datum_never_lowers_a_level(case: Case, data: st.DataObject) -> None:
    check(case, data.draw(st.sampled_from(list(removals(case)))))
