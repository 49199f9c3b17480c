"""The arithmetic of a blend's flash point: its masses, densities, bounds, and the ends of what is not known."""

from math import exp

import pytest

from stock.cautions.facts import SolventShare
from stock.cautions.mixture import (
    COLDEST_C,
    HOTTEST_C,
    ZERO_C,
    Blend,
    blend_flash,
    blends,
    burns_at,
    lowest_boiling,
    lowest_flash,
    may_burn_at,
    solvent_mg,
    vapour_pressure_pa,
    vapour_pressure_ratio,
)
from stock.cautions.substances import HEAVIEST_UG_PER_ML, substance
from tests.cautions.sample_facts import part, product, reducer, share

ETHANOL, WATER, GLYCOL = (substance(name) for name in ("ethanol", "water", "ethylene glycol"))


def moles(of, ml=1.0):
    return {each.name: amount for each, amount in Blend.of_parts([part(of, ml)]).parts}


def test_moles_are_grams_over_molar_mass():
    """2 ml at 0.9 g/ml, half ethanol (46.07 g/mol), half water (18.015 g/mol): 0.9 g of each; any scale will do."""
    found = moles(reducer(), 2)
    assert found["ethanol"] * 46_070 == pytest.approx(900, rel=1e-7)
    assert found["water"] * 18_015 == pytest.approx(900, rel=1e-7)
    assert Blend.of_parts([part(reducer(), 2)]).fractions() == pytest.approx(
        [18_015 / (18_015 + 46_070), 46_070 / (18_015 + 46_070)], rel=1e-7
    )


def test_what_is_poured_in_no_amount_is_no_part_of_the_blend():
    nothing = Blend.of_parts([part(reducer(), 0), part(product(2), 1)])
    assert [each.name for each, _ in nothing.parts] == ["water"]
    assert blend_flash(nothing) is None


def test_the_density_of_what_is_all_solvent_and_water_is_worked_out_from_95_per_cent_on():
    """An ideal mixture, 4 % denser for how alcohol and water shrink; below 95 % named it is as heavy as a paint."""

    def density(ethanol, water):
        of = reducer(
            density_ug_per_ml=None, solvents=(share("ethanol", ethanol),), water_milli=int(water * 1_000)
        )
        return solvent_mg(of, of.solvents[0], 1_000) * 100 / ethanol * 1_000

    ideal = 95 / (50 / 0.7894 + 45 / 0.9982)
    assert density(50, 45) == pytest.approx(1.04 * ideal * 1_000_000, rel=1e-5)
    assert density(50, 44.999) == pytest.approx(HEAVIEST_UG_PER_ML)
    assert density(100, 0) == pytest.approx(1.04 * 789_400, rel=1e-5)


def test_water_of_unknown_density_beside_a_share_by_volume_is_taken_light():
    """What is watery and not weighed is as light as an alcohol, 0.78 g/ml: the less water, the sooner it burns."""
    of = reducer(density_ug_per_ml=None, solvents=(share("ethanol", 40, "volume"),), water_milli=60_000)
    assert moles(of)["water"] * 18_015 == pytest.approx(0.6 * 780, rel=1e-7)


def test_what_has_no_vapour_pressure_curve_thickens_by_trouton_s_rule():
    """88 J/(mol K) of boiling: ln of the ratio is 88 T(boiling) / R (1/T(flash) - 1/T)."""
    odd = ETHANOL._replace(antoine=None, boiling_point_mc=80_000, flash_point_mc=10_000)
    at = 300.0
    by_hand = exp(88 * 353.15 / 8.314462618 * (1 / 283.15 - 1 / at))
    assert vapour_pressure_ratio(odd, at) == pytest.approx(by_hand, rel=1e-9)
    unknown = odd._replace(boiling_point_mc=None)
    guessed = exp(88 * 373.15 / 8.314462618 * (1 / 283.15 - 1 / at))
    assert vapour_pressure_ratio(unknown, at) == pytest.approx(guessed, rel=1e-9)
    assert vapour_pressure_ratio(odd, 283.15) == 1
    with pytest.raises(ValueError, match="water"):
        vapour_pressure_ratio(WATER, 300)


def test_the_quick_bound_says_that_a_pure_liquid_may_burn_from_its_flash_point_on():
    pure = Blend(((ETHANOL, 1.0),))
    assert may_burn_at(pure, 12.01)
    assert not may_burn_at(pure, 11.99)
    assert may_burn_at(Blend(((ETHANOL, 1.0), (WATER, 50.0))), 12.01), "whatever water does to it"
    assert not may_burn_at(Blend(((WATER, 1.0),)), 120)


def test_in_liquid_that_parts_a_component_is_as_active_as_when_pure_and_no_more():
    """A little hexane in water: its activity by UNIFAC is far above one."""
    hexane = substance("n-hexane")
    blend = Blend(((hexane, 0.05), (WATER, 0.95)))
    assert burns_at(blend, 20) == pytest.approx(vapour_pressure_ratio(hexane, 20 + ZERO_C))


