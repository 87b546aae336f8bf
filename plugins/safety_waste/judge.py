"""Findings on a job: what each step leaves and which container takes it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from safety.exposure import Exposure
from safety.model import Finding, Job, Planned, SaidUnder
from safety.reference import Reference
from safety.reference.citing import sources
from safety.words import capital, joined, say, term
from safety_waste import amounts, codes, leaves, traits
from safety_waste.bins import CLOTHS, Placed, first_for, place
from safety_waste.fill import Fill
from safety_waste.leaves import name as form_name
from safety_waste.rules import PLUGIN, threshold


def judge(
    job: Job, exposure: Exposure, reference: Reference, fills: Mapping[str, Fill] | None
) -> tuple[list[Finding], list[Placed]]:
    """Every step's answer and every waste's codes; and what was placed where, for the totals."""
    lefts = leaves.of_job(job, exposure, reference)
    placed = place(lefts, job.shop, reference, _inside(fills or {}, reference))
    found: list[Finding] = []
    for index in range(len(job.steps)):
        own = [p for p in placed if p.left.step == index]
        going = [p for p in own if p.container and not p.held]
        found += [_answer(job, index, going, reference, bool(lefts))] if going or not own else []
        found += [_held(index, p) for p in own if p.held]
        found += _nowhere(index, [p for p in own if p.container is None and not p.held])
    return [*found, *codes.findings(placed, reference), *_cans(job, reference)], placed


def _inside(fills: Mapping[str, Fill], reference: Reference) -> dict[str, frozenset[str]]:
    """Traits of what the ledger says is in each container."""
    found = {}
    for name, one in fills.items():
        products = [product for product, _ in one.products if product is not None]
        found[name] = frozenset(t for p in products for t in traits.of_product(p, reference))
    return found


# ---------------------------------------------------------------- one step


def _answer(job: Job, index: int, own: Sequence[Placed], reference: Reference, other: bool) -> Finding:
    """What goes where. ``other``: some step of the job leaves something."""
    if not own:
        text = say("The job names nothing that this step leaves. Anything else it leaves was not looked at.")
        return Finding(
            "note",
            "waste",
            text,
            say("none planned of these products"),
            PLUGIN,
            index,
            key=_key("waste", str(index)),
            roles=(SaidUnder("waste"),) if other else (Planned("waste", 0.0, 0.0),),
        )
    shorts = dict.fromkeys(
        say("{what}: {container}", what=form_name(p.left.form), container=p.container.id) for p in own if p.container
    )
    sentences = [_sentence(job, p) for p in own]
    if any(p.left.form == CLOTHS for p in own):
        liquid = first_for("free-liquid", job.shop, reference)
        sentences.append(
            say("Wring out rags that drip, into {container}.", container=liquid)
            if liquid
            else say("No rag may drip when it goes in.")
        )
    sentences.append(say("Shut the lid after each use."))
    return Finding(
        "note",
        "waste",
        joined(sentences),
        joined(shorts, "; "),
        PLUGIN,
        index,
        figures=tuple(f for p in own for f in p.left.figures),
        key=_key("waste", str(index)),
        roles=_masses(own),
        grounds=tuple(row for p in own for row in p.rules),
    )


def _sentence(job: Job, placed: Placed) -> str:
    left, container = placed.left, placed.container
    assert container is not None
    return say(
        "{what} ({product}): {amount}, into {container}.",
        what=capital(left.what),
        product=left.product.name,
        amount=amounts.left(left, job.shop),
        container=container.id,
    )


def _held(index: int, placed: Placed) -> Finding:
    """A thing of which the job does not say what it is, or that nobody knows, is neither thrown away nor left open."""
    left = placed.left
    where = (
        say("Keep it in {container}, lid shut", container=placed.container.id)
        if placed.container
        else say("Keep it in a closed container of its own")
    )
    secret = ", ".join(traits.hidden(left.product))
    why = say("the maker does not say what {parts} is", parts=secret) if secret else say("the job does not say")
    text = say(
        "What {what} with {product} is as waste is not known: {why}. {where}, marked with what it is "
        "and the date, until the person responsible for waste has said where it goes.",
        what=left.what,
        product=left.product.name,
        why=why,
        where=where,
    )
    short = say("{what}: hold, and ask where it goes", what=left.what)
    if placed.container:
        short = say("{what}: hold in {container}, and ask where it goes", what=left.what, container=placed.container.id)
    remedy = say("Ask: is it hazardous waste, under which code? Then write its form in the job.")
    unknown = ""
    if secret:
        remedy = say("Ask the maker what is in it, and write that in the product's file.")
        unknown = say(
            "{product}: {why}, so no container and no waste code is given.", product=left.product.name, why=why
        )
    return Finding(
        "control",
        "waste",
        text,
        short,
        PLUGIN,
        index,
        figures=left.figures,
        unknown=unknown,
        remedy=remedy,
        key=_key("waste-held", left.what),
        roles=_masses([placed]),
        grounds=placed.rules,
    )


def _nowhere(index: int, own: Sequence[Placed]) -> list[Finding]:
    """A waste without a container stops the job: it would end up where it may not."""
    found = []
    for form in dict.fromkeys(p.left.form for p in own):
        mine = [p for p in own if p.left.form == form]
        whys = "; ".join(dict.fromkeys(p.why for p in mine))
        text = say(
            "There is nowhere to put {what}: {why}.",
            what=", ".join(
                dict.fromkeys(say("{what} with {p}", what=p.left.what, p=p.left.product.name) for p in mine)
            ),
            why=whys,
        )
        remedy = say('Set up a container for it and write it in the shop\'s file with accepts = ["{form}"].', form=form)
        found.append(
            Finding(
                "stop",
                "waste",
                text,
                say("{what}: no container", what=form_name(form)),
                PLUGIN,
                index,
                figures=tuple(f for p in mine for f in p.left.figures),
                remedy=remedy,
                rule=sources(row for p in mine for row in p.clashes),
                grounds=tuple(row for p in mine for row in p.rules),
                key=_key("waste-nowhere", form),
                roles=_masses(mine),
            )
        )
    return found


def _masses(own: Sequence[Placed]) -> tuple[Planned, ...]:
    """What is thrown away, wherever it goes; nothing is said of what has no mass."""
    lefts = (p.left for p in own if not p.left.unknown)
    return tuple(Planned("waste", left.high, left.middle, product=left.product.id) for left in lefts)


def _key(word: str, of: str) -> str:
    return f"{word}:{of}"


# ---------------------------------------------------------------- cans


def _cans(job: Job, reference: Reference) -> list[Finding]:
    """Cans that the job may empty, and the rule by which they are empty."""
    if not job.products:
        return []
    rows = reference.table("empty_container")
    if not rows:
        text = say("What is not used goes back to stock, lid shut. No loaded rule says when a can counts as empty.")
        return [Finding("note", "waste", text, say("when a can counts as empty: not known"), PLUGIN, key="waste-cans")]
    limits = [t for name in ("empty-depth", "empty-share") if (t := threshold(name, reference)) is not None]
    text = say(
        "What is not used goes back to stock, lid shut. A can counts as empty when all that will come out is out and "
        "at most {limits} is left. {acute}",
        limits=say(" or ").join(t.written for t in limits),
        acute=" ".join(term(row["text"]) for row in rows),
    )
    takes = first_for("empty-containers", job.shop, reference)
    if takes:
        text = joined((text, say("Empty cans: {container}.", container=takes)))
    return [
        Finding(
            "note",
            "waste",
            text,
            say("when a can counts as empty"),
            PLUGIN,
            rule=sources([*limits, *rows]),
            grounds=(*limits, *rows),
            key="waste-cans",
        )
    ]
