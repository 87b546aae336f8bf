"""Mistakes that no single key shows: an id nobody has, a window that cannot be met, shares over 100 %.

Works on plain data with whatever is wrong in them, so that every mistake of a run is found at
once; a value that cannot be read is passed over here, because its shape already says so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from safety.files.door_checks import check_doors
from safety.files.exhaust_checks import check_exhaust
from safety.files.flash_checks import check_flash_point
from safety.files.notation import Miswritten, Quantity, nearest, squeezed
from safety.files.people_checks import check_people
from safety.files.second_names import alike
from safety.files.shape_kinds import COVERAGE
from safety.files.shapes import MOST_STEPS
from safety.files.toml import At, Document, is_file, problem, tables
from safety.files.trust import inside
from safety.files.vessel_checks import check_vessel
from safety.model import ANY, IN_A_VESSEL, Place, Product
from safety.problems import Problem
from safety.units import UnitError, show
from safety.words import say

_TIME = Quantity(("time",))
_SHARE = Quantity(("fraction",))

#: Tables of a file, each with its place.
Tables = list[tuple[At, dict[str, Any]]]

#: A job is computed cell by cell: past these it would take hours.
MOST_WET, LONGEST = 300, 14 * 86400.0

#: Keys of a product that mean nothing without a number of coats: one coat more is as much vapour again.
OF_COATS = ("dry_between", "dry_final", "start_within", "recoat_within", "coverage")

#: Times of which the first cannot be over the second.
ONE_BY_ONE = (
    ("dry_final", "start_within"),
    ("stand_at_least", "start_within"),
    ("start_within", "recoat_within"),
    ("dry_final", "recoat_within"),
)

#: Ways of working whose wetted area decides how fast vapour comes off.
NEEDS_AREA = ("wipe", "brush", "soak", "gel", "pour", *IN_A_VESSEL)


def _text(table: Mapping[str, Any], key: str) -> str:
    return squeezed(table.get(key))


def _low(quantity: Quantity, value: object) -> float | None:
    try:
        return quantity.span(value).low
    except (Miswritten, UnitError):
        return None


def _twice(document: Document, named: Iterable[tuple[At, dict[str, Any]]], key: str) -> list[Problem]:
    """A mistake for each table whose ``key`` another one before it has already."""
    seen: set[str] = set()
    found = []
    for at, table in named:
        word = _text(table, key)
        if word and word in seen:
            found.append(
                problem(
                    document,
                    (*at, key),
                    say('"{word}" is there twice', word=word),
                    say("give each its own {key}", key=key),
                )
            )
        seen.add(word)
    return found


def _too_much(document: Document, steps: Tables, surface: str, products: Mapping[str, Product | None]) -> list[Problem]:
    """A job that is too long, or lays down too much, for one clock: it would be computed for hours."""
    wet, seconds = 0, 0.0
    for at, step in steps:
        uses = list(tables(step, "use", at))
        laid = [p.application for _, use in uses if (p := products.get(_text(use, "product"))) and p.application]
        coats = max((one.coats.get(surface, 0) for one in laid), default=0) or 1
        wet += len(uses) * coats + len(list(tables(step, "leaves_wet", at)))
        seconds += (_low(_TIME, step.get("duration")) or 0.0) * coats
        seconds += max((one.dry_between for one in laid), default=0.0) * (coats - 1)
        seconds += max((one.dry_final + one.stand_at_least for one in laid), default=0.0)
    found = []
    if wet > MOST_WET:
        wrong = say("coats, other uses and wet leftovers come to {count}; {most} at most", count=wet, most=MOST_WET)
        found.append(problem(document, ("step",), wrong, say("split the job in two")))
    if seconds > LONGEST:
        days = show(seconds, "time", "day")
        wrong = say("with its coats and waits the job lasts {days}; 14 days at most", days=days)
        found.append(problem(document, ("step",), wrong, say("split the job in two, or check the times")))
    return found


def check_shop(document: Document) -> list[Problem]:
    """Return what is wrong between the keys of a shop file."""
    data = document.data
    ids = dict.fromkeys(("place", "glove", "respirator", "eyewear", "container", "person"), "id")
    found = [*check_doors(document, [*tables(data, "place")]), *check_people(document)]
    for kind, key in (*ids.items(), ("answer", "question"), ("phone", "reaches")):
        found += _twice(document, tables(data, kind), key)
    for at, place in tables(data, "place"):
        if "altitude" in place and "pressure" in place:
            wrong = say("altitude and pressure both say how thin the air is")
            found.append(problem(document, (*at, "altitude"), wrong, say("keep the one that was measured")))
        found += _twice(document, tables(place, "air", at), "state")
        night, states = _text(place, "overnight"), [_text(air, "state") for _, air in tables(place, "air", at)]
        if night and night not in states:
            wrong = say('this place has no air state "{state}"', state=night)
            found.append(problem(document, (*at, "overnight"), wrong, nearest(night, states)))
        for inner, air in tables(place, "air", at):
            found += check_exhaust(document, inner, air, place.get("kind"))
        if place.get("kind") == "outdoor":
            continue
        if "volume" not in place:
            write = say('write for example volume = "2400 m^3"; only an outdoor place has none')
            found.append(problem(document, (*at, "volume"), say('"volume" is missing'), write))
        for inner, air in tables(place, "air", at):
            if "air_changes" not in air:
                write = say('write for example air_changes = ["0.3 /hour", "2 /hour"]')
                found.append(problem(document, (*inner, "air_changes"), say('"air_changes" is missing'), write))
    shop = data.get("shop")
    found += _whose(document, shop if isinstance(shop, dict) else {})
    for key, ending in (("rules", ".toml"), ("plugins", ".py")):
        names = shop.get(key) if isinstance(shop, dict) else None
        for index, name in enumerate(names if isinstance(names, list) else []):
            if key == "plugins" and isinstance(name, str) and not inside(document.path.parent, name):
                wrong = say('the file "{name}" does not lie in the shop\'s folder', name=name)
                write = say("copy it into the folder, and write its path as seen from this file")
                found.append(problem(document, ("shop", key, index), wrong, write))
                continue
            named_by_path = key == "plugins" or (isinstance(name, str) and name.endswith(ending))
            if isinstance(name, str) and named_by_path and not is_file(document.path.parent / name):
                write = say("write the path of a {ending} file as seen from this file", ending=ending)
                found.append(
                    problem(document, ("shop", key, index), say('there is no file "{name}"', name=name), write)
                )
    return found


def _whose(document: Document, shop: Mapping[str, Any]) -> list[Problem]:
    """A shop that is said to be another one and this one."""
    others, earlier = shop.get("ledger_shared_with"), shop.get("earlier_names")
    own = {_text(shop, "name"), *(squeezed(name) for name in (earlier if isinstance(earlier, list) else []))} - {""}
    return [
        problem(
            document,
            ("shop", "ledger_shared_with", index),
            say('"{name}" is a name of this shop itself', name=squeezed(name)),
            say("name only other shops here, or take it out of earlier_names"),
        )
        for index, name in enumerate(others if isinstance(others, list) else [])
        if squeezed(name) in own
    ]


def check_product(document: Document) -> list[Problem]:
    """Return what is wrong between the keys of a product file."""
    product, found = document.data.get("product"), []
    if not isinstance(product, dict):
        return []
    parts = list(tables(product, "part", ("product",)))
    found += _twice(document, parts, "cas")
    least = sum(_low(_SHARE, part.get("weight")) or 0.0 for _, part in parts)
    if least > 1 + 1e-9:
        wrong = say("the parts make up at least {share}", share=show(least, "fraction", "%"))
        found.append(
            problem(document, ("product", "part"), wrong, say("the lowest weights together cannot be over 100 %"))
        )
    for at, part in parts:
        if "cas" not in part and not part.get("name"):
            found.append(
                problem(
                    document,
                    at,
                    say("the part has no cas and no name"),
                    say('write cas = "108-88-3", or a name where there is no number'),
                )
            )
    if product.get("not_classified") is True and "hazards" in product:
        found.append(
            problem(
                document,
                ("product", "not_classified"),
                say("the product has hazards and is not classified"),
                say("keep one of the two"),
            )
        )
    found += check_flash_point(document, product)
    application = product.get("application")
    if isinstance(application, dict):
        found += _windows(document, application)
        of_coats = [key for key in OF_COATS if key in application]
        if of_coats and "coats" not in application:
            wrong = say('"coats" is missing beside {keys}', keys=", ".join(of_coats))
            write = say("write for example coats = {{ any = 1 }}, as the maker asks for")
            found.append(problem(document, ("product", "application"), wrong, write))
        needs_density = _by_volume(application.get("coverage")) and product.get("density", "unknown") == "unknown"
        if needs_density:
            write = say('write the density, or the coverage by weight such as "150 g/m^2"')
            found.append(
                problem(
                    document,
                    ("product", "application", "coverage"),
                    say("a coverage by volume needs the product's density"),
                    write,
                )
            )
    return found


def _by_volume(coverage: object) -> bool:
    try:
        return COVERAGE.amount(coverage).kind != "area_density"
    except (Miswritten, UnitError):
        return False


def _windows(document: Document, application: dict[str, Any]) -> list[Problem]:
    """Windows that close before they open."""
    found: list[Problem] = []
    for first, then in ONE_BY_ONE:
        early, late = _low(_TIME, application.get(first)), _low(_TIME, application.get(then))
        if early is None or late is None or late >= early or any(p.where.endswith(then) for p in found):
            continue
        wrong = say(
            "{then} ({late}) is shorter than {first} ({early}): it can never be met",
            then=then,
            late=application[then],
            first=first,
            early=application[first],
        )
        found.append(problem(document, ("product", "application", then), wrong, say("check both times")))
    return found


def check_job(
    document: Document,
    places: Mapping[str, Place | None] | None,
    products: Mapping[str, Product | None],
) -> list[Problem]:
    """Return what is wrong between the keys of a job file and with what it names of the shop.

    ``places`` and ``products`` hold None for one whose own file has mistakes; ``places`` is None
    where the shop's file cannot be read at all.
    """
    data, found = document.data, []
    named = data.get("job")
    job: dict[str, Any] = named if isinstance(named, dict) else {}
    steps = list(tables(data, "step"))[:MOST_STEPS]
    found += _twice(document, steps, "name") + alike(document, steps)
    found += _too_much(document, steps, _text(job, "surface"), products)
    found += [] if places is None else _airs(document, job, steps, places)
    names = [_text(step, "name") for _, step in steps]
    applied: set[str] = set()
    for index, (at, step) in enumerate(steps):
        uses, wet = list(tables(step, "use", at)), list(tables(step, "leaves_wet", at))
        for inner, table in (*uses, *wet):
            found += _known(document, (*inner, "product"), _text(table, "product"), products, say("products/"))
        for inner, use in uses:
            found += _enough(document, inner, use, _text(job, "surface"), products.get(_text(use, "product")))
            found += check_vessel(document, inner, use)
        for inner, key, word in [(a, "lifted_by", _text(t, "lifted_by")) for a, t in uses] + [
            (a, "taken_away", _text(t, "taken_away")) for a, t in wet
        ]:
            if word and word not in names[index:]:
                wrong = say('no step from here on is called "{word}"', word=word)
                found.append(problem(document, (*inner, key), wrong, nearest(word, names[index:])))
        found += _touches(document, at, index, steps, _text(job, "place"))
        if "near_share" in step and _text(step, "people") in ("far", "away"):
            wrong = say('near_share stands beside people = "{people}"', people=_text(step, "people"))
            found.append(problem(document, (*at, "near_share"), wrong, say('write people = "near", or take it out')))
        joins = _text(step, "joins")
        mistyped = any(name not in products for name in applied)  # then this line is only its echo
        if joins and joins not in applied and not mistyped:
            wrong = say('no step before this one puts on "{product}"', product=joins)
            found.append(problem(document, (*at, "joins"), wrong, nearest(joins, applied)))
        elif joins in applied and (product := products.get(joins)) and product.application is None:
            wrong = say('the file of "{product}" sets no times to meet', product=joins)
            found.append(
                problem(document, (*at, "joins"), wrong, say("add [product.application] to {file}", file=product.file))
            )
        applied.update(_text(use, "product") for _, use in uses if use.get("work") not in IN_A_VESSEL)
    for at, carried in tables(job, "carried", ("job",)):
        found += _known(document, (*at, "product"), _text(carried, "product"), products, say("products/"))
    here = [place for word in (_text(job, "place"), *(_text(s, "place") for _, s in steps))
            if (place := (places or {}).get(word))]  # fmt: skip
    for at, table in tables(data, "measurement"):
        found += _measured(document, at, table, names, here)
    return found


def _touches(document: Document, at: At, index: int, steps: Tables, home: str) -> list[Problem]:
    """A contact with liquid in a step where nothing is put on and nothing can be wet from before."""
    step, names = steps[index][1], [_text(s, "name") for _, s in steps]
    wet = (
        before == index or _text(table, key) not in names[before:index]
        for before, (_, earlier) in enumerate(steps[: index + 1])
        if (_text(earlier, "place") or home) == (_text(step, "place") or home)
        for kind, key in (("use", "lifted_by"), ("leaves_wet", "taken_away"))
        for _, table in tables(earlier, kind)
    )
    if _text(step, "contact") in ("", "none") or _text(step, "joins") or any(wet):
        return []
    wrong = say("nothing in this step is wet, or left wet by an earlier one")
    write = say("name the product under [[step.use]] or [[step.leaves_wet]], or take contact out")
    return [problem(document, (*at, "contact"), wrong, write)]


def _measured(
    document: Document,
    at: At,
    table: dict[str, Any],
    steps: list[str],
    places: list[Place],
) -> list[Problem]:
    """Steps and states of the air that a result names and nobody has."""
    found = []
    named = table.get("step")
    for index, one in enumerate(named if isinstance(named, list) else [named]):
        word = squeezed(one)
        if word and word not in steps:
            key: At = (*at, "step", index) if isinstance(named, list) else (*at, "step")
            found.append(problem(document, key, say('no step is called "{word}"', word=word), nearest(word, steps)))
    state, states = _text(table, "air"), [air.state for place in places for air in place.airs]
    if state and states and state not in states:
        wrong = say('no place of this job has an air state "{state}"', state=state)
        found.append(problem(document, (*at, "air"), wrong, nearest(state, states)))
    return found


def _known(document: Document, at: At, word: str, known: Mapping[str, object], home: str) -> list[Problem]:
    if not word or word in known:
        return []
    return [problem(document, at, say('there is no "{word}" in {home}', word=word, home=home), nearest(word, known))]


def _airs(document: Document, job: dict[str, Any], steps: Tables, places: Mapping[str, Place | None]) -> list[Problem]:
    """Places and air states that are not there."""
    found = _known(document, ("job", "place"), _text(job, "place"), places, "shop.toml")
    own = places.get(_text(job, "place"))
    found += _state(document, ("job", "air"), _text(job, "air"), own)
    for at, step in steps:
        elsewhere = _text(step, "place")
        found += _known(document, (*at, "place"), elsewhere, places, "shop.toml")
        place = places.get(elsewhere) if elsewhere else own
        state = _text(step, "air")
        found += _state(document, (*at, "air"), state, place)
        if place and not state and not default_state(place, _text(job, "air")):
            at_key = (*at, "air") if elsewhere else ("job", "air")
            wrong = say('"air" is missing: {place} has {count} states', place=place.id, count=len(place.airs))
            mistake = problem(document, at_key, wrong, nearest("", [a.state for a in place.airs]))
            found += [] if mistake in found or (not elsewhere and _text(job, "air")) else [mistake]
    return found


def default_state(place: Place, of_job: str) -> str:
    """The air state of a step that names none: the job's where the place has it, or the only one; else ""."""
    states = [air.state for air in place.airs]
    return of_job if of_job in states else states[0] if len(states) == 1 else ""


