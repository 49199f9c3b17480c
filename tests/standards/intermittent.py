"""The standard methods for intermittent demand, for comparison only: nothing in the product uses them.

Croston 1972 (Operational Research Quarterly 23); Syntetos & Boylan 2005 (International Journal of
Forecasting 21), with the fixed factor 0.95 of the reference library; Teunter, Syntetos & Babai 2011
(European Journal of Operational Research 214); simple exponential smoothing. Start values as the library has
them: the first demand, the first interval counted from period 1, the first value.
"""

from collections.abc import Sequence

SBA_FACTOR = 0.95


def ses(series: Sequence[float], alpha: float = 0.1) -> float:
    """Simple exponential smoothing: the forecast for the next period."""
    level = float(series[0])
    for value in series[1:]:
        level += alpha * (value - level)
    return level


def croston(series: Sequence[float], alpha: float = 0.1) -> float:
    """Mean demand a period: smoothed size over smoothed interval; it does not fall while nothing is used."""
    sizes = [value for value in series if value > 0]
    places = [place for place, value in enumerate(series, start=1) if value > 0]
    intervals = [place - before for place, before in zip(places, [0, *places], strict=False)]
    return ses(sizes, alpha) / ses(intervals, alpha)


def sba(series: Sequence[float], alpha: float = 0.1) -> float:
    """Croston's, its bias taken off."""
    return SBA_FACTOR * croston(series, alpha)


def tsb(series: Sequence[float], alpha_size: float = 0.1, alpha_chance: float = 0.1) -> float:
    """Smoothed size times smoothed chance of a demand: it falls while nothing is used."""
    sizes = [value for value in series if value > 0]
    chances = [float(value > 0) for value in series]
    return ses(sizes, alpha_size) * ses(chances, alpha_chance)
