"""What a terminal, a shell and a person in a hurry get: bars, colour, completion, examples, near names."""

from __future__ import annotations

import io
import json
import re
import shlex
import shutil
import sys
from functools import partialmethod
from importlib import import_module
from pathlib import Path

import click
import pytest
import uvicorn
from click.testing import CliRunner

from safety.cli import COMMANDS, main, record, terminal
from safety.cli.demo import _NOW as NOW
from safety.cli.demo import SHOP, keep_records
from safety.workplace import Workplace

# ---------------------------------------------------------------- a shop with records


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("manners") / "shop"
    shutil.copytree(SHOP, folder)
    keep_records(folder)
    return folder


@pytest.fixture
def there(demo: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(demo)
    return demo


# ---------------------------------------------------------------- examples


def _commands() -> dict[str, click.Command]:
    found: dict[str, click.Command] = {}
    for name in COMMANDS:
        command = import_module(f"safety.cli.{name}").command
        found[name] = command
        if isinstance(command, click.Group):
            found |= {f"{name} {sub}": one for sub, one in command.commands.items()}
    return found


def _examples(command: click.Command) -> list[str]:
    return re.findall(r"^\s+hazstep (.+)$", command.help or "", re.M)


@pytest.mark.parametrize("name", _commands())
def test_every_help_has_an_example_of_its_own_command(name: str) -> None:
    examples = _examples(_commands()[name])
    assert examples
    assert all(example == name or example.startswith(f"{name} ") for example in examples)


def test_every_example_works_in_the_demo_shop(
    demo: Path, tmp_path: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ids and keys that a person reads off the screen are taken from what was printed before.

    The clock is put to the end of the demo's records: a record of a day that has not come is refused.
    """
    monkeypatch.chdir(shutil.copytree(demo, tmp_path / "shop"))
    monkeypatch.setattr(Workplace, "assess", partialmethod(Workplace.assess, draws=60))
    monkeypatch.setattr(record, "now_at", lambda _: NOW)
    monkeypatch.setattr(uvicorn.Server, "run", lambda server, sockets: None)  # it would run until it is ended
    frozen = runner.invoke(main, shlex.split("sheet laminate-wipe-down --draws 60 --freeze"))
    id = frozen.stderr.split()[-1]
    kept = runner.invoke(
        main, shlex.split('record use acetone "90 mL" --lot A-2607 --basis measured --who me --format json')
    )
    key = json.loads(kept.stdout)["records"][0]["key"]
    for name, command in _commands().items():
        for example in _examples(command):
            words = shlex.split(example.replace("3f2a9c01", id).replace("qb04-t1pa-gcn6", key))
            if words[0] in ("sheet", "compare") and "--frozen" not in words:
                words += ["--draws", "60"]
            # run by tests of their own; here only read. An address of the shop's network is none of this machine
            if words[0] in ("demo", "compare", "confirm", "impact", "new") or "--network" in words:
                context = _commands()[name].make_context(name, words[1:])
                assert not context.args
                continue
            asked = "seven quiet gulls over the pier\n" * 2 if "--passphrase" in words else None  # and once again
            run = runner.invoke(main, words, input=asked)
            assert run.exit_code in (0, 1, 3), f"{example}: {run.output}"
            assert run.stdout, example


# ---------------------------------------------------------------- near names


@pytest.mark.parametrize(
    ("line", "near"),
    [
        ("shet", "sheet"),
        ("record usee", "use"),
        ("sheet boot-replacement --pfd x", "--pdf"),
        ("sheet boot-replacment", "boot-replacement"),
        ("why boot-replacment", "boot-replacement"),
        ("compare boot-replacement --change place.bay-3.volume=9", "bay-2"),
        ("compare boot-replacement --change step.1.duraton=9", "duration"),
        ("calc purge_tme", "purge_time"),
        ("calc purge_time volum=1", "volume"),
        ('calc purge_time airflow="500 cfn"', "cfm"),
        ('calc vapour_pressure cas=toluen temperature="20 degC"', "toluene"),
        ("label rags-2", "rags-1"),
        ('record use acetne "1 L"', "acetone"),
        ('record use acetone "1 US_gl"', "US_gal"),
        ('record use acetone "1 L" --basis meassured', "measured"),
        ("check nofile.toml", "there is no such file"),
    ],
)
def test_a_slip_is_answered_with_the_nearest_name(there: Path, runner: CliRunner, line: str, near: str) -> None:
    run = runner.invoke(main, shlex.split(line))
    assert run.exit_code == 2, run.output
    assert near in run.stderr
    if " " not in near:
        assert re.search(rf"[Dd]id you mean[^\n]*{re.escape(near)}", run.stderr)
    assert run.stdout == ""


# ---------------------------------------------------------------- completion


def _completed(line: str) -> list[str]:
    """What the shell is progress for the last word of a line, by the protocol of click's own bash script."""
    asked = {"_HAZSTEP_COMPLETE": "bash_complete", "COMP_WORDS": line, "COMP_CWORD": str(line.count(" "))}
    run = CliRunner().invoke(main, prog_name="hazstep", env=asked)
    assert (run.exit_code, run.stderr) == (0, "")
    return run.stdout.split()


@pytest.mark.parametrize(
    ("line", "offered"),
    [
        ("hazstep sh", ["plain,sheet"]),
        ("hazstep record us", ["plain,use"]),
        ("hazstep sheet --p", ["plain,--pdf"]),
        ("hazstep sheet lam", ["plain,laminate-wipe-down"]),
        ("hazstep sheet laminate-wipe-down lam", ["file,lam"]),  # it is named already
        ("hazstep compare floor", ["plain,floor-adhesive-removal"]),
        ("hazstep why floor", ["plain,floor-adhesive-removal"]),
        ("hazstep why jobs/fl", ["file,jobs/fl"]),
        ("hazstep label dr", ["plain,drum-7"]),
        ("hazstep record use wash", ["plain,wash-solvent"]),
        ("hazstep record waste so", ["plain,solids-1"]),
        ("hazstep record use acetone --lot A-26", ["plain,A-2607"]),
        ("hazstep record use acetone --job lam", ["plain,laminate-wipe-down"]),
        ("hazstep calc purge", ["plain,purge_time"]),
        ("hazstep calc purge_time volume=1 a", ["plain,airflow="]),
    ],
)
def test_the_shell_completes(there: Path, line: str, offered: list[str]) -> None:
    assert _completed(line) == offered


@pytest.mark.parametrize("line", ["hazstep label x", "hazstep record use w", "hazstep record use w --lot x"])
def test_completion_says_nothing_where_there_is_no_shop(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, line: str
) -> None:
    monkeypatch.chdir(tmp_path)
    assert _completed(line) == []


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_each_shell_has_its_script(runner: CliRunner, shell: str) -> None:
    run = runner.invoke(main, prog_name="hazstep", env={"_HAZSTEP_COMPLETE": f"{shell}_source"})
    assert f"_HAZSTEP_COMPLETE={shell}_complete" in run.stdout


# ---------------------------------------------------------------- a bar, and colour


class Screen(io.StringIO):
    def isatty(self) -> bool:
        return True


def _screens(monkeypatch: pytest.MonkeyPatch, out: io.StringIO, err: io.StringIO) -> None:
    monkeypatch.setattr(sys, "stdout", out)
    monkeypatch.setattr(sys, "stderr", err)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)


def _bar(form: str = "text", lasting: bool = True) -> None:
    with pytest.MonkeyPatch.context() as patch:
        if lasting:
            patch.setattr(terminal, "_PATIENCE", 0.0)
        with terminal.progress_bar("assessing", form) as progress:
            progress(0.5)
            progress(1.0)


def test_long_work_shows_a_bar_on_the_error_stream_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    out, err = Screen(), Screen()
    _screens(monkeypatch, out, err)
    _bar()
    assert "assessing" in err.getvalue()
    assert "50%" in err.getvalue()
    assert "100%" in err.getvalue()
    assert out.getvalue() == ""


def test_no_bar_for_short_work_pipes_json_or_a_dumb_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    for out, err, form, term, lasting in (
        (Screen(), Screen(), "text", "xterm", False),
        (Screen(), Screen(), "json", "xterm", True),
        (Screen(), Screen(), "text", "dumb", True),
        (io.StringIO(), Screen(), "text", "xterm", True),
        (Screen(), io.StringIO(), "text", "xterm", True),
    ):
        with monkeypatch.context() as patch:
            _screens(patch, out, err)
            patch.setenv("TERM", term)
            _bar(form, lasting)
            assert out.getvalue() + err.getvalue() == ""


@pytest.mark.parametrize(
    "line",
    [
        "sheet laminate-wipe-down",
        "sheet laminate-wipe-down boot-replacement",
        "compare laminate-wipe-down --try",
        "log --month 2026-11",
    ],
)
def test_the_long_commands_say_how_far_they_are(there: Path, monkeypatch: pytest.MonkeyPatch, line: str) -> None:
    out, err = Screen(), Screen()
    _screens(monkeypatch, out, err)
    monkeypatch.setattr(terminal, "_PATIENCE", 0.0)
    draws = [] if line.startswith("log") else ["--draws", "60"]
    with pytest.raises(SystemExit):
        main([*shlex.split(line), *draws], prog_name="hazstep")
    assert "100%" in err.getvalue()
    assert "\x1b" in out.getvalue() or line.startswith(("compare", "log"))


def test_colour_is_for_terminals_that_want_it_and_never_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    page = "*** STOP - do not start\n### INCOMPLETE\nplain\n"
    _screens(monkeypatch, Screen(), Screen())
    assert click.unstyle(terminal.painted(page)) == page != terminal.painted(page)
    assert "\nplain\n" in terminal.painted(page)
    for name, value in (("NO_COLOR", "1"), ("TERM", "dumb")):
        with monkeypatch.context() as patch:
            patch.setenv(name, value)
            assert terminal.painted(page) == page
    monkeypatch.setattr(sys, "stdout", io.StringIO())
    assert terminal.painted(page) == page
