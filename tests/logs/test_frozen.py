"""Frozen sheets and logs, and who signed them."""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from safety.logbook import make_log
from safety.model import Period
from safety.workplace import Workplace

BUTANONE, TOLUENE = "78-93-3", "108-88-3"


@pytest.fixture
def ready(yard: Any) -> Any:
    rule = '[pack]\nid = "house"\ntitle = "House"\njurisdiction = "here"\nedition = "2026"\n[[limit]]\n'
    rule += f'cas = "{TOLUENE}"\nlist = "House"\nkind = "twa"\nvalue = "150 ppm"\naveraging = "8 h"\ncompare = "over"\n'
    rule += 'citation = "house rule"\nedition = "2026"\n'
    (yard.folder / "house.toml").write_text(rule, encoding="utf-8")
    yard.shop(rules='us-federal", "house.toml')
    yard.product("wash", (TOLUENE, "100 %", "100 %"))
    yard.job("wash", "500 mL", "2026-01-05T08:00:00")
    return yard


def frozen(done: Any) -> str:
    found = re.search(r"Frozen as ([0-9a-f]{12})", done.stderr)
    assert found, done.output
    return found[1]


def test_a_frozen_sheet_comes_back_to_the_last_digit(ready: Any, tmp_path: Path) -> None:
    first = ready.run("sheet", "wipe-down", "--draws", "60", "--freeze", "--pdf", str(tmp_path / "a.pdf"))
    id = frozen(first)
    # the job is edited, and the product: what was frozen stands
    ready.job("wash", "5 L", "2026-01-05T08:00:00")
    ready.product("wash", (BUTANONE, "100 %", "100 %"))
    again = ready.run("sheet", "--frozen", id, "--pdf", str(tmp_path / "b.pdf"))
    assert again.output.startswith(first.stdout)
    assert again.exit_code == first.exit_code
    assert "the same, to the last digit" in again.output
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()
    whole = json.loads(ready.run("sheet", "--frozen", id, "--format", "json").output)
    assert whole["sheet"]["draws"] == 60
    assert whole["signed"] == []


def test_todays_rules_are_shown_beside_it_where_they_decide_otherwise(ready: Any) -> None:
    id = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    rule = ready.folder / "house.toml"
    rule.write_text(rule.read_text("utf-8").replace("150 ppm", "0.01 ppm"), encoding="utf-8")
    output = ready.run("sheet", "--frozen", id).output
    assert "Computed again today from the same files: the same, to the last digit." in output
    assert "house.toml of the shop has changed." in output
    assert "With the shop's rules of today" in output
    assert "now control" in output or "now stop" in output


def test_a_pack_the_shop_loads_since_is_heard(ready: Any) -> None:
    """A new pack changes no file the sheet was made from, and may decide it otherwise all the same."""
    id = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    rule = (ready.folder / "house.toml").read_text("utf-8")
    rule = rule.replace('"house"', '"county"').replace("150 ppm", "0.01 ppm").replace('"House"', '"County"')
    (ready.folder / "county.toml").write_text(rule, encoding="utf-8")
    file = ready.folder / "shop.toml"
    file.write_text(file.read_text("utf-8").replace('"house.toml"', '"house.toml", "county.toml"'), encoding="utf-8")
    output = ready.run("sheet", "--frozen", id).output
    assert "Computed again today from the same files: the same, to the last digit." in output
    was, now = "us-federal, house.toml", "us-federal, house.toml, county.toml"
    assert f"The shop's rules packs were {was}, and are {now}." in output
    assert "With the shop's rules of today: " in output
    was_note = re.search(r"then note \(toluene (\d+) ppm \(shift average\), limit 100\)", output)
    assert was_note is not None
    assert f"now control (toluene {was_note[1]} ppm (shift average), limit 0.01: over)" in output
    # and one it no longer loads
    file.write_text(file.read_text("utf-8").replace(', "house.toml", "county.toml"', ""), encoding="utf-8")
    output = ready.run("sheet", "--frozen", id).output
    assert f"The shop's rules packs were {was}, and are us-federal." in output
    assert "With the shop's rules of today" in output


