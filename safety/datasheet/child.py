"""The process in which the file of a stranger is opened: limited, and killed when it takes too long.

``python -m safety.datasheet.child FILE DAY LANGUAGE`` prints what was read as JSON.
"""

from __future__ import annotations

import json
import sys
from dataclasses import asdict
from datetime import date
from pathlib import Path

MEMORY, SECONDS = 700_000_000, 20  # bytes of address space, seconds of work


def limit() -> None:
    """Take from this process what reading a file does not need. Windows has no such limits."""
    try:
        import resource
    except ImportError:
        return
    for name, most in (("RLIMIT_AS", MEMORY), ("RLIMIT_CPU", SECONDS), ("RLIMIT_FSIZE", 0), ("RLIMIT_CORE", 0)):
        kind = getattr(resource, name)
        _, hard = resource.getrlimit(kind)
        within = most if hard == resource.RLIM_INFINITY else min(most, hard)
        try:
            resource.setrlimit(kind, (within, within))
        except (OSError, ValueError):  # a system that has the name and not the limit
            continue


def main(file: str, day: str, language: str) -> None:
    limit()
    from safety.datasheet.reader import read_file
    from safety.datasheet.refused import Refused
    from safety.words import say, speaking, speech

    answer: dict[str, object]
    with speaking(speech(language)):
        try:
            answer = {"drafts": [asdict(draft) for draft in read_file(Path(file), date.fromisoformat(day))]}
        except Refused as refused:
            answer = {"refused": str(refused)}
        except MemoryError:
            answer = {"refused": say("reading it took too much memory; save the sheet alone as a file")}
    json.dump(answer, sys.stdout)


if __name__ == "__main__":
    main(*sys.argv[1:4])
