"""How many mixes fit into a stock."""

import numpy as np
import pytest

from stock.forecast.amounts import Amounts, believe_amounts, learn_amounts, on_lattice
from stock.forecast.mixes_left import Stock, fitting

ALWAYS_EIGHT = Amounts(np.array([8_000.0]), np.array([1.0]), 0.0)


def test_equal_mixes_fit_as_often_as_division_says():
    fits = fitting([Stock(ALWAYS_EIGHT, 8_000, 80_000), Stock(ALWAYS_EIGHT, 8_000, 79_000)])
    assert fits[0, 10] == pytest.approx(1)
    assert fits[0, 11] == pytest.approx(0, abs=1e-6)
    assert fits[1, 9] == pytest.approx(1)
    assert fits[1, 10] == pytest.approx(0, abs=1e-6)


def test_short_of_leaves_something():
    fits = fitting([Stock(ALWAYS_EIGHT, 8_000, 80_000)], short_of=True)
    assert fits[0, 9] == pytest.approx(1)
    assert fits[0, 10] == pytest.approx(0, abs=1e-6)


def test_an_empty_shelf_fits_nothing():
    assert fitting([Stock(ALWAYS_EIGHT, 8_000, 0)])[0, 0] == 1
    assert fitting([Stock(ALWAYS_EIGHT, 8_000, 0)])[0, 1:].max(initial=0) < 1e-6
    assert fitting([Stock(ALWAYS_EIGHT, 8_000, 0)], short_of=True)[0].max() == 0


def test_it_agrees_with_plain_convolution():
    own = np.random.default_rng(5).gamma(4, 2_000, 40)
    whole = believe_amounts(own, learn_amounts([own]))
    assert whole is not None
    belief = Amounts(whole.points_ul, whole.weights, 0.0)
    usual = 8_000.0
    fits = fitting([Stock(belief, usual, 64_000)])[0]
    unit = usual / 48
    lattice = on_lattice(belief.points_ul, belief.weights, unit)
    total = np.array([1.0])
    for number in range(len(fits)):
        assert fits[number] == pytest.approx(total[: round(64_000 / unit) + 1].sum(), abs=1e-6)
        total = np.convolve(total, lattice)


def test_rows_do_not_disturb_each_other():
    stocks = [Stock(ALWAYS_EIGHT, 8_000, 1_000.0 * volume) for volume in range(0, 700, 7)]
    together = fitting(stocks)
    for row in (0, 13, 50, 99):
        alone = fitting([stocks[row]])[0]
        assert together[row, : len(alone)] == pytest.approx(alone, abs=1e-5)


def test_a_barrel_ends_too():
    fits = fitting([Stock(ALWAYS_EIGHT, 8_000, 8_000 * 600.0)])
    assert fits.shape[1] <= 741
    assert fits[0, 560] == pytest.approx(1, abs=1e-3)  # coarser than one mix, so not exact any more
    assert fits[0, 640:].max() < 0.01


@pytest.mark.parametrize("mixes", [300, 511])
def test_hundreds_of_equal_mixes_fit_exactly_as_long_as_one_is_a_place_of_the_lattice(mixes):
    fits = fitting([Stock(ALWAYS_EIGHT, 8_000, 8_000.0 * mixes)])[0]
    assert fits[mixes] == pytest.approx(1, abs=1e-6)
    assert fits[mixes + 1 :].max(initial=0) < 1e-6


def test_no_more_than_two_years_of_mixes_are_counted():
    fits = fitting([Stock(ALWAYS_EIGHT, 8_000, 8_000 * 5_000.0)])[0]
    assert len(fits) == 741
    assert fits == pytest.approx(np.ones(741), abs=1e-3)
