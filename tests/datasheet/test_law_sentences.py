"""Every hazard statement of the law in words, without its code, is read as that code.

Source: Regulation (EC) No 1272/2008, Annex III, in English, Spanish and German, as safety_protection has it. Before,
"Toxic if swallowed, in contact with skin or if inhaled" was H301 alone, "Se sospecha que puede dañar al feto" was H360D,
and no German sentence was read at all.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import safety_protection
import tomli

from safety.datasheet.statements import statement_codes

#: Explosives, and what asks for nothing: no product of these jobs, and no hazard.
_LEFT_OUT = re.compile(r"H20\d|EUH210|EUH401")


def sentences() -> list[tuple[str, str]]:
    found = []
    for language in ("en", "es", "de"):
        path = Path(safety_protection.__file__).parent / "data" / f"statements-{language}.toml"
        texts = tomli.loads(path.read_text(encoding="utf-8"))["statements"]
        found += [(code, text) for code, text in texts.items() if not re.match(r"P\d", code)]
    return [(code, text) for code, text in found if not _LEFT_OUT.match(code)]


@pytest.mark.parametrize(("code", "text"), sentences())
def test_a_sentence_of_the_law_is_read_as_its_code(code: str, text: str) -> None:
    printed = re.sub(r"<[^>]*>", "Stoff X" if code == "EUH208" else "", text)
    read = [one for found in statement_codes(printed) for one in taken_apart(found)]
    assert sorted(read) == sorted(taken_apart(code))


def taken_apart(code: str) -> list[str]:
    """Two statements in one sentence each, such as H360Fd, are two codes; so are combined ones."""
    both = {"H360FD": ["H360F", "H360D"], "H360Fd": ["H360F", "H361d"], "H360Df": ["H360D", "H361f"]}
    return {**both, "H361fd": ["H361f", "H361d"]}.get(code, code.split("+"))


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("Suspected of damaging the unborn child. May cause cancer.", ["H361d", "H350"]),
        ("Causa irritación cutánea. Líquido y vapores altamente inflamables.", ["H315", "H225"]),
        ("Se sospecha que puede dañar al feto.", ["H361d"]),
        ("Gesundheitsschädlich bei Einatmen oder bei Verschlucken", ["H302", "H332"]),
        ("Nocivo si se inhala o en contacto con la piel", ["H312", "H332"]),
        ("Toxic if inhaled, in contact with skin and if swallowed", ["H301", "H311", "H331"]),
        ("Kann die Organe schädigen (Zentralnervensystem) bei längerer oder wiederholter Exposition.", ["H373"]),
        ("Dieses Produkt ist nicht giftig. Wasserorganismen leben lange.", []),
    ],
)
def test_other_words_for_it(text: str, codes: list[str]) -> None:
    assert sorted(statement_codes(text)) == sorted(codes)
