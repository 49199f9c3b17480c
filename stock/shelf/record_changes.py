"""Changes of a product's or a supplier's record, as texts, so that they can be taken back."""

from collections.abc import Mapping
from typing import Any

from stock.notation import exactly
from stock.shelf import inheritance, products, record_texts, suppliers
from stock.shelf.entry import parted
from stock.shelf.studio import settings
from stock.store.models import Product, Supplier

LISTS = ("packs", "solvent", "not_with")


@exactly()
def texts(kind: str, number: int) -> dict[str, str]:
    """A record's own texts by field; an inherited field is empty here, so that it stays the line's."""
    if kind == "supplier":
        row = Supplier.get_by_id(number)
        return {
            key: text
            for key, text in record_texts.supplier(row, settings().currency).items()
            if key != "name"
        }
    product = Product.get_by_id(number)
    found = record_texts.product(product.name)
    from_line = inheritance.inherited(product)
    return {key: "" if key in from_line else text for key, text in found.items() if key != "name"}


def between(before: Mapping[str, str], after: Mapping[str, str]) -> tuple[dict[str, str], dict[str, str]]:
    """The fields that differ, before and after."""
    other = [key for key, text in after.items() if before.get(key, "") != text]
    return {key: before.get(key, "") for key in other}, {key: after[key] for key in other}


@exactly()
def restore(kind: str, number: int, now: Mapping[str, str], wanted: Mapping[str, str]) -> None:
    """Set the fields that still equal `now` to `wanted`; the others were corrected since and stay."""
    stands = texts(kind, number)
    given: dict[str, Any] = {key: text for key, text in wanted.items() if stands.get(key, "") == now.get(key)}
    if not given:
        return
    if kind == "supplier":
        suppliers.change(Supplier.get_by_id(number).name, **suppliers.read(given, settings().currency))
        return
    for key in LISTS:
        if key in given:
            given[key] = parted(given[key])
    products.change(Product.get_by_id(number).name, given)
