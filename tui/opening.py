"""What the app itself reads of the books: the studio's name and day, and the newest booking."""

from datetime import date
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from stock.store.settings import Settings


class Newest(NamedTuple):
    """What says whether the books changed since the last look: compare two of them."""

    booking: int
    """The number of the newest booking; 0 where there is none."""
    rule_choice: int
    """The number of the newest choice about a caution rule; 0 where there is none."""
    settings: "Settings"


def opened(address: str, day: date | None = None) -> tuple[str, date, str]:
    """Open the books; returns the studio's name, day and time zone.

    Raises:
        BooksUnreachable: there are none, or they can't be read.
    """
    from stock.store.connection import open_books  # not before the first frame

    open_books(address)
    return whose(day)


def whose(day: date | None = None) -> tuple[str, date, str]:
    """The studio's name, day and time zone, from books that are open."""
    from stock.store.settings import settings

    studio = settings()
    return studio.name, day or studio.today(), studio.time_zone


def newest() -> Newest:
    """The newest booking, rule choice and settings of the open books; two queries.

    The settings that were read are what `settings()` returns from then on.
    """
    from stock.store.connection import connection
    from stock.store.models import Booking, RuleChoice
    from stock.store.orm import pw
    from stock.store.settings import read_again

    with connection():
        choice = RuleChoice.select(pw.fn.COALESCE(pw.fn.MAX(RuleChoice.id), 0))
        booking = pw.fn.COALESCE(pw.fn.MAX(Booking.id), 0)
        newest_booking, newest_choice = Booking.select(booking, choice).tuples().get()
        return Newest(newest_booking, newest_choice, read_again())
