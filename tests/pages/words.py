"""The message catalogues: every sentence a sheet can print, from the code and from the data we ship.

``python -m tests.pages`` brings the catalogues up to date: it adds what is new (untranslated, so that a test fails
until somebody says it in that language), drops what is gone, and compiles them.
"""

from __future__ import annotations

import ast
import io
import re
from collections.abc import Iterator
from datetime import datetime, timezone
from pathlib import Path
from string import Formatter
from typing import Any

import tomli
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from jinja2 import nodes

from safety.formulas import catalogue
from safety.serve.templates import environment
from safety.words import CATALOGUES, ENGLISH, LANGUAGES

ROOT = Path(__file__).parents[2]

#: The functions of safety.words whose text goes into a catalogue. (Babel's own extractor misses calls inside calls.)
DOORS = ("say", "term", "message")

#: Modules whose words no sheet and no log prints: commands, mistakes in files, comparisons, what is said of a frozen page.
ELSEWHERE = (
    "safety/cli/",
    "safety/compare/",
    "safety/frozen/",
    "safety/files/cross_checks.py",
    "safety/files/exhaust_checks.py",
    "safety/files/flash_checks.py",
    "safety/files/second_names.py",
    "safety/files/helplines.py",
    "safety/calc/call.py",
    "safety/calc/lookup.py",
    "safety/ledger/",
    "safety/render/owed",
    "safety/reports.py",
    "safety/reference/row_shapes.py",
    "safety/reference/rules_files.py",
    "safety/files/shape",
    "safety/files/toml.py",
    "safety/units.py",
    "safety/why.py",
    "safety/files/notation.py",
    "plugins/safety_solvent/owed",
    "plugins/safety_waste/owed.py",
)

#: Among these: the questions of a new file, which are asked in the language of who answers, what is wrong with an
#: answer, what is wrong with a record, which is written down on a tablet, and what a log says of the ledger.
ASKED = (
    "safety/cli/questions/",
    "safety/files/notation.py",
    "safety/files/shape_words.py",
    "safety/units.py",
    *(f"safety/ledger/{name}.py" for name in ("amounts", "containers", "corrections", "drafts", "entries", "lots")),
    "safety/ledger/plausible.py",
    *(f"safety/ledger/{name}.py" for name in ("described", "read", "totals", "verify", "view")),
)

#: Lines of a catalogue's head that say nothing of its words. Plural rules change with Babel's release; none is used.
NOTES = tuple(
    f'"{name}:'
    for name in (
        "Project-Id-Version",
        "Report-Msgid-Bugs-To",
        "POT-Creation-Date",
        "PO-Revision-Date",
        "Last-Translator",
        "Language-Team",
        "Generated-By",
        "Plural-Forms",
    )
)

#: The line of a catalogue's head that names who has reviewed it.
REVIEWED = "Reviewed-By"

#: The date in the head of every compiled catalogue: it changes only when a word does.
WRITTEN = datetime(2026, 1, 1, tzinfo=timezone.utc)

#: Keys of the shipped rules and plugin data whose text is printed, wherever they stand.
PRINTED = {
    "text",
    "reason",
    "title",
    "unverified",
    "why",
    "status",
    "also",
    "per",
    "facepiece",
    "mode",
    "material",
    "substance",
}
#: Keys printed in these tables only; elsewhere they are names for the program.
PRINTED_IN = {
    ("pack", "jurisdiction"),
    ("duty", "mark"),
    ("ignition-source", "name"),
    ("ignition-source", "asked"),
    ("held-liquid", "name"),
    ("halogen", "gases"),
    ("protection_factor", "kind"),
    ("spent_solvent", "name"),
    ("toxicity", "name"),
    ("toxicity_source", "name"),
    ("unused_product", "name"),
    ("use_estimate", "work"),
    ("use_estimate", "purpose"),
    ("wipes_exclusion", "kind"),
    ("threshold", "remark"),
    ("cartridge", "colour"),
    ("release_inventory", "group"),
    ("cartridge", "holds"),
    ("wipes_barred", "kind"),
}


def messages() -> dict[str, str]:
    """Every text to be translated -> the file it stands in, in the order of the files."""
    found: dict[str, str] = {}
    for text, place in (*_of_code(), *_of_templates(), *_of_formulas(), *_of_data()):
        if has_words(text):
            found.setdefault(text, place)
    return found


def has_words(template: str) -> bool:
    """Whether there is anything to translate: a letter outside the ``{fields}``."""
    return any(c.isalpha() for literal, *_ in Formatter().parse(template) for c in literal)