def _state(document: Document, at: At, state: str, place: Place | None) -> list[Problem]:
    if not state or place is None or any(air.state == state for air in place.airs):
        return []
    wrong = say('{place} has no air state "{state}"', place=place.id, state=state)
    return [problem(document, at, wrong, nearest(state, [a.state for a in place.airs]))]


def _enough(document: Document, at: At, use: dict[str, Any], surface: str, product: Product | None) -> list[Problem]:
    """Whether amount, area and number of coats can be known."""
    found = []
    work = _text(use, "work")
    coated = product.application if product else None
    if work in NEEDS_AREA and "area" not in use:
        vessel = {"open": say("the opening of the can"), "wash": say("of the liquid and the wet parts together")}
        what = vessel.get(work) or say("the wetted area")
        found.append(
            problem(
                document,
                (*at, "area"),
                say('"area" is missing: {what}', what=what),
                say('write for example area = "1.5 m^2"'),
            )
        )
    covered = coated is not None and coated.coverage is not None and "area" in use and work not in IN_A_VESSEL
    if "amount" not in use and product and not covered:
        write = say('write for example amount = "250 mL", or "unknown"')
        found.append(problem(document, (*at, "amount"), say('"amount" is missing'), write))
    if coated and coated.coats and not {surface, ANY} & coated.coats.keys() and work not in IN_A_VESSEL:
        counts = ", ".join(f'"{s}"' for s in coated.coats)
        if not surface:
            wrong = say(
                '"surface" is missing: the coats of {product} depend on it', product=product.id if product else ""
            )
            found.append(problem(document, ("job", "surface"), wrong, say("write one of: {counts}", counts=counts)))
        else:
            wrong = say(
                '{product} has no number of coats for "{surface}"',
                product=product.id if product else "",
                surface=surface,
            )
            found.append(
                problem(
                    document,
                    ("job", "surface"),
                    wrong,
                    say("write one of: {counts}, or add it to the product", counts=counts),
                )
            )
    return found
