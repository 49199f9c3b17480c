"""What closed mixes show about where a paint becomes sprayable and where it becomes too thin.

Each mix has a point L at which it just sprays and a point H = L + W beyond which it is too thin, both in per
cent of the paint. They are never observed, only bracketed: a mix that is good at 20 % and was too thick at 15 %
gives 15 < L <= 20 <= H. Such brackets give a posterior on a small grid: the paint's typical L (mu), the width of
the window (W), and how much L varies from mix to mix with weather and handling (sigma).

Borrowing: mixes of other paints of the line, with other needles, and of other lines with the same reducer count
too. They have a wider scatter for what they don't share, and together they weigh no more than a few mixes of the
paint itself. Mixes made in other weather have a wider scatter as well, where both were noted. The sheet's range
is the prior of the typical L.

Literature, all from memory: interval-censored likelihood, as for doses in bioassay (Finney, Probit Analysis,
3rd ed. 1971; Turnbull, JRSS B 38, 1976); one step up at a time until it responds (Dixon & Mood, JASA 43,
1948); borrowing with a discount (Ibrahim & Chen, Power Prior Distributions for Regression Models, Statistical
Science 15, 2000) and by a spread between groups (Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, ch. 5);
an upper limit on the chance of overdosing as the rule for the next dose (Babb, Rogatko & Zacks, Statistics in
Medicine 17, 1998).
"""

import math
from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from typing import Literal

from stock.named_tuples import NamedTuple

Kin = Literal["own", "own_needle", "line", "line_needle", "reducer"]
# How far apart, in points, typical values of such kin may lie (standard deviation). Settings, tried out in
# tests/benchmarks/advice.py; no published figure is known.
SPREAD_OF_KIN: dict[Kin, float] = {
    "own": 0.0,
    "own_needle": 4.0,
    "line": 3.0,
    "line_needle": 5.0,
    "reducer": 5.0,
}
POINTS_A_KELVIN = (
    0.25  # how far the room's temperature may shift what sprays (a setting, no published figure)
)
POINTS_A_HUMIDITY = 0.03  # the same for each per cent of relative humidity (a setting)
MOST_BORROWED = 3.0  # together, borrowed mixes weigh at most as much as so many of its own
NEWEST = 24  # how many of the newest mixes of each kin count
SIGMAS = ((1.0, 0.35), (2.0, 0.4), (3.5, 0.25))  # points, prior weight: mix-to-mix scatter
WIDTHS = ((2.5, 0.1), (4.0, 0.2), (6.0, 0.3), (8.5, 0.25), (12.0, 0.15))  # points, prior weight
MIS_SEEN = 0.02  # share of outcomes that are wrong, by a slip of the hand or of the note
_SQRT_2 = math.sqrt(2)
TOP = 100.0  # the highest typical L, in per cent


class MixOutcome(NamedTuple):
    """What one closed mix showed.

    Args:
        final: the reduction at which it was closed, per cent of the paint.
        outcome: `good`, `thick`, `thin` or `ruined`; a ruined one counts as too thin, the worse case.
        thick_at: the highest reduction at which it was too thick, where steps were booked.
        kin: what it has in common with the mix to advise on.
        apart: the additional standard deviation for other weather, in points.
    """

    final: float
    outcome: Literal["good", "thick", "thin", "ruined"]
    thick_at: float | None = None
    kin: Kin = "own"
    apart: float = 0.0


class GridPoint(NamedTuple):
    """One point of the grid: typical L, width of the window, scatter, and how likely it is."""

    mu: float
    width: float
    sigma: float
    weight: float


def posterior(low: float, high: float, tried: Sequence[MixOutcome]) -> Sequence[GridPoint]:
    """The posterior of (mu, W, sigma) after these mixes; weights add up to 1.

    Args:
        low: low end of the sheets' range, per cent of the paint.
        high: its high end.
        tried: closed mixes, newest last.
    """
    return _posterior(low, high, tuple(tried))


@lru_cache(maxsize=64)
def _posterior(low: float, high: float, tried: tuple[MixOutcome, ...]) -> tuple[GridPoint, ...]:
    """`posterior`, cached because the start, its step and the next step all need it."""
    cells = _prior(low, high)
    logs = [math.log(cell.weight) for cell in cells]
    for each, count in _counted(tried).items():
        spread = SPREAD_OF_KIN[each.kin]
        brackets = {width: bracket(each, width) for width, _ in WIDTHS}
        scales = {sigma: math.sqrt(sigma**2 + spread**2 + each.apart**2) for sigma, _ in SIGMAS}
        for at, (mu, width, sigma, _) in enumerate(cells):
            logs[at] += count * math.log(_likelihood(brackets[width], mu, scales[sigma]))
    most = max(logs)
    raw = [math.exp(log - most) for log in logs]
    total = sum(raw)
    return tuple(
        GridPoint(cell.mu, cell.width, cell.sigma, weight / total)
        for cell, weight in zip(cells, raw, strict=True)
        if weight > 1e-7 * total
    )


