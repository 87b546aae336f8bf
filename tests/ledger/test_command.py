"""``hazstep record`` by hand and from scripts: what it prints, asks, refuses and leaves undone."""

from __future__ import annotations

import json
import os
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner, Result

from safety.cli import BAD_INPUT, Commands

BASE = Path(__file__).parents[1] / "mistakes" / "base"
main = Commands("hazstep", commands=[click.Command("record")])


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    shutil.copytree(BASE, folder)
    drum = '\n[[container]]\nid = "drum-7"\nstream = "spent solvent"\nsize = "200 L"\nkind = "central"\naccepts = ["free-liquid"]\nreactivity = []\n'
    with (folder / "shop.toml").open("a", encoding="utf-8") as file:
        file.write(drum)
    return folder


@pytest.fixture
def run(shop: Path) -> Callable[..., Result]:
    """A function that runs ``hazstep record`` in the shop, without a terminal."""

    def call(*arguments: str, status: int = 0) -> Result:
        kind, *rest = arguments
        result = CliRunner().invoke(main, ["record", kind, "--shop", str(shop), *rest])
        assert result.exit_code == status, (result.output, result.exception)
        return result

    return call


RECEIVE = ("receive", "wash", "4 L", "--lot", "L1", "--expires", "2099-01-31", "--who", "Pat")
USE = ("use", "wash", "250 mL", "--lot", "L1", "--basis", "measured", "--who", "Pat")


def test_it_prints_what_it_stored_and_what_is_left(run: Callable[..., Result]) -> None:
    run(*RECEIVE)
    assert run(*USE, "--key", "a1").stdout == (
        "use recorded: Wash, lot L1, key a1\n"
        "  250 mL = 218 g = 250 mL\n"
        "  left in lot L1: 3.75 L = 3.26 kg; expires 2099-01-31\n"
    )  # fmt: skip
    again = run(*USE, "--key", "a1").stdout
    assert again.splitlines()[0] == "use recorded already, nothing was added: Wash, lot L1, key a1"
    assert "3.75 L" in again


def test_in_the_units_of_the_shop(shop: Path, run: Callable[..., Result]) -> None:
    file = shop / "shop.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('print_units = "si"', 'print_units = "us"'), encoding="utf-8")
    assert "4 L = 7.67 lb (3.48 kg) = 1.06 gal (4 L)" in run(*RECEIVE).stdout


def test_as_json_the_unknown_is_null(shop: Path, run: Callable[..., Result]) -> None:
    file = shop / "products" / "wash.toml"
    file.write_text(
        file.read_text(encoding="utf-8").replace('density = "0.87 g/mL"', 'density = "unknown"'), encoding="utf-8"
    )
    run(*RECEIVE)
    answer = json.loads(run(*USE, "--format", "json").stdout)
    (line,) = answer["records"]
    assert (line["new"], line["mass"], line["volume"], line["typed"]) == (True, None, 0.00025, "250 mL")
    assert (answer["lot"]["mass"], answer["lot"]["volume"]) == (None, 0.00375)
    assert "= UNKNOWN mass = 250 mL" in run(*USE, "--again").stdout


def test_every_mistake_is_one_line_and_nothing_is_written(shop: Path, run: Callable[..., Result]) -> None:
    result = run("use", "wosh", "1,500 L", "--basis", "weihged", status=BAD_INPUT)
    assert result.stdout == ""
    assert sorted(result.stderr.splitlines()) == [
        'record use: --basis: "weihged" is not a word for this; did you mean "weighed"?',
        'record use: --lot: this is missing; give it, or say with anyway why nobody knows it',
        "record use: --who: this is missing",
        'record use: AMOUNT: "1,500 L" can be read in two ways; write "1.500 L" or "1500 L"',
        'record use: PRODUCT: there is no product "wosh"; did you mean "wash"?',
    ]  # fmt: skip
    assert not (shop / "ledger.db").exists()


def test_a_bad_lot_is_refused_and_taken_with_a_reason(run: Callable[..., Result]) -> None:
    assert run(*USE, status=BAD_INPUT).stderr.splitlines()[-1] == (
        'record use: --lot: lot "L1" of wash was never received; take another lot, or say on purpose why not: '
        '--anyway "reason"'
    )
    result = run(*USE, "--anyway", "bought at the counter")
    assert '  against: lot "L1" of wash was never received; anyway: bought at the counter' in result.stdout
    assert "more was taken from this lot than came in" in result.stderr


