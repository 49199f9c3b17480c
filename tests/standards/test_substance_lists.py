"""What the table says of each substance by law, column by column against outside lists.

`reference/__main__.py` says where the lists are from. A difference that is meant stands beside its reason; what no
list was found for is marked `from memory` in the table's own sources, and these tests ask for that mark.
"""

import csv
import re
from pathlib import Path

import pytest

from stock.cautions.substances import substance, substances_by_name

EACH = {one.cas: one for one in substances_by_name().values()}


def reference(name):
    text = (Path(__file__).parent / "reference" / f"{name}.csv").read_text(encoding="utf-8")
    return {row["cas"]: row for row in csv.DictReader(text.splitlines())}


# hazard statements: Regulation (EC) 1272/2008, annex VI, table 3

NOTE_P = {"64742-95-6", "64742-82-1", "64742-48-9", "8052-41-3", "64742-49-0", "64742-89-8"}
"""Petroleum cuts. Note P: H340 and H350 need not apply below 0.1 % of benzene, and Regulation (EC) 1907/2006, annex
XVII, entry 5, keeps what has more off the market."""
OTHER_ENTRY = {
    "106-97-8": "the entry seen is of butane with 0.1 % of butadiene and more",
    "75-28-5": "the same, of isobutane",
    "7647-01-0": "the entry seen is of the gas; the table has its solution",
}
STATEMENT = re.compile(r"H[2-4]\d\d(i|F|D|FD|Fd|Df|f|d|fd)?|EUH\d\d\d")


def test_harmonised_statements_are_those_of_annex_six():
    seen = reference("annex-vi")
    assert len(seen) > 250
    for cas, row in seen.items():
        ours, theirs = set(EACH[cas].h_statements), set(row["h_statements"].split())
        if cas in NOTE_P:
            assert theirs - ours == {"H340", "H350"}, cas
        elif cas not in OTHER_ENTRY:
            assert theirs <= ours, EACH[cas].name
        for code in ours - theirs:
            assert cas in OTHER_ENTRY or "memory" in EACH[cas].source_of("h"), (EACH[cas].name, code)