def _of_code() -> Iterator[tuple[str, str]]:
    for path in sorted([*(ROOT / "safety").rglob("*.py"), *(ROOT / "plugins").rglob("*.py")]):
        place = path.relative_to(ROOT).as_posix()
        if place.startswith(ASKED) or not place.startswith(ELSEWHERE):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                match node:
                    case ast.Call(func=ast.Name(id=door), args=[ast.Constant(value=str(text)), *_]) if door in DOORS:
                        yield text, place


def _of_templates() -> Iterator[tuple[str, str]]:
    """What the pages of ``hazstep serve`` say."""
    found = environment()
    for path in sorted((ROOT / "safety" / "serve" / "pages").glob("*.html")):
        for call in found.parse(path.read_text(encoding="utf-8")).find_all(nodes.Call):
            if isinstance(call.node, nodes.Name) and call.node.name in DOORS and isinstance(call.args[0], nodes.Const):
                yield call.args[0].value, path.relative_to(ROOT).as_posix()


def _of_formulas() -> Iterator[tuple[str, str]]:
    """Why nobody has checked an equation: it stands beside what the equation decides."""
    for one in catalogue().values():
        if one.unverified:
            yield one.unverified, f"safety/formulas/{one.group}.py"


def _of_data() -> Iterator[tuple[str, str]]:
    shipped = ROOT / "safety" / "data"
    for path in sorted((shipped / "substances").glob("*.toml")):
        place = path.relative_to(ROOT).as_posix()
        data = tomli.loads(path.read_text(encoding="utf-8"))
        yield data["names"][0], place
        for _, key, text in _strings(data):
            if key == "unverified":
                yield text, place
    rules = [*(shipped / "rules").glob("*.toml"), *(ROOT / "plugins").glob("*/rules/*.toml")]
    own = [p for p in (ROOT / "plugins").glob("*/data/*.toml") if not p.stem.startswith("statements-")]
    for path in sorted([*rules, *own]):
        for table, key, text in _strings(tomli.loads(path.read_text(encoding="utf-8"))):
            published = table == "source" and not text.startswith("common practice")
            if (key in PRINTED and not published) or (table, key) in PRINTED_IN:
                yield text, path.relative_to(ROOT).as_posix()


def _strings(value: Any, table: str = "", key: str = "") -> Iterator[tuple[str, str, str]]:
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from _strings(inner, table or name, name)
    elif isinstance(value, list):
        for inner in value:
            yield from _strings(inner, table, key)
    elif isinstance(value, str) and value:
        yield table, key, value


class Words(Catalog):
    """A catalogue that keeps who has reviewed it: a line of its head, "Reviewed-By: name, trade, date"."""

    reviewed = ""

    def _heads(self) -> list[tuple[str, str]]:
        own = [(REVIEWED, self.reviewed)] if self.reviewed else []
        return [*own, *super()._get_mime_headers()]

    mime_headers = property(_heads, Catalog._set_mime_headers)


def reviewed(language: str) -> str:
    """Who has reviewed a catalogue, by its head."""
    path = path_of(language)
    found = re.search(rf'^"{REVIEWED}: (.*)\\n"$', path.read_text(encoding="utf-8"), re.M) if path.exists() else None
    return found[1] if found else ""


def path_of(language: str) -> Path:
    return CATALOGUES / language / "LC_MESSAGES" / "hazstep.po"


def read(language: str) -> Catalog:
    path = path_of(language)
    if not path.exists():
        return Catalog(locale=language)
    with path.open("rb") as file:
        return read_po(file, locale=language)


def brought_up_to_date(language: str) -> Catalog:
    """The catalogue of a language with exactly the present messages; those not yet said in it are empty."""
    before = read(language)
    now = Words(
        locale=language,
        header_comment=f"# What a sheet says, in {language}. Written by python -m tests.pages; translations are kept.",
        fuzzy=False,
        creation_date=WRITTEN,
        revision_date=WRITTEN,
    )
    now.reviewed = reviewed(language)
    for text, place in messages().items():
        old = before.get(text)
        now.add(text, old.string if old else "", locations=[(place, 0)])
    return now


def source(catalogue: Catalog) -> bytes:
    """A catalogue as its ``.po`` file."""
    out = io.BytesIO()
    write_po(out, catalogue, width=0, include_lineno=False)
    lines = out.getvalue().decode("utf-8").splitlines(keepends=True)
    # no dates, versions and names: the file changes only when a word does
    return "".join(line for line in lines if not line.startswith(NOTES)).encode("utf-8")


def compiled(catalogue: Catalog) -> bytes:
    """A catalogue as its ``.mo`` file."""
    out = io.BytesIO()
    write_mo(out, catalogue)
    return out.getvalue()


def write() -> None:
    """Write every catalogue and its compiled twin again."""
    for language in LANGUAGES:
        if language != ENGLISH:
            path, catalogue = path_of(language), brought_up_to_date(language)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(source(catalogue))
            path.with_suffix(".mo").write_bytes(compiled(catalogue))
