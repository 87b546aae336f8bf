"""Nothing is decided by the letters of a text for people: nobody cuts it, searches it or writes it anew.

Cards cut sentences at "; ", comparisons took translated words off their ends, the table of planned solvent looked how
names begin. So texts are watched while everything that can be printed is made: by what is done to them, so that no new
name for a helper hides it. What sets letters on a page first makes plain ones of a text (``str``).
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from safety import render, words
from safety.assessment import assess
from safety.cli import label
from safety.compare import compare, propose, read_alternatives
from safety.day import assess_day
from safety.logbook import make_log
from safety.model import Period, Product, Step
from safety.render import compare as comparison
from safety.render import day, day_pdf, forms, log_pdf
from safety.words import LANGUAGES, Message, Text, joined, say, speaking, speech
from safety.workplace import Workplace

DRAWS = 60
#: Of ``str``, all that looks into a text or makes another one of it. To join, to compare and to encode texts is no cut.
CUTS = (
    *("capitalize", "casefold", "center", "count", "endswith", "expandtabs", "find", "index", "isalnum", "isalpha"),
    *("isdecimal", "isdigit", "islower", "isnumeric", "isspace", "istitle", "isupper", "ljust", "lower", "lstrip"),
    *("partition", "removeprefix", "removesuffix", "replace", "rfind", "rindex", "rjust", "rpartition", "rsplit"),
    *("rstrip", "split", "splitlines", "startswith", "strip", "swapcase", "title", "translate", "upper", "zfill"),
    *("__contains__", "__getitem__", "__add__", "__mod__", "__mul__", "__le__", "__ge__"),
)

#: Where plain letters may be made of a text: where texts are said, and where they are set on a page.
DOOR, EDGE = Path(words.__file__), Path(render.__file__).parent
OURS = {"safety", "plugins"}


@pytest.fixture
def cuts(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Where a text for people was cut. It is noted and not raised: a plugin that raises would only be named."""
    found: list[str] = []

    def watched(name: str) -> Callable[..., Any]:
        plainly = getattr(str, name)

        def cut(self: str, *args: Any, **more: Any) -> Any:
            caller = sys._getframe(1)
            found.append(f"{caller.f_code.co_filename}:{caller.f_lineno}: {name} of {str(self)!r}")
            return plainly(self, *args, **more)

        return cut

    def plain(self: str) -> str:
        caller = sys._getframe(1)
        file = Path(caller.f_code.co_filename)
        if OURS & {*file.parts} and not (file == DOOR or EDGE in file.parents):
            found.append(f"{file}:{caller.f_lineno}: letters of {str.__str__(self)!r}")
        return str.__str__(self)

    for kind in (Message, Text):
        for name in CUTS:
            monkeypatch.setattr(kind, name, watched(name), raising=False)
        monkeypatch.setattr(kind, "__str__", plain, raising=False)
    return found


@pytest.mark.parametrize("language", LANGUAGES)
def test_nobody_cuts_a_text_while_all_is_printed(shop: Path, cuts: list[str], language: str) -> None:
    workplace = Workplace.open(shop)
    jobs = [shop / "jobs" / f"{name}.toml" for name in ("laminate-wipe-down", "floor-adhesive-removal")]
    with speaking(speech(language)):
        reports = assess_day(workplace, jobs, draws=DRAWS)
        assert not any(report.failures for report in reports)
        for report in reports:
            assert forms.sheet(report, "text", full=True)
            assert json.loads(forms.sheet(report, "json"))["findings"]
        assert day.overview(reports)
        assert day.record(reports)
        assert day_pdf.day(reports)
        log = make_log(workplace, Period("2026-10", "2026-10"))
        assert forms.log(log, "text")
        assert forms.log(log, "json")
        assert log_pdf.log(log)
        if language == "en":  # what is compared is put together alike in every language, and takes long to compute
            alternatives = read_alternatives(["job.crew=2"], jobs[0], workplace.planned(jobs[:1])[0].job)
            outcomes = compare(workplace, jobs[0], alternatives, draws=DRAWS)
            assert comparison.table(outcomes)
            assert comparison.record(outcomes)
            assert comparison.proposals(propose(workplace, jobs[0], draws=DRAWS))
        container = workplace.shop.containers[0].id
        for form in ("text", "json"):
            done = CliRunner().invoke(label.command, [container, "--shop", str(shop), "--format", form])
            assert done.exit_code in (0, 3), done.output
    assert sorted(set(cuts)) == []


def test_a_cut_is_seen_whatever_it_is_called_by(cuts: list[str]) -> None:
    """The watch itself: a method taken from the class of texts, a slice, a search by an operator."""
    text = say("{what} first", what="gloves")
    cut = text.partition
    cut(" ")
    assert "gloves" in joined((text, text))
    assert text[:3] == "glo"
    assert [one.rsplit(": ", 1)[1].split()[0] for one in cuts] == ["partition", "__contains__", "__getitem__"]
    assert f"{text}, {', '.join([text])}".split() == ["gloves", "first,", "gloves", "first"]
    assert len(cuts) == 3


def test_nobody_looks_into_what_a_shop_types_for_people(shop: Path, cuts: list[str]) -> None:
    """A product's role, a container's stream, a leftover's name: words in them decided what may meet and what is waste."""
    (one,) = Workplace.open(shop).planned([shop / "jobs" / "laminate-wipe-down.toml"])

    def product(of: Product) -> Product:
        return replace(of, role=say("{words}", words=of.role))

    def step(of: Step) -> Step:
        uses = tuple(replace(use, product=product(use.product)) for use in of.uses)
        wet = tuple(
            replace(left, what=say("{words}", words=left.what), product=product(left.product)) for left in of.leaves_wet
        )
        return replace(of, uses=uses, leaves_wet=wet)

    yard = replace(
        one.job.shop,
        products={key: product(of) for key, of in one.job.shop.products.items()},
        containers=tuple(replace(c, stream=say("{words}", words=c.stream)) for c in one.job.shop.containers),
    )
    job = replace(one.job, shop=yard, steps=tuple(map(step, one.job.steps)))
    report = assess(job, one.reference, one.plugins, draws=DRAWS)
    assert not report.failures
    assert sorted(set(cuts)) == []
