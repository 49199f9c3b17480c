"""One order to a supplier: the lines that must be ordered now, and lines added because that saves a later shipment.

Joint replenishment by the can-order rule (Balintfy 1964, Management Science 10): a line that has reached its
order-by day opens the basket; another is added when its own shipment would come soon and buying it early
costs less than the share of shipping it saves. Money is the currency's minor unit, days are counted
from the day of the forecast.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from stock.forecast.packs import CAPITAL_A_YEAR
from stock.named_tuples import NamedTuple
from stock.units import Microlitres

_YEAR = 365.25


@dataclass(frozen=True, slots=True)
class BasketLine:
    """One product that will have to be ordered.

    Attributes:
        product: its name.
        size_ul, count: the packs.
        cost_minor: price of all packs; None when not known.
        day: its order-by day, days from today.
    """

    product: str
    size_ul: Microlitres
    count: int
    cost_minor: int | None
    day: int


class Terms(NamedTuple):
    """A supplier's terms: shipping for an order, and the value from which it is free; None: not known."""

    shipping_minor: int | None = None
    free_from_minor: int | None = None


class Basket(NamedTuple):
    """One order to one supplier.

    Attributes:
        supplier: the name; empty for products without one.
        day: the day it goes out, days from today: the first of its lines' order-by days.
        must: lines that have to be ordered on that day.
        along: lines that are added early.
        goods_minor: the price of all lines with a known price.
        unpriced: how many lines have no known price.
        shipping_minor: what shipping costs; 0 when free or not known.
        saved_minor: what the early lines save, less the cost of the capital.
        missing_minor: value missing for free shipping; None without such a threshold or once it is reached.
    """

    supplier: str
    day: int
    must: tuple[BasketLine, ...]
    along: tuple[BasketLine, ...]
    goods_minor: int
    unpriced: int
    shipping_minor: int
    saved_minor: int
    missing_minor: int | None


def basket(supplier: str, lines: Sequence[BasketLine], terms: Terms, *, within: int = 28) -> Basket | None:
    """The next order to this supplier.

    Args:
        supplier: the name.
        lines: its products that will have to be ordered, in any order.
        terms: shipping and threshold.
        within: how many days ahead a line's order-by day may lie for it to be added early.
    Returns:
        None without lines.
    """
    if not lines:
        return None
    waiting = sorted(lines, key=lambda line: (line.day, line.product))
    day = waiting[0].day
    must = [line for line in waiting if line.day <= day]
    later = [line for line in waiting if day < line.day <= day + within]
    shipping = terms.shipping_minor or 0
    along: list[BasketLine] = []
    saved = 0.0
    if shipping:
        along, saved = _riders(must, later, terms, shipping, day)
    goods = _goods([*must, *along])
    free = terms.free_from_minor is not None and goods >= terms.free_from_minor
    missing = terms.free_from_minor - goods if terms.free_from_minor is not None and not free else None
    return Basket(
        supplier,
        day,
        tuple(must),
        tuple(along),
        goods,
        sum(line.cost_minor is None for line in [*must, *along]),
        0 if free else shipping,
        round(saved),
        missing,
    )


def _riders(
    must: Sequence[BasketLine], later: Sequence[BasketLine], terms: Terms, shipping: int, day: int
) -> tuple[list[BasketLine], float]:
    """The lines to add early, and what that saves.

    Lines due on the same later day would share a shipment, so they are added together or not at all. With a
    threshold, further days are added if the last one makes shipping free and the saving pays for all of them.
    """
    along: list[BasketLine] = []
    saved = 0.0
    best: tuple[float, int] = (0.0, 0)
    for due in sorted({line.day for line in later}):
        group = [line for line in later if line.day == due]
        along += group
        alone = 0 if _free(group, terms) else shipping
        saved += alone - _goods(group) * CAPITAL_A_YEAR * (due - day) / _YEAR
        bonus = shipping if _free([*must, *along], terms) and not _free(must, terms) else 0
        if saved + bonus > best[0]:
            best = (saved + bonus, len(along))
    return along[: best[1]], best[0]


def _goods(lines: Sequence[BasketLine]) -> int:
    return sum(line.cost_minor or 0 for line in lines)


def _free(lines: Sequence[BasketLine], terms: Terms) -> bool:
    return terms.free_from_minor is not None and _goods(lines) >= terms.free_from_minor
