"""Changing a planned use: the old one is undone and the new one booked, both or neither."""

from datetime import date

from stock.forecast import orders
from stock.ledger import Answer
from stock.logbook.undo import undo
from stock.store.connection import connection, writing
from stock.units import Microlitres


def change_plan(
    number: int,
    product: str,
    volume_ul: Microlitres,
    needed_on: date,
    *,
    job: str | None = None,
    key: str | None = None,
) -> Answer:
    """Replace a planned use by another.

    Args:
        number: the planned use to replace.
        product, volume_ul, needed_on, job: the new one, as for `orders.plan_use`.
        key: the caller's key; a repeat books nothing.
    Returns:
        The answer of `orders.plan_use`.
    Raises:
        BadInput: a day that has passed, or the old one was taken back already; nothing is changed.
        NotFound, Ambiguous: the planned use, or the product.
    """
    with connection(), writing():
        undo("planned_use", number, key=f"{key}-old" if key is not None else None)
        return orders.plan_use(product, volume_ul, needed_on, job=job, key=key)
