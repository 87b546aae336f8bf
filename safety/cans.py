"""What stands on a can that was filled from a larger one."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from safety.cited import Unknown
from safety.files.notation import nearest
from safety.model import Lot, Product, Signs
from safety.paper_codes import PaperCode, of_lot
from safety.problems import Problem, Problems
from safety.reference.hazards import product_hazards
from safety.words import say
from safety.workplace import InForce, Workplace


@dataclass(frozen=True, slots=True)
class CanLabel:
    """The label of one can. Its name and its hazards are known, or it is not made.

    For inside the shop: 29 CFR 1910.1200(f)(6)(ii) asks for the product identifier and words and pictures that tell
    the hazards (read in a public copy, without its date). Regulation (EC) No 1272/2008, Article 17 and Annex I,
    1.5.1.2, asks of the smallest label for symbols, product identifier and the supplier's name and telephone (1.5.1.2
    read in a public copy, Article 17 from memory): the supplier's name stands on the first can only.
    """

    name: str
    signs: Signs
    lot: str
    expires: str
    filled: date
    telephone: str
    code: PaperCode | None  # None: nobody knows the lot
    against: tuple[str, ...]  # sentences that stand on it: what speaks against using it
    unknown: tuple[str, ...]  # sentences: what stands on it as UNKNOWN


def can_label(workplace: Workplace, id: str, lot: str, filled: date) -> CanLabel:
    """The label of a can of a product, from a lot ("": nobody knows which), filled on a day.

    Raises Problems where the least the law asks for is not known: which product it is, and what it can do.
    """
    shop = workplace.shop
    product = shop.products.get(id)
    if product is None:
        wrong = say('there is no product "{id}"', id=id)
        raise Problems([Problem("products/", 0, "", wrong, nearest(id, list(shop.products)))])
    signs = _signs(product, workplace.on(filled))
    with workplace.records(shop) as ledger:
        lots = () if ledger is None else ledger.lots()
    found = next((one for one in lots if (one.product, one.lot) == (id, lot)), None)
    against, unknown = [], [] if lot else [say("The lot is not known.")]
    if lot and found is None:
        against.append(say("Lot {lot} was never received by the records.", lot=lot))
    if found and isinstance(found.expires, date) and found.expires < filled:
        against.append(say("Lot {lot} expired on {day}: do not use it.", lot=lot, day=found.expires.isoformat()))
    if found is None or isinstance(found.expires, Unknown):
        unknown.append(say("Nobody knows when it expires."))
    if not product.emergency_telephone:
        unknown.append(say("The maker's emergency telephone is not in the file of {product}.", product=product.name))
    return CanLabel(
        name=product.name,
        signs=signs,
        lot=lot or say("UNKNOWN"),
        expires=_expires(found),
        filled=filled,
        telephone=product.emergency_telephone or say("UNKNOWN"),
        code=of_lot(id, lot) if lot else None,
        against=tuple(against),
        unknown=tuple(unknown),
    )


def _signs(product: Product, in_force: InForce) -> Signs:
    """Symbols, signal word and sentences of what the data sheet says, and what the parts imply beside it."""
    hazards = product_hazards(product, in_force.reference)
    if isinstance(hazards.declared, Unknown):
        wrong = say("nobody knows the hazards of {product}, so its can gets no label", product=product.name)
        write = say('write hazards = ["H225"] with the codes of section 2 of its data sheet')
        raise Problems([Problem(product.file, 0, "[product] hazards", wrong, write)])
    if product.draft:
        wrong = say("{product} is a draft that nobody has confirmed, so its can gets no label", product=product.name)
        raise Problems([Problem(product.file, 0, "[product] draft", wrong, say("run hazstep confirm first"))])
    found = next(iter(in_force.signs({product.id: hazards.codes})), None)
    if found is None or (hazards.codes and not found.statements):
        wrong = say("no plugin says what the hazards of {product} are called", product=product.name)
        raise Problems([Problem(product.file, 0, "", wrong, say("run hazstep plugins to see who did not answer"))])
    return found


def _expires(lot: Lot | None) -> str:
    if lot is None or isinstance(lot.expires, Unknown):
        return say("UNKNOWN")
    return lot.expires.isoformat() if lot.expires else say("no date is set")
