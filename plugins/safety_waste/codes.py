"""What a waste is under each set of rules the shop has, said so that a person can confirm it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from safety.model import Finding, Product
from safety.reference import Reference
from safety.reference.citing import sources
from safety.words import capital, joined, say, term
from safety_waste import eu, shipping, us
from safety_waste.bins import CLOTHS, Placed, for_wipes
from safety_waste.decided import settled
from safety_waste.leaves import name as form_name
from safety_waste.rules import PLUGIN
from safety_waste.verdict import Verdict


@dataclass(frozen=True, slots=True)
class Sort:
    """One sort of waste of the job: a form of one product."""

    product: Product
    form: str
    placed: tuple[Placed, ...]


def sorts(placed: Iterable[Placed]) -> list[Sort]:
    """Wastes that get the same answer, in order of first appearance. What is held gets none."""
    groups: dict[tuple[str, str], list[Placed]] = {}
    for one in placed:
        if not one.held:
            groups.setdefault((one.left.product.id, one.left.form), []).append(one)
    return [Sort(own[0].left.product, form, tuple(own)) for (_, form), own in groups.items()]


def verdicts(product: Product, form: str, reference: Reference) -> list[Verdict]:
    """What a waste is under each set of rules of the shop."""
    found = []
    if us.covered(reference):
        found.append(settled(us.verdict(product, form, reference), product, form, reference))
    if eu.covered(reference):
        found.append(settled(eu.verdict(product, form, reference), product, form, reference))
    return found


def findings(placed: Sequence[Placed], reference: Reference) -> list[Finding]:
    own = sorts(placed)
    if not own:
        return []
    if not us.covered(reference) and not eu.covered(reference):
        text = say("No rules pack of this shop covers waste, so no waste code is given.")
        remedy = say("Add the pack of the shop's country to rules in the shop's file, or ask the authority.")
        return [
            Finding(
                "control",
                "waste",
                text,
                say("no waste rules loaded"),
                PLUGIN,
                unknown=text,
                remedy=remedy,
                key="waste-rules",
            )
        ]
    groups: list[tuple[str, bool, Verdict, list[Sort]]] = []  # no mapping: a verdict names rows of tables
    for sort in own:
        for verdict in verdicts(sort.product, sort.form, reference):
            wipes = verdict.rules == us.RULES and sort.form == CLOTHS
            key = (sort.product.id, wipes, verdict)
            alike = next((sorts for *other, sorts in groups if tuple(other) == key), None)
            if alike is None:
                groups.append((*key, [sort]))
            else:
                alike.append(sort)
    found = [_code(alike, verdict, wipes, reference) for _, wipes, verdict, alike in groups]
    if any(wipes for _, wipes, _, _ in groups) and us.wipes_adopted(reference):
        found.append(_wipes(reference))
    found += shipping.findings([(sort.product, sort.form) for sort in own], reference)
    # which wastes there are at all follows from the words of what is left and of the containers
    words = tuple(row for sort in own for one in sort.placed for row in one.rules)
    return [replace(one, grounds=(*one.grounds, *words)) for one in found]


def _wipes(reference: Reference) -> Finding:
    """The conditions of the wipes exclusions, all of them; those that hold for one kind only name it."""
    kinds = {str(row["kind"]): row for row in reference.table("wipes_exclusion")}
    by_text: dict[str, list[str]] = {}
    for row in us.wipes_conditions(reference):
        by_text.setdefault(term(row["text"]), []).append(str(row["kind"]))
    conditions = [
        text
        if set(where) == set(kinds)
        else capital(say("{kind} wipes: {text}", kind=", ".join(map(term, where)), text=text))
        for text, where in by_text.items()
    ]
    text = say(
        "Wipes are excluded ({kinds}) only while every one of these is true. {list} {state}",
        kinds="; ".join(say("{kind}: {status}", kind=term(k), status=term(row["status"])) for k, row in kinds.items()),
        list=" ".join(say("({number}) {text}", number=i, text=c) for i, c in enumerate(conditions, 1)),
        state=" ".join(term(row["text"]) for row in reference.table("wipes_state") if "text" in row),
    )
    rows = (*kinds.values(), *us.wipes_conditions(reference))
    short = say("wipes: conditions")
    grounds = (*rows, *reference.table("wipes_state"))
    return Finding("note", "waste", text, short, PLUGIN, rule=sources(rows), key="waste-wipes", grounds=grounds)


def _code(alike: Sequence[Sort], verdict: Verdict, wipes: bool, reference: Reference) -> Finding:
    """One answer for all the forms of a product that get the same."""
    product = alike[0].product
    forms = ", ".join(form_name(sort.form) for sort in alike).capitalize()
    what = say("{forms} with {product}", forms=forms, product=product.name)
    sentences = [say("{what} ({rules} rules).", what=what, rules=term(verdict.rules))]
    cited = [*verdict.grounds]
    grounds = us.wipes_rules(product, reference) if wipes else ()
    barred = us.wipes_barred(product, reference) if wipes else []
    inside = all(p.container and for_wipes(p.container) for sort in alike for p in sort.placed)
    if barred:
        sentences.append(say("No excluded wipes: {why}.", why="; ".join(barred)))
    elif wipes and inside:
        sentences.append(
            say("Excluded wipes while every condition on the list of conditions is met. If one is not, this holds.")
        )
        cited += reference.table("wipes_exclusion")
    sentences += [codes_text(verdict), *verdict.because]
    if verdict.confirm:
        sentences.append(
            say("To be confirmed by the person responsible for waste: {list}.", list="; ".join(verdict.confirm))
        )
    short = say("{what}: {codes}", what=what, codes=", ".join((*verdict.codes, *verdict.maybe)) or say("no code found"))
    return Finding(
        "note",
        "waste",
        joined(sentences),
        short,
        PLUGIN,
        figures=verdict.figures,
        rule=sources(cited),
        grounds=(*cited, *verdict.aside, *grounds),
        key=f"waste-code:{verdict.rules}:{product.id}:{alike[0].form}",
    )


def codes_text(verdict: Verdict) -> str:
    """The codes in one sentence."""
    sure, maybe = ", ".join(verdict.codes), ", ".join(verdict.maybe)
    if sure and maybe:
        return say("Codes: {sure}; and {maybe} unless the points below clear it.", sure=sure, maybe=maybe)
    if sure:
        return say("Codes: {sure}.", sure=sure)
    if verdict.decided:
        return say("No code: it is not hazardous waste, as decided.")
    if maybe:
        return say("Codes: {maybe}, unless the points below clear it.", maybe=maybe)
    return say("No code was found. That is no proof that it is not hazardous.")
