"""What a product is for, and what its waste is beside others: the words of the keys that rules go by."""

from __future__ import annotations

from typing import Literal

#: What a product is for. "softener" loosens a coating or an adhesive, "remover" takes it off.
Purpose = Literal[
    "cleaner", "degreaser", "thinner", "remover", "softener",
    "primer", "adhesive", "sealant", "coating", "ink", "hardener", "other",
]  # fmt: skip


#: What decides with which other waste a waste may not meet.
Reactivity = Literal[
    "halogenated", "chromate", "isocyanate", "oxidiser", "aqueous", "acid", "alkali", "flammable"
]  # fmt: skip
