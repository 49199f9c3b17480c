"""The use of the studio's products, read from the books: pours of mixes, and washes, that were not undone.

Discards, corrections and decants are not use, and counts only where they say that something was not logged.
"""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np

from stock.forecast.use_history import WINDOW_DAYS, Days, Floats
from stock.shelf.past_shelf import in_force
from stock.store.models import Booking, Bottle, Count, Movement, Step
from stock.store.table import listed

USES = ("poured", "washed")


class Uses(NamedTuple):
    """One row for each product that a mix (or wash) used, by product and then by day.

    Attributes:
        product, mix: numbers in the books.
        day: ordinals in the studio's calendar.
        volume_ul: microlitres, above zero.
    """

    product: Days
    mix: Days
    day: Days
    volume_ul: Floats

    def of(self, product: int) -> "Uses":
        """The rows of one product."""
        start, end = np.searchsorted(self.product, [product, product + 1])
        rows = slice(int(start), int(end))
        return Uses(self.product[rows], self.mix[rows], self.day[rows], self.volume_ul[rows])


def uses(day: date, *, undos_until: date | None = None, product: int | None = None) -> Uses:
    """What was used in the three years up to `day`, of all products or of one; call inside `connection()`.

    A step belongs to its mix and to the mix's first day.

    Args:
        day: the last day of use.
        undos_until: what was undone after that day still counts as it did then; None: all undos are known.
        product: only this one's.
    """
    # One row a day with its movements in one text: reading a row for each movement would take three times as long.
    not_logged = Count.select(Count.id).where(Count.reason == "not_logged")
    query = (
        Movement.select(
            Booking.day, listed(Movement.bottle), listed(Movement.booking), listed(Movement.change_ul)
        )
        .join(Booking)
        .where(
            (Movement.kind.in_(USES) | Movement.booking.in_(not_logged))
            & (Booking.day > day - timedelta(days=WINDOW_DAYS))
            & (Booking.day <= day)
            & in_force(Booking.id, undos_until)
        )
        .group_by(Booking.day)
    )
    bottles = Bottle.select(Bottle.id, Bottle.product)
    if product is not None:
        bottles = bottles.where(Bottle.product == product)
        query = query.where(Movement.bottle.in_([number for number, _ in bottles.tuples()]))
    rows = list(query.tuples())
    if not rows:
        return _grouped(*np.zeros((4, 0), np.int64))
    days = np.array([on.toordinal() for on, *_ in rows], np.int64)
    bottle, booking, change_ul = (_figures([row[at] for row in rows]) for at in (1, 2, 3))
    many = [row[1].count(",") + 1 for row in rows]
    return _grouped(
        _looked_up(bottle, dict(bottles.tuples())),
        _looked_up(booking, dict(Step.select(Step.id, Step.mix).tuples())),
        np.repeat(days, many),
        -change_ul,
    )


def _figures(texts: Iterable[str]) -> Days:
    """The figures in texts such as `12,7,-5`, in one array."""
    return np.fromstring(",".join(texts), np.int64, sep=",")


def _looked_up(numbers: Days, table: Mapping[int, int]) -> Days:
    """Each number's entry in the table; the number itself where it has none."""
    found = np.arange(max(int(numbers.max()), max(table, default=0)) + 1)
    found[list(table.keys())] = list(table.values())
    return np.asarray(found[numbers])


def _grouped(product: Days, mix: Days, day: Days, volume: Days) -> Uses:
    """One row for each product of each mix, on the mix's first day."""
    if not len(product):
        return Uses(product, mix, day, volume.astype(float))
    order = np.lexsort((mix, product))
    product, mix, day, volume = product[order], mix[order], day[order], volume[order]
    first = np.flatnonzero((np.diff(product, prepend=-1) != 0) | (np.diff(mix, prepend=-1) != 0))
    volumes = np.add.reduceat(volume, first)
    days = np.minimum.reduceat(day, first)
    kept = volumes > 0
    products, mixes, days = product[first][kept], mix[first][kept], days[kept]
    by_day = np.lexsort((mixes, days, products))
    return Uses(products[by_day], mixes[by_day], days[by_day], volumes[kept][by_day].astype(float))
