"""Past records from a CSV file: all rows or none, every bad row told with its line, and no file counts twice."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from safety.ledger.corrections import correct
from safety.ledger.csv_rows import Rows, read_csv
from safety.ledger.drafts import Draft
from safety.ledger.entries import Refused, record
from safety.ledger.store import Ledger
from safety.model import Shop
from safety.problems import Problems
from tests.ledger.made_up import NOW, SHOP, draft

GOOD = """\
kind,when,product,amount,basis,lot,job,who,expires
receive,2026-01-05,wash,4 L,,L1,,Pat,2027-01-31
use,2026-01-06,wash,250 mL,measured,L1,boots,Pat,
use,2026-01-06,wash,250 mL,measured,L1,boots,Pat,
use,2026-01-07 07:30,wash,0.5 lb,weighed,L1,boots,Lee,
"""


def rows(tmp_path: Path, text: str | bytes, anyway: str = "") -> Rows:
    file = tmp_path / "past.csv"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_csv(file, SHOP, NOW, anyway)


def told(tmp_path: Path, text: str | bytes) -> list[str]:
    with pytest.raises(Problems) as caught:
        rows(tmp_path, text)
    return [str(p).replace(f"{tmp_path.as_posix()}/", "") for p in caught.value.problems]


def test_a_second_import_adds_nothing_and_like_rows_both_count(ledger: Ledger, tmp_path: Path) -> None:
    stored = record(ledger, rows(tmp_path, GOOD).drafts)
    assert [s.new for s in stored] == [True] * 4
    assert [s.entry.volume for s in stored][:3] == [0.004, 0.00025, 0.00025]
    assert [s.new for s in record(ledger, rows(tmp_path, GOOD).drafts)] == [False] * 4
    longer = GOOD + "use,2026-01-08,wash,1 L,measured,L1,boots,Pat,\n"
    assert [s.new for s in record(ledger, rows(tmp_path, longer).drafts)] == [False] * 4 + [True]


@pytest.mark.parametrize(
    "changed",
    [
        "\ufeff" + GOOD,
        GOOD.replace("\n", "\r\n"),
        GOOD.replace(",", ";"),
        GOOD.replace(",", ";").replace("0.5 lb", "0,5 lb"),
        GOOD.replace(",", "\t"),
        GOOD.replace("0.5 lb", '"0,5 lb"'),
        GOOD.replace("kind,when", '"Kind", When'),
        GOOD.replace("\nuse", "\n\n,,,,,,,,\nuse", 1),
        GOOD.replace("expires\n", "expires,,\n"),
        "\n".join(",".join(line.split(",")[::-1]) for line in GOOD.splitlines()),  # columns in another order
    ],
    ids=["bom", "windows", "semicolons", "decimal comma", "tabs", "quoted", "header", "empty rows", "empty columns", "order"],
)  # fmt: skip
def test_the_same_file_however_it_was_saved(tmp_path: Path, changed: str) -> None:
    expected = rows(tmp_path, GOOD)
    assert {d.key for d in rows(tmp_path, changed).drafts} == {d.key for d in expected.drafts}


def test_rows_know_the_line_they_stand_on(tmp_path: Path) -> None:
    quoted = 'kind,when,product,amount,lot,who,expires,note\nreceive,2026-01-05,wash,4 L,L1,Pat,none,"two\nlines"\n'
    quoted += "receive,2026-01-05,wash,2 L,L2,Pat,none,\n"
    assert rows(tmp_path, quoted).lines == (2, 4)


def test_every_bad_row_is_told_with_its_line_and_field(tmp_path: Path) -> None:
    text = """\
