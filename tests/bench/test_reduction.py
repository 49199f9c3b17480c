"""Thinning, as arithmetic."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.bench import reduction
from stock.bench.reduction import Reduction
from stock.bench.stages import Held, Stage
from stock.errors import BadInput
from stock.units import Microlitres

TWENTY = Reduction(Fraction(20))
amounts = st.integers(1, 10**7)
percents = st.fractions(Fraction(1, 10), 200, max_denominator=100).map(Reduction)


def test_the_three_readings_in_one_line():
    assert str(TWENTY) == "20 % of the paint = 5:1 = 16.7 % of the mix"
    assert str(Reduction(Fraction(30))) == "30 % of the paint = 10:3 = 23.1 % of the mix"
    assert str(Reduction(Fraction(17))) == "17 % of the paint = 5.88:1 = 14.5 % of the mix"
    assert str(Reduction(Fraction(0))) == "no reducer"


def test_what_scripts_read():
    assert reduction.as_amounts(30_000, TWENTY) == {
        "percent_of_paint": 20,
        "paint_parts": 5,
        "reducer_parts": 1,
        "percent_of_mix": 16.667,
        "paint_ml": 30,
        "reducer_ml": 6,
        "total_ml": 36,
    }
    none = Reduction(Fraction(0)).as_json()
    assert (none["paint_parts"], none["reducer_parts"]) == (0, 0)


def test_no_paint_has_no_reduction():
    for paint, reducer in ((0, 100), (-1, 100), (100, -1)):
        with pytest.raises(BadInput):
            Reduction.of(paint, reducer)


@given(amounts, percents)
def test_a_total_is_kept_to_the_microlitre(total_ul: int, wanted: Reduction):
    paint_ul, reducer_ul = reduction.to_total(total_ul, wanted)
    assert paint_ul + reducer_ul == total_ul
    assert abs(reducer_ul - Fraction(total_ul) * wanted.percent_of_mix / 100) <= 1


@given(st.integers(10_000, 10**7), percents)
def test_a_reduction_is_found_again_in_its_amounts(paint_ul: int, wanted: Reduction):
    found = Reduction.of(paint_ul, reduction.reducer_for(paint_ul, wanted))
    assert abs(found.percent_of_paint - wanted.percent_of_paint) <= Fraction(50, paint_ul)


@given(st.integers(1_000, 10**6), st.integers(1_000, 10**6), percents)
def test_what_is_thinned_too_far_comes_back(paint_ul: int, reducer_ul: int, target: Reduction):
    add_ul = reduction.bring_back(paint_ul, reducer_ul, target)
    after = Reduction.of(paint_ul + add_ul, reducer_ul)
    if add_ul:
        half_a_microlitre = Fraction(100 * reducer_ul, (paint_ul + add_ul) ** 2) + Fraction(1, 10**6)
        assert abs(after.percent_of_paint - target.percent_of_paint) <= half_a_microlitre
    else:
        assert after.percent_of_paint <= target.percent_of_paint + Fraction(50, paint_ul)


def test_reaching_a_target_from_above_says_how_much_paint_instead():
    assert reduction.to_reach(10_000, 1_000, TWENTY) == 1_000
    with pytest.raises(BadInput, match=r"is at 30 % already\. Add 5 ml of paint"):
        reduction.to_reach(10_000, 3_000, TWENTY)


def test_a_step_needs_paint_and_a_size():
    with pytest.raises(BadInput, match="no paint is left"):
        reduction.step(0, Fraction(5))
    for points in (Fraction(0), Fraction(-5)):
        with pytest.raises(BadInput, match="a step adds reducer"):
            reduction.step(8_000, points)


def test_no_paint_brings_a_mix_back_to_nothing():
    with pytest.raises(BadInput, match="no amount of paint"):
        reduction.bring_back(8_000, 1_000, Reduction(Fraction(0)))


@given(amounts, amounts, st.data())
def test_what_is_left_adds_up(paint_ul: int, reducer_ul: int, data: st.DataObject):
    left_ul = data.draw(st.integers(0, paint_ul + reducer_ul))
    paint_left, reducer_left = reduction.left_of(paint_ul, reducer_ul, left_ul)
    assert paint_left + reducer_left == left_ul
    assert 0 <= paint_left <= paint_ul
    assert 0 <= reducer_left <= reducer_ul


def test_more_can_not_be_left_than_was_made():
    with pytest.raises(BadInput, match="13 ml can't be left of a mix of 12 ml"):
        reduction.left_of(10_000, 2_000, 13_000)


def test_a_cut_blend_keeps_its_sum():
    assert reduction.cut_blend(1_001, [Fraction(1), Fraction(1)]) == [501, 500]
    assert reduction.cut_blend(2_000, [Fraction(3), Fraction(1)]) == [1_500, 500]


def test_how_much_of_the_allowed_range_is_used():
    low, high = Reduction(Fraction(10)), Reduction(Fraction(30))
    assert reduction.used_of_range(TWENTY, low, high) == 50
    assert reduction.used_of_range(Reduction(Fraction(40)), low, high) == 150
    with pytest.raises(BadInput, match="no width"):
        reduction.used_of_range(TWENTY, low, low)


def test_the_least_paint_has_a_reduction_and_none_has_none():
    least = Stage((Held(1, "paint", Microlitres(1)), Held(2, "reducer", Microlitres(2))))
    assert least.reduction == Reduction(Fraction(200))
    assert Stage((Held(2, "reducer", Microlitres(2)),)).reduction is None
