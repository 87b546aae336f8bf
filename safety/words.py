"""Words shown to people: one door, so that every sentence can be translated."""

from __future__ import annotations


def say(template: str, **fields: object) -> str:
    """Return the sentence ``template`` with its ``{fields}`` filled in.

    The template, not the filled sentence, is what a message catalogue holds, so write
    ``say("Change gloves at {time}", time=...)`` and never an f-string.
    """
    return template.format(**fields)
