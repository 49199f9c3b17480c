"""How often a product is mixed: a Bayesian filter over daily rates, the prior learnt from the studio.

The chance of a mix day is one of 28 daily probabilities, log-spaced, or zero when the product has been
abandoned. From week to week it may drift to a neighbour, jump to a fresh value or drop to zero. The weeks
so far give a belief over the 29 states; the prior of a product with few mixes comes from the
studio's other products by expectation-maximisation. Times are days, weeks are counted back from today.

Literature: Fader, Hardie & Lee 2005 (Marketing Science 24) for abandonment and borrowed strength; Snyder,
Ord & Beaumont 2012 (International Journal of Forecasting 28) for filters on low counts.
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from math import comb
from threading import Lock

import numpy as np
from numpy.lib.stride_tricks import as_strided
from numpy.typing import NDArray

from stock.forecast.use_history import WINDOW_DAYS, Days, Floats, UseHistory
from stock.named_tuples import NamedTuple

WEEK = 7
MOST_WEEKS = WINDOW_DAYS // WEEK
RATES: Floats = np.geomspace(0.001, 0.75, 28)
STATES: Floats = np.concatenate(([0.0], RATES))
_BUMP = np.exp(-0.5 * ((np.log(RATES) + 3.7) / 1.1) ** 2)
BASE: Floats = _BUMP / _BUMP.sum()

_STAY, _DRIFT = 0.97, 0.015
_FRESH, _DEATH, _REVIVAL = 0.004, 0.006, 0.01
_PRIOR_PRODUCTS = 8.0
_ROUNDS = 10


class RatePrior(NamedTuple):
    """Where a product's rate starts, and how it moves in a week.

    Attributes:
        fresh: chance of each of the 28 rates for a product of which nothing is known; sums to 1.
        step: 29 x 29 weekly chances, from row to column; state 0 is abandoned.
    """

    fresh: Floats
    step: Floats


def rate_prior(fresh: Floats = BASE) -> RatePrior:
    """The prior with the weekly transition that follows from the fresh rates."""
    inner = np.eye(len(RATES)) * _STAY
    inner += np.eye(len(RATES), k=1) * _DRIFT + np.eye(len(RATES), k=-1) * _DRIFT
    inner[0, 0] += _DRIFT
    inner[-1, -1] += _DRIFT
    step = np.zeros((len(STATES), len(STATES)))
    step[1:, 1:] = inner * (1 - _FRESH - _DEATH) + _FRESH * fresh
    step[1:, 0] = _DEATH
    step[0, 0] = 1 - _REVIVAL
    step[0, 1:] = _REVIVAL * fresh
    return RatePrior(fresh, step)


@lru_cache(maxsize=8)
def week_chances(days: int) -> Floats:
    """Chance of c mix days among `days` for each state: [state, c], c = 0..days."""
    counts = np.arange(days + 1)
    ways = np.array([comb(days, int(c)) for c in counts], float)
    return np.asarray(ways * STATES[:, None] ** counts * (1 - STATES[:, None]) ** (days - counts))


def _likelihoods() -> Floats:
    """[state, c + 8 d]: p^c (1-p)^(d-c) for c mix days in a week of d days; ones where d is 0."""
    table = np.ones((len(STATES), 64))
    for days in range(1, WEEK + 1):
        for count in range(days + 1):
            table[:, count + 8 * days] = STATES**count * (1 - STATES) ** (days - count)
    return table


_LIKELIHOOD = _likelihoods()


def weeks_of(histories: Sequence[UseHistory], today: int) -> Days:
    """The mix days of each week: [product, week], week 0 = the seven days up to `today` (ordinal).

    A cell holds c + 8 d: c mix days out of the d days of that week on which the product could have been
    mixed; 0 before its evidence starts. Evidence starts the day after the first mix (the first is
    conditioned on); for a product never mixed, the day after it first stood on the shelf.
    """
    rows: list[tuple[int, Days]] = []
    for each in histories:
        first = int(each.days[0]) if each.events else each.since
        span = 0 if first is None else min(max(today - first, 0), MOST_WEEKS * WEEK)
        rows.append((span, (today - each.days[1:]) // WEEK))
    widest = max((-(-span // WEEK) for span, _ in rows), default=0)
    cells = np.zeros((len(rows), widest), np.int64)
    for row, (span, weeks) in enumerate(rows):
        whole, rest = divmod(span, WEEK)
        cells[row, :whole] = 8 * WEEK
        if rest:
            cells[row, whole] = 8 * rest
        inside = weeks[weeks < whole + (rest > 0)]
        if len(inside):
            seen = np.bincount(inside)
            cells[row, : len(seen)] += seen
    return cells


def learn_rates(weeks: Days) -> RatePrior:
    """The studio's prior from all its mixed products' weeks ([product, week] of `weeks_of`)."""
    prior = rate_prior()
    if not len(weeks):
        return prior
    for _ in range(2):
        prior = rate_prior(_fresh_rates(_backward(weeks, prior)))
    return prior


def _backward(weeks: Days, prior: RatePrior) -> Floats:
    """The likelihood of all weeks given the first week's fresh rate: [product, 28], each row scaled."""
    seen = np.ones((len(STATES), len(weeks)))
    for cells, has_evidence, all_have in _by_week(weeks):
        moved = prior.step @ (_LIKELIHOOD.take(cells, axis=1) * seen)
        moved /= moved.max(axis=0)
        seen = moved if all_have else np.where(has_evidence, moved, seen)
    return seen[1:].T


