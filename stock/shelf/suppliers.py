"""Who sells, and on what terms."""

from typing import Any

from stock.errors import Ambiguous, BadInput, NotFound
from stock.store.connection import connection, writing
from stock.store.models import Supplier
from stock.text import folded
from stock.text import name as clean_name

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def named(name: str) -> Supplier:
    """The supplier of that name, made if the books have none; call it inside `writing()`."""
    cleaned = clean_name(name, what="supplier's name")
    row = Supplier.get_or_none(Supplier.name_key == folded(cleaned))
    return row or Supplier.create(name=cleaned, name_key=folded(cleaned))


def find(name: str) -> Supplier:
    """The supplier that a name or a part of one means.

    Raises:
        NotFound, Ambiguous: none or several fit; the message lists them.
    """
    wanted = folded(name)
    with connection():
        rows = list(Supplier.select().order_by(Supplier.name_key))
    fitting = [row for row in rows if row.name_key == wanted] or [
        row for row in rows if wanted in row.name_key
    ]
    if len(fitting) == 1:
        return fitting[0]
    names = ", ".join(row.name for row in (fitting or rows)[:8]) or "none yet"
    if fitting:
        raise Ambiguous(f"several suppliers fit {name!r}: {names}", remedy="Write more of the name")
    raise NotFound(f"no supplier is called {name!r}", remedy=f"The books have: {names}")


def change(name: str, **terms: Any) -> None:
    """Set a supplier's terms; a supplier not known yet is made.

    Args:
        name: the supplier.
        terms: any of `lead_time` ("7d"), `order_days` ("mon thu"), `shipping_minor`,
            `free_shipping_from_minor`.
    Raises:
        BadInput: an order day that is no weekday.
    """
    days = terms.get("order_days")
    if days:
        strange = [day for day in days.split() if day not in WEEKDAYS]
        if strange:
            raise BadInput(f"{strange[0]!r} is no weekday", remedy=f"Write some of {' '.join(WEEKDAYS)}")
    with connection(), writing():
        supplier = named(name)
        if terms:
            Supplier.update(**terms).where(Supplier.id == supplier.id).execute()
