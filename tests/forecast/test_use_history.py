"""What counts as use, and what does not."""

from datetime import timedelta

from stock.forecast.use_history import WINDOW_DAYS, as_of, history_of
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
