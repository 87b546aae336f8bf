"""A draft that a person has compared with its data sheet: the name and the day, and nothing else in the file."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

from safety.files.notation import Miswritten, text
from safety.files.reading import look_through_product
from safety.files.toml import document_of, locate, open_document, problem
from safety.problems import Problem, Problems
from safety.words import say

_DRAFT = re.compile(r"[ \t]*draft[ \t]*=[ \t]*true[ \t]*(#[^\n]*)?")


def confirmed(path: Path, content: bytes, who: str, day: date) -> bytes:
    """The file with a name and a day in place of the line draft = true. Raises Problems where it may not be."""
    document = open_document(path)
    table = document.data.get("product")
    if not isinstance(table, dict) or table.get("draft") is not True:
        raise Problems(
            [Problem(path.as_posix(), 0, "[product]", say("this is no draft"), say("there is nothing to confirm"))]
        )
    try:
        name = text(who)
    except Miswritten as error:
        raise Problems([Problem("--who", 0, "", error.wrong, error.write)]) from None
    if table.get("role") == "unknown":
        wrong, write_ = say("nobody has written what the product is for"), say('write for example role = "cleaner"')
        raise Problems([problem(document, ("product", "role"), wrong, write_)])
    if "purpose" not in table:
        wrong, write_ = say("nobody has written what the product is for"), say('write for example purpose = "cleaner"')
        raise Problems([problem(document, ("product", "purpose"), wrong, write_)])
    look_through_product(document)  # nobody can stand for what cannot be read
    whole = content.decode("utf-8-sig")
    lines = whole.splitlines(keepends=True)
    at = (locate(document.text, ("product", "draft")) or 0) - 1
    bare = lines[at].rstrip("\r\n") if 0 <= at < len(lines) else ""
    if not _DRAFT.fullmatch(bare):
        wrong = say("draft = true does not stand on a line of its own")
        raise Problems([problem(document, ("product", "draft"), wrong, say("write it on a line of its own"))])
    end = lines[at][len(bare) :] or "\n"
    quoted = name.replace("\\", "\\\\").replace('"', '\\"')
    lines[at] = f'confirmed = "{quoted}, {day.isoformat()}"{end}'
    made = "".join(lines)
    _same_but_for_that(document.data, made, name, day)
    return made.encode("utf-8")


def _same_but_for_that(before: dict[str, object], made: str, name: str, day: date) -> None:
    """Make sure that the new text says what the old one said, but for the name and the day."""
    wanted = dict(before["product"]) if isinstance(before["product"], dict) else {}
    del wanted["draft"]
    wanted["confirmed"] = f"{name}, {day.isoformat()}"
    if document_of(Path("confirmed"), "", made).data != {**before, "product": wanted}:
        raise AssertionError("the confirmed file would say something else")
