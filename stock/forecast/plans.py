"""The planned uses in force, for lists."""

from dataclasses import dataclass
from datetime import date

from stock import clock
from stock.forecast.planned import AFTER
from stock.ledger import zone
from stock.shelf.past_shelf import in_force
from stock.store.connection import connection
from stock.store.models import Booking, Job, PlannedUse, Product
from stock.units import Microlitres


@dataclass(frozen=True, slots=True)
class PlannedView:
    """One planned use; the volume in microlitres. `over` says that it is past or its job closed."""

    number: int
    product: str
    volume_ul: Microlitres
    made_on: date
    needed_on: date
    job: str | None
    over: bool


def listed(as_of: date | None = None) -> list[PlannedView]:
    """The planned uses in force on a day, soonest first, then those that are over."""
    with connection():
        day = as_of or clock.today(zone())
        query = (
            PlannedUse.select(
                PlannedUse.id, Product.name, PlannedUse.volume_ul, Booking.day, PlannedUse.needed_on, Job.name,
                Job.closed_on,
            )
            .join(Booking, on=(PlannedUse.id == Booking.id))
            .switch(PlannedUse)
            .join(Product)
            .switch(PlannedUse)
            .left_outer_join(Job)
            .where((Booking.day <= day) & in_force(Booking.id, as_of))
            .order_by(PlannedUse.needed_on, PlannedUse.id)
        )  # fmt: skip
        rows = list(query.tuples())
    views = [
        PlannedView(*row[:6], over=_over(row[4], row[5], row[6], day))  # type: ignore[misc]
        for row in rows
    ]
    return sorted(views, key=lambda view: view.over)


def _over(needed_on: date, job: str | None, closed_on: date | None, day: date) -> bool:
    if job is not None:
        return closed_on is not None and closed_on <= day
    return needed_on + AFTER < day
