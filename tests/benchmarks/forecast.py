"""The forecast as a plain function, for scoring it on public purchase histories beside standard methods.

Run with a trial that calls `quantiles(dates, amounts_ml, today, horizon_days, quantiles, priors)`.
"""

from collections.abc import Sequence
from datetime import date

import numpy as np

from stock.forecast.priors import StudioPriors, learn_priors
from stock.forecast.use_history import UseHistory, from_arrays

Series = tuple[Sequence[date], Sequence[float]]
_seen: dict[tuple[int, date], tuple[object, StudioPriors]] = {}


def _habit(dates: Sequence[date], amounts_ml: Sequence[float]) -> UseHistory:
    days = np.array([each.toordinal() for each in dates], np.int64)
    return from_arrays(days, np.asarray(amounts_ml, float) * 1_000)


def quantiles(
    dates: Sequence[date],
    amounts_ml: Sequence[float],
    today: date,
    horizon_days: int,
    quantiles: Sequence[float],
    priors: Sequence[Series],
) -> list[float]:
    """Quantiles in ml of what is used over the `horizon_days` days after `today`."""
    key = (id(priors), today)
    if key not in _seen:
        _seen.clear()
        _seen[key] = (priors, learn_priors([_habit(*each) for each in priors], today.toordinal()))
    studio = _seen[key][1]
    total = studio.outlook([_habit(dates, amounts_ml)]).total(0, horizon_days)
    return [] if total is None else [float(each) / 1_000 for each in total.quantiles(quantiles)]
