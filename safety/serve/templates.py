"""Pages from their templates: every word through the catalogue, every value escaped."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path
from secrets import token_hex
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from safety.render import text_safe
from safety.render.svg import ghs_sign, mandatory_sign
from safety.words import say, spoken, term

HERE = Path(__file__).parent
STATIC = HERE / "static"
FONTS = HERE.parent / "data" / "fonts"

#: What a page may ask for by name, and its kind.
FILES: Mapping[str, tuple[Path, str]] = {
    "serve.css": (STATIC / "serve.css", "text/css"),
    "serve.js": (STATIC / "serve.js", "text/javascript"),
    "worker.js": (STATIC / "worker.js", "text/javascript"),
    "icon.svg": (STATIC / "icon.svg", "image/svg+xml"),
    "condensed.ttf": (FONTS / "DejaVuSansCondensed.ttf", "font/ttf"),
    "condensed-bold.ttf": (FONTS / "DejaVuSansCondensed-Bold.ttf", "font/ttf"),
}

#: Stands in the address of every file of ours, so that a browser keeps it until it changes.
BUILD = hashlib.sha256(b"".join(path.read_bytes() for path, _ in FILES.values())).hexdigest()[:12]


def static(name: str) -> str:
    return f"/static/{BUILD}/{name}" if name in FILES else ""


def tabs() -> list[tuple[str, str, str, str]]:
    """The pages for a desk: name, address, word, and whose it is."""
    return [
        ("review", "/review", say("Review"), "desk"),
        ("month", "/month", say("Month"), "desk"),
        ("stock", "/stock", say("Stock"), "desk"),
        ("files", "/files", say("Files"), "desk"),
    ]


def worker() -> str:
    """The script that keeps pages on the tablet, with the names of our own files of this build."""
    names = '", "'.join(static(name) for name in FILES)
    text = (STATIC / "worker.js").read_text("utf-8")
    return text.replace("/static/BUILD/NAMES", names).replace("BUILD", BUILD)


def _plain(value: object) -> object:
    """A value as it may stand in a page: no sign of it steers, hides or reorders what is read."""
    return text_safe(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def environment() -> Environment:
    """What the templates are read with."""
    made = Environment(
        loader=FileSystemLoader(HERE / "pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_plain,
    )
    made.globals.update(tabs=tabs)
    made.globals.update(say=say, term=term, static=static, spoken=spoken, fresh_key=lambda: f"d-{token_hex(8)}")
    made.globals.update(sign=lambda topic: Markup(mandatory_sign(topic)), hazard=lambda code: Markup(ghs_sign(code)))
    return made


_PAGES = environment()


def page(name: str, **values: Any) -> str:
    """A page by the name of its template."""
    return _PAGES.get_template(name).render(values)
