"""Changes in use, said in words."""

from datetime import date

import numpy as np
import pytest

from stock.forecast.changes import RateChange, change, dying
from stock.forecast.use_history import UseHistory, from_arrays, history_of
from tests.forecast.given import DAY, TODAY, ago, at_random, every


def two_rates(before: int, after: int, cut: int) -> UseHistory:
    """Every `before` days until `cut` days ago, every `after` days from then on."""
    old = np.arange(DAY - 400, DAY - cut, before)
    new = np.arange(DAY - cut, DAY + 1, after)
    days = np.r_[old, new].astype(np.int64)
    return from_arrays(days, np.full(len(days), 8_000.0))


def test_more_often():
    found = change(two_rates(12, 4, 60), DAY)
    assert found is not None
    assert found.words(TODAY).startswith("mixed 3 times as often since ")
    assert abs((found.since - ago(60)).days) <= 14


def test_twice_and_less_often():
    assert RateChange(date(2026, 3, 12), 2.1, 9).words(TODAY) == "mixed twice as often since 12 March"
    assert RateChange(date(2026, 3, 12), 0.33, 9).words(TODAY) == "mixed only a third as often since 12 March"
    assert (
        RateChange(date(2026, 3, 12), 0.1, 9).words(TODAY)
        == "hardly mixed since 12 March; before that every 9 days"
    )


def test_stopped():
    found = change(every(6, 40, last=90), DAY)
    assert found is not None
    assert found.factor == 0
    assert found.since == ago(90)
    assert found.words(TODAY) == f"not mixed since {ago(90).day} December 2025; before that every 6 days"


@pytest.mark.parametrize(
    "own", [every(5, 60), every(30, 12), every(7, 4), history_of([], TODAY), every(1, 300)]
)
def test_a_steady_habit_has_no_change(own):
    assert change(own, DAY) is None


def test_all_events_on_one_day_are_no_change():
    assert change(from_arrays(np.full(50, DAY - 3, np.int64), np.full(50, 1.0)), DAY) is None


def test_chance_alone_is_seldom_taken_for_a_change():
    """Of 400 steady random habits at most 3 % are told as changed (1 in 100 is meant)."""
    changes_seen = sum(change(at_random(seed, 0.1, days=300), DAY) is not None for seed in range(400))
    assert changes_seen <= 12


def test_dying_stock():
    own = every(10, 20, last=200)
    found = dying(own, DAY, abandoned=0.9, held_ul=40_000)
    assert found is not None
    assert (found.last_used, found.quiet_days, found.held_ul) == (ago(200), 200, 40_000)
    assert dying(own, DAY, abandoned=0.9, held_ul=0) is None
    assert dying(every(10, 20), DAY, abandoned=0.0, held_ul=40_000) is None


def test_what_was_never_used_dies_from_the_day_it_came():
    found = dying(history_of([], TODAY, since=ago(300)), DAY, abandoned=0.4, held_ul=60_000)
    assert found is not None
    assert (found.last_used, found.quiet_days) == (None, 300)
    assert dying(history_of([], TODAY, since=ago(30)), DAY, abandoned=0.4, held_ul=60_000) is None


def test_the_change_is_the_likeliest_of_all_days():
    compared = 0
    for seed in range(12):
        own = at_random(seed, 0.05 + 0.02 * seed)
        slower = np.concatenate((own.days[: len(own.days) // 2], own.days[len(own.days) // 2 :][::4]))
        found = change(from_arrays(slower, np.full(len(slower), 8_000.0)), DAY)
        first, span = int(slower[0]), DAY - int(slower[0])
        seen = slower[1:] - first
        gains = {}
        for cut in range(14, span - 13):
            before = int((seen <= cut).sum())
            parts = ((before, cut), (len(seen) - before, span - cut))
            gains[cut] = sum(count * np.log(count / days) for count, days in parts if count)
        best = max(gains, key=gains.__getitem__)
        if found is not None and found.factor:
            assert found.since == date.fromordinal(first + best + 1)
            compared += 1
    assert compared >= 4


def test_five_mix_days_are_enough_to_see_that_a_product_is_no_longer_used():
    found = change(every(3, 5, last=400), DAY)
    assert found is not None
    assert (found.factor, found.since) == (0, ago(400))
    assert change(every(3, 4, last=400), DAY) is None


def test_stock_dies_after_half_a_year_or_after_two_weeks_where_it_is_most_likely_abandoned():
    for last, abandoned, dead in ((179, 0.5, False), (180, 0.5, True), (14, 0.51, True), (13, 0.51, False)):
        assert (dying(every(10, 20, last=last), DAY, abandoned=abandoned, held_ul=1) is not None) is dead
    assert dying(history_of([], TODAY), DAY, abandoned=1.0, held_ul=1) is None


def test_how_a_change_is_worded_at_its_ends():
    """Twice up to two and a half, hardly below a sixth, and parts of it as words."""
    day = date(2026, 3, 12)

    def said(factor: float) -> str:
        return RateChange(day, factor, 1.2).words(TODAY).removesuffix(" since 12 March")

    assert [said(each) for each in (2.49, 2.5, 2.51, 3.4)] == [
        "mixed twice as often", "mixed twice as often", "mixed 3 times as often", "mixed 3 times as often",
    ]  # fmt: skip
    assert [said(1 / each) for each in (2, 3, 4, 5, 6)] == [
        f"mixed only {part} as often" for part in ("half", "a third", "a quarter", "a fifth", "a sixth")
    ]
    assert RateChange(day, 0.16, 1.2).words(TODAY) == "hardly mixed since 12 March; before that every day"
    assert (
        RateChange(date(2025, 3, 12), 0, 1.6).words(TODAY).endswith("12 March 2025; before that every 2 days")
    )


def test_a_product_is_watched_for_four_weeks_before_a_change_is_told():
    """Mixed on each of 14 days and on none since, for two weeks more."""
    found = change(every(1, 14, last=15), DAY)
    assert found is not None
    assert found.factor == 0
    assert change(every(1, 14, last=14), DAY) is None
