"""What a file says in words for people, and rules go by a key that it leaves out: each key is offered.

The careful side is taken meanwhile, so these are no mistakes.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import get_args

from safety.files.notation import nearest
from safety.files.shape_kinds import WasteForm
from safety.files.toml import At, open_document, problem
from safety.model import Job, Purpose, Reactivity, Shop
from safety.problems import Problem
from safety.words import say


def untyped(shop: Shop) -> Iterator[Problem]:
    """A note for each key that old files say in words."""
    folder = Path(shop.file).parent
    for product in shop.products.values():
        if not product.purpose:
            wrong = say('no rule goes by role = "{words}"', words=product.role)
            yield _offered(folder / product.file, ("product", "role"), wrong, "purpose", product.role, Purpose)
    for index, container in enumerate(shop.containers):
        wrong, at = say('no rule goes by stream = "{words}"', words=container.stream), ("container", index, "stream")
        if not container.accepts:
            yield _offered(Path(shop.file), at, wrong, "accepts", container.stream, WasteForm, many=True)
        if container.reactivity is None:
            yield _offered(Path(shop.file), at, wrong, "reactivity", container.stream, Reactivity, many=True)


def left_untyped(job: Job) -> Iterator[Problem]:
    """A note for each wet thing left lying of which a job's file does not say what waste it is."""
    for number, step in enumerate(job.steps):
        for index, left in enumerate(step.leaves_wet):
            if not left.form:
                wrong = say('no rule goes by what = "{words}"', words=left.what)
                at = ("step", number, "leaves_wet", index, "what")
                yield _offered(Path(job.shop.file).parent / job.file, at, wrong, "form", left.what, WasteForm)


def _offered(file: Path, at: At, wrong: str, key: str, words: str, choices: object, many: bool = False) -> Problem:
    known = get_args(choices)
    if words in known:
        value = f'["{words}"]' if many else f'"{words}"'
        write = say("write {key} = {value} beside it", key=key, value=value)
    else:
        write = say("write {key} beside it; {near}", key=key, near=nearest(words, known))
    return problem(open_document(file, file.as_posix()), at, wrong, write)
