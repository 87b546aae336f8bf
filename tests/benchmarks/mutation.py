"""Change every constant by a tenth, one at a time, and print the changes that no test notices.

``python tests/benchmarks/mutation.py [--signs] FILE... -- TEST...``

FILE is a Python file, a TOML file of data, or units.txt; TEST is what pytest takes. With ``--signs`` it is not the numbers
but the comparison signs that change: > and >=, < and <=, "over" and "at or over". A change that survives is a number or
a bound that nothing outside holds: write the test that does, from the source the number came from. Two scratch copies
of the tree are changed, never this one. Not part of the test run; 1000 changes take about an hour.
"""

from __future__ import annotations

import ast
import os
import re
import shutil
import sys
import tempfile
import time
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

ROOT = Path(__file__).parents[2]
WORKERS = 2
#: Loaded once, before a child for each change: what takes longest to import.
SLOW = ("numpy", "scipy.special", "scipy.stats", "pint", "pydantic", "pytest", "chemicals", "thermo", "tomli")
#: Arguments and calls whose numbers shape the code and are no constant of a rule; array indices are left out too.
SHAPE = ("axis", "ddof", "stacklevel")
CALLS = ("range",)
#: An unnamed number smaller than this forgives the last binary digits.
ROUNDING = 1e-6
SIGNS = {ast.Gt: ">=", ast.GtE: ">", ast.Lt: "<=", ast.LtE: "<"}
WORDS = {"over": "at or over", "at or over": "over", "under": "at or under", "at or under": "under"}
#: Keys of the data files that hold words.
TEXT = {
    "at", "cas", "names", "name", "remark", "citation", "edition", "title", "reason", "source", "hazards", "unverified",
    "id", "kind", "items", "text", "method", "classification", "printed",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Change:
    """New bytes for a stretch of a file."""

    path: Path
    line: int
    start: int
    end: int
    old: str
    new: str


def more(number: str) -> str:
    """A tenth more; nought becomes a tenth; a whole number stays whole where a tenth of it is."""
    value = float(number)
    if re.fullmatch(r"-?\d+", number) and abs(value) >= 10:
        return str(round(value * 1.1))
    return f"{value * 1.1:.7g}" if value else "0.1"


def of_python(path: Path, signs: bool) -> Iterator[Change]:
    """Every number that carries something, or every sign."""
    text = path.read_bytes()
    starts = [0]
    for line in text.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    tree = ast.parse(text)
    above = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    for node in ast.walk(tree):
        if signs and isinstance(node, ast.Compare):
            for left, sign, right in zip((node.left, *node.comparators), node.ops, node.comparators, strict=False):
                if type(sign) in SIGNS:
                    start = starts[(left.end_lineno or 0) - 1] + (left.end_col_offset or 0)
                    end = starts[right.lineno - 1] + right.col_offset
                    old = text[start:end].decode()
                    yield Change(path, left.lineno, start, end, old, re.sub("[<>]=?", SIGNS[type(sign)], old, count=1))
        elif not signs and isinstance(node, ast.Constant) and type(node.value) in (int, float) and _counts(node, above):
            start = starts[node.lineno - 1] + node.col_offset
            end = starts[(node.end_lineno or 0) - 1] + (node.end_col_offset or 0)
            yield Change(path, node.lineno, start, end, text[start:end].decode(), f"({more(repr(node.value))})")


def _counts(node: ast.Constant, above: dict[ast.AST, ast.AST]) -> bool:
    """Whether a number is a constant of the matter and not of the code around it."""
    inner, outer = node, above[node]
    while not isinstance(outer, ast.stmt):
        if isinstance(outer, ast.keyword) and outer.arg in SHAPE:
            return False
        if isinstance(outer, ast.Subscript) and inner is outer.slice:
            return False
        if isinstance(outer, ast.Call) and isinstance(outer.func, ast.Name) and outer.func.id in CALLS:
            return False
        inner, outer = outer, above[outer]  # type: ignore[assignment]
    return isinstance(outer, ast.Assign) or not 0 < abs(float(node.value)) < ROUNDING  # type: ignore[arg-type]


def of_lines(path: Path, pattern: str, changed: dict[str, str] | None = None) -> Iterator[Change]:
    """Every match of a pattern in the lines of a data file, behind the key where it has one."""
    at = 0
    for number, line in enumerate(path.read_text().splitlines(keepends=True), start=1):
        key, equals, value = line.partition(" = ")
        if equals and not line.startswith("#") and key not in TEXT:
            for found in re.finditer(pattern, value.rstrip("\n")):
                start = at + len((key + equals + value[: found.start(1)]).encode())
                new = changed[found[1]] if changed else more(found[1])
                yield Change(path, number, start, start + len(found[1].encode()), found[1], new)
        at += len(line.encode())


def changes(path: Path, signs: bool) -> Iterator[Change]:
    if path.suffix == ".py":
        return of_python(path, signs)
    if signs:
        return of_lines(path, '^"((?:at or )?(?:over|under))"$', WORDS)
    if path.suffix == ".txt":
        return of_lines(path, r"(?<![\w*.])(?<!\*\* )(\d[\d.]*(?:e-?\d+)?)")
    # a number alone or before its unit; in a list; in a table of numbers
    return of_lines(path, r'(?:^"?|(?<=\[)|(?<=, )|(?<== ))(-?\d[\d.]*(?:e-?\d+)?)(?= |"|,|\]|$)')


def notices(copy: Path, tests: list[str]) -> bool:
    """Whether the tests fail, in a child process of this one, which has the slow libraries loaded."""
    child = os.fork()
    if child == 0:
        status = 1
        try:
            os.chdir(copy)
            sys.path[:0] = [str(copy), str(copy / "plugins")]
            os.environ["PYTHONPATH"] = os.pathsep.join(sys.path[:2])
            for stream in (1, 2):
                os.dup2(os.open(os.devnull, os.O_WRONLY), stream)
            pytest = import_module("pytest")
            quiet = ("-x", "-q", "-p", "no:cacheprovider", "-W", "ignore:Module already imported")
            status = int(pytest.main([*quiet, *tests]))
        finally:
            os._exit(status)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) != 0


