"""The marks of the shipped data against their check files: what is from memory carries a mark, what was read has none.

Thirty-six limits that were from memory stood on sheets without a mark.
"""

from __future__ import annotations

import csv
from collections import Counter
from datetime import date
from pathlib import Path

import pytest

from safety.files.toml import open_document
from safety.formulas.exposure import GROUPS
from safety.reference import Reference, load, read_substance
from safety.reference.data_files import DATA, shipped_sources
from tests.data.test_printed_rules import APART, GLOVES, PACKS, PRINTED, _row_key

HERE = Path(__file__).parent
DAY = date(2026, 11, 25)
#: What a mark says where a value was not read at all. Another mark may stay beside a number that was read: it speaks of
#: something else in the row, such as the number of an article.
NOT_READ = "from memory, not read"
#: What to write where a mark and a row that was read do not go together.
MARKED = (
    f'write unverified = "{NOT_READ}" where the row says memory, else take the mark out, or say in it what was not read'
)


def _rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8") as stream:
        return list(csv.DictReader(stream))


def _fits(seen: str, mark: str) -> bool:
    """memory: a mark; secondary, in a second text that quotes the first: either; yes: not the mark of the unread."""
    return bool(mark) if seen == "memory" else seen == "secondary" or mark != NOT_READ


def test_limits() -> None:
    packs: dict[date, Reference] = {}
    wrong = []
    for row in _rows("printed_limits.csv"):
        day = date.fromisoformat(row["on"]) if row["on"] else DAY
        packs.setdefault(day, load(("us-federal", "eu"), HERE, day))
        of_it = packs[day].limits_on_groups() if row["cas"] in GROUPS else packs[day].limits(row["cas"])
        (limit,) = (x for x in of_it if (x.of, x.list, x.kind) == (row["cas"], row["list"], row["kind"]))
        if not _fits(row["seen"], limit.unverified):
            wrong.append((row["cas"], row["list"], row["kind"], row["seen"], limit.unverified))
    assert wrong == [], MARKED


def test_rows_of_the_packs() -> None:
    marks = {}
    for pack, path in PACKS.items():
        for table, rows in open_document(path).data.items():
            seen: Counter[str] = Counter()
            for row in rows if isinstance(rows, list) and table not in APART else ():
                marks[pack, table, _row_key(table, row, seen)] = row.get("unverified", "")
    wrong = [
        (key, row["seen"], marks[key[:3]]) for key, row in PRINTED.items() if not _fits(row["seen"], marks[key[:3]])
    ]
    assert wrong == [], MARKED


def test_ratings_of_gloves() -> None:
    """The whole chart is from memory."""
    assert {row["seen"] for row in _rows("printed_glove_chart.csv")} == {"memory"}
    assert all(row.get("unverified") for row in GLOVES["rating"])


def test_values_of_substances() -> None:
    sources = shipped_sources()
    wrong = []
    for row in _rows("printed.csv"):
        for value in read_substance(DATA / "substances" / f"{row['cas']}.toml").properties[row["property"]]:
            if value.source == sources.get(row["source"]) and not _fits(row["seen"], value.unverified):
                wrong.append((row["cas"], row["property"], row["source"], row["seen"], value.unverified))
    assert wrong == [], MARKED


@pytest.mark.parametrize(("seen", "mark", "fits"), [
    ("memory", "", False), ("memory", NOT_READ, True), ("yes", NOT_READ, False), ("yes", "", True),
    ("yes", "the article number is from memory", True), ("secondary", "", True),
])  # fmt: skip
def test_what_fits(seen: str, mark: str, fits: bool) -> None:
    assert _fits(seen, mark) is fits


#: Files of rules that no line of printed_rules.csv is about, and what they are compared with.
ELSEWHERE = {
    "safety/data/rules/eu.toml": "printed_limits.csv",
    "safety/data/rules/us-federal.toml": "printed_limits.csv",
    "plugins/safety_protection/rules/law-eu.toml": "restrictions.csv",
    "plugins/safety_protection/rules/law-us-federal.toml": "restrictions.csv",
    "plugins/safety_protection/data/precautions.toml": "codes alone",
    "plugins/safety_protection/data/statements-en.toml": "words of the law alone",
    "plugins/safety_protection/data/statements-es.toml": "words of the law alone",
    "plugins/safety_protection/data/statements-de.toml": "words of the law alone",
    "plugins/safety_ignition/rules/eu.toml": "words of the law alone",
    "plugins/safety_ignition/rules/us-federal.toml": "words of the law alone",
}


def test_every_file_of_rules_is_compared() -> None:
    """The packs of laws were held against their check file by another test, the glove lists in part, and no test said
    that a new file had to be."""
    root = HERE.parents[1]
    folders = (root / "safety" / "data" / "rules", *root.glob("plugins/*/rules"), *root.glob("plugins/*/data"))
    there = {path.relative_to(root).as_posix() for folder in folders for path in folder.glob("*.toml")}
    assert there == {path.relative_to(root).as_posix() for path in PACKS.values()} | ELSEWHERE.keys()


@pytest.mark.parametrize("file", ["law-eu", "law-us-federal"])
def test_laws_on_substances(file: str) -> None:
    """What of a law is from memory, or stands in a text that quotes it, carries a mark."""
    rows = open_document(PACKS["protection/eu"].with_name(f"{file}.toml")).data["restricted"]
    marks = {row["id"]: row.get("unverified", "") for row in rows}
    wrong = [
        (rule, row["seen"], marks[rule])
        for row in _rows("restrictions.csv")
        for rule in row["rules"].split()
        if rule in marks and not marks[rule] and row["seen"] != "read"
    ]
    assert wrong == [], MARKED
