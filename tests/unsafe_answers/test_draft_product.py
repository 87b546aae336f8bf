"""What the program read from a data sheet is believed by nobody until a person has confirmed it."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import main
from safety.files.reading import read_shop
from safety.problems import Problems
from tests.unsafe_answers.shops import sheet, write_shop
from tests.unsafe_answers.test_books import PRODUCT
from tests.unsafe_answers.test_dangerous_levels import JOB
from tests.unsafe_answers.test_defaults import SHOP

WASH = PRODUCT.format(hazards='hazards = ["H225", "H319", "H336"]')
DRAFT = WASH.replace("[product]\n", "[product]\n# compared by nobody yet\ndraft = true # see the list\n", 1)


def shop(folder: Path, product: str) -> Path:
    return write_shop(
        folder / "shop", SHOP, {"wash": product}, {"job": JOB.format(amount="100 mL", area=0.5, minutes=10)}
    )


def confirmed(folder: Path, *more: str, who: str = "R. Vale") -> tuple[int, str]:
    result = CliRunner().invoke(main, ["confirm", "wash", "--who", who, "--shop", str(folder), *more])
    return result.exit_code, result.output


def test_a_sheet_with_a_draft_is_incomplete_and_says_so(tmp_path: Path) -> None:
    """A draft was believed like a file that somebody had written: the sheet was whole."""
    report = sheet(shop(tmp_path, DRAFT), "job")
    said = [sentence for sentence in report.missing if "draft" in sentence]
    assert said
    assert "hazstep confirm wash" in said[0]
    assert not report.complete
    whole = sheet(shop(tmp_path / "other", WASH), "job")
    assert [sentence for sentence in report.missing if sentence not in whole.missing] == said


def test_a_name_and_a_day_take_the_place_of_the_line(tmp_path: Path) -> None:
    folder = shop(tmp_path, DRAFT)
    code, said = confirmed(folder)
    assert (code, "R. Vale" in said) == (0, True)
    text = (folder / "products" / "wash.toml").read_text(encoding="utf-8")
    before, after = DRAFT.split("draft = true # see the list\n")
    assert text.startswith(before + 'confirmed = "R. Vale, 2')
    assert text.endswith(after)  # every comment and value as it was
    product = read_shop(folder).products["wash"]
    assert not product.draft
    assert product.confirmed.startswith("R. Vale, 2")
    assert not [sentence for sentence in sheet(folder, "job").missing if "draft" in sentence]


def test_taking_the_line_out_by_hand_confirms_too(tmp_path: Path) -> None:
    folder = shop(tmp_path, WASH)
    assert not read_shop(folder).products["wash"].draft


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('role = "cleaner"', 'role = "unknown"', "role"),
        ('density = "0.79 g/mL"', 'density = "0.79"', "density"),
        ("draft = true # see the list\n", "", "no draft"),
        ("[product]\n# compared by nobody yet\ndraft = true # see the list", "product.draft = true\n[product]", "TOML"),
        ('weight = "100 %"', 'weight = ["60 %", "40 %"]', "weight"),
    ],
)
def test_nothing_is_confirmed_that_cannot_be_read(tmp_path: Path, old: str, new: str, says: str) -> None:
    assert old in DRAFT
    folder = shop(tmp_path, DRAFT.replace(old, new, 1))
    path = folder / "products" / "wash.toml"
    before = path.read_bytes()
    code, said = confirmed(folder)
    assert code == 2
    assert says in said
    assert "Traceback" not in said
    assert path.read_bytes() == before


@pytest.mark.parametrize("who", ["", "  ", "x" * 300, "a\u202eb"])
def test_a_name_is_a_name(tmp_path: Path, who: str) -> None:
    folder = shop(tmp_path, DRAFT)
    before = (folder / "products" / "wash.toml").read_bytes()
    assert confirmed(folder, who=who)[0] == 2
    assert (folder / "products" / "wash.toml").read_bytes() == before


def test_a_name_cannot_write_keys(tmp_path: Path) -> None:
    folder = shop(tmp_path, DRAFT)
    code, _ = confirmed(folder, who='A" \\ B')
    assert code == 0
    assert read_shop(folder).products["wash"].confirmed.startswith('A" \\ B, ')


def test_an_unknown_product_is_named(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["confirm", "wsah", "--who", "R. Vale", "--shop", str(shop(tmp_path, DRAFT))])
    assert result.exit_code == 2
    assert "wsah" in result.output


def test_draft_is_true_or_false(tmp_path: Path) -> None:
    with pytest.raises(Problems, match="draft"):
        read_shop(shop(tmp_path, DRAFT.replace("draft = true", 'draft = "yes"')))


def test_check_tells_of_a_draft(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["check", str(shop(tmp_path, DRAFT))])
    assert result.exit_code == 0
    assert "wash.toml:3" in result.output
    assert "hazstep confirm wash" in result.output
