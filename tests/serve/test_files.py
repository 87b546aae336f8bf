"""Forms of the shop's files: one line changes, comments stay, and nobody's change is lost."""

from __future__ import annotations

import hashlib
import re
import shutil
from html import unescape
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import main
from safety.files.toml import open_document
from safety.serve import forms
from safety.serve.desk import Desk
from tests import demo
from tests.serve.inside import Browser, desk_of

BEGAN = "/files/shop/shop/shop"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    shutil.copytree(demo.SHOP, folder, ignore=shutil.ignore_patterns("__pycache__", "logs", "sheets", "data-sheets"))
    return folder


@pytest.fixture
def desk(folder: Path) -> Desk:
    return desk_of(folder, lambda: 1_796_100_000.0)


@pytest.fixture
def officer(desk: Desk) -> Browser:
    one = Browser(desk)
    assert one.named("Officer 1") == 303
    return one


def filled(one: Browser, path: str, **other: str) -> dict[str, str]:
    """The form of a page as a browser would send it, with some fields filled in otherwise."""
    assert one.get(path) == 200
    fields = dict(re.findall(r'<input type="text" id="f-[^"]*" name="(f-[^"]*)" value="([^"]*)"', one.body))
    for name, options in re.findall(r'<select id="f-[^"]*" name="(f-[^"]*)".*?>(.*?)</select>', one.body, re.S):
        fields[name] = next(iter(re.findall(r"<option selected>([^<]*)", options)), "")
    fields |= dict(re.findall(r'<textarea id="f-[^"]*" name="(f-[^"]*)"[^>]*>\n(.*?)</textarea>', one.body, re.S))
    fields["read"] = re.findall(r'name="read" value="(\w+)"', one.body)[0]
    return {name: unescape(value) for name, value in fields.items()} | {f"f-{k}": v for k, v in other.items()}


def check(folder: Path) -> int:
    return CliRunner().invoke(main, ["check", str(folder)]).exit_code


def test_one_line_changes_and_its_comment_stays(officer: Browser, folder: Path) -> None:
    before = (folder / "shop.toml").read_bytes().decode()
    assert "2025-12-01" in before
    form = filled(officer, BEGAN, began="2025-11-01")
    assert officer.post(BEGAN, {**form, "do": "look"}) == 200
    assert "Lines that change: 2" in officer.text
    assert (folder / "shop.toml").read_bytes().decode() == before, "looking wrote"
    assert officer.post(BEGAN, {**form, "do": "save"}) == 303
    after = (folder / "shop.toml").read_bytes().decode()
    differ = [(a, b) for a, b in zip(before.split("\n"), after.split("\n"), strict=True) if a != b]
    assert [(a.replace("2025-12-01", "2025-11-01"), b) for a, b in differ] == [(b, b) for _, b in differ]
    assert len(differ) == 1
    assert "#" in differ[0][1], "the comment behind it"
    assert check(folder) == 0


def test_a_blank_behind_a_date_stays(officer: Browser, folder: Path) -> None:
    """A change of one line took the blank before the bracket out of every other line that ends in a date."""
    before = (folder / "shop.toml").read_bytes().decode()
    assert "2026-02-03 }" in before
    form = filled(officer, BEGAN, began="2025-11-01")
    assert officer.post(BEGAN, {**form, "do": "save"}) == 303
    after = (folder / "shop.toml").read_bytes().decode()
    assert after.count("2026-02-03 }") == before.count("2026-02-03 }")


def test_a_value_without_a_unit_has_the_words_of_check_and_is_not_kept(officer: Browser, folder: Path) -> None:
    path = "/files/shop/shop/place.0"
    before = (folder / "shop.toml").read_bytes()
    form = filled(officer, path, volume="2400")
    officer.post(path, {**form, "do": "look"})
    words = unescape(re.findall(r'id="w-volume" data-live>([^<]*)<', officer.body)[0])
    copy = folder.parent / "copy"
    shutil.copytree(folder, copy)
    text = (copy / "shop.toml").read_text()
    (copy / "shop.toml").write_text(text.replace('volume = "2400 m^3"', "volume = 2400"))
    said = CliRunner().invoke(main, ["check", str(copy)]).output
    assert words
    assert words in said
    assert re.search(r'value="save" disabled', officer.body)
    assert officer.post(path, {**form, "do": "save"}) == 400
    assert (folder / "shop.toml").read_bytes() == before


def test_another_hand_is_not_overwritten(officer: Browser, folder: Path) -> None:
    form = filled(officer, BEGAN, began="2025-11-01")
    other = (folder / "shop.toml").read_text() + "\n# written meanwhile\n"
    (folder / "shop.toml").write_text(other)
    assert officer.post(BEGAN, {**form, "do": "save"}) == 409
    assert "Somebody has changed this file" in officer.text
    assert "began = 2025-11-01" in officer.text, "what was typed is not lost"
    assert (folder / "shop.toml").read_text() == other


def test_a_file_that_changes_while_it_is_written_is_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "shop.toml"
    file.write_text("a = 1\n")
    assert not forms.write(file, "a = 0\n", "a = 2\n")
    assert file.read_text() == "a = 1\n"
    assert [path.name for path in tmp_path.iterdir()] == ["shop.toml"]