kind,when,product,amount,basis,lot,who,expires
receive,2026-01-05,wosh,4 L,,L1,Pat,none
recieve,2026-01-05,wash,4 L,,L1,Pat,none
use,05/01/2026,wash,"1,500 mL",measured,L1,Pat,
use,,wash,250,measurd,L1,,
use,2027-01-01,wash,250 mL,measured,L1,Pat,
open,2026-01-05,wash,4 L,,L1,Pat,
use,2026-01-05,wash,4 L,guessed,,Pat,,,more
use,2026-01-05,wash,4 L,guessed,,Pat,
"""
    lines = told(tmp_path, text)
    assert lines[:3] == [
        'past.csv:2: product: there is no product "wosh"; did you mean "wash"?',
        'past.csv:3: kind: "recieve" is no kind of record; did you mean "receive"?',
        'past.csv:4: amount: "1,500 mL" can be read in two ways; write "1.5000 mL" or "1500 mL"',
    ]
    assert [" ".join(line.split(": ")[:2]) for line in lines] == [
        "past.csv:2 product",
        "past.csv:3 kind",
        "past.csv:4 amount",
        "past.csv:4 when",
        "past.csv:5 amount",
        "past.csv:5 basis",
        "past.csv:5 when",
        "past.csv:5 who",
        "past.csv:6 when",
        "past.csv:7 amount",
        "past.csv:8 the row has 10 cells and the first line names 8; put a cell with a comma in it into quotes",
        "past.csv:9 lot",
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", ["past.csv:1: the file is empty; the first line names the columns: kind, when, product, amount, basis, lot, job,"]),
        ("kind,wen,amount\n", ['past.csv:1: there is no column "wen"; did you mean "when"?']),
        ("use,2026-01-06,wash,1 L\n", ["past.csv:1: the first line names no column that is known; the first line names the columns: kind, when,"]),
        ("kind,date,amount\n", ['past.csv:1: there is no column "date"; did you mean "when"?']),
        ("kind,when,zzz\n", ['past.csv:1: there is no column "zzz"; the first line names the columns: kind, when, product, amount, basis, lot,']),
        ("kind,when,kind\n", ['past.csv:1: the column "kind" is there twice; take one out']),
        ("product,amount\n", ['past.csv:1: the column "kind" is missing; add it', 'past.csv:1: the column "when" is missing']),
        ('kind,when\n"use,2026-01-05\n', ["past.csv:2: the row cannot be read (unexpected end of data); look for a quote"]),
        (b"kind,when\nuse,2026-01-05 \xe9\n", ["past.csv:2: this is not UTF-8; save it as CSV in UTF-8"]),
        ("kind,when\n".encode("utf-16"), ["past.csv: this is not a text file in UTF-8; save it as CSV in UTF-8"]),
        (b"PK\x03\x04\0\0", ["past.csv: this is not a text file in UTF-8"]),
    ],
)  # fmt: skip
def test_a_file_that_is_no_table_of_records(tmp_path: Path, text: str | bytes, expected: list[str]) -> None:
    lines = told(tmp_path, text)
    assert len(lines) == len(expected)
    for line, begin in zip(lines, expected, strict=True):
        assert line.startswith(begin)


@pytest.mark.parametrize(
    ("cell", "amount"),
    [("0,25 L", 250_000_000), ("12,5 mL", 12_500_000), ("0,125 L", 125_000_000), (",5 L", 500_000_000)],
)
def test_a_decimal_comma_is_read_where_it_cannot_mean_thousands(tmp_path: Path, cell: str, amount: int) -> None:
    text = f'kind;when;product;amount;lot;who;expires\nreceive;2026-01-05;wash;"{cell}";L1;Pat;none\n'
    (draft,) = rows(tmp_path, text).drafts
    assert draft.amount is not None
    assert draft.amount.number == amount


@pytest.mark.parametrize("cell", ["1,500 L", "1,500,000 mL", "1.500,5 mL", "1,5.0 L", "1,2,3 L"])
def test_a_comma_that_can_mean_thousands_is_refused(tmp_path: Path, cell: str) -> None:
    text = f'kind;when;product;amount;lot;who;expires\nreceive;2026-01-05;wash;"{cell}";L1;Pat;none\n'
    assert len(told(tmp_path, text)) == 1


def test_a_reason_for_all_rows_is_taken_where_a_row_gives_none(tmp_path: Path) -> None:
    drafts = rows(tmp_path, GOOD, "past records").drafts
    assert [d.anyway for d in drafts] == ["past records"] * 4


def test_two_times_of_a_day_are_two_uses(ledger: Ledger, tmp_path: Path) -> None:
    text = GOOD.replace("2026-01-06,", "2026-01-06 07:00,", 1)
    assert len({d.key for d in rows(tmp_path, text).drafts}) == 4
    assert all(s.new for s in record(ledger, rows(tmp_path, text).drafts))


def test_a_file_too_large_or_of_nothing_but_mistakes_is_cut_short(tmp_path: Path) -> None:
    assert told(tmp_path, b"kind,when\n" + b"x" * 20_000_000) == [
        "past.csv: the file is larger than 20 MB; split it by months"
    ]
    lines = told(tmp_path, "kind,when\n" + "use,2026-13-01\n" * 1000)
    assert len(lines) == 51
    assert lines[0] == "past.csv: there are more mistakes than these 50; mend these first"
    assert len(told(tmp_path, "wen," * 100_000)) < 50


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="named pipes of POSIX")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    for name in ("pipe.csv", "."):
        with pytest.raises(Problems, match=r"this is not an ordinary file; name one CSV file"):
            read_csv(tmp_path / name, SHOP, NOW)


# ---------------------------------------------------------------- zones, yards and twins

YARD = replace(SHOP, timezone="America/New_York")
TIMED = GOOD.replace("use,2026-01-06,", "use,2026-01-06 08:00,")


@pytest.fixture
def computer_in(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], None]]:
    """A function that takes the computer into another time zone."""
    if not hasattr(time, "tzset"):
        pytest.skip("the zone of this system cannot be changed")

    def moved(zone: str) -> None:
        monkeypatch.setenv("TZ", zone)
        time.tzset()

    yield moved
    monkeypatch.undo()
    time.tzset()


def read(tmp_path: Path, text: str, shop: Shop = YARD) -> Sequence[Draft]:
    (tmp_path / "past.csv").write_text(text)
    return read_csv(tmp_path / "past.csv", shop, NOW).drafts


@pytest.mark.parametrize("shop", [YARD, SHOP], ids=["with a zone", "without"])
def test_the_same_file_on_a_computer_in_another_zone_adds_nothing(
    ledger: Ledger, tmp_path: Path, computer_in: Callable[[str], None], shop: Shop
) -> None:
    """It doubled 460 of 643 rows: the time of a row was known by the offset of the computer."""
    computer_in("America/New_York")
    assert [s.new for s in record(ledger, read(tmp_path, TIMED, shop))] == [True] * 4
    for zone in ("Europe/Berlin", "Pacific/Kiritimati"):
        computer_in(zone)
        assert [s.new for s in record(ledger, read(tmp_path, TIMED, shop))] == [False] * 4


def test_like_rows_of_a_second_yard_are_its_own(ledger: Ledger, tmp_path: Path) -> None:
    """They were taken for the first yard's, and nothing of them was stored."""
    record(ledger, read(tmp_path, GOOD, SHOP))
    south = replace(SHOP, name="South yard")
    mine = replace(ledger, shop=south.name)
    stored = record(mine, [replace(d, anyway="its own lot") for d in read(tmp_path, GOOD, south)])
    assert [(s.new, s.entry.shop) for s in stored] == [(True, "South yard")] * 4
    keyed = [replace(d, key="ours", imported=False) for d in read(tmp_path, GOOD, SHOP)[3:]]
    record(ledger, keyed)
    with pytest.raises(Refused, match='the key "ours" belongs to a record of North yard'):
        record(mine, keyed)
    with pytest.raises(Refused, match="this is a record of North yard"):
        correct(mine, "ours", None, "Lee", "not ours")


