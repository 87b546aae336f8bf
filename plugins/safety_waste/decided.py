"""What a laboratory found, or a person decided, in the place of what the data say of a waste."""

from __future__ import annotations

from safety.model import Product
from safety.reference import Reference
from safety.reference.citing import cited
from safety.words import say
from safety_waste.verdict import Verdict


def settled(found: Verdict, product: Product, form: str, reference: Reference) -> Verdict:
    """The verdict with a determination in its place, where the shop has one. Of two that differ both sets hold."""
    rows = [
        row
        for row in reference.table("waste_determination")
        if row["product"] == product.id and row["rules"] == found.rules and row.get("form", form) == form
    ]
    if not rows:
        return found
    codes = tuple(dict.fromkeys(str(code) for row in rows for code in row["codes"]))
    by_data = ", ".join((*found.codes, *found.maybe)) or say("no code found")
    because = (
        *(
            say("Found by a laboratory: {name} ({rule}).", name=row["name"], rule=cited(row))
            if row["ground"] == "laboratory"
            else say("Decided by {name} ({rule}).", name=row["name"], rule=cited(row))
            for row in rows
        ),
        say("It stands in the place of what the data say: {codes}.", codes=by_data),
    )
    hazards = found.hazards if codes else ()
    return Verdict(
        found.rules, codes, (), because, (), tuple(rows), (*found.grounds, *found.aside), hazards, found.figures, True
    )
