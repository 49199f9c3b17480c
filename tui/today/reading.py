"""Today read in two goes: what the books say at once, and what the forecast makes of them."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from stock.cautions.books import findings
from stock.logbook.history import Filter, entries
from stock.logbook.today import JUST_DONE, Today, grouped, made_since, to_order
from stock.logbook.usual import RECENT_DAYS, Made, usual
from stock.shelf.bottles import on_shelf
from stock.shelf.studio import settings
from tui.today.screen import TodayBooks


def without_forecast(as_of: date | None) -> tuple[TodayBooks, Sequence[Made]]:
    """Cautions, the usual mixes and what was just done; the order list is still to come."""
    studio = settings()
    day = as_of or studio.today()
    made = made_since(day - timedelta(days=RECENT_DAYS), day)
    seen = Today(
        as_of=day,
        studio=studio,
        order=(),
        cautions=tuple(grouped(findings(as_of))),
        done=tuple(entries(Filter(until=day), limit=JUST_DONE)),
        usual=tuple(usual(made, day)),
    )
    return TodayBooks(seen, tuple(on_shelf(as_of)), forecast=False), made


def with_forecast(books: TodayBooks, made: Sequence[Made], as_of: date | None) -> TodayBooks:
    """The same with the order list, and with what the usual mixes are short of."""
    from stock.forecast.books import read  # noqa: PLC0415 - brings numpy

    said = read(as_of).forecasts()
    day = books.seen.as_of
    usable = {one.facts.product: sum(each.on_hand_ul for each in one.facts.bottles) for one in said}
    seen = replace(
        books.seen, order=tuple(to_order(said, day)), usual=tuple(usual(made, day, usable_ul=usable))
    )
    return TodayBooks(seen, books.bottles)
