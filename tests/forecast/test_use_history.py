"""What counts as use, and what does not."""

from datetime import timedelta

import numpy as np

from stock.forecast.use_history import WINDOW_DAYS, as_of, history_of, middle
from tests.forecast.given import DAY, TODAY, ago, every


def test_a_day_is_one_event_and_its_mixes_stay_apart():
    known = history_of([(ago(3), 8_000), (ago(3), 2_000), (ago(1), 5_000)], TODAY)
    assert known.events == 2
    assert known.totals_ul.tolist() == [10_000, 5_000]
    assert known.singles_ul.tolist() == [8_000, 2_000, 5_000]
    assert known.usual_ul == 5_000


def test_the_future_and_what_is_no_amount_are_left_out():
    """A clock that jumped back leaves mixes dated ahead: they are not known yet."""
    known = history_of(
        [(TODAY + timedelta(days=1), 8_000), (TODAY, 0), (ago(1), -4_000), (ago(2), 7_000)], TODAY
    )
    assert known.events == 1
    assert known.singles_ul.tolist() == [7_000]


def test_order_does_not_matter_and_old_use_is_dropped():
    late = [(ago(2), 1_000), (ago(WINDOW_DAYS + 5), 9_000), (ago(9), 3_000)]
    known = history_of(late, TODAY)
    assert known.days.tolist() == [DAY - 9, DAY - 2]


def test_nothing_used_is_a_habit_too():
    known = history_of([], TODAY, since=ago(20))
    assert (known.events, known.usual_ul, known.since) == (0, None, DAY - 20)
    assert history_of([], TODAY, since=TODAY + timedelta(days=2)).since is None


def test_the_past_of_a_habit_knows_nothing_of_what_came_after():
    whole = every(5, 10)
    past = as_of(whole, DAY - 11)
    assert past.days.tolist() == whole.days[:7].tolist()
    assert len(past.singles_ul) == 7


def test_use_is_remembered_for_three_years_of_52_weeks():
    known = history_of([(ago(WINDOW_DAYS), 1_000), (ago(WINDOW_DAYS - 1), 2_000), (TODAY, 3_000)], TODAY)
    assert known.totals_ul.tolist() == [2_000, 3_000]


def test_the_usual_mix_is_the_middle_one_or_between_the_middle_two():
    assert middle(np.array([9.0, 1.0, 4.0])) == 4
    assert middle(np.array([9.0, 1.0, 4.0, 5.0])) == 4.5


def test_the_past_knows_of_a_product_from_the_day_it_came_and_of_all_its_mixes_by_then():
    whole = history_of([(ago(9), 3), (ago(9), 4), (ago(2), 5)], TODAY, since=ago(20))
    assert as_of(whole, DAY - 9).singles_ul.tolist() == [3, 4]
    assert as_of(whole, DAY - 10).singles_ul.tolist() == []
    assert (as_of(whole, DAY - 20).since, as_of(whole, DAY - 21).since) == (DAY - 20, None)


def test_a_product_that_came_today_could_be_used_from_today_on():
    assert history_of([], TODAY, since=TODAY).since == DAY


def test_a_mix_day_begins_wherever_the_day_is_another_than_the_mix_befores():
    known = history_of([(ago(3), 1), (ago(2), 2), (ago(2), 3), (ago(2), 4), (ago(1), 5), (ago(1), 6)], TODAY)
    assert known.days.tolist() == [DAY - 3, DAY - 2, DAY - 1]
    assert known.totals_ul.tolist() == [1, 9, 11]
