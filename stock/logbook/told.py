"""What a booking did besides moving paint: bottles opened, moved or frozen, mixes closed."""

from collections.abc import Sequence

from stock.shelf.bottles import label_of
from stock.store.models import Bottle, BottleChange, Close, Place, Product

CHANGES = ("opened_on", "frozen_on", "discarded_on", "place")


def told(bookings: Sequence[int]) -> dict[int, str]:
    """Words for each of these bookings that has any; three queries at most.

    Args:
        bookings: numbers of bookings that moved no paint, or that closed a mix.
    """
    if not bookings:
        return {}
    said = _closed(bookings)
    changes = (
        BottleChange.select(
            BottleChange.booking, BottleChange.field, BottleChange.after, Bottle.id, Bottle.label, Product.name
        )
        .join(Bottle)
        .join(Product)
        .where(BottleChange.booking.in_(list(bookings)))
        .order_by(BottleChange.id)
        .tuples()
    )
    places: dict[str, str] | None = None
    for booking, field, after, bottle, label, product in changes:
        words = f"{product}, bottle {label or label_of(bottle)}"
        if field == "place" and after is not None:
            if places is None:
                places = {str(number): name for number, name in Place.select(Place.id, Place.name).tuples()}
            words += f", to {places.get(after, after)}"
        said[booking] = "; ".join(filter(None, (said.get(booking), words if field in CHANGES else "")))
    return said


def _closed(bookings: Sequence[int]) -> dict[int, str]:
    closes = Close.select(Close.id, Close.mix, Close.outcome).where(Close.id.in_(list(bookings))).tuples()
    return {number: f"mix {mix}, {outcome}" for number, mix, outcome in closes}
