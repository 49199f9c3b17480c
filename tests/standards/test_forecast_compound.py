"""Compound totals, newsvendor and loss figures against recorded ones.

Compound Poisson figures by Panjer's recursion (Panjer 1981, ASTIN Bulletin 12):
g_0 = e^-λ, g_s = (λ/s) Σ j f_j g_(s-j). Poisson and normal figures: scipy 1.17.1; the base-stock figures and
N(80, 35) are published exercises, N(11.73, 4.74) and the pencils are from Nahmias, Production and Operations
Analysis (costs from memory).
"""

from math import exp, factorial
from statistics import NormalDist

import numpy as np
import pytest

from stock.forecast.amounts import Amounts, on_lattice
from stock.forecast.packs import CAPITAL_A_YEAR, Need, PackSize, choose
from stock.forecast.totals import Total, compound, total_uses


def poisson(mean: float, most: int = 60) -> np.ndarray:
    return np.array([exp(-mean) * mean**n / factorial(n) for n in range(most)])


def panjer(rate: float, sizes: dict[int, float], most: int) -> list[float]:
    chances = [exp(-rate)]
    for total in range(1, most):
        parts = (size * share * chances[total - size] for size, share in sizes.items() if size <= total)
        chances.append(rate / total * sum(parts))
    return chances


PMF = (
    0.13533528, 0.13533528, 0.14886881, 0.15789116, 0.12473402, 0.09856920, 0.07295324, 0.04870244, 0.03181617,
)  # fmt: skip


def test_compound_poisson_point_by_point():
    """λ 2, sizes 1, 2, 3 with .5, .3, .2: mean 3.4, variance 7.0."""
    upto = compound(poisson(2), np.array([0, 0.5, 0.3, 0.2]))
    chances = np.diff(upto, prepend=0.0)
    # The tail of the count below a millionth is dropped, so the figures agree to that.
    assert chances[:9] == pytest.approx(PMF, abs=2e-6)
    assert chances[:30] == pytest.approx(panjer(2, {1: 0.5, 2: 0.3, 3: 0.2}, 30), abs=2e-6)
    places = np.arange(len(chances))
    mean = chances @ places
    assert mean == pytest.approx(3.4, abs=1e-4)
    assert chances @ (places - mean) ** 2 == pytest.approx(7.0, abs=1e-3)


@pytest.mark.parametrize(
    ("rate", "lattice", "chances", "figures"),
    [
        (2, [0, 0.5, 0.3, 0.2], (0.1, 0.5, 0.8, 0.9, 0.95, 0.99), (0, 3, 5, 7, 8, 11)),
        (3, [0, 0, 0.7, 0, 0, 0.3], (0.1, 0.5, 0.9, 0.95, 0.99), (2, 8, 16, 19, 24)),
    ],
)
def test_compound_poisson_quantiles(rate, lattice, chances, figures):
    """The recorded quantiles are the smallest x with cdf >= p; ours goes no further than one step below."""
    upto = compound(poisson(rate), np.array(lattice))
    assert [int(np.searchsorted(upto, chance)) for chance in chances] == list(figures)
    ours = Total(1.0, upto).quantiles(chances)
    assert (ours <= np.array(figures) + 1e-9).all()
    assert (ours >= np.array(figures) - 1).all()


def test_nothing_used_at_all():
    assert compound(poisson(3), np.array([0, 0, 0.7, 0, 0, 0.3]))[0] == pytest.approx(0.04978707, abs=1e-6)


@pytest.mark.parametrize(("mean", "figure"), [(0.5, 2), (1, 3), (2, 5), (3.5, 7), (5, 9), (10, 15)])
def test_poisson_quantiles_at_95(mean, figure):
    upto = np.cumsum(poisson(mean))
    assert int(np.searchsorted(upto, 0.95)) == figure
    assert Total(1.0, upto / upto[-1]).quantiles((0.95,))[0] == pytest.approx(figure, abs=1)


def test_base_stock_of_a_published_exercise():
    """Poisson 4.25 and 99.6 %: 11, for cdf(10) = .995566; with 6 in stock 3.995869 are sold on average."""
    upto = np.cumsum(poisson(4.25))
    assert upto[10] == pytest.approx(0.995566, abs=1e-6)
    assert int(np.searchsorted(upto, 0.996)) == 11
    assert Total(1.0, upto / upto[-1]).expected_up_to(6) == pytest.approx(3.995869, abs=1e-5)