def test_a_changed_result_is_not_called_the_same(ready: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    from dataclasses import replace

    from safety.ledger import sheets

    id = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    kept = sheets.frozen

    def altered(*arguments: Any) -> Any:
        one = kept(*arguments)
        return replace(one, result=one.result.replace('"level": "note"', '"level": "control"', 1))

    monkeypatch.setattr(sheets, "frozen", altered)
    output = ready.run("sheet", "--frozen", id).output
    assert "the same, to the last digit" not in output
    assert "then control" in output


def test_late_sign_offs_are_taken_and_marked(ready: Any) -> None:
    early = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    done = ready.run("sign", early, "--name", "Pat", "--role", "technician")
    assert done.exit_code == 0
    assert f'Frozen sheet {early}, "Wipe down", of 20' in done.output  # what she puts her name under
    assert "Signed by Pat, technician" in done.output
    assert "LATE, after the job had begun" in done.output  # the job was in January 2026
    ready.job("wash", "500 mL", "2099-01-05T08:00:00")
    ahead = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    done = ready.run("sign", ahead[:8], "--name", "Pat", "--role", "technician")
    assert "LATE" not in done.output


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("sheet",), "nothing says which job"),
        (("sheet", "wipe-down", "--frozen", "12345678"), "is shown as it was made and takes no JOB; leave it out"),
        (("sheet", "--freeze", "--frozen", "12345678"), "takes no --freeze;"),
        (("sheet", "--frozen", "12345678", "--language", "es", "--seed", "1"), "takes no --seed, --language;"),
        (
            ("log", "--frozen", "12345678", "--month", "2026-01"),
            "a frozen log is shown as it was made and takes no --month;",
        ),
        (("log", "--frozen", "12345678", "--csv", "a.csv"), 'there is no frozen sheet or log "12345678"'),
        (("sheet", "--frozen", "12345678"), 'there is no frozen sheet or log "12345678"'),
        (("sign", "12345678", "--name", "Pat", "--role", "x"), 'there is no frozen sheet or log "12345678"'),
    ],
)
def test_what_does_not_go_together_is_one_clear_line(ready: Any, arguments: tuple[str, ...], says: str) -> None:
    ready.use("2026-01-02", "wash", "1 kg")
    done = ready.run(*arguments)
    assert done.exit_code == 2
    assert says in done.output


def test_a_frozen_log_stands_as_it_was_filed(ready: Any, tmp_path: Path) -> None:
    ready.use("2026-01-05", "wash", "5 kg", job="wipe-down", step="Wipe", key="a")
    first = ready.run("log", "--month", "2026-01", "--freeze", "--csv", str(tmp_path / "a.csv"))
    id = frozen(first)
    ready.correct("a", amount="50 kg")
    again = ready.run("log", "--frozen", id, "--csv", str(tmp_path / "b.csv"))
    assert again.output.startswith(first.stdout)
    assert again.exit_code == first.exit_code
    assert (tmp_path / "a.csv").read_bytes() == (tmp_path / "b.csv").read_bytes()
    assert "50 kg" in ready.run("log", "--month", "2026-01").output


