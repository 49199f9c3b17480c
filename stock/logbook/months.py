"""Calendar months as people write them."""

import re
from dataclasses import dataclass
from datetime import date, timedelta

from stock.errors import BadInput
from stock.language import _
from stock.text import plain


@dataclass(frozen=True, slots=True)
class Month:
    """A calendar month: its first and last day in the studio's calendar."""

    first: date
    last: date

    def __str__(self) -> str:
        return self.first.isoformat()[:7]


def month(text: str, today: date) -> Month:
    """Read a month written as `2026-03`.

    Raises:
        BadInput: not a month, or a future one.
    """
    found = re.fullmatch(r"(\d{4})-(\d{2})", text.strip(), re.ASCII)
    if found is None or not 1 <= int(found[2]) <= 12 or int(found[1]) < 1:
        raise BadInput(_("{text!r} is not a month", text=plain(text, 20)), remedy=_("Write it as 2026-03"))
    whole = month_of(date(int(found[1]), int(found[2]), 1))
    if whole.first > today:
        raise BadInput(_("{whole} is in the future", whole=whole), remedy=_("Give this month or a past one"))
    return whole


def last_day(text: str, today: date) -> date:
    """A day as a person writes it, or the last day of a month that is written as `2026-03`.

    Raises:
        BadInput: neither, or a month to come.
    """
    from stock import units  # only where a day is read

    if re.fullmatch(r"\d{4}-\d{2}", text.strip(), re.ASCII):
        return month(text, today).last
    return units.day(text, today)


def month_of(day: date) -> Month:
    """The month that a day lies in."""
    first = day.replace(day=1)
    following = (
        (first + timedelta(days=31)).replace(day=1) if (first.year, first.month) < (9999, 12) else date.max
    )
    return Month(first, following - timedelta(days=1) if following != date.max else date.max)
