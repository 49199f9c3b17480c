"""Steps on an open mix, in the books of both engines."""

import datetime as dt
from fractions import Fraction

import pytest

from stock.bench import mixes, steps
from stock.bench.closing import Ending, close
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.reduction import Reduction
from stock.errors import BadInput, NotEnough, NotFound
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import counts, deliveries, handling, products, sheets
from stock.shelf.bottles import numbered
from stock.shelf.dosings import read as dosing


def test_a_step_comes_from_the_same_bottle(mixed: int):
    answer = steps.book_step(mixed, Fraction(5))
    assert answer["added_ml"] == 0.4
    assert answer["reduction"]["percent_of_paint"] == 25
    assert [pour["bottle"] for pour in answer["pours"]] == [3]
    assert numbered("3").on_hand_ul == 120_000 - 1_600 - 400
    assert not prove().problems


def test_without_a_size_it_is_the_advised_one(mixed: int):
    planned = steps.plan_step(mixed)
    answer = steps.book_step(mixed)
    assert answer["added_ml"] == planned.as_json()["added_ml"] > 0


def test_a_plan_books_nothing(mixed: int):
    steps.plan_step(mixed, Fraction(5))
    assert mixes.mix(mixed).cup.reducer_ul == 1_600
    assert numbered("3").on_hand_ul == 120_000 - 1_600


def test_a_step_after_spraying_is_of_the_paint_that_is_left(mixed: int):
    """Of 9.6 ml at 20 % 3 ml are used: five points are 0.275 ml, and what is left stands at 25 %."""
    answer = steps.book_step(mixed, Fraction(5), left_ul=6_600)
    assert answer["added_ml"] == 0.275
    assert answer["reduction"]["percent_of_paint"] == 25
    found = mixes.mix(mixed)
    assert found.reduction is not None
    assert found.reduction.percent_of_paint == 25
    assert found.poured_ul() == 9_600 + 275


@pytest.mark.parametrize("left_ul", [0, -1, 9_601])
def test_more_can_not_be_left_than_the_cup_held(mixed: int, left_ul: int):
    with pytest.raises(BadInput, match=r"can't be left of a mix of 9\.6 ml"):
        steps.plan_step(mixed, Fraction(5), left_ul=left_ul)


def test_the_same_key_books_once(mixed: int):
    first = steps.book_step(mixed, Fraction(5), key="one")
    assert steps.book_step(mixed, Fraction(5), key="one") == first
    assert mixes.mix(mixed).cup.reducer_ul == 2_000


def test_a_step_bigger_than_the_sheet_allows_is_warned_of_with_the_reason(mixed: int):
    sheets.add(
        "Slow Thinner",
        "Thinner guide",
        dt.date(2024, 5, 1),
        dosings=[dosing("line=Quay low=10 high=30 step=2")],
    )
    planned = steps.plan_step(mixed, Fraction(5))
    assert [found.code for found in planned.cautions] == ["step-too-large"]
    assert "congeal" in planned.cautions[0].message
    assert "Thinner guide of 2024-05-01" in planned.cautions[0].source
    assert steps.plan_step(mixed, Fraction(2)).cautions == ()


def test_beyond_the_range_is_warned_of(mixed: int):
    planned = steps.plan_step(mixed, Fraction(10))
    assert "beyond-range" in [found.code for found in planned.cautions]
    assert planned.used_milli is not None
    assert planned.used_milli > 100_000


@pytest.mark.parametrize("points", [Fraction(0), Fraction(-5)])
def test_a_step_of_nothing(mixed: int, points: Fraction):
    with pytest.raises(BadInput, match="a step adds reducer"):
        steps.plan_step(mixed, points)


def test_a_step_out_of_all_reason(mixed: int):
    with pytest.raises(BadInput, match="that would be 1020 % of the paint"):
        steps.plan_step(mixed, Fraction(1_000))


def test_no_such_mix(stocked: str):
    with pytest.raises(NotFound, match="there is no mix 99"):
        steps.book_step(99, Fraction(5))


def test_a_mix_without_reducer_does_not_say_which_to_add(stocked: str):
    mix = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),)))["mix"]
    with pytest.raises(BadInput, match="holds no reducer"):
        steps.book_step(mix, Fraction(5))


def test_a_closed_mix_is_not_stepped_again(mixed: int):
    close(mixed, Ending("good"))
    with pytest.raises(mixes.ClosedAlready, match="was closed as good") as refusal:
        steps.book_step(mixed, Fraction(5))
    assert "undo close" in refusal.value.remedy
    assert numbered("3").on_hand_ul == 120_000 - 1_600


def test_an_undone_mix_is_not_stepped(mixed: int):
    undo("mix", mixed)
    with pytest.raises(NotFound):
        steps.book_step(mixed, Fraction(5))