def work(copy: Path, todo: list[Change], tests: list[str]) -> None:
    """Make each change in a copy, ask the tests, take it back; print what they did not notice."""
    clock = time.time()
    for change in todo:
        target = copy / change.path.relative_to(ROOT)
        before = target.read_bytes()
        noticed = False
        for content in (before[: change.start] + change.new.encode() + before[change.end :], before):
            target.write_bytes(content)
            clock += 2  # each write looks newer than the last, so no stale byte code is taken for it
            os.utime(target, (clock, clock))
            if content is not before:
                noticed = notices(copy, tests)
        if not noticed:
            line = before.splitlines()[change.line - 1].decode().strip()
            where = f"{change.path.relative_to(ROOT)}:{change.line}"
            print(f"{where}: {change.old.strip()} -> {change.new.strip()}: {line}", flush=True)


def main(arguments: list[str]) -> None:
    cut = arguments.index("--") if "--" in arguments else len(arguments)
    files, tests = [a for a in arguments[:cut] if a != "--signs"], arguments[cut + 1 :]
    if not files or not tests:
        sys.exit(__doc__)
    todo = [change for name in files for change in changes(Path(name).resolve(), "--signs" in arguments)]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for name in SLOW:
            import_module(name)
    with tempfile.TemporaryDirectory() as scratch:
        copies = [Path(scratch) / str(number) for number in range(WORKERS)]
        for copy in copies:
            shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".git", "__pycache__", ".*_cache"))
        if notices(copies[0], tests):
            sys.exit("the tests fail before anything is changed")
        children = []
        for number, copy in enumerate(copies):
            children.append(os.fork())
            if children[-1] == 0:
                work(copy, todo[number::WORKERS], tests)
                os._exit(0)
        for child in children:
            os.waitpid(child, 0)
    print(f"{len(todo)} changes tried")


if __name__ == "__main__":
    main(sys.argv[1:])