LESS = (
    "is less than zero; an amount is always more than zero; to mend or take back a record: hazstep record correct KEY; "
    "for what went back to the shelf: hazstep record return"
)


@pytest.mark.parametrize(
    ("arguments", "flag"),
    [
        (("use", "wash", "-100 mL"), "AMOUNT"),
        (("receive", "wash", "-1L", "--lot", "L1"), "AMOUNT"),
        (("return", "--again", "-.5 kg"), "AMOUNT"),
        (("waste", "drum-7", "-5"), "AMOUNT"),
        (("ship", "drum-7", "-5 lb"), "AMOUNT"),
        (("weigh", "count", "wash", "-5kg"), "AMOUNT"),
        (("correct", "a1", "--amount", "-5 mL", "--by", "Pat", "--why", "slip"), "--amount"),
    ],
)
def test_an_amount_below_zero_is_no_option(run: Callable[..., Result], arguments: tuple[str, ...], flag: str) -> None:
    run(*RECEIVE)
    run(*USE, "--key", "a1")
    amount = next(word for word in arguments if word[0] == "-" and word[1] != "-")
    line = f'record {arguments[0]}: {flag}: "{amount}" {LESS}'
    assert line in run(*arguments, status=BAD_INPUT).stderr.splitlines()


def test_a_note_may_begin_with_a_minus(run: Callable[..., Result]) -> None:
    run(*RECEIVE)
    assert "use recorded" in run(*USE, "--note", "-5 degC outside").stdout
    assert "No such option '-x'" in run("use", "wash", "-x", status=BAD_INPUT).stderr


NEVER = (
    'was never received. Where the lot is wrong, write hazstep record correct {key} --lot "LOT". '
    "Where it is right, record its delivery: hazstep record receive wash\n"
)


@pytest.mark.parametrize(
    "arguments",
    [
        ("open", "wash"),
        ("return", "wash", "1 L", "--to", "stock", "--basis", "measured"),
        ("waste", "drum-7", "1 L", "--from", "stock", "--basis", "measured", "--product", "wash"),
        ("weigh", "count", "wash", "1 kg"),
    ],
)
def test_a_lot_nobody_received_is_remarked_on(run: Callable[..., Result], arguments: tuple[str, ...]) -> None:
    """What is left of it is not known: it is never shown as nothing, nor as only what was brought back."""
    result = run(*arguments, "--lot", "B-77", "--who", "Pat", "--key", "k1")
    assert result.stderr.count('note: lot "B-77" of wash ' + NEVER.format(key="k1")) == 1
    assert (
        "  left in lot B-77: UNKNOWN, no delivery is recorded; nobody recorded when lot B-77 expires" in result.stdout
    )
    assert "counted" not in result.stdout


def test_a_mistyped_lot_is_shown_the_one_that_came_in(run: Callable[..., Result]) -> None:
    run("receive", "wash", "4 L", "--lot", "A-2607", "--expires", "none", "--who", "Pat")
    noted = run("open", "wash", "--lot", "A-2067", "--who", "Pat", "--key", "k1")
    assert 'was never received. Did you mean "A-2607"? Where the lot is wrong' in noted.stderr
    mended = run("correct", "k1", "--lot", "A-2607", "--by", "Pat", "--why", "slip")
    assert mended.stderr == ""
    assert "left in lot A-2607: 4 L" in mended.stdout


def test_a_blind_retry_is_refused(run: Callable[..., Result]) -> None:
    run(*RECEIVE)
    run(*USE, "--key", "a1")
    assert 'already, with the key "a1"; a retry needs nothing more' in run(*USE, status=BAD_INPUT).stderr
    run(*USE, "--again")


def test_a_job_the_shop_does_not_know_is_remarked_on(run: Callable[..., Result]) -> None:
    run(*RECEIVE)
    assert 'did you mean "clean"?' in run(*USE, "--job", "claen").stderr
    assert "the job has no step" in run(*USE, "--job", "clean", "--step", "polish").stderr


