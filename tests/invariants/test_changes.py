"""What must not change a decision, and what may only make it stricter."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from types import MappingProxyType
from typing import Any

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from safety.cited import Unknown
from safety.reference import Reference
from safety.render import records
from tests.invariants.made_up import Assessed, Case, cases, house_limit, local_pack, products, vapours
from tests.invariants.test_missing import levels
from tests.invariants.test_sheets import demanded

FEW = settings(max_examples=8, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))


# ---------------------------------------------------------------- the units a page is printed in


def decided(one: Assessed) -> list[tuple[Any, ...]]:
    """What a sheet decides, as its JSON says it, without the words in which lengths and masses are printed."""
    found = []
    for f in records.sheet(one.report)["findings"]:
        things = re.findall(r"(?:glove|mask)-\d|(?:rags|liquid|scrapings|solids|ask|drum)-1", f["statement"])
        values = [(g["name"], g["value"], g["unit"]) for g in f["figures"]]
        found.append((f["level"], f["topic"], f["step"], f["plugin"], f["key"], f["unknown"] is None, things, values))
    return found


def units_decide_nothing(case: Case) -> None:
    us, si = (case.changed(lambda c, u=u: c.shop["shop"].update(print_units=u)).assess() for u in ("us", "si"))
    assert decided(us) == decided(si)
    for key in ("complete", "result"):
        assert records.sheet(us.report)[key] == records.sheet(si.report)[key]


@FEW
@given(cases())
def test_the_units_of_the_pages_decide_nothing(case: Case) -> None:
    units_decide_nothing(case)


# ---------------------------------------------------------------- tighter rules


def tighter_limit(cas: str, kind: str, by: float) -> Callable[[Reference], Reference]:
    """Every limit of a kind of a substance, multiplied."""

    def edit(reference: Reference) -> Reference:
        changed = {
            key: replace(limit, value=limit.value * by) if (limit.cas, limit.kind) == (cas, kind) else limit
            for key, limit in reference._limits.items()
        }
        return replace(reference, _limits=MappingProxyType(changed))

    return edit


#: Threshold -> what makes it tighter. The comparison sign says which way that is.
TIGHTER = {
    "explosive-atmosphere-stop": 0.5,
    "enclosed-below-volume": 3.0,
    "flash-margin-pure": 2.0,
    "flash-margin-mixture": 2.0,
    "held-liquid-margin": 2.0,
    "glove-time-divisor": 2.0,
    "glove-splash-only": 3.0,
    "thin-glove": 2.0,
    "glove-part-from": 0.5,
    "cartridge-light-share": 0.5,
    "unknown-lower-limit": 0.5,
}


def tighter_threshold(name: str) -> Callable[[Reference], Reference]:
    def edit(reference: Reference) -> Reference:
        found = reference.threshold(name)
        assert not isinstance(found, Unknown), name
        new = replace(found, value=found.value * TIGHTER[name])
        return replace(reference, _thresholds=MappingProxyType({**reference._thresholds, name: new}))

    return edit


def never_looser(before: Assessed, after: Assessed) -> None:
    """No level falls. What the shift asks for may move from one step to another, so it is looked at for the job."""
    was, now = levels(before), levels(after)
    for (step, topic), level in was.items():
        if topic != "breathing":
            assert now.get((step, topic), -1) >= level or level == 0, (step, topic)
    for step in range(len(before.job.steps)):
        assert demanded(after, step) >= demanded(before, step) * (1 - 1e-9)
    worst = [max(level for (_, topic), level in x.items() if topic == "breathing") for x in (was, now)]
    assert worst[1] >= worst[0]


def edits(case: Case) -> list[tuple[str, Callable[[Reference], Reference]]]:
    against = sorted({p["cas"] for f in case.products for p in f["product"]["part"] if "cas" in p})
    found = [(name, tighter_threshold(name)) for name in TIGHTER]
    for cas in against:
        for kind in ("twa", "short-term", "ceiling", "peak", "idlh"):
            found.append((f"{kind} of {cas}", tighter_limit(cas, kind, 0.3)))
    return found


@FEW
@given(cases(), st.data())
def test_tighter_rules_never_loosen(case: Case, data: st.DataObject) -> None:
    _, edit = data.draw(st.sampled_from(edits(case)))
    never_looser(case.assess(), case.assess(edit))


# ---------------------------------------------------------------- more of it, for longer, in less air, in the heat


@st.composite
def plain_jobs(draw: st.DrawFn) -> Case:
    """One pure solvent, one step close to it, in one place, everybody there for the rest of the shift."""
    case = draw(cases(known=True))
    cas = draw(st.sampled_from(vapours()))
    product = draw(products("p0", known=True))
    product["product"].pop("application", None)
    product["product"]["part"] = [{"cas": cas, "name": cas, "weight": "100 %"}]
    step = case.job["step"][0]
    for key in ("length", "surface_temperature", "structure_holds"):
        step.pop(key, None)
    use = {"product": "p0", "work": draw(st.sampled_from(("wipe", "brush"))), "amount": "50 mL", "area": "0.5 m^2"}
    step |= {"people": "near", "place": "place-0", "use": [use], "leaves_wet": [], "duration": "20 min"}
    step["air"] = case.shop["place"][0]["air"][0]["state"]
    case.job["step"] = [step]
    case.job["job"] |= {"afterwards": "far", "carried": []}
    limits = [house_limit(cas, *k) for k in (("twa", "8 h", 20), ("short-term", "15 min", 50), ("idlh", "0 s", 500))]
    return Case(case.shop, (product,), case.job, {"local.toml": local_pack(limits)})


def scaled(text: Any, by: float) -> Any:
    if isinstance(text, list):
        return [scaled(one, by) for one in text]
    number, unit = text.split(" ", 1)
    return f"{float(number) * by:.6g} {unit}"


def more_product(c: Case) -> None:
    use = c.job["step"][0]["use"][0]
    use["amount"] = scaled(use["amount"], 2)


def less_air(c: Case) -> None:
    for air in c.shop["place"][0]["air"]:
        if "air_changes" in air:
            air["air_changes"] = scaled(air["air_changes"], 0.5)


def longer(c: Case) -> None:
    """Twice as long at the same pace: twice the product on twice the area."""
    step = c.job["step"][0]
    use = step["use"][0]
    use["amount"], use["area"] = scaled(use["amount"], 2), scaled(use["area"], 2)
    step["duration"] = scaled(step["duration"], 2)


def hotter(c: Case) -> None:
    place = c.shop["place"][0]
    given = place["temperature"]
    place["temperature"] = [
        f"{float(x.split()[0]) + 10:g} degC" for x in (given if isinstance(given, list) else [given] * 2)
    ]


CHANGES = (more_product, less_air, hotter, longer)


def never_less(case: Case, change: Callable[[Case], None]) -> None:
    before, after = case.assess(), case.changed(change).assess()
    was, now = levels(before), levels(after)
    for key in ((0, "air"), (0, "breathing"), (None, "air"), (0, "fire")):
        assert now.get(key, -1) >= was.get(key, -1), (change.__name__, key)
    old, new = before.report.exposure, after.report.exposure
    for name in ("peak", "worst_15min"):
        a, b = (np.percentile(x.ppm(getattr(x.worker, name)), 95, axis=0) for x in (old, new))
        assert (b >= a * (1 - 0.002)).all(), (change.__name__, name, a, b)


@FEW
@given(plain_jobs(), st.sampled_from(CHANGES))
def test_more_product_less_air_longer_work_and_heat_never_ask_for_less(
    case: Case, change: Callable[[Case], None]
) -> None:
    """Of one pure solvent at the hands of somebody who stays, this is so, draw by draw:

    - more of it on the same area gives off vapour at the same rate for longer;
    - less air takes less of it away, and changes nothing else (the speed of the air over the work stays);
    - longer at the same pace adds sources to those there were;
    - heat makes it leave faster: each patch gives the same mass in a shorter time, and the highest mean over any window
      of a rise and decay cannot fall by that.

    Not claimed, because it is not so: of a mixture, where more product delays the heavy parts until nobody is there; of
    a longer job with the same amount, which thins the vapour; of heat where somebody leaves or comes in between; of
    faster air over the work, which dries films faster and carries the vapour off.
    """
    never_less(case, change)
