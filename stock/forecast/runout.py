"""Sprays left, and the day on which a product runs out.

A stock of S is used up by day t when the use up to t reaches S. Whatever else lowers the stock (a bottle
that goes bad, a planned use) makes a step in S; the chances of all steps of all products are worked out
together. Days are counted from the day of the forecast, which is day 0.
"""

from collections.abc import Sequence

import numpy as np

from stock.forecast.amounts import Amounts
from stock.forecast.mixes_left import Stock, fitting
from stock.forecast.priors import Outlook
from stock.forecast.usable import Usable
from stock.forecast.use_history import Floats
from stock.named_tuples import NamedTuple
from stock.units import Microlitres

HORIZON = 730
"""Days ahead that a forecast covers: two years."""

_WEEKS = (*range(1, 17), *range(18, 33, 2), *range(36, 101, 4), 105)
_KNOTS = np.array([0, *(7 * week for week in _WEEKS)], float)
_DAYS = np.arange(HORIZON + 1)
_MANY = 400.0
_STRETCH = 0.05
"""A mix that is smaller than usual by this share still counts as one: common practice, no source."""


class Supply(NamedTuple):
    """The stock that a product's use draws on.

    Attributes:
        usable: its bottles.
        coming_ul: the volume on order, which counts as if it were on the shelf.
        planned: (day, microlitres) of planned uses beside the usual use.
    """

    usable: Usable
    coming_ul: Microlitres = Microlitres(0)
    planned: tuple[tuple[int, Microlitres], ...] = ()

    def steps(self) -> list[tuple[int, float]]:
        """(day, microlitres): the volume available for the usual use from that day on; days ascending from 0.

        A negative volume means that the planned uses alone take more than there is.
        """
        changes = [(day, -lost) for day, lost in self.usable.losses]
        changes += [(max(day, 1), -float(ul)) for day, ul in self.planned]
        level = float(self.usable.now_ul + self.coming_ul)
        steps = [(0, level)]
        ended = self.usable.ends if self.usable.ends is not None and not self.coming_ul else None
        for day, change in sorted(changes):
            if day > HORIZON:
                break
            level += change
            steps.append((day, level))
        if ended is not None and ended <= HORIZON:
            steps = [each for each in steps if each[0] < ended] + [(ended, min(level, 0.0))]
        return steps


class Chances(NamedTuple):
    """Chances of some products: [product, day], day 0..730.

    Attributes:
        empty: the chance that the stock is used up by the end of that day.
        short: the chance that by the end of that day somebody needed it when it was used up.
    """

    empty: Floats
    short: Floats


def chances(outlook: Outlook, supplies: Sequence[Supply]) -> Chances:
    """The chances of being empty and of being short, for each product of the outlook."""
    steps = [each.steps() for each in supplies]
    rows = [
        (product, level)
        for product, levels in enumerate(steps)
        for _, level in levels
        if level > 0 and outlook.amounts[product] is not None
    ]
    curves = iter(_curves(outlook, rows))
    bare = sorted({product for product, levels in enumerate(steps) for _, level in levels if level == 0})
    quiet = dict(zip(bare, _quiet(outlook, bare), strict=True))
    empty = np.zeros((len(steps), HORIZON + 1))
    short = np.zeros((len(steps), HORIZON + 1))
    for product, levels in enumerate(steps):
        for day, level in levels:
            if level > 0:
                has_amounts = outlook.amounts[product] is not None
                curve = np.interp(_DAYS[day:], _KNOTS, next(curves)) if has_amounts else 0.0
                empty[product, day:] = short[product, day:] = curve
            else:
                empty[product, day:] = 1.0
                short[product, day:] = 1.0 if level < 0 else 1 - quiet[product][day:]
    return Chances(np.maximum.accumulate(empty, axis=1), np.maximum.accumulate(short, axis=1))


def _curves(outlook: Outlook, rows: Sequence[tuple[int, float]]) -> Floats:
    """[row, knot]: the chance that the use by then reaches the row's volume."""
    curves = np.zeros((len(rows), len(_KNOTS)))
    if not rows:
        return curves
    stocks = []
    for product, level in rows:
        amounts = outlook.amounts[product]
        if amounts is not None:
            stocks.append(Stock(amounts, outlook.usual_day_ul[product] or amounts.mean_ul, level))
    left = fitting(stocks, short_of=True)
    belief = outlook.belief[[product for product, _ in rows]]
    most = left.shape[1]
    ahead = np.zeros((most, len(_WEEKS), belief.shape[1]))
    for knot, week in enumerate(_WEEKS):
        counts = outlook.priors.ahead.within(7 * week)[:, :most]
        ahead[: counts.shape[1], knot] = counts.T
    enough = (left @ ahead.reshape(most, -1)).reshape(len(rows), len(_WEEKS), -1) @ belief[:, :, None]
    curves[:, 1:] = 1 - enough[:, :, 0]
    return np.clip(np.maximum.accumulate(curves, axis=1), 0.0, 1.0)


def _quiet(outlook: Outlook, products: Sequence[int]) -> list[Floats]:
    """[product][day]: the chance of no mix day up to that day, for these products."""
    belief = outlook.belief[list(products)]
    knots = [np.ones(len(products))]
    knots += [belief @ outlook.priors.ahead.within(7 * week)[:, 0] for week in _WEEKS]
    return [np.interp(_DAYS, _KNOTS, curve) for curve in np.array(knots).T]


def first_day(chance: Floats, level: float) -> int | None:
    """The first day on which the chance reaches `level`; None when it does not within two years."""
    reached = chance >= level - 1e-9
    return int(np.argmax(reached)) if reached.any() else None


def sprays(stocks: Sequence[Stock | None]) -> list[tuple[int, int, int] | None]:
    """How many mixes of the usual size fit into each volume, with 90 %, 50 % and 10 % chance.

    A row of None, of whose mixes nothing is known, stays None.
    """
    few = [
        each._replace(volume_ul=each.volume_ul + _STRETCH * each.usual_ul)
        for each in stocks
        if each is not None and each.volume_ul <= _MANY * each.usual_ul
    ]
    fits = iter(fitting(few)) if few else iter(())
    return [
        None
        if each is None
        else _many(each.amounts, each.volume_ul)
        if each.volume_ul > _MANY * each.usual_ul
        else _counted(next(fits))
        for each in stocks
    ]


def _counted(fits: Floats) -> tuple[int, int, int]:
    low, middle, high = (int((fits[1:] >= chance - 1e-9).sum()) for chance in (0.9, 0.5, 0.1))
    return low, middle, high


def _many(amounts: Amounts, volume_ul: float) -> tuple[int, int, int]:
    """Mixes that fit if there are hundreds: their sum counts as normally distributed."""
    mean = amounts.mean_ul
    variation = float(amounts.weights @ (amounts.points_ul / mean - 1) ** 2)
    spread = 1.2816 * (amounts.level_sd**2 + variation * mean / volume_ul) ** 0.5
    low, middle, high = (int(volume_ul / mean * np.exp(side * spread)) for side in (-1, 0, 1))
    return low, middle, high
