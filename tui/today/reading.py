"""Today read in two goes: what the books say at once, and what the forecast makes of them."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from stock.cautions.books import findings
from stock.logbook.history import Filter, entries
from stock.logbook.today import JUST_DONE, Today, grouped, made_since, to_order
from stock.logbook.usual import RECENT_DAYS, usual
from stock.shelf.bottles import on_shelf
from stock.shelf.studio import settings
from tui.today.day import TodayBooks


def readings(as_of: date | None) -> Iterator[TodayBooks]:
    """Cautions, the usual mixes and what was just done; then the same with the order list."""
    day = as_of or settings().today()
    made = made_since(day - timedelta(days=RECENT_DAYS), day)
    seen = Today(
        as_of=day,
        studio=settings(),
        order=(),
        cautions=tuple(grouped(findings(as_of))),
        done=tuple(entries(Filter(until=day), limit=JUST_DONE)),
        usual=tuple(usual(made, day)),
    )
    books = TodayBooks(seen, tuple(on_shelf(as_of)), forecast=False)
    yield books
    from stock.forecast.books import read  # noqa: PLC0415 - brings numpy, which the first half can do without

    said = read(as_of).forecasts()
    usable = {one.facts.product: sum(each.on_hand_ul for each in one.facts.bottles) for one in said}
    order, mixes = tuple(to_order(said, day)), tuple(usual(made, day, usable_ul=usable))
    yield TodayBooks(replace(seen, order=order, usual=mixes), books.bottles)
