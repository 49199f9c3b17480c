"""The total used over a stretch of days."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.forecast.spectra import quick_size
from stock.forecast.totals import Total, compound
from tests.forecast.given import DAY, at_random, every, studio
from tests.sampling import drawn

CHANCES = (0.1, 0.25, 0.5, 0.75, 0.9, 0.95)


@drawn(0.15)
@given(st.integers(1, 10_000), st.floats(0.003, 0.6), st.integers(1, 400))
def test_quantiles_ascend_are_finite_and_the_same_each_time(seed, rate, days):
    own = at_random(seed, rate)
    priors = studio(own)
    total = priors.outlook([own]).total(0, days)
    again = studio(own).outlook([own]).total(0, days)
    assert total is not None
    assert again is not None
    found = total.quantiles(CHANCES)
    assert np.isfinite(found).all()
    assert (found >= 0).all()
    assert (np.diff(found) >= -1e-6).all()
    assert (found == again.quantiles(CHANCES)).all()


def test_no_quantile_falls_as_the_stretch_grows():
    own = at_random(4, 0.1)
    outlook = studio(own).outlook([own])
    found = np.array(
        [total.quantiles(CHANCES) for days in range(1, 120) if (total := outlook.total(0, days))]
    )
    assert len(found) == 119
    assert (np.diff(found, axis=0) > -1.0).all()


@pytest.mark.parametrize("events", [1, 2, 20, 2_000])
def test_it_is_good_with_few_and_with_many_events(events):
    own = every(1, min(events, 1_000)) if events > 20 else every(7, events)
    if events == 2_000:
        own = at_random(3, 0.5, days=1_090)
    total = studio(own).outlook([own]).total(0, 28)
    assert total is not None
    low, middle, high = total.quantiles((0.1, 0.5, 0.9))
    assert 0 <= low <= middle <= high < 28 * 30_000
    assert high > 0


def test_no_days_ahead_use_nothing():
    own = every(7, 10)
    total = studio(own).outlook([own]).total(0, 0)
    assert total is not None
    assert total.quantiles((0.5, 0.99)).tolist() == [0, 0]


def test_the_mean_is_mean_count_times_mean_amount():
    counts = np.array([0.2, 0.5, 0.3])
    lattice = np.array([0.0, 0.5, 0.25, 0.25])
    upto = compound(counts, lattice)
    mean = float((1 - upto).sum())
    assert mean == pytest.approx(1.1 * 1.75)


def test_what_is_used_of_a_bottle():
    """Total 0, 1 or 2 units of 1 ml with 1/4, 1/4, 1/2: of 1.5 ml are used 1/4 x 1 + 1/2 x 1.5 = 1 ml."""
    total = Total(1_000.0, np.array([0.25, 0.5, 1.0]))
    assert total.expected_up_to(1_500) == pytest.approx(1_000)
    assert total.expected_up_to(50_000) == pytest.approx(1_250)
    assert total.chance_of(0) == 1
    assert total.chance_of(0.5) == total.chance_of(1) == pytest.approx(0.75)  # any use at all is a unit
    assert total.chance_of(1_000) == pytest.approx(0.75)
    assert total.chance_of(1_500) == pytest.approx(0.5)
    assert total.chance_of(2_001) == pytest.approx(0.0)


def test_day_of_the_forecast_is_the_end_of_that_day():
    """A mix made today is known, it is not ahead."""
    assert every(7, 3).days[-1] == DAY


def test_an_amount_beyond_the_longest_lattice_is_counted_at_its_end():
    """Some mixes take more units than there are places: never as if they took none."""
    lattice = np.zeros(9_000)
    lattice[[1, 8_190, 8_191, 8_192, 8_999]] = 0.4, 0.2, 0.1, 0.1, 0.2
    upto = compound(np.array([0.0, 1.0]), lattice)
    assert len(upto) == 8_192
    assert upto[[0, 1, 8_189, 8_190, 8_191]] == pytest.approx([0, 0.4, 0.4, 0.6, 1], abs=1e-9)


def test_a_quantile_is_the_first_place_that_reaches_its_chance():
    for seed, days in ((1, 3), (2, 40), (3, 300)):
        total = studio(at_random(seed, 0.2)).outlook([at_random(seed, 0.2)]).total(0, days)
        assert total is not None
        upto = total.upto(np.arange(len(total.central)))
        for chance, found in zip(CHANCES, total.quantiles(CHANCES) / total.unit_ul, strict=True):
            place = int(np.flatnonzero(upto >= chance - 1e-9)[0])
            assert max(place - 1, 0) <= found <= place


def test_sizes_that_the_transform_takes_are_even_and_not_much_larger():
    for least in (*range(1, 300), 8_191, 8_192):
        size = quick_size(least)
        assert size % 2 == 0
        assert least <= size <= max(1.25 * least + 1, 8)


def test_a_jump_is_the_quantile_and_between_small_steps_it_lies_in_between():
    """
    0, 1 or 2 units with 1/4, 1/4, 1/2       none is exceeded with 0.2, one with 0.4, two with 0.9
    each of 100 units with a hundredth       0.505 is reached half way from 49 to 50
    """
    jumps = Total(1_000.0, np.array([0.25, 0.5, 1.0]))
    assert jumps.quantiles((0.2, 0.4, 0.9)).tolist() == [0, 1_000, 2_000]
    even = Total(1_000.0, np.arange(1, 101) / 100)
    assert even.quantiles((0.505, 1.0)) == pytest.approx([49_500, 99_000])


def test_the_chances_end_in_certainty_though_the_unlikeliest_counts_are_left_out():
    """Rows of chances that miss a little of 1, or much of it."""
    upto = compound(np.array([[0.25, 0.25, 0.0], [0.5, 0.25, 0.25 - 2e-6]]), np.array([0.0, 0.5, 0.5]))
    assert upto[:, -1].tolist() == [1, 1]
    assert upto[0, :3] == pytest.approx([0.5, 0.75, 1])
    assert upto[1, :5] == pytest.approx([0.5, 0.625, 0.8125, 0.9375, 1], abs=1e-5)


def test_the_chance_that_a_place_reaches_is_that_places_quantile_whatever_the_level_is():
    """Steps of a tenth are jumps: with their own chance the place itself is meant, and with a little more the next."""
    total = Total(1_000.0, np.arange(1, 11) / 10, 0.1)
    for place, chance in enumerate(total.upto(np.arange(10))[:-1]):
        at, beyond = total.quantiles((chance, chance + 1e-6))
        assert at == place * 1_000
        assert beyond == (place + 1) * 1_000


def test_a_lattice_of_sums_is_no_longer_than_six_deviations_beyond_the_mean_need():
    """
    104 amounts of 1 or 2 units   mean 156, variance 26, so 156 + 6 x 5.099 + the 3 places of one = 189.6
    106 amounts of 1 or 2 units   159 + 6 x 5.148 + 3 = 192.9
    111 amounts of 2 units        222 at the most
    two places more, and the next size that the transform takes: 192, 224 or 256; what it costs grows with it
    """
    halves, always = np.array([0.0, 0.5, 0.5]), np.array([0.0, 0.0, 1.0])

    def sums(number: int, lattice: np.ndarray, unlikely: int = 0) -> np.ndarray:
        counts = np.zeros(number + 1 + unlikely)
        counts[number] = 1.0
        return compound(counts, lattice)

    sizes = [len(sums(104, halves)), len(sums(106, halves)), len(sums(111, always)), len(sums(112, always))]
    assert sizes == [192, 224, 224, 256]
    assert len(sums(1, halves)) == len(sums(1, halves, unlikely=100)) == 16
    assert sums(112, always)[[223, 224]] == pytest.approx([0, 1])
    thirds = np.array([0.0, 1 / 3, 1 / 3, 1 / 3])
    assert sums(2, thirds)[:8] == pytest.approx(np.array([0, 0, 1, 3, 6, 8, 9, 9]) / 9)
