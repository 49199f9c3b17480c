"""What was sprayed and thrown away of late, read from the books for the cautions about a day's supply and waste."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, timedelta

from stock.cautions.facts import ProductFacts
from stock.cautions.flammable import burning, limit_category
from stock.cautions.waste import waste_of
from stock.shelf.bottles import standing
from stock.store.models import Booking, Bottle, Movement
from stock.store.orm import pw

LOOK_BACK_DAYS = 90
_HEAVIEST_UG_PER_ML = 1_400_000
"""Density of a product whose density isn't known: as heavy as a pigmented paint, the worse case for waste."""


def day_use_ul(products: Mapping[int, ProductFacts], day: date) -> int | None:
    """Microlitres of flammable stock poured on the busiest of the last 90 days; None without any pour of it.

    Args:
        products: all products, by number.
        day: the last day looked at.
    """
    counts = {
        product.id for product in products.values() if limit_category(burning(product), product) is not None
    }
    by_day: dict[date, int] = defaultdict(int)
    for poured_on, product, taken_ul in _taken(["poured"], day - timedelta(days=LOOK_BACK_DAYS), day):
        if product in counts:
            by_day[poured_on] += taken_ul
    return max(by_day.values(), default=None)


def waste_mg(products: Mapping[int, ProductFacts], day: date) -> int:
    """Milligrams of ignitable or listed waste thrown away or washed out in the calendar month of `day`."""
    found = 0
    for _, product, taken_ul in _taken(["discarded", "washed"], day.replace(day=1), day):
        if waste_of(products[product]).ignitable:
            density = products[product].density_ug_per_ml or _HEAVIEST_UG_PER_ML
            found += taken_ul * density // 1_000_000
    return found


def _taken(kinds: Iterable[str], first: date, last: date) -> Iterable[tuple[date, int, int]]:
    """Day, product and microlitres of what left bottles in these ways, summed; what was undone left out."""
    query = (
        Movement.select(Booking.day, Bottle.product, pw.fn.SUM(Movement.change_ul))
        .join(Booking)
        .switch(Movement)
        .join(Bottle)
        .where(Movement.kind.in_(list(kinds)) & Booking.day.between(first, last))
        .where(standing(Movement.booking, last))
        .group_by(Booking.day, Bottle.product)
    )
    return ((on, product, -int(change)) for on, product, change in query.tuples())
