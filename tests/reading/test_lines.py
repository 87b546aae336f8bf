"""Where a key stands: the line found by bisection is the line a marker was written on."""

from __future__ import annotations

import random

import pytest

from safety.files.toml import LARGEST_FILE, At, locate, where


def document(seed: int) -> tuple[str, dict[At, int]]:
    """A random TOML text, and the line each of its values was written on."""
    pick = random.Random(seed)
    lines: list[str] = []
    truth: dict[At, int] = {}

    def filler() -> None:
        for _ in range(pick.randrange(3)):
            lines.append(pick.choice(["", "# a comment with [brackets] and 'quotes'", "   "]))

    def value(path: At) -> None:
        filler()
        truth[path] = len(lines) + 1
        key = path[-1]
        kind = pick.randrange(4)
        if kind == 0:
            lines.append(f'{key} = "text # not a comment"')
        elif kind == 1:
            lines.extend([f'{key} = """', "[not.a.table]", "x = 1", '"""'])
        elif kind == 2:
            lines.extend([f"{key} = [", "  1, # one", "  2,", "]"])
        else:
            lines.append(f"{key} = {{ a = [1, 2], b = 'c' }}")

    for name in ("alpha", "beta"):
        filler()
        truth[(name,)] = len(lines) + 1
        lines.append(f"[{name}]")
        for key in range(pick.randrange(1, 5)):
            value((name, f"k{key}"))
    for index in range(pick.randrange(1, 5)):
        filler()
        truth[("step", index)] = len(lines) + 1
        lines.append("[[step]]")
        value(("step", index, "name"))
        for inner in range(pick.randrange(3)):
            filler()
            truth[("step", index, "use", inner)] = len(lines) + 1
            lines.append("[[step.use]]")
            value(("step", index, "use", inner, "amount"))
    return "\n".join(lines), truth


@pytest.mark.parametrize("seed", range(40))
def test_line_of_every_value(seed: int) -> None:
    text, truth = document(seed)
    assert {path: locate(text, path) for path in truth} == truth


def test_nothing_there() -> None:
    text, _ = document(1)
    assert locate(text, ("alpha", "nothing")) is None
    assert locate(text, ("step", 99)) is None
    assert locate("a = 'not closed", ("a",)) is None


def test_a_hostile_file_does_not_take_for_ever() -> None:
    text = 'a = """\n' + "x\n" * (LARGEST_FILE // 2 - 100) + '"""\nb = 1\n'
    assert locate(text, ("b",)) in (None, text.count("\n"))


def test_places_as_a_person_reads_them() -> None:
    assert where(("step", 1, "use", 0, "amount")) == "[[step]] 2, use[1].amount"
    assert where(("product", "flash_point")) == "[product] flash_point"
    assert where(("step", 0)) == "[[step]] 1"
    assert where(("shop", "rules", 1)) == "[shop] rules[2]"
    assert where(()) == ""
