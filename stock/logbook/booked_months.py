"""The months in which something was booked."""

from datetime import date

from stock.logbook.months import Month, month_of
from stock.store.models import Booking
from stock.store.orm import pw


def booked_months(until: date) -> list[Month]:
    """The months of all bookings until a day, the earliest first; call it inside `connection()`."""
    found = (
        Booking.select(pw.fn.SUBSTR(Booking.day, 1, 7).coerce(False))
        .where(Booking.day <= until.isoformat())
        .distinct()
    )
    return [month_of(date.fromisoformat(f"{text}-01")) for (text,) in sorted(found.tuples())]
