"""What the app itself asks of the books: to be opened, whose they are, and whether they have moved."""

from datetime import date


def opened(address: str, day: date | None = None) -> tuple[str, date, str]:
    """Open the books; the studio's name, its day and its time zone.

    Raises:
        BooksUnreachable: there are none, or they can't be read.
    """
    from stock.store.connection import open_books  # costs what the first frame saves

    open_books(address)
    return whose(day)


def whose(day: date | None = None) -> tuple[str, date, str]:
    """The studio's name, its day and its time zone, from books that are open."""
    from stock.store.settings import settings

    studio = settings()
    return studio.name, day or studio.today(), studio.time_zone


def last_booking() -> int:
    """The number of the newest booking; 0 where there is none."""
    from stock.store.connection import connection
    from stock.store.models import Booking
    from stock.store.orm import pw

    with connection():
        return int(Booking.select(pw.fn.MAX(Booking.id)).scalar() or 0)
