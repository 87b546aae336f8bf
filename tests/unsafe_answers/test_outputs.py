"""What a command writes never takes the place of what somebody wrote or recorded.

``hazstep log --csv ledger.db`` once put a table in the place of the whole ledger, ``--pdf shop.toml`` a page in the place
of the shop, and a device became an ordinary file.
"""

from __future__ import annotations

import os
import socket
import stat
import subprocess
import sys
from collections.abc import Sequence
from functools import partial
from hashlib import sha256
from io import BytesIO
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader

from safety.cli import main
from tests.unsafe_answers.shops import write_shop

SHOP = """
[shop]
name = "Binder's corner (invented)"
altitude = "0 m"
rules = ["us-federal"]
print_units = "si"
ledger = "sqlite:///books.db"

[[place]]
id = "bench"
kind = "room"
volume = "80 m3"
temperature = "20 degC"
[[place.air]]
state = "window open"
air_changes = ["1 /hour", "3 /hour"]
air_speed = "0.1 m/s"
basis = "estimated"

[[container]]
id = "rags"
stream = "solvent wipes"
accepts = ["wet-cloths"]
reactivity = []
size = "10 L"
kind = "satellite"
started = 2026-05-01
"""
PRODUCT = """
[product]
id = "glue-off"
name = "Glue remover (invented)"
role = "solvent"
purpose = "cleaner"
density = "0.79 g/mL"
flash_point = "-18 degC"
boiling_point = "56 degC"
hazards = ["H225", "H319", "H336"]
sds_revised = 2025-05-01
voc = "790 g/L"
part = [{ cas = "67-64-1", weight = "100 %" }]
"""
JOB = """
[job]
id = "spine"
title = "Take old glue off a spine"
start = 2026-05-04T09:00:00
crew = 1
place = "bench"
air = "window open"
surface = "board"
[[step]]
name = "Wipe"
duration = "15 min"
people = "near"
[[step.use]]
product = "glue-off"
work = "wipe"
amount = "30 mL"
area = "0.1 m^2"
"""
RECEIVED = ("record", "receive", "glue-off", "1 L", "--lot", "L-1", "--expires", "none", "--who", "me")
SHEET = ("sheet", "spine", "--draws", "60")
LOG = ("log", "--year", "2026")
LABEL = ("label", "rags", "--month", "2026-05")
DONE = (0, 1, 3)


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = write_shop(tmp_path / "shop", SHOP, {"glue-off": PRODUCT}, {"spine": JOB})
    monkeypatch.chdir(folder)
    run(*RECEIVED)
    return folder


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


def prints(folder: Path) -> dict[str, str]:
    """What is in a folder: the content of each file, the kind of all else."""
    return {
        path.relative_to(folder).as_posix(): sha256(path.read_bytes()).hexdigest()
        if stat.S_ISREG(os.lstat(path).st_mode)
        else oct(stat.S_IFMT(os.lstat(path).st_mode))
        for path in folder.rglob("*")
    }


def refused(folder: Path, words: Sequence[str], name: str) -> str:
    """The one line a command says of a file it may not write; nothing else has happened."""
    before = prints(folder)
    done = run(*words)
    assert done.exit_code == 2, f"{words}: {done.output}"
    assert done.stdout == ""
    (line,) = done.stderr.splitlines()
    assert line.startswith(f"{name}: ")
    assert "; " in line  # and what to write instead
    assert prints(folder) == before
    return line


def _socket(name: str) -> None:
    with socket.socket(socket.AF_UNIX) as bound:
        bound.bind(name)


WRITERS = [
    (*SHEET, "--pdf"), (*SHEET, "spine", "--pdf"), (*LOG, "--pdf"), (*LOG, "--csv"), (*LABEL, "--pdf")
]  # fmt: skip


