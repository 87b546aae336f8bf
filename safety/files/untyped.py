"""What a file says in words for people, and rules go by a key that it leaves out: each key is offered.

The careful side is taken meanwhile, so these are no mistakes.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import get_args

from safety.files.notation import nearest
from safety.files.toml import At, open_document, problem
from safety.model import Purpose, Shop
from safety.problems import Problem
from safety.words import say


def untyped(shop: Shop) -> Iterator[Problem]:
    """A note for each key that old files say in words."""
    folder = Path(shop.file).parent
    for product in shop.products.values():
        if not product.purpose:
            wrong = say('no rule goes by role = "{words}"', words=product.role)
            yield _offered(folder / product.file, ("product", "role"), wrong, "purpose", product.role, Purpose)


def _offered(file: Path, at: At, wrong: str, key: str, words: str, choices: object) -> Problem:
    known = get_args(choices)
    if words in known:
        write = say('write {key} = "{word}" beside it', key=key, word=words)
    else:
        write = say("write {key} beside it; {near}", key=key, near=nearest(words, known))
    return problem(open_document(file, file.as_posix()), at, wrong, write)
