"""The log as plain text, and as CSV that is safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import astuple

from safety import units
from safety.model import Block, Chart, Grid, Lines, LogReport
from safety.render import office_text, text_safe
from safety.render.log import Page, Record, arrange, heads
from safety.render.text import WIDTH, grid, heading, wrapped
from safety.words import LANGUAGES, say, speaking, speech

#: What a spreadsheet takes for the beginning of a formula, also in its wide form.
_FORMULA = tuple("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20")
_MARK = b"\xef\xbb\xbf"  # of byte order
_PLAIN_NUMBER = re.compile(r"-?\d+(\.\d+)?", re.ASCII)


def log(report: LogReport, every: bool = False) -> str:
    """The log as text, lines of at most 100 columns, ending in a line break; with ``every`` however many records."""
    page = arrange(report, every)
    return "\n".join(str(line).rstrip() for line in _lines(page)) + "\n"


def _lines(page: Page) -> Iterator[str]:
    yield from wrapped(page.title)
    yield "=" * WIDTH
    if page.translated:
        yield from wrapped(page.translated)
    yield from office_text.lines(page.office)
    yield from heading(say("The log"))
    for label, value in page.facts:
        yield from wrapped(value, say("{label:<20} ", label=label))
    yield ""
    yield from wrapped(page.result, "*** ")
    for reason in page.missing:
        yield from wrapped(reason, "###   - ", "###     ")
    for block in page.blocks:
        yield from heading(block.title)
        yield from _block(block)
    yield from heading(say("Every record, corrections worked in as reversals"))
    yield from wrapped(page.lines)
    for record in page.records:
        yield from _record(record, page.us)
    sentence, fields = page.sign_off
    yield from heading(say("Sign-off"))
    yield from wrapped(sentence)
    for field in fields:
        yield say("{field}: ______________________________", field=field)
    yield ""
    if page.notice:
        yield from wrapped(page.notice)
    yield from wrapped(page.small_print)


def _record(record: Record, us: bool) -> Iterator[str]:
    amounts = [(record.kilograms, "kg"), (record.litres, "L")]
    if us:
        amounts += [(record.pounds, "lb"), (record.gallons, "US gal")]
    first = (record.day, record.time, record.what, record.thing, record.lot and say("lot {lot}", lot=record.lot))
    yield from wrapped(", ".join(filter(None, first)), "", "    ")
    numbers = [say("{number} {unit}", number=number, unit=unit) for number, unit in amounts if number]
    more = (
        record.typed and say("written down as {typed}", typed=record.typed),
        " = ".join(numbers),
        record.density and say("at {density} kg/L", density=record.density),
        record.known,
    )
    yield from wrapped("; ".join(filter(None, more)), "    ")
    where = (record.job, record.step, record.operation, record.container, record.who, record.remarks)
    yield from wrapped("; ".join(filter(None, where)), "    ")
    yield from wrapped(say("key {key}", key=record.key), "    ")


def _block(block: Block) -> Iterator[str]:
    if isinstance(block, Lines):
        for line in block.lines:
            yield from wrapped(line, "  - ", "    ")
    elif isinstance(block, Grid):
        yield from grid(block)
    else:
        yield from grid(chart_as_grid(block))
        for name, level in block.levels:
            yield from wrapped(
                say("{name}: {level} {unit}", name=name, level=units.significant(level), unit=block.unit),
                "  = ",
                "    ",
            )


def chart_as_grid(block: Chart) -> Grid:
    """The numbers of a chart as a table, a row for each month."""
    heads = [
        text for c in block.curves for text in (say("{name}, middle", name=c.name), say("{name}, at most", name=c.name))
    ]
    rows = [
        (label, *(units.significant(v) for c in block.curves for v in (c.low[i], c.high[i])))
        for i, label in enumerate(block.labels)
    ]
    columns = (say("Month"), *(say("{head}, {unit}", head=head, unit=block.unit) for head in heads))
    return Grid(block.title, columns, tuple(rows), block.key)


# ---------------------------------------------------------------- CSV


def table(report: LogReport) -> bytes:
    """The whole log as CSV: sections with a title line, an empty line between them.

    UTF-8 with a byte order mark, which spreadsheets need to read it as UTF-8; lines end as RFC
    4180 says. A cell that a spreadsheet could take for a formula begins with an apostrophe.
    """
    page = arrange(report)
    return _MARK + b"\r\n".join(_rows(rows) for rows in _sections(page)) + b"\r\n"


def is_table(content: bytes) -> bool:
    """Whether a file is such a CSV: what it begins with, the line that names the columns of the records, and every
    cell set as ours are. What a person or a spreadsheet has changed is not."""
    if not content.startswith(_MARK + b'"') or not any(b"\r\n" + _rows([named]) in content for named in _heads()):
        return False
    return as_written(content)


def _heads() -> Iterator[tuple[str, ...]]:
    """The line that names the columns of the records, in each language."""
    for language in LANGUAGES:
        with speaking(speech(language)):
            yield heads()


def cells(rows: Iterable[Sequence[str]]) -> bytes:
    """Rows as such a CSV."""
    return _MARK + _rows(rows)


def as_written(content: bytes) -> bool:
    """Whether every cell of a CSV is set as ours are."""
    try:
        found = list(csv.reader(io.StringIO(content.removeprefix(_MARK).decode(), newline="")))
    except (UnicodeDecodeError, csv.Error):
        return False
    return content == cells(found)


def _rows(rows: Iterable[Sequence[str]]) -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n").writerows(
        [safe(cell) for cell in row] for row in rows
    )
    return out.getvalue().encode()


def _sections(page: Page) -> Iterator[Sequence[Sequence[str]]]:
    translated = [(page.translated,)] if page.translated else []
    yield [(page.title,), *translated, *page.facts, (page.result,), *((reason,) for reason in page.missing)]
    yield [
        (say("Every record, corrections worked in as reversals"),),
        heads(),
        *(astuple(record) for record in page.records),
    ]
    for block in page.blocks:
        if isinstance(block, Lines):
            yield [(block.title,), *((line,) for line in block.lines)]
        elif isinstance(block, Grid):
            yield [(block.title,), block.columns, *block.rows]
        else:
            of = chart_as_grid(block)
            levels = [(name, units.significant(level), block.unit) for name, level in block.levels]
            yield [(of.title,), of.columns, *of.rows, *levels]
    sentence, fields = page.sign_off
    yield [(say("Sign-off"),), (sentence,), fields, (page.notice,), (page.small_print,)]


def safe(cell: str) -> str:
    """A cell as one line of text that no spreadsheet runs as a formula. A plain number stays a number."""
    raw = cell.lstrip(" ")
    text = text_safe(cell)
    if _PLAIN_NUMBER.fullmatch(text):
        return text
    return say("'{text}", text=text) if raw.startswith(_FORMULA) or text.startswith(_FORMULA) else text
