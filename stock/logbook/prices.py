"""What a microlitre in each bottle cost at any moment: the price of its lot, followed through decants and jars."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Any

from stock.shelf import dated_facts, past_shelf
from stock.shelf.past_shelf import in_force
from stock.store.bottle_tables import FILLED
from stock.store.models import Booking, Bottle, Close, Movement, Pack, Pour
from stock.store.orm import pw
from stock.units import Microlitres

Price = Fraction | None
FILLINGS = pw.SQL(f"(SELECT id FROM movement WHERE {FILLED})")  # noqa: S608 - words of ours
"""The condition is written out in the query, because an engine uses a partial index only if it sees its condition."""


@dataclass(slots=True)
class Prices:
    """Minor units a microlitre by bottle: (number of the movement from which the price applies, price), ascending."""

    by_bottle: dict[int, list[tuple[int, Price]]] = field(default_factory=lambda: defaultdict(list))

    def at(self, bottle: int, movement: int) -> Price:
        """The price of the volume that a movement took out of the bottle; None if unknown."""
        held = self.by_bottle.get(bottle, [])
        place = bisect_right(held, movement, key=lambda each: each[0]) - 1
        return held[place][1] if place >= 0 else None

    def newest(self, bottle: int) -> Price:
        """The price of the bottle's present contents; None if unknown."""
        held = self.by_bottle.get(bottle, [])
        return held[-1][1] if held else None

    def value(self, bottle: int, movement: int, volume_ul: Microlitres) -> Price:
        """What that volume cost, in minor units; None where the price is unknown."""
        price = self.at(bottle, movement)
        return None if price is None else price * volume_ul

    def pour_in(
        self, bottle: int, movement: int, held_ul: Microlitres, added_ul: Microlitres, price: Price
    ) -> None:
        """Note the mixed price of a bottle after something was poured into it."""
        before = self.at(bottle, movement)
        if held_ul <= 0:
            mixed = price
        elif before is None or price is None:
            mixed = None
        else:
            mixed = (before * held_ul + price * added_ul) / (held_ul + added_ul)
        self.by_bottle[bottle].append((movement, mixed))


def noted(as_of: date | None = None) -> dict[int, Fraction]:
    """Minor units a microlitre of each bottle whose price is known: its own, else that of its size.

    The price of a bottle that was bought part-used is spread over the volume that was in it.

    Args:
        as_of: the day whose notes count; today when None. A size that was priced later stays without a price on days
            in closed periods.
    """
    packs = {
        (product, size): price
        for product, size, price in Pack.select(Pack.product, Pack.size_ul, Pack.price_minor).tuples()
    }
    then = dated_facts.prices(as_of) if as_of is not None else {}
    packs = {key: price for key, price in packs.items() if key[0] not in then}
    packs |= {(product, size): price for product, kept in then.items() for size, price in kept.items()}
    rows = Bottle.select(Bottle.id, Bottle.product, Bottle.size_ul, Bottle.price_minor, Bottle.priced_ul)
    found = {}
    for number, product, size_ul, own, priced_ul in rows.tuples():
        price = own if own is not None else packs.get((product, size_ul))
        if price is not None:
            found[number] = Fraction(price, size_ul if priced_ul is None else priced_ul)
    return found


def paid(as_of: date) -> dict[int, Fraction]:
    """Minor units a microlitre that were paid for each bottle; 0 for opening stock and for somebody else's bottles."""
    owners = past_shelf.owners(as_of)
    rows = Bottle.select(Bottle.id, Bottle.opening_stock, Bottle.owner).tuples()
    return noted(as_of) | {
        number: Fraction(0) for number, brought, owner in rows if brought or owners.get(number, owner)
    }


def read(as_of: date) -> Prices:
    """The prices of all bottles as they were in force on that day; call it inside `connection()`."""
    prices = Prices()
    for number, bought_at in paid(as_of).items():
        prices.by_bottle[number].append((0, bought_at))
    for movement, bottle, added_ul, booking, kind in _filled(as_of):
        price = _came_from(prices, movement, booking, kind, as_of)
        prices.pour_in(bottle, movement, _held_before(bottle, movement), added_ul, price)
    return prices


def _filled(as_of: date) -> Sequence[tuple[int, int, Microlitres, int, str]]:
    """Every filling from another bottle or from a mix, in the order of booking."""
    query = (
        Movement.select(Movement.id, Movement.bottle, Movement.change_ul, Movement.booking, Movement.kind)
        .join(Booking)
        .where(Movement.id.in_(FILLINGS) & (Booking.day <= as_of) & in_force(Booking.id, as_of))
        .order_by(Movement.id)
    )
    rows: Sequence[tuple[int, int, Microlitres, int, str]] = list(query.tuples())
    return rows


def _came_from(prices: Prices, movement: int, booking: int, kind: str, as_of: date) -> Price:
    if kind == "moved_in":
        source = Movement.get_or_none((Movement.booking == booking) & (Movement.kind == "moved_out"))
        return None if source is None else prices.at(source.bottle_id, movement)
    mix = Close.select(Close.mix).where(Close.id == booking)
    poured = (
        Movement.select(Movement.id, Movement.bottle, Movement.change_ul)
        .join(Pour, on=(Pour.movement == Movement.id))
        .where(Pour.mix.in_(mix) & in_force(Movement.booking, as_of) & (Movement.id < movement))
    )
    rows: list[tuple[Any, ...]] = list(poured.tuples())
    values = [prices.value(bottle, number, -change_ul) for number, bottle, change_ul in rows]
    volume = -sum(change_ul for _, _, change_ul in rows)
    priced = [value for value in values if value is not None]
    return sum(priced, Fraction(0)) / volume if volume and len(priced) == len(values) else None


def _held_before(bottle: int, movement: int) -> Microlitres:
    held = (
        Movement.select(pw.fn.COALESCE(pw.fn.SUM(Movement.change_ul), 0))
        .where((Movement.bottle == bottle) & (Movement.id < movement))
        .tuples()
        .get()[0]
    )
    return Microlitres(int(held))
