"""Suppliers and their terms."""

from collections.abc import Mapping
from typing import Any

from stock import units
from stock.errors import BadInput
from stock.language import _
from stock.remedies import Do, Remedy
from stock.shelf import names
from stock.store.connection import connection, writing
from stock.store.models import Supplier
from stock.text import plain

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def named(name: str) -> Supplier:
    """The supplier of that name, made if the books have none; call it inside `writing()`."""
    supplier: Supplier = names.found_or_made(Supplier, "supplier", name)
    return supplier


def find(name: str) -> Supplier:
    """The supplier that a name or a part of one means.

    Raises:
        NotFound, Ambiguous: none or several fit; the message lists them.
    """
    return names.find(
        everything(),
        name,
        what=_("supplier"),
        several=_("suppliers"),
        remedy=Remedy(_("Add it with "), Do("supplier change", "NAME")),
    )


def everything() -> list[Supplier]:
    """All suppliers by name."""
    with connection():
        return list(Supplier.select().where(~Supplier.taken_back).order_by(Supplier.name_key))


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
            _("{strange!r} is no weekday", strange=plain(strange[0], 20)),
            remedy=_("Write some of {weekdays}", weekdays=" ".join(WEEKDAYS)),
        )
    return " ".join(day for day in WEEKDAYS if day in words)


def add(name: str, **terms: Any) -> None:
    """Add a supplier with its terms.

    Raises:
        UllageError: there is one of that name.
        BadInput: as for `change`.
    """
    with connection(), writing():
        columns = names.columns("supplier", name)
        with names.free(Supplier, _("supplier"), columns, remedy=_("Correct that one instead")):
            Supplier.create(**columns)
        change(name, **terms)


def change(name: str, *, rename: str | None = None, **terms: Any) -> None:
    """Set a supplier's terms; a new supplier is made.

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
            terms |= names.columns("supplier", rename)
        if terms:
            with names.free(Supplier, _("supplier"), terms, remedy=_("Nothing was changed"), but=supplier.id):
                Supplier.update(**terms).where(Supplier.id == supplier.id).execute()
