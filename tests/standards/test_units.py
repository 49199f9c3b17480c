"""Units against their legal definitions.

Sources: 1 US gallon = 231 cubic inches, 1 inch = 25.4 mm (NIST SP 811, appendix B; NIST Handbook 44,
appendix C). 1 imperial gallon = 4.54609 litres (UK Weights and Measures Act 1985, schedule 1). 1 pound =
0.45359237 kg (NIST SP 811). 1 psi = 1 pound-force on a square inch with g = 9.80665 m/s2 (NIST SP 811).
Metric spoons of 5 and 15 ml: 21 CFR 101.9(b)(5)(viii), from memory. 20 drops a millilitre: USP <1101>,
45-55 mg of water a drop.
"""

from fractions import Fraction

import pytest

from stock import units

INCH_CM = Fraction("2.54")
US_FL_OZ_UL = 231 * INCH_CM**3 * 1_000 / 128
IMPERIAL_FL_OZ_UL = Fraction("4546.09") * 1_000 / 160


@pytest.mark.parametrize(
    ("text", "fluid_ounces"),
    [
        ("us fl oz", Fraction(1)),
        ("us tsp", Fraction(1, 6)),
        ("us tbsp", Fraction(1, 2)),
        ("us dram", Fraction(1, 8)),
        ("us pint", Fraction(16)),
        ("us quart", Fraction(32)),
        ("us gallon", Fraction(128)),
    ],
)
@pytest.mark.parametrize("count", [1, 3, 1_000 // 7, Fraction(1, 2)])
def test_us_measures(text: str, fluid_ounces: Fraction, count: Fraction):
    exact = count * fluid_ounces * US_FL_OZ_UL
    assert abs(units.volume(f"{count} {text}") - exact) <= Fraction(1, 2)


@pytest.mark.parametrize(
    ("text", "fluid_ounces"),
    [
        ("imp fl oz", Fraction(1)),
        ("imp dram", Fraction(1, 8)),
        ("imp pint", Fraction(20)),
        ("imp quart", Fraction(40)),
        ("imp gallon", Fraction(160)),
    ],
)
@pytest.mark.parametrize("count", [1, 3, 142, Fraction(1, 2)])
def test_imperial_measures(text: str, fluid_ounces: Fraction, count: Fraction):
    exact = count * fluid_ounces * IMPERIAL_FL_OZ_UL
    assert abs(units.volume(f"{count} {text}") - exact) <= Fraction(1, 2)


@pytest.mark.parametrize(
    ("text", "microlitres"),
    [
        ("1 us fl oz", 29_574),  # 29.5735295625 ml
        ("1 imp fl oz", 28_413),  # 28.4130625 ml
        ("1 us tsp", 4_929),  # 4.92892159375 ml
        ("1 us tbsp", 14_787),  # 14.78676478125 ml
        ("1 metric tsp", 5_000),
        ("1 metric tbsp", 15_000),
        ("1 us dram", 3_697),  # 3.6966911953125 ml
        ("1 us pint", 473_176),
        ("1 imp pint", 568_261),
        ("1 us quart", 946_353),
        ("1 imp quart", 1_136_522),  # 1136.5225 ml: the half goes to the even microlitre
        ("1 us gallon", 3_785_412),
        ("1 imp gallon", 4_546_090),
        ("1 cc", 1_000),  # SI brochure: 1 l = 1 dm3
        ("20 drops", 1_000),
    ],
)
def test_whole_microlitres_kept(text: str, microlitres: int):
    assert units.volume(text) == microlitres


def test_an_ounce_of_mass_is_not_an_ounce_of_liquid():
    """28.349523125 g exactly; a fluid ounce of water weighs 29.57 g in the US and 28.41 g in Britain."""
    assert units.mass("1000 oz av") == 28_349_523
    assert units.volume("1 us fl oz") != units.volume("1 imp fl oz")


def test_pounds():
    assert units.mass("100 lb") == 45_359_237


def test_pounds_on_a_square_inch():
    """1 psi = 6894.757293168 Pa."""
    assert units.pressure("10 psi") == 68_948
    assert units.pressure("100 psi") == 689_476


def test_fahrenheit_of_the_fire_codes():
    """73, 100, 140 and 200 degrees F are 22.8, 37.8, 60.0 and 93.3 degrees C (IFC 2018, section 202)."""
    assert [units.temperature(f"{f}F") for f in (73, 100, 140, 200)] == [22_778, 37_778, 60_000, 93_333]


def test_minor_units_of_iso_4217():
    assert {code: units.minor_digits(code) for code in ("JPY", "EUR", "USD", "NOK", "KWD", "CLF")} == {
        "JPY": 0,
        "EUR": 2,
        "USD": 2,
        "NOK": 2,
        "KWD": 3,
        "CLF": 4,
    }


def test_the_registry_agrees_with_the_measures_that_come_with_pint():
    """pint 0.25 with fractions, an independent set of definitions."""
    from pint import UnitRegistry

    theirs = UnitRegistry(non_int_type=Fraction)
    for ours, name in [
        ("us fl oz", "US_fluid_ounce"),
        ("us pint", "US_pint"),
        ("us gallon", "US_liquid_gallon"),
        ("imp fl oz", "imperial_fluid_ounce"),
        ("imp pint", "imperial_pint"),
        ("imp quart", "imperial_quart"),
    ]:
        exact = theirs.Quantity(Fraction(1), name).to("microliter").magnitude
        assert units.volume(f"1 {ours}") == round(exact)
