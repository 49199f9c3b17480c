"""Changes of a product's use: mixed more or less often since a day, or not at all any more.

A change is reported when two rates of mix days, before and after some day, explain the mix days far better
than one rate: twice the log-likelihood ratio, searched over all days, is above 12. For one given day that
would be a chance of 1 in 2,000; with the search it is about 1 in 100, by simulation in
tests/forecast/test_changes.py. Source of the statistic: Worsley 1986 (Biometrika 73), change points of an
exponential family.
"""

from datetime import date

import numpy as np

from stock.forecast.use_history import WINDOW_DAYS, Days, Floats, UseHistory
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.units import Microlitres

_EVIDENCE = 12.0
_FACTOR = 2.0
_LEAST_DAYS = 14
_MONTHS = (
    _("January"), _("February"), _("March"), _("April"), _("May"), _("June"), _("July"), _("August"),
    _("September"), _("October"), _("November"),
    _("December"),
)  # fmt: skip
_DYING_DAYS = 180
_LOG: Floats = np.log(np.maximum(np.arange(WINDOW_DAYS + 1), 1))
_N_LOG_N: Floats = np.arange(WINDOW_DAYS + 1) * _LOG


class RateChange(NamedTuple):
    """A change of the rate of mix days.

    Attributes:
        since: first day of the new rate.
        factor: new rate over old; 0 when it stopped.
        gap_days: mean days from mix day to mix day before the change.
    """

    since: date
    factor: float
    gap_days: float

    def words(self, today: date) -> str:
        """The change as part of a sentence."""
        day = day_words(self.since, today)
        if self.factor == 0:
            return _(
                "not mixed since {day}; before that every {gap_days}", day=day, gap_days=_days(self.gap_days)
            )
        if self.factor > 1:
            return _("mixed {factor} as often since {day}", factor=_times(self.factor), day=day)
        if self.factor < 1 / 6:
            return _(
                "hardly mixed since {day}; before that every {gap_days}",
                day=day,
                gap_days=_days(self.gap_days),
            )
        return _("mixed only {factor} as often since {day}", factor=_part(self.factor), day=day)


def day_words(day: date, today: date) -> str:
    """A day for a sentence, such as 3 May; with the year if it isn't the current one."""
    return f"{day.day} {_MONTHS[day.month - 1]}{f' {day.year}' if day.year != today.year else ''}"


def change(history: UseHistory, today: int) -> RateChange | None:
    """The last clear change of how often a product is mixed; None when its rate was steady.

    Args:
        history: the product's use.
        today: the day of the forecast (ordinal).
    """
    if history.events < 5:
        return None
    first = int(history.days[0])
    span = today - first
    seen = history.days[1:] - first
    if span < 2 * _LEAST_DAYS:
        return None
    # Between two mix days both likelihoods are convex in the cut, so the greatest gain lies beside a mix day.
    beside = np.zeros(span + 1, bool)
    beside[seen] = beside[seen - 1] = True
    beside[[_LEAST_DAYS, span - _LEAST_DAYS]] = True
    cuts = np.flatnonzero(beside[: span - _LEAST_DAYS + 1][_LEAST_DAYS:]) + _LEAST_DAYS
    before = np.searchsorted(seen, cuts, side="right")
    after = len(seen) - before
    one_rate = _likelihood(len(seen), span)
    gain = 2 * (_likelihood(before, cuts) + _likelihood(after, span - cuts) - one_rate)
    best = int(np.argmax(gain))
    if gain[best] < _EVIDENCE or before[best] == 0:
        return None
    cut = int(cuts[best])
    old = before[best] / cut
    factor = (after[best] / (span - cut)) / old
    if 1 / _FACTOR < factor < _FACTOR:
        return None
    since = int(history.days[-1]) if factor == 0 else first + cut + 1
    return RateChange(date.fromordinal(since), float(factor), float(1 / old))


def _likelihood(count: "Days | int", days: "Days | int") -> Floats:
    """Log-likelihood of `count` mix days in `days` days at their own rate, without a term that all cuts share."""
    return np.asarray(_N_LOG_N[count] - count * _LOG[days])


class DyingStock(NamedTuple):
    """Stock that is no longer used: since when, and how many microlitres are left."""

    last_used: date | None
    quiet_days: int
    held_ul: Microlitres


def dying(history: UseHistory, today: int, *, abandoned: float, held_ul: Microlitres) -> DyingStock | None:
    """Stock that is still on the shelf, and unused for half a year or most likely abandoned; else None.

    Args:
        history: the product's use.
        today: the day of the forecast (ordinal).
        abandoned: the filter's chance that it is no longer used.
        held_ul: what the shelf holds.
    """
    if held_ul <= 0:
        return None
    start = int(history.days[-1]) if history.events else history.since
    if start is None:
        return None
    quiet = today - start
    if quiet < _LEAST_DAYS or (quiet < _DYING_DAYS and abandoned <= 0.5):
        return None
    return DyingStock(date.fromordinal(start) if history.events else None, quiet, held_ul)


def _times(factor: float) -> str:
    near = round(factor)
    if near == 2:
        return "twice"
    return _("{near} times", near=near)


def _part(factor: float) -> str:
    return {2: "half", 3: _("a third"), 4: _("a quarter"), 5: _("a fifth"), 6: _("a sixth")}[
        round(1 / factor)
    ]


def _days(days: float) -> str:
    near = max(round(days), 1)
    return "day" if near == 1 else _("{near} days", near=near)