def test_waste_return_and_shipping(run: Callable[..., Result]) -> None:
    run(*RECEIVE)
    waste = ("waste", "drum-7", "2 kg", "--basis", "weighed", "--who", "Pat")
    assert "--from: this is missing; write one of: stock, job" in run(*waste, status=BAD_INPUT).stderr
    assert "waste recorded: drum-7" in run(*waste, "--from", "job").stdout
    assert "needs a product and its lot" in run(*waste, "--from", "stock", status=BAD_INPUT).stderr
    stock = run(*waste, "--from", "stock", "--product", "wash", "--lot", "L1")
    assert "left in lot L1: 1.7 L" in stock.stdout
    back = ("return", "wash", "0.5 L", "--lot", "L1", "--basis", "measured", "--who", "Pat")
    assert "left in lot L1: 2.2 L" in run(*back, "--to", "stock").stdout
    assert "left in lot L1: 1.7 L" in run(*back, "--to", "supplier").stdout
    ship = ("ship", "drum7", "180 kg", "--basis", "weighed", "--receiver", "Carrier", "--who", "Pat")
    assert 'did you mean "drum-7"?' in run(*ship, status=BAD_INPUT).stderr


def test_weighing_out_and_in(run: Callable[..., Result]) -> None:
    run(*RECEIVE)
    assert "  1.512 kg with its can" in run("weigh", "out", "wash", "1.512 kg", "--lot", "L1", "--who", "Pat").stdout
    result = run("weigh", "in", "wash", "1.034 kg", "--lot", "L1", "--who", "Pat")
    assert "  478 g (1.512 kg out, 1.034 kg in) = 478 g = 549 mL" in result.stdout


def test_a_use_that_was_weighed_is_not_corrected_by_what_the_balance_shows(run: Callable[..., Result]) -> None:
    run(*RECEIVE)
    run("weigh", "out", "wash", "1.512 kg", "--lot", "L1", "--who", "Pat")
    run("weigh", "in", "wash", "1.034 kg", "--lot", "L1", "--who", "Pat", "--key", "w1")
    by = ("--by", "Lee", "--why", "misread")
    assert run("correct", "w1", "--amount", "1.134 kg", *by).stderr == (
        'note: the use was 478 g (1.512 kg out, 1.034 kg in); "1.134 kg" is now the whole use, not what the balance '
        "showed\n"
    )
    assert run("correct", "w1~2", "--amount", "378 g", *by).stderr == ""
    run("weigh", "out", "wash", "1.512 kg", "--lot", "L1", "--who", "Pat", "--again")
    run("weigh", "in", "wash", "1.034 kg", "--lot", "L1", "--who", "Pat", "--key", "w2", "--again")
    assert run("correct", "w2", "--who", "Kim", *by).stderr == ""


def test_a_correction(run: Callable[..., Result]) -> None:
    run(*RECEIVE)
    run(*USE, "--key", "a1")
    lines = run("correct", "a1", "--amount", "200 mL", "--by", "Lee", "--why", "misread").stdout.splitlines()
    assert lines[0] == "use taken back: Wash, lot L1, key not~a1"
    assert lines[2] == "use recorded: Wash, lot L1, key a1~2"
    assert lines[4].startswith("  left in lot L1: 3.8 L")
    wrong = run("correct", "a1~2", "--withdraw", "--amount", "1 L", status=BAD_INPUT).stderr.splitlines()
    assert sorted(wrong) == [
        "record correct: --by: this is missing",
        "record correct: --why: this is missing",
        "record correct: --withdraw: a withdrawn record takes no other changes; give what changes, or --withdraw alone",
    ]
    assert run("correct", "zz", "--withdraw", "--by", "L", "--why", "w", status=BAD_INPUT).stderr == (
        'record correct: KEY: there is no record "zz"; look it up in the log\n'
    )
    assert "left in lot L1: 4 L" in run("correct", "a1~2", "--withdraw", "--by", "Lee", "--why", "never").stdout


def test_importing_a_file(shop: Path, run: Callable[..., Result], tmp_path: Path) -> None:
    file = tmp_path / "past.csv"
    head = "kind,when,product,amount,basis,lot,who,expires\n"
    good = head + "receive,2026-01-05,wash,4 L,,L1,Pat,none\nuse,2026-01-06,wash,1 L,measured,L1,Pat,\n"
    file.write_text(good, encoding="utf-8")
    assert run("import", str(file), "--dry-run").stdout == (
        "2 records would be added, 0 are there already; nothing was stored\n"
    )
    assert not (shop / "ledger.db").exists()
    assert run("import", str(file)).stdout == "2 records added, 0 were there already\n"
    assert run("import", str(file)).stdout == "0 records added, 2 were there already\n"
    bad = good + "use,2026-01-07,wash,1 L,measured,L9,Pat,\nuse,2026-01-07,wash,2 L,measured,L8,Pat,\n"
    file.write_text(bad, encoding="utf-8")
    for extra in (["--dry-run"], []):
        assert run("import", str(file), *extra, status=BAD_INPUT).stderr.splitlines() == [
            f'{file.as_posix()}:{line}: lot: lot "{lot}" of wash was never received; take another lot, or say on purpose '
            "why not: give the reason in the column anyway"
            for line, lot in ((4, "L9"), (5, "L8"))
        ]
    answer = json.loads(run("import", str(file), "--anyway", "kept on paper", "--format", "json").stdout)
    assert answer == {"added": 2, "would_add": 2, "there": 2}


