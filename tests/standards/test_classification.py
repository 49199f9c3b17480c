"""Flammability classes at and around each boundary.

Sources: UN GHS chapter 2.6 and Regulation (EC) 1272/2008 annex I tables 2.6.1/2.6.2 (consolidated 2025-09-01), both
for categories 1-3, GHS and 29 CFR 1910.106(a)(19) for category 4; International Fire Code 2018 section 202 for the
classes, which are those of NFPA 30: IA below 73 °F boiling below 100 °F, IB below 73 °F, IC below 100 °F, II below
140 °F, IIIA below 200 °F, IIIB from there. The IFC states degrees F first and rounded degrees C behind them; where the
two part, the stricter is expected here.
"""

import pytest

from stock.cautions.classification import classify

# flash point C, boiling point C, GHS category, NFPA 30 class, is one of the two readings of a limit the stricter
CUT_OFFS = [
    (-20, 56, 2, "IB", False),
    (-45, 34.6, 1, "IA", False),
    (10, 35.0, 1, "IA", False),
    (10, 35.1, 2, "IA", False),
    (10, 37.7, 2, "IA", False),
    (10, 37.8, 2, "IB", False),
    (22.7, 80, 2, "IB", False),
    (22.8, 80, 2, "IB", True),
    (22.9, 80, 2, "IB", True),
    (23.0, 80, 3, "IC", False),
    (37.7, 120, 3, "IC", False),
    (37.8, 120, 3, "IC", True),
    (37.9, 120, 3, "IC", True),
    (38.0, 120, 3, "II", False),
    (59.9, 150, 3, "II", False),
    (60.0, 150, 3, "IIIA", False),
    (60.1, 150, 4, "IIIA", False),
    (92.9, 180, 4, "IIIA", False),
    (93.0, 180, 4, "IIIA", True),
    (93.1, 180, None, "IIIA", True),
    (93.2, 180, None, "IIIA", True),
    (93.4, 180, None, "IIIB", False),
    (18, 78, 2, "IB", False),
]


@pytest.mark.parametrize(("flash_c", "boils_c", "category", "nfpa", "two_readings"), CUT_OFFS)
def test_cut_offs(flash_c, boils_c, category, nfpa, two_readings):
    found = classify(round(flash_c * 1000), round(boils_c * 1000))
    assert (found.ghs, found.osha, found.nfpa) == (category, category, nfpa)
    assert bool(found.between) == two_readings


@pytest.mark.parametrize(
    ("category", "hazard", "signal", "flash_c", "boils_c"),
    [
        (1, "H224", "Danger", 0, 30), (2, "H225", "Danger", 0, 60),
        (3, "H226", "Warning", 30, 100), (4, "H227", "Warning", 70, 150),
    ],
)  # fmt: skip
def test_statements_and_signal_words(category, hazard, signal, flash_c, boils_c):
    answer = classify(flash_c * 1000, boils_c * 1000).as_json()
    assert answer["ghs"] == {"category": category, "hazard": hazard, "signal": signal}
    assert answer["assumed"] == []


def test_a_thousandth_of_a_degree_decides():
    assert classify(22_999, 80_000).ghs == 2
    assert classify(60_001, 150_000).ghs == 4
    assert classify(93_001, 180_000).ghs is None
    assert classify(10_000, 35_001).ghs == 2


def test_without_a_boiling_point_a_low_flash_point_is_the_graver_class():
    found = classify(18_000, None)
    assert (found.ghs, found.nfpa, found.assumed) == (1, "IA", ("boiling_point",))


def test_without_a_boiling_point_a_high_flash_point_assumes_nothing():
    assert classify(40_000, None).assumed == ()


def test_without_a_flash_point_it_is_highly_flammable_until_the_sheet_says_otherwise():
    assert classify(None, None).as_json() == {
        "ghs": {"category": 2, "hazard": "H225", "signal": "Danger"},
        "osha": {"category": 2},
        "nfpa30": {"class": "IB"},
        "assumed": ["flash_point", "boiling_point"],
    }
    assert classify(None, 34_000).ghs == 1
    assert classify(None, 78_000).assumed == ("flash_point",)
