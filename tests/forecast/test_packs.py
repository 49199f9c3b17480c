"""Which pack size and how many."""

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.forecast.packs import (
    Need,
    PackChoice,
    PackSize,
    _cost_a_day,
    _counts,
    _price_a_ul,
    _serves,
    choose,
)

SMALL, MIDDLE, LARGE = PackSize(30_000, 600), PackSize(60_000, 790), PackSize(480_000, 3_900)


def need(least_ul: float = 50_000, daily_ul: float = 1_000, **other) -> Need:
    return Need(least_ul, daily_ul, other.pop("used_opened", float), **other)


def chosen(packs, asked, **options) -> PackChoice:
    found = choose(packs, asked, **options)
    assert found is not None
    return found


def test_the_cheaper_millilitre_wins_where_it_is_used_up():
    found = chosen([SMALL, MIDDLE], need())
    assert found.pack == MIDDLE
    assert found.cost_minor == 790 * found.count
    assert found.pack.size_ul * found.count >= 50_000


def test_never_more_than_is_used_within_the_opened_life():
    """Of the large bottle 100 ml are used within its opened life: cheap by the ml, dear by the ml used."""
    asked = need(daily_ul=300, largest_ul=100_000, used_opened=lambda size_ul: min(size_ul, 100_000.0))
    assert chosen([SMALL, MIDDLE, LARGE], asked).pack == MIDDLE
    tempting = PackSize(480_000, 900)
    assert chosen([MIDDLE, tempting], asked).pack == MIDDLE
    assert chosen([MIDDLE, tempting], asked, any_size=True).pack == tempting


def test_the_smallest_is_taken_when_even_that_is_too_much_and_it_is_said():
    asked = need(10_000, 50, largest_ul=20_000, used_opened=lambda size_ul: min(size_ul, 18_000.0))
    found = chosen([MIDDLE, LARGE], asked)
    assert found.pack == MIDDLE
    assert found.too_big
    assert found.count == 1
    assert found.wasted_ul == pytest.approx(42_000)


def test_of_bottles_that_are_too_big_no_more_are_bought_than_are_needed():
    """However dear the shipping is, which makes an order of fitting bottles larger."""
    asked = need(10_000, 1_000, largest_ul=20_000, used_opened=lambda size_ul: min(size_ul, 18_000.0))
    assert chosen([MIDDLE], asked._replace(shipping_minor=2_500)).count == 1
    assert chosen([MIDDLE], need(10_000, 1_000, shipping_minor=2_500)).count > 1


def test_what_would_go_bad_sealed_is_not_bought():
    """1 ml a day, keeps 90 days sealed: never more than that is used."""
    found = chosen([MIDDLE], need(300_000, 1_000, sealed_days=90))
    assert found.count == 1


def test_shipping_makes_orders_larger():
    alone = chosen([MIDDLE], need())
    shipped = chosen([MIDDLE], need(shipping_minor=2_500))
    assert shipped.count > alone.count
    assert (alone.cost_minor, shipped.cost_minor) == (790 * alone.count, 790 * shipped.count)


def test_a_price_missing_is_taken_in_proportion():
    unknown = PackSize(120_000, None)
    found = chosen([unknown, MIDDLE], need())
    assert found.cost_minor is None or found.pack == MIDDLE
    nothing = chosen([PackSize(60_000, None), PackSize(120_000, None)], need())
    assert nothing.cost_minor is None
    assert nothing.pack.size_ul * nothing.count >= 50_000
    assert nothing.count == 1


def test_a_pack_of_nothing_is_left_out():
    assert choose([PackSize(0, 100)], need()) is None
    assert choose([], need()) is None
    assert chosen([PackSize(0, 1), PackSize(-5, 1), MIDDLE], need()).pack == MIDDLE


def test_nothing_used_orders_nothing():
    assert choose([MIDDLE], need(daily_ul=0)) is None
    assert chosen([MIDDLE], need(10_000, 0.5)).count == 1


@given(
    st.lists(st.tuples(st.integers(0, 2_000_000), st.none() | st.integers(0, 100_000)), max_size=6),
    st.floats(0, 3_000_000),
    st.floats(0, 50_000),
    st.none() | st.integers(0, 2_000),
)
def test_whatever_is_asked_the_answer_serves(packs, least, daily, sealed):
    found = choose([PackSize(*pack) for pack in packs], need(least, daily, sealed_days=sealed))
    if found is None:
        assert daily == 0 or all(size == 0 for size, _ in packs)
        return
    assert found.count >= 1
    assert found.pack.size_ul > 0
    assert found.wasted_ul >= -1e-6
    if sealed is None:
        assert found.pack.size_ul * found.count >= least * (1 - 1e-6)


