"""``hazstep check`` and ``hazstep new``: streams, exit statuses, nothing overwritten."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli.check import command as check
from safety.cli.new import command as new

Make = Callable[..., Path]
Base = Callable[[str], str]
DEMO = Path(__file__).parents[2] / "safety" / "data" / "demo"


def test_demo_shop_has_no_mistakes() -> None:
    result = CliRunner().invoke(check, [str(DEMO)])
    note, last = result.stdout.splitlines()
    assert (result.exit_code, result.stderr, last) == (0, "", "8 products, 4 jobs: no mistakes")
    assert "no data are loaded for CAS 6283-86-9" in note  # one part of one product, on purpose


def test_new_shop_passes_check_and_is_not_overwritten(tmp_path: Path) -> None:
    folder = tmp_path / "a" / "shop"
    made = CliRunner().invoke(new, [str(folder)])
    assert made.exit_code == 0
    assert f"wrote {folder.as_posix()}/shop.toml" in made.stdout.splitlines()
    checked = CliRunner().invoke(check, [str(folder / "jobs" / "example-cleaning.toml")])
    *notes, last = checked.stdout.splitlines()
    assert (checked.exit_code, last) == (0, "1 product, 1 job: no mistakes")
    assert all(re.match(r"note: .*shop\.toml: (\[\[phone\]\]|eyewash|shower): ", note) for note in notes)

    (folder / "shop.toml").write_text("mine", encoding="utf-8")
    (folder / "jobs" / "example-cleaning.toml").unlink()
    again = CliRunner().invoke(new, [str(folder)])
    assert again.exit_code == 2
    assert again.stderr.endswith("this file is there already; name a new folder; nothing was written\n")
    assert (folder / "shop.toml").read_text(encoding="utf-8") == "mine"
    assert not (folder / "jobs" / "example-cleaning.toml").exists()


def test_new_where_nothing_can_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    result = CliRunner().invoke(new, [str(tmp_path / "file" / "shop")])
    assert result.exit_code == 2
    assert len(result.stderr.splitlines()) == 1


def test_mistakes_go_to_the_error_stream(shop: Make, base: Base, monkeypatch: pytest.MonkeyPatch) -> None:
    text = base("jobs/clean.toml").replace('"15 min"', "15").replace("crew = 1\n", "")
    monkeypatch.chdir(shop({"jobs/clean.toml": text, "rules/ours.toml": "x = 1", "substances/67-64-1.toml": ""}))
    result = CliRunner().invoke(check, [])
    assert (result.exit_code, result.stdout) == (2, "")
    files = [line.split(": ")[0] for line in result.stderr.splitlines()]
    assert files[:2] == ["jobs/clean.toml:1", "jobs/clean.toml:11"]
    assert any(f.startswith("rules/ours.toml") for f in files)
    assert any(f.startswith("substances/67-64-1.toml") for f in files)


def test_json(shop: Make, base: Base, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(shop({"products/wash.toml": base("products/wash.toml").replace("0.87 g/mL", "0.87")}))
    result = CliRunner().invoke(check, ["--format", "json"])
    assert result.exit_code == 2
    (mistake,) = json.loads(result.stdout)["mistakes"]
    assert (mistake["file"], mistake["line"], mistake["where"]) == ("products/wash.toml", 5, "[product] density")


def test_a_real_product_without_data_is_a_note(shop: Make, base: Base, monkeypatch: pytest.MonkeyPatch) -> None:
    # 7440-44-0 is carbon: a right number, and no substance file comes with the program
    text = base("products/wash.toml").replace("142-82-5", "7440-44-0")
    monkeypatch.chdir(shop({"products/wash.toml": text}))
    result = CliRunner().invoke(check, [])
    assert result.exit_code == 0
    assert result.stdout.splitlines() == [
        "note: products/wash.toml:16: [product] part[2].cas: no data are loaded for CAS 7440-44-0: sheets will say "
        "unknown; add substances/7440-44-0.toml to the shop",
        "note: shop.toml: [[phone]]: no number for: emergency, poison centre, officer, waste; the sheet has a line to "
        'write it on; write [[phone]] with reaches = "emergency" and number',
        "note: shop.toml: eyewash: where the nearest one is from room-1 is not said; write eyewash in [shop] or in each "
        "[[place]]",
        "note: shop.toml: shower: where the nearest one is from room-1 is not said; write shower in [shop] or in each "
        "[[place]]",
        'note: products/primer.toml:4: [product] role: no rule goes by role = "primer"; write purpose = "primer" beside it',
        'note: products/wash.toml:4: [product] role: no rule goes by role = "cleaner"; write purpose = "cleaner" beside it',
        "2 products, 1 job: no mistakes",
    ]


def test_paths_that_are_not_there(tmp_path: Path) -> None:
    result = CliRunner().invoke(check, [str(tmp_path / "no"), str(tmp_path)])
    assert result.exit_code == 2
    assert [line.rsplit(": ", 1)[-1] for line in result.stderr.splitlines()] == [
        "hazstep new DIR",
        "there is no such file; check the name and the folder",
    ]


def test_a_job_outside_the_jobs_folder_is_read_too(shop: Make, base: Base) -> None:
    folder = shop({"drafts/clean.toml": base("jobs/clean.toml").replace('"clean"', '"draft"').replace("15 min", "15")})
    result = CliRunner().invoke(check, [str(folder / "drafts" / "clean.toml"), str(folder)])
    assert result.exit_code == 2
    assert [line.split(": ")[0] for line in result.stderr.splitlines()] == [f"{folder.as_posix()}/drafts/clean.toml:12"]


def test_a_new_shop_is_whole_or_not_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = Path.read_text

    def full(path: Path, *arguments: object, **more: object) -> str:
        if path.name == "shop.toml":  # the last of the files
            raise OSError(28, "No space left on device")
        return real(path, *arguments, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(Path, "read_text", full)
    result = CliRunner().invoke(new, [str(tmp_path / "shop")])
    assert result.exit_code == 2
    assert "the folder cannot be written: no space left on device" in result.stderr
    assert [p for p in (tmp_path / "shop").rglob("*") if p.is_file()] == []
