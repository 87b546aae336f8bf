"""``hazstep new product``, ``job`` and ``place``: from answers to files that pass check and make a sheet."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from pathlib import Path

import pytest
import tomli
from click.testing import CliRunner, Result

from safety.cli import main
from safety.cli.questions import talk
from safety.files.reading import read_shop
from safety.workplace import assess_job
from tests.typed import JOB, PLACE, STOCK, WASH

SHOP = """\
# kept by the yard; the volume was paced out
[shop]
name = "Sign yard (invented)"   # its name
rules = ["us-federal"]

[[place]]                       # the only one
id = "shed"
kind = "room"
volume = "90 m^3"
temperature = "20 degC"

[[place.air]]
state = "doors shut"
air_changes = ["0.3 /hour", "2 /hour"]
air_speed = ["0.03 m/s", "0.2 m/s"]
basis = "our guess"

# gloves: none yet
[settings]
glove_movement_factor = 0.5   # the house rule
"""


@pytest.fixture
def yard(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "shop.toml").write_text(SHOP, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def new(what: str, answers: Sequence[str], *more: str) -> Result:
    return CliRunner().invoke(main, ["new", what, *more], input="".join(f"{line}\n" for line in answers))


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_product_and_a_job_from_answers_make_a_sheet(yard: Path) -> None:
    made = new("product", WASH)
    assert (made.exit_code, made.stdout.splitlines()[0]) == (0, "wrote products/wash-w-1.toml"), made.stderr
    text = (yard / "products" / "wash-w-1.toml").read_text(encoding="utf-8")
    assert text.startswith("#:schema ../schemas/product.json\n")
    assert 'density = "0,79 g/ml"' in text  # as it was typed: read by the same code
    product = read_shop(yard).products["wash-w-1"]
    assert [(part.name, part.low, part.high) for part in product.parts] == [
        ("acetone", 0.7, 0.9), ("isopropanol", pytest.approx(0.1), pytest.approx(0.3)),
    ]  # fmt: skip
    made = new("job", JOB)
    assert (made.exit_code, made.stdout.splitlines()[0]) == (0, "wrote jobs/wipe-the-sign.toml"), made.stderr
    checked = CliRunner().invoke(main, ["check"])
    assert (checked.exit_code, checked.stdout.splitlines()[-1]) == (0, "1 product, 1 job: no mistakes")
    report = assess_job(yard / "jobs" / "wipe-the-sign.toml", draws=60)
    assert [step.name for step in report.job.steps] == ["Wipe", "Put back"]
    assert report.job.steps[0].leaves_wet[0].taken_away == "Put back"
    # who does not know whether there is a source of ignition has one
    assert report.job.steps[1].ignition_sources == ("unknown source (nobody has looked)",)


def test_an_editor_marks_nothing_in_what_was_written(yard: Path) -> None:
    from tests.data.test_schemas import marked

    for what, answers in (("product", WASH), ("job", JOB), ("place", PLACE)):
        assert new(what, answers).exit_code == 0
    written = {"shop": "shop.toml", "product": "products/wash-w-1.toml", "job": "jobs/wipe-the-sign.toml"}
    for kind, name in written.items():
        assert marked(kind, (yard / name).read_text(encoding="utf-8")) == []


def test_each_question_says_why_in_one_line(yard: Path) -> None:
    for what, answers in (("product", WASH), ("job", JOB), ("place", PLACE)):
        lines = new(what, answers).stderr.splitlines()
        assert lines[0] == "No terminal: each line of standard input answers one question."
        asked = [number for number, line in enumerate(lines) if line == "" and number + 1 < len(lines)]
        assert len(asked) > 8
        assert all(lines[number + 2].startswith("  Why: ") for number in asked)


@pytest.mark.parametrize(
    ("language", "words", "refusal"),
    [
        (
            "es",
            {"?": "no sé", "yes": "sí", "none": "ninguno"},
            '  "0.79" no tiene unidad; escriba por ejemplo "0.87 g/mL"',
        ),
        (
            "de",
            {"?": "weiß nicht", "yes": "ja", "no": "nein", "none": "keine"},
            '  "0.79" hat keine Einheit; zum Beispiel "0.87 g/mL" schreiben',
        ),
    ],
)
def test_questions_and_refusals_are_asked_in_the_language(
    yard: Path, language: str, words: dict[str, str], refusal: str
) -> None:
    """And what people write there who do not know, or know of none."""
    for what, answers in (("product", (*WASH[:5], "0,79", *WASH[5:])), ("job", JOB), ("place", PLACE)):
        made = new(what, [words.get(line, line) for line in answers], "--language", language)
        assert made.exit_code == 0, made.stderr
        # an example stands in the files' own words
        said = [re.sub(r"\[.*\]", "", line) for line in made.stderr.splitlines() if not line.startswith(">")]
        assert not [line for line in said if re.search(r"\b(the|what|how|write|counts|unknown|which)\b", line)]
    assert refusal in new("product", ("A", *WASH[1:5], "0,79"), "--language", language).stderr
    assert CliRunner().invoke(main, ["check"]).exit_code == 0


def test_a_place_is_added_and_every_line_of_the_file_stays(yard: Path) -> None:
    made = new("place", PLACE)
    assert made.exit_code == 0, made.stderr
    text = (yard / "shop.toml").read_text(encoding="utf-8")
    assert text.startswith(SHOP)
    bay = read_shop(yard).places["paint-bay"]
    assert (bay.kind, bay.volume, bay.ignition_sources, bay.humidity) == (
        "booth",
        60.0,
        ("gas heater", "charger"),
        None,
    )
    assert (bay.temperature.low, bay.temperature.high) == pytest.approx((268.15, 301.15))
    assert new("place", PLACE).exit_code == 0, "a name that is there gets an id of its own"
    assert set(read_shop(yard).places) == {"shed", "paint-bay", "paint-bay-2"}


def test_a_hood_that_nobody_can_describe_counts_for_nothing(yard: Path) -> None:
    room = ["Bench room", "room", "80 m3", "18-24 degC", "", "none", "doors shut", "shut"]
    made = new(
        "place",
        [*room, "500 cfm", "0.09 m2", "1 m", "?", "door open", "open", "500 cfm", "0,09 m2", "0.15-0.3 m", "", ""],
    )
    assert made.exit_code == 0, made.stderr
    assert "that is too far from this opening" in made.stderr
    shut, open_ = read_shop(yard).places["bench-room"].airs
    assert shut.capture.high == 0
    assert open_.capture.high > 0


def test_a_hood_may_be_said_by_the_speed_measured_at_the_work(yard: Path) -> None:
    room = ["Bench room", "room", "80 m3", "18-24 degC", "", "none", "doors shut", "shut"]
    made = new("place", [*room, "0.4-0.5 m/s", "", ""])
    assert made.exit_code == 0, made.stderr
    (air,) = read_shop(yard).places["bench-room"].airs
    assert air.capture.high > 0


def test_a_door_is_asked_for_and_one_nobody_can_describe_makes_one_air(yard: Path) -> None:
    room = ["Bench room", "room", "80 m3", "18-24 degC", "", "none", "doors shut", "shut", "", ""]
    made = new("place", [*room, "shed", "1.8 m2", "2 m", "10-50 %", "0-3 K"])
    assert made.exit_code == 0, made.stderr
    (door,) = read_shop(yard).places["bench-room"].doors
    assert (door.to, door.known) == ("shed", True)
    made = new("place", ["Loft", *room[1:], "1", "?", "shed", "1.8 m2", "?", ""])
    assert made.exit_code == 0, made.stderr
    assert "both places count as one air" in made.stderr
    assert [(door.to, door.known) for door in read_shop(yard).places["loft"].doors] == [
        ("shed", False), ("bench-room", False)
    ]  # fmt: skip
    assert CliRunner().invoke(main, ["check"]).exit_code == 0


def test_a_place_where_the_file_has_a_list_of_another_form(yard: Path) -> None:
    (yard / "shop.toml").write_text(
        'place = [{id = "yard", kind = "outdoor", temperature = "20 degC", '
        'air = [{state = "open", air_speed = "0.3 m/s", basis = "guess"}]}]\n[shop]\nname = "Yard"\n'
    )
    before = files(yard)
    made = new("place", PLACE)
    assert made.exit_code == 2
    assert "shop.toml: [[place]]: nothing can be added behind the end of this file; write each" in made.stderr
    assert files(yard) == before


def test_lines_ended_as_windows_does_stay_so(yard: Path) -> None:
    (yard / "shop.toml").write_bytes(b"\xef\xbb\xbf" + SHOP.replace("\n", "\r\n").encode().rstrip())
    assert new("place", PLACE).exit_code == 0
    after = (yard / "shop.toml").read_bytes()
    assert after.startswith(b"\xef\xbb\xbf" + SHOP.replace("\n", "\r\n").encode().rstrip())
    assert after.count(b"\n") == after.count(b"\r\n")
    assert set(read_shop(yard).places) == {"shed", "paint-bay"}


@pytest.mark.parametrize(("what", "answers"), [("product", WASH), ("job", JOB), ("place", PLACE)])
def test_answers_that_end_too_soon_leave_nothing(yard: Path, what: str, answers: tuple[str, ...]) -> None:
    if what == "job":
        new("product", WASH)
    before = files(yard)
    for count in (0, 1, len(answers) // 2, len(answers) - 1):
        made = new(what, answers[:count])
        assert (made.exit_code, made.stdout) == (2, ""), count
        assert "standard input:" in made.stderr.splitlines()[-1]
        assert made.stderr.endswith("; nothing was written\n")
        assert files(yard) == before


def test_ctrl_c_at_a_terminal_leaves_nothing(yard: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(talk, "asking", lambda: True)
    before = files(yard)
    made = new("product", WASH[:6])  # click tells the end of its input as it tells Ctrl-C
    assert (made.exit_code, made.stdout) == (130, "")
    assert files(yard) == before
    assert "No terminal" not in made.stderr


def test_what_cannot_be_read_is_asked_again_with_what_to_write(yard: Path) -> None:
    wrong = (*WASH[:5], "0,79", "1,234 g/ml", "heavy", "", *WASH[5:9], "67-64-2", "108-88-3", "no", *WASH[9:])
    made = new("product", wrong)
    assert made.exit_code == 0, made.stderr
    for line in (
        '  "0.79" has no unit; write for example "0.87 g/mL"',
        '  "1,234 g/ml" can be read in two ways; write "1.234 g/ml" or "1234 g/ml"',
        '  Nothing was written. Write an answer, or "?".',
        '  "67-64-2" is mistyped: its last digit would have to be 1; copy it again from section 3',
        "108-88-3 is toluene. Does the data sheet call it so",
    ):
        assert line in made.stderr
    text = (yard / "products" / "wash-w-1.toml").read_text(encoding="utf-8")
    assert "108-88-3" not in text
    assert text == made_of(yard, WASH)


def made_of(yard: Path, answers: Sequence[str]) -> str:
    (yard / "products" / "wash-w-1.toml").unlink()
    assert new("product", answers).exit_code == 0
    return (yard / "products" / "wash-w-1.toml").read_text(encoding="utf-8")


def test_who_knows_nothing_is_never_given_a_mild_value(yard: Path) -> None:
    """Question marks as far as they go: each is unknown in the file, or the careful one."""
    made = new("product", ["Stuff", "?", "?", "?", "?", "?", "?", "?", "?", "?", "?", "?", "?", "?", "?", "", "?"])
    assert made.exit_code == 0, made.stderr
    product = tomli.loads((yard / "products" / "stuff.toml").read_text(encoding="utf-8"))["product"]
    keys = ("role", "sds_revised", "hazards", "density", "flash_point", "boiling_point", "voc")
    assert {key: product[key] for key in keys} == dict.fromkeys(keys, "unknown")
    assert product["part"] == [{"name": "part 1", "weight": ["0 %", "100 %"]}]
    made = new("place", ["Hole", "?", "5 m3", "10-20 degC", "?", "?", "?", "?", "?", "?", "?", "?", "?", "?"])
    assert made.exit_code == 0, made.stderr
    hole = read_shop(yard).places["hole"]
    assert (hole.kind, hole.humidity, hole.ignition_sources) == (
        "enclosed",
        None,
        ("unknown source (nobody has looked)",),
    )
    assert (hole.airs[0].air_changes.low, hole.airs[0].air_changes.high) == (0.0, 0.0)
    job = ["Job", "shed", "?", "3", "?", "?", "Do it", "10 min", "?", "?", "stuff", "?", "spray", "?", "", "?", "stuff", "?", "?", "", "", "?", "?", "?", "?"]  # fmt: skip
    made = new("job", job)
    assert made.exit_code == 0, made.stderr
    assert (
        "No file can do without this one. Ask who does the work." in made.stderr
    )  # a spray was taken, and is not the worst
    step = tomli.loads((yard / "jobs" / "job.toml").read_text(encoding="utf-8"))["step"][0]
    assert step["ignition_sources"] == ["unknown source (nobody has looked)"]
    assert (step["structure_holds"], step["overhead"]) == ("unknown", True)
    assert step["use"] == [{"product": "stuff", "work": "spray", "amount": "unknown"}]
    assert step["leaves_wet"] == [{"what": "something wet", "product": "stuff", "amount": "unknown"}]
    assert not {"people", "contact", "surface_temperature"} & set(step)  # left out: the careful ones
    assert CliRunner().invoke(main, ["check"]).exit_code == 0
    sheet = CliRunner().invoke(main, ["sheet", "job", "--draws", "60"])
    assert sheet.exit_code == 3  # INCOMPLETE
    assert "*** STOP - do not start" in sheet.stdout


def test_a_volume_that_nobody_knows_is_asked_for_with_the_careful_way_out(yard: Path) -> None:
    made = new("place", [*PLACE[:2], "?", *PLACE[2:]])
    assert made.exit_code == 0
    assert "  No file can do without this one. Pace it out, and take the smaller figure" in made.stderr


def test_no_code_in_section_two_is_not_taken_for_harmless(yard: Path) -> None:
    made = new("product", [*WASH[:4], "none", "?", *WASH[5:]])
    assert made.exit_code == 0
    product = tomli.loads((yard / "products" / "wash-w-1.toml").read_text(encoding="utf-8"))["product"]
    assert (product["hazards"], "not_classified" in product) == ("unknown", False)


def test_nothing_of_the_shop_is_written_over(yard: Path) -> None:
    new("product", WASH)
    first = files(yard)
    made = new("product", [*WASH[:4], "H225", *WASH[5:]], "--format", "json")
    assert json.loads(made.stdout) == {"written": ["products/wash-w-1-2.toml"]}
    assert {name: content for name, content in files(yard).items() if name in first} == first


def test_times_of_coats_fit_to_each_other(yard: Path) -> None:
    coats = [*WASH[:-1], "yes", "2", "120 ml/m2", "5 min", "20 min", "15 min", "2 h", "1 h", "3 h", "4 h", "1 h"]
    made = new("product", coats)
    assert made.exit_code == 0, made.stderr
    assert made.stderr.count("it can never be met; check both times") == 3
    application = read_shop(yard).products["wash-w-1"].application
    assert application is not None
    assert (application.start_within, application.recoat_within, application.stand_at_least) == (7200, 10800, 3600)
    assert dict(application.coats) == {"any": 2}


def test_a_cut_of_petroleum_gets_what_its_sheet_says(yard: Path) -> None:
    cut = ["68410-97-8", "68410-97-9", "Light naphtha", "20-30 %", "petroleum", "90-140 degC", "0,74 g/ml", "-4 degC", "C6-C9", "< 5 %", "< 0,1 %"]  # fmt: skip
    known = ["64742-95-6", "yes", "1-2 %", "155-181 degC", "", "", "", "", ""]
    made = new("product", [*WASH[:9], *cut, *known, *WASH[9:11], "50-60 %", *WASH[12:]])
    assert made.exit_code == 0, made.stderr
    (part, known) = read_shop(yard).products["wash-w-1"].parts[:2]
    assert known.stated.boiling_range is not None  # the program knows the number, but not this maker's range
    assert part.stated.carbon_numbers == (6, 9)
    assert part.stated.boiling_range is not None
    assert part.stated.benzene is not None
    assert part.stated.benzene.high == pytest.approx(0.001)


def test_shares_that_cannot_be_are_asked_again(yard: Path) -> None:
    made = new("product", [*WASH[:11], "70-90 %", "67-64-1", "67-63-0", "yes", "40-50 %", "balance", "123-86-4", "yes", "balance", "1-2 %", "", "no"])  # fmt: skip
    assert made.exit_code == 0, made.stderr
    assert '"67-64-1" is there already' in made.stderr
    assert "the parts make up at least 110 %" in made.stderr
    assert "another part is the balance already" in made.stderr


def test_no_shop_and_no_product(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert "make one with: hazstep new DIR" in new("product", WASH).stderr
    (tmp_path / "shop.toml").write_text(SHOP, encoding="utf-8")
    made = new("job", JOB)
    assert (made.exit_code, made.stderr) == (
        2,
        "products: the shop has no product yet; write one first: hazstep new product\n",
    )


def test_what_is_in_stock_is_asked_and_added(yard: Path) -> None:
    """Nobody asked for it: a first sheet said stop at the hands until somebody had read docs/files.md."""
    made = new("stock", STOCK)
    assert made.exit_code == 0, made.stderr
    assert (yard / "shop.toml").read_text(encoding="utf-8").startswith(SHOP)
    shop = read_shop(yard / "shop.toml")
    (glove,) = shop.gloves
    # the row without a time is none
    assert [(row.cas, row.time) for row in glove.breakthrough] == [("108-88-3", 480 * 60)]
    assert [one.id for one in (*shop.respirators, *shop.eyewear, *shop.containers)] == [
        "half-mask-a2",
        "goggles-b",
        "wet-rags",
    ]


def test_a_container_says_which_wastes_it_takes(yard: Path) -> None:
    """A sheet said stop for gloves and brushes without a container, and nobody had asked for one."""
    unknown = ("container", "something", "?", "?", "200 L", "?", "")
    assert new("stock", (*STOCK[:-1], *unknown)).exit_code == 0
    rags, other = read_shop(yard / "shop.toml").containers
    assert (rags.accepts, rags.reactivity) == (("wet-cloths", "tools-and-gloves"), ())
    assert (other.accepts, other.reactivity) == ((), None)  # nothing is offered it, and it may hold anything


def test_a_second_one_of_a_name_gets_an_id_of_its_own(yard: Path) -> None:
    answers = ("eyewear", "2", "Goggles B", "")
    assert [new("stock", answers).exit_code for _ in range(2)] == [0, 0]
    assert [one.id for one in read_shop(yard / "shop.toml").eyewear] == ["goggles-b", "goggles-b-2"]


def test_no_stock_leaves_the_file_alone(yard: Path) -> None:
    made = new("stock", ("",))
    assert made.exit_code == 0
    assert (yard / "shop.toml").read_text(encoding="utf-8") == SHOP


def test_a_stand_in_is_asked_for_a_part_its_maker_does_not_name(yard: Path) -> None:
    answers = ("Citrus", "cleaner", "", "2026-01-15", "none", "no", "0.85 g/mL", "?", "?", "?", "none", "secret",
               "10-20 %", "liquid", "5989-27-5", "The maker says: a terpene", "R. Vale, officer", "", "", "no")  # fmt: skip
    made = new("product", answers)
    assert made.exit_code == 0, made.stderr
    text = (yard / "products" / "citrus.toml").read_text(encoding="utf-8")
    assert tomli.loads(text)["product"]["part"][0]["taken_as"]["cas"] == "5989-27-5"


def test_the_limits_of_section_8_are_asked_for_a_part_nobody_knows(yard: Path) -> None:
    """Its share of the air was unjudged whatever the sheet prints. Who does not know over what time: at no moment."""
    limits = ("20 ppm", "1", "maker", "50 ppm", "?", "", "")
    answers = ("Odd wash", "cleaner", "", "2026-01-15", "none", "no", "0.85 g/mL", "?", "?", "?", "78-51-3",
               "tris ester", "10-20 %", "liquid", "", *limits, "", "no")  # fmt: skip
    made = new("product", answers)
    assert made.exit_code == 0, made.stderr
    (part, _) = read_shop(yard).products["odd-wash"].parts
    assert [(one.value, one.kind, one.list) for one in part.stated.limits] == [
        (pytest.approx(20e-6), "twa", "maker"), (pytest.approx(50e-6), "ceiling", "section 8")
    ]  # fmt: skip