def test_a_missing_file_is_named(run: Callable[..., Result]) -> None:
    assert run("import", "nowhere.csv", status=BAD_INPUT).stderr == "nowhere.csv: No such file or directory\n"


# ---------------------------------------------------------------- at a terminal


def at_a_terminal(shop: Path, arguments: list[str], answers: list[str]) -> str:
    """Run the command in a terminal of its own, give one answer to each question, and return all that was shown."""
    import pty
    import select

    program = "import sys; from tests.ledger.test_command import main; main(sys.argv[1:])"
    child, terminal = pty.fork()
    if child == 0:
        root = str(Path(__file__).parents[2])
        os.chdir(root)
        os.environ["PYTHONPATH"] = root
        os.execv(sys.executable, [sys.executable, "-c", program, "record", *arguments, "--shop", str(shop)])
    shown, waiting = "", list(answers)
    while True:
        ready, _, _ = select.select([terminal], [], [], 60)
        try:
            more = os.read(terminal, 10_000) if ready else b""
        except OSError:  # the terminal is closed with the child's end
            more = b""
        if not more:
            break
        shown += more.decode()
        if waiting and shown.rstrip(" ").endswith((":", "]:")) and shown.endswith(" "):
            os.write(terminal, f"{waiting.pop(0)}\n".encode())
    os.waitpid(child, 0)
    os.close(terminal)
    assert waiting == [], shown
    return shown.replace("\r\n", "\n")


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals of POSIX")
def test_at_a_terminal_it_asks_for_what_is_missing(shop: Path, run: Callable[..., Any]) -> None:
    run(*RECEIVE)
    shown = at_a_terminal(shop, ["use", "wash"], ["a lot", "250 mL", "measured", "L1", "Pat", "", ""])
    assert '"a lot" has no unit of mass or volume' in shown  # asked again
    assert "Job (Enter for none)" in shown
    assert "left in lot L1: 3.75 L = 3.26 kg" in shown
    shown = at_a_terminal(shop, list(USE), ["", "", "y"])  # the same again: no job, no step, a second one
    assert "Record it a second time?" in shown
    assert "left in lot L1: 3.5 L" in shown


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("5 gal", "5 US_gal"),
        ("5 gallons", "5 US_gal"),
        ("1 quart", "1 US_qt"),
        ("2 litres", "2 L"),
        ("2 lbs", "2 lb"),
        ("2 pounds", "2 lb"),
        ("3 KG", "3 kg"),
        ("1 fl oz", "1 US_fl_oz"),
        ("1 mph", ""),
    ],
)
def test_a_unit_people_write_otherwise_is_answered_with_ours(
    run: Callable[..., Result], typed: str, meant: str
) -> None:
    """Never taken in silence: a gallon may be a US one or not."""
    run(*RECEIVE)
    told = run("use", "wash", typed, "--lot", "L1", "--basis", "measured", "--who", "Pat", status=BAD_INPUT).stderr
    assert (f'did you mean "{meant}"?' in told) is bool(meant)


def test_a_day_written_otherwise_is_answered_with_both_ways_to_write_it(run: Callable[..., Result]) -> None:
    run(*RECEIVE)
    told = run(*USE, "--when", "11/03/2026", status=BAD_INPUT).stderr
    assert '--when: "11/03/2026" is not a date; write for example 2026-03-02 or 2026-03-02 07:30' in told


def test_a_count_says_how_far_it_is_from_the_records(run: Callable[..., Result]) -> None:
    run(*RECEIVE)  # 4 L at 0.87 kg/L are 3.48 kg
    assert (
        "  counted: 480 g less than the records say"
        in run("weigh", "count", "wash", "3 kg", "--lot", "L1", "--who", "Pat").stdout
    )
    assert (
        "  counted: 20 g more than the records say"
        in run("weigh", "count", "wash", "3.5 kg", "--lot", "L1", "--who", "Pat").stdout
    )
