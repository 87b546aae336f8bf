"""The shop's files as forms: a table at a time, its mistakes beside each field, the difference before it is kept.

An address names a file that is there and a table in it, or there is no such page; no path is made of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from urllib.parse import quote, urlencode

from safety.compare.changes import Change
from safety.files.notation import Miswritten, identifier
from safety.files.notation import text as one_line
from safety.files.reading import read_all
from safety.files.toml import At, Document, document_of, files_in, where
from safety.problems import Problem, Problems
from safety.serve import forms
from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.forms import Field, NotKept
from safety.serve.screens.shown import shown
from safety.words import message, say, term

#: What each kind of file is called, in the order of the page.
_CALLED = {"jobs": message("Jobs"), "products": message("Products"), "shop": message("The shop")}


@dataclass(frozen=True, slots=True)
class Opened:
    """One table of one file, as it was read for one answer."""

    kind: str
    name: str
    path: Path
    text: str
    at: At

    @property
    def address(self) -> str:
        return f"/files/{self.kind}/{quote(self.name)}"


def show(desk: Desk, asked: Asked) -> Answer:
    """Every file that has a form."""
    listed = [
        (term(called), [(path.stem, f"/files/{kind}/{quote(path.stem)}") for path in _files(desk, kind)])
        for kind, called in _CALLED.items()
        if _may(asked, kind)
    ]
    return shown(desk, asked, "files.html", title=say("Files"), here="files", listed=listed)


def tables(desk: Desk, asked: Asked) -> Answer:
    """The tables of one file, and what can be added."""
    one = _open(desk, asked)
    data = _data(one)
    parts = [(part, f"{one.address}/{forms.address(part.at)}") for part in forms.parts(one.kind, data)]
    more = [(at[0], f"{one.address}/{forms.address(at)}") for at in forms.can_have(one.kind, data)]
    return shown(
        desk,
        asked,
        "tables.html",
        title=one.path.name,
        here="files",
        back=("/files", say("Files")),
        tables=parts,
        more=more,
        copies=one.address if one.kind == "jobs" else "",
        mistakes=[desk.shown(problem) for problem in _mistakes(desk, one, one.text)],
        text=one.text,
    )


def table(desk: Desk, asked: Asked) -> Answer:
    """The form of one table; where the address has values for some fields, with these filled in and nothing kept."""
    one = _open(desk, asked)
    return _form(desk, asked, one, _given(asked))


def change(desk: Desk, asked: Asked) -> Answer:
    """Look at what was filled in, or keep it: only where nobody else changed the file, and nothing new is wrong."""
    one = _open(desk, asked)
    given = _given(asked)
    if asked.get("read") != forms.hashed(one.text):
        notice = say("Somebody has changed this file since you opened it. Nothing was kept: this is how it is now.")
        typed = [say("{key} = {value}", key=key, value=value) for key, value in _differ(one, given)]
        return _form(desk, asked, one, {}, notice=notice, typed=typed, status=409)
    if asked.get("do") != "save":
        return _form(desk, asked, one, given)
    after = _after(one, given)
    if after is None or after == one.text or _new(desk, one, _mistakes(desk, one, after)):
        return _form(desk, asked, one, given, status=400)
    return _kept(desk, asked, one, after)


def take_out(desk: Desk, asked: Asked) -> Answer:
    """Take one table out of a list."""
    one = _open(desk, asked)
    if not one.at or not isinstance(one.at[-1], int) or asked.get("read") != forms.hashed(one.text):
        raise Refused(409, say("The file has changed. Open the page again."))
    try:
        after = forms.without(one.text, one.at)
    except NotKept:
        raise Refused(409, say("This cannot be changed here. Edit the file as text.")) from None
    if wrong := _new(desk, one, _mistakes(desk, one, after)):
        return _form(desk, asked, one, {}, typed=[desk.shown(problem) for problem in wrong], status=409)
    return _kept(desk, asked, one, after)


def copy(desk: Desk, asked: Asked) -> Answer:
    """A job made from an earlier one, in a file of its own."""
    one = _open(desk, asked)
    if one.kind != "jobs":
        raise Refused(404, say("There is no such page here."))
    try:
        id, title = identifier(asked.get("id").strip()), one_line(asked.get("title").strip())
    except Miswritten as wrong:
        raise Refused(400, say("{wrong}; {write}", wrong=wrong.wrong, write=wrong.write)) from None
    try:
        text = forms.copied(one.text, id, title)
    except (NotKept, KeyError):
        raise Refused(409, say("This file cannot be copied here. Copy it as text.")) from None
    path = desk.folder / "jobs" / f"{id}.toml"
    if id in desk.ids() or not forms.make(path, text):
        raise Refused(409, say("There is a job of this name already."))
    desk.audit(asked, "file made", f"jobs/{id}.toml", after=forms.hashed(text))
    return Answer(to=f"/files/jobs/{quote(id)}")


def filled_in(desk: Desk, changes: Iterable[Change]) -> Iterator[str]:
    """The form of each change that a form can make, as an address that fills it in."""
    names = {desk.file.resolve(): ("shop", desk.file.stem)}
    names |= {path.resolve(): (kind, path.stem) for kind in ("jobs", "products") for path in _files(desk, kind)}
    for one in changes:
        *at, key = one.at
        if one.file in names and at and key in forms.shape_at(names[one.file][0], tuple(at)).model_fields:
            kind, name = names[one.file]
            query = urlencode({f"f-{key}": one.text.partition("=")[2].strip()})
            yield f"/files/{kind}/{quote(name)}/{forms.address(tuple(at))}?{query}"


def _given(asked: Asked) -> dict[str, str]:
    """What was filled in, by the keys of the file."""
    return {key[2:]: value for key, value in asked.form.items() if key.startswith("f-")}


# ---------------------------------------------------------------- which file, which table


def _may(asked: Asked, kind: str) -> bool:
    """The office keeps the products; the shop and its jobs are the officer's."""
    return asked.may("officer") or kind == "products"


