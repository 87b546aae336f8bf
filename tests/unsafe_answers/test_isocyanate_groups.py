"""A limit on isocyanate groups was held against the diisocyanate's own mass, and a polyisocyanate counted as nothing.

Directive 98/24/EC, Annex I, as amended by Directive (EU) 2024/869: diisocyanates, measured as NCO, 6 ug/m3 over 8 hours
and 12 ug/m3 over 15 minutes; until 31 December 2028 10 and 20 ug/m3.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from safety.model import Figure, Finding, Report
from safety.reference import load
from tests.unsafe_answers.shops import answers, sheet, write_shop

HDI, IPDI = "822-06-0", "4098-71-9"
NCO = 14.007 + 12.011 + 15.999  # g/mol, IUPAC standard atomic weights
MOLAR = {HDI: 168.193, IPDI: 222.29}  # g/mol, two groups each
LITRES = 8.314462618 * 293.15 / 101.325  # of one mol at 20 degC, the temperature of the European lists

SHOP = """
[shop]
name = "Invented coating bench"
altitude = "0 m"
print_units = "si"
rules = ["{rules}"]

[[place]]
id = "bench"
kind = "room"
volume = "300 m3"
temperature = "20 degC"
[[place.air]]
state = "fan on"
air_changes = "3 /hour"
air_speed = "0.1 m/s"
basis = "tracer gas"
measured = 2026-01-10
"""
PRODUCT = """
[product]
id = "{id}"
name = "{id}"
role = "hardener"
purpose = "hardener"
density = "1.1 g/mL"
flash_point = "unknown"
boiling_point = "unknown"
hazards = [{hazards}]
sds_revised = 2026-01-15
{parts}
"""
JOB = """
[job]
id = "job"
title = "Brush a plate"
start = {day}T08:00:00
crew = 1
place = "bench"
surface = "steel"
[[step]]
name = "Clear up"
duration = "10 min"
[[step]]
name = "Brush"
duration = "20 min"
{uses}
[[step]]
name = "Tidy"
duration = "10 min"
"""
USE = """
[[step.use]]
product = "{id}"
work = "brush"
amount = "200 g"
area = "0.3 m2"
"""
#: A second diisocyanate of a shop's own, with a vapour pressure of 2 Pa at 20 degC; the figures are invented.
SECOND = """
cas = "4098-71-9"
names = ["isophorone diisocyanate"]
groups = { NCO = 2 }
hazards = { codes = ["H334"], source = "test", at = "none" }
[[molar_mass]]
value = "222.29 g/mol"
source = "test"
at = "none"
[[antoine_a]]
value = "10.533"
low = "280 K"
high = "330 K"
source = "test"
at = "none"
[[antoine_b]]
value = "3000 K"
source = "test"
at = "none"
[[antoine_c]]
value = "0 K"
source = "test"
at = "none"
"""
SOURCES = '[test]\ntitle = "Invented"\nedition = "2026"\n'


def _report(
    folder: Path, *parts: str, hazards: str = '"H334"', rules: str = "eu", day: str = "2026-05-04", second: bool = False
) -> Report:
    product = PRODUCT.format(id="hardener", hazards=hazards, parts="".join(parts))
    shop = write_shop(
        folder,
        SHOP.format(rules=rules),
        {"hardener": product},
        {"job": JOB.format(day=day, uses=USE.format(id="hardener"))},
        substances={IPDI: SECOND, "sources": SOURCES} if second else None,
    )
    return sheet(shop, "job")


def _part(cas: str, weight: float, name: str = "", more: str = "") -> str:
    named = f'cas = "{cas}"' if cas else f'name = "{name}"'
    return f'\n[[product.part]]\n{named}\nweight = "{weight} %"\n{more}\n'


def _breathing(report: Report, step: int = 1) -> Finding:
    return next(f for f in answers(report, "breathing", step))


@pytest.mark.parametrize(
    ("day", "kind", "micrograms"),
    [
        (date(2026, 5, 4), "twa", 10.0),
        (date(2026, 5, 4), "short-term", 20.0),
        (date(2029, 1, 1), "twa", 6.0),
        (date(2029, 1, 1), "short-term", 12.0),
    ],
)
def test_the_limit_is_converted_by_the_share_of_the_groups(day: date, kind: str, micrograms: float) -> None:
    """20 ug NCO/m3 are 20 x 168.193 / (2 x 42.017) = 40.03 ug/m3 of HDI; it was held against 20."""
    reference = load(("eu",), Path(), day)
    limit = next(x for x in reference.limits(HDI, kind) if x.as_group)  # type: ignore[arg-type]
    share = 2 * NCO / MOLAR[HDI]  # 0.4996
    assert limit.written == f"{micrograms:g} ug NCO/m3"
    assert reference.limit_ppm(limit) == pytest.approx(micrograms / share / MOLAR[HDI] * LITRES / 1000, rel=1e-4)


#: Two groups a molecule: both diisocyanates may be in the air to the same number of molecules [ppm].
ALLOWED = 20.0 / (2 * NCO) * LITRES / 1000


def _against(found: Finding, name: str) -> tuple[float, float]:
    """How far a substance uses up its 15-minute limit, and what of it is breathed [ppm]."""
    term = next(f for f in found.figures if f.name == f"{name} against its 15-minute limit")
    breathed = dict(term.inputs)["concentration"]
    assert isinstance(breathed, Figure)
    return term.value, breathed.value


def test_hdi_is_held_against_what_it_holds_of_nco(tmp_path: Path) -> None:
    """Before: twice as far over, 1.54 times the limit where it is 0.77."""
    found = _breathing(_report(tmp_path, _part(HDI, 1.0), _part("108-65-6", 99.0)))
    ratio, ppm = _against(found, "hexamethylene diisocyanate")
    assert ratio == pytest.approx(ppm / ALLOWED, rel=1e-3)
    assert ratio < 1


def test_two_diisocyanates_are_added_up(tmp_path: Path) -> None:
    """The law counts the groups of all of them together."""
    found = _breathing(_report(tmp_path, _part(HDI, 1.0), _part(IPDI, 1.0), _part("108-65-6", 98.0), second=True))
    both = [_against(found, name) for name in ("hexamethylene diisocyanate", "isophorone diisocyanate")]
    for ratio, ppm in both:
        assert ratio == pytest.approx(ppm / ALLOWED, rel=1e-3)
    solvent = next(f.value for f in found.figures if f.name.endswith("acetate against its 15-minute limit"))
    together = next(f.value for f in found.figures if f.name.startswith("sum over"))
    assert together == pytest.approx(sum(ratio for ratio, _ in both) + solvent, rel=0.05)


POLY = _part("", 70.0, "aliphatic polyisocyanate", 'volatile = false\ngroups = ["NCO"]')


@pytest.mark.parametrize(
    ("parts", "hazards"),
    [
        ((POLY, _part("108-65-6", 30.0)), '"H334"'),
        ((_part("28182-81-2", 70.0, more="volatile = false"), _part("108-65-6", 30.0)), '"H317"'),
        ((_part("", 70.0, "resin", "volatile = false"), _part("108-65-6", 30.0)), '"EUH204"'),
    ],
    ids=["named by its groups", "by its number alone", "by the statement of the sheet"],
)
def test_what_cannot_be_converted_makes_the_sum_unknown(tmp_path: Path, parts: tuple[str, ...], hazards: str) -> None:
    """Before: "No respirator needed" and a complete sheet, though the groups were in no figure."""
    report = _report(tmp_path, *parts, hazards=hazards)
    found = _breathing(report)
    assert found.level == "control"
    assert "No respirator needed" not in found.short
    assert "NCO groups" in found.unknown
    assert "10 ug NCO/m3 (EU binding OELV)" in found.unknown
    assert "NCO groups" in _breathing(report, 2).unknown  # the 8-hour limit is the whole shift's
    assert "NCO groups" not in _breathing(report, 0).unknown
    assert any(f.key == "air-group:NCO" and f.unknown for f in report.findings)
    others = next(f for f in report.findings if f.key == "air-bystanders")
    assert others.unknown
    assert not report.complete


def test_without_such_a_limit_nothing_is_said_of_groups(tmp_path: Path) -> None:
    """No federal list of the United States counts NCO."""
    report = _report(tmp_path, POLY, _part("108-65-6", 30.0), rules="us-federal")
    assert not any("NCO groups" in f.unknown for f in report.findings)


@pytest.mark.parametrize(("cas", "share"), [("7789-06-2", 51.996 / 203.614), ("13530-65-9", 51.996 / 181.373)])
def test_chromates_are_weighed_by_their_chromium(cas: str, share: float) -> None:
    """29 CFR 1910.1026(c): 5 ug/m3, measured as chromium(VI); of the pigment itself more may be in the air."""
    reference = load(("us-federal",), Path(), date(2026, 5, 4))
    limit = next(x for x in reference.limits(cas, "twa") if x.list == "OSHA PEL")
    assert limit.written == "5 ug Cr/m3"
    assert reference.limit_mass(limit) == pytest.approx(5e-9 / share, rel=1e-3)


@pytest.mark.parametrize("cas", ["101-68-8", "9016-87-9", "91-08-7"])
def test_what_has_groups_and_no_vapour_pressure_is_not_counted_as_counted(tmp_path: Path, cas: str) -> None:
    """A part whose data know its groups was taken for one whose vapour is computed: the sum looked known."""
    report = _report(tmp_path, _part(cas, 30.0), _part("108-65-6", 70.0), hazards='"H334"')
    assert any("NCO groups into the air that are not computed" in text for text in report.missing)
