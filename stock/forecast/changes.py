"""What changed in a product's use, in words: mixed more or less often since a day, or not at all.

A change is told when two rates of mix days, before and after some day, explain what was seen far better
than one: twice the log-likelihood ratio, searched over all days, above 12 (for one given day that would be
a chance of 1 in 2,000; the search makes it milder, about 1 in 100 by simulation in
tests/forecast/test_changes.py). Source of the statistic: Worsley 1986 (Biometrika 73), change points of
an exponential family.
"""

from datetime import date
from typing import NamedTuple

import numpy as np

from stock.forecast.habit import Floats, Habit

_EVIDENCE = 12.0
_FACTOR = 2.0
_LEAST_DAYS = 14
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
_DYING_DAYS = 180


class Change(NamedTuple):
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
        """The change as a person says it."""
        day = said(self.since, today)
        if self.factor == 0:
            return f"not mixed since {day}; before that every {_days(self.gap_days)}"
        if self.factor > 1:
            return f"mixed {_times(self.factor)} as often since {day}"
        if self.factor < 1 / 6:
            return f"hardly mixed since {day}; before that every {_days(self.gap_days)}"
        return f"mixed only {_part(self.factor)} as often since {day}"


def said(day: date, today: date) -> str:
    """A day as it stands in a sentence, with its year where that is another."""
    return f"{day.day} {_MONTHS[day.month - 1]}{f' {day.year}' if day.year != today.year else ''}"


def change(habit: Habit, today: int) -> Change | None:
    """The last clear change of how often a product is mixed; None when its rate was steady.

    Args:
        habit: the product's use.
        today: the day of the forecast (ordinal).
    """
    if habit.events < 5:
        return None
    first = int(habit.days[0])
    span = today - first
    seen = habit.days[1:] - first
    if span < 2 * _LEAST_DAYS:
        return None
    cuts = np.arange(_LEAST_DAYS, span - _LEAST_DAYS + 1)
    before = np.searchsorted(seen, cuts, side="right").astype(float)
    after = len(seen) - before
    gain = 2 * (_likelihood(before, cuts) + _likelihood(after, span - cuts) - _likelihood(len(seen), span))
    best = int(np.argmax(gain))
    if gain[best] < _EVIDENCE or before[best] == 0:
        return None
    cut = int(cuts[best])
    old = before[best] / cut
    factor = (after[best] / (span - cut)) / old
    if 1 / _FACTOR < factor < _FACTOR:
        return None
    since = int(habit.days[-1]) if factor == 0 else first + cut + 1
    return Change(date.fromordinal(since), float(factor), float(1 / old))


def _likelihood(
    count: Floats | int, days: "Floats | np.ndarray[tuple[int], np.dtype[np.int64]] | int"
) -> Floats:
    """Log-likelihood of `count` mix days in so many days at their own rate, 0 for none."""
    counts = np.asarray(count, float)
    return np.asarray(np.where(counts > 0, counts * np.log(np.maximum(counts, 1) / days), 0.0) - counts)


class Dying(NamedTuple):
    """Stock that is no longer used: since when, and how much of it stands there in microlitres."""

    last_used: date | None
    quiet_days: int
    held_ul: int


def dying(habit: Habit, today: int, *, abandoned: float, held_ul: int) -> Dying | None:
    """Whether stock is dying: still on the shelf, and unused for half a year or most likely abandoned.

    Args:
        habit: the product's use.
        today: the day of the forecast (ordinal).
        abandoned: the filter's chance that it is no longer used.
        held_ul: what the shelf holds.
    """
    if held_ul <= 0:
        return None
    start = int(habit.days[-1]) if habit.events else habit.since
    if start is None:
        return None
    quiet = today - start
    if quiet < _LEAST_DAYS or (quiet < _DYING_DAYS and abandoned <= 0.5):
        return None
    return Dying(date.fromordinal(start) if habit.events else None, quiet, held_ul)


def _times(factor: float) -> str:
    near = round(factor)
    if near <= 2 and factor < 2.5:
        return "twice"
    return f"{near} times"


def _part(factor: float) -> str:
    return {2: "half", 3: "a third", 4: "a quarter", 5: "a fifth", 6: "a sixth"}[round(1 / factor)]


def _days(days: float) -> str:
    near = max(round(days), 1)
    return "day" if near == 1 else f"{near} days"
