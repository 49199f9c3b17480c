"""Planned use, and not counting it twice."""

from datetime import timedelta

from stock.forecast.planned import MixUse, PlannedNeed, settle
from tests.forecast.given import TODAY, ago


def test_a_plan_without_a_job_is_served_by_the_mixes_around_its_day():
    """
    planned   120 ml for today
    mixed     8 ml ten days ago: habit
    mixed     100 ml today: served, 20 ml still to come
    """
    plan = PlannedNeed(120_000, ago(20), TODAY)
    plans, mixes = settle([plan], [MixUse(ago(10), 8_000), MixUse(TODAY, 100_000)], TODAY)
    assert [each.volume_ul for each in plans] == [20_000]
    assert mixes == [MixUse(ago(10), 8_000)]


def test_a_plan_with_a_job_is_served_by_that_jobs_mixes_alone():
    plan = PlannedNeed(120_000, ago(20), TODAY, job=7)
    booked = [MixUse(ago(25), 50_000, 7), MixUse(ago(10), 50_000, 7), MixUse(TODAY, 30_000, 8)]
    plans, mixes = settle([plan], booked, TODAY)
    assert [each.volume_ul for each in plans] == [70_000]
    assert mixes == [MixUse(ago(25), 50_000, 7), MixUse(TODAY, 30_000, 8)]


def test_what_goes_beyond_the_plan_is_habit():
    plans, mixes = settle([PlannedNeed(50_000, ago(5), TODAY)], [MixUse(TODAY, 80_000)], TODAY)
    assert plans == []
    assert mixes == [MixUse(TODAY, 30_000)]
    _, crumbs = settle([PlannedNeed(78_000, ago(5), TODAY)], [MixUse(TODAY, 80_000)], TODAY)
    assert crumbs == []
    _, tenth = settle([PlannedNeed(72_000, ago(5), TODAY)], [MixUse(TODAY, 80_000)], TODAY)
    assert tenth == [MixUse(TODAY, 8_000)]


def test_one_mix_serves_two_plans_but_each_millilitre_once():
    both = [PlannedNeed(50_000, ago(5), TODAY), PlannedNeed(50_000, ago(4), TODAY + timedelta(days=1))]
    plans, mixes = settle(both, [MixUse(TODAY, 80_000)], TODAY)
    assert [each.volume_ul for each in plans] == [20_000]
    assert mixes == []


def test_a_plan_nobody_came_back_to_lapses():
    assert settle([PlannedNeed(50_000, ago(30), ago(8))], [], TODAY)[0] == []
    assert settle([PlannedNeed(50_000, ago(30), ago(7))], [], TODAY)[0] != []
    assert settle([PlannedNeed(50_000, ago(90), ago(60), job=3)], [], TODAY)[0] != []
    assert settle([PlannedNeed(50_000, ago(90), TODAY, job=3, over=True)], [], TODAY)[0] == []


def test_a_mix_dated_ahead_serves_nothing_yet():
    """The clock jumped back: what is dated after today is not known."""
    tomorrow = TODAY + timedelta(days=1)
    plans, _ = settle([PlannedNeed(50_000, ago(5), tomorrow)], [MixUse(tomorrow, 50_000)], TODAY)
    assert [each.volume_ul for each in plans] == [50_000]


def test_a_mix_serves_a_plan_from_three_days_before_its_day_to_a_week_after_it():
    plan = PlannedNeed(50_000, ago(90), ago(30))
    serving = [days for days in range(20, 40) if plan.serves(MixUse(ago(days), 1))]
    assert (min(serving), max(serving), len(serving)) == (30 - 7, 30 + 3, 11)


def test_a_jobs_mix_serves_its_plan_from_the_day_on_which_the_plan_was_made():
    plan = PlannedNeed(50_000, ago(20), TODAY, job=7)
    assert [plan.serves(MixUse(ago(days), 1, 7)) for days in (21, 20, 19)] == [False, True, True]
