"""The history of one product's use up to a day: mix days with their totals, and the single mixes.

A *mix day* is a calendar day on which the product was used at all; its total decides how long the stock
lasts. "Sprays left" is counted in single mixes.
"""

from collections.abc import Iterable
from datetime import date

import numpy as np
from numpy.typing import NDArray

from stock.named_tuples import NamedTuple
from stock.units import Microlitres

Floats = NDArray[np.float64]
Days = NDArray[np.int64]

WINDOW_DAYS = 3 * 364
"""Use older than this many days is left out: it changes no forecast and costs time."""


class UseHistory(NamedTuple):
    """One product's use up to and including the day of the forecast.

    Attributes:
        days: mix days as proleptic ordinals, ascending, each once, none after the day of the forecast.
        totals_ul: used on that day in microlitres, same length, all above zero.
        singles_ul: what each single mix took in microlitres, oldest first.
        since: day (ordinal) from which it could have been used; None when not known.
    """

    days: Days
    totals_ul: Floats
    singles_ul: Floats
    since: int | None

    @property
    def events(self) -> int:
        """The number of mix days."""
        return len(self.days)

    @property
    def usual_ul(self) -> Microlitres | None:
        """The usual mix: the median of the single mixes in microlitres, None when there is none."""
        return Microlitres(round(middle(self.singles_ul))) if len(self.singles_ul) else None


def middle(values: Floats) -> float:
    """The median of one value or more; numpy's own median takes ten times as long for so few."""
    ordered, half = np.sort(values), len(values) // 2
    return float(ordered[half] if len(values) % 2 else (ordered[half - 1] + ordered[half]) / 2)


def history_of(uses: Iterable[tuple[date, int]], today: date, *, since: date | None = None) -> UseHistory:
    """The history as it was known at the end of `today`.

    Args:
        uses: (day, microlitres) of each mix; those of one day in the order of mixing. Days after `today` (a
            clock that jumped back, a mix dated ahead) and amounts of zero or less are left out.
        today: the day of the forecast.
        since: the day the product first stood on the shelf, when known.
    """
    last = today.toordinal()
    first = last - WINDOW_DAYS
    dated = ((day.toordinal(), float(ul)) for day, ul in uses if ul > 0)
    kept = sorted((each for each in dated if first < each[0] <= last), key=lambda each: each[0])
    start = None if since is None or since > today else since.toordinal()
    days = np.array([day for day, _ in kept], np.int64)
    return from_arrays(days, np.array([ul for _, ul in kept], float), start)


def from_arrays(days: Days, singles_ul: Floats, since: int | None = None) -> UseHistory:
    """A history of mixes already in order of their days, all within the window and above zero."""
    if not len(days):
        return UseHistory(days, singles_ul, singles_ul, since)
    first = np.flatnonzero(np.concatenate(([True], days[1:] != days[:-1])))
    return UseHistory(days[first], np.add.reduceat(singles_ul, first), singles_ul, since)


def as_of(whole: UseHistory, today: int) -> UseHistory:
    """The same history as it was known at the end of an earlier day (ordinal).

    Single mixes are taken to lie in the order of their days, so the ones kept are the oldest.
    """
    kept = int(np.searchsorted(whole.days, today, side="right"))
    used = float(whole.totals_ul[:kept].sum())
    singles = int(np.searchsorted(np.cumsum(whole.singles_ul), used + 0.5, side="right"))
    since = whole.since if whole.since is not None and whole.since <= today else None
    return UseHistory(whole.days[:kept], whole.totals_ul[:kept], whole.singles_ul[:singles], since)
