"""A spreadsheet of products, such as a colour chart or a price list: each row is a product, or one of its sizes.

No bottle comes of it. What the books say already stays as it is, but for sizes and prices, which are added.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import partial
from typing import Any

from stock import units
from stock.errors import BadInput
from stock.exchange.figures import Figures
from stock.exchange.stock_rows import ALSO_CALLED, role_of
from stock.grammar import in_full, plain_figure
from stock.remedies import Option, Remedy
from stock.shelf import entry, products, record_texts
from stock.store.models import Product
from stock.text import folded, plain
from stock.text import name as clean_name

FIGURES = (
    "density", "drops_per_ml", "water", "solids", "flash_point", "boiling_point", "opened_life", "sealed_life",
    "lead_time",
)  # fmt: skip
"""Fields whose texts hold a figure, maybe with a decimal comma, or with the unit in the head."""
MOST_KEPT = 200


@dataclass(frozen=True, slots=True)
class ProductRow:
    """One row, read: the product's fields as `entry.read` takes them, and one of its sizes with its price."""

    name: str
    given: Mapping[str, str]
    pack: str | None


def read(cell: Mapping[str, str], figures: Figures) -> ProductRow:
    """Read one row.

    Args:
        cell: the row's cells by our field; empty ones are not given.
        figures: how its figures are written.
    Raises:
        BadInput: the first cell that can't be read, and why.
    """
    if "product" not in cell:
        raise BadInput("the product is empty", remedy="Fill it in, or take the row out")
    given = {key: text for key, text in cell.items() if key not in ("product", "size", "price")}
    for key in FIGURES:
        if key in given:
            given[key] = figures.plain(key, given[key], partial(_checked, key, figures=figures))
    if "role" in given:
        word = folded(given["role"])
        given["role"] = role_of(ALSO_CALLED.get(word, word))
    for key, text in given.items():
        if key not in FIGURES:
            try:
                _checked(key, text, figures=figures)
            except BadInput as error:
                error.column = key
                raise
    return ProductRow(clean_name(cell["product"], what="product name"), given, _pack(cell, figures))


def _checked(key: str, text: str, *, figures: Figures) -> str:
    """The text, if it can be read as that field."""
    if key == "supplier":
        return clean_name(text, what="supplier's name")
    _read({key: text}, figures)
    return text


def _read(given: Mapping[str, Any], figures: Figures) -> None:
    today = figures.today()
    entry.read(given, measures=figures.measures, currency=figures.currency, today=today)


def _pack(cell: Mapping[str, str], figures: Figures) -> str | None:
    """A size and its price as `60 ml=7.90`."""
    if "size" not in cell:
        if "price" in cell:
            error = BadInput(
                "it has a price and no size",
                remedy=Remedy("Fill in the size, or leave the prices out ", Option("map", "price=-")),
            )
            error.column = "size"
            raise error
        return None
    size_ul = figures.volume("size", cell["size"])
    size = f"{in_full(Fraction(size_ul, 1_000))} ml"
    if "price" not in cell:
        return size
    digits = units.minor_digits(figures.currency)
    return f"{size}={plain_figure(Fraction(figures.money('price', cell['price']), 10**digits))}"


@dataclass(slots=True)
class Range:
    """The products of a file, gathered from their rows: new ones, and what is added to those that are known."""

    fresh: dict[str, dict[str, Any]] = field(default_factory=dict)
    changed: dict[str, dict[str, Any]] = field(default_factory=dict)
    kept: list[dict[str, str]] = field(default_factory=list)
    _said: dict[str, dict[str, str]] = field(default_factory=dict)
    _known: dict[str, Product] = field(default_factory=dict)

    def load(self) -> None:
        """Read which products the books have."""
        self._known = {row.name_key: row for row in Product.select()}

    def accept(self, row: ProductRow, role: str | None, figures: Figures) -> None:
        """Add one row.

        Args:
            row: what it says.
            role: the role of new products whose row and line say none.
            figures: how the file is read.
        Raises:
            BadInput: it contradicts a row above it, its new product has no role, or it names an unknown product.
        """
        key = folded(row.name)
        said = self._said.get(key, {})
        for field_name, text in row.given.items():
            if said.get(field_name, text) != text:
                raise BadInput(
                    f"the {field_name.replace('_', ' ')} of {row.name} is {plain(said[field_name], 30)} in a row above",
                    remedy="Correct one of them",
                )
        known = self._known.get(key)
        if known is not None:
            self._add_to(known, row, said)
        else:
            self._make(row, role, figures)
        self._said[key] = {**said, **row.given}

    def _make(self, row: ProductRow, role: str | None, figures: Figures) -> None:
        key = folded(row.name)
        before = self.fresh.get(key, {"name": row.name})
        given = {**before, **row.given}
        given["size"], given["price"] = _with_pack(before, row.pack)
        if "role" not in given and products.role_of_line(given.get("line")) is None:
            if role is None:
                raise BadInput(
                    f"the role of {row.name} isn't known",
                    remedy=Remedy("Add a column role, or give it ", Option("role", "paint")),
                )
            given["role"] = role
        self._refuse_strange(row)
        _read(given, figures)
        self.fresh[key] = given

    def _add_to(self, known: Product, row: ProductRow, said: Mapping[str, str]) -> None:
        """Note what the books don't say of a product yet; what they say otherwise stays, and is told."""
        before = self.changed.get(known.name, {})
        given: dict[str, Any] = dict(before)
        given["size"], given["price"] = _with_pack(before, row.pack)
        fields = {key: text for key, text in row.given.items() if key not in said}
        stands = record_texts.product(known.name) if fields else {}
        kept = []
        for key, text in fields.items():
            if not stands.get(key):
                given[key] = text
            elif folded(stands[key]) != folded(text):
                kept.append({"product": known.name, "field": key, "books": stands[key], "file": text})
        self._refuse_strange(row)
        self.kept += kept[: MOST_KEPT - len(self.kept)]
        changes = {key: value for key, value in given.items() if value}
        if changes:
            self.changed[known.name] = changes

    def _refuse_strange(self, row: ProductRow) -> None:
        """A usual reducer must be a product of the books, or stand in a row above."""
        reducer = row.given.get("usual_reducer")
        if reducer is not None and folded(reducer) not in self.fresh:
            products.find(reducer, roles=("reducer", "cleaner"))

    def book(self) -> dict[str, Any]:
        """Make and change the products; call it inside `writing()`."""
        for given in self.fresh.values():
            products.add({key: value for key, value in given.items() if value})
        for name, given in self.changed.items():
            products.change(name, given)
        return {"products": len(self.fresh), "changed": len(self.changed)}


def _with_pack(before: Mapping[str, Any], pack: str | None) -> tuple[list[str], list[str]]:
    """The sizes without and with a price, this one added."""
    sizes, prices = list(before.get("size", ())), list(before.get("price", ()))
    if pack is not None:
        (prices if "=" in pack else sizes).append(pack)
    return sizes, prices
