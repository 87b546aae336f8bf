"""What a product is for, and what its waste is beside others: the words of the keys that rules go by."""

from __future__ import annotations

from typing import Literal

#: What a product is for. "softener" loosens a coating or an adhesive, "remover" takes it off.
Purpose = Literal[
    "cleaner", "degreaser", "thinner", "remover", "softener",
    "primer", "adhesive", "sealant", "coating", "ink", "hardener", "other",
]  # fmt: skip


#: Words of a role by which packs of an earlier version went -> the purpose they meant.
SAID_BEFORE: tuple[tuple[str, str], ...] = tuple({
    "cleaner": "cleaner", "cleaning": "cleaner", "wash": "cleaner", "wipe": "cleaner", "rinse": "cleaner",
    "solvent": "cleaner", "degreaser": "degreaser", "degreasing": "degreaser", "thinner": "thinner",
    "remover": "remover", "stripper": "remover", "softener": "softener", "primer": "primer", "sealer": "sealant",
    "sealant": "sealant", "adhesive": "adhesive", "cement": "adhesive", "glue": "adhesive", "paint": "coating",
    "topcoat": "coating", "coating": "coating", "varnish": "coating", "lacquer": "coating", "resin": "coating",
    "ink": "ink", "hardener": "hardener",
}.items())  # fmt: skip


#: What decides with which other waste a waste may not meet.
Reactivity = Literal[
    "halogenated", "chromate", "isocyanate", "oxidiser", "aqueous", "acid", "alkali", "flammable"
]  # fmt: skip
