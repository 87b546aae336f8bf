"""``KEY=VALUE`` to a changed file: which file, which key in it, and what to put there."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

import tomli

from safety.files.notation import nearest, squeezed
from safety.files.reading import Edit
from safety.files.shape_air import AirTable
from safety.files.shape_places import PlaceTable
from safety.files.toml import At, Document, files_in, open_document, plain
from safety.model import Job
from safety.problems import Problem, Problems
from safety.words import say

#: How a change helps, the best kind first (hierarchy of controls, ANSI/ASSP Z590.3 and NIOSH).
Kind = Literal["substitution", "engineering", "administrative", "protection", "other"]
KINDS: tuple[Kind, ...] = ("substitution", "engineering", "administrative", "protection", "other")

#: By these words a table of a list is named, besides its number.
_NAMES = ("id", "name", "state", "product", "what", "cas")
_AT_THE_SOURCE = frozenset({"product", "amount", "area", "work", "coats", "coverage", "part", "kept"})
_AIR = frozenset(
    {"place", "air", "air_changes", "air_speed", "capture", "capture_velocity", "hood", "face_velocity", "volume"}
)


@dataclass(frozen=True, slots=True)
class Change:
    """One key of one file with its new value."""

    text: str
    file: Path
    at: At
    value: Any
    kind: Kind


@dataclass(frozen=True, slots=True)
class Alternative:
    """Changes that are made together. None of them: the job as planned."""

    text: str
    changes: tuple[Change, ...] = ()

    @property
    def kind(self) -> Kind | None:
        """The least effective kind among its changes."""
        return max((c.kind for c in self.changes), key=KINDS.index, default=None)

    @property
    def edit(self) -> Edit:
        """Makes the changes in each file as it is read."""

        def edit(document: Document) -> Document:
            mine = [c for c in self.changes if c.file == document.path.resolve()]
            if not mine:
                return document
            data = deepcopy(document.data)
            for change in mine:
                _put(data, change.at, change.value)
            return replace(document, data=data)

        return edit

    def refused(self, problems: Problems) -> Problems:
        """The reader's own mistakes, said of the change that made them."""
        file = say('--change "{change}"', change=plain(self.text, 200))
        return Problems(replace(p, file=file, line=0) for p in problems.problems)


def read_alternatives(options: Sequence[str], path: Path, job: Job) -> tuple[Alternative, ...]:
    """Read each ``--change``: one alternative, whose changes are parted by ``;``.

    ``job`` is the job of ``path`` as planned. Raises Problems for all that cannot be read.
    """
    files = _Files.of(path, job)
    read: list[Alternative] = []
    wrong: list[Problem] = []
    for option in options:
        changes = []
        for text in _parted(option, ";") or [""]:
            try:
                changes.append(_change(text, files))
            except Problems as problems:
                wrong += problems.problems
        read.append(Alternative(option.strip(), tuple(changes)))
    if wrong:
        raise Problems(wrong)
    return tuple(read)


@dataclass(frozen=True, slots=True)
class _Files:
    """The files a change may be made in, as they are."""

    job: Document
    shop: Document
    products: dict[str, Document]
    planned: Job

    @classmethod
    def of(cls, path: Path, job: Job) -> _Files:
        shop = open_document(Path(job.shop.file))
        found = [open_document(p) for p in files_in(shop.path.parent / "products")]
        return cls(open_document(path), shop, {squeezed(d.data["product"]["id"]): d for d in found}, job)


def _change(text: str, files: _Files) -> Change:
    key, equals, written = text.partition("=") if '"' not in text.partition("=")[0] else _quoted(text)
    names = [n.strip().strip('"') for n in _parted(key, ".")]
    if not equals or not names or not all(names):
        raise _refuse(text, say("this is not KEY=VALUE"), say('write for example: place.bay-2.volume="2000 m^3"'))
    if names[0] == "product":
        return _in_product(text, names, written, files)
    document = files.job if names[0] in ("job", "step") else files.shop
    at = tuple(_walk(document.data, names, text, files))
    return Change(text.strip(), document.path.resolve(), at, _value(written), _kind(at))


def _in_product(text: str, names: list[str], written: str, files: _Files) -> Change:
    for length in range(len(names) - 1, 1, -1):
        name = ".".join(names[1:length])
        if name in files.products:
            document = files.products[name]
            at = tuple(_walk(document.data, ["product", *names[length:]], text, files))
            return Change(text.strip(), document.path.resolve(), at, _value(written), "substitution")
    name = names[1] if len(names) > 1 else ""
    raise _refuse(text, say('there is no product "{name}"', name=plain(name)), nearest(name, files.products))