def test_what_an_order_costs_a_day():
    """
    2 of 60 ml for 60.00 each, 1 ml a day: lasts 120 days, on average half of it is tied up
    capital   12,000 / 2 x 0.25 x 120 / 365.25 = 492.81
    a day     (12,000 + 492.81 + 500 shipping + 0.1 x 1,000 for running dry) / 120 = 109.11
    without a price it is in proportion; what lasts no day at all costs more than anything
    """
    asked = need(shipping_minor=500, dry_minor=1_000, dry_risk=0.1)
    assert _cost_a_day(PackSize(60_000, 6_000), 2, asked, None) == pytest.approx(109.11, abs=0.005)
    assert _cost_a_day(PackSize(60_000, None), 2, asked, 0.1) == pytest.approx(109.11, abs=0.005)
    assert _cost_a_day(PackSize(1_000, None), 1, need(), None) == pytest.approx(1_000, rel=0.001)
    assert _cost_a_day(MIDDLE, 1, need(sealed_days=0), None) == inf


def test_the_price_of_a_microlitre_is_the_middle_one_of_those_known():
    known = [PackSize(1_000, 50), PackSize(2_000, 60), PackSize(4_000, 400), PackSize(9_000, None)]
    assert _price_a_ul(known) == 0.05
    assert _price_a_ul(known[:2]) == 0.05
    assert _price_a_ul(known[3:]) is None


def test_the_counts_that_are_compared():
    """
    from what is needed upwards    50 ml of 30 ml bottles: 2, and 12 more
    a year's use at the most       1 ml a day: 12 bottles of 30 ml, 6 of 60 ml
    not more than keeps            90 days: 3 of 30 ml
    without a price, or too big    only what is needed
    """
    assert _counts(SMALL, need(daily_ul=9_000), 0.1) == range(2, 15)
    assert _counts(SMALL, need(), 0.1) == range(2, 13)
    assert _counts(MIDDLE, need(60_000), 0.1) == range(1, 7)
    assert _counts(SMALL, need(600_000, sealed_days=90), 0.1) == range(3, 13)
    assert _counts(SMALL, need(600_000, sealed_days=20), None) == range(1, 2)
    assert _counts(SMALL, need(), None) == range(2, 3)
    assert _counts(SMALL, need(largest_ul=29_999), 0.1) == range(2, 3)
    assert _counts(SMALL, need(largest_ul=30_000), 0.1) == range(2, 13)


def test_how_long_an_order_lasts_and_what_goes_bad_of_it():
    """Of each 60 ml bottle 45 ml are used within its opened life, at 1 ml a day; sealed ones keep 80 days."""
    asked = need(used_opened=lambda size_ul: 45_000.0)
    assert _serves(MIDDLE, 2, asked) == (90, 30_000)
    assert _serves(MIDDLE, 2, asked._replace(sealed_days=80)) == (80, 40_000)
    assert _serves(MIDDLE, 2, need(used_opened=lambda size_ul: 99_000.0)) == (120, 0)


def test_a_bottle_as_large_as_what_is_used_within_its_opened_life_is_not_too_big():
    asked = need(10_000, 1_000, largest_ul=60_000)
    assert not chosen([MIDDLE], asked).too_big
    assert chosen([MIDDLE], asked._replace(largest_ul=59_999.0)).too_big
    assert not chosen([MIDDLE], need()).too_big


def test_a_bottle_may_hold_exactly_what_is_used_within_its_opened_life():
    """60 ml cost less by the day than 30 ml, and exactly 60 ml are used; one microlitre less, and it is left out."""
    asked = need(60_000, 1_000, largest_ul=60_000)
    assert chosen([SMALL, MIDDLE], asked).pack == MIDDLE
    assert chosen([SMALL, MIDDLE], asked._replace(largest_ul=59_999.0)).pack == SMALL


def test_where_every_size_is_too_big_only_the_smallest_is_looked_at():
    """However cheap the next one is."""
    asked = need(10_000, 50, largest_ul=20_000, used_opened=lambda size_ul: min(size_ul, 18_000.0))
    assert chosen([PackSize(120_000, 1), MIDDLE], asked).pack == MIDDLE
