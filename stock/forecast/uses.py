"""The uses of the studio's products as the books tell them: pours of mixes and washes that stand.

Discards, counts, corrections and decants are no use; a mix that was undone was none either.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from stock.forecast.habit import WINDOW_DAYS, Days, Floats
from stock.shelf.standing import standing
from stock.store.models import Booking, Bottle, Movement, Step, database
from stock.store.orm import pw

USES = ("poured", "washed")


@dataclass(frozen=True, slots=True)
class Uses:
    """One row for what one mix (or wash) took of one product, by product and then by day.

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


def uses(day: date, *, known: date | None = None, product: int | None = None) -> Uses:
    """What was used in the three years up to `day`, of all products or of one; call inside `connection()`.

    A step belongs to its mix and to the mix's first day.

    Args:
        day: the last day of use.
        known: what was undone after that day still counts as it did then; None: all undos are known.
        product: only this one's.
    """
    query = (
        Movement.select(
            Bottle.product,
            pw.fn.COALESCE(Step.mix, Movement.booking),
            pw.fn.REPLACE(Booking.day, "-", "").cast("INTEGER"),
            Movement.change_ul * -1,  # a bare minus means "descending" to Peewee
        )
        .join(Bottle)
        .switch(Movement)
        .join(Booking, on=(Movement.booking == Booking.id))
        .left_outer_join(Step, on=(Step.id == Movement.booking))
        .where(
            Movement.kind.in_(USES)
            & (Booking.day > day - timedelta(days=WINDOW_DAYS))
            & (Booking.day <= day)
            & standing(Booking.id, known)
        )
    )
    if product is not None:
        query = query.where(Bottle.product == product)
    # Rows as the driver gives them: a hundred thousand field conversions would cost most of a second.
    statement, values = query.sql()
    return _grouped(database.execute_sql(statement, values).fetchall())


def _grouped(rows: Iterable[tuple[int, int, int, int]]) -> Uses:
    table = np.array(list(rows), np.int64).reshape(-1, 4)
    order = np.lexsort((table[:, 1], table[:, 0]))
    product, mix, written, volume = table[order].T
    if not len(product):
        return Uses(product, mix, written, volume.astype(float))
    first = np.flatnonzero(np.r_[True, (product[1:] != product[:-1]) | (mix[1:] != mix[:-1])])
    volumes = np.add.reduceat(volume, first)
    days = _ordinals(np.minimum.reduceat(written, first))
    kept = volumes > 0
    products, mixes, days = product[first][kept], mix[first][kept], days[kept]
    by_day = np.lexsort((mixes, days, products))
    return Uses(products[by_day], mixes[by_day], days[by_day], volumes[kept][by_day].astype(float))


def _ordinals(written: Days) -> Days:
    """Days written as 20260301 as ordinals."""
    each, where = np.unique(written, return_inverse=True)
    known = [date(int(day) // 10_000, int(day) // 100 % 100, int(day) % 100).toordinal() for day in each]
    return np.array(known, np.int64)[where]
