"""The forecast as a plain function, for scoring it on public purchase histories beside standard methods.

Run with a trial that calls `quantiles(dates, amounts_ml, today, horizon_days, quantiles, pool)`.
"""

from collections.abc import Sequence
from datetime import date

import numpy as np

from stock.forecast.habit import Habit, from_arrays
from stock.forecast.pool import Pool, learn

Series = tuple[Sequence[date], Sequence[float]]
_seen: dict[tuple[int, date], tuple[object, Pool]] = {}


def _habit(dates: Sequence[date], amounts_ml: Sequence[float]) -> Habit:
    days = np.array([each.toordinal() for each in dates], np.int64)
    return from_arrays(days, np.asarray(amounts_ml, float) * 1_000)


def quantiles(
    dates: Sequence[date],
    amounts_ml: Sequence[float],
    today: date,
    horizon_days: int,
    quantiles: Sequence[float],
    pool: Sequence[Series],
) -> list[float]:
    """Quantiles in ml of what is used over the `horizon_days` days after `today`."""
    key = (id(pool), today)
    if key not in _seen:
        _seen.clear()
        _seen[key] = (pool, learn([_habit(*each) for each in pool], today.toordinal()))
    studio = _seen[key][1]
    total = studio.outlook([_habit(dates, amounts_ml)]).total(0, horizon_days)
    return [] if total is None else [float(each) / 1_000 for each in total.quantiles(quantiles)]
