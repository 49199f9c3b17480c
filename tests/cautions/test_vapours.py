"""The arithmetic of vapours: of a named solvent, of a name that is not known, and of what isn't named at its worst."""

from math import inf

import pytest

from stock.cautions import unnamed_vapour, vapours
from stock.cautions.mixture import ZERO_C, vapour_pressure_pa, vapour_pressure_ratio
from stock.cautions.rules import rule_book
from stock.cautions.substances import substance
from stock.cautions.unnamed_vapour import WorstVapour, fire_air, worst_of_share
from stock.cautions.vapours import LITRES_PER_MOLE, LitreVapours, Vapour, given_off
from tests.cautions.sample_facts import part, reducer, share

BOOK = rule_book()
OPEN = {"flash_point_mc": None, "boiling_point_mc": None, "h_statements": None, "water_milli": None}
TOLUENE, ETHANOL, ISOPHORONE, BENZENE = (
    substance(name) for name in ("toluene", "ethanol", "isophorone", "benzene")
)


def of_share(monkeypatch, *pool, unnamed=50_000, excursion=3, **known):
    """What the unnamed half of a product gives off at worst, where it could only be one of these."""
    monkeypatch.setattr(unnamed_vapour, "_pool", lambda: pool)
    worst_of_share.cache_clear()
    try:
        return worst_of_share(reducer(**{"solvents": None, **OPEN, **known}), unnamed, excursion)
    finally:
        worst_of_share.cache_clear()


def test_against_fire_a_vapour_needs_the_air_that_leaves_a_quarter_of_its_lower_limit():
    """(100 - L/4) / (L/4): 399 litres of air a litre of vapour at 1 %, 159 at 2.5 %."""
    assert fire_air(1_000) == pytest.approx(1 / 399)
    assert fire_air(2_500) == pytest.approx(1 / 159)
    assert fire_air(None) is None


def test_each_limit_counts_by_itself_and_the_lowest_stands_in_for_an_eight_hour_limit_that_is_not_known(
    monkeypatch,
):
    """Isophorone has a ceiling of 5 ppm and nothing else: that for 8 hours, three times it for 15 minutes."""
    found = of_share(monkeypatch, ISOPHORONE)
    a_mg = 1 / ISOPHORONE.molar_mg
    assert (found.health, found.shift, found.ceiling) == pytest.approx((a_mg / 5,) * 3)
    assert found.short == pytest.approx(a_mg / 15)
    assert of_share(monkeypatch, ISOPHORONE, excursion=2).short == pytest.approx(a_mg / 10)
    benzene = of_share(monkeypatch, BENZENE)
    a_mg = 1 / BENZENE.molar_mg
    assert (benzene.shift, benzene.short, benzene.ceiling) == pytest.approx((a_mg / 0.5, a_mg / 2.5, 0))
    assert benzene.fire == pytest.approx(a_mg / 1_200)
    no_limit = BENZENE._replace(exposure_ppm=None, short_term_ppm=None, ceiling_ppm=None)
    free = of_share(monkeypatch, no_limit)
    assert (free.health, free.shift, free.short, free.to_breathe) == (0, 0, 0, "")


def test_what_can_t_be_lit_needs_no_air_against_fire(monkeypatch):
    found = of_share(monkeypatch, substance("dichloromethane"))
    assert (found.fire, found.to_burn) == (0, "")
    assert found.moles == pytest.approx(1 / 84_933)


def test_the_worst_to_burn_and_the_worst_to_breathe_may_be_two(monkeypatch):
    found = of_share(monkeypatch, ETHANOL, BENZENE, TOLUENE)
    assert (found.to_burn, found.to_breathe) == ("toluene", "benzene")
    assert found.moles == pytest.approx(1 / TOLUENE.molar_mg)
    assert found.fire == pytest.approx(1 / TOLUENE.molar_mg / 1_000)


