"""Determinations of hazardous waste against the regulations' own lists and levels.

40 CFR 261.21(a)(1) (flash point below 60 °C; no aqueous solution with less than 24 % alcohol by volume), 261.22(a)(1)
(aqueous, pH 2 or below, 12.5 or above), 261.24 table 1 (read in two copies), 261.31 (F001 to F005 read in two copies),
261.33 (a published library's; tests/standards/test_substance_lists.py compares the lists); 50 FR 53315 (mixtures by
their content before use); EPA RO 14109 (an unused product carries no F code). Decision 2000/532/EC, the list of waste.
"""

from math import sqrt

import pytest

from stock.cautions.eu_waste_codes import eu_code
from stock.cautions.waste_codes import levels, metals_of, us_codes
from tests.cautions.sample_facts import product, share


def thing(role, *solvents, water=0, solids=0, flash=None, density=1_000_000, groups=()):
    """A product of which everything is known; `flash` in °C, None for none."""
    return product(
        role=role, solvents=solvents, water_milli=water * 1000, solids_milli=solids * 1000, groups=groups,
        no_flash_point=flash is None, flash_point_mc=None if flash is None else flash * 1000,
        density_ug_per_ml=density,
    )  # fmt: skip


DETERMINED = [
    # thrown away unused: characteristics, and the chemical itself
    (
        "lacquer thinner, 60 % toluene, 40 % butanone",
        thing("reducer", share("toluene", 60), share("butanone", 40), flash=-5),
        False,
        "D001 D035",
        "14 06 03*",
    ),
    (
        "pure acetone",
        thing("cleaner", share("acetone", 100), flash=-18, density=790_000),
        False,
        "D001 U002",
        "14 06 03*",
    ),
    (
        "stripper of 90 % dichloromethane, 10 % methanol",
        thing("cleaner", share("dichloromethane", 90), share("methanol", 10), density=1_260_000),
        False,
        "U080",
        "14 06 02*",
    ),
    (
        "lye of 30 % sodium hydroxide",
        thing("cleaner", share("sodium hydroxide", 30), water=70, groups=("base",)),
        False,
        "D002",
        "06 02 04*",
    ),
    (
        "soapy cleaner with 0.05 % sodium hydroxide",
        thing("cleaner", share("sodium hydroxide", 0.05), water=99.95, groups=("base",)),
        False,
        "",
        "06 02 04*",
    ),
    (
        "rust remover of 25 % phosphoric acid",
        thing("cleaner", share("phosphoric acid", 25), water=75, groups=("acid",)),
        False,
        "D002",
        "06 01 06*",
    ),
    (
        "vinegar of 5 % acetic acid",
        thing("cleaner", share("acetic acid", 5), water=95, groups=("organic_acid",)),
        False,
        "",
        "06 01 06*",
    ),
    (
        "enamel with 10 % lead chromate",
        thing("paint", share("xylene", 40), share("lead chromate", 10), solids=50, flash=25),
        False,
        "D001 D007 D008",
        "08 01 11*",
    ),
    (
        "primer with 20 % barium sulfate",
        thing("paint", share("barium sulfate", 20), water=40, solids=40),
        False,
        "",
        "08 01 12",
    ),
    ("waterborne paint without solvent", thing("paint", water=60, solids=40), False, "", "08 01 12"),
    (
        "20 % ethanol in water",
        thing("cleaner", share("ethanol", 15), water=85, flash=40, density=975_000),
        False,
        "",
        "14 06 03*",
    ),
    # used as a solvent
    (
        "spent xylene",
        thing("cleaner", share("xylene", 100), flash=25, density=870_000),
        True,
        "D001 F003",
        "14 06 03*",
    ),
    (
        "spent thinner, 50 % acetone, 40 % ethyl acetate, 10 % butanol",
        thing(
            "cleaner", share("acetone", 50), share("ethyl acetate", 40), share("butan-1-ol", 10), flash=-15
        ),
        True,
        "D001 F003",
        "14 06 03*",
    ),
    (
        "spent gun wash, 30 % toluene, 70 % xylene",
        thing("cleaner", share("toluene", 30), share("xylene", 70), flash=5),
        True,
        "D001 F003 F005",
        "14 06 03*",
    ),
    (
        "spent acetone with 30 % ethanol",
        thing("cleaner", share("acetone", 70), share("ethanol", 30), flash=-15),
        True,
        "D001",
        "14 06 03*",
    ),
    (
        "spent stripper of 90 % dichloromethane",
        thing("cleaner", share("dichloromethane", 90), share("methanol", 10), density=1_260_000),
        True,
        "F002 F003",
        "14 06 02*",
    ),
    (
        "spent tetrachloroethylene",
        thing("cleaner", share("tetrachloroethylene", 100), density=1_620_000),
        True,
        "D039 F002",
        "14 06 02*",
    ),
    (
        "spent cleaner, 4 % butanone by volume",
        thing("cleaner", share("butanone", 4, "volume"), water=96),
        True,
        "D035",
        "14 06 03*",
    ),
    # hardeners
    (
        "hardener of 60 % HDI homopolymer",
        thing("hardener", share("hdi homopolymer", 60), share("butyl acetate", 40), flash=30),
        False,
        "D001",
        "08 05 01*",
    ),
]