def test_a_new_log_names_the_filed_one_and_what_differs(ready: Any) -> None:
    """Whoever filed January and made it again got other figures, and no word of the page that was filed."""
    ready.use("2026-01-05", "wash", "5 kg", job="wipe-down", step="Wipe", key="a")
    id = frozen(ready.run("log", "--month", "2026-01", "--freeze"))
    ready.run("sign", id, "--name", "R. Vale", "--role", "environmental officer")
    same = ready.run("log", "--month", "2026-01", "--freeze")
    assert frozen(same) == id  # nothing differs: it is the same page
    assert f"{id} of " in same.stdout
    assert "signed by R. Vale, environmental officer; nothing differs" in " ".join(same.stdout.split())
    assert "Computed again today: the same in every record and every figure." in ready.run("log", "--frozen", id).output

    ready.correct("a", amount="50 kg")
    told = " ".join(ready.run("log", "--month", "2026-01").output.split())
    assert "Not as it was filed on" in told
    assert "record a~2 came since: 2026-01-05, used, wash, 50 kg" in told
    assert "Used, by product, wash: 2026-01 5 kg, now 50 kg; 12 months to 2026-01 5 kg, now 50 kg" in told
    again = ready.run("log", "--frozen", id).output
    assert "Computed again today, it says otherwise:" in again
    assert "record a~2 came since" in again
    whole = json.loads(ready.run("log", "--month", "2026-01", "--format", "json").output)
    assert [one["id"][:12] for one in whole["filed"]] == [id]


def test_later_records_do_not_change_what_the_sheet_rested_on(ready: Any) -> None:
    ready.use("2026-01-02", "wash", "1 kg")
    id = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    ready.record("waste", "2026-01-03", "wash", "120 kg")  # past the limit of the smallest generators
    assert "the same, to the last digit" in ready.run("sheet", "--frozen", id).output


def test_later_corrections_do_not_change_what_the_sheet_rested_on(ready: Any) -> None:
    """Three weighed jobs take the place of the amount in the job file; one of them is corrected after the sheet."""
    for day, grams in ((2, 200), (3, 260), (4, 300)):
        weighed = {"basis": "weighed", "job": f"j{day}", "step": "Wipe", "area": "2 m2", "key": f"k{day}"}
        ready.use(f"2026-01-0{day}", "wash", f"{grams} g", **weighed)
    first = ready.run("sheet", "wipe-down", "--draws", "60", "--freeze", "--full")
    assert "median of 3 weighed jobs" in " ".join(first.stdout.split())
    ready.correct("k2", amount="900 g")
    ready.record("receive", "2025-01-02", "wash", "5 L", lot="old", expires="2025-06-30")  # found on a shelf: expired
    assert "the same, to the last digit" in ready.run("sheet", "--frozen", frozen(first)).output


# ---------------------------------------------------------------- a ledger that others may write to


def planted(ready: Any, change: Callable[[dict[str, str]], None], result: str = "", **row: Any) -> str:
    """The id of a sheet that somebody put into the ledger, made from a real one."""
    from safety.files.reading import read_shop
    from safety.ledger import sheets, store

    id = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    with store.open_ledger(read_shop(ready.folder)) as ledger:
        real = sheets.frozen(ledger, id)
        inputs = dict(real.inputs)
        change(inputs)
        given = {"version": real.version, "seed": real.seed, "draws": real.draws, "title": real.title, **row}
        return sheets.freeze(ledger, inputs, result or real.result, **given)


def test_what_is_kept_is_shown_and_signed_whatever_is_wrong_with_the_files_today(ready: Any) -> None:
    first = ready.run("sheet", "wipe-down", "--draws", "60", "--freeze")
    id = frozen(first)
    (ready.folder / "house.toml").unlink()
    (ready.folder / "products" / "wash.toml").write_text("[product]\nid = 7\n", encoding="utf-8")
    again = ready.run("sheet", "--frozen", id)
    assert again.output.startswith(first.stdout)
    assert again.exit_code == first.exit_code
    assert "Not computed again today: the files of the shop have mistakes (products/wash.toml:" in again.output
    done = ready.run("sign", id, "--name", "Pat", "--role", "technician")
    assert "Signed by Pat, technician" in done.output
    # where the ledger is must be readable
    file = ready.folder / "shop.toml"
    file.write_text(file.read_text("utf-8").replace("[shop]", "[shop]\nledger = 7", 1), encoding="utf-8")
    assert ready.run("sheet", "--frozen", id).exit_code == 2
    file.write_text("[shop\n", encoding="utf-8")
    assert "this is not TOML" in ready.run("sheet", "--frozen", id).stderr


