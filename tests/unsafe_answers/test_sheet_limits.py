"""An exposure limit that a data sheet prints of a part, where no list that is loaded has one.

Before there was no place to write it: a vapour without a limit in the shop's packs stayed unjudged, whatever section 8
said, and the only way past was a rules pack of one's own, in which nobody could see whose limit it was.
"""

from __future__ import annotations

from pathlib import Path

from safety.files.reading import read_shop
from safety.model import Limit
from safety.reference import Reference, fractions, load
from tests.unsafe_answers.shops import DRAWS, sheet, write_shop
from tests.unsafe_answers.test_dangerous_levels import JOB
from tests.unsafe_answers.test_defaults import SHOP

PRODUCT = """\
[product]
id = "wash"
name = "Wash"
role = "cleaner"
purpose = "cleaner"
density = "0.87 g/mL"
flash_point = "4 degC"
boiling_point = "100 degC"
hazards = ["H225"]
sds_revised = 2026-02-01

[[product.part]]
cas = "{cas}"
weight = "100 %"
limit = [{limits}]
"""
PGMEA, TOLUENE = "108-65-6", "108-88-3"


def _shop(folder: Path, cas: str, limits: str) -> Path:
    product = PRODUCT.format(cas=cas, limits=limits)
    return write_shop(folder, SHOP, {"wash": product}, {"wipe": JOB.format(amount="30 mL", minutes=20, area=0.5)})


def _limits(folder: Path, cas: str, limits: str) -> tuple[Reference, Reference]:
    """The data without and with what the sheet says."""
    shop = read_shop(_shop(folder, cas, limits) / "shop.toml")
    data = load(["us-federal"], folder, shop.products["wash"].sds_revised)  # type: ignore[arg-type]
    return data, fractions.known(shop.products.values(), data)


def test_a_vapour_without_a_limit_in_the_lists_is_held_against_that_of_its_sheet(tmp_path: Path) -> None:
    report = sheet(_shop(tmp_path, PGMEA, '{ value = "50 ppm", kind = "twa", list = "TLV" }'), "wipe", DRAWS)
    assert not [reason for reason in report.missing if "No exposure limit" in reason]
    told = [f.statement for f in report.findings if f.topic == "air" and f.step == 0]
    assert any("(TLV, by the data sheet of Wash)" in text for text in told), told
    marked = [f.statement for f in report.findings if f.key == f"data-substance:{PGMEA}"]
    assert "unverified: TLV, by the data sheet of Wash 50 ppm" in marked[0]


def test_a_mild_one_takes_the_place_of_no_limit_of_a_list(tmp_path: Path) -> None:
    data, with_it = _limits(tmp_path, TOLUENE, '{ value = "5000 ppm", kind = "twa", list = "OSHA PEL" }')
    assert set(data.limits(TOLUENE)) < set(with_it.limits(TOLUENE))
    assert with_it.governing(TOLUENE, "twa") == data.governing(TOLUENE, "twa")


def test_a_strict_one_governs(tmp_path: Path) -> None:
    _, with_it = _limits(tmp_path, TOLUENE, '{ value = "1 ppm", list = "own", kind = "twa" }')
    found = with_it.governing(TOLUENE, "twa")
    assert isinstance(found, Limit)
    assert (found.written, found.citation, found.edition) == ("1 ppm", "section 8", "2026-02-01")