@pytest.mark.parametrize("words", WRITERS, ids=" ".join)
@pytest.mark.parametrize(
    "name",
    [
        "books.db",
        "books.db-wal",
        "shop.toml",
        "products/glue-off.toml",
        "products/new.toml",
        "jobs/spine.toml",
        "house.py",
    ],
)
def test_no_file_of_the_shop_is_written_over(shop: Path, words: tuple[str, ...], name: str) -> None:
    """The ledger was gone for good, with exit status 0."""
    (shop / "house.py").write_text("hazstep_hooks = 2\n")
    assert "does not end in ." in refused(shop, (*words, name), name)


@pytest.mark.parametrize("words", WRITERS, ids=" ".join)
def test_only_an_earlier_file_of_the_same_kind_is_written_over(shop: Path, words: tuple[str, ...]) -> None:
    ending = words[-1].replace("--", ".")
    name = f"mine{ending}"
    first = run(*words, name)
    assert first.exit_code in DONE, first.output
    assert run(*words, name).exit_code in DONE
    for content in (b"", b"our own notes\n", b"%PDF-1.4 by somebody else", b'\xef\xbb\xbf"Day","Time"\r\n'):
        (shop / name).write_bytes(content)
        assert "the file is there already" in refused(shop, (*words, name), name)
    (shop / name).unlink()
    os.link(shop / "books.db", shop / name)  # the ledger under another name
    assert "the file is there already" in refused(shop, (*words, name), name)


def test_what_somebody_has_written_on_or_in_is_no_earlier_output(shop: Path) -> None:
    """A sheet that was signed after it was printed, and a log with a row of the officer's own, were written over."""
    for words in WRITERS:
        name = f"mine{words[-1].replace('--', '.')}"
        assert run(*words, name).exit_code in DONE
        ours = (shop / name).read_bytes()
        if name.endswith(".csv"):
            changed = [ours + b"checked by me\r\n", ours.replace(b'"', b""), ours.replace(b"\r\n", b"\n")]
        else:
            changed = [
                ours + b"1 0 obj\nstartxref\n9\n%%EOF\n",
                ours + b"notes",
                ours.replace(b"ReportLab", b"Scribble"),
            ]
        for content in changed:
            (shop / name).write_bytes(content)
            assert "the file is there already" in refused(shop, (*words, name), name)
        (shop / name).write_bytes(ours)
        assert run(*words, name).exit_code in DONE
        (shop / name).unlink()


def test_a_label_does_not_take_the_place_of_a_filed_log(shop: Path) -> None:
    assert run(*LOG, "--pdf", "filed.pdf").exit_code in DONE
    for words in (SHEET, LABEL):
        assert "is not an earlier one of this kind" in refused(shop, (*words, "--pdf", "filed.pdf"), "filed.pdf")
    # the sheet of a job and the sheets of a day are one kind
    assert run(*SHEET, "--pdf", "today.pdf").exit_code in DONE
    assert run(*SHEET, "spine", "--pdf", "today.pdf").exit_code in DONE


@pytest.mark.parametrize("words", WRITERS, ids=" ".join)
def test_what_is_no_ordinary_file_stays_what_it_is(shop: Path, words: tuple[str, ...]) -> None:
    """A device was replaced by a file, and a link by what it led to."""
    ending = words[-1].replace("--", ".")
    (shop / "room").mkdir()
    kinds = {"folder": (shop / f"folder{ending}").mkdir}
    if hasattr(os, "mkfifo"):
        kinds["fifo"] = lambda: os.mkfifo(shop / f"fifo{ending}")
        kinds["socket"] = partial(_socket, f"socket{ending}")
        kinds["link"] = lambda: (shop / f"link{ending}").symlink_to("/dev/null")
        kinds["astray"] = lambda: (shop / f"astray{ending}").symlink_to("nowhere.db")
        kinds["to-a-folder"] = lambda: (shop / f"to-a-folder{ending}").symlink_to("room")
    if getattr(os, "geteuid", lambda: 1)() == 0 and sys.platform.startswith("linux"):
        kinds["device"] = lambda: os.mknod(shop / f"device{ending}", 0o666 | stat.S_IFCHR, os.makedev(1, 3))
    for kind, make in kinds.items():
        try:
            make()
        except PermissionError:  # no devices here
            continue
        refused(shop, (*words, f"{kind}{ending}"), f"{kind}{ending}")


