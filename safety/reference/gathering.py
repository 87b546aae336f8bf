"""Which substances there are: files of the program, files of the shop, and what plugins add."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from safety.model import Contribution, Substance
from safety.problems import Problem, Problems
from safety.reference import contributed
from safety.reference import packs as packed
from safety.reference.data_files import DATA
from safety.reference.substance_files import cas_is_valid, substance_files
from safety.words import say


def gather(
    folder: Path, contributions: Sequence[tuple[str, Contribution]]
) -> tuple[dict[str, tuple[Path, str]], dict[str, Substance], tuple[str, ...]]:
    """Files by CAS number, what plugins add, and where two plugins do not agree. Raises Problems."""
    files = {p.stem: (p, f"data/substances/{p.name}") for p in sorted((DATA / "substances").glob("*.toml"))}
    added: dict[str, Substance] = {}
    owners: dict[str, str] = {}
    problems, conflicts = [], []
    for path in substance_files(folder):
        shown = f"substances/{path.name}"
        if path.stem in files:
            take = say("take this file out: the program comes with data on it")
            problems.append(Problem(shown, 0, "cas", _taken(path.stem), take))
        elif not cas_is_valid(path.stem):
            wrong = say("the file is not named after a CAS number")
            problems.append(Problem(shown, 0, "", wrong, say('write for example "108-88-3.toml"')))
        else:
            files[path.stem] = (path, shown)
    for plugin, contribution in contributions:
        try:
            substances = dict(contribution.substances)
        except Exception as error:  # a plugin's own lazy mapping: its failure must not end the run
            problems.append(
                Problem(packed.blamed(plugin), 0, "contribute", say("its substances cannot be read: {why}", why=error))
            )
            continue
        for cas, substance in substances.items():
            if wrong := _taken(cas) if cas in files else contributed.fault(cas, substance):
                problems.append(Problem(packed.blamed(plugin), 0, "contribute", wrong))
            elif cas in added:
                added[cas], differ = contributed.both(added[cas], substance)
                if differ:
                    conflicts.append(contributed.disagreement(owners[cas], plugin, differ, cas))
            else:
                added[cas], owners[cas] = substance, plugin
    if problems:
        raise Problems(problems)
    return files, added, tuple(conflicts)


def _taken(cas: str) -> str:
    return say("there is already a substance with CAS {cas}", cas=cas)
