"""What a report looks like: one arrangement of it, and the three forms it is handed out in.

``arrange`` turns a report into words in order; ``text``, ``records`` and ``pdf`` only set
them, so that all three say the same. ReportLab is imported in this folder and nowhere else.
"""

from __future__ import annotations

import unicodedata

# Joiners that some scripts need to be spelt right; every other format character can hide or reorder text.
_JOINERS = "\u200c\u200d"


def keyword(kind: str) -> str:
    """What stands among the keywords of a PDF of ours, by which a later one of its kind knows it."""
    return f"hazstep {kind}"


def is_pdf(kind: str, content: bytes) -> bool:
    """Whether a file is a PDF of ours of this kind, and nobody has signed it or written on it since."""
    return (
        content.startswith(b"%PDF-")
        and f"/Keywords ({keyword(kind)})".encode() in content
        and b"/Producer (ReportLab " in content  # another program keeps the keywords of what it was given
        and content.count(b"startxref") == 1  # each change is added at the end, with one of its own
        and content.rstrip().endswith(b"%%EOF")
    )


def text_safe(text: object) -> str:
    """Return ``text`` as one line of plain printable characters.

    Control characters, line breaks, direction overrides and lone surrogates are taken out, so
    that a name in a file can neither steer a terminal nor reorder or hide what is printed.
    """
    shown = []
    for character in str(text):
        category = unicodedata.category(character)
        if category in ("Cc", "Zl", "Zp"):
            shown.append(" ")
        elif category[0] != "C" or character in _JOINERS:
            shown.append(character)
    return " ".join("".join(shown).split())
