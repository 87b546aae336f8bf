"""What no file says, and what is taken in its place: sentences for the sheet. docs/left-out.md has every key."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from safety import levels
from safety.files import shapes
from safety.model import IN_A_VESSEL, Job, Step
from safety.words import say

#: What of a planned time a step may take, where one time is given: our judgement. In time study the quickest at a work
#: is taken to need about half the time of the slowest (general teaching of the trade, seen in summaries alone).
PACE = (2 / 3, 3 / 2)


def assumed(file: shapes.JobFile, job: Job) -> tuple[str, ...]:
    """What is taken for the keys that a job, its places and its products leave out, careful or not."""
    return (
        *_stand_ins(job),
        *_lying(file),
        *_waits(job),
        *_paces(job),
        *_people(file),
        *_air(job),
        *_matter(file, job),
        *_not_so(file, job),
    )


def _stand_ins(job: Job) -> Iterator[str]:
    """Parts that somebody of the shop decided to take as another substance."""
    for product in job.products:
        for part in product.parts:
            if part.taken_as:
                yield say(
                    "{part} in {product} counts as CAS {cas}: {reason}. {name} decided so on {day}.",
                    part=part.name,
                    product=product.name,
                    cas=part.taken_as.cas,
                    reason=part.taken_as.reason,
                    name=part.taken_as.name,
                    day=part.taken_as.date.isoformat(),
                )


def _lying(file: shapes.JobFile) -> Iterator[str]:
    """Wet things that nobody takes away."""
    for number, step in enumerate(file.step, 1):
        for use in step.use:
            if not use.lifted_by and use.work in ("soak", "gel", "pour", *IN_A_VESSEL):
                yield say(
                    "Step {number}: nobody says when {product} is taken away or closed. It counts as lying there until "
                    "it is dry.",
                    number=number,
                    product=use.product,
                )
        for wet in step.leaves_wet:
            if not wet.taken_away:
                yield say("Step {number}: {what} counts as staying there.", number=number, what=wet.what)
            if "near" not in wet.model_fields_set:
                yield say("Step {number}: {what} counts as beside the worker.", number=number, what=wet.what)


def _waits(job: Job) -> Iterator[str]:
    """Waits that a maker may ask for and that the product's file does not give."""
    soaking = {u.product.id: u.product for s in job.steps for u in s.uses if u.work in ("soak", "gel")}
    for product in soaking.values():
        if product.application is None or not product.application.stand_at_least:
            yield say("{product}: its file gives no time to stand, so none is planned.", product=product.name)
    laid = {use.product.id: use.product for step in job.steps for use in step.uses if use.work not in IN_A_VESSEL}
    for product in laid.values():
        application = product.application
        if application is None or not application.coats:
            continue
        between = max(application.coats.values()) > 1 and not application.dry_between
        if between or not application.dry_final:
            what = say("between coats") if between else say("after the last coat")
            what = say("between coats and after the last one") if between and not application.dry_final else what
            yield say("{product}: its file gives no wait {what}, so none is planned.", product=product.name, what=what)


def _paces(job: Job) -> Iterator[str]:
    """The times for which the sheet holds where one was planned; never wider than they are."""
    times = [
        say(
            "step {number} in {low} to {high} min",
            number=number,
            low=levels.at_least(step.lasts.low / 60),
            high=levels.at_most(step.lasts.high / 60),
        )
        for number, step in enumerate(job.steps, 1)
        if step.lasts and step.lasts.basis
    ]
    if times:
        yield say(
            "Given one time, a step counts as done in two thirds to one and a half of it (our judgement): {times}. "
            "If it goes quicker or slower, make a new sheet.",
            times=", ".join(times),
        )


def _people(file: shapes.JobFile) -> Iterator[str]:
    given = file.job.model_fields_set
    if "shift" not in given:
        yield say("The shift counts as 8 h long. On a longer one the limits would be lower.")
    if "afterwards" not in given:
        yield say("The worker counts as staying in the place for the rest of the shift.")
    close = [i for i, step in enumerate(file.step, 1) if "people" not in step.model_fields_set]
    if close:
        yield say("The worker counts as close to the work in: {steps}.", steps=_numbers(close))


def _air(job: Job) -> Iterator[str]:
    places = {step.place.id: step.place for step in job.steps}.values()
    reach = {p.near_radius.written for p in places if p.near_radius.basis and p.kind != "enclosed"}
    for ours in sorted(reach):
        yield say("The air around the hands counts as reaching {reach} (our assumption).", reach=ours)
    for place in places:
        if not place.overnight and len(place.airs) > 1:
            yield say(
                "{place} counts as “{state}” once the shift is over, its state with the least air.",
                place=place.name or place.id,
                state=place.at_night.state,
            )
    if any(place.pressure is None for place in places):
        yield say(
            "Nobody said how high the shop lies. Fire is worked out for up to 1900 m above sea level. Higher up it "
            "burns sooner: write altitude in shop.toml."
        )
    if any(place.humidity is None for place in places):
        yield say("The air counts as humid: cartridges last half as long.")
    if not any(step.air.capture.high for step in job.steps):
        yield say("No hood counts as catching vapour.")
    for place, air in dict.fromkeys((step.place, step.air) for step in job.steps):
        if air.capture.basis:
            yield say(
                "The hood in {place} counts as taking {share} of the vapour ({basis}).",
                place=place.name or place.id, share=air.capture.written, basis=air.capture.basis,
            )  # fmt: skip
        if place.kind == "booth" and air.face_velocity is None:
            yield say(
                "{place}: nobody knows how fast the air streams through it. It counts as a room without a stream.",
                place=place.name or place.id,
            )


def _matter(file: shapes.JobFile, job: Job) -> Iterator[str]:
    whole = [i for i, step in enumerate(file.step, 1) if any("kept" not in use.model_fields_set for use in step.use)]
    if whole:
        yield say(
            "Nothing counts as staying in cloth, brush or scrapings, so all of it becomes vapour, in: {steps}. There "
            "may be more waste than that leaves.",
            steps=_numbers(whole),
        )
    near = [i for i, step in enumerate(job.steps, 1) if step.length is None and step.uses and _roomy(step)]
    if near:
        yield say("All that is wet counts as within reach of the hands in: {steps}.", steps=_numbers(near))
    stays = {
        say("{part} ({product})", part=part.name, product=product.name): None
        for product in job.products
        for part in product.parts
        if not part.volatile
    }
    if stays:
        yield say(
            "On the word of the product's file these give off no vapour, so no figure counts them: {parts}.",
            parts="; ".join(stays),
        )


def _roomy(step: Step) -> bool:
    return step.place.kind != "enclosed"  # there it makes no difference


def _not_so(file: shapes.JobFile, job: Job) -> Iterator[str]:
    """What a job would have to say, and says of no step: nobody has looked, as far as the files go."""
    steps = job.steps
    nothing = (
        (say("an ignition source"), any(s.ignition_sources or s.place.ignition_sources for s in steps)),
        (say("fuel or another liquid in the structure beneath"), any(s.structure_holds for s in steps)),
        (say("work above the head"), any("overhead" in s.model_fields_set for s in file.step)),
        (say("a surface warmer than the air"), any(s.surface_temperature for s in steps)),
        (say("stock carried in beyond what is used"), bool(job.carried)),
    )
    unsaid = [what for what, told in nothing if not told]
    if unsaid:
        yield say("No file speaks of these, so they count as not there: {what}.", what="; ".join(unsaid))


def _numbers(steps: Iterable[int]) -> str:
    return say("steps {steps}", steps=", ".join(map(str, steps)))
