"""What goes where when it is thrown away."""

from datetime import date

from stock.cautions.waste import waste_of, weak_alcohol
from tests.cautions.told import bottle, codes, one, product, reducer, said, share

OLD = date(2026, 1, 1)


def test_what_flashes_below_sixty_is_ignitable():
    assert waste_of(reducer(solvent="acetone")).codes == ("D001", "F003")
    assert waste_of(reducer(flash_point_mc=60_000)).ignitable is False


def test_an_unknown_flash_point_counts_as_ignitable_and_says_so():
    found = waste_of(reducer(flash_point_mc=None))
    assert (found.ignitable, found.assumed) == (True, True)


def test_weak_alcohol_in_much_water_is_excluded_and_acetone_is_not():
    """Less than 24 % by volume of all alcohols together, and at least half water by weight."""
    assert weak_alcohol(reducer(percent=15))
    assert not weak_alcohol(reducer(percent=22))
    assert not weak_alcohol(reducer(solvent="acetone", percent=15))
    both = reducer(solvents=(share("ethanol", 11), share("propan-2-ol", 11)), water_milli=78_000)
    assert not weak_alcohol(both)
    assert not weak_alcohol(reducer(percent=15, water_milli=49_000))


def test_bottles_to_throw_away_that_are_ignitable_are_named():
    found = one(said(reducer(solvent="acetone"), bottle(4, 2, best_before=OLD)), "ignitable-waste")
    assert "bottle 4" in found.message
    assert "ignitable-waste" not in codes(said(product(), bottle(4, best_before=OLD)))
    assert "ignitable-waste" not in codes(said(reducer(solvent="acetone"), bottle(4, 2)))


def test_what_reacts_may_not_go_into_one_can():
    bleach = product(1, role="cleaner", solvents=(share("bleach", 4),))
    found = said(
        bleach, reducer(solvent="acetone"), bottle(1, 1, best_before=OLD), bottle(2, 2, best_before=OLD)
    )
    assert "one waste can" in one(found, "waste-apart").message


def test_a_month_s_waste_against_the_small_generator_s_limit():
    kilogram = 1_000_000
    sets = ("us-epa",)
    assert "too-much-waste" not in codes(said(rule_sets=sets, waste_mg=100 * kilogram))
    assert (
        "100.1 kg" in one(said(rule_sets=sets, waste_mg=100 * kilogram + 100_000), "too-much-waste").message
    )
