"""How much a mix takes."""

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.forecast.amounts import AmountPrior, believe_amounts, learn_amounts, on_lattice


def test_nothing_known_of_anything_gives_no_numbers():
    assert believe_amounts(np.empty(0), learn_amounts([])) is None


def test_a_product_never_mixed_borrows_the_studios_amounts():
    prior = learn_amounts([np.array([8_000.0, 9_000.0, 7_500.0])] * 5)
    belief = believe_amounts(np.empty(0), prior)
    assert belief is not None
    assert 7_000 < belief.mean_ul < 9_500
    assert belief.level_sd > 0.2


def test_own_amounts_rule_once_there_are_some():
    prior = learn_amounts([np.full(10, 2_000.0), np.full(10, 3_000.0), np.full(10, 2_500.0)])
    belief = believe_amounts(np.full(40, 20_000.0), prior)
    assert belief is not None
    assert belief.mean_ul == pytest.approx(20_000, rel=0.03)
    assert belief.level_sd < 0.05


def test_newer_amounts_weigh_more():
    belief = believe_amounts(np.r_[np.full(60, 4_000.0), np.full(20, 12_000.0)], learn_amounts([]))
    other = believe_amounts(np.r_[np.full(20, 12_000.0), np.full(60, 4_000.0)], learn_amounts([]))
    assert belief is not None
    assert other is not None
    assert belief.mean_ul > other.mean_ul


def test_one_huge_amount_is_capped():
    amounts = np.r_[np.full(200, 1_000.0), 1e9]
    belief = believe_amounts(amounts, learn_amounts([amounts]))
    assert belief is not None
    before = np.r_[amounts, belief.points_ul[-10:]]
    assert belief.points_ul.max() < before.max()


@given(
    st.lists(st.floats(1.0, 1e6), min_size=1, max_size=30),
    st.floats(1.0, 1e5),
)
def test_the_lattice_keeps_the_mean_and_all_chances(points, unit):
    values = np.array(points)
    weights = np.full(len(values), 1 / len(values))
    if values.max() / unit > 1e5:
        return
    lattice = on_lattice(values, weights, unit)
    assert lattice.sum() == pytest.approx(1)
    assert (lattice >= 0).all()
    assert lattice @ np.arange(len(lattice)) * unit == pytest.approx(values.mean(), rel=1e-6)


def test_what_is_beyond_the_lattice_stands_at_its_end():
    lattice = on_lattice(np.array([5.0, 500.0]), np.array([0.5, 0.5]), 1.0, 10)
    assert lattice[5] == pytest.approx(0.5)
    assert lattice[10] == pytest.approx(0.5)
    assert len(lattice) == 12
    assert on_lattice(np.array([5.0, 9.5]), np.array([0.5, 0.5]), 1.0).tolist() == [
        *[0] * 5,
        0.5,
        *[0] * 3,
        0.25,
        0.25,
    ]


def test_the_studios_prior_by_hand():
    """Logarithms (1, 3), (4, 6, 8) and (4): means 2, 6 and 4, squares 2 + 8 + 0 around them with 1 + 2 + 0 degrees.

    within = (10 + 1.2)/(3 + 4) = 1.6; between = the means' variance 4 less the mean error 1.6 (1/2 + 1/3 + 1)/3.
    """
    logs = [np.array([1.0, 3.0]), np.array([4.0, 6.0, 8.0]), np.array([4.0])]
    found = learn_amounts([*(np.exp(each) for each in logs), np.empty(0)])
    assert found == pytest.approx((4.0, 4 - 1.6 * 11 / 18, 1.6))
    assert learn_amounts([np.exp(each) for each in logs[:2]]) == pytest.approx((4.0, 1.0, 11.2 / 7))
    assert learn_amounts([]) == (None, 1.0, 0.3)


def test_products_of_one_level_keep_a_least_spread_between_them():
    assert learn_amounts([np.full(4, 8_000.0)] * 3).between == 0.05


def test_one_amount_is_spread_as_the_studios_are():
    """
    one mix of 8 ml, which weighs 1, and the studio's spread within a product, which weighs 3
    spread    3 x 0.04 / (1 + 3) = 0.03, whatever few amounts of its own say
    points    8 ml, and ten of a lognormal distribution of that variance about 8 ml
    """
    level = float(np.log(8_000))
    belief = believe_amounts(np.array([8_000.0]), AmountPrior(level, 0.5, 0.04))
    assert belief is not None
    z = [NormalDist().inv_cdf(percent / 100) for percent in range(5, 100, 10)]
    assert np.log(belief.points_ul) - level == pytest.approx([0, *(0.03**0.5 * each for each in z)])
    assert belief.weights == pytest.approx([0.25, *[0.075] * 10])


def test_a_lattice_a_row_is_each_rows_own():
    rows = np.array([[1_000.0, 4_500.0], [2_000.0, 9_250.0], [500.0, 700.0]])
    weights = np.array([0.25, 0.75])
    together = on_lattice(rows, weights, 1_000.0, 9)
    for row, points in enumerate(rows):
        assert together[row] == pytest.approx(on_lattice(points, weights, 1_000.0, 9))


def test_a_first_amount_is_spread_as_the_studios_are():
    """Variance 0.04 within a product, 0.5 between them: a deviation of 0.2 about the level, itself unsure by 0.71."""
    belief = believe_amounts(np.empty(0), AmountPrior(9.0, 0.5, 0.04))
    assert belief is not None
    z = [NormalDist().inv_cdf(percent / 100) for percent in range(5, 100, 10)]
    assert np.log(belief.points_ul) == pytest.approx([9.0 + 0.2 * each for each in z])
    assert belief.weights == pytest.approx([0.1] * 10)
    assert belief.level_sd == pytest.approx(0.5**0.5)
