"""Read a data sheet in a process of its own: whatever the file does, it does not do it here."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import safety
from safety.datasheet.child import SECONDS
from safety.datasheet.record import Draft, Group, Note, Part, Quote, Value
from safety.datasheet.refused import Refused
from safety.words import say, spoken

#: The folder that holds this package.
_HOME = Path(safety.__file__).parents[1]
#: Longer than the child's own limit of work, which a child that only waits does not reach.
_PATIENCE = SECONDS + 10


def read_apart(path: Path, today: date, meanwhile: Callable[[], object] = lambda: None) -> list[Draft]:
    """The drafts of a file. Raises Refused where it cannot be read, and OSError where it cannot be opened.

    ``meanwhile`` is called while the other process reads.
    """
    with path.open("rb"):  # an error of the disk is told as such, by its own words
        pass
    command = [sys.executable, "-m", "safety.datasheet.child", os.path.abspath(path), today.isoformat(), spoken()]
    with subprocess.Popen(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        cwd=_HOME,  # where Python looks first: not the folder of the sheet
    ) as reading:
        try:
            meanwhile()
            told, _ = reading.communicate(timeout=_PATIENCE)
        except subprocess.TimeoutExpired:
            raise Refused(
                say("reading it took longer than {seconds} s; save the sheet alone as a file", seconds=_PATIENCE)
            ) from None
        finally:
            reading.kill()
    try:
        answer = json.loads(told)
        if "refused" in answer:
            raise Refused(str(answer["refused"]))
        return [_draft(one) for one in answer["drafts"]]
    except (ValueError, KeyError, TypeError):
        raise Refused(say("it cannot be read: the reading of it broke off; ask the maker for another PDF")) from None


def _draft(answer: dict[str, Any]) -> Draft:
    """The record again. What came from a stranger's file is text and numbers, or it is refused."""
    return Draft(
        name=str(answer["name"]),
        language=str(answer["language"]),
        american=bool(answer["american"]),
        values={str(key): Value(**value) for key, value in answer["values"].items()},
        parts=[Part(**{**part, "stated": [Value(**one) for one in part["stated"]]}) for part in answer["parts"]],
        quotes=[Quote(**one) for one in answer["quotes"]],
        notes=[Note(Group(note["group"]), str(note["sentence"])) for note in answer["notes"]],
    )