def test_not_before_the_mix_was_made(mixed: int):
    with pytest.raises(BadInput, match="after that"):
        steps.book_step(mixed, Fraction(5), at=dt.datetime.now(dt.UTC) - dt.timedelta(days=1))


def test_when_the_bottle_is_empty_the_next_one_is_opened(mixed: int):
    deliveries.receive("Slow Thinner", 120_000)
    handling.decant("3", 120_000 - 1_600 - 100)  # 0.1 ml stays in it; the jar is bottle 6
    answer = steps.book_step(mixed, Fraction(5))
    assert sum(pour["volume_ml"] for pour in answer["pours"]) == pytest.approx(0.4)
    assert not prove().problems


def test_when_all_are_empty_it_is_refused(mixed: int):
    handling.discard("3")
    with pytest.raises(NotEnough):
        steps.book_step(mixed, Fraction(5))


def test_a_cut_blend_is_stepped_in_its_own_proportion(stocked: str):
    products.add({"name": "Fast Thinner", "role": "reducer", "flash_point": "40C", "water": "60"})
    deliveries.receive("Fast Thinner", 120_000)
    mix = book_mix(
        MixRequest(
            parts=(("Harbour Blue", 10_000),),
            reduce=Fraction(20),
            reducers=(("Slow Thinner", 3), ("Fast Thinner", 1)),
        )
    )["mix"]
    answer = steps.book_step(mix, Fraction(4))
    assert {pour["product"]: pour["volume_ml"] for pour in answer["pours"]} == {
        "Slow Thinner": 0.3,
        "Fast Thinner": 0.1,
    }


class TestBringingBack:
    def test_says_and_books_how_much_paint(self, mixed: int):
        steps.book_step(mixed, Fraction(10))
        target = Reduction(Fraction(20))
        assert steps.plan_back(mixed, target).as_json()["added_ml"] == 4
        answer = steps.book_back(mixed, target)
        assert answer["reduction"]["percent_of_paint"] == 20
        assert answer["paint_ml"] == 12
        assert [pour["bottle"] for pour in answer["pours"]] == [1]
        assert not prove().problems

    def test_a_mix_that_is_not_too_thin(self, mixed: int):
        with pytest.raises(BadInput, match="is at 20 %, which is not thinner than that"):
            steps.plan_back(mixed, Reduction(Fraction(25)))

    def test_it_can_be_undone(self, mixed: int):
        steps.book_step(mixed, Fraction(10))
        back = steps.book_back(mixed, Reduction(Fraction(20)))
        undo("step", back["step"])
        found = mixes.mix(mixed).reduction
        assert found is not None
        assert found.percent_of_paint == 30


def test_open_mixes_stay_on_the_bench_until_they_are_closed(mixed: int):
    assert [each.id for each in mixes.open_mixes()] == [mixed]
    close(mixed, Ending("thin"))
    assert mixes.open_mixes() == []
    undo("close", mixes.mix(mixed).closed.id)
    assert [each.id for each in mixes.open_mixes()] == [mixed]


def test_a_mix_tells_what_it_held_after_each_step(mixed: int):
    steps.book_step(mixed, Fraction(5))
    steps.book_step(mixed, Fraction(5))
    stages = [(stage.paint_ul, stage.reducer_ul) for stage in mixes.mix(mixed).stages]
    assert stages == [(8_000, 1_600), (8_000, 2_000), (8_000, 2_400)]
    assert mixes.mix(mixed).words == "Harbour Blue with Slow Thinner"


def test_a_step_after_a_pour_of_two_bottles_comes_from_the_one_that_still_holds_enough(stocked: str):
    """
    bottle 3 holds 1 ml of thinner and bottle 5 120 ml
    a mix takes 1 ml of 3 and 0.6 ml of 5, so its step comes from 5
    """
    counts.count("3", 1_000)
    deliveries.receive("Slow Thinner", 120_000)
    handling.open_bottle("3")
    mix = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20)))
    assert [pour["bottle"] for pour in mix["pours"]] == [1, 3, 5]
    planned = steps.plan_step(int(mix["mix"]), Fraction(5))
    assert [(pour.bottle, pour.volume_ul, pour.why) for pour in planned.pours] == [
        (5, 400, "the same bottle as before")
    ]


def test_the_end_of_the_range_is_still_within_it(mixed: int):
    """8 ml with 20 %; the sheet says 10 to 30: ten points more stand exactly at its end."""
    sheets.add(
        "Slow Thinner",
        "Thinner guide",
        dt.date(2024, 5, 1),
        dosings=[dosing("line=Quay low=10 high=30 step=10")],
    )
    at_the_end = steps.plan_step(mixed, Fraction(10))
    assert at_the_end.cautions == ()
    assert at_the_end.used_milli == 100_000
    beyond = steps.plan_step(mixed, Fraction(101, 10))
    assert "beyond-range" in [found.code for found in beyond.cautions]
