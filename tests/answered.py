"""What a plugin's ``assess`` hands back, parted: judgements, and the tables and charts that belong to them."""

from __future__ import annotations

from collections.abc import Iterable

from safety.model import Block, Finding


def findings(answer: Iterable[Finding | Block]) -> list[Finding]:
    return [one for one in answer if isinstance(one, Finding)]


def blocks(answer: Iterable[Finding | Block]) -> list[Block]:
    return [one for one in answer if not isinstance(one, Finding)]
