"""Names in a shop's files that no plugin goes by: each is no mistake, and the nearest one is offered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from safety.files.notation import nearest
from safety.files.toml import At, open_document, problem
from safety.model import Contribution, Job, Shop, compared
from safety.problems import Problem
from safety.reference import Reference
from safety.words import say


def unknown(
    shop: Shop, jobs: Iterable[Job], contributions: Sequence[tuple[str, Contribution]], reference: Reference
) -> Iterator[Problem]:
    """A note for each name that no plugin knows, where one knows any."""
    sources, materials = (_known(of, contributions, reference) for of in ("ignition source", "glove material"))
    file = Path(shop.file)
    for index, place in enumerate(shop.places.values()):
        at: At = ("place", index, "ignition_sources")
        yield from _sources(file, at, place.ignition_sources, sources)
    for index, glove in enumerate(shop.gloves):
        if materials and compared(glove.material) not in materials:
            wrong = say('"{material}" is no material of the glove tables', material=glove.material)
            yield _note(file, ("glove", index, "material"), wrong, glove.material, materials)
    for job in jobs:
        for index, step in enumerate(job.steps):
            yield from _sources(
                file.parent / job.file, ("step", index, "ignition_sources"), step.ignition_sources, sources
            )


def _known(of: str, contributions: Sequence[tuple[str, Contribution]], reference: Reference) -> dict[str, str]:
    """The names of a kind, as they are compared and as they are written."""
    found: list[str] = []
    for names in (one for _, added in contributions for one in added.names if one.of == of):
        found += names.known
        for row in reference.table(names.table) if names.table else ():
            found += (str(row["name"]), *map(str, row.get("words", ())))
    return {compared(name): name for name in found}


def _sources(file: Path, at: At, texts: Iterable[str], known: dict[str, str]) -> Iterator[Problem]:
    for text in texts:
        if known and compared(text) not in known:
            wrong = say('"{source}" is no name of a source, so it counts as one nobody knows', source=text)
            yield _note(file, at, wrong, text, known)


def _note(file: Path, at: At, wrong: str, text: str, known: dict[str, str]) -> Problem:
    return problem(open_document(file, file.as_posix()), at, wrong, nearest(text, known.values()))