def test_code_in_a_ledger_is_never_run(ready: Any, tmp_path: Path) -> None:
    """Neither a frozen plugin nor a file of this computer that a frozen shop file lists."""
    marks = [tmp_path / "frozen", tmp_path / "listed"]
    elsewhere = tmp_path / "elsewhere.py"
    elsewhere.write_text(f"open({str(marks[1])!r}, 'w')\n", encoding="utf-8")

    def plant(inputs: dict[str, str]) -> None:
        lists = f'[shop]\nplugins = ["evil.py", "{elsewhere}"]'
        inputs["shop/shop.toml"] = inputs["shop/shop.toml"].replace("[shop]", lists, 1)
        inputs["shop/evil.py"] = f"open({str(marks[0])!r}, 'w')\n"

    done = ready.run("sheet", "--frozen", planted(ready, plant))
    assert done.exit_code in (0, 1, 3), done.output
    assert "evil.py is not run again: the shop does not list it today." in done.output
    assert [mark.exists() for mark in marks] == [False, False]


def test_a_plugin_the_shop_still_lists_is_run_as_it_is_today(ready: Any, trusts: Any) -> None:
    code = "from safety import hookimpl\nfrom safety.model import Lines\n\n@hookimpl\ndef sheet_blocks():\n"
    own = ready.folder / "own.py"
    own.write_text(f"{code}    return [Lines('Ours', ('Be kind.',))]\n", encoding="utf-8")
    file = ready.folder / "shop.toml"
    file.write_text(file.read_text("utf-8").replace("[shop]", '[shop]\nplugins = ["own.py"]', 1), encoding="utf-8")
    trusts(ready.folder)
    id = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    assert "the same, to the last digit" in ready.run("sheet", "--frozen", id).output
    own.write_text(f"{code}    return [Lines('Ours', ('Be brave.',))]\n", encoding="utf-8")
    assert "nobody has trusted own.py on this computer" in ready.run("sheet", "--frozen", id).output
    trusts(ready.folder)
    output = ready.run("sheet", "--frozen", id).output
    assert "own.py of the shop has changed." in output
    assert "the same, to the last digit" not in output
    assert "Computed again today from the same files, with the shop's plugins of today: some figures differ" in output
    # a plugin that fails today leaves a gap, which is not a finding that went away
    own.write_text(f"{code}    raise ValueError('no answer')\n", encoding="utf-8")
    trusts(ready.folder)
    output = ready.run("sheet", "--frozen", id).output
    assert "INCOMPLETE, and it was not for this reason then: own failed: ValueError: no answer" in output
    assert "every finding is decided as it was then" not in output


@pytest.mark.parametrize("name", ["../../{mark}", "/{root}/{mark}", "../../../{root}/{mark}", "a\x00b.toml"])
def test_a_name_in_a_ledger_leads_nowhere(ready: Any, tmp_path: Path, name: str) -> None:
    mark = tmp_path / "planted.toml"
    real = name.format(root=tmp_path.as_posix().strip("/"), mark=mark.name)

    def plant(inputs: dict[str, str]) -> None:
        inputs[f"shop/{real}"] = "x = 1\n"

    done = ready.run("sheet", "--frozen", planted(ready, plant))
    assert done.exit_code in (0, 1, 3), done.output
    assert "lies outside of the shop's folder" in done.output
    assert not mark.exists()
    assert not (Path(tempfile.gettempdir()).parent / mark.name).exists()


