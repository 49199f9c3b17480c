"""Until when a bottle is good: the earliest day that its label, its sealed life and its opened life give."""

from datetime import date, timedelta

from stock.spans import duration

LONG_AGO = date(1970, 1, 1)
"""The assumed day of opening of a bottle if nobody knows when it was made or bought."""


def good_until(
    *,
    best_before: date | None,
    made_on: date | None,
    opened_on: date | None,
    sealed_life: str | None,
    opened_life: str | None,
    tested_until: date | None = None,
) -> date | None:
    """The last day on which a bottle is good, or None if nothing is known.

    Args:
        best_before: the day on its label.
        made_on: the day it was made, if known.
        opened_on: the day it was opened, if it is.
        sealed_life, opened_life: lives such as "3y" and "12mo"; months clamp at the month's end.
        tested_until: the day on which a card test must be repeated; until then its other days don't end it.
    """
    end = best_before
    if made_on is not None and sealed_life is not None:
        end = _earlier(end, duration(sealed_life).after(made_on))
    if opened_on is not None and opened_life is not None:
        end = _earlier(end, duration(opened_life).after(opened_on))
    if end is not None and tested_until is not None:
        end = max(end, tested_until - timedelta(days=1))
    return end


def opened_at_worst(*days: date | None) -> date:
    """The day of opening to assume for a bottle that was opened on an unknown day: the earliest possible one.

    Args:
        days: days before which it can't have been opened, such as when it was made or bought; the latest counts.
    """
    return max((day for day in days if day is not None), default=LONG_AGO)


def _earlier(one: date | None, other: date) -> date:
    return other if one is None or other < one else one
