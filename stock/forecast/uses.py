"""The use of the studio's products, read from the books: pours of mixes, and washes, that were not undone.

Discards, corrections and decants are not use, and counts only where they say that something was not logged.
"""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta

import numpy as np

from stock.forecast.use_history import WINDOW_DAYS, Days, Floats
from stock.named_tuples import NamedTuple
from stock.shelf.past_shelf import in_force
from stock.store.models import Booking, Bottle, Count, Movement, Step
from stock.store.orm import pw
from stock.store.table import listed

USES = ("poured", "washed")
_ORDINALS = 1 << 22
"""More than any day's ordinal."""


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
        undos_until: undos after that day are ignored; None: all undos count.
        product: only this one's.
    """
    # Figures come as texts, a row for each day and one for all movements, and are joined here: reading a row for each
    # movement would take three times as long, and joining the tables there half as long again.
    not_logged = Count.select(Count.id).where(Count.reason == "not_logged")
    bookings = Booking.select(Booking.day, listed(Booking.id)).where(
        (Booking.day > day - timedelta(days=WINDOW_DAYS))
        & (Booking.day <= day)
        & in_force(Booking.id, undos_until)
    )
    moves = (
        Movement.select(listed(Movement.bottle), listed(Movement.booking), listed(Movement.change_ul))
        .where(Movement.kind.in_(USES) | Movement.booking.in_(not_logged))
        .having(pw.fn.COUNT(Movement.id) > 0)  # an empty list would still give a text
    )
    bottles = Bottle.select(Bottle.id, Bottle.product)
    if product is not None:
        bottles = bottles.where(Bottle.product == product)
        here = Movement.bottle.in_([number for number, _ in bottles.tuples()])
        bookings = bookings.where(Booking.id.in_(Movement.select(Movement.booking).where(here)))
        moves = moves.where(here)
    dated = list(bookings.group_by(Booking.day).tuples())
    numbers = _figures(listing for _, listing in dated)
    if not len(numbers):
        return _grouped(*np.zeros((4, 0), np.int64))
    oldest = Movement.select(pw.fn.MIN(Movement.id)).where(Movement.booking >= int(numbers.min()))
    listings = list(moves.where(Movement.id >= oldest).tuples())
    if not listings:
        return _grouped(*np.zeros((4, 0), np.int64))
    bottle, booking, change_ul = map(_figures, zip(*listings, strict=True))
    dates = np.zeros(max(int(numbers.max()), int(booking.max(initial=0))) + 1, np.int64)
    many = [listing.count(",") + 1 for _, listing in dated]
    dates[numbers] = np.repeat([on.toordinal() for on, _ in dated], many)
    days = dates[booking]
    kept = days > 0
    return _grouped(
        _joined(bottle[kept], dict(bottles.tuples())),
        _joined(booking[kept], dict(Step.select(Step.id, Step.mix).tuples())),
        days[kept],
        -change_ul[kept],
    )


def _figures(texts: Iterable[str | None]) -> Days:
    """The figures in texts such as `12,7,-5`, in one array; no text is no figure."""
    text = ",".join(each for each in texts if each)
    return np.fromstring(text, np.int64, sep=",") if text else np.zeros(0, np.int64)


def _joined(numbers: Days, table: Mapping[int, int]) -> Days:
    """Each number's entry in the table; the number itself if it has none."""
    found = np.arange(max(int(numbers.max(initial=0)), max(table, default=0)) + 1)
    found[list(table.keys())] = list(table.values())
    return np.asarray(found[numbers])


def _grouped(product: Days, mix: Days, day: Days, volume: Days) -> Uses:
    """One row for each product of each mix, on the mix's first day."""
    if not len(product):
        return Uses(product, mix, day, volume.astype(float))
    # Stable sorts of what is nearly in order, and of few and small numbers, take a fifth of a sort by both at once.
    by_mix = np.argsort(mix, kind="stable")
    small = product.astype(np.min_scalar_type(int(product.max())))
    order = by_mix[np.argsort(small[by_mix], kind="stable")]
    product, mix, day, volume = product[order], mix[order], day[order], volume[order]
    first = np.flatnonzero((np.diff(product, prepend=-1) != 0) | (np.diff(mix, prepend=-1) != 0))
    volumes = np.add.reduceat(volume, first)
    days = np.minimum.reduceat(day, first)
    kept = volumes > 0
    products, mixes, days = product[first][kept], mix[first][kept], days[kept]
    by_day = np.argsort(products * _ORDINALS + days, kind="stable")
    return Uses(products[by_day], mixes[by_day], days[by_day], volumes[kept][by_day].astype(float))
