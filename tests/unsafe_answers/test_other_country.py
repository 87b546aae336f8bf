"""A shop of one country is told that country's law: what other laws say is said only where a pack of the shop says it."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import tomli
from click.testing import CliRunner
from pypdf import PdfReader

from safety.cli import main
from safety.render.fixed import certification
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Invented boat yard"
altitude = "0 m"
rules = [{rules}]
began = 2026-01-01

[[place]]
id = "shed"
kind = "room"
volume = "60 m^3"
temperature = "21 degC"
ignition_sources = ["gas heater", "switch"]

[[place.air]]
state = "open"
air_changes = "1 /hour"
air_speed = "0.2 m/s"
basis = "tracer gas"
measured = 2026-03-02

[[place]]
id = "tank"
kind = "enclosed"
volume = "4 m^3"
temperature = "21 degC"

[[place.air]]
state = "hatch open"
air_changes = "1 /hour"
air_speed = "0.1 m/s"
basis = "guessed for the test"

[[glove]]
id = "thin"
name = "Thin nitrile"
material = "nitrile"
thickness = "0.1 mm"

[[eyewear]]
id = "goggles"
kind = "splash goggles"

[[respirator]]
id = "half"
name = "Half mask A2"
kind = "air-purifying"
facepiece = "half mask"
cartridge = "A2"

[[container]]
id = "rags"
stream = "wet cloths"
accepts = ["wet-cloths"]
reactivity = []
size = "40 L"
kind = "satellite"
"""
PRODUCTS = {
    "thinner": """
[product]
id = "thinner"
name = "Thinner"
role = "solvent"
purpose = "cleaner"
density = "0.86 g/mL"
flash_point = "4 degC"
hazards = ["H225", "H304", "H315", "H336", "H361d", "H373"]
sds_revised = 2026-02-01

[[product.part]]
cas = "108-88-3"
weight = "70 %"

[[product.part]]
cas = "110-54-3"
weight = "30 %"
""",
    "secret": """
[product]
id = "secret"
name = "Secret remover"
role = "solvent"
purpose = "cleaner"
density = "0.9 g/mL"
sds_revised = 2026-02-01

[[product.part]]
name = "solvent"
weight = ["50 %", "100 %"]

[[product.part]]
cas = "67-64-1"
weight = ["0 %", "50 %"]
""",
}
JOB = """
[job]
id = "{id}"
title = "{id}"
place = "{place}"
start = 2026-11-25T{start}:00:00
crew = 1

[[step]]
name = "Wipe"
duration = "20 min"

[[step.use]]
product = "{product}"
work = "wipe"
amount = "300 mL"
area = "2 m^2"

[[step]]
name = "Spray"
duration = "10 min"
overhead = true

[[step.use]]
product = "{product}"
work = "spray"
amount = "200 mL"
area = "1 m^2"

[[step]]
name = "Weld"
duration = "10 min"
ignition_sources = ["welding set", "grinder"]
"""
JOBS = {
    "wipe-down": JOB.format(id="wipe-down", place="shed", start="08", product="thinner"),
    "strip": JOB.format(id="strip", place="shed", start="10", product="secret"),
    "tank": JOB.format(id="tank", place="tank", start="13", product="thinner"),
}
#: Where a figure or an equation was published, which is no law: they are named in every country.
PUBLISHED = re.compile(
    r"NIOSH Pocket Guide|NIOSH Current Intelligence|New NIOSH Skin Notations|DHHS \(NIOSH\) Publication"
    r"|NIOSH IDLH criteria|\(OSHA 3151\)|OSHA Respiratory Protection eTool|NIOSH report on methyl isocyanate"
    r"|NFPA 497|NFPA 77, Recommended Practice on Static Electricity|which pack us-federal names"
)


def american(text: str) -> list[str]:
    """Every place where a text names the law or the authorities of the United States, less what they published."""
    plain = PUBLISHED.sub("", " ".join(text.split()))
    return [
        plain[max(m.start() - 60, 0) : m.end() + 40]
        for m in re.finditer(
            r"CFR|OSHA|NIOSH|USC\b|ANSI|NFPA|ISEA|EPA\b|WAC \d|RCRA|\bHAPs?\b|us-federal|\d (?:lb|gal|ft|mmHg)\b|°F",
            plain,
        )
    ]


