"""A file that is not read at all: one sentence says why and what to do."""

from __future__ import annotations


class Refused(Exception):
    """``str()`` of it is the sentence, without the name of the file."""
