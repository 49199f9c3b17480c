"""The day by which to order."""

from datetime import date, timedelta

import numpy as np
import pytest

from stock.forecast import ordering
from stock.forecast.ordering import LeadTime, OrderBy, arrival, lead_time, order_by

MONDAY = date(2026, 3, 2)


def dry_from(day: int, chance: float = 1.0) -> np.ndarray:
    """Never short before that day, then with that chance."""
    return np.where(np.arange(731) >= day, chance, 0.0)


def fixed(days: int):
    """A lead time that is always the same: so many deliveries that the prior's tail weighs less than 1 %."""
    return lead_time(days, [days] * 1_000)


def test_order_in_time_for_the_slowest_likely_delivery():
    """
    short from day 30 (Wednesday 1 April) on; deliveries take 7 days
    ordered on Tuesday 24 March (day 22) it comes on the last day of March, day 29; on day 23 too late
    """
    found = order_by(dry_from(30), fixed(7), today=MONDAY, target=0.05)
    assert found is not None
    assert (found.day, found.late, found.due) == (22, False, False)
    assert found.arrives == 29


def test_a_late_tail_of_deliveries_moves_the_day_forward():
    sure = order_by(dry_from(60), fixed(10), today=MONDAY, target=0.05)
    unsure = order_by(dry_from(60), lead_time(10), today=MONDAY, target=0.05)
    learnt = order_by(dry_from(60), lead_time(10, [10, 25, 10, 31, 12]), today=MONDAY, target=0.05)
    assert sure is not None
    assert unsure is not None
    assert learnt is not None
    assert learnt.day < unsure.day < sure.day


def test_nothing_is_ordered_or_delivered_at_weekends():
    """Ordered on Friday 6 March with 1 day: Saturday, so Monday 9 March."""
    assert arrival(date(2026, 3, 6), 1) == date(2026, 3, 9)
    assert arrival(date(2026, 3, 6), 2) == date(2026, 3, 9)
    assert arrival(date(2026, 3, 6), 3) == date(2026, 3, 9)
    for day in range(20, 60):
        found = order_by(dry_from(day), lead_time(5), today=MONDAY, target=0.05)
        assert found is not None
        assert (MONDAY + timedelta(days=found.day)).weekday() < 5


def test_what_would_come_at_a_weekend_is_counted_from_monday_on():
    """
    short from Tuesday 17 March (day 15) on; deliveries take 2 days
    ordered on Friday 13 March (day 11) it would come on Sunday, so on Monday the 16th: just in time
    ordered on Monday itself it comes too late
    """
    found = order_by(dry_from(15), fixed(2), today=MONDAY, target=0.05)
    assert found is not None
    assert (found.day, found.arrives) == (11, 14)


def test_a_suppliers_order_days_are_respected():
    found = order_by(dry_from(30), fixed(7), today=MONDAY, target=0.05, order_days=(3,))
    assert found is not None
    assert MONDAY + timedelta(days=found.day) == date(2026, 3, 19)


def test_too_late_is_said_and_the_next_possible_day_given():
    sunday = date(2026, 3, 1)
    found = order_by(dry_from(2), fixed(7), today=sunday, target=0.05)
    assert found is not None
    assert (found.day, found.late, found.due) == (
        1,
        True,
        True,
    )  # on the first day that takes orders, and due already
    assert found.risk > 0.9


def test_stock_that_lasts_needs_no_order_day():
    assert order_by(dry_from(700, 0.04), fixed(7), today=MONDAY, target=0.05) is None


def test_no_lead_time_at_all():
    """0 days: it comes on the day it is ordered, unless that is short already."""
    lead = lead_time(0)
    assert lead.chances == ((0, 1.0),)
    found = order_by(dry_from(30), lead, today=MONDAY, target=0.05)
    assert found is not None
    assert found.day == 29


def test_a_lead_time_of_400_days():
    found = order_by(dry_from(500), lead_time(400), today=MONDAY, target=0.05)
    assert found is not None
    assert found.late
    calm = order_by(dry_from(728), fixed(400), today=MONDAY, target=0.05)
    assert calm is not None
    assert not calm.late
    assert 300 < calm.day <= 328


def test_lead_times_are_learnt():
    assert lead_time(None).assumed
    assert lead_time(None).mean == pytest.approx(7 * 1.1, abs=0.5)
    learnt = lead_time(5, [9, 10, 11, 9, 10, 10, 11])
    assert not learnt.assumed
    assert learnt.seen == 7
    assert learnt.mean > 8
    assert sum(chance for _, chance in learnt.chances) == pytest.approx(1)


