"""One question at a time: what is asked, why, what an empty line and a question mark mean, and asked again."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import click

from safety.cli.terminal import asking
from safety.files.notation import Miswritten, nearest
from safety.problems import Problem, Problems
from safety.units import UnitError
from safety.words import joined, printable, say

_LONGEST = 1000  # signs of one answer
#: What people write who do not know, in every language a question can be asked in.
_UNKNOWN = frozenset({"?", "unknown", "don't know", "dont know", "not known", "no idea", "no sé", "no se",
                      "no lo sé", "no lo se", "desconocido", "weiß nicht", "weiss nicht", "unbekannt"})  # fmt: skip
_YES = frozenset({"y", "yes", "s", "sí", "si", "j", "ja"})
_NO = frozenset({"n", "no", "nein"})


@dataclass(frozen=True, slots=True)
class Answer:
    """What goes into the file: a value, or None where the key is left out; and what is said of it."""

    value: Any
    note: str = ""


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several answers: what the file has, and what people read."""

    value: str
    says: str = ""


class Talk:
    """Questions to standard error, answers from standard input: a person at a terminal, or lines."""

    def __init__(self) -> None:
        self.terminal = asking()
        self._line = 0
        if not self.terminal:
            self.tell(say("No terminal: each line of standard input answers one question."))
        self.tell(say('"?" means: I do not know. It is always allowed. Ctrl-C stops, and then nothing is written.'))

    def tell(self, text: str) -> None:
        click.echo(printable(text), err=True)

    def ask(
        self,
        text: str,
        why: str,
        read: Callable[[str], Any],
        *,
        example: str = "",
        enter: Answer | None = None,
        unknown: Answer | None = None,
        advice: str = "",
        listed: Sequence[str] = (),
    ) -> Answer:
        """Ask until an answer can be read. ``advice``: what to do who does not know what the file must have."""
        click.echo(err=True)
        self.tell(joined((text, *self._hints(example, enter, unknown))))
        self.tell(say("  Why: {why}", why=why))
        for one in listed:
            self.tell(say("    {choice}", choice=one))
        while True:
            line = self._answer(text)
            if line.casefold() in _UNKNOWN:
                if unknown is not None:
                    return self._told(unknown)
                self.tell(joined((say("  No file can do without this one."), advice or say("Ask somebody who knows."))))
            elif not line and enter is not None:
                return self._told(enter)
            elif not line:
                self.tell(say('  Nothing was written. Write an answer, or "?".'))
            else:
                try:
                    return Answer(read(line))
                except (Miswritten, UnitError) as error:
                    write = error.write or (say("write for example {example}", example=example) if example else "")
                    self.tell(joined(("  ", joined((error.wrong, write), "; ")), ""))

    def choose(
        self,
        text: str,
        why: str,
        choices: Sequence[Choice],
        *,
        other: Callable[[str], Any] | None = None,
        enter: Answer | None = None,
        unknown: Answer | None = None,
        advice: str = "",
    ) -> Answer:
        """Ask for one of several, by its number or its word. ``other`` reads what is none of them."""

        def read(line: str) -> Any:
            if line.isascii() and line.isdigit() and 1 <= int(line) <= len(choices):
                return choices[int(line) - 1].value
            for choice in choices:
                if line.casefold() in (choice.value.casefold(), choice.says.casefold()):
                    return choice.value
            if other is not None:
                return other(line)
            wrong = say('"{answer}" is none of these', answer=printable(line))
            raise Miswritten(wrong, nearest(line, [choice.value for choice in choices]))

        listed = [self._numbered(number, one) for number, one in enumerate(choices, 1)]
        return self.ask(text, why, read, enter=enter, unknown=unknown, advice=advice, listed=listed)

    def yes(self, text: str, why: str, *, enter: bool | None = None, unknown: bool | None = None) -> bool | None:
        """Ask for yes or no; ``unknown`` is the careful one of the two, None where it is neither."""

        def read(line: str) -> bool:
            if line.casefold() in _YES | _NO:
                return line.casefold() in _YES
            wrong = say('"{answer}" is neither yes nor no', answer=printable(line))
            raise Miswritten(wrong, say("write yes or no"))

        said = {True: say("yes"), False: say("no"), None: say("unknown")}
        plain = None if enter is None else Answer(enter, said[enter])
        found = self.ask(say("{question} (yes or no)", question=text), why, read, enter=plain,
                         unknown=Answer(unknown, said[unknown]))  # fmt: skip
        return None if found.value is None else bool(found.value)

    def _numbered(self, number: int, choice: Choice) -> str:
        return say("{number} {choice}", number=number, choice=choice.says or choice.value)

    def _hints(self, example: str, enter: Answer | None, unknown: Answer | None) -> tuple[str, ...]:
        means = {"Enter": self._meaning(enter), "?": self._meaning(unknown)}
        if means["Enter"] and means["Enter"] == means["?"]:
            means = {say("Enter or ?"): means["?"]}
        hints = (
            say("for example {example}", example=example) if example else "",
            *(say("{key}: {meaning}", key=key, meaning=meaning) for key, meaning in means.items() if meaning),
        )
        found = joined(hints, "; ")
        return (say("[{hints}]", hints=found),) if found else ()

    def _meaning(self, answer: Answer | None) -> str:
        if answer is None:
            return ""
        return answer.note or (answer.value if isinstance(answer.value, str) else "")

    def _told(self, answer: Answer) -> Answer:
        if meaning := self._meaning(answer):
            self.tell(say("  -> {note}", note=meaning))
        return answer

    def _answer(self, text: str) -> str:
        if self.terminal:
            return str(click.prompt("", default="", show_default=False, prompt_suffix="> ", err=True)).strip()
        try:
            line = "" if sys.stdin is None or sys.stdin.closed else sys.stdin.readline(_LONGEST)
        except UnicodeDecodeError:
            wrong, write = say("this is not UTF-8 text"), say("save it again as UTF-8")
            raise Problems([Problem(say("standard input"), self._line + 1, "", wrong, write)]) from None
        self._line += 1
        if not line:
            wrong = say("the answers end before this question: {question}", question=text)
            raise Problems([Problem(say("standard input"), self._line, "", wrong, say("nothing was written"))])
        self.tell(joined(("> ", line.strip()), ""))
        return line.strip()
