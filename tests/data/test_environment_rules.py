"""The solvent and waste rules: every record sound and dated, every boundary on the side the rule puts it.

Sources: the rule each case names; the case numbers are published where the case says so, else constructed on the rule.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import safety_solvent.tables
import safety_waste.tables
from chemicals.safety import IARC, NTP, Carcinogen
from safety_solvent.activities import fugitive_state

from safety import units
from safety.formulas.emission import MAJOR_ALL, MAJOR_ONE
from safety.formulas.solvent import ONLY_DILUTE, WATER_DENSITY
from safety.formulas.waste import (
    ACUTE_LARGE,
    ALCOHOL,
    IGNITABLE,
    LARGE_FROM,
    LISTED_SHARE,
    MOSTLY_WATER,
    RESIDUE_SMALL,
    SMALL_FROM,
    SPENT_SOLVENTS,
    spent_solvent_codes,
    weighted_share,
)
from safety.model import Contribution, Pack, Substance, Threshold
from safety.reference import Reference, cas_is_valid, crossed, load, read_pack
from safety.reference.tables import said_by

PLUGINS = Path(__file__).parents[2] / "plugins"
PACKS = {
    (plugin, jurisdiction): read_pack(PLUGINS / f"safety_{plugin}" / "rules" / f"{jurisdiction}.toml")
    for plugin in ("solvent", "waste")
    for jurisdiction in ("us-federal", "eu")
}
TABLES = {"solvent": safety_solvent.tables.TABLES, "waste": safety_waste.tables.TABLES}
SIGNS = {"over", "at or over", "under", "at or under"}


def thresholds(jurisdiction: str) -> dict[str, Threshold]:
    return {t.name: t for (_, j), pack in PACKS.items() if j == jurisdiction for t in pack.thresholds}


def rows(plugin: str, jurisdiction: str, table: str) -> tuple[Mapping[str, Any], ...]:
    return PACKS[plugin, jurisdiction].tables[table]


# ---------------------------------------------------------------- every record


@pytest.mark.parametrize("pack", PACKS.values(), ids=map("-".join, PACKS))
def test_every_row_is_sourced_and_its_substances_are_real(pack: Pack) -> None:
    for table, records in pack.tables.items():
        for row in records:
            assert row["citation"].strip(), table
            assert row["edition"].strip(), table
            assert "cas" not in row or cas_is_valid(row["cas"]), (table, row)
            assert row.get("compare", "over") in SIGNS, (table, row)
            for key in ("limit", "quantity", "consumption"):
                kind = {"limit": "concentration", "quantity": "mass", "consumption": "mass"}[key]
                if key in row:
                    wanted = "mass" if table == "major_source_voc" else kind
                    assert units.read(row[key], wanted) > 0, (table, row)


@pytest.mark.parametrize("pack", PACKS.values(), ids=map("-".join, PACKS))
def test_what_was_recalled_is_marked(pack: Pack) -> None:
    marks = [(t.name, t.edition, t.unverified) for t in pack.thresholds]
    marks += [(key, row["edition"], row.get("unverified", "")) for key, table in pack.tables.items() for row in table]
    for name, edition, why in marks:
        assert why or "memory" not in edition, name


def test_the_packs_join_the_shipped_ones() -> None:
    added = [(plugin, Contribution(packs=(pack,), tables=TABLES[plugin])) for (plugin, _), pack in PACKS.items()]
    reference = load(("us-federal", "eu"), Path(__file__).parent, date(2026, 11, 25), added)
    for (_, _), pack in PACKS.items():
        for threshold in pack.thresholds:
            assert reference.threshold(threshold.name) == threshold
        for table in pack.tables:
            assert {pack_id for row in reference.table(table) for pack_id in said_by(row)} >= {pack.id}


@pytest.mark.parametrize(
    ("plugin", "jurisdiction", "table", "keys"),
    [
        ("solvent", "us-federal", "coating_limit", ("id",)),
        ("solvent", "us-federal", "exempt_operation", ("id",)),
        ("solvent", "us-federal", "voc_exempt", ("cas",)),
        ("solvent", "us-federal", "hap", ("cas",)),
        ("solvent", "us-federal", "release_inventory", ("cas",)),
        ("solvent", "us-federal", "reportable_quantity", ("cas",)),
        ("solvent", "eu", "solvent_activity", ("id",)),
        ("solvent", "eu", "fugitive_limit", ("activity", "over")),
        ("waste", "us-federal", "spent_solvent", ("cas",)),
        ("waste", "us-federal", "toxicity", ("code",)),
        ("waste", "us-federal", "unused_product", ("cas",)),
        ("waste", "us-federal", "wipes_condition", ("kind", "id")),
        ("waste", "us-federal", "shipping", ("stream",)),
        ("waste", "eu", "list_of_waste", ("code",)),
    ],
)
def test_nothing_is_entered_twice(plugin: str, jurisdiction: str, table: str, keys: tuple[str, ...]) -> None:
    names = [tuple(row[key] for key in keys) for row in rows(plugin, jurisdiction, table)]
    assert len(set(names)) == len(names) > 0


# ---------------------------------------------------------------- boundaries: value, and whether the rule is crossed

BOUNDARIES = [
    # 40 CFR 63.744(b)(2): at or under 45 mm Hg passes; vapour pressures of the EPA memo
    ("us-federal", "hand-wipe-vapour-pressure", "9.85 mmHg", "pressure", False),
    ("us-federal", "hand-wipe-vapour-pressure", "45 mmHg", "pressure", False),
    ("us-federal", "hand-wipe-vapour-pressure", "70.6 mmHg", "pressure", True),
    # 40 CFR 63.744(b)(1), Table 1
    # 40 CFR 63.741(f) and (g)
    ("us-federal", "hap-counted-carcinogen", "0.1 %", "fraction", True),
    ("us-federal", "hap-counted-other", "0.9 %", "fraction", False),
    ("us-federal", "low-volume-coating-per-year", "50 US_gal", "volume", False),
    ("us-federal", "low-volume-coatings-together-per-year", "200 US_gal", "volume", False),
    ("us-federal", "low-volume-coatings-together-per-year", "201 US_gal", "volume", True),
    # 40 CFR 70.2
    ("us-federal", "major-source-one-hap-per-year", "20000 lb", "mass", True),
    ("us-federal", "major-source-one-hap-per-year", "19999 lb", "mass", False),
    ("us-federal", "major-source-all-hap-per-year", "50000 lb", "mass", True),
    # 40 CFR 372.25, exceeds; 370.10, at any one time
    ("us-federal", "toxic-release-otherwise-used-per-year", "10000 lb", "mass", False),
    ("us-federal", "toxic-release-otherwise-used-per-year", "10001 lb", "mass", True),
    ("us-federal", "stored-at-once", "10000 lb", "mass", True),
    # 40 CFR 262.13, Table 1
    ("us-federal", "generator-small", "100 kg", "mass", False),
    ("us-federal", "generator-small", "100.1 kg", "mass", True),
    ("us-federal", "generator-small", "220 lb", "mass", False),
    ("us-federal", "generator-large", "1000 kg", "mass", True),
    ("us-federal", "generator-large", "999.9 kg", "mass", False),
    ("us-federal", "generator-large-acute", "1 kg", "mass", False),
    ("us-federal", "generator-large-acute", "2.3 lb", "mass", True),
    # 40 CFR 262.14 to 262.17
    ("us-federal", "vsqg-on-site", "1000 kg", "mass", True),
    ("us-federal", "sqg-on-site", "6000 kg", "mass", False),
    ("us-federal", "lqg-days", "90 day", "time", False),
    ("us-federal", "lqg-days", "91 day", "time", True),
    ("us-federal", "sqg-days", "180 day", "time", False),
    ("us-federal", "sqg-days-far", "270 day", "time", False),
    ("us-federal", "far-facility-miles", "200", "number", True),
    ("us-federal", "satellite-volume", "55 US_gal", "volume", False),
    ("us-federal", "satellite-acute-liquid", "1 US_qt", "volume", False),
    ("us-federal", "satellite-move-days", "3 day", "time", False),
    ("us-federal", "satellite-move-days", "4 day", "time", True),
    # 40 CFR 261.21, 261.31, 261.4, 261.7
    ("us-federal", "ignitable-flash-point", "59.9 degC", "temperature", True),
    ("us-federal", "ignitable-flash-point", "140 degF", "temperature", False),
    ("us-federal", "ignitable-alcohol", "24 %", "fraction", False),
    ("us-federal", "spent-solvent-share", "10 %", "fraction", True),
    ("us-federal", "wipes-days", "180 day", "time", False),
    ("us-federal", "wipes-days", "181 day", "time", True),
    ("us-federal", "empty-depth", "1 in", "length", True),  # an inch is 2.54 cm; the rule's metric figure is used
    ("us-federal", "empty-depth", "2.5 cm", "length", False),
    ("us-federal", "empty-share", "3 %", "fraction", False),
    # Directive 2008/98/EC, Annex III, HP 3; Directive 2010/75/EU
    ("eu", "hp3-flash-point", "60 degC", "temperature", False),
    ("eu", "hp3-flash-point", "59.9 degC", "temperature", True),
    ("eu", "hp3-fuel-flash-point", "75 degC", "temperature", True),
    ("eu", "hp3-fuel-flash-point", "75.1 degC", "temperature", False),
    ("eu", "voc-vapour-pressure", "0.01 kPa", "pressure", True),
]


@pytest.mark.parametrize(("jurisdiction", "name", "value", "kind", "is_crossed"), BOUNDARIES)
def test_boundary(jurisdiction: str, name: str, value: str, kind: str, is_crossed: bool) -> None:
    threshold = thresholds(jurisdiction)[name]
    assert bool(crossed(units.read(value, kind), threshold.value, threshold.compare)) is is_crossed


@pytest.mark.parametrize(
    ("coating", "content", "over"),
    [  # 40 CFR 63.745(c)(2); 25 Pa. Code 129.73, Table II; sealants from memory
        ("primer", "360 g/L", True),
        ("primer-general-aviation-rework", "360 g/L", False),
        ("bonding-primer-to-250f", "850 g/L", False),
        ("adhesive-rubber-based", "870 g/L", True),
        ("rain-erosion-resistant", "840 g/L", False),
        ("adhesive-structural-autoclavable", "61 g/L", True),
    ],
)
def test_coating_limit(coating: str, content: str, over: bool) -> None:
    row = next(r for r in rows("solvent", "us-federal", "coating_limit") if r["id"] == coating)
    assert bool(crossed(units.read(content, "density"), units.read(row["limit"], "density"), row["compare"])) is over


def test_a_coating_limit_is_printed_alike_in_both_units() -> None:
    """The tables print g/L and lb/gal; both round the same limit (0.1 lb/gal is 12 g/L)."""
    for row in rows("solvent", "us-federal", "coating_limit"):
        metric, _, rest = row["printed"].partition(" (")
        pounds = units.read(rest.removesuffix(" lb/gal)") + " lb/US_gal", "density")
        assert metric == row["limit"]
        assert pounds == pytest.approx(units.read(metric, "density"), abs=0.06 * 119.8), row["id"]


@pytest.mark.parametrize(
    ("leached", "codes"),
    [  # 40 CFR 261.24, Table 1
        ({"7440-47-3": "5.0 mg/L", "71-43-2": "0.4 mg/L"}, {"D007"}),
        ({"78-93-3": "200 mg/L"}, {"D035"}),
        ({"78-93-3": "199 mg/L", "127-18-4": "0.7 mg/L", "79-01-6": "0.49 mg/L"}, {"D039"}),
        ({"7439-92-1": "4.9 mg/L"}, set()),
    ],
)
def test_toxicity(leached: dict[str, str], codes: set[str]) -> None:
    found = {
        row["code"]
        for row in rows("waste", "us-federal", "toxicity")
        if row["cas"] in leached
        and crossed(
            units.read(leached[row["cas"]], "concentration"), units.read(row["limit"], "concentration"), row["compare"]
        )
    }
    assert found == codes


@pytest.mark.parametrize(
    ("parts", "properties"),
    [  # Regulations (EU) 1357/2014 and 2017/997, limits from memory
        ({"H318": 0.12}, {"HP 4"}),
        ({"H335": 0.22}, {"HP 5"}),
        ({"H411": 0.02, "H412": 0.06}, {"HP 14"}),
        ({"H361": 0.029}, set()),
        ({"H361": 0.03}, {"HP 10"}),
        ({"H351": 0.01}, {"HP 7"}),
        ({"H314": 0.049}, set()),
        ({"H315": 0.15, "H319": 0.05}, {"HP 4"}),
        ({"H302": 0.009}, set()),
    ],
)
def test_hazardous_property(parts: dict[str, float], properties: set[str]) -> None:
    found = set()
    for row in rows("waste", "eu", "hazardous_property"):
        weights = {h: w for h, w in row["weights"].items() if h in parts}
        cuts = row.get("cut_offs_percent", {})
        shares = [parts[h] for h in weights]
        cut_offs = [cuts.get(h, row["cut_off_percent"]) / 100 for h in weights]
        sums = weighted_share(shares, list(weights.values()), cut_offs) if weights else 0.0
        reached = max(shares, default=0.0) if row["how"] == "single" else sums
        if weights and crossed(round(float(reached), 12), row["limit_percent"] / 100, row["compare"]):
            found.add(row["property"])
    assert found == properties


# ---------------------------------------------------------------- rules and formulas say the same


def test_the_spent_solvent_list_is_the_formula_s() -> None:
    assert {r["cas"]: tuple(r["codes"]) for r in rows("waste", "us-federal", "spent_solvent")} == SPENT_SOLVENTS
    # 40 CFR 261.31: a blend of two lists; EPA letter of 14 April 1987, example 1: an unused product is on no list
    assert spent_solvent_codes([(0.11, SPENT_SOLVENTS["75-09-2"]), (0.89, ())], 350.0) == "F002"
    assert "unused" in {r["id"] for r in rows("waste", "us-federal", "spent_solvent_scope")}


@pytest.mark.parametrize(
    ("name", "constant"),
    [
        ("generator-small", SMALL_FROM),
        ("generator-large", LARGE_FROM),
        ("generator-large-acute", ACUTE_LARGE),
        ("spent-solvent-share", LISTED_SHARE),
        ("ignitable-flash-point", IGNITABLE),
        ("ignitable-alcohol", ALCOHOL),
        ("ignitable-water", MOSTLY_WATER),
        ("empty-share", RESIDUE_SMALL),
        ("major-source-one-hap-per-year", MAJOR_ONE),
        ("major-source-all-hap-per-year", MAJOR_ALL),
    ],
)
def test_a_formula_s_constant_is_the_rule_s(name: str, constant: float) -> None:
    assert thresholds("us-federal")[name].value == pytest.approx(constant, rel=1e-9)


def test_what_only_dilutes_is_neither_voc_nor_hap(shipped: Reference) -> None:
    exempt = {row["cas"] for row in rows("solvent", "us-federal", "voc_exempt")}
    listed = {row["cas"] for row in rows("solvent", "us-federal", "hap") if row["listed"]}
    assert exempt & set(shipped.known()) - listed == ONLY_DILUTE
    assert {"75-09-2", "127-18-4"} <= exempt & listed  # exempt from VOC, and HAP all the same: they count
    # 40 CFR 63.750(c) prints 8.33 lb/gal
    assert units.convert(WATER_DENSITY, "density", "lb/US_gal") == pytest.approx(8.33)


def test_every_substance_has_a_word_on_hap(shipped: Reference, substances: tuple[Substance, ...]) -> None:
    judged = {row["cas"]: row["listed"] for row in rows("solvent", "us-federal", "hap")}
    silent = {s.cas for s in substances} - {"7732-18-5"} - set(judged)
    assert not silent, (
        "write a [[hap]] of each into plugins/safety_solvent/rules/us-federal.toml, listed = true or false"
    )
    # 87 FR 393 added 1-bromopropane; 70 FR 75047 took methyl ethyl ketone off
    assert judged["106-94-5"] is True
    assert judged["78-93-3"] is False
    assert judged["108-88-3"] is True
    assert judged["67-64-1"] is False


def test_every_substance_has_a_word_on_the_release_inventory(substances: tuple[Substance, ...]) -> None:
    """EPA, totals of the toxic release inventory by substance, 2023, by CAS number; N090, N120 and N230 are its groups."""
    records = rows("solvent", "us-federal", "release_inventory")
    judged = {row["cas"]: row["listed"] for row in records}
    silent = ({s.cas for s in substances} | {r["cas"] for r in rows("solvent", "us-federal", "hap")}) - set(judged)
    assert not silent, "write a [[release_inventory]] of each into plugins/safety_solvent/rules/us-federal.toml"
    reported = [
        "100414",
        "100425",
        "106423",
        "106945",
        "108101",
        "108383",
        "108883",
        "110543",
        "110827",
        "127184",
        "1330207",
        "67561",
        "68122",
        "71363",
        "71432",
        "75092",
        "79016",
        "80626",
        "872504",
        "91203",
        "95476",
        "95636",
        "98828",
    ]
    # listed as far as we remember; their rows say that nobody read it
    recalled = {"75-65-0", "78-92-2", "107-21-1", "110-80-5", "584-84-9", "91-08-7", "26471-62-5"}
    grouped = {row["cas"]: row["group"] for row in records if row.get("group")}
    assert grouped == {
        "101-68-8": "diisocyanates",
        "111-76-2": "certain glycol ethers",
        "111-77-3": "certain glycol ethers",
        "111-90-0": "certain glycol ethers",
        "112-07-2": "certain glycol ethers",
        "112-34-5": "certain glycol ethers",
        "122-99-6": "certain glycol ethers",
        "124-17-4": "certain glycol ethers",
        "13530-65-9": "chromium compounds",
        "2807-30-9": "certain glycol ethers",
        "7789-06-2": "chromium compounds",
        "822-06-0": "diisocyanates",
        "9016-87-9": "diisocyanates",
    }
    assert {cas.replace("-", "") for cas, listed in judged.items() if listed} == {
        *reported,
        *(cas.replace("-", "") for cas in grouped),
        *(cas.replace("-", "") for cas in recalled),
    }, "listed = true of what was reported and stands above, false of all others"
    # 70 FR 37698 took methyl ethyl ketone off; isopropyl alcohol is listed for who makes it by the strong acid process
    assert judged["78-93-3"] is judged["67-63-0"] is False
    # what no other text shows: absence from the totals does not prove that a substance is not listed
    for row in records:
        read = (row["listed"] and row["cas"] not in recalled) or row["cas"] in ("78-93-3", "67-63-0")
        write = "write" if not read or "group" in row else "take out"
        assert bool(row.get("unverified")) is (write == "write"), (
            f'{row["cas"]}: {write} unverified = "..." in its [[release_inventory]] (plugins/safety_solvent/rules)'
        )


def test_carcinogens_count_from_the_smaller_share() -> None:
    """29 CFR 1910.1200(d)(4), from memory: what NTP lists, and IARC in group 1, 2A or 2B; both as carried by chemicals.

    Both have the chromates as a group, chromium(VI) compounds, and not by their own numbers.
    """
    named = set()
    for table in ("hap", "release_inventory"):
        for cas in (row["cas"] for row in rows("solvent", "us-federal", table) if row["listed"]):
            iarc, ntp = Carcinogen(cas, method=IARC), Carcinogen(cas, method=NTP)
            if ntp != "Unlisted" or iarc.endswith(("(1)", "(2A)", "(2B)")):
                named.add(cas)
    found = {row["cas"] for row in rows("solvent", "us-federal", "hap_carcinogen")}
    assert found == named | {"7789-06-2", "13530-65-9"}
    assert {"71-43-2", "75-09-2", "100-41-4"} <= named


# ---------------------------------------------------------------- lists a person must be able to rely on


def test_every_condition_of_the_wipes_exclusions_is_there() -> None:
    """40 CFR 261.4(a)(26) and (b)(18): the same conditions, but for where they go and trichloroethylene."""
    found = {
        kind: {r["id"] for r in rows("waste", "us-federal", "wipes_condition") if r["kind"] == kind}
        for kind in ("reusable", "disposable")
    }
    wanted = {"solvents", "nothing-else", "container", "label", "time", "no-free-liquid", "receiver", "records"}
    assert found == {"reusable": wanted, "disposable": wanted}
    assert [(r["kind"], r["cas"]) for r in rows("waste", "us-federal", "wipes_barred")] == [("disposable", "79-01-6")]
    labels = {r["label"] for r in rows("waste", "us-federal", "wipes_exclusion")}
    assert labels == {"Excluded Solvent-Contaminated Wipes"}
    not_wipes = next(r["items"] for r in rows("waste", "us-federal", "wipes_are") if not r["wipe"])
    assert "glove" in not_wipes  # EPA, frequent questions on the wipes rule


def test_exempt_operations_name_bonding_and_tanks() -> None:
    """40 CFR 63.744(e)(3) and (6)."""
    numbers = {row["id"]: row["number"] for row in rows("solvent", "us-federal", "exempt_operation")}
    assert numbers["before-bonding"] == "3"
    assert numbers["fuel-tanks-and-confined-spaces"] == "6"
    assert len(numbers) == 13


@pytest.mark.parametrize(
    ("activity", "consumption", "in_scope"),
    [  # SSI 2012/360, Schedule 2, Table 1
        ("other-surface-cleaning", "2.3 t", True),
        ("other-surface-cleaning", "2 t", False),
        ("adhesive-coating", "4.05 t", False),
        ("surface-cleaning-cmr", "1.1 t", True),
    ],
)
def test_solvent_activity(activity: str, consumption: str, in_scope: bool) -> None:
    row = next(r for r in rows("solvent", "eu", "solvent_activity") if r["id"] == activity)
    limit = units.read(row["consumption"], "mass")
    assert bool(crossed(units.read(consumption, "mass"), limit, row["compare"])) is in_scope


def test_fugitive_bands_leave_no_gap() -> None:
    """Directive 1999/13/EC, Annex IIA: 20 then 15 % for other cleaning, 15 then 10 % for the dangerous solvents."""
    bands: dict[str, list[Mapping[str, Any]]] = {}
    for row in rows("solvent", "eu", "fugitive_limit"):
        bands.setdefault(row["activity"], []).append(row)
    for band in bands.values():
        assert [r["over"] for r in band[1:]] == [r["up_to"] for r in band[:-1]]
        assert band[-1]["up_to"] == "0 t"
        assert [r["percent"] for r in band] == sorted((r["percent"] for r in band), reverse=True)
    assert [r["percent"] for r in bands["other-surface-cleaning"]] == [20, 15]
    assert [r["percent"] for r in bands["surface-cleaning-cmr"]] == [15, 10]


@pytest.mark.parametrize(
    ("tonnes", "percent"),
    [(1.01, 15), (5.0, 15), (5.01, 10)],  # Directive 2010/75/EU, Annex VII part 2, item 4: 1-5, then > 5
)
def test_a_band_holds_its_upper_end(tonnes: float, percent: int) -> None:
    reference = load(("eu",), Path(__file__).parent, date(2026, 11, 25), [("solvent", safety_solvent.contribute())])
    text = fugitive_state("surface-cleaning-cmr", tonnes * 1000, 0.5, reference)
    assert f"limit {percent} %" in text


def test_the_lowest_band_does_not_hold_its_lower_end() -> None:
    """Directive 2010/75/EU, Annex VII part 2, item 4: 1-5 t, for an activity in scope over 1 t."""
    reference = load(("eu",), Path(__file__).parent, date(2026, 11, 25), [("solvent", safety_solvent.contribute())])
    text = fugitive_state("surface-cleaning-cmr", 1000.0, 0.5, reference)
    assert text == "in scope; no fugitive limit is loaded for this size"


@pytest.mark.parametrize(("share", "over"), [(0.15, False), (0.1501, True)])
def test_a_fugitive_limit_is_passed_only_above_it(share: float, over: bool) -> None:
    """Directive 2010/75/EU, article 59(1): emissions shall not exceed the limit value."""
    reference = load(("eu",), Path(__file__).parent, date(2026, 11, 25), [("solvent", safety_solvent.contribute())])
    assert (": over," in fugitive_state("surface-cleaning-cmr", 2000.0, share, reference)) is over


def test_list_of_waste_mirrors_point_at_each_other() -> None:
    """Decision 2000/532/EC: a starred entry and its mirror name one another where both are entered."""
    entries = {row["code"].rstrip("*"): row for row in rows("waste", "eu", "list_of_waste")}
    assert {code for code, row in entries.items() if row["hazardous"]} >= {
        "14 06 03",
        "15 02 02",
        "08 04 09",
        "08 01 11",
    }
    for code, row in entries.items():
        assert row["code"].endswith("*") is row["hazardous"]
        if row["mirror"] in entries:
            assert entries[row["mirror"]]["mirror"] == code
            assert entries[row["mirror"]]["hazardous"] is not row["hazardous"]
