"""Who sells, and on what terms."""

from collections.abc import Mapping
from typing import Any

from stock import units
from stock.errors import Ambiguous, BadInput, NotFound, UllageError
from stock.store.connection import connection, writing
from stock.store.models import Supplier
from stock.text import folded, plain
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


def everything() -> list[Supplier]:
    """All suppliers by name."""
    with connection():
        return list(Supplier.select().order_by(Supplier.name_key))


def read(given: Mapping[str, str | None], currency: str) -> dict[str, Any]:
    """Read a supplier's terms.

    Args:
        given: texts by `lead_time order_days shipping free_shipping_from`; None was not given, an empty one
            is not known.
        currency: the studio's.
    Returns:
        The terms for `change`.
    Raises:
        BadInput: a term that can't be read.
    """
    terms: dict[str, Any] = {}
    for key, text in given.items():
        if text is None:
            continue
        if key == "lead_time":
            terms[key] = str(units.duration(text, zero=True)) if text.strip() else None
        elif key == "order_days":
            terms[key] = _days(text)
        elif key in ("shipping", "free_shipping_from"):
            terms[f"{key}_minor"] = units.money(text, currency) if text.strip() else None
    return terms


def _days(text: str) -> str:
    words = text.lower().replace(",", " ").split()
    strange = [word for word in words if word not in WEEKDAYS]
    if strange:
        raise BadInput(
            f"{plain(strange[0], 20)!r} is no weekday", remedy=f"Write some of {' '.join(WEEKDAYS)}"
        )
    return " ".join(day for day in WEEKDAYS if day in words)


def add(name: str, **terms: Any) -> None:
    """Add a supplier with its terms.

    Raises:
        UllageError: there is one of that name.
        BadInput: as for `change`.
    """
    with connection(), writing():
        taken = Supplier.get_or_none(Supplier.name_key == folded(clean_name(name, what="supplier's name")))
        if taken is not None:
            raise UllageError(
                f"there is a supplier called {taken.name} already", remedy="Correct that one instead"
            )
        change(name, **terms)


def change(name: str, *, rename: str | None = None, **terms: Any) -> None:
    """Set a supplier's terms; a supplier not known yet is made.

    Args:
        name: the supplier.
        rename: its new name.
        terms: any of `lead_time` ("7d"), `order_days` ("mon thu"), `shipping_minor`,
            `free_shipping_from_minor`.
    Raises:
        BadInput: an order day that is no weekday.
        UllageError: another supplier has the new name.
    """
    if terms.get("order_days"):
        terms["order_days"] = _days(terms["order_days"])
    with connection(), writing():
        supplier = named(name)
        if rename is not None:
            cleaned = clean_name(rename, what="supplier's name")
            taken = Supplier.get_or_none(
                (Supplier.name_key == folded(cleaned)) & (Supplier.id != supplier.id)
            )
            if taken is not None:
                raise UllageError(
                    f"there is a supplier called {taken.name} already", remedy="Nothing was changed"
                )
            terms |= {"name": cleaned, "name_key": folded(cleaned)}
        if terms:
            Supplier.update(**terms).where(Supplier.id == supplier.id).execute()