def pages(folder: Path) -> Iterator[tuple[str, str]]:
    """Every page a shop prints, in text, JSON and PDF."""
    ask = CliRunner()
    who = ("--lot", "L-1", "--who", "Pat", "--when", "2026-11-20")
    for line in (
        ("receive", "thinner", "5 L", "--expires", "none", *who),
        ("use", "thinner", "1 L", "--basis", "measured", *who),
        ("waste", "rags", "500 mL", "--from", "stock", "--product", "thinner", "--basis", "measured", *who),
    ):
        done = ask.invoke(main, ["record", *line])
        assert done.exit_code == 0, done.output
    asked = [
        *(["sheet", job, "--full", "--draws", "100", "--pdf", f"{job}.pdf"] for job in JOBS),
        *(["sheet", job, "--format", "json", "--draws", "100"] for job in JOBS),
        ["sheet", *JOBS, "--draws", "100", "--pdf", "day.pdf"],
        ["log", "--year", "2026", "--pdf", "log.pdf"],
        ["log", "--month", "2026-11", "--format", "json"],
        ["label", "rags", "--month", "2026-11", "--pdf", "label.pdf"],
        ["label", "--can", "thinner", "--pdf", "can.pdf"],
        ["sheet", "wipe-down", "--draws", "60", "--annex", "annex.pdf"],
        ["compare", "wipe-down", "--change", "step.1.people=far", "--draws", "60"],
        ["check"],
    ]
    for words in asked:
        done = ask.invoke(main, words)
        assert done.exit_code in (0, 1, 3), done.output
        yield " ".join(words), done.stdout
    for path in sorted(folder.glob("*.pdf")):
        yield path.name, " ".join(page.extract_text() for page in PdfReader(path).pages)


def test_a_european_shop_prints_no_law_of_the_united_states(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It printed 29 CFR 1910.132(d)(2) over the signature, and 29 CFR beside gloves, eyes, skin, masks and fire.

    Later still, goggles were to bear a mark of a United States standard, and a state's code stood by the flushing time;
    then a pack the shop had not chosen by the level dangerous to life, NFPA 77 as the rule on static charge, the
    standard of wash stations in gallons, and a column on HAP in its log.
    """
    write_shop(tmp_path, SHOP.format(rules='"eu"'), PRODUCTS, JOBS)
    monkeypatch.chdir(tmp_path)
    printed = dict(pages(tmp_path))
    assert {name: found for name, text in printed.items() if (found := american(text))} == {}
    assert len(list(tmp_path.glob("*.pdf"))) == 8
    findings = json.loads(printed["sheet wipe-down --format json --draws 100"])["findings"]
    assert "89/656/EEC" in " ".join(f["rule"] for f in findings if f["topic"] == "eyes")


@pytest.mark.parametrize(
    ("rules", "law"),
    [
        ('"us-federal"', "a certification of hazard assessment (29 CFR 1910.132(d)(2)) for"),
        ('"eu"', "chemical agents (Directive 98/24/EC, Article 4(2)) for"),
        ('"us-federal", "eu"', "1910.132(d)(2))"),
        ("", "this document is a note of who looked at the hazards for"),
    ],
)
def test_what_is_signed_is_said_by_the_rules_of_the_shop(tmp_path: Path, rules: str, law: str) -> None:
    """Every sheet was "a certification of hazard assessment (29 CFR 1910.132(d)(2))", in whatever country."""
    write_shop(tmp_path, SHOP.format(rules=rules), PRODUCTS, JOBS)
    sentence, fields = certification(sheet(tmp_path, "wipe-down", draws=100))
    assert law in sentence
    assert len(fields) == 3


def test_a_shop_of_both_countries_is_told_both_laws(tmp_path: Path) -> None:
    write_shop(tmp_path, SHOP.format(rules='"us-federal", "eu"'), PRODUCTS, JOBS)
    report = sheet(tmp_path, "wipe-down", draws=100)
    (eyes,) = (f for f in report.findings if (f.topic, f.step) == ("eyes", 1))
    assert "89/656/EEC" in eyes.rule
    assert "29 CFR 1910.133(a)" in eyes.rule
    (eyes,) = (f for f in report.findings if (f.topic, f.step) == ("eyes", 0))
    assert "Goggles must bear 3 (EN 166) or D3 (ANSI Z87.1)." in eyes.statement


def test_no_law_of_a_country_stands_in_the_code() -> None:
    """Sentences named 29 CFR and 40 CFR in fourteen places, whatever packs the shop had chosen."""
    root = Path(__file__).parents[2]
    found = []
    for path in sorted([*(root / "safety").rglob("*.py"), *(root / "plugins").rglob("*.py")]):
        if "formulas" not in path.parts:
            found += [f"{path.name}: {text}" for text in _texts(path) if re.search(r"\b(CFR|USC)\b", text)]
    assert found == []


def test_what_one_country_asks_stands_in_no_pack_of_all() -> None:
    """NFPA 70 and 77 and ANSI/ISEA Z358.1 stood in the pack that is loaded in every shop."""
    root = Path(__file__).parents[2]
    packs = [*root.glob("safety/data/rules/general.toml"), *root.glob("plugins/*/rules/general.toml")]
    found = [
        (path.parent.parent.name, key, row[key])
        for path in [*packs, root / "plugins/safety_protection/data/practice.toml"]
        for table in tomli.loads(path.read_text("utf-8")).values()
        for row in (table if isinstance(table, list) else [table])
        for key in ("citation", "edition", "text", "unverified")
        if key in row and american(row[key])
    ]
    assert found == []


def _texts(path: Path) -> Iterator[str]:
    """The texts of a module that may be shown: all of them but what explains the code."""
    import ast

    tree = ast.parse(path.read_text("utf-8"))
    explains = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)) and node.body
        and isinstance(node.body[0], ast.Expr)
    }  # fmt: skip
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in explains:
            yield node.value
