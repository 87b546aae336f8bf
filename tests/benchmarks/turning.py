"""Which decisions turn with the seed or with a name: ``python tests/benchmarks/turning.py [JOBS] [SEEDS] [FIRST]``.

Not part of the test run, which has some dozen jobs of it (tests/unsafe_answers/test_spelling.py). JOBS made-up jobs,
200 at a time, the first batch being number FIRST, each assessed with SEEDS seeds, and once with every name in it
changed. A decision is what one plugin says under one key of one step: how bad it is, and that it is said at all.
Prints a line for each decision that turned, and the sums:

turned      the seeds do not agree on it
silent      some seed has it on the mild side and says nothing of being close
mild        some seed has it, and all else it says of that step, on the mild side of what ten times the draws decide
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

sys.path.insert(0, str(Path(__file__).parents[2]))  # run as a file, it finds its neighbours too

from hypothesis import HealthCheck, Phase, given, seed, settings

from safety.model import Report
from tests.invariants.made_up import Case, cases

BATCH = 200
DRAWS = 2000
LEVELS = ("", "note", "control", "stop")
#: Words a shop is free to choose; what it cannot choose (ways of working, kinds, CAS numbers) stays as it is.
FREE = ("id", "name", "title", "state")
#: Where the files name them again.
NAMED = ("product", "place", "air", "lifted_by", "taken_away", "joins")


class Decision(NamedTuple):
    """How bad it is: the rank of its level, 0 where it is not said; and whether it says that it is close."""

    level: int
    close: bool


def made_up(count: int, first: int = 0, batch: int = BATCH) -> Iterator[Case]:
    """The same jobs each time, in batches of their own."""
    for number in range(first, first + -(-count // batch)):
        yield from _batch(number, batch)[: count - batch * (number - first)]


def _batch(number: int, size: int) -> list[Case]:
    """Jobs that differ: the generator gives the simplest one again and again."""
    found: dict[str, Case] = {}

    @seed(number)
    @settings(
        max_examples=4 * size,
        database=None,
        phases=[Phase.generate],
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(cases())
    def draw(case: Case) -> None:
        found.setdefault(repr(case), case)

    draw()
    assert len(found) >= size, "too few different jobs"
    return [*found.values()][:size]


#: Plugin, key, step.
Where = tuple[str, str, "int | None"]
Decisions = dict[Where, Decision]


def decisions(report: Report, names: Mapping[str, str] | None = None) -> Decisions:
    """Everything a report decides. ``names``: new name -> old, in keys that hold one."""
    found: Decisions = {}
    for finding in report.findings:
        key = finding.key
        for new, old in (names or {}).items():
            key = key.replace(new, old)
        where = finding.plugin, key, finding.step
        level, close = found.get(where, Decision(0, False))
        found[where] = Decision(max(level, LEVELS.index(finding.level)), close or bool(finding.close))
    return found


def renamed(case: Case) -> tuple[Case, dict[str, str]]:
    """The same work in other words, in the opposite order of the alphabet; and new name -> old."""
    names: dict[str, str] = {}

    def find(data: Any) -> None:
        if isinstance(data, dict):
            for key, value in data.items():
                if key in FREE and isinstance(value, str):
                    names.setdefault(value, f"z{999 - len(names):03}")
                find(value)
        elif isinstance(data, list):
            for one in data:
                find(one)

    def change(data: Any) -> None:
        for key, value in data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ():
            if (key in FREE or key in NAMED) and isinstance(value, str):
                data[key] = names.get(value, value)
            else:
                change(value)

    def all_of(one: Case) -> None:
        for data in (one.shop["place"], *one.products, one.job):
            find(data)
            change(data)

    other = case.changed(all_of)
    return other, {new: old for old, new in names.items()}


def turned(by_seed: Sequence[Decisions]) -> Iterator[tuple[Where, list[Decision], bool]]:
    """The decisions the seeds do not agree on, what each said, and whether a mild one says nothing of being close.

    What one seed leaves out is said by whatever else it says of that step.
    """
    for where in dict.fromkeys(key for found in by_seed for key in found):
        said = [found.get(where, Decision(0, False)) for found in by_seed]
        least = min(s.level for s in said)
        if least < max(s.level for s in said):
            mild = [found for found, s in zip(by_seed, said, strict=True) if s.level == least]
            told = [any(d.close for (_, _, step), d in found.items() if step == where[2]) for found in mild]
            yield where, said, not all(told)


def milder(found: Decisions, many: Decisions, where: Where) -> bool:
    """Whether a seed decides less than it should, and nothing else it says of that step is as bad as that."""
    wanted = many.get(where, Decision(0, False)).level
    worst = max((d.level for (_, _, step), d in found.items() if step == where[2]), default=0)
    return found.get(where, Decision(0, False)).level < wanted and worst < wanted


def main(count: int, seeds: int, first: int) -> None:
    sums: Counter[str] = Counter()
    for number, case in enumerate(made_up(count, first), first * BATCH):
        by_seed = [decisions(case.assess(draws=DRAWS, seed=s).report) for s in range(1, seeds + 1)]
        sums["jobs"] += 1
        sums["decisions"] += len({where for found in by_seed for where in found})
        differ = [*turned(by_seed)]
        sums["jobs turned"] += bool(differ)
        many = decisions(case.assess(draws=10 * DRAWS).report) if differ else {}
        for where, said, silent in differ:
            mild = any(milder(found, many, where) for found in by_seed)
            sums.update({"turned": 1, "silent": silent, "mild": mild})
            levels = [LEVELS[s.level] for s in said]
            print(number, where, levels, "silent" * silent, "mild" * mild, flush=True)
        other, names = renamed(case)
        again = decisions(other.assess(draws=DRAWS).report, names)
        for where in by_seed[0].keys() | again.keys():
            if by_seed[0].get(where) != again.get(where):
                sums["by a name"] += 1
                print(number, where, "by a name", by_seed[0].get(where), again.get(where), flush=True)
        if number % 20 == 19:
            print(dict(sums), flush=True)
    print(dict(sums))


if __name__ == "__main__":
    numbers = [int(word) for word in sys.argv[1:]]
    main(*(numbers + [BATCH, 2, 0][len(numbers) :]))
