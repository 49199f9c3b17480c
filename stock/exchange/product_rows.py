"""A spreadsheet of products, such as a colour chart or a price list: each row is a product, or one of its sizes.

It brings no bottles. Facts that the books don't have yet are added, sizes and prices too; differing ones raise a
question.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from stock import units
from stock.errors import BadInput
from stock.exchange import product_cells
from stock.exchange.bad_cells import RowCells
from stock.exchange.figures import Figures
from stock.exchange.new_names import NewNames
from stock.exchange.product_cells import value_of
from stock.exchange.product_facts import RowFacts, refuse_contradiction
from stock.grammar import pointed
from stock.language import _
from stock.logbook.import_records import ImportRecords
from stock.remedies import Option, Remedy
from stock.shelf import entry, products, record_changes
from stock.store.models import Product
from stock.text import folded
from stock.text import name as clean_name


@dataclass(frozen=True, slots=True)
class ProductRow:
    """One row, read: the product's fields as `entry.read` takes them, and one of its sizes with its price."""

    name: str
    given: Mapping[str, Any]
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
        raise BadInput(_("the product is empty"), remedy=_("Fill it in, or take the row out"))
    row = RowCells()
    name = row.read("product", "", clean_name, cell["product"], what=_("product name"))
    given = row.read("product", {}, product_cells.read, cell, figures)
    pack = row.read("size", None, _pack, cell, figures)
    row.end()
    return ProductRow(name, given, pack)


def _pack(cell: Mapping[str, str], figures: Figures) -> str | None:
    """A size and its price as `60 ml=7.90`."""
    if "size" not in cell:
        if "price" in cell:
            error = BadInput(
                _("it has a price and no size"),
                remedy=Remedy(_("Fill in the size, or leave the prices out "), Option("map", "price=-")),
            )
            error.column = "size"
            raise error
        return None
    size_ul = figures.volume("size", cell["size"])
    size = f"{pointed(Fraction(size_ul, 1_000))} ml"
    if "price" not in cell:
        return size
    digits = units.minor_digits(figures.currency)
    return f"{size}={pointed(Fraction(figures.money('price', cell['price']), 10**digits))}"


@dataclass(slots=True)
class Range:
    """The products of a file, gathered from their rows: new ones, and additions to known ones.

    `facts` are the facts about known products in the rows of any kind of file; `packs` the sizes added to known ones.
    """

    fresh: dict[str, dict[str, Any]] = field(default_factory=dict)
    packs: dict[str, dict[str, Any]] = field(default_factory=dict)
    facts: RowFacts = field(default_factory=RowFacts)
    _said: dict[str, dict[str, str]] = field(default_factory=dict)
    _known: dict[str, Product] = field(default_factory=dict)

    @property
    def changed(self) -> list[str]:
        """The names of the known products that are changed."""
        return sorted({*self.packs, *self.facts.changes})

    def load(self) -> None:
        """Read which products the books have."""
        self._known = {row.name_key: row for row in Product.select().where(~Product.taken_back)}

    def accept(self, line: int, row: ProductRow, role: str | None, figures: Figures) -> None:
        """Add one row.

        Args:
            line: the row's.
            row: the row, read.
            role: the role of new products if neither their row nor their line has one.
            figures: how the file is read.
        Raises:
            BadInput: it contradicts a row above it, its new product has no role, or it names an unknown product.
        """
        key = folded(row.name)
        said = self._said.get(key, {})
        refuse_contradiction(row.name, said, row.given)
        self._refuse_strange(row)
        known = self._known.get(key)
        if known is not None:
            self.facts.note(line, known.name, row.given, figures)
            if row.pack is not None and not self._sold(known, row.pack, figures):
                packs = self.packs.setdefault(known.name, {})
                packs["size"], packs["price"] = _with_pack(packs, row.pack)
        else:
            self._make(row, role, figures)
        self._said[key] = {**said, **row.given}

    def _make(self, row: ProductRow, role: str | None, figures: Figures) -> None:
        key = folded(row.name)
        before = self.fresh.get(key, {"name": row.name})
        given = {**before, **{key: value_of(key, value) for key, value in row.given.items()}}
        given["size"], given["price"] = _with_pack(before, row.pack)
        if "role" not in given and products.role_of_line(given.get("line")) is None:
            if role is None:
                raise BadInput(
                    _("the role of {name} isn't known", name=row.name),
                    remedy=Remedy(_("Add a column role, or give it "), Option("role", "paint")),
                )
            given["role"] = role
        entry.read(given, measures=figures.measures, currency=figures.currency, today=figures.today())
        self.fresh[key] = given

    def _sold(self, product: Product, pack: str, figures: Figures) -> bool:
        """Whether the books have this size, at this price if it has one."""
        size, _, price = pack.partition("=")
        size_ul = units.volume(size, measures="metric")
        minor = units.money(price, figures.currency) if price else None
        packs = dict(products.packs_of([product.id]).get(product.id, ()))
        return size_ul in packs and minor in (None, packs[size_ul])

    def _refuse_strange(self, row: ProductRow) -> None:
        """Refuse a usual reducer that is neither a product of the books nor in a row above."""
        reducer = row.given.get("usual_reducer")
        if reducer is not None and folded(reducer) not in self.fresh:
            products.find(reducer, roles=("reducer", "cleaner"))

    def book(self) -> ImportRecords:
        """Make and change the products; returns the changes as they are kept with the import. Inside `writing()`."""
        records = ImportRecords()
        names = NewNames.of(self.fresh.values())
        made = [
            products.add({key: value for key, value in given.items() if value})
            for given in self.fresh.values()
        ]
        records.made = names.made(product=[row.id for row in made])
        for name, packs in self.packs.items():
            number = products.find(name).id
            before = record_changes.texts("product", number)
            products.change(name, {key: value for key, value in packs.items() if value})
            was, now = record_changes.between(before, record_changes.texts("product", number))
            records.changed.append(("product", number, was, now))
        records.changed += self.facts.book()
        return records


def _with_pack(before: Mapping[str, Any], pack: str | None) -> tuple[list[str], list[str]]:
    """The sizes without and with a price, this one added."""
    sizes, prices = list(before.get("size", ())), list(before.get("price", ()))
    if pack is not None:
        (prices if "=" in pack else sizes).append(pack)
    return sizes, prices