def _walk(node: Any, names: list[str], text: str, files: _Files, at: At = ()) -> Iterator[str | int]:
    """The path of keys and 0-based numbers that ``names`` stand for. A name may itself hold dots."""
    if not names:
        return
    if isinstance(node, list):
        index, left = _entry(node, names, text)
        yield index
        yield from _walk(node[index], left, text, files, (*at, index))
        return
    if not isinstance(node, dict):
        raise _refuse(text, say('nothing stands below "{key}"', key=plain(".".join(map(str, at)))), "")
    if at[:1] == ("place",) and len(at) == 2:
        state, left = _air_state(node, names, text, files)
        if state is not None:
            yield from ("air", state)
            yield from _walk(node["air"][state], left, text, files, (*at, "air", state))
            return
    for length in range(len(names), 0, -1):
        name = ".".join(names[:length])
        if name in node:
            yield name
            yield from _walk(node[name], names[length:], text, files, (*at, name))
            return
    if len(names) > 1 or not at:
        raise _refuse(text, say('there is no "{key}"', key=plain(names[0])), nearest(names[0], node))
    yield names[0]  # a key the file leaves out; the reader knows whether there is such a key


def _entry(entries: list[Any], names: list[str], text: str) -> tuple[int, list[str]]:
    """The table that the first names stand for, by one of its own words or its number."""
    known: dict[str, int] = {}
    for index, entry in enumerate(entries):
        for word in _NAMES:
            if isinstance(entry, dict) and isinstance(entry.get(word), str):
                known.setdefault(squeezed(entry[word]), index)
    for length in range(len(names), 0, -1):
        name = squeezed(".".join(names[:length]))
        if name in known:
            return known[name], names[length:]
    if names[0].isdecimal() and 1 <= int(names[0]) <= len(entries):
        return int(names[0]) - 1, names[1:]
    wrong = say('there is no "{name}" among {count}', name=plain(names[0]), count=len(entries))
    raise _refuse(text, wrong, nearest(names[0], [*known, *(str(i + 1) for i in range(len(entries)))]))


def _air_state(place: dict[str, Any], names: list[str], text: str, files: _Files) -> tuple[int | None, list[str]]:
    """The air state a key of a place belongs to: the one named, else the one the job uses."""
    if names[0] in PlaceTable.model_fields:
        return None, names
    states = [squeezed(a.get("state")) for a in place.get("air", []) if isinstance(a, dict)]
    for length in range(len(names) - 1, 0, -1):
        name = squeezed(".".join(names[:length]))
        if name in states:
            return states.index(name), names[length:]
    if names[0] not in AirTable.model_fields:
        return None, names
    used = {s.air.state for s in files.planned.steps if s.place.id == squeezed(place.get("id"))}
    if len(used) != 1:
        wrong = say("the job has this place in {count} states of the air", count=len(used))
        example = say("place.{id}.{state}.{key}", id=place.get("id"), state=states[0], key=names[0])
        raise _refuse(text, wrong, say("name the one you mean: {example}", example=example))
    return states.index(used.pop()), names


def _kind(at: At) -> Kind:
    words = {step for step in at if isinstance(step, str)}
    if at[0] in ("glove", "respirator", "eyewear"):
        return "protection"
    if words & _AT_THE_SOURCE:
        return "substitution"
    if words & _AIR:
        return "engineering"
    return "administrative" if at[0] in ("job", "step") else "other"


def _value(written: str) -> Any:
    """The value as TOML has it; what is not TOML is text, so that the shell may eat the quotation marks."""
    try:
        return tomli.loads(f"value = {written.strip()}")["value"]
    except (tomli.TOMLDecodeError, ValueError):
        return written.strip()


def _put(data: Any, at: At, value: Any) -> None:
    for step in at[:-1]:
        data = data[step]
    data[at[-1]] = value


def _quoted(text: str) -> tuple[str, str, str]:
    """Key and value where the key has quotation marks."""
    parts = [*_parted(text, "=")]
    return parts[0], "=" if len(parts) > 1 else "", "=".join(parts[1:])


def _parted(text: str, sign: str) -> Iterable[str]:
    """``text`` in parts, cut at ``sign`` wherever it is outside quotation marks."""
    parts = re.findall(rf'(?:"[^"]*"|[^"{re.escape(sign)}]|")+', text)
    return [p for p in parts if p.strip()]


def _refuse(text: str, wrong: str, write: str) -> Problems:
    return Problems([Problem(say('--change "{change}"', change=plain(text.strip(), 200)), 0, "", wrong, write)])