def normal(mean: float, spread: float, unit: float) -> Total:
    edges = (np.arange(round((mean + 8 * spread) / unit)) + 0.5) * unit
    upto = np.array([NormalDist(mean, spread).cdf(edge) for edge in edges])
    return Total(unit, upto / upto[-1])


def test_what_is_sold_of_a_stock():
    """N(80, 35), stock 100: lost 6.1826, sold 73.8174, left 26.1826."""
    total = normal(80, 35, 0.01)
    below_zero = 0.0  # the published figure counts demands below zero, ours has none of them
    z = NormalDist(80, 35)
    for step in range(4_000):
        below_zero += z.cdf(-step * 0.01) * 0.01
    sold = total.expected_up_to(100) - below_zero
    assert sold == pytest.approx(73.8174, abs=0.01)
    assert 100 - sold == pytest.approx(26.1826, abs=0.01)


@pytest.mark.parametrize(
    ("mean", "spread", "short", "over", "figure"),
    [(11.73, 4.74, 0.50, 0.15, 15.2201), (1_000, 200, 30, 20, 1_050.6694)],
)
def test_newsvendor(mean, spread, short, over, figure):
    """The quantity is the quantile at cu / (cu + co); .769231 and .6."""
    total = normal(mean, spread, mean / 4_000)
    assert total.quantiles((short / (short + over),))[0] == pytest.approx(figure, rel=1e-3)


def test_reorder_point_of_a_published_exercise():
    """75 ± 15 a day, 4 days, 1 % risk: 369.790."""
    assert normal(300, 30, 0.05).quantiles((0.99,))[0] == pytest.approx(369.7904, abs=0.1)


@pytest.mark.parametrize(
    ("a_year", "fixed", "holding", "figure", "pack"),
    [(15_000, 16, 3, 400, 50), (3_000, 10, 0.5, 346.4102, 35)],
)
def test_economic_order_quantity(a_year, fixed, holding, figure, pack):
    """Q = sqrt(2 D K / h): 400 and 346.41 (published exercises), in packs the nearest whole number."""
    assert abs(ordered(a_year, fixed, holding, pack) - figure) <= pack / 2 + 1


def test_no_more_than_a_years_use_at_once():
    """Nahmias' pencils: Q = 3,870 would last 1.24 years (3,120 a year); ours stops at a year."""
    by_formula = (2 * 3_120 * 12 / 0.005) ** 0.5
    assert by_formula == pytest.approx(3_869.88, abs=0.01)
    assert ordered(3_120, 12, 0.005, 430) == 7 * 430 <= 3_120


def ordered(a_year, fixed, holding, pack):
    """What is chosen; prices are scaled so that they are whole and the price of capital gives the holding cost."""
    scale = 1_000_000
    price = round(pack * holding / CAPITAL_A_YEAR * scale)
    need = Need(least_ul=1.0, daily_ul=a_year / 365.25, used_opened=float, shipping_minor=fixed * scale)
    found = choose([PackSize(pack, price)], need)
    assert found is not None
    return found.count * pack


def test_our_totals_are_compound():
    """A known rate and known amounts: our total has the mean and the variance of theory.

    Mean E[N] E[X], variance E[N] var X + var N E[X]² (Wald, and the law of total variance).
    """
    counts = poisson(3)
    belief = Amounts(np.array([2_000.0, 5_000.0]), np.array([0.7, 0.3]), 0.0)
    (total,) = total_uses([counts], belief)
    chances = np.diff(total.upto(np.arange(len(total.central))), prepend=0.0)
    places = np.arange(len(chances)) * total.unit_ul
    mean = float(chances @ places)
    assert mean == pytest.approx(8_700, rel=1e-4)
    assert chances @ (places - mean) ** 2 == pytest.approx(30.9e6, rel=0.01)


def test_splitting_on_the_lattice_keeps_the_mean():
    lattice = on_lattice(np.array([2_000.0, 5_000.0]), np.array([0.7, 0.3]), 290.0)
    assert lattice @ np.arange(len(lattice)) * 290 == pytest.approx(2_900)