def _files(desk: Desk, kind: str) -> list[Path]:
    found = [desk.file] if kind == "shop" else files_in(desk.folder / kind)
    inside = desk.folder.resolve()
    return [path for path in found if path.resolve().is_relative_to(inside)]


def _open(desk: Desk, asked: Asked) -> Opened:
    kind, name = asked.path["kind"], asked.path["name"]
    if kind not in _CALLED:
        raise Refused(404, say("There is no such page here."))
    if not _may(asked, kind):
        raise Refused(403, say("This is not yours to do here. Ask the safety officer or the office."))
    path = next((path for path in _files(desk, kind) if path.stem == name), None)
    if path is None:
        raise Refused(404, say("There is no such page here."))
    try:
        one = Opened(kind, name, path, forms.read(path), ())
    except (OSError, UnicodeDecodeError):
        raise Refused(409, say("This file cannot be read. Look at it as text.")) from None
    if "at" not in asked.path:
        return one
    at = forms.place(kind, _data(one), asked.path["at"])
    if at is None:
        raise Refused(404, say("There is no such page here."))
    return replace(one, at=at)


def _data(one: Opened) -> dict[str, object]:
    """What the file holds. Raises Problems where it is no TOML."""
    return document_of(one.path, one.path.as_posix(), one.text.replace("\r\n", "\n")).data


# ---------------------------------------------------------------- what is wrong


def _mistakes(desk: Desk, one: Opened, text: str) -> tuple[Problem, ...]:
    """Every mistake of the shop with this file as the text has it, in the words of ``hazstep check``."""

    def edit(document: Document) -> Document:
        if document.path.resolve() != one.path.resolve():
            return document
        return document_of(document.path, document.shown, text.replace("\r\n", "\n"))

    try:
        read_all(desk.file, [one.path] if one.kind == "jobs" else None, edit=edit)
    except Problems as found:
        return found.problems
    return ()


