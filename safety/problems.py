"""What is wrong with a file or a command line, in one line a person can act on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from safety.words import printable


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One mistake: where it is, what is wrong, and what to write instead."""

    file: str
    line: int  # 1-based; 0 where the text gives no line
    where: str  # table and key, for example "[[step]] 2, use[1].amount"
    wrong: str
    write: str = ""

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        where = f" {self.where}:" if self.where else ""
        advice = f"; {self.write}" if self.write else ""
        return printable(f"{place}:{where} {self.wrong}{advice}")


class Problems(Exception):
    """Every mistake found in one run. The only exception that reading raises."""

    def __init__(self, problems: Iterable[Problem]):
        self.problems = tuple(sorted(set(problems)))
        super().__init__("\n".join(map(str, self.problems)))
