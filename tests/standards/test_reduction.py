"""Thinning, worked by hand.

Source: arithmetic. Reducer = p/100 of the paint; its share of the mix = p/(100 + p); ratio of paint to reducer =
100/p to 1. Each case can be followed with pencil and paper.
"""

from fractions import Fraction

import pytest

from stock.bench import reduction
from stock.bench.reduction import Reduction
from stock.units import reduction as read


@pytest.mark.parametrize(
    ("percent", "reducer_ml", "ratio", "of_mix"),
    [
        (5, "0.5", "20", "4.761905"),
        (10, "1.0", "10", "9.090909"),
        (15, "1.5", "6.66667", "13.043478"),
        (20, "2.0", "5", "16.666667"),
        (25, "2.5", "4", "20"),
        (30, "3.0", "3.33333", "23.076923"),
        (40, "4.0", "2.5", "28.571429"),
        (50, "5.0", "2", "33.333333"),
        (75, "7.5", "1.33333", "42.857143"),
        (100, "10.0", "1", "50"),
    ],
)
def test_ten_millilitres_of_paint(percent: int, reducer_ml: str, ratio: str, of_mix: str):
    thinned = Reduction(Fraction(percent))
    assert reduction.reducer_for(10_000, thinned) == Fraction(reducer_ml) * 1_000
    assert abs(thinned.paint_parts - Fraction(ratio)) < Fraction(1, 10**5)
    assert abs(thinned.percent_of_mix - Fraction(of_mix)) < Fraction(1, 10**6)


def test_wanted_sprayable():
    """12 ml at 20 % are 10 + 2 ml; 9.6 ml are 8 + 1.6 ml."""
    assert reduction.to_total(12_000, Reduction(Fraction(20))) == (10_000, 2_000)
    assert reduction.to_total(9_600, Reduction(Fraction(20))) == (8_000, 1_600)


def test_a_step_is_of_the_paint_and_not_of_the_mix():
    """Five points on 8 ml at 20 %: 0.40 ml, 25 %, 10.0 ml. Of the mix it would have been 0.48 ml and 26 %."""
    added = reduction.step(8_000, Fraction(5))
    assert added == 400
    assert Reduction.of(8_000, 1_600 + added).percent_of_paint == 25
    assert Reduction.of(8_000, 1_600 + 480).percent_of_paint == 26


def test_a_step_after_spraying():
    """Of 9.6 ml at 20 % 3 ml are used: 5.5 ml of paint are left, five points are 0.275 ml, and it stands at 25 %."""
    paint_left, reducer_left = reduction.left_of(8_000, 1_600, 6_600)
    assert (paint_left, reducer_left) == (5_500, 1_100)
    added = reduction.step(paint_left, Fraction(5))
    assert added == 275
    assert Reduction.of(paint_left, reducer_left + added).percent_of_paint == 25


def test_too_thin():
    """8 ml at 30 % hold 2.4 ml of reducer; 20 % of 12 ml is 2.4 ml, so 4 ml of paint bring it back."""
    assert reduction.bring_back(8_000, 2_400, Reduction(Fraction(20))) == 4_000


def test_two_reducers_cut_one_to_one():
    """20 % of 10 ml is 2 ml, 1.0 + 1.0; of 1.001 ml the halves are 501 and 500 microlitres."""
    whole = reduction.reducer_for(10_000, Reduction(Fraction(20)))
    assert reduction.cut_blend(whole, [Fraction(1)] * 2) == [1_000, 1_000]
    assert sum(reduction.cut_blend(1_001, [Fraction(1)] * 2)) == 1_001


def test_the_same_reduction_written_four_ways():
    """A sheet's "20 % of the mix" is 25 % of the paint; 4 parts paint to 1 of reducer is the same."""
    assert read("20% of the mix") == read("4:1") == read("25%") == read("25 % of the paint") == 25
