"""The filter over mix-day rates."""

import numpy as np
import pytest

from stock.forecast.rates import (
    BASE,
    RATES,
    STATES,
    MixDays,
    _fresh_rates,
    _likelihoods,
    _smooth,
    believe_rates,
    learn_rates,
    rate_prior,
    week_chances,
    weeks_of,
)
from stock.forecast.use_history import UseHistory, from_arrays
from tests.forecast.given import DAY, at_random, every


def test_chances_add_up():
    step = rate_prior().step
    assert step.sum(axis=1) == pytest.approx(np.ones(29))
    assert BASE.sum() == pytest.approx(1)
    assert (step >= 0).all()


def test_weeks_are_counted_back_from_today_and_the_oldest_may_be_short():
    """
    mixes 17, 15, 6 and 0 days ago; evidence starts the day after the first: 17 days, weeks of 7, 7 and 3
    """
    days = np.array([DAY - 17, DAY - 15, DAY - 6, DAY], np.int64)
    assert weeks_of([from_arrays(days, np.ones(4))], DAY).tolist() == [[2 + 56, 56, 1 + 24]]


def test_a_product_mixed_today_for_the_first_time_has_no_evidence_yet():
    assert weeks_of([every(1, 1)], DAY).shape == (1, 0)
    belief = believe_rates(weeks_of([every(1, 1)], DAY), rate_prior())
    assert belief[0, 1:] == pytest.approx(BASE)


def test_all_events_on_one_day_are_one_event():
    known = from_arrays(np.full(2_000, DAY - 30, np.int64), np.full(2_000, 8_000.0))
    belief = believe_rates(weeks_of([known], DAY), rate_prior())
    assert known.events == 1
    assert belief.sum() == pytest.approx(1)


def test_the_filter_agrees_with_the_sum_over_all_paths():
    """Bayes' rule by hand over two whole weeks: all 29 x 29 x 29 paths of states."""
    prior = rate_prior()
    known = from_arrays(np.array([DAY - 14, DAY - 9, DAY - 8, DAY - 2], np.int64), np.ones(4))
    first = np.concatenate(([0.0], prior.fresh))
    joint = np.zeros(29)
    like = [STATES**count * (1 - STATES) ** (7 - count) for count in (2, 1)]
    for start in range(29):
        for middle in range(29):
            path = first[start] * prior.step[start, middle] * like[0][middle]
            joint += path * prior.step[middle] * like[1]
    belief = believe_rates(weeks_of([known], DAY), prior)[0]
    assert belief == pytest.approx(joint / joint.sum())


def test_products_of_different_age_do_not_disturb_each_other():
    young, old = every(3, 4), at_random(1, 0.2)
    prior = rate_prior()
    together = believe_rates(weeks_of([young, old], DAY), prior)
    for row, each in enumerate((young, old)):
        assert together[row] == pytest.approx(believe_rates(weeks_of([each], DAY), prior)[0])


def test_a_product_unused_for_long_is_taken_for_abandoned():
    prior = rate_prior()
    used = believe_rates(weeks_of([every(7, 30)], DAY), prior)[0, 0]
    left = believe_rates(weeks_of([every(7, 30, last=120)], DAY), prior)[0, 0]
    assert used < 0.02
    assert left > 0.5


def test_the_prior_follows_the_studio():
    busy = learn_rates(weeks_of([at_random(seed, 0.4) for seed in range(20)], DAY)).fresh
    slow = learn_rates(weeks_of([at_random(seed, 0.01) for seed in range(20)], DAY)).fresh
    assert busy @ RATES > 5 * (slow @ RATES)
    assert busy.sum() == pytest.approx(1)


def test_without_a_studio_the_default_prior_stands():
    assert learn_rates(weeks_of([], DAY)).fresh == pytest.approx(BASE)


