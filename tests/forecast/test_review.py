"""Looking back."""

from datetime import date

import numpy as np
import pytest

from stock.forecast.review import PastForecast, ProductPast, month_starts, review
from stock.forecast.use_history import from_arrays
from tests.forecast.given import DAY, TODAY, at_random, every


def test_months_to_look_back_from():
    """The last day of each month that has 28 whole days after it."""
    assert month_starts(date(2025, 11, 20), TODAY) == [
        date(2025, 11, 30),
        date(2025, 12, 31),
        date(2026, 1, 31),
    ]
    assert month_starts(TODAY, TODAY) == []
    assert len(month_starts(date(2020, 1, 1), TODAY)) == 12


def pasts(count: int, stood_ul: int = 10**9) -> list[ProductPast]:
    days = [day.toordinal() for day in month_starts(date(2020, 1, 1), TODAY)]
    return [
        ProductPast(f"P{seed}", at_random(seed, 0.03 + 0.01 * seed, days=800), dict.fromkeys(days, stood_ul))
        for seed in range(count)
    ]


def test_steady_habits_are_covered():
    """Where use is what the method believes in, at least 80 % lie from P10 to P90 and about 10 % above."""
    found = review(pasts(25), month_starts(date(2020, 1, 1), TODAY), target=0.05)
    assert len(found.cases) == 25 * 12
    assert found.inside >= 0.8
    assert 0.02 <= found.over <= 0.15


def test_each_forecast_knows_nothing_of_what_came_after():
    """A use that exploded in the last month changes no forecast made before it."""
    day = date(2026, 1, 31)
    calm = [ProductPast("A", every(7, 60, last=30), {}), *pasts(5)]
    wild = [ProductPast("A", every(1, 430), {}), *pasts(5)]
    cut = every(1, 430)
    assert (cut.days > day.toordinal()).sum() == DAY - day.toordinal()
    first, second = (review(each, [day], target=0.05).cases for each in (calm, wild))
    assert [case.high_ul for case in first[1:]] != []
    assert first[0].used_ul == 0
    assert second[0].used_ul == 28 * 8_000


def test_running_dry_warned_of_and_not():
    day = date(2026, 1, 31)
    own = every(4, 100)
    low = ProductPast("A", own, {day.toordinal(): 20_000})
    high = ProductPast("B", own, {day.toordinal(): 10**7})
    found = review([low, high, *pasts(5)], [day], target=0.05)
    cases = {case.product: case for case in found.cases}
    assert cases["A"].warned
    assert cases["A"].short
    assert not cases["B"].short
    assert not cases["B"].warned
    assert (found.avoided, found.missed) == (1, 0)


@pytest.mark.parametrize("days", [[], [date(2026, 1, 31)]])
def test_nothing_to_look_back_on(days):
    found = review([], days, target=0.05)
    assert found.cases == ()
    assert (found.inside, found.avoided) == (0, 0)


@pytest.mark.parametrize(
    ("used_ul", "inside", "over"),
    [
        (99.4, False, False),
        (99.5, True, False),
        (100, True, False),
        (200, True, False),
        (200.5, True, False),
        (200.6, False, True),
    ],
)
def test_a_use_is_inside_up_to_half_a_microlitre_beyond_either_end(used_ul, inside, over):
    case = PastForecast("A", TODAY, 100, 150, 200, used_ul, warned=False, short=False)
    assert (case.inside, case.over) == (inside, over)


def test_a_review_counts_its_cases():
    """
    A    used 56 ml, had 20: warned of and short        avoided
    B    used 56 ml, had 56: warned of, not short       neither
    C    seldom used, then every day: short, no warning  missed
    D    mixed on two days: that is enough to be forecast; E on one: it isn't
    """
    day = date(2026, 1, 31)
    seen, own, rare = day.toordinal(), every(4, 100), every(60, 9, last=DAY - day.toordinal())
    days = np.concatenate((rare.days, np.arange(seen + 1, seen + 29)))
    sudden = from_arrays(days, np.full(len(days), 8_000.0))
    two, one = (every(30, count, last=DAY - seen) for count in (2, 1))
    products = [
        ("A", own, 20_000),
        ("B", own, 56_000),
        ("C", sudden, 100_000),
        ("D", two, 10**7),
        ("E", one, 10**7),
    ]
    found = review(
        [*(ProductPast(name, use, {seen: ul}) for name, use, ul in products), *pasts(5)], [day], target=0.05
    )
    cases = {case.product: case for case in found.cases}
    assert {name: (case.warned, case.short) for name, case in cases.items() if name in "ABCD"} == {
        "A": (True, True), "B": (True, False), "C": (False, True), "D": (False, False),
    }  # fmt: skip
    assert "E" not in cases
    assert (found.avoided, found.missed) == (1, 1)
    assert found.inside == sum(case.inside for case in found.cases) / len(found.cases) < 1
    assert found.over == sum(case.used_ul > case.high_ul for case in found.cases) / len(found.cases) > 0


def test_a_month_counts_from_the_28th_day_after_it():
    """28 February to 28 March is 28 days; the day before is a month too early."""
    first = date(2026, 1, 31)
    assert month_starts(first, date(2026, 3, 28)) == [date(2026, 2, 28)]
    assert month_starts(first, date(2026, 3, 27)) == []