def test_a_clock_that_jumped_back_teaches_no_negative_lead_time():
    assert lead_time(5, [-3, -400]) == lead_time(5)
    assert lead_time(-5).chances == ((0, 1.0),)


def test_without_a_stated_lead_time_the_middle_of_the_past_ones_is_the_base():
    """3, 4 and 20 days: 4 weighs as the stated one would, spread towards late (4, 5, 6 and 8 days)."""
    learnt = lead_time(None, [20, 3, 4])
    assert not learnt.assumed
    chances = dict(learnt.chances)
    assert max(chances, key=lambda days: chances[days]) == 4
    assert set(chances) == {3, 4, 5, 6, 8, 20}


def test_a_risk_that_just_meets_the_target_is_kept():
    """
    short with 5 % from the first day on, surely only on the last, a Wednesday; orders go out on Mondays
    ordered on the last Monday it comes on that day, with the 5 % that were accepted: no day needs an order
    """
    short = np.where(np.arange(731) < 730, 0.05, 1.0)
    assert order_by(short, lead_time(0), today=MONDAY, target=0.05, order_days=(0,)) is None
    assert order_by(short, lead_time(0), today=MONDAY, target=0.049, order_days=(0,)).late


def test_an_order_is_due_on_its_day_and_when_even_today_is_too_late():
    assert OrderBy(0, 7, 0.01, False).due
    assert OrderBy(1, 7, 0.9, True).due
    assert not OrderBy(1, 7, 0.01, False).due


def test_the_noted_lead_time_weighs_as_much_as_three_deliveries():
    """10 days noted, spread to 12, 15 and 20; one delivery took 12: (0.25 x 3 + 1) / 4 of the chance."""
    chances = dict(lead_time(10, [12]).chances)
    assert chances == pytest.approx({10: 0.45, 12: 0.4375, 15: 0.075, 20: 0.0375})
    assert dict(lead_time(10, [9]).chances)[9] == pytest.approx(0.25)
    assert dict(lead_time(10, later_days=5).chances) == pytest.approx({15: 0.6, 17: 0.25, 20: 0.1, 25: 0.05})
    assert lead_time(None, [3, 9]).chances[-1][0] == 18  # of two past ones the longer is the base


@pytest.mark.parametrize("ahead", range(7))
def test_what_is_ordered_on_each_day_comes_when_one_order_of_that_day_would(ahead):
    """Whatever weekday it is today, and on whatever weekdays the supplier takes orders."""
    today = MONDAY + timedelta(days=ahead)
    for allowed in ((0, 1, 2, 3, 4), (2,)):
        days = ordering._ordered(today.weekday(), allowed, 30).tolist()
        assert days == [day for day in range(31) if (today + timedelta(days=day)).weekday() in allowed]
        for lead in (0, 3, 8):
            comes = [(arrival(today + timedelta(days=day), lead) - today).days for day in days]
            assert ordering._arrivals(today.weekday(), allowed, lead, 30).tolist() == [
                min(day, 30) for day in comes
            ]


def test_a_risk_of_just_the_target_may_be_waited_for():
    """
    short with 0.05 from day 10 on and certainly from day 20 on, a delivery on the day of the order
    day 18 is Friday 20 March; what is ordered on Monday, day 21, is too late
    """
    short = np.maximum(dry_from(10, 0.05), dry_from(20))
    found = order_by(short, LeadTime(((0, 1.0),), 1, False), today=MONDAY, target=0.05)
    assert found == OrderBy(18, 18, 0.05, late=False)


def test_a_product_that_is_short_on_the_last_day_looked_at_is_ordered():
    assert order_by(dry_from(730), fixed(7), today=MONDAY, target=0.05) is not None
    assert order_by(dry_from(731), fixed(7), today=MONDAY, target=0.05) is None


def test_what_is_no_weekday_is_no_order_day():
    plain = order_by(dry_from(30), fixed(7), today=MONDAY, target=0.05)
    for days in ((7,), (-1,), (7, -1)):
        assert order_by(dry_from(30), fixed(7), today=MONDAY, target=0.05, order_days=days) == plain


def test_a_delivery_on_the_day_of_the_order_teaches_that_it_can_be_so():
    learnt = lead_time(10, [0])
    assert learnt.seen == 1
    assert learnt.chances[0] == pytest.approx((0, 0.25))
