"""Reading Today in two steps: first what the books say, then the forecast."""

from collections.abc import Callable, Iterator, Mapping
from datetime import date, timedelta

from stock.logbook.today import JUST_DONE, Today, ToOrder, grouped, made_since, open_two_part, to_order
from stock.logbook.usual import RECENT_DAYS, usual
from stock.named_tuples import NamedTuple
from stock.shelf.studio import settings
from stock.units import Microlitres
from tui.today.books import TodayBooks


class Foreseen(NamedTuple):
    """What the forecast adds to a day: the order list, and usable microlitres by product."""

    order: tuple[ToOrder, ...]
    usable_ul: Mapping[str, Microlitres]


def foreseen(as_of: date | None) -> Foreseen:
    """What to order on a day, and the usable volumes; called with the connection open."""
    from stock.forecast.books import read  # loads numpy, which the first step doesn't need

    forecast = read(as_of)
    return Foreseen(tuple(to_order(forecast)), forecast.usable_ul())


def readings(
    as_of: date | None, *, foresee: Callable[[], Foreseen | None] = lambda: None
) -> Iterator[TodayBooks]:
    """Cautions, the usual mixes and what was just done; then the same with the order list.

    Args:
        as_of: the day; today when None.
        foresee: returns the forecast if another process works it out, or None.
    """
    from stock.cautions.books import findings  # not loaded by the process that only forecasts
    from stock.logbook.history import Filter, entries
    from stock.shelf.bottles import on_shelf

    day = as_of or settings().today()
    made = made_since(day - timedelta(days=RECENT_DAYS), day)
    today = Today(
        as_of=day,
        studio=settings(),
        order=(),
        cautions=tuple(grouped(findings(as_of))),
        done=tuple(entries(Filter(until=day), limit=JUST_DONE)),
        usual=tuple(usual(made, day)),
        two_part=open_two_part(as_of),
    )
    books = TodayBooks(today, tuple(on_shelf(as_of)), forecast=False)
    yield books
    ahead = foresee() or foreseen(as_of)
    mixes = tuple(usual(made, day, usable_ul=ahead.usable_ul))
    yield TodayBooks(today._replace(order=ahead.order, usual=mixes), books.bottles)
