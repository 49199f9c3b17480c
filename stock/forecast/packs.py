"""Which pack size to order and how many: the least expected cost for each day that the order lasts.

An order costs its packs, its share of the shipping, the capital tied up in it, and the cost of running dry
times its chance. A volume that goes bad unused serves no day, so waste makes every day dearer. Volumes are
microlitres, money is the currency's minor unit, days are calendar days.

Renewal-reward form of the economic order quantity (Harris 1913) with a shelf life; worked by hand in
tests/standards/test_forecast_compound.py.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, inf

from stock.named_tuples import NamedTuple
from stock.units import Microlitres

CAPITAL_A_YEAR = 0.25
"""Price of capital and room, a year: common practice, no source."""

MOST_DAYS = 365
"""One order is for at most the use of so many days: common practice, no source."""

_YEAR = 365.25
_MORE = 12


class PackSize(NamedTuple):
    """A size in which a product is sold, and its price; None when the price is not known."""

    size_ul: Microlitres
    price_minor: int | None


class Need(NamedTuple):
    """What an order is for.

    Attributes:
        least_ul: volume that keeps the chance of running dry at the target until the next order has come.
        daily_ul: mean use a day, above zero.
        used_opened: how much of a bottle of that size (microlitres) is used on average within its opened
            life.
        sealed_days: days that a sealed pack keeps; None when not known.
        largest_ul: most that is used within a bottle's opened life with even chance; None when not known.
        shipping_minor: this order's share of the shipping.
        dry_minor: what running dry costs.
        dry_risk: chance of running dry before the delivery, once an order.
    """

    least_ul: float
    daily_ul: float
    used_opened: Callable[[int], float]
    sealed_days: int | None = None
    largest_ul: float | None = None
    shipping_minor: int = 0
    dry_minor: int = 0
    dry_risk: float = 0.0


@dataclass(frozen=True, slots=True)
class PackChoice:
    """What to order.

    Attributes:
        pack: the size.
        count: how many, 1 or more.
        cost_minor: price of all packs; None when the price is not known.
        serves_days: days it lasts on average, without what goes bad.
        wasted_ul: what goes bad unused on average.
        too_big: whether a bottle still holds more than is used within its opened life.
    """

    pack: PackSize
    count: int
    cost_minor: int | None
    serves_days: float
    wasted_ul: float
    too_big: bool


def choose(packs: Sequence[PackSize], need: Need, *, any_size: bool = False) -> PackChoice | None:
    """The pack size and count with the least expected cost a day.

    A missing price is estimated in proportion to the sizes that have one. With no price at all the smallest
    sufficient amount is ordered, of the size of which least goes bad.

    Args:
        packs: the sizes sold; sizes of nothing are left out.
        need: what the order is for.
        any_size: whether a bottle may hold more than is used within its opened life; only a person decides that.
    Returns:
        None when there is no size, or nothing is used.
    """
    sold = sorted((pack for pack in packs if pack.size_ul > 0), key=lambda pack: pack.size_ul)
    if not sold or need.daily_ul <= 0:
        return None
    largest = inf if any_size or need.largest_ul is None else need.largest_ul
    fitting = [pack for pack in sold if pack.size_ul <= largest] or sold[:1]
    price = _price_a_ul(sold)
    options = [
        (_cost_a_day(pack, count, need, price), index, count)
        for index, pack in enumerate(fitting)
        for count in _counts(pack, need, price)
    ]
    _, index, count = min(options)
    pack = fitting[index]
    days, wasted = _serves(pack, count, need)
    return PackChoice(
        pack,
        count,
        None if pack.price_minor is None else pack.price_minor * count,
        days,
        wasted,
        pack.size_ul > (inf if need.largest_ul is None else need.largest_ul),
    )


def _price_a_ul(packs: Sequence[PackSize]) -> float | None:
    """The median price of a microlitre, of the sizes that have a price."""
    prices = sorted(pack.price_minor / pack.size_ul for pack in packs if pack.price_minor is not None)
    return prices[len(prices) // 2] if prices else None


def _counts(pack: PackSize, need: Need, price: float | None) -> range:
    """The counts to compare: from the needed count up, but never more than is used before it goes bad."""
    least = max(ceil(need.least_ul / pack.size_ul - 1e-9), 1)
    too_big = need.largest_ul is not None and pack.size_ul > need.largest_ul
    if need.sealed_days is not None:
        least = max(min(least, int(need.daily_ul * need.sealed_days / pack.size_ul)), 1)
    if price is None or too_big:
        return range(least, least + 1)
    most = int(need.daily_ul * MOST_DAYS / pack.size_ul)
    return range(least, max(least, min(most, least + _MORE)) + 1)


def _serves(pack: PackSize, count: int, need: Need) -> tuple[float, float]:
    """(days it lasts, microlitres that go bad); of each bottle, only the use within its opened life counts."""
    each = min(need.used_opened(pack.size_ul), pack.size_ul)
    used = each * count
    if need.sealed_days is not None:
        used = min(used, need.daily_ul * need.sealed_days)
    return used / need.daily_ul, pack.size_ul * count - used


def _cost_a_day(pack: PackSize, count: int, need: Need, price: float | None) -> float:
    days, _ = _serves(pack, count, need)
    if days <= 0:
        return inf
    each = (
        pack.price_minor if pack.price_minor is not None else pack.size_ul * (1.0 if price is None else price)
    )
    bought = each * count
    capital = bought / 2 * CAPITAL_A_YEAR * days / _YEAR
    return (bought + capital + need.shipping_minor + need.dry_minor * need.dry_risk) / days
