"""Dilution air and exposure: worked examples.

Sources: 29 CFR 1910.1000(d)(1) and (d)(2), examples; 29 CFR 1910.94(c)(6) and IFC 2018 section 2404 for 25 % of the
lower explosive limit; the ideal gas at 25 °C and 101.325 kPa, densities at 25 °C by CoolProp 8.0.0; Le Chatelier's
rule. The regulation's own 4 (100 - L) V / L is from memory; the exact form asks for a little more.
"""

import pytest

from stock.cautions.facts import SolventShare
from stock.cautions.rules import rule_book
from stock.cautions.substances import substance
from stock.cautions.vapours import Vapour, vapour_l, vapours_of
from stock.cautions.ventilation import (
    additive_index,
    air_for,
    decayed,
    mixed_lower_milli,
    shift_average,
    sprayable_ul_per_h,
)
from tests.cautions.sample_facts import part, product, reducer, share

DENSITY_25 = {"acetone": 0.7847, "ethanol": 0.78513, "2-propanol": 0.78183}


def named_vapours(parts, book):
    """The vapours of what is named; what is not is judged in tests/cautions/test_unnamed_vapour.py."""
    return [each for each in vapours_of(parts, book) if "isn't named" not in each.name]


def vapour(name, ml, ppm=None):
    found = substance(name)
    litres = vapour_l(ml * DENSITY_25[name] * 1000, found.molar_mg)
    return Vapour(found.name, litres, found.lower_milli, ppm or found.exposure_ppm)


@pytest.mark.parametrize(
    ("name", "litres"), [("acetone", 0.33055), ("ethanol", 0.41696), ("2-propanol", 0.31829)]
)
def test_vapour_of_a_millilitre(name, litres):
    assert vapour(name, 1).litres == pytest.approx(litres, rel=1e-3)


@pytest.mark.parametrize(
    ("name", "cubic_metres"), [("acetone", 0.05256), ("ethanol", 0.05338), ("2-propanol", 0.06334)]
)
def test_air_to_a_quarter_of_the_lower_limit(name, cubic_metres):
    assert air_for([vapour(name, 1)]).fire_l / 1000 == pytest.approx(cubic_metres, rel=1e-3)


def test_a_hundred_millilitres_of_acetone_health_needs_far_more_air_than_fire():
    air = air_for([vapour("acetone", 100)])
    assert air.vapour_l / 1000 == pytest.approx(0.033055, rel=1e-3)
    assert air.fire_l / 1000 == pytest.approx(5.256, rel=1e-3)
    assert air.health_l / 1000 == pytest.approx(132.22, rel=1e-3)


def test_a_millilitre_a_minute_of_two_propanol():
    """Steady: 95.49 m3/h to 200 ppm, 3.80 m3/h to 25 % of the lower limit."""
    air = air_for([vapour("2-propanol", 60)])
    assert air.health_l / 1000 == pytest.approx(95.49, rel=1e-3)
    assert air.fire_l / 1000 == pytest.approx(3.80, rel=1e-2)


def test_a_closed_room_and_a_quarter_of_an_hour_of_airing():
    ppm = vapour("2-propanol", 10).litres / 30_000 * 1e6
    assert ppm == pytest.approx(106.1, rel=1e-3)
    assert decayed(ppm, 4, 0.25) == pytest.approx(39.03, rel=1e-3)


def test_the_regulation_s_own_examples():
    assert additive_index([(500, 1000), (45, 200), (40, 200)]) == pytest.approx(0.925)
    assert shift_average([(2, 150), (2, 75), (4, 50)]) == 81.25


def test_le_chatelier():
    vapours = [Vapour("ethanol", 1, 3_100, 1), Vapour("acetone", 1, 2_500, 1)]
    assert mixed_lower_milli(vapours) / 1000 == pytest.approx(2.768, abs=5e-4)


def test_effects_add_up():
    alone = air_for([vapour("acetone", 10)]).health_l
    both = air_for([vapour("acetone", 10), vapour("ethanol", 10)]).health_l
    assert both == pytest.approx(alone + air_for([vapour("ethanol", 10)]).health_l)


def test_the_exact_form_asks_for_more_than_the_regulation_s():
    one = vapour("acetone", 1)
    assert air_for([one]).fire_l > 4 * (100 - 2.5) * one.litres / 2.5


def test_only_the_organic_part_of_a_mix_counts():
    """10 ml of mix with 1 ml of 2-propanol gives 0.32 l of vapour."""
    mixed = product(1, solvents=(share("2-propanol", 10, "volume"),))
    [only] = named_vapours([part(mixed, 10)], rule_book())
    assert only.litres == pytest.approx(0.32, abs=0.002)


def test_what_may_be_sprayed_at_a_fan():
    air = air_for([vapour("acetone", 1)])
    assert sprayable_ul_per_h(air, 10_000, round(air.most_l)) == pytest.approx(10_000, rel=1e-3)
    assert sprayable_ul_per_h(air, 10_000, 0) == 0


def test_a_solvent_nobody_knows_counts_at_the_worst_limits():
    secret = reducer(solvents=(share("a secret", 50),))
    [only] = named_vapours([part(secret, 2)], rule_book())
    assert only.assumed
    assert (only.exposure_ppm, only.lower_milli) == (pytest.approx(5), pytest.approx(1_000))


def test_glycol_that_hardly_evaporates_and_has_no_limit_is_left_out():
    assert named_vapours([part(product(solvents=(share("propylene glycol", 5),)), 10)], rule_book()) == []
    assert named_vapours([part(product(solvents=None), 10)], rule_book()) == []


def test_what_does_not_burn_needs_air_for_health_and_none_against_fire():
    """5 % ammonia in 10 mL at 1.05 g/mL: 0.525 g / 17.03 g/mol * 24.4654 L = 0.754 L; at 25 ppm 30.2 m³."""
    vapours = named_vapours([part(product(solvents=(share("ammonia", 5),)), 10)], rule_book())
    air = air_for(vapours)
    assert (air.fire_l, air.health_l) == (0.0, pytest.approx(30_170, rel=0.001))
    both = named_vapours(
        [part(product(solvents=(share("ammonia", 5), share("acetone", 10))), 10)], rule_book()
    )
    acetone = [each for each in both if each.name == "acetone"]
    assert air_for(both).fire_l == pytest.approx(air_for(acetone).fire_l)
    assert air_for(both).health_l == pytest.approx(air_for(acetone).health_l + air.health_l)


def test_a_range_counts_at_its_high_end():
    wide = SolventShare("acetone", 25_000, "weight", 10_000)
    narrow = SolventShare("acetone", 25_000, "weight")
    assert named_vapours([part(product(solvents=(wide,)), 10)], rule_book()) == named_vapours(
        [part(product(solvents=(narrow,)), 10)], rule_book()
    )
