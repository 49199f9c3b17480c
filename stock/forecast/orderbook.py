"""Orders and planned uses read from the books: what is still to come, past lead times, planned needs."""

from collections.abc import Iterable
from datetime import date

from stock.forecast.planned import PlannedNeed
from stock.named_tuples import NamedTuple
from stock.shelf.past_shelf import in_force
from stock.store.models import Booking, Job, Mix, Order, OrderEvent, OrderLine, PlannedUse, Product, Supplier
from stock.store.orm import pw
from stock.units import Microlitres


class OpenLine(NamedTuple):
    """One line of an order and what was received and cancelled of it; volumes in microlitres."""

    line: int
    order: int
    ordered_on: date
    expected_on: date | None
    supplier_id: int | None
    supplier: str | None
    product_id: int
    product: str
    size_ul: Microlitres
    packs: int
    received: int
    cancelled: int
    price_minor: int | None

    @property
    def open(self) -> int:
        """Packs still to come."""
        return max(self.packs - self.received - self.cancelled, 0)


def order_lines(day: date, undos_until: date | None = None, *, order: int | None = None) -> list[OpenLine]:
    """All lines of orders in force on that day, with what was received and cancelled of them by then.

    Call inside `connection()`. Oldest order first.

    Args:
        day: the day.
        undos_until: undos after that day are ignored; None: all undos count.
        order: only this order's.
    """
    query = (
        OrderLine.select(
            OrderLine.id, OrderLine.order, Booking.day, Order.expected_on, Order.supplier, Supplier.name,
            OrderLine.product, Product.name, OrderLine.size_ul, OrderLine.packs, OrderLine.price_minor,
        )
        .join(Order)
        .join(Booking, on=(Order.id == Booking.id))
        .switch(Order)
        .left_outer_join(Supplier)
        .switch(OrderLine)
        .join(Product)
        .where((Booking.day <= day) & in_force(Booking.id, undos_until))
        .order_by(OrderLine.order, OrderLine.id)
    )  # fmt: skip
    if order is not None:
        query = query.where(OrderLine.order == order)
    came = _events(day, undos_until)
    return [
        OpenLine(*row[:10], *came.get(row[0], (0, 0)), row[10])  # type: ignore[call-arg]
        for row in query.tuples()
    ]


def _events(day: date, undos_until: date | None) -> dict[int, tuple[int, int]]:
    """Received packs and cancelled packs, by line."""
    query = (
        OrderEvent.select(OrderEvent.line, OrderEvent.cancelled, pw.fn.SUM(OrderEvent.packs))
        .join(Booking)
        .where((Booking.day <= day) & in_force(OrderEvent.booking, undos_until))
        .group_by(OrderEvent.line, OrderEvent.cancelled)
    )
    found: dict[int, tuple[int, int]] = {}
    for line, cancelled, packs in query.tuples():
        came, gone = found.get(line, (0, 0))
        found[line] = (came, gone + int(packs)) if cancelled else (came + int(packs), gone)
    return found


def lead_days(day: date, undos_until: date | None = None) -> dict[int | None, list[int]]:
    """Days from order to delivery, by supplier; each delivery of an order counts once."""
    came = Booking.alias()
    query = (
        OrderEvent.select(Order.supplier, Booking.day, came.day)
        .join(OrderLine)
        .join(Order)
        .join(Booking, on=(Order.id == Booking.id))
        .join(came, on=(OrderEvent.booking == came.id))
        .where(
            ~OrderEvent.cancelled
            & (came.day <= day)
            & in_force(Booking.id, undos_until)
            & in_force(came.id, undos_until)
        )
        .group_by(Order.supplier, Booking.day, came.day, Order.id)
        .order_by(Order.id, came.day)
    )
    found: dict[int | None, list[int]] = {}
    for supplier, ordered, received in query.tuples():
        found.setdefault(supplier, []).append((received - ordered).days)
    return found


def plans(day: date, undos_until: date | None = None) -> dict[int, list[PlannedNeed]]:
    """Planned uses in force on that day, by product, whether they were mixed yet or not."""
    query = (
        PlannedUse.select(
            PlannedUse.product,
            PlannedUse.volume_ul,
            Booking.day,
            PlannedUse.needed_on,
            PlannedUse.job,
            Job.closed_on,
        )
        .join(Booking, on=(PlannedUse.id == Booking.id))
        .switch(PlannedUse)
        .left_outer_join(Job)
        .where((Booking.day <= day) & in_force(Booking.id, undos_until))
        .order_by(PlannedUse.id)
    )
    found: dict[int, list[PlannedNeed]] = {}
    for product, volume, made_on, needed_on, job, closed_on in query.tuples():
        over = closed_on is not None and closed_on <= day
        found.setdefault(product, []).append(PlannedNeed(volume, made_on, needed_on, job, over))
    return found


def jobs_of(mixes: Iterable[int]) -> dict[int, int]:
    """The job of each of these mixes that has one."""
    numbers = list(mixes)
    if not numbers:
        return {}
    query = Mix.select(Mix.id, Mix.job).where(Mix.job.is_null(False) & Mix.id.in_(numbers))
    return dict(query.tuples())