def test_a_use_at_the_terminal_and_its_row_are_asked_about(ledger: Ledger, tmp_path: Path) -> None:
    """Both counted, and nobody was asked."""
    record(ledger, read(tmp_path, "\n".join(GOOD.splitlines()[:2]) + "\n"))
    (typed,) = record(ledger, [draft("use", "wash", "0.25 L", when="2026-01-06 08:11", job="boots")])
    row = GOOD.replace("use,2026-01-06,wash,250 mL,measured,L1,boots,Pat,\n", "", 1)
    with pytest.raises(Refused, match=f'this may be the record "{typed.entry.key}"'):
        record(ledger, read(tmp_path, row))
    assert [s.new for s in record(ledger, read(tmp_path, row), twins="same")] == [False, False, True]
    both = record(ledger, read(tmp_path, GOOD), twins="second", dry_run=True)
    assert [s.new for s in both] == [False, True, True, False]
    later = [draft("use", "wash", "0.5 lb", when="2026-01-07", basis="weighed", who="Lee")]
    with pytest.raises(Refused, match="this may be the record"):  # the row came first
        record(ledger, later)
    assert [s.new for s in record(ledger, [replace(later[0], again=True)])] == [True]


@pytest.mark.parametrize(
    ("when", "wrong"),
    [
        ("2026-03-08 02:30", "the clocks went over 02:30 on that day: it was never that time"),
        ("2025-11-02 01:30", "it was 01:30 twice on that day; write which: 2025-11-02 01:30-04:00 or 2025-11-02 01:30-05:00"),
    ],
)  # fmt: skip
def test_a_time_that_never_was_or_was_twice_is_asked(tmp_path: Path, when: str, wrong: str) -> None:
    """The clocks of New York on these days: Energy Policy Act of 2005, sec. 110."""
    text = f"kind,when,product,lot,who\nopen,{when},wash,L1,Pat\n"
    with pytest.raises(Problems) as caught:
        read(tmp_path, text)
    assert wrong in str(caught.value.problems[0])
    (sound,) = read(tmp_path, text.replace(when, "2025-11-02 01:30-05:00"))
    assert (sound.day, sound.happened) == ("2025-11-02", "2025-11-02T01:30:00-05:00")
    (abroad,) = read(tmp_path, text.replace(when, "2026-03-02 03:30Z"))
    assert (abroad.day, abroad.happened) == ("2026-03-01", "2026-03-01T22:30:00-05:00")