def _new(desk: Desk, one: Opened, found: Iterable[Problem]) -> list[Problem]:
    """What is wrong only since a change: a mistake elsewhere in the file keeps nobody from mending this table.

    ``found`` is all that is wrong with the file as the change has it.
    """
    before = {(p.file, p.where, p.wrong) for p in _mistakes(desk, one, one.text)}
    return [p for p in found if (p.file, p.where, p.wrong) not in before]


def _after(one: Opened, given: Mapping[str, str]) -> str | None:
    """The file with what was filled in; None where it could not be kept as it is meant."""
    try:
        return forms.changed(one.kind, one.text, one.at, given)
    except (NotKept, Problems):
        return None


def _differ(one: Opened, given: Mapping[str, str]) -> list[tuple[str, str]]:
    now = {field.key: field.value for field in forms.fields(one.kind, one.text, one.at)}
    return [(key, value) for key, value in given.items() if forms.typed(value) != forms.typed(now.get(key, ""))]


def _kept(desk: Desk, asked: Asked, one: Opened, after: str) -> Answer:
    """Write it, unless somebody else was faster."""
    if not forms.write(one.path, one.text, after):
        raise Refused(409, say("Somebody has changed this file meanwhile. Nothing was kept. Open the page again."))
    name = one.path.relative_to(desk.folder).as_posix()
    desk.audit(asked, "file changed", name, forms.hashed(one.text), forms.hashed(after))
    return Answer(to=one.address)


# ---------------------------------------------------------------- the page


@dataclass(frozen=True, slots=True)
class Shown:
    """A field with what was filled in, and what is wrong with it."""

    of: Field
    value: str
    wrong: str


def _form(
    desk: Desk,
    asked: Asked,
    one: Opened,
    given: Mapping[str, str],
    *,
    notice: str = "",
    typed: list[str] | None = None,
    status: int = 200,
) -> Answer:
    after = _after(one, given)
    found = _mistakes(desk, one, one.text if after is None else after)
    fields, rest = _beside(one, given, list(found))
    new = _new(desk, one, found) if after is not None and after != one.text else []
    part = next((part for part in forms.parts(one.kind, _data(one)) if part.at == one.at), None)
    return shown(
        desk,
        asked,
        "table.html",
        title=say("{table}, {name}", table=part.name, name=part.title) if part and part.title else forms.called(one.at),
        status=status,
        here="files",
        back=(one.address, one.path.name),
        one=one,
        to=f"{one.address}/{forms.address(one.at)}",
        read=forms.hashed(one.text),
        fields=fields,
        rest=[desk.shown(problem) for problem in rest if problem in new],
        lines=[] if after is None else forms.difference(one.text, after),
        lost=after is None,
        may=after is not None and after != one.text and not new,
        removable=part is not None and isinstance(one.at[-1], int),
        notice=notice,
        typed=typed or [],
    )


def _beside(one: Opened, given: Mapping[str, str], found: list[Problem]) -> tuple[list[Shown], list[Problem]]:
    """Each field with the first thing that is wrong with it, and what is wrong elsewhere."""
    fields, left = [], found
    for field in forms.fields(one.kind, one.text, one.at):
        place = where((*one.at, field.key))
        own = [p for p in found if p.where == place or p.where.startswith((f"{place}.", f"{place}["))]
        left = [p for p in left if p not in own]
        words = "; ".join(filter(None, (own[0].wrong, own[0].write))) if own else ""
        missing = f'"{field.key}"'
        if not own:
            told = [p for p in found if p.where == where(one.at) and missing in p.wrong]
            words = "; ".join(filter(None, (told[0].wrong, told[0].write))) if told else ""
        fields.append(Shown(field, given.get(field.key, field.value), words))
    return fields, left
