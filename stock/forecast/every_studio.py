"""What every studio on one server has to order; the studios are read one after the other, on one connection."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from stock.errors import BooksUnreachable, UllageError
from stock.forecast import books
from stock.forecast.baskets import Basket
from stock.forecast.forecasting import baskets_of
from stock.shelf.studio import settings
from stock.store import addresses, studios
from stock.store.connection import connection, open_books
from stock.store.refusals import LineLost


@dataclass(frozen=True, slots=True)
class StudioOrders:
    """What one studio has to order.

    Attributes:
        schema: where on the server its books are.
        name: the studio's name.
        as_of: the day of the forecast, by the studio's own time zone.
        currency, measures: the units of its baskets.
        baskets: the next order to each supplier, soonest first.
    """

    schema: str
    name: str
    as_of: date
    currency: str
    measures: str
    baskets: tuple[Basket, ...]


@dataclass(frozen=True, slots=True)
class UnreadStudio:
    """A studio whose books can't be read, and why."""

    schema: str
    reason: str


def orders(address: str, as_of: date | None = None) -> Iterator[StudioOrders | UnreadStudio]:
    """What each studio of a server has to order, in the order of their schemas.

    A studio that can't be read doesn't stop the others.

    Args:
        address: the server's URL.
        as_of: the day of the forecasts; each studio's own today when None.
    Raises:
        BadInput, BooksUnreachable: as `studios.schemas`, or the server is lost on the way.
    """
    for schema in studios.schemas(address):
        try:
            open_books(addresses.with_schema(address, schema))
            with connection():
                reading = books.read(as_of)
                baskets = tuple(baskets_of(reading.forecasts()))
                yield StudioOrders(
                    schema, settings().name, reading.as_of, reading.currency, reading.measures, baskets
                )
        except UllageError as error:
            if error.code in (BooksUnreachable.code, LineLost.code):
                raise  # the server itself is gone, so no further studio can be read
            yield UnreadStudio(schema, str(error))