def test_so_much_of_a_light_solvent_as_would_make_it_flash_or_boil_five_kelvin_below_its_sheet():
    """A mole fraction times the thickness of its vapour is one, the rest being water and what is named.

    20 % ethanol (46.07 g/mol) and 30 % water (18.015) are named; half of it is not.
    """
    noted = reducer(
        solvents=(share("ethanol", 20),), **{**OPEN, "water_milli": 30_000, "flash_point_mc": 40_000}
    )._replace(boiling_point_mc=90_000)  # fmt: skip
    others = 20_000 / 46_070 + 30_000 / 18_015
    as_water, own = 50_000 / 18_015, 50_000 / TOLUENE.molar_mg

    def most(times):
        return (as_water + others) / (own * (times - 1) + as_water)

    thick = vapour_pressure_ratio(TOLUENE, 35 + ZERO_C)
    assert thick > 3
    assert unnamed_vapour._by_flash_point(noted, TOLUENE, 50_000) == pytest.approx(most(thick), rel=1e-9)
    acetone = substance("acetone")
    own = 50_000 / acetone.molar_mg
    times = vapour_pressure_pa(acetone, 85 + ZERO_C) / 101_325
    assert unnamed_vapour._by_boiling_point(noted, acetone, 50_000) == pytest.approx(most(times), rel=1e-9)
    none = noted._replace(flash_point_mc=None, no_flash_point=True)
    own = 50_000 / TOLUENE.molar_mg
    up_to_93 = vapour_pressure_ratio(TOLUENE, 93 + ZERO_C)
    assert unnamed_vapour._by_flash_point(none, TOLUENE, 50_000) == pytest.approx(most(up_to_93), rel=1e-9)


def test_what_is_named_has_as_many_moles_as_it_may_and_none_beyond_its_weight():
    def moles(unnamed=50_000, **known):
        return unnamed_vapour._other_moles(reducer(**{**OPEN, **known}), unnamed) * 18_015

    assert moles(solvents=None) == 0
    assert moles(solvents=None, water_milli=30_000) == pytest.approx(30_000)
    assert moles(solvents=(share("a secret", 20),), water_milli=10_000) == pytest.approx(30_000)
    assert moles(solvents=(share("ethanol", 20),)) == pytest.approx(20_000 * 18_015 / 46_070)
    assert moles(solvents=(share("a secret", 60),), water_milli=60_000) == pytest.approx(50_000)


def test_a_solvent_that_hardly_evaporates_or_may_never_be_breathed_is_left_out():
    """Above 93 °C flash point what has no limit hardly evaporates; no dilution is enough for isocyanates."""
    bare = TOLUENE._replace(exposure_ppm=None, short_term_ppm=None, ceiling_ppm=None)
    cases = [
        (None, True), (bare._replace(group="isocyanate", exposure_ppm=1.0), False),
        (bare._replace(flash_point_mc=93_000), True), (bare._replace(flash_point_mc=93_001), False),
        (bare._replace(flash_point_mc=None), True), (bare._replace(burns=False), False),
        (bare._replace(burns=False, group="chlorinated"), True),
        (bare._replace(burns=False, exposure_ppm=1.0), True),
        (bare._replace(flash_point_mc=120_000, exposure_ppm=1.0), True),
    ]  # fmt: skip
    assert [vapours._evaporates(each) for each, _ in cases] == [expected for _, expected in cases]


def named(monkeypatch, **more):
    monkeypatch.setattr(vapours, "substance", lambda share: TOLUENE._replace(**more))
    return vapours._vapour(part(reducer(), 2), share("toluene", 50), BOOK)