@pytest.mark.parametrize("weeks", [0, 1, 2, 5])
def test_mix_days_ahead_agree_with_going_forward(weeks):
    """Step by step forward: move, then add Binomial(7, p) for each state."""
    from math import comb

    prior = rate_prior()
    forward = np.zeros((29, 7 * weeks + 1))
    belief = believe_rates(weeks_of([every(9, 12)], DAY), prior)[0]
    forward[:, 0] = belief
    for _ in range(weeks):
        moved = prior.step.T @ forward
        forward = np.zeros_like(moved)
        for count in range(8):
            chance = comb(7, count) * STATES**count * (1 - STATES) ** (7 - count)
            forward[:, count:] += chance[:, None] * moved[:, : moved.shape[1] - count]
    assert belief @ MixDays(prior).within(7 * weeks) == pytest.approx(forward.sum(axis=0), abs=1e-12)


@pytest.mark.parametrize("days", [0, 1, 6, 7, 8, 13, 730])
def test_any_stretch_of_days_has_chances_that_add_up(days):
    ahead = MixDays(rate_prior()).within(days)
    assert ahead.shape == (29, days + 1)
    assert ahead.sum(axis=1) == pytest.approx(np.ones(29))


def test_the_chance_of_mix_days_in_a_short_week_is_binomial():
    """Of three days two: 3 p² (1 - p)."""
    found = week_chances.__wrapped__(3)  # what is remembered may be of another test
    assert found.sum(axis=1) == pytest.approx(np.ones(len(STATES)))
    assert found[:, 2] == pytest.approx(3 * STATES**2 * (1 - STATES))


def test_what_says_nothing_of_the_rates_leaves_them_as_they_were():
    """Products that were mixed on no known day are as likely at each rate: only the smoothing moves the base."""
    assert _fresh_rates(np.ones((40, len(RATES)))) == pytest.approx(BASE, abs=0.02)


def test_a_rate_is_smoothed_by_half_itself_and_a_quarter_of_each_neighbour():
    assert _smooth(np.array([0.0, 0.0, 1.0, 0.0, 0.0])).tolist() == [0, 0.25, 0.5, 0.25, 0]
    assert _smooth(np.array([1.0, 0.0, 0.0])).tolist() == [0.75, 0.25, 0]


def test_the_table_of_a_weeks_likelihoods():
    """For c mix days in a week of d days: p^c (1 - p)^(d - c), and certainty where there was no day."""
    table = _likelihoods()
    assert table[:, 0].tolist() == [1] * len(STATES)
    for days, count in ((1, 0), (1, 1), (3, 2), (7, 0), (7, 7)):
        assert table[:, count + 8 * days] == pytest.approx(STATES**count * (1 - STATES) ** (days - count))


def test_a_short_week_lies_in_the_past_and_evidence_has_an_end():
    """Mixed 8 days ago: 8 days of evidence, a whole week and one day; what is older than 156 weeks is left out."""
    assert weeks_of([from_arrays(np.array([DAY - 8, DAY - 7], np.int64), np.ones(2))], DAY).tolist() == [
        [56, 9]
    ]
    assert weeks_of([from_arrays(np.array([DAY - 7, DAY], np.int64), np.ones(2))], DAY).tolist() == [[57]]
    old = UseHistory(np.array([DAY - 2_000], np.int64), np.ones(1), np.ones(1), None)
    assert weeks_of([old], DAY).tolist() == [[56] * 156]
    assert weeks_of([from_arrays(np.array([], np.int64), np.array([]), DAY - 3)], DAY).tolist() == [[24]]


def test_a_rate_stays_drifts_or_starts_anew_within_a_week():
    """
    abandoned          99 % stays so, 1 % starts at a fresh rate
    any rate           0.6 % abandoned, 0.4 % fresh, of the rest 97 % as it was and 1.5 % to each neighbour
    """
    fresh = np.zeros(28)
    fresh[5] = 1.0
    step = rate_prior(fresh).step
    assert step[0, [0, 6]].tolist() == [0.99, 0.01]
    assert step[11, [0, 6, 10, 11, 12, 13]] == pytest.approx([0.006, 0.004, 0.01485, 0.9603, 0.01485, 0])
    assert step[1, 1] == step[28, 28] == pytest.approx(0.985 * 0.99)
