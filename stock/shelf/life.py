"""How long a bottle is good: the earliest of its label's day and its lives, sealed and opened."""

from collections.abc import Iterable
from datetime import date

from stock.spans import duration


def good_until(
    *,
    best_before: date | None,
    made_on: date | None,
    opened_on: date | None,
    sealed_life: str | None,
    opened_life: str | None,
) -> date | None:
    """The last day on which a bottle is good, or None where nothing is known.

    Args:
        best_before: the day on its label.
        made_on: the day it was made, if known.
        opened_on: the day it was opened, if it is.
        sealed_life, opened_life: lives such as "3y" and "12mo"; months clamp at the month's end.
    """
    days = [best_before]
    if made_on is not None and sealed_life is not None:
        days.append(duration(sealed_life).after(made_on))
    if opened_on is not None and opened_life is not None:
        days.append(duration(opened_life).after(opened_on))
    return earliest(days)


def earliest(days: Iterable[date | None]) -> date | None:
    """The earliest of the known days, or None."""
    return min((day for day in days if day is not None), default=None)