def _prior(low: float, high: float) -> list[GridPoint]:
    middle, sd = low + (high - low) * 0.4, max(3.0, (high - low) * 0.6)
    first, last = max(0.0, middle - 3.5 * sd), min(TOP, middle + 3.5 * sd)
    steps = max(2, round(last - first))
    mus = [first + (last - first) * at / steps for at in range(steps + 1)]
    return [
        GridPoint(mu, width, sigma, math.exp(-(((mu - middle) / sd) ** 2) / 2) * of_width * of_sigma)
        for mu in mus
        for width, of_width in WIDTHS
        for sigma, of_sigma in SIGMAS
    ]


def _counted(tried: Sequence[MixOutcome]) -> dict[MixOutcome, float]:
    """The newest mixes with their weights; equal mixes are counted together, and borrowed ones weigh less."""
    newest = [each for kin in SPREAD_OF_KIN for each in [t for t in tried if t.kin == kin][-NEWEST:]]
    borrowed = sum(each.kin != "own" for each in newest)
    discount = min(1.0, MOST_BORROWED / borrowed) if borrowed else 1.0
    return {each: n * (1.0 if each.kin == "own" else discount) for each, n in Counter(newest).items()}


def weather_apart(one: tuple[int | None, int | None], other: tuple[int | None, int | None]) -> float:
    """The standard deviation that other weather adds, in points; 0 where one of the two was not noted.

    Args:
        one: room temperature in thousandths of a degree Celsius and relative humidity in thousandths of a
            per cent, each None if unknown.
        other: the same of the other mix.
    """
    scales = (POINTS_A_KELVIN, POINTS_A_HUMIDITY)
    shifts = [
        abs(a - b) / 1_000 * scale
        for a, b, scale in zip(one, other, scales, strict=True)
        if a is not None and b is not None
    ]
    return round(2 * math.hypot(*shifts)) / 2  # in halves, so that equal mixes are counted together


def bracket(each: MixOutcome, width: float) -> tuple[float, float]:
    """The interval in which L of that mix lies, for a window of this width."""
    if each.outcome == "thick":
        return each.final, math.inf
    below = -math.inf if each.thick_at is None else each.thick_at
    if each.outcome == "good":
        return max(below, each.final - width), each.final
    return below, each.final - width


def _likelihood(within: tuple[float, float], mu: float, scale: float) -> float:
    lower, upper = within
    if lower >= upper:
        return MIS_SEEN
    inside = _below((upper - mu) / scale) - _below((lower - mu) / scale)
    return MIS_SEEN + (1 - MIS_SEEN) * inside


def _below(z: float) -> float:
    """The share of a normal distribution below z."""
    return 0.5 * math.erfc(-z / _SQRT_2)


def too_thin(cells: Sequence[GridPoint], percent: float) -> float:
    """The chance that the next mix is too thin at this reduction: that H lies below it."""
    return sum(cell.weight * _below((percent - cell.width - cell.mu) / cell.sigma) for cell in cells)


def enough(cells: Sequence[GridPoint], percent: float) -> float:
    """The chance that the next mix sprays at this reduction without a step: that L lies at or below it."""
    return sum(cell.weight * _below((percent - cell.mu) / cell.sigma) for cell in cells)


def overshoots(cells: Sequence[GridPoint], at: float, step: float) -> float:
    """The chance that a step from `at`, where the mix is too thick, makes it too thin.

    That is P(L + W < at + step) given L > at; 0 where L is almost certainly not above `at`.
    """
    thick = 1 - enough(cells, at)
    missed = sum(
        cell.weight
        * (_below((at + step - cell.width - cell.mu) / cell.sigma) - _below((at - cell.mu) / cell.sigma))
        for cell in cells
        if cell.width < step
    )
    return max(0.0, missed) / thick if thick > 1e-6 else 0.0


def median_window(cells: Sequence[GridPoint]) -> tuple[float, float]:
    """The median estimates of where it just sprays and where it becomes too thin, in per cent of the paint."""
    low = _median([(cell.mu, cell.weight) for cell in cells])
    high = _median([(cell.mu + cell.width, cell.weight) for cell in cells])
    return low, high


def _median(weighted: Sequence[tuple[float, float]]) -> float:
    half, so_far = sum(weight for _, weight in weighted) / 2, 0.0
    for value, weight in sorted(weighted):
        so_far += weight
        if so_far >= half:
            return value
    return 0.0