def test_a_blend_that_flashes_up_to_130_degrees_has_a_figure_and_a_warmer_one_none():
    """Ethylene glycol flashes at 111 °C; half water by moles it flashes later, and with a tenth left not at all."""

    def flash(glycol):
        return blend_flash(Blend(((GLYCOL, glycol), (WATER, 1 - glycol))))

    hot = [flash(each / 100) for each in range(99, 9, -1)]
    figures = [each for each in hot if each is not None]
    assert figures == sorted(figures)
    assert 124_000 < figures[-1] <= 130_000
    assert hot[-1] is None


def test_a_blend_that_burns_at_the_coldest_that_is_looked_at_flashes_there():
    cold = substance("acetone")._replace(flash_point_mc=-70_000)
    assert blend_flash(Blend(((cold, 1.0),))) == COLDEST_C * 1_000
    assert blend_flash(Blend(((cold._replace(flash_point_mc=-62_000), 1.0),))) == COLDEST_C * 1_000
    just = substance("acetone")._replace(flash_point_mc=-59_000)
    assert blend_flash(Blend(((just, 1.0),))) == pytest.approx(-59_000, abs=20)


@pytest.mark.parametrize("name", ["acetone", "ethanol", "xylene", "2-butoxyethanol"])
def test_at_the_estimate_the_sum_is_one(name):
    for fraction in (1, 0.5, 0.2):
        blend = Blend(((substance(name), fraction), (WATER, 1 - fraction)))
        flash_mc = blend_flash(blend)
        if flash_mc is not None:
            assert burns_at(blend, flash_mc / 1_000) == pytest.approx(1, abs=2e-4)


def test_the_bound_on_boiling_lies_where_all_pressures_together_are_one_atmosphere():
    bound_mc = lowest_boiling([ETHANOL], water=True)
    kelvin = bound_mc / 1_000 + ZERO_C
    assert vapour_pressure_pa(ETHANOL, kelvin) + vapour_pressure_pa(WATER, kelvin) == pytest.approx(
        101_325, rel=1e-4
    )
    assert lowest_boiling([ETHANOL, ETHANOL._replace(boiling_point_mc=None)], water=False) is None
    assert lowest_boiling([ETHANOL, None], water=False) is None
    assert lowest_boiling([substance("glycerol")], water=False) == pytest.approx(HOTTEST_C * 1_000, abs=2)


def test_of_ranges_each_is_taken_high_once_with_the_others_low_and_all_of_them_high():
    ranged = reducer(
        solvents=(
            SolventShare("acetone", 20_000, "weight", 10_000),
            SolventShare("propylene glycol", 60_000, "weight", 5_000),
            SolventShare("ethanol", 10_000, "weight", 10_000),
        ),
        water_milli=10_000,
    )  # fmt: skip
    found = [
        tuple(round(amount * each.molar_mg / 9, 1) for each, amount in blend.parts if each.name != "water")
        for blend in blends([part(ranged, 1)])
    ]
    assert found == [(20, 60, 10), (20, 5, 10), (10, 60, 10)]
    exact = ranged._replace(solvents=ranged.solvents[2:])
    assert len(blends([part(exact, 1)])) == 1


def test_products_whose_density_is_not_known_are_light_one_by_one_and_all_together():
    """Alone the density changes no share; of two unweighed ones each may be light, or both."""
    first, second = reducer(1, density_ug_per_ml=None), reducer(2, "acetone", density_ug_per_ml=None)
    weighed = reducer(3, "propan-2-ol")
    count = {
        "alone": len(blends([part(first, 1), part(first, 1)])),
        "one beside a weighed one": len(blends([part(first, 1), part(weighed, 1)])),
        "two": len(blends([part(first, 1), part(second, 1)])),
        "weighed": len(blends([part(weighed, 1), part(reducer(4), 1)])),
    }
    assert count == {"alone": 1, "one beside a weighed one": 2, "two": 4, "weighed": 1}


def test_the_lowest_of_what_may_be_is_the_estimate():
    ranged = reducer(solvents=(SolventShare("acetone", 20_000, "weight", 1_000),), water_milli=80_000)
    at_most = ranged._replace(solvents=(share("acetone", 20),))
    assert lowest_flash([part(ranged, 1)]) == lowest_flash([part(at_most, 1)])
    assert lowest_flash([part(product(), 1)]) is None


def test_a_blend_lacks_something_as_soon_as_one_of_its_products_is_not_described():
    """Nobody noted its solvents, or one of them has no figures."""
    known, secret, strange = reducer(), product(3, solvents=None), reducer(4, "a secret")
    lacks = [
        Blend.of_parts([part(each, 1) for each in parts]).lacks
        for parts in ([known], [known, secret], [secret, known], [known, strange], [strange, known])
    ]
    assert lacks == [False, True, True, True, True]


def test_vapour_pressures_are_powers_of_ten_of_antoine_s_equation():
    """Poling: log10 of ethanol's pressure in pascals is 10.33675 - 1648.22 / (T - 42.232)."""
    at = 298.15
    assert vapour_pressure_pa(ETHANOL, at) == pytest.approx(10 ** (10.33675 - 1648.22 / (at - 42.232)))
    flash = 12 + ZERO_C
    ratio = vapour_pressure_pa(ETHANOL, at) / vapour_pressure_pa(ETHANOL, flash)
    assert vapour_pressure_ratio(ETHANOL, at) == pytest.approx(ratio, rel=1e-9)
