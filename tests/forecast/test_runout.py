"""Sprays left and the day a product runs out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.forecast.amounts import Amounts, believe_amounts
from stock.forecast.mixes_left import Stock
from stock.forecast.runout import HORIZON, Supply, _many, chances, first_day, sprays
from stock.forecast.usable import StockBottle, Usable, usable
from tests.forecast.given import at_random, every, studio
from tests.sampling import drawn


def endless(volume_ul: int) -> Usable:
    return Usable(volume_ul, (), None)


def test_the_run_out_day_agrees_with_the_totals():
    """P(run out by t) = P(use up to t >= stock), worked out in two ways."""
    own = at_random(7, 0.15)
    outlook = studio(own).outlook([own])
    empty = chances(outlook, [Supply(endless(60_000))]).empty[0]
    for days in (7, 28, 56, 112, 364, 700):
        total = outlook.total(0, days)
        assert total is not None
        assert empty[days] == pytest.approx(total.chance_of(60_000), abs=0.03)


@drawn(0.12)
@given(st.integers(0, 500), st.floats(0.01, 0.5), st.integers(0, 500_000), st.integers(0, 100))
def test_chances_only_rise_and_more_stock_lasts_longer(seed, rate, volume_ul, more):
    own = at_random(seed, rate)
    outlook = studio(own).outlook([own])
    found = chances(outlook, [Supply(endless(volume_ul))])
    later = chances(outlook, [Supply(endless(volume_ul + 1_000 * more))])
    for curve in (found.empty[0], found.short[0]):
        assert curve.shape == (HORIZON + 1,)
        assert ((curve >= 0) & (curve <= 1)).all()
        assert (np.diff(curve) >= 0).all()
    # Each stock has a lattice of its own; they differ by less than a point in a hundred.
    assert (later.empty[0] <= found.empty[0] + 0.01).all()


def test_an_empty_shelf_is_empty_today_but_short_only_when_somebody_reaches():
    own = every(10, 20)
    outlook = studio(own).outlook([own])
    found = chances(outlook, [Supply(usable([], 800.0))])
    assert first_day(found.empty[0], 0.9) == 0
    assert found.short[0, 0] == 0
    assert 0.2 < found.short[0, 7] < 0.9


def test_a_bottle_that_goes_bad_ends_the_stock():
    own = every(60, 6, 2_000)
    outlook = studio(own).outlook([own])
    held = usable([StockBottle(60_000, True, 40, None)], float(outlook.daily_ul()[0]))
    found = chances(outlook, [Supply(held)])
    assert found.empty[0, 40] < 0.2
    assert found.empty[0, 41] == 1
    assert found.short[0, 41] < 1


def test_a_planned_use_lowers_the_stock_on_its_day():
    own = every(10, 20)
    outlook = studio(own).outlook([own])
    plain = chances(outlook, [Supply(endless(60_000))])
    planned = chances(outlook, [Supply(endless(60_000), planned=((14, 40_000),))])
    assert planned.empty[0, 13] == pytest.approx(plain.empty[0, 13])
    assert planned.empty[0, 20] > plain.empty[0, 20] + 0.2
    too_much = chances(outlook, [Supply(endless(60_000), planned=((14, 70_000),))])
    assert too_much.short[0, 13] < 0.2
    assert too_much.short[0, 14] == 1


def test_what_is_on_order_counts_when_it_is_asked_to():
    own = every(10, 20)
    outlook = studio(own).outlook([own])
    alone = chances(outlook, [Supply(endless(10_000))]).empty[0]
    both = chances(outlook, [Supply(endless(10_000), coming_ul=50_000)]).empty[0]
    whole = chances(outlook, [Supply(endless(60_000))]).empty[0]
    assert both == pytest.approx(whole)
    assert both[30] < alone[30]


def test_a_product_alone_gets_what_it_gets_among_others():
    habits = [at_random(seed, 0.05 * (1 + seed)) for seed in range(8)]
    priors = studio(*habits)
    supplies = [Supply(endless(20_000 * (1 + seed))) for seed in range(8)]
    together = chances(priors.outlook(habits), supplies)
    for row in range(8):
        alone = chances(priors.outlook([habits[row]]), [supplies[row]])
        assert together.empty[row] == pytest.approx(alone.empty[0], abs=1e-5)


def test_sprays_of_equal_mixes():
    always = Amounts(np.array([8_000.0]), np.array([1.0]), 0.0)
    assert sprays([Stock(always, 8_000, 80_000), None, Stock(always, 8_000, 7_500)]) == [
        (10, 10, 10),
        None,
        (0, 0, 0),
    ]


def test_sprays_are_cautious_where_little_is_known():
    many, few = every(5, 60), every(5, 2)
    priors = studio(many, few)
    rows = []
    for own in (many, few):
        belief = believe_amounts(own.singles_ul, priors.singles_ul)
        assert belief is not None
        rows.append(Stock(belief, 8_000, 120_000))
    known, guessed = sprays(rows)
    assert known is not None
    assert guessed is not None
    assert known[1] == guessed[1] == 15
    assert guessed[0] < known[0] <= 15


def test_sprays_of_a_barrel():
    belief = Amounts(np.array([6_000.0, 10_000.0]), np.array([0.5, 0.5]), 0.02)
    found = sprays([Stock(belief, 8_000, 8_000_000)])[0]
    assert found is not None
    low, middle, high = found
    assert middle == 1_000
    assert 960 < low < middle < high < 1_040


def test_the_stock_day_by_day():
    """50 ml, of which 20 ml are lost from day 30 on; 10 ml are planned for day 40, today's plan counts tomorrow."""
    stock = Usable(50_000, ((30, 20_000.0),), None)
    supply = Supply(stock, planned=((40, 10_000), (0, 1_000)))
    assert supply.steps() == [(0, 50_000), (1, 49_000), (30, 29_000), (40, 19_000)]
    assert supply._replace(coming_ul=5_000).steps()[-1] == (40, 24_000)


