"""Making the sample studio's books: the shelf from its tables, then the story line by line.

Everything is booked by the functions that the commands use, in one transaction: all of it or nothing.
"""

import tomllib
from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from importlib.resources import files
from typing import Any

from sample_studio.story import StoryLine, read
from sample_studio.story_booker import StoryBooker
from stock import units
from stock.money import money
from stock.shelf import dosings, lines, places, products, sheets, studio, suppliers, training
from stock.store.connection import connection, writing

_FOLDER = files("sample_studio")
_REFERENCES = ("usual_reducer", "not_with")
"""Fields that name other products, so that they can be written only when all products are there."""


def load(address: str, *, today: date | None = None) -> None:
    """Make the sample studio's books at `address`, its story ending the day before `today`.

    Args:
        address: a file that doesn't exist yet, or a server's URL.
        today: the day that counts as today; the studio's own today when None. Not a future day.
    Raises:
        UllageError: there is something at `address` already.
        BadInput: a line of the story can't be booked; then nothing of it is in the books.
    """
    tables = _table("places.toml")
    studio.make(address, **tables["studio"])
    with connection(), writing():
        settings = studio.settings()
        day = today or settings.today()
        for name, given in tables["place"].items():
            _place(name, given)
        for name, ago in tables["training"].items():
            training.note(name, day + timedelta(ago), today=day)
        goods = _table("products.toml")
        for name, terms in goods["supplier"].items():
            _supplier(name, terms, settings.currency)
        _products(goods, day)
        for sheet in _table("sheets.toml")["sheet"]:
            _sheet(sheet, day)
        StoryBooker(day, settings.time_zone).book(story_lines())


def story_lines() -> Iterator[StoryLine]:
    """The lines of the whole story, its files one after the other."""
    folder = _FOLDER.joinpath("story")
    for file in sorted(folder.iterdir(), key=lambda file: file.name):
        yield from read(file.name, file.read_text(encoding="utf-8").splitlines())


def line_tables(goods: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """Each line's fields as `ullage line add` takes them."""
    for name, line in goods["line"].items():
        yield {key: value for key, value in line.items() if key != "products"} | {"name": name}


def product_tables(goods: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """Each product's own fields as `ullage product add` takes them; those of its line come with the line."""
    for line, common in goods["line"].items():
        for name, own in common["products"].items():
            yield _said(own, common) | {"name": name, "line": line}
    for name, own in goods["product"].items():
        yield _said(own, goods["line"].get(own.get("line", ""), {})) | {"name": name}


def _said(own: Mapping[str, Any], common: Mapping[str, Any]) -> dict[str, Any]:
    """What a product says itself: its sizes are all of them; "" is not known, which is said where its line knows it."""
    said = {
        key: value if value != "" else "unknown" for key, value in own.items() if value != "" or key in common
    }
    if "price" in said and "price" in common:
        said["packs"] = said.pop("price")
    return said


def _table(name: str) -> dict[str, Any]:
    return tomllib.loads(_FOLDER.joinpath(name).read_text(encoding="utf-8"))


def _place(name: str, given: Mapping[str, Any]) -> None:
    temperature = given.get("temperature")
    low, high = units.temperature_range(temperature) if temperature else (None, None)
    limit = given.get("flammable_limit")
    columns = {key: given.get(key) for key in ("kind", "premises", "building", "ignition", "note")}
    places.add(name, **columns, low_mc=low, high_mc=high, **(places.limit(limit) if limit else {}))


def _supplier(name: str, terms: Mapping[str, str], currency: str) -> None:
    priced: dict[str, Any] = {
        f"{key}_minor": money(terms[key], currency)
        for key in ("shipping", "free_shipping_from")
        if key in terms
    }
    suppliers.change(name, lead_time=terms["lead_time"], order_days=terms.get("order_days", ""), **priced)


def _products(goods: Mapping[str, Any], day: date) -> None:
    of_lines = list(line_tables(goods))
    for given in of_lines:
        lines.add({key: value for key, value in given.items() if key not in _REFERENCES})
    tables = list(product_tables(goods))
    for given in tables:
        own = {key: value for key, value in given.items() if key not in _REFERENCES}
        if "discontinued" in own:
            own["discontinued"] = (day + timedelta(int(own["discontinued"]))).isoformat()
        products.add(own)
    for change, several in ((lines.change, of_lines), (products.change, tables)):
        for given in several:
            references = {key: given[key] for key in _REFERENCES if key in given}
            if references:
                change(given["name"], references)


def _sheet(given: Mapping[str, Any], day: date) -> None:
    sheets.add(
        given["product"],
        given["title"],
        day + timedelta(given["revised"]),
        dosings=[dosings.read(text) for text in given.get("dosing", ())],
        withdrawn=given.get("withdrawn", False),
        source=given["source"],
    )
    if "noted" in given:
        products.change(given["product"], given["noted"], since=day + timedelta(given["noted_on"]))
