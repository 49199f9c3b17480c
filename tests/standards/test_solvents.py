"""The solvents of reducers, classified.

Flash and boiling points: `chemicals` 1.5.2 (IEC 60079-20-1:2010, NFPA 497:2008, CRC Handbook), the lowest published
closed-cup value; 1-butanol NIOSH Pocket Guide npgd0076; PM as a chemical database quotes HSDB; propylene glycol ICSC
0321; 2-butoxyethanol ICSC 0059; DPM boils as a Danish EPA report of 2003 says; PnP an estimate, its suppliers' sheets
from memory. Classes: GHS chapter 2.6, IFC 2018 section 202. Exposure: OSHA, NIOSH, ACGIH, the lowest of them; some from
memory, as the table says.
"""

import pytest

from stock.cautions.classification import classify
from stock.cautions.substances import substance, substances_by_name

EXPECTED = [
    # name, flash point C, boiling point C, GHS category, NFPA 30 class
    ("acetone", -20, 56.1, 2, "IB"),
    ("ethanol", 12, 78.3, 2, "IB"),
    ("methanol", 9, 64.6, 2, "IB"),
    ("2-propanol", 12, 82.2, 2, "IB"),
    ("1-propanol", 15, 97.2, 2, "IB"),
    ("1-butanol", 29, 117.6, 3, "IC"),
    ("PM", 32, 120, 3, "IC"),
    ("PnP", 41, 149, 3, "II"),
    ("DPM", 74, 189.6, 4, "IIIA"),
    ("2-butoxyethanol", 60, 171, 3, "IIIA"),
    ("ethylene glycol", 111, 197.3, None, "IIIB"),
    ("propylene glycol", 101, 187.6, None, "IIIB"),
    ("MEK", -10, 79.6, 2, "IB"),
    ("methyl acetate", -10, 56.9, 2, "IB"),
    ("ethyl acetate", -4, 77.1, 2, "IB"),
    ("butyl acetate", 22, 126, 2, "IB"),
]


@pytest.mark.parametrize(("name", "flash_c", "boils_c", "category", "nfpa"), EXPECTED)
def test_solvents_are_classified_as_published(name, flash_c, boils_c, category, nfpa):
    found = substance(name)
    assert found.flash_point_mc == flash_c * 1000
    assert found.boiling_point_mc == pytest.approx(boils_c * 1000)
    classes = classify(found.flash_point_mc, found.boiling_point_mc)
    assert (classes.ghs, classes.nfpa) == (category, nfpa)


@pytest.mark.parametrize(
    ("name", "ppm", "status"),
    [
        ("acetone", 250, "verified"), ("ethanol", 1000, "verified"), ("2-propanol", 200, "memory"),
        ("1-propanol", 100, "memory"), ("1-butanol", 20, "verified"), ("PM", 50, "memory"), ("DPM", 100, "verified"),
        ("2-butoxyethanol", 5, "verified"), ("MEK", 200, "verified"), ("methyl acetate", 200, "verified"),
        ("ethyl acetate", 400, "verified"), ("butyl acetate", 50, "memory"), ("ammonia", 25, "verified"),
    ],
)  # fmt: skip
def test_the_lowest_exposure_limit_is_taken(name, ppm, status):
    """Seen: NIOSH IDLH pages of 1994 (methyl and ethyl acetate, DPM, 2-butoxyethanol), NIOSH and ACGIH 2008-09 as a
    safety data sheet quotes them (MEK, acetone), a state's page on ammonia (NIOSH's 25 ppm), the others as in the
    table's own heading. Newer TLVs may be lower.
    """
    assert (substance(name).exposure_ppm, substance(name).exposure_status) == (ppm, status)


@pytest.mark.parametrize(
    ("name", "lower", "upper"),
    [("acetone", 2.5, 14.3), ("ethanol", 3.1, 19), ("2-propanol", 2.0, 12.7), ("MEK", 1.4, 13.4)],
)
def test_flammable_limits(name, lower, upper):
    found = substance(name)
    assert (found.lower_milli, found.upper_milli) == (lower * 1000, upper * 1000)


def test_a_name_an_alias_and_a_number_mean_the_same():
    assert substance("Isopropyl  Alcohol") is substance("67-63-0") is substance("propan-2-ol")
    assert substance("unheard of") is None


def test_ammonia_water_and_water_do_not_burn():
    assert not substance("ammonia").burns
    assert not substance("water").burns
    assert all(
        each.flash_point_mc is not None
        for each in substances_by_name().values()
        if each.burns and each.unifac
    )


@pytest.mark.parametrize(
    ("name", "kilopascal"),
    [
        ("acetone", 24.66), ("ethanol", 5.876), ("2-propanol", 4.207), ("water", 2.339), ("MEK", 9.496),
        ("1-butanol", 0.633),
    ],
)  # fmt: skip
def test_vapour_pressures_at_twenty_degrees(name, kilopascal):
    """Against `thermo` 0.6.1 and CoolProp 8.0.0 at 20 °C, within 5 % (1-butanol, extrapolated, within 10 %)."""
    a, b, c = substance(name).antoine
    assert 10 ** (a - b / (293.15 + c)) / 1000 == pytest.approx(
        kilopascal, rel=0.1 if name == "1-butanol" else 0.05
    )


def test_the_headspace_over_alcohol_at_twenty_degrees_can_burn():
    """Saturated vapour: ethanol 5.8 vol %, 2-propanol 4.2 vol %, both within their flammable limits."""
    for name, share in (("ethanol", 5.8), ("2-propanol", 4.15)):
        found = substance(name)
        a, b, c = found.antoine
        percent = 10 ** (a - b / (293.15 + c)) / 101_325 * 100
        assert percent == pytest.approx(share, rel=0.05)
        assert found.lower_milli < percent * 1000 < found.upper_milli