def test_a_stock_that_ends_holds_nothing_from_that_day_on_unless_more_is_coming():
    stock = Usable(50_000, ((30, 20_000.0), (60, 30_000.0)), 60)
    assert Supply(stock).steps() == [(0, 50_000), (30, 30_000), (60, 0)]
    assert Supply(stock, planned=((20, 60_000),)).steps()[-1] == (60, -60_000)
    assert Supply(stock, coming_ul=5_000).steps()[-1] == (60, 5_000)
    assert Supply(Usable(50_000, ((HORIZON + 1, 50_000.0),), HORIZON + 1)).steps() == [(0, 50_000)]


def test_a_stock_that_ends_on_the_last_day_looked_at_ends_there():
    """Whatever is left then: nothing was counted as lost before."""
    assert Supply(Usable(50_000, (), HORIZON)).steps() == [(0, 50_000), (HORIZON, 0)]
    assert Supply(Usable(50_000, (), HORIZON + 1)).steps() == [(0, 50_000)]
    assert (
        Supply(Usable(50_000, (), None), planned=((HORIZON, 1), (HORIZON + 1, 1))).steps()[-1][0] == HORIZON
    )


def test_hundreds_of_mixes_are_spread_as_their_sum_is():
    """
    6 or 10 ml, 8 on average: squared deviation 1/16 of the mean; 8 l are 1,000 mixes, the level unsure by 2 %
    1.2816 x sqrt(0.02² + 1/16 x 1/1,000) = 0.02756, so 1,000 x e^-0.02756 = 972 and 1,000 x e^0.02756 = 1,027
    """
    belief = Amounts(np.array([6_000.0, 10_000.0]), np.array([0.5, 0.5]), 0.02)
    assert _many(belief, 8_000_000) == (972, 1_000, 1_027)
    at_the_edge = sprays([Stock(belief, 8_000, 3_200_000), Stock(belief, 8_000, 3_200_001)])
    assert at_the_edge[1] == _many(belief, 3_200_001)
    assert at_the_edge[0] != at_the_edge[1]


def test_a_mix_a_twentieth_smaller_than_usual_still_counts_as_one():
    always = Amounts(np.array([8_000.0]), np.array([1.0]), 0.0)
    assert sprays([Stock(always, 8_000, 7_600), Stock(always, 8_000, 7_599 - 8_000 // 48)]) == [
        (1, 1, 1),
        (0, 0, 0),
    ]


def test_the_first_day_that_reaches_a_chance():
    rising = np.array([0.0, 0.1, 0.5, 0.5])
    assert [first_day(rising, level) for level in (0.1, 0.11, 0.5, 0.51)] == [1, 2, 2, None]


def test_half_a_microlitre_is_some_and_none_at_all_is_looked_at_apart_from_it():
    """A first product has nothing now, a second loses all but half a microlitre tomorrow: each as it is alone."""
    own, other = every(10, 20), every(3, 60)
    priors = studio(own, other)
    nothing, crumb = Supply(Usable(0, (), None)), Supply(Usable(10_000, ((1, 9_999.5),), None))
    together = chances(priors.outlook([own, other]), [nothing, crumb])
    for row, (habit, supply) in enumerate(((own, nothing), (other, crumb))):
        alone = chances(priors.outlook([habit]), [supply])
        assert together.empty[row] == pytest.approx(alone.empty[0], abs=1e-5)
        assert together.short[row] == pytest.approx(alone.short[0], abs=1e-5)
    assert together.empty[0, 0] == 1
    assert together.empty[1, 0] == 0
    assert 0 < together.empty[1, 1] < 1


def test_a_bare_shelf_is_short_once_a_mix_day_has_come():
    """The chance that one has come by a day is that of another count than none, looked up week by week."""
    own = every(10, 20)
    outlook = studio(own).outlook([own])
    short = chances(outlook, [Supply(Usable(0, (), None))]).short[0]
    for days in (0, 7, 14, 28, 112, 126, 700):
        expected = 1 - float(outlook.counts(days)[0, 0])
        assert short[days] == pytest.approx(expected, abs=1e-9)
