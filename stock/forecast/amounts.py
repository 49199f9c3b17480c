"""How much a mix (or a mix day) takes: the product's own amounts, combined with those of the whole studio.

Amounts are treated as logarithms. The studio's products give a spread within a product and a spread
between products. A product's own amounts are weighted towards the newer ones, shifted, and extended by a
lognormal part that weighs as much as three mixes. The error of its usual level is kept as a separate unknown.
"""

from collections.abc import Sequence
from statistics import NormalDist

import numpy as np

from stock.forecast.use_history import Floats
from stock.named_tuples import NamedTuple

_HALF_LIFE = 20.0  # an amount counts half after so many more mixes
_NEWEST = 400  # older amounts count less than a millionth
_WEIGHTS: Floats = 0.5 ** (np.arange(_NEWEST)[::-1] / _HALF_LIFE)
_BORROWED = 3.0  # weight of the lognormal part, in mixes
_CAP = 25.0  # the largest amount considered, in multiples of the mean
_Z: Floats = np.array([NormalDist().inv_cdf(p / 100) for p in range(5, 100, 10)])
LEVEL_NODES: Floats = np.array([-1.7320508075688772, 0.0, 1.7320508075688772])
LEVEL_WEIGHTS: Floats = np.array([1 / 6, 2 / 3, 1 / 6])
"""Three-point Gauss-Hermite rule for the unknown level."""


class AmountPrior(NamedTuple):
    """What the studio's products tell about amounts, in logarithms of microlitres.

    Attributes:
        level: mean of the products' mean log amounts; None without any mix in the studio.
        between: variance of the products' levels.
        within: variance of a product's log amounts.
    """

    level: float | None
    between: float
    within: float


class Amounts(NamedTuple):
    """Belief about one amount: points with weights, all scaled by an unknown level near 1.

    Attributes:
        points_ul: possible amounts in microlitres.
        weights: their chances, summing to 1.
        level_sd: standard deviation of the log of the unknown factor.
    """

    points_ul: Floats
    weights: Floats
    level_sd: float

    @property
    def mean_ul(self) -> float:
        """Mean amount in microlitres at the likeliest level."""
        return float(self.points_ul @ self.weights)


def learn_amounts(amounts_ul: Sequence[Floats]) -> AmountPrior:
    """The studio's prior from each product's amounts in microlitres; products without any are left out."""
    logs = [np.log(each) for each in amounts_ul if len(each)]
    if not logs:
        return AmountPrior(None, 1.0, 1.2 / 4)
    sizes = np.array([len(each) for each in logs])
    means = np.array([each.mean() for each in logs])
    squares = sum(float(((each - mean) ** 2).sum()) for each, mean in zip(logs, means, strict=True))
    within = (squares + 1.2) / (float((sizes - 1).sum()) + 4)
    between = 1.0
    if len(logs) >= 3:
        between = max(float(means.var(ddof=1) - (within / sizes).mean()), 0.05)
    return AmountPrior(float(means.mean()), between, within)


def believe_amounts(amounts_ul: Floats, prior: AmountPrior) -> Amounts | None:
    """The belief about this product's next amount; None when neither the product nor the studio ever had one.

    Args:
        amounts_ul: its amounts in microlitres, oldest first, all above zero.
        prior: the studio's.
    """
    newest = amounts_ul[-_NEWEST:]
    if not len(newest):
        return None if prior.level is None else _lognormal(prior.level, prior)
    logs = np.log(newest)
    weights = _WEIGHTS[-len(logs) :]
    total = float(weights.sum())
    own = float(weights @ logs) / total
    spread = (float(weights @ (logs - own) ** 2) + _BORROWED * prior.within) / (total + _BORROWED)
    variance = 1 / (1 / prior.between + total / spread)
    anchor = own if prior.level is None else prior.level
    level = variance * (anchor / prior.between + total * own / spread)
    tail = np.exp(level + spread**0.5 * _Z) if spread**0.5 >= 0.02 else np.exp(np.array([level]))
    points = np.concatenate((newest * np.exp(level - own), tail))
    shares = np.concatenate((weights, np.full(len(tail), _BORROWED / len(tail)))) / (total + _BORROWED)
    points = np.minimum(points, _CAP * float(points @ shares))
    return Amounts(points, shares, variance**0.5)


def _lognormal(level: float, prior: AmountPrior) -> Amounts:
    points = np.exp(level + prior.within**0.5 * _Z)
    return Amounts(points, np.full(len(_Z), 1 / len(_Z)), prior.between**0.5)


def on_lattice(points: Floats, weights: Floats, unit: float, most: int | None = None) -> Floats:
    """Chance of 0, 1, 2 ... units; each point is split between its two neighbours so that the mean is kept.

    Args:
        points: amounts, above zero; [point], or [row, point] for a lattice a row.
        weights: [point], their chances.
        unit: width of the lattice, in the same measure as the points.
        most: amounts above this many units are counted as `most` (the last place); None keeps all.
    """
    at = points / unit
    if most is not None:
        at = np.minimum(at, most)
    low = np.floor(at + 1e-9).astype(np.int64)
    upper = weights * np.maximum(at - low, 0.0)
    size = int(low.max()) + 2 if most is None else most + 2
    rows = np.atleast_2d(low)
    place = (rows + size * np.arange(len(rows))[:, None]).ravel()
    lattice = np.bincount(place, (weights - upper).ravel(), len(rows) * size)
    lattice += np.bincount(place + 1, upper.ravel(), len(rows) * size)
    return np.asarray(lattice.reshape(*points.shape[:-1], size))
