"""Readers for the fields of records: each accepts what the books accept, and raises the same errors."""

from collections.abc import Callable
from datetime import date
from typing import Any

LISTS = ("packs", "solvent", "not_with")
"""Fields of a product that hold several things in one line."""


def of_product(key: str) -> Callable[[str], str]:
    """A reader of one field of a product, which returns the text if it can be read."""

    def read(text: str) -> str:
        from stock.shelf import entry, products
        from stock.shelf.studio import settings
        from stock.store.connection import connection

        value = entry.parted(text) if key in LISTS else text
        with connection():
            studio = settings()
            entry.read({key: value}, measures=studio.measures, currency=studio.currency, today=studio.today())
            for name in {"usual_reducer": [text], "not_with": value}.get(key, ()):
                products.find(name)
        return text

    return read


def product(text: str) -> str:
    """The full name of the product that part of a name means."""
    from stock.shelf import products
    from stock.store.connection import connection

    with connection():
        return str(products.find(text).name)


def of_place(key: str) -> Callable[[str], str]:
    """A reader of one field of a place."""

    def read(text: str) -> str:
        from stock.shelf import places

        places.checked(places.read({key: text})[0])
        return text

    return read


def of_supplier(key: str) -> Callable[[str], str]:
    """A reader of one of a supplier's terms."""

    def read(text: str) -> str:
        from stock.shelf import suppliers
        from stock.shelf.studio import settings
        from stock.store.connection import connection

        with connection():
            suppliers.read({key: text}, settings().currency)
        return text

    return read


def of_substance(key: str) -> Callable[[str], str]:
    """A reader of one field of a substance."""

    def read(text: str) -> str:
        from stock.shelf import own_substances

        own_substances.read_fields({key: text})
        return text

    return read


def name(what: str) -> Callable[[str], str]:
    """A reader of a name."""

    def read(text: str) -> str:
        from stock.text import name as clean

        return clean(text, what=what)

    return read


def day(text: str) -> date:
    """A calendar day."""
    from stock.shelf.studio import settings
    from stock.store.connection import connection
    from stock.units import day as read

    with connection():
        return read(text, settings().today())


def yes(text: str) -> bool:
    """Yes or no."""
    from stock.shelf.places import yes as read

    return read(text)


def of_range(key: str) -> Callable[[str], str]:
    """A reader of one field of a dosing; the range is checked as a whole when the form is booked."""

    def read(text: str) -> str:
        from stock.shelf import dosings

        fields: dict[str, Any] = {key: text} if key in ("low", "high") else {"low": "1", key: text}
        dosings.of_fields(fields)
        return text

    return read


def volume(text: str) -> int:
    """A volume in the studio's measures, in µL."""
    from stock.bench.amounts import read_volume
    from stock.store.connection import connection

    with connection():
        return read_volume(text)
