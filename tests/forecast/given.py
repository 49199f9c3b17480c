"""Habits and studios made up for the tests of the arithmetic."""

from datetime import date, timedelta

import numpy as np

from stock.forecast.facts import Facts
from stock.forecast.ordering import lead_time
from stock.forecast.packs import PackSize
from stock.forecast.priors import StudioPriors, learn_priors
from stock.forecast.usable import StockBottle
from stock.forecast.use_history import UseHistory, from_arrays

TODAY = date(2026, 3, 2)  # a Monday
DAY = TODAY.toordinal()


def every(days: int, times: int, amount_ul: float = 8_000.0, *, last: int = 0) -> UseHistory:
    """Mixed every so many days, the last time `last` days ago."""
    when = DAY - last - days * np.arange(times)[::-1]
    return from_arrays(when.astype(np.int64), np.full(times, amount_ul))


def at_random(seed: int, rate: float, days: int = 400, mean_ul: float = 8_000.0) -> UseHistory:
    """Mixed on each day with the same chance, amounts spread by a gamma distribution; at least once."""
    draw = np.random.default_rng(seed)
    when = DAY - np.flatnonzero(draw.random(days) < rate)[::-1]
    when = when if len(when) else np.array([DAY - 1])
    return from_arrays(when.astype(np.int64), draw.gamma(6.0, mean_ul / 6.0, len(when)))


def studio(*habits: UseHistory) -> StudioPriors:
    """The priors of these and of twelve ordinary products."""
    return learn_priors([*habits, *(at_random(seed, 0.02 + 0.02 * seed) for seed in range(12))], DAY)


def facts(habit: UseHistory, **other: object) -> Facts:
    """A paint with one sealed 60 ml bottle and no known life, unless said otherwise."""
    given: dict[str, object] = {
        "number": 1,
        "product": "Harbour Blue",
        "role": "paint",
        "on_hand_ul": 60_000,
        "bottles": (StockBottle(60_000, False, None, None),),
        "lead": lead_time(7),
        "packs": (PackSize(60_000, 790),),
        "supplier": "Paint Barn",
    }
    given.update(other)
    return Facts(history=habit, **given)  # type: ignore[arg-type]


def ago(days: int) -> date:
    return TODAY - timedelta(days=days)