def test_the_vapour_of_a_named_solvent_and_what_stands_in_for_a_figure_that_is_not_known(monkeypatch):
    """2 ml at 0.9 g/ml, half of it: 0.9 g of toluene, 92.138 g/mol, 20 ppm, from 1 % of the air on."""
    known = named(monkeypatch)
    assert known.litres == pytest.approx(900 / 92_138 * LITRES_PER_MOLE)
    assert known[2:] == (1_000, 20, False, 20, 60, None)
    two = named(monkeypatch, exposure_ppm=50.0, short_term_ppm=80.0, ceiling_ppm=10.0)
    assert two[2:] == (1_000, 10, False, 50, 80, 10)
    ceiling = named(monkeypatch, exposure_ppm=None, ceiling_ppm=10.0)
    assert ceiling[2:] == (1_000, 10, False, 10, 30, 10)
    unknown = named(monkeypatch, exposure_ppm=None, molar_mg=None)
    assert unknown.litres == pytest.approx(900 / 32_000 * LITRES_PER_MOLE)
    assert unknown[2:] == (1_000, 5, True, 5, 15, None)
    assert named(monkeypatch, lower_milli=None)[2:] == (1_000, 20, True, 20, 60, None)
    assert named(monkeypatch, lower_milli=2_000)[2:] == (2_000, 20, False, 20, 60, None)
    assert named(monkeypatch, burns=False, lower_milli=None)[2:] == (None, 20, False, 20, 60, None)


@pytest.mark.parametrize(
    ("worst", "molar_mg", "limits"),
    [
        # milder in every way: the rule's own worst figures stand
        (WorstVapour(1 / 46_070, 1 / 46_070 / 3_100, 1e-9, 1e-9, 1e-9, 0, "", "", ()), 32_000, (1_000, 5, 5, 15, None)),
        # graver in every way: they stand themselves
        (WorstVapour(1 / 50_000, 1 / 50_000 / 100, 1 / 50_000, 1 / 25_000, 1 / 5_000, 1 / 500, "", "", ()), 50_000,
         (100, 1, 0.5, 0.1, 0.01)),
        # graver to breathe only; limits are over the moles of what is worst to burn, so that each air is its worst
        (WorstVapour(1 / 64_000, 1 / 64_000 / 3_100, 1 / 32_000, 1 / 32_000, 1 / 32_000, 0, "", "", ()), 32_000,
         (1_000, 1, 1, 1, None)),
    ],
)  # fmt: skip
def test_a_name_that_is_not_known_counts_as_unnamed_and_as_the_rule_s_worst_figures(
    monkeypatch, worst, molar_mg, limits
):
    """The rule takes 32 g/mol, 5 ppm, three times it for 15 minutes, and 1 % of the air."""
    monkeypatch.setattr(vapours, "worst_of_share", lambda product, milli, excursion: worst)
    found = vapours._of_unknown_name(part(reducer(), 2), share("a secret", 50), BOOK)
    assert (found.name, found.assumed) == ("a secret", True)
    assert found.litres == pytest.approx(900 / molar_mg * LITRES_PER_MOLE)
    lower, lowest, shift, short, ceiling = limits
    assert (found.lower_milli, found.exposure_ppm, found.shift_ppm, found.short_ppm) == pytest.approx(
        (lower, lowest, shift, short)
    )
    assert found.ceiling_ppm == (None if ceiling is None else pytest.approx(ceiling))


def test_what_isn_t_named_weighs_its_share_of_the_product():
    """2 ml at 0.9 g/ml of which half is named: 0.9 g. Without a limit no air is enough to ask for."""
    half = reducer(name="Eddy", solvents=(share("ethanol", 50),), water_milli=None)
    worst = WorstVapour(1 / 46_070, 0, 0, 0, 0, 0, "", "", ())
    found = vapours._at_worst(part(half, 2), worst)
    assert found.name == "what isn't named of Eddy"
    assert found.litres == pytest.approx(900 / 46_070 * LITRES_PER_MOLE)
    assert found[2:] == (None, inf, False, inf, inf, None)


def test_amounts_are_parts_of_a_litre_and_what_is_named_comes_first():
    one, other, rest = (Vapour(name, 10.0, 1_000, 5) for name in ("one", "other", "rest"))
    found = given_off([(2_000, LitreVapours((one,), rest, 0)), (500_000, LitreVapours((other,), None, 0))])
    assert [(each.name, each.litres) for each in found] == [("one", 0.02), ("other", 5), ("rest", 0.02)]
