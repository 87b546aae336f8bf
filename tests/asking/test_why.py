"""hazstep why: a person holding the paper can ask every figure down to file, line and published source."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety import assessment, why
from safety.cited import Cited
from safety.cli import main
from safety.formulas import catalogue
from safety.model import Figure, Given, Report
from safety.workplace import assess_job
from tests import demo
from tests.demo import SHOP as DEMO


@pytest.fixture(scope="module")
def report() -> Report:
    return demo.report("boot-replacement")


def test_every_finding_has_one_reference(report: Report) -> None:
    known = why.references(report)
    assert list(known.values()) == sorted(report.findings, key=lambda f: report.findings.index(f))
    for reference, finding in known.items():
        step = int(reference.partition(".")[0])
        assert finding.step == (step - 1 if step else None)


def test_an_air_figure_goes_down_to_files_data_and_sources(report: Report) -> None:
    reference, finding = next(
        (r, f) for r, f in why.references(report).items() if f.topic == "air" and f.step == 5 and f.figures
    )
    text = "\n".join(why.explain(report, reference, finding).lines())
    for words in (
        "by ppm_from_mass: ppm =",
        "jobs/boot-replacement.toml:",
        "products/bond-primer.toml:",
        "shop.toml:",
        "our assumption, no published source",
        "NIOSH Pocket Guide",
        "middle estimate",
        "draws and seed: 60, seed 1",
    ):
        assert words in text


def test_the_line_named_holds_the_value_named(report: Report) -> None:
    reference, finding = next((r, f) for r, f in why.references(report).items() if f.topic == "air" and f.step == 5)
    text = "\n".join(why.explain(report, reference, finding).lines())
    places = re.findall(r": (\d[^(\n]*?) \(?[^(\n]*\((\S+\.toml):(\d+), ([\w.-]+)\)$", text, re.M)
    assert len(places) >= 5
    for _, file, line, keys in places:
        written = (DEMO / file).read_text("utf-8").splitlines()[int(line) - 1]
        last = keys.rpartition(".")[2]
        assert last in written or written.startswith("[["), (file, line, keys, written)


@pytest.mark.parametrize(
    ("key", "file", "named"),
    [
        ("", "shop.toml", "place.1.temperature"),
        ("job", "jobs/example-cleaning.toml", "job.temperature"),
        ("step", "jobs/example-cleaning.toml", "step.1.temperature"),
    ],
)
def test_the_temperature_names_the_line_it_was_read_from(tmp_path: Path, key: str, file: str, named: str) -> None:
    assert CliRunner().invoke(main, ["new", str(tmp_path / "shop")]).exit_code == 0
    job = tmp_path / "shop" / "jobs" / "example-cleaning.toml"
    table = {"job": "[job]", "step": "[[step]]"}.get(key)
    if table:
        job.write_text(job.read_text("utf-8").replace(table, f'{table}\ntemperature = "31 degC"', 1), "utf-8")
    made = assess_job(job, draws=60)
    reference, finding = next((r, f) for r, f in why.references(made).items() if f.topic == "air" and f.step == 0)
    text = "\n".join(why.explain(made, reference, finding).lines())
    assert re.search(rf"temperature: .*\({re.escape(file)}:\d+, {re.escape(named)}\)", text)


def test_a_flash_point_names_the_line_of_the_product_it_was_read_from(report: Report) -> None:
    told = [
        "\n".join(why.explain(report, reference, finding).lines())
        for reference, finding in why.references(report).items()
        if finding.key == "fire-zone"
    ]
    assert told
    named = r"flash point of the product: .* \(products/[\w-]+\.toml:\d+, product\.flash_point\)"
    assert all(re.search(named, text) for text in told if "margin below the flash point" in text)
    assert any("margin below the flash point" in text for text in told)


def test_a_figure_of_one_step_is_not_called_a_shift_average(report: Report) -> None:
    for _, finding in why.references(report).items():
        if finding.topic == "air" and finding.step is not None:
            assert not any("shift average" in figure.name for figure in finding.figures), finding.key


def test_every_figure_of_every_demo_sheet_can_be_explained() -> None:
    for job in demo.JOBS:
        made = demo.report(job)
        for reference, finding in why.references(made).items():
            lines = list(why.explain(made, reference, finding).lines())
            assert lines[0].startswith(f"[{reference}] ")
            for leaf in _leaves(finding.figures):
                assert not isinstance(leaf, (list, dict)), leaf


def _leaves(figures: tuple[Figure, ...]) -> list[object]:
    out: list[object] = []
    for figure in figures:
        for _, value in figure.inputs:
            out += _leaves((value,)) if isinstance(value, Figure) else [value]
    return out


def test_what_was_explained_is_not_explained_again() -> None:
    source = Cited(
        1.0, "1", "1", next(iter(assessment.reference.load((), Path(), assessment.date.min).sources())), "p. 1"
    )
    inner = Figure("inner", 2.0, "ppm", inputs=(("datum", source),))
    outer = Figure("outer", 4.0, "ppm", inputs=(("first", inner), ("second", inner)))
    lines = list(why._figure(outer, why._Files(Path()), set(), catalogue()).lines())
    assert [("as above" in line) for line in lines if "inner" in line] == [False, True]


def test_a_file_that_has_gone_is_still_named(tmp_path: Path) -> None:
    assert (
        why._place(Given("jobs/gone.toml", ("job", "start"), ""), why._Files(tmp_path)) == "jobs/gone.toml, job.start"
    )


def test_the_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(DEMO, tmp_path / "shop")
    monkeypatch.chdir(tmp_path / "shop")
    runner = CliRunner()
    listed = runner.invoke(main, ["why", "laminate-wipe-down"])
    assert listed.exit_code == 0
    first = listed.stdout.split()[0]
    told = runner.invoke(main, ["why", "laminate-wipe-down", first, "--format", "json"])
    assert json.loads(told.stdout)[0]["text"].startswith(f"[{first}]")
    whole_step = runner.invoke(main, ["why", "laminate-wipe-down", "1"])
    assert whole_step.stdout.count("\n[1.") + whole_step.stdout.startswith("[1.") >= 6
    wrong = runner.invoke(main, ["why", "laminate-wipe-down", "1.99"])
    assert wrong.exit_code == 2
    assert wrong.stderr.startswith("1.99: the sheet has no such reference; ")
    assert wrong.stdout == ""