def test_what_an_entry_of_a_group_covers_has_its_statements():
    """Of 2-ethylhexanoic acid's salts and of lead compounds, which stand in annex VI without the numbers of each."""
    text = (Path(__file__).parent / "reference" / "annex-vi-groups.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    assert len(rows) == 6
    for row in rows:
        one = EACH[row["cas"]]
        assert set(one.h_statements) == set(row["h_statements"].split()), one.name
        assert row["index"] in one.source_of("h"), one.name


def test_each_statement_is_one_and_what_is_not_from_the_annex_says_so():
    seen = reference("annex-vi")
    named = [one for one in EACH.values() if one.h_statements is not None]
    assert len(named) > 340
    for one in named:
        assert all(STATEMENT.fullmatch(code) for code in one.h_statements), one.name
        assert len(set(one.h_statements)) == len(one.h_statements), one.name
        assert one.source_of("h"), one.name
        if one.cas not in seen and one.name != "titanium dioxide":
            assert "memory" in one.source_of("h") or "as seen" in one.source_of("h"), one.name


def test_what_burns_by_its_statement_burns_in_the_table():
    for one in EACH.values():
        if {"H224", "H225", "H226"} & set(one.h_statements or ()):
            assert one.burns, one.name


# US waste codes: 40 CFR 261.24, .31, .33

ISOMERS = {
    "95-47-6": "an isomer of xylene, which U239 names",
    "108-38-3": "the same",
    "106-42-3": "the same",
    "584-84-9": "an isomer of toluene diisocyanate, which U223 names",
}
METALS = {"D005", "D006", "D007", "D008", "D010"}
"""Barium, cadmium, chromium, lead and selenium: listed as metals, and so of each compound that holds them."""
SPENT = {
    "F001": "tetrachloroethylene; trichloroethylene; dichloromethane; 1,1,1-trichloroethane; carbon tetrachloride",
    "F002": "tetrachloroethylene; dichloromethane; trichloroethylene; 1,1,1-trichloroethane; chlorobenzene;"
    " 1,2-dichlorobenzene",
    "F003": "xylene; o-xylene; m-xylene; p-xylene; acetone; ethyl acetate; ethylbenzene; diethyl ether;"
    " 4-methylpentan-2-one; butan-1-ol; cyclohexanone; methanol",
    "F005": "toluene; butanone; carbon disulfide; 2-methylpropan-1-ol; pyridine; benzene; 2-ethoxyethanol;"
    " 2-nitropropane",
}
"""The spent solvents of 261.31 that are in the table, as two public programs for waste print the lists' own words."""


def test_codes_of_pure_substances_and_of_what_leaches_out_are_the_library_s():
    compared = 0
    for cas, row in reference("chemical-safety-1.1.6").items():
        codes = EACH[cas].us_waste
        pure = {code for code in codes or () if code[0] in "UP"}
        leached = {code for code in codes or () if code[0] == "D"}
        if cas in ISOMERS:
            assert pure and not row["pure"]
            continue
        assert pure == set(row["pure"].split()), EACH[cas].name
        assert leached - METALS == set(row["leached"].split()), EACH[cas].name
        compared += len(pure) + len(leached - METALS)
    assert compared >= 55


@pytest.mark.parametrize("code", SPENT)
def test_spent_solvents(code):
    assert {one.name for one in EACH.values() if code in (one.us_waste or ())} == set(SPENT[code].split("; "))


def test_metals_that_leach_out_are_those_of_the_pigments():
    for name, codes in {
        "lead chromate": {"D007", "D008"}, "lead": {"D008"}, "cadmium sulfide": {"D006"},
        "cadmium sulfoselenide red": {"D006", "D010"}, "strontium chromate": {"D007"}, "zinc oxide": set(),
    }.items():  # fmt: skip
        assert set(substance(name).us_waste) == codes, name


# VOC

EXEMPT = {
    "dichloromethane": "44 FR 32042", "1,1,1-trichloroethane": "42 FR 35314", "acetone": "51.100(s)(1)",
    "4-chlorobenzotrifluoride": "51.100(s)(1)", "tetrachloroethylene": "51.100(s)(1)",
    "1,1,1,2-tetrafluoroethane": "51.100(s)(1)", "1,1-difluoroethane": "51.100(s)(1)",
    "octamethylcyclotetrasiloxane": "51.100(s)(1)", "decamethylcyclopentasiloxane": "51.100(s)(1)",
    "hexamethyldisiloxane": "51.100(s)(1)", "tert-butyl acetate": "81 FR 9339",
    "2-amino-2-methylpropanol": "79 FR 17037", "dimethyl carbonate": "74 FR 3437",
    "propylene carbonate": "74 FR 3437", "methyl acetate": "63 FR 17331", "methyl formate": "69 FR 69290",
    "trans-1,3,3,3-tetrafluoroprop-1-ene": "2012-15347",
}  # fmt: skip
"""What 40 CFR 51.100(s) excludes, each with the notice or the text in which it was read on 27 November 2026."""


def test_what_is_no_voc_in_the_united_states():
    assert {one.name for one in EACH.values() if one.us_voc == "exempt"} == set(EXEMPT)
    for name, where in EXEMPT.items():
        assert where in substance(name).source_of("us_voc"), name


def test_a_voc_of_the_european_union_boils_at_250_degrees_or_below():
    """Directive 2004/42/EC, article 2 (5); Texanol at 254 °C is the trade's example of what is none."""
    for one in EACH.values():
        if one.boiling_point_mc is not None and "organic" not in one.source_of("eu_voc"):
            assert (one.eu_voc == "voc") == (one.boiling_point_mc <= 250_000), one.name
    for name in (
        "acetone",
        "dichloromethane",
        "4-chlorobenzotrifluoride",
        "white spirit",
        "dipropylene glycol n-butyl ether",
    ):
        found = substance(name)
        assert found is None or found.eu_voc == "voc", name
    assert {
        substance("zinc oxide").eu_voc,
        substance("water").eu_voc,
        substance("phosphoric acid").us_voc,
    } == {"no"}


# hazardous air pollutants: Clean Air Act, 112(b)

FAMILIES = ("glycol ethers", "compounds", "holds", "added 2022")


def test_hazardous_air_pollutants_are_those_of_the_list_and_of_its_families():
    listed = reference("hazardous-air-pollutants")
    assert len(listed) > 165
    for one in EACH.values():
        if one.cas in listed:
            assert one.hap, one.name
        elif one.hap:
            assert any(word in one.source_of("hap") for word in FAMILIES), one.name
    assert {
        substance(name).hap for name in ("butanone", "2-butoxyethanol", "propylene glycol methyl ether")
    } == {False}
    assert {substance(name).hap for name in ("2-butoxyethyl acetate", "lead chromate", "1-bromopropane")} == {
        True
    }
    assert substance("kerosene").hap is None


# peroxide formers

CELLOIDIN = "9004-70-0"
"""The list names celloidin, nitrocellulose dissolved in ether: what forms peroxides there is the ether."""


def test_peroxide_formers_are_named_with_the_list_and_its_class():
    umn = {cas: row["peroxide"] for cas, row in reference("chemical-safety-1.1.6").items() if row["peroxide"]}
    assert umn.pop(CELLOIDIN) == "A"
    for one in EACH.values():
        assert ("UMN" in one.peroxide_list) == (one.cas in umn), one.name
        assert f"UMN {umn.get(one.cas, '')}".strip() in f"UMN; {one.peroxide_list}", one.name
        assert (one.peroxide == "listed") == bool(one.peroxide_list), one.name
    assert substance("xylene").peroxide_list == "" and substance("xylene").peroxide == "no"
    assert "Cornell B" in substance("MIBK").peroxide_list
