"""What was thrown away of late, and what a busy day uses: the arithmetic, with no books."""

from datetime import date

import pytest

from stock.cautions import recent_use
from tests.cautions.sample_facts import product, reducer

PRODUCTS = {1: product(), 2: reducer(solvent="acetone"), 3: reducer(3)}


@pytest.mark.parametrize(
    ("since", "on_hand_mg"),
    [(None, 22_500), (date(2026, 2, 28), 22_500), (date(2026, 3, 1), 18_000), (date(2026, 3, 15), 9_000)],
)
def test_hazardous_waste_is_of_the_month_by_kind_and_on_hand_since_it_last_left(
    monkeypatch, since, on_hand_mg
):
    """Of 0.9 g/ml: 10 ml on 1 March, 10 ml spent on the 15th, 5 ml in February; the waterborne paint is none."""
    thrown = [
        (date(2026, 3, 1), {1}, False, 50_000), (date(2026, 3, 1), {2}, False, 4_000),
        (date(2026, 3, 2), {1}, False, 50_000), (date(2026, 3, 14), {2}, False, 6_000),
        (date(2026, 3, 15), {2, 3}, True, 10_000), (date(2026, 2, 28), {2}, False, 5_000),
    ]  # fmt: skip
    monkeypatch.setattr(recent_use, "_thrown", lambda day: iter(thrown))
    made, on_hand = recent_use.waste(PRODUCTS, date(2026, 3, 15), since)
    assert on_hand == on_hand_mg
    assert [([each.id for each in one.products], one.spent, one.mass_mg) for one in made] == [
        ([2], False, 9_000), ([2, 3], True, 9_000),
    ]  # fmt: skip


def test_a_busy_day_is_that_on_which_most_that_is_known_to_burn_was_poured(monkeypatch):
    unknown = reducer(4, flash_point_mc=None, solvents=None, h_statements=None)
    poured = [
        (date(2026, 3, 1), 2, 4_000), (date(2026, 3, 1), 3, 3_000), (date(2026, 3, 2), 2, 6_000),
        (date(2026, 3, 2), 1, 90_000), (date(2026, 3, 2), 4, 90_000),
    ]  # fmt: skip
    asked = []

    def taken(kinds, first, last):
        asked.append((kinds, first, last))
        return iter(poured)

    monkeypatch.setattr(recent_use, "_taken", taken)
    assert recent_use.day_use_ul({**PRODUCTS, 4: unknown}, date(2026, 3, 31)) == 7_000
    assert asked == [(["poured"], date(2025, 12, 31), date(2026, 3, 31))]
    assert recent_use.day_use_ul({1: PRODUCTS[1]}, date(2026, 3, 31)) is None
