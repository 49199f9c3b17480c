"""What a blend can't boil below, held against azeotropes, which boil lower than either part.

Azeotropes at 101.3 kPa from memory (CRC Handbook, tables of azeotropes); the bound itself rests on no activity
coefficient: a component is never more active than when pure.
"""

import pytest

from stock.cautions.activity import coefficients
from stock.cautions.mixture import ZERO_C, lowest_boiling, vapour_pressure_pa
from stock.cautions.substances import substance, substances_by_name

AZEOTROPES = (
    (("ethanol",), True, 78.2), (("2-propanol",), True, 80.3), (("1-propanol",), True, 87.7),
    (("1-butanol",), True, 92.7), (("MEK",), True, 73.4), (("ethyl acetate",), True, 70.4),
    (("butyl acetate",), True, 90.2), (("ethyl acetate", "ethanol"), False, 71.8),
    (("ethyl acetate", "ethanol"), True, 70.2), (("acetone", "methanol"), False, 55.5),
    (("acetone", "methyl acetate"), False, 55.6), (("methyl acetate", "methanol"), False, 53.5),
    (("MEK", "ethanol"), False, 74.8),
)  # fmt: skip


@pytest.mark.parametrize(("names", "water", "boils_c"), AZEOTROPES)
def test_no_azeotrope_boils_below_the_bound(names, water, boils_c):
    assert lowest_boiling([substance(name) for name in names], water=water) / 1000 < boils_c


@pytest.mark.parametrize(
    "name",
    sorted(
        {
            one.name
            for one in substances_by_name().values()
            if one.antoine and one.burns and one.boiling_point_mc
        }
    ),
)
def test_alone_the_bound_is_the_boiling_point_as_published(name):
    """Within 3 K of it, or at the end of the range looked at; the vapour pressures are of another source."""
    boils = min(substance(name).boiling_point_mc, 130_000)
    assert lowest_boiling([substance(name)], water=False) == pytest.approx(boils, abs=3_000)


@pytest.mark.parametrize("share", [0.01, 0.05, 0.2, 0.5, 0.8, 0.95])
@pytest.mark.parametrize("name", ["ethanol", "acetone", "2-propanol", "MEK", "1-butanol", "ethyl acetate"])
def test_the_worked_out_boiling_of_a_blend_lies_above_the_bound(name, share):
    """At the bound, x·γ·p by modified UNIFAC (Dortmund) sums to less than one atmosphere in every share."""
    parts = (substance(name), substance("water"))
    kelvin = lowest_boiling([substance(name)], water=True) / 1000 + ZERO_C
    gammas = coefficients([part.unifac for part in parts], [share, 1 - share], kelvin)
    pressure = sum(
        min(1.0, x * gamma) * vapour_pressure_pa(part, kelvin)
        for part, x, gamma in zip(parts, (share, 1 - share), gammas, strict=True)
    )
    assert pressure < 101_325


def test_something_unknown_has_no_bound():
    assert lowest_boiling([substance("a secret")], water=True) is None
    assert lowest_boiling([], water=False) is None