@pytest.mark.parametrize(
    ("name", "content", "more"),
    [
        ("forms/page.txt", "fine\x1b[2J", {}),
        ("forms/page.pdf (base64)", "no base 64!", {}),
        ("forms/page.txt", None, {}),
        ("job", None, {}),
        ("", "", {"result": "not json"}),
        ("", "", {"result": "[" * 100_000}),
        ("", "", {"result": '{"complete": true}'}),
        ("", "", {"result": '{"complete": true, "job": {"start": "soon"}, "stops": [], "findings": []}'}),
        ("", "", {"title": "a\u202eb"}),
        ("", "", {"draws": 10**9}),
    ],
)
def test_what_this_program_never_wrote_is_not_shown(
    ready: Any, name: str, content: str | None, more: dict[str, Any]
) -> None:
    def plant(inputs: dict[str, str]) -> None:
        if name and content is None:
            del inputs[name]
        elif name:
            inputs[name] = content or ""

    done = ready.run("sheet", "--frozen", planted(ready, plant, **more))
    assert done.exit_code == 2, done.output
    assert done.stderr.startswith("sheet: --frozen: the frozen sheet ")
    assert "holds what this program never wrote" in done.stderr
    assert done.stdout == ""


def test_a_frozen_sheet_with_rules_from_beside_the_shop(ready: Any) -> None:
    """A pack that several shops share in a folder of its own is frozen with the sheet and read again."""
    (ready.folder.parent / "common.toml").write_text((ready.folder / "house.toml").read_text("utf-8"), encoding="utf-8")
    file = ready.folder / "shop.toml"
    file.write_text(file.read_text("utf-8").replace('"house.toml"', '"../common.toml"', 1), encoding="utf-8")
    id = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    assert "the same, to the last digit" in ready.run("sheet", "--frozen", id).output


@pytest.mark.parametrize("where", ["sources.toml", "substances/sources.toml"])
def test_the_shops_own_substances_and_their_sources_are_kept(ready: Any, where: str) -> None:
    (ready.folder / "substances").mkdir()
    own = 'cas = "107-07-3"\nnames = ["2-chloroethanol"]\n[[density]]\nvalue = "1.2 g/mL"\nsource = "house"\nat = "1"\n'
    (ready.folder / "substances" / "107-07-3.toml").write_text(own, encoding="utf-8")
    (ready.folder / where).write_text('[house]\ntitle = "Own (invented)"\nedition = "2026"\n', encoding="utf-8")
    ready.product("wash", (TOLUENE, "90 %", "90 %"), ("107-07-3", "10 %", "10 %"))
    id = frozen(ready.run("sheet", "wipe-down", "--draws", "60", "--freeze"))
    assert "the same, to the last digit" in ready.run("sheet", "--frozen", id).output


def test_a_log_by_the_rules_of_another_day_says_so_and_is_none_to_file(yard: Any) -> None:
    """What a limit of next April does to this month could be seen only by waiting for it."""
    pack = '[pack]\nid = "own"\ntitle = "Own (invented)"\njurisdiction = "here"\nedition = "2026"\n'
    for value, day in (("10 kg", "valid_until = 2027-03-31"), ("5 kg", "valid_from = 2027-04-01")):
        pack += f'[[threshold]]\nname = "shelf"\nvalue = "{value}"\ncompare = "over"\ncitation = "house rule"\n'
        pack += f'edition = "2026"\n{day}\n'
    (yard.folder / "own.toml").write_text(pack, encoding="utf-8")
    yard.shop(rules='us-federal", "own.toml')
    yard.product("acetone", ("67-64-1", "100 %", "100 %"))
    yard.use("2026-11-25", "acetone", "1 L")
    workplace, month = Workplace.open(yard.folder), Period("2026-11", "2026-11")
    own, then = make_log(workplace, month), make_log(workplace.as_of(date(2027, 4, 1)), month)
    written = [[t.written for p in log.packs for t in p.thresholds if t.name == "shelf"] for log in (own, then)]
    assert written == [["10 kg"], ["5 kg"]]
    assert not any("no log to file" in text for text in own.missing)
    assert any("2027-04-01" in text and "no log to file" in text for text in then.missing)
    for more, says in ((["2027-04-01", "--freeze"], "is not frozen"), (["soon"], "is no date")):
        refused = yard.run("log", "--month", "2026-11", "--as-of", *more)
        assert refused.exit_code == 2
        assert says in refused.output
        assert len(refused.output.splitlines()) == 1
