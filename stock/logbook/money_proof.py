"""The proof that the books add up in money: for each product and both ways to value stock.

    opening stock + purchases = used + written off + closing

The figures are exact fractions, so rounding hides nothing. The closing volume is compared with the volumes in the
bottles. Each price is checked to be a possible one: a price from a damaged row is named.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from stock.language import _
from stock.logbook import stock_value
from stock.logbook.valuation import METHODS, Flows, StockFlows, flows
from stock.money import show_money
from stock.shelf.studio import settings
from stock.store.models import Booking, Bottle, Invoice, LinePack, OrderLine, Pack, Product
from stock.store.orm import pw
from stock.units import Microlitres, ml

MOST_MINOR = 10**12
"""Every price is below this: `money` reads less than a thousand million, with at most three decimals."""
PRICES: tuple[tuple[str, Any, Any, tuple[Any, ...]], ...] = (
    (_("bottle"), Bottle, Bottle.id, (Bottle.price_minor,)),
    (_("size"), Pack, Pack.id, (Pack.price_minor,)),
    (_("size of a line"), LinePack, LinePack.id, (LinePack.price_minor,)),
    (_("line of an order"), OrderLine, OrderLine.id, (OrderLine.price_minor,)),
    (_("invoice"), Invoice, Invoice.id, (Invoice.net_minor, Invoice.gross_minor)),
)
"""Where the books keep money: the words for a row, its table, its number, and its columns."""


@dataclass(frozen=True, slots=True)
class MoneyProof:
    """The studio's sums by first in, first out, in minor units."""

    opening: int
    purchased: int
    used: int
    written_off: int
    closing: int

    def as_json(self, currency: str, of_one: int) -> dict[str, object]:
        """The sums in the currency's main unit; `of_one` minor units make one."""
        figures = ("opening", "purchased", "used", "written_off", "closing")
        return {"currency": currency} | {name: getattr(self, name) / of_one for name in figures}


def prove() -> tuple[MoneyProof | None, list[str]]:
    """Look at every price, and add the money up; call it inside `connection()` and `reading()`.

    Returns:
        The sums (None if a price is impossible, so that nothing can be added up), and the problems in words.
    """
    found = list(odd_prices())
    if found:
        return None, found
    moves = stock_value.moves(_last_day())
    names = dict(Product.select(Product.id, Product.name).tuples())
    first_in = flows(moves, METHODS[0])
    for method in METHODS:
        of_method = first_in if method == METHODS[0] else flows(moves, method)
        found += [
            f"{names.get(product, product)}: {difference}"
            for product, difference in unbalanced(of_method, method)
        ]
    own = first_in.products
    found += [f"{names.get(product, product)}: {difference}" for product, difference in _not_on_hand(own)]
    opening, purchased, written_off, closing = (
        round(sum((getattr(one, step).value for one in own.values()), Fraction(0)))
        for step in ("brought", "purchased", "written_off", "closing")
    )
    used = opening + purchased - written_off - closing
    return MoneyProof(opening, purchased, used, written_off, closing), found


def _last_day() -> date:
    """Today, or the day of a later booking if the clock was set back."""
    newest: Any = Booking.select(pw.fn.MAX(Booking.day)).tuples().get()[0]
    today = settings().today()
    return max(today, date.fromisoformat(newest) if isinstance(newest, str) else newest or today)


def odd_prices() -> Iterator[str]:
    """Every impossible price in the books, with its place."""
    for what, table, number, columns in PRICES:
        for column in columns:
            rows = table.select(number, pw.SQL(f'"{column.column_name}"')).where(column.is_null(False))
            for row, price in rows.tuples():
                if not isinstance(price, int) or not 0 <= price < MOST_MINOR:
                    shown = show_money(price, settings().currency) if isinstance(price, int) else repr(price)
                    yield _("{what} {row}: {shown} can't be its price", what=what, row=row, shown=shown)


def unbalanced(of: StockFlows, method: str) -> Iterator[tuple[int, str]]:
    """Products whose money doesn't add up, each with the difference; bottles of all owners count.

    Args:
        of: the flows of every movement.
        method: `fifo` or `average`, by which they are valued.
    """
    for products in of.owners.values():
        for product, found in products.items():
            came, went = found.brought + found.purchased, found.used + found.written_off
            off = came - went - found.closing
            if off.value:
                yield (
                    product,
                    _(
                        "opening + purchases - used - written off is {off} off the closing stock ({method})",
                        off=show_money(round(off.value), settings().currency),
                        method=method,
                    ),
                )
            if found.closing.value < 0:
                yield product, _("what is left is worth less than nothing ({method})", method=method)


def _not_on_hand(own: Mapping[int, Flows]) -> Iterator[tuple[int, str]]:
    """Products whose valued volume is not the volume in the studio's own bottles."""
    held: dict[int, int] = defaultdict(int)
    rows = Bottle.select(Bottle.product, pw.fn.SUM(Bottle.on_hand_ul)).where(Bottle.owner == "")
    for product, on_hand_ul in rows.group_by(Bottle.product).tuples():
        held[product] = int(on_hand_ul)
    valued = {product: one.closing.volume_ul for product, one in own.items()}
    for product in sorted(held.keys() | valued.keys()):
        off = valued.get(product, 0) - held.get(product, 0)
        if off:
            yield (
                product,
                _(
                    "{valued} ml are valued, and {held} ml stand in the studio's bottles",
                    valued=ml(Microlitres(valued.get(product, 0))),
                    held=ml(Microlitres(held.get(product, 0))),
                ),
            )
