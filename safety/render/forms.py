"""A page as text or as JSON: what is printed, and what is kept of it for good."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from safety.model import LogReport, Report

Form = Literal["text", "json"]


def sheet(report: Report, form: Form, full: bool = False) -> str:
    """The sheet as text or JSON, ending in a line break. JSON is always ``full``."""
    if form == "text":
        from safety.render import text

        return text.sheet(report, full)
    from safety.render import records

    return _json(records.sheet(report))


def log(report: LogReport, form: Form, every: bool = False) -> str:
    """The log as text or JSON, ending in a line break; as text with ``every`` however many records it has."""
    if form == "text":
        from safety.render import log_text

        return log_text.log(report, every)
    from safety.render import log_records

    return _json(log_records.log(report))


def _json(record: dict[str, Any]) -> str:
    return json.dumps(record, ensure_ascii=False, allow_nan=False, indent=2) + "\n"