@pytest.mark.skipif(not hasattr(os, "symlink"), reason="no links")
def test_a_link_is_not_followed_even_to_an_earlier_file(shop: Path) -> None:
    assert run(*SHEET, "--pdf", "real.pdf").exit_code in DONE
    (shop / "link.pdf").symlink_to("real.pdf")
    assert "this is a link to another file" in refused(shop, (*SHEET, "--pdf", "link.pdf"), "link.pdf")


def test_either_both_files_of_a_log_are_written_or_none(shop: Path) -> None:
    """The PDF was written, and then the ledger was refused for the table."""
    refused(shop, (*LOG, "--pdf", "log.pdf", "--csv", "books.db"), "books.db")
    assert not (shop / "log.pdf").exists()


def test_a_frozen_page_goes_through_the_same_door(shop: Path) -> None:
    for words in ((*SHEET, "--freeze"), (*LOG, "--freeze")):
        id = run(*words).stderr.split()[-1]
        again = (words[0], "--frozen", id, "--pdf")
        refused(shop, (*again, "books.db"), "books.db")
        assert run(*again, f"{words[0]}.pdf").exit_code in DONE
        assert run(*again, f"{words[0]}.pdf").exit_code in DONE
    refused(shop, ("log", "--frozen", id, "--csv", "books.db"), "books.db")


#: A process whose files may not grow over a few kilobytes; nor does it leave half a file of bytecode to later ones.
LIMITED = "import resource, sys; sys.dont_write_bytecode = True; resource.setrlimit(resource.RLIMIT_FSIZE, (9000, 9000)); from safety.cli import main; main()"


@pytest.mark.skipif(sys.platform == "win32", reason="no limit on the size of files")
def test_a_full_disk_leaves_the_earlier_file_whole(shop: Path) -> None:
    (shop / "books.db").unlink()
    assert run(*SHEET, "--pdf", "sheet.pdf").exit_code in DONE
    before = prints(shop)
    words = [sys.executable, "-c", LIMITED, *SHEET, "--seed", "2", "--pdf", "sheet.pdf"]
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (2, "", "sheet.pdf: File too large\n")
    assert prints(shop) == before
    assert PdfReader(BytesIO((shop / "sheet.pdf").read_bytes())).pages


def test_a_disk_that_says_late_that_it_is_full_leaves_both_files_of_a_log(
    shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = (*LOG, "--pdf", "log.pdf", "--csv", "log.csv")
    assert run(*words).exit_code in DONE
    before = prints(shop)
    run(*RECEIVED, "--key", "again-1", "--again")
    synced: list[int] = []

    def full(handle: int) -> None:
        synced.append(handle)
        if len(synced) == 2:  # the table, when the page is written already
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    done = run(*words)
    assert (done.exit_code, done.stdout, done.stderr) == (2, "", "log.csv: No space left on device\n")
    now = prints(shop)
    assert {name: now[name] for name in ("log.pdf", "log.csv")} == {
        name: before[name] for name in ("log.pdf", "log.csv")
    }
    assert before.keys() == now.keys()


@pytest.mark.skipif(sys.platform == "win32", reason="no limit on the size of files")
def test_half_a_demo_shop_is_not_left_behind(tmp_path: Path) -> None:
    """A shop without its sheets, its ledger half filled, stayed where the disk was full."""
    (tmp_path / "empty").mkdir()
    for name in ("new", "empty"):
        done = subprocess.run(
            [sys.executable, "-c", LIMITED, "demo", name], cwd=tmp_path, capture_output=True, text=True, check=False
        )
        assert done.returncode == 2, done.stderr
    assert [path.name for path in tmp_path.rglob("*")] == ["empty"]