WHERE = {
    "D001": "40 CFR 261.21(a)(1)", "D002": "40 CFR 261.22(a)(1)", "D007": "40 CFR 261.24 table 1, chromium 5 mg/L",
    "D008": "40 CFR 261.24 table 1, lead 5 mg/L", "D035": "40 CFR 261.24 table 1, methyl ethyl ketone 200 mg/L",
    "D039": "40 CFR 261.24 table 1, tetrachloroethylene 0.7 mg/L", "F002": "40 CFR 261.31, F002; 50 FR 53315",
    "F003": "40 CFR 261.31, F003; 50 FR 53315", "F005": "40 CFR 261.31, F005; 50 FR 53315",
    "U002": "40 CFR 261.33(f), acetone", "U080": "40 CFR 261.33(f), dichloromethane",
    "06 01 06*": "Decision 2000/532/EC, 06 01", "06 02 04*": "Decision 2000/532/EC, 06 02",
    "08 01 11*": "Decision 2000/532/EC, 08 01", "08 01 12": "Decision 2000/532/EC, 08 01",
    "08 05 01*": "Decision 2000/532/EC, 08 05", "14 06 02*": "Decision 2000/532/EC, 14 06",
    "14 06 03*": "Decision 2000/532/EC, 14 06",
}  # fmt: skip
"""The clause that gives each code of a determination."""


def test_every_code_that_is_determined_has_its_clause():
    assert len(DETERMINED) >= 15
    determined = {code for *_, codes, eu in DETERMINED for code in (*codes.split(), eu)}
    assert determined == WHERE.keys()


@pytest.mark.parametrize(
    ("what", "one", "spent", "codes", "eu"), DETERMINED, ids=[each[0] for each in DETERMINED]
)
def test_a_determination(what, one, spent, codes, eu):
    assert " ".join(each.code for each in us_codes(one, spent=spent)) == codes
    assert eu_code(one).code == eu


@pytest.mark.parametrize(
    ("statement", "code"),
    [
        ("H242", "D001"), ("H272", "D001"), ("H251", "D001"), ("H314", "D002"), ("H290", "D002"), ("H261", "D003"),
        ("EUH031", "D003"),
    ],
)  # fmt: skip
def test_what_a_sheet_says_counts_and_stands_in_where_nobody_noted_it(statement, code):
    """40 CFR 261.21(a)(4), 261.22 and 261.23; which statement goes with which characteristic is from memory."""
    paint = thing("paint", water=60, solids=40)
    assert us_codes(paint) == ()
    assert [each.code for each in us_codes(paint._replace(h_statements=(statement,)))] == [code]


def test_without_a_sheet_s_statements_those_of_what_is_named_count():
    hardener = thing("hardener", share("isophoronediamine", 35), water=65)
    assert us_codes(hardener) == ()
    [corrosive] = us_codes(hardener._replace(h_statements=None))
    assert (corrosive.code, corrosive.assumed) == ("D002", True)


def test_a_pressurised_can_has_a_code_of_its_own():
    assert eu_code(thing("clear", share("acetone", 60), flash=-20), "aerosol_can").code == "16 05 04*"


@pytest.mark.parametrize(
    ("name", "molar", "protons", "ka"),
    [
        ("sodium hydroxide", 40.00, 1, None),
        ("potassium hydroxide", 56.11, 1, None),
        ("hydrochloric acid", 36.46, 1, None),
        ("nitric acid", 63.01, 1, None),
        ("sulfuric acid", 98.08, 2, None),
        ("sulfamic acid", 97.09, 1, None),
        ("phosphoric acid", 97.99, 1, 10**-2.15),
        ("hydrofluoric acid", 20.01, 1, 10**-3.17),
        ("oxalic acid", 90.03, 1, 10**-1.25),
        ("citric acid", 192.12, 1, 10**-3.13),
        ("formic acid", 46.03, 1, 10**-3.75),
        ("acetic acid", 60.05, 1, 10**-4.76),
    ],
)
def test_the_shares_from_which_a_solution_is_corrosive_are_not_above_those_of_its_ph(
    name, molar, protons, ka
):
    """pH 12.5 is 10^-1.5 mol/L of hydroxide, pH 2 is 10^-2 of protons; a weak acid of [H] = h needs h + h²/Ka of it.

    Dissociation constants: CRC Handbook, from memory. Solutions are taken to weigh 1 kg/L.
    """
    [row] = [each for each in levels() if each.code == "D002" and each.name == name]
    ion = 10**-1.5 if name.endswith("hydroxide") else 10**-2
    needed = ion / protons if ka is None else ion + ion**2 / ka
    percent = needed * molar / 10
    assert row.level <= percent * 1.05
    assert row.level == pytest.approx(percent, rel=0.09)
    if ka is not None:
        assert ion == pytest.approx((-ka + sqrt(ka * ka + 4 * ka * needed)) / 2)


@pytest.mark.parametrize(
    ("name", "metals"),
    [
        ("lead chromate", ("chromium", "lead")),
        ("zinc chromate", ("chromium",)),
        ("cadmium sulfide", ("cadmium",)),
        ("barium sulfate", ("barium",)),
        ("barium chromate", ("chromium", "barium")),
        ("titanium dioxide", ()),
        ("manganese 2-ethylhexanoate", ("manganese",)),
        ("nickel", ("nickel",)),
        ("leading agent", ()),
    ],
)
def test_a_compound_s_name_tells_its_metals(name, metals):
    assert metals_of(share(name, 5)) == metals
