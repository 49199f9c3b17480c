"""Standard methods against a reference library's figures, and ours against the standard methods.

Figures recorded from statsforecast 2.1.1 (CrostonClassic, CrostonSBA, TSB, SimpleExponentialSmoothing), the
first series confirmed by hand: size 4.848, interval 2.991, chance .27069105.
"""

from datetime import date, timedelta

import numpy as np
import pytest

from stock.forecast.priors import learn_priors
from stock.forecast.use_history import history_of
from tests.standards.intermittent import croston, sba, ses, tsb

FIRST = (0, 0, 5, 0, 0, 0, 3, 0, 4, 0, 0, 6)
SECOND = (2, 0, 0, 3, 0, 1, 0, 0, 0, 4, 0, 0, 0, 0, 0, 0)


@pytest.mark.parametrize(
    ("method", "series", "figure"),
    [
        (croston, FIRST, 1.62086259),
        (sba, FIRST, 1.53981946),
        (tsb, FIRST, 1.31231021),
        (ses, FIRST, 1.26245724),
        (croston, SECOND, 1.41172680),
        (sba, SECOND, 1.34114046),
        (tsb, SECOND, 0.70582195),
    ],
)
def test_the_reference_library(method, series, figure):
    assert method(series) == pytest.approx(figure, abs=1e-8)


def test_tsb_with_other_constants():
    assert tsb(SECOND, 0.3, 0.2) == pytest.approx(0.31162454, abs=1e-8)


def test_how_intermittent_the_series_is():
    """ADI 3.0 and CV² .0617 (population): "intermittent" by the cut-offs 1.32 and .49, from memory: Syntetos,
    Boylan & Croston 2005 (Journal of the Operational Research Society 56)."""
    sizes = np.array([value for value in FIRST if value])
    adi, cv2 = len(FIRST) / len(sizes), (sizes.std() / sizes.mean()) ** 2
    assert adi == 3.0
    assert cv2 == pytest.approx(0.0617, abs=1e-4)
    assert adi > 1.32
    assert cv2 < 0.49


TODAY = date(2026, 3, 2)


def weekly(series, lag_weeks=0):
    """One mix on the first day of each week with use, the last week `lag_weeks` ago; in millilitres."""
    weeks = len(series) + lag_weeks
    days = [
        (TODAY - timedelta(days=7 * (weeks - place) - 1), int(1_000 * value))
        for place, value in enumerate(series)
    ]
    own = history_of(days, TODAY)
    return learn_priors([own], TODAY.toordinal()).outlook([own])


def test_ours_agrees_with_them_on_a_steady_series():
    """One mix of 4 ml every third week for three years: all methods give 4/3 ml a week, ours within 15 %."""
    series = (0, 0, 4) * 50
    assert croston(series) == pytest.approx(4 / 3)
    ours = 7 * float(weekly(series).daily_ul()[0]) / 1_000
    assert ours == pytest.approx(4 / 3, rel=0.15)
    assert tsb(series) == pytest.approx(4 / 3, rel=0.15)


def test_ours_falls_while_nothing_is_used_as_tsb_does_and_croston_does_not():
    series = (0, 0, 4) * 30
    quiet = [*series, *(0,) * 30]
    assert croston(quiet) == croston(series)
    assert tsb(quiet) < 0.1 * tsb(series)
    used, left = (float(weekly(series, lag).daily_ul()[0]) for lag in (0, 30))
    assert left < 0.2 * used