def _by_week(weeks: Days) -> Iterator[tuple[Days, NDArray[np.bool_], bool]]:
    """Each week's cells, which products have evidence in it, and whether all have; weeks without any are left out."""
    evidence = weeks > 0
    many = evidence.sum(axis=0).tolist()
    for week, having in enumerate(many):
        if having:
            yield weeks[:, week], evidence[:, week], having == len(weeks)


def _fresh_rates(likelihood: Floats) -> Floats:
    """The fresh rates by expectation-maximisation, from each product's likelihood of them."""
    fresh = BASE
    for _ in range(_ROUNDS):
        share = likelihood * fresh
        share /= share.sum(axis=1, keepdims=True)
        fresh = (share.sum(axis=0) + _PRIOR_PRODUCTS * BASE) / (len(likelihood) + _PRIOR_PRODUCTS)
        fresh = _smooth(fresh)
    return fresh


def _smooth(fresh: Floats) -> Floats:
    padded = np.concatenate((fresh[:1], fresh, fresh[-1:]))
    smooth = padded[:-2] / 4 + padded[1:-1] / 2 + padded[2:] / 4
    return np.asarray(smooth / smooth.sum())


def believe_rates(weeks: Days, prior: RatePrior) -> Floats:
    """The belief over the 29 states today: [product, state]; column 0 is the chance of abandoned."""
    belief = np.tile(np.concatenate(([0.0], prior.fresh))[:, None], len(weeks))
    move = prior.step.T
    for cells, has_evidence, all_have in _by_week(weeks[:, ::-1]):
        moved = (move @ belief) * _LIKELIHOOD.take(cells, axis=1)
        moved /= moved.sum(axis=0)
        belief = moved if all_have else np.where(has_evidence, moved, belief)
    return np.ascontiguousarray(belief.T)


class MixDays:
    """How many mix days lie ahead, for each state: computed once for a prior and used for all its products."""

    def __init__(self, prior: RatePrior) -> None:
        self._prior = prior
        self._by_rest: dict[int, list[Floats]] = {}
        self._lock = Lock()  # several workers of a screen may use this at the same time

    def within(self, days: int) -> Floats:
        """[state, n]: chance of n mix days in the next `days` days, n = 0..days.

        A period that is not a whole number of weeks has its short week last.
        """
        weeks, rest = divmod(max(days, 0), WEEK)
        with self._lock:
            tables = self._by_rest.get(rest)
            if tables is None:
                nothing = np.ones((len(STATES), 1))
                tables = self._by_rest[rest] = [self._longer(nothing, rest) if rest else nothing]
            while len(tables) <= weeks:
                tables.append(self._longer(tables[-1], WEEK))
            return tables[weeks]

    def _longer(self, table: Floats, days: int) -> Floats:
        """The table with so many further days of one rate in front."""
        states, reach = table.shape
        padded = np.zeros((states, reach + 2 * days))
        padded[:, days:-days] = table
        # [state, k, n]: the chance of n - days + k mix days, of which so many fewer than n are in front.
        state, place = padded.strides
        windows = as_strided(padded, (states, days + 1, reach + days), (state, place, place))
        fewer_in_front = week_chances(days)[:, None, ::-1]
        return np.asarray(self._prior.step @ (fewer_in_front @ windows)[:, 0])