def test_a_job_is_made_from_an_earlier_one(officer: Browser, folder: Path) -> None:
    officer.get("/files/jobs/boot-replacement")
    new = {"id": "boot-again", "title": "Replace the other boot"}
    assert officer.post("/files/jobs/boot-replacement/copy", new) == 303
    assert officer.headers["location"] == "/files/jobs/boot-again"
    old, made = (open_document(folder / "jobs" / f"{id}.toml") for id in ("boot-replacement", "boot-again"))
    assert made.data == {**old.data, "job": {**old.data["job"], **new}}
    assert [line for line in made.text.splitlines() if "#" in line] == [
        line for line in old.text.splitlines() if "#" in line
    ]
    assert check(folder) == 0
    officer.get("/files/jobs/boot-replacement")
    assert officer.post("/files/jobs/boot-replacement/copy", new) == 409, "never over anything"
    officer.get("/files/jobs/boot-replacement")
    assert officer.post("/files/jobs/boot-replacement/copy", {"id": "../out", "title": "x"}) == 400
    assert not (folder / "out.toml").exists()


def test_a_table_is_added_and_taken_out_again(officer: Browser, folder: Path) -> None:
    gloves = len(open_document(folder / "shop.toml").data["glove"])
    path = f"/files/shop/shop/glove.{gloves}"
    form = filled(officer, path, id="thin", name="Thin glove", material="nitrile", thickness="0.1 mm")
    assert officer.post(path, {**form, "do": "save"}) == 303
    added = open_document(folder / "shop.toml").data["glove"]
    assert (len(added), added[-1]["id"]) == (gloves + 1, "thin")
    assert check(folder) == 0
    form = filled(officer, path)
    assert officer.post(f"{path}/out", {"read": form["read"]}) == 303
    assert len(open_document(folder / "shop.toml").data["glove"]) == gloves


@pytest.mark.parametrize(
    "path",
    ["/files/shop/other", "/files/rules/shop", "/files/jobs/..%2fshop", "/files/jobs/%2e%2e", "/files/shop/shop/job",
     "/files/shop/shop/place.99", "/files/shop/shop/place.-1", "/files/shop/shop/place.0.air.zero",
     "/files/products/nothing"],
)  # fmt: skip
def test_what_is_no_file_and_no_table_is_no_page(officer: Browser, path: str) -> None:
    assert officer.get(path) == 404


def test_a_link_that_leads_out_of_the_shop_is_no_file_of_it(officer: Browser, folder: Path) -> None:
    outside = folder.parent / "outside.toml"
    outside.write_text((folder / "products" / "acetone.toml").read_text())
    (folder / "products" / "acetone.toml").unlink()
    (folder / "products" / "acetone.toml").symlink_to(outside)
    assert officer.get("/files/products/acetone") == 404


def test_code_and_the_ledger_are_named_at_the_machine_alone(officer: Browser) -> None:
    form = filled(officer, BEGAN, plugins='["x.py"]', ledger="elsewhere.db")
    assert officer.post(BEGAN, {**form, "do": "save"}) == 400, "nothing that may be changed was"


def test_the_office_keeps_products_and_a_technician_nothing(desk: Desk) -> None:
    office, tech = Browser(desk), Browser(desk)
    office.named("Office 1")
    tech.named("Tech 1")
    assert office.get("/files/products/acetone") == 200
    assert office.get("/files/shop/shop") == 403
    assert tech.get("/files") == 403


def test_yes_and_no_are_written_as_the_file_has_them(folder: Path) -> None:
    text = (folder / "products" / "acetone.toml").read_text()
    text = text.replace("[product]\n", "[product]\nnot_classified = true\n", 1)
    (field,) = [one for one in forms.fields("products", text, ("product",)) if one.key == "not_classified"]
    assert (field.value, field.choices) == ("true", ("true", "false"))
    after = forms.changed("products", text, ("product",), {"not_classified": "false"})
    assert after == text.replace("not_classified = true", "not_classified = false")


def test_a_form_confirms_nothing(folder: Path) -> None:
    text = (folder / "products" / "acetone.toml").read_text().replace("[product]\n", "[product]\ndraft = true\n", 1)
    assert forms.changed("products", text, ("product",), {"draft": "", "confirmed": "me, 2026-12-01"}) == text


def all_files() -> list[tuple[str, Path]]:
    kinds = [("shop", demo.SHOP / "shop.toml")]
    return kinds + [(kind, path) for kind in ("products", "jobs") for path in sorted((demo.SHOP / kind).glob("*.toml"))]


@pytest.mark.parametrize(("kind", "path"), all_files(), ids=lambda one: getattr(one, "stem", one))
def test_a_form_that_is_sent_as_it_was_shown_changes_nothing(kind: str, path: Path) -> None:
    text = forms.read(path)
    before = hashlib.sha256(text.encode()).hexdigest()
    for part in forms.parts(kind, open_document(path).data)[::5]:
        given = {one.key: one.value for one in forms.fields(kind, text, part.at)}
        assert forms.hashed(forms.changed(kind, text, part.at, given)) == before
