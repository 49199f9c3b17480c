"""The closed period of the books: no errand may be dated into it, and a correction is booked after it."""

from datetime import date

from stock.errors import UllageError
from stock.language import _
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.store.models import Studio, database


def closed_until() -> date | None:
    """The last closed day in the books as they are now; None if no period is closed."""
    found: date | None = Studio.select(Studio.closed_until).tuples().get()[0]
    return found


def hold_closed_until(*, to_change: bool = False) -> date | None:
    """The last closed day, locked until the transaction ends.

    On a server, bookings share a lock on the row: a closing waits for the bookings under way, and a booking made during
    a closing waits and then sees the new last day. SQLite lets one write at a time.

    Args:
        to_change: whether the caller changes it and so needs the row for itself.
    """
    query = Studio.select(Studio.closed_until)
    if database.obj.for_update:
        query = query.for_update("FOR UPDATE" if to_change else "FOR SHARE")
    found: date | None = query.tuples().get()[0]
    return found


def require_open(day: date, closed: date | None) -> None:
    """Refuse a day of the closed period.

    Args:
        day: the errand's.
        closed: the last closed day, None where nothing is closed.
    Raises:
        UllageError: the day is closed; nothing may be booked on it.
    """
    if closed is not None and day <= closed:
        raise UllageError(
            _(
                "the books are closed until {closed}, so nothing can be dated {day}",
                closed=show_day(closed),
                day=show_day(day),
            ),
            remedy=Remedy(
                _("Book it today, with the day in its note; or open the period again: "),
                Do("period reopen", "--reason", "WHY"),
                _("; nothing was booked"),
            ),
            code="closed-period",
        )
