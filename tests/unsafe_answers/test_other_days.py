"""A sheet could only be asked for by the rules of its own day, and nobody could ask which jobs a new law touches.

The use of N,N-dimethylacetamide stands under a level from 2026-12-23 on (REACH Annex XVII, entry 80). A job of the
first of December was printed with a word of it; what it would be after the day could be seen only by writing another
start into its file, job by job.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from pypdfium2 import PdfDocument

from safety.compare.impact import Changed, compared, impact
from safety.frozen.pages import findings_of
from safety.model import Finding, Report
from safety.problems import Problems
from safety.render import impact as render
from safety.render import is_pdf
from safety.render.impact_pdf import pdf
from safety.workplace import Workplace
from tests.unsafe_answers.shops import write_shop
from tests.unsafe_answers.test_restrictions import JOB, PRODUCT, SHOP

LATER = date(2027, 1, 15)
USE = '\n[[step.use]]\nproduct = "{product}"\nwork = "wipe"\namount = "500 mL"\narea = "2 m^2"\n'


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    day = date(2026, 12, 1)
    part = 'cas = "{}"\nweight = "100 %"'
    return write_shop(
        tmp_path_factory.mktemp("days") / "shop",
        SHOP.format(pack="eu", least=0.3, most=0.5, more=""),
        {
            "dmac": PRODUCT.format(id="dmac", hazards='hazards = ["H360"]', part=part.format("127-19-5")),
            "ethanol": PRODUCT.format(id="ethanol", hazards='hazards = ["H225"]', part=part.format("64-17-5")),
        },
        {
            "work": JOB.format(day=day) + USE.format(product="dmac"),
            "other": JOB.format(day=day).replace('"work"', '"other"') + USE.format(product="ethanol"),
        },
    )


def _law(report: Report) -> Finding:
    (found,) = [f for f in report.findings if f.key == "restricted-reach-xvii-80"]
    return found


def test_a_sheet_by_the_rules_of_another_day(shop: Path) -> None:
    workplace = Workplace.open(shop)
    now = workplace.assess("work", draws=60)
    then = workplace.as_of(LATER).assess("work", draws=60)
    assert "From 2026-12-23." in _law(now).statement
    assert _law(now).level == "note"
    assert _law(then).level != "note", "by the rules of the day it was asked for the law holds"
    assert then.asked.as_of == LATER
    assert then.job.start == now.job.start


def test_which_jobs_a_day_touches(shop: Path) -> None:
    workplace = Workplace.open(shop)
    found = impact(workplace, workplace.files.all("job"), Changed(LATER), draws=60, processes=1)
    touched = {one.job for one in found if one.touched}
    assert touched == {"work"}, "the law says nothing of ethanol"
    (one,) = [one for one in found if one.touched]
    assert "restricted-reach-xvii-80" in {verdict.key for verdict in one.verdicts}
    table = render.table(found)
    assert render.is_table(table)
    assert not render.is_table(table.replace(b"wipe", b"soak") + b"x"), "a file somebody changed is not written over"
    # there was no page of it to hand on: the table could be read at a desk only
    title = render.title(LATER, (), "")
    page = pdf(found, title, workplace.shop, 60)
    assert is_pdf("impact", page)
    assert page == pdf(found, title, workplace.shop, 60)
    words = "".join(one.get_textpage().get_text_range() for one in PdfDocument(page))
    (job,) = [one for one in found if one.touched]
    for said in ("1 of 2 jobs are touched", "2027-01-15", job.title, "Not touched", "60 draws"):
        assert said in words, said


def test_a_pack_that_is_not_there_is_a_mistake_before_anything_is_computed(shop: Path) -> None:
    workplace = Workplace.open(shop)
    with pytest.raises(Problems, match="nowhere"):
        impact(workplace, workplace.files.all("job"), Changed(rules=("nowhere",)), draws=60, processes=1)


def test_another_edition_of_a_product(shop: Path, tmp_path: Path) -> None:
    other = tmp_path / "ethanol.toml"
    other.write_text((shop / "products" / "ethanol.toml").read_text().replace("H225", "H334"), encoding="utf-8")
    workplace = Workplace.open(shop)
    found = impact(workplace, workplace.files.all("job"), Changed(edition=other), draws=60, processes=1)
    (one,) = [one for one in found if one.touched]
    assert one.job == "other"
    assert "allergy-ethanol" in {verdict.key for verdict in one.verdicts}
    strange = tmp_path / "strange.toml"
    strange.write_text(other.read_text(encoding="utf-8").replace('"ethanol"', '"ethanal"'), encoding="utf-8")
    with pytest.raises(Problems, match='no product "ethanal"'):
        impact(workplace, workplace.files.all("job"), Changed(edition=strange), draws=60, processes=1)


def test_one_of_several_like_findings_is_not_lost_behind_the_others() -> None:
    """Two neighbouring places have a finding of one key each in a step: only the last of them was looked at."""

    def sheet(*around: str) -> Any:
        def one(text: str) -> Finding:
            return Finding("stop" if text else "note", "fire", text, text, "ignition", 0, key="fire-around")

        job = SimpleNamespace(id="a", title="A", steps=(SimpleNamespace(name="Wipe"),))
        report = SimpleNamespace(job=job, complete=True, findings=tuple(map(one, around)))
        return SimpleNamespace(report=report, stops=1, worst=None)

    (verdict,) = compared(sheet("", "burns"), sheet("flares", "burns")).verdicts
    assert (verdict.key, verdict.step, verdict.after) == ("fire-around", "Wipe", "flares")
    kept = {"findings": [{"plugin": "ignition", "key": "fire-around", "step_number": 1, "short": s} for s in "ab"]}
    assert [one["short"] for one in findings_of(kept).values()] == ["a", "b"]
