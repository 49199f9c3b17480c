"""Thinning, as arithmetic."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.bench import reduction
from stock.bench.reduction import Reduction
from stock.bench.stages import Held, MixPour, Stage, StepNote, stages
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


def test_how_far_along_its_range_a_reduction_lies():
    """0 at the low end, 100 at the high end, more beyond it; a range of one point has a width, one of none has not."""

    def used(now: int, low: int, high: int) -> Fraction:
        return reduction.used_of_range(*(Reduction(Fraction(each)) for each in (now, low, high)))

    assert [used(now, 10, 30) for now in (5, 10, 15, 30, 40)] == [-25, 0, 25, 100, 150]
    assert used(10, 10, 11) == 0
    for high in (10, 9):
        with pytest.raises(BadInput, match="no width"):
            used(10, 10, high)


def test_what_is_left_keeps_its_proportion_and_is_no_more_than_there_was():
    assert reduction.left_of(8_000, 1_600, 9_600) == (8_000, 1_600)
    assert reduction.left_of(8_000, 1_600, 3_001) == (2_501, 500)
    with pytest.raises(BadInput, match="can't be left"):
        reduction.left_of(8_000, 1_600, 9_601)
    assert reduction.cut_blend(1_000, [Fraction(1), Fraction(3)]) == [250, 750]


def test_paint_brings_a_mix_back_only_to_more_than_nothing():
    assert reduction.bring_back(10_000, 3_000, TWENTY) == 5_000
    assert reduction.bring_back(15_000, 3_000, TWENTY) == 0
    with pytest.raises(BadInput, match="back to 0"):
        reduction.bring_back(10_000, 3_000, Reduction(Fraction(0)))


class TestStages:
    CUP = Stage((Held(1, "paint", 6_000), Held(2, "paint", 2_000), Held(3, "reducer", 1_600)))

    def test_what_the_cup_holds(self):
        assert (self.CUP.paint_ul, self.CUP.reducer_ul, self.CUP.total_ul) == (8_000, 1_600, 9_600)
        assert self.CUP.reduction == TWENTY
        assert Stage((Held(3, "reducer", 1_600),)).reduction is None
        assert self.CUP.shares("paint") == {1: 6_000, 2: 2_000}

    def test_half_of_it_sprayed(self):
        half = self.CUP.after_spraying(4_800)
        assert [each.volume_ul for each in half.held] == [3_000, 1_000, 800]
        assert self.CUP.after_spraying(0) == Stage()
        assert [each.product_id for each in self.CUP.after_spraying(1).held] == [1]

    def test_more_of_what_is_there_and_something_new(self):
        more = self.CUP.plus([(3, "reducer", 400), (4, "additive", 100)])
        assert [(each.product_id, each.volume_ul) for each in more.held] == [
            (1, 6_000),
            (2, 2_000),
            (3, 2_000),
            (4, 100),
        ]

    def test_each_booking_is_a_stage_and_what_was_sprayed_before_it_is_gone(self):
        def pour(booking: int, product: int, part: str, ul: int) -> MixPour:
            return MixPour(booking, 1, product, "", "", "", part, ul)

        pours = [pour(1, 1, "paint", 8_000), pour(1, 3, "reducer", 1_600), pour(2, 3, "reducer", 200)]
        stages_of = stages(pours, {2: StepNote(4_800, "thin")})
        assert [(each.paint_ul, each.reducer_ul, each.purpose) for each in stages_of] == [
            (8_000, 1_600, None), (4_000, 1_000, "thin"),
        ]  # fmt: skip
        beyond = stages(pours, {2: StepNote(99_000, None)})[1]
        assert (beyond.paint_ul, beyond.reducer_ul) == (8_000, 1_800)


@pytest.mark.parametrize(
    ("percent", "ratio"),
    [
        (Fraction(1_000, 11), "11:10"),
        (Fraction(1_100, 12), "1.09:1"),
        (Fraction(200, 99), "99:2"),
        (Fraction(200, 101), "50.5:1"),
        (1, "100:1"),
        (Fraction(100, 3), "3:1"),
    ],
)
def test_a_ratio_of_few_parts_is_whole_and_another_has_two_decimals(percent, ratio):
    """Up to ten parts of reducer and a hundred of paint."""
    assert f" = {ratio} = " in str(Reduction(Fraction(percent)))


def test_per_cents_are_shown_to_a_tenth():
    assert str(Reduction(Fraction(100, 3))) == "33.3 % of the paint = 3:1 = 25 % of the mix"


def test_scripts_read_every_reading_of_a_broken_per_cent():
    """12.5 % of the paint are 1 part to 8, a ninth of the mix."""
    answer = Reduction(Fraction(25, 2)).as_json()
    assert (answer["percent_of_paint"], answer["paint_parts"], answer["percent_of_mix"]) == (12.5, 8, 11.111)


@pytest.mark.parametrize(
    ("numerator", "denominator", "number"),
    [
        (4, 2, 2),
        (1, 3, 0.333),
        (2, 3, 0.667),
        (1, 2_000, 0),
        (3, 2_000, 0.002),
        (5, 2_000, 0.002),
        (7, 4, 1.75),
    ],
)
def test_a_figure_for_scripts_has_three_decimals_and_half_of_the_last_goes_to_the_even_one(
    numerator, denominator, number
):
    found = reduction._number(numerator, denominator)
    assert (found, type(found)) == (number, type(number))


def test_the_smallest_step_is_more_than_none():
    assert reduction.step(8_000, Fraction(1, 2)) == 40
    assert reduction.step(1, Fraction(100)) == 1
