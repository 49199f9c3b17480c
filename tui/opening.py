"""The app's own reading of the books: the studio's name and day, and the newest booking."""

from datetime import date
from typing import TYPE_CHECKING

from stock.named_tuples import NamedTuple

if TYPE_CHECKING:
    from stock.store.settings import Settings


class Newest(NamedTuple):
    """A state of the books; two of them differ if the books changed in between."""

    booking: int
    """The number of the newest booking; 0 if there is none."""
    rule_choice: int
    """The sum of the numbers of the newest notes on caution rules and on bottles; 0 if there are none."""
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
    """The newest booking, the newest note on a rule or a bottle, and the settings of the open books; two queries.

    The settings that were read are what `settings()` returns from then on.
    """
    from stock.store.connection import connection
    from stock.store.models import Booking, CardTest, RuleChoice, Silence
    from stock.store.orm import pw
    from stock.store.settings import read_again

    with connection():
        words = [
            table.select(pw.fn.COALESCE(pw.fn.MAX(table.id), 0)) for table in (RuleChoice, Silence, CardTest)
        ]
        booking = pw.fn.COALESCE(pw.fn.MAX(Booking.id), 0)
        newest_booking, *newest_words = Booking.select(booking, *words).tuples().get()
        return Newest(newest_booking, sum(newest_words), read_again())
