"""The facts that a product inherits from its line, and those of its own.

A product's row holds the values in force. There were two ways: to write the line's values into the product's row
whenever the line changes, or to look them up in the line whenever they are read. Products are read in every room, by
plain columns, in joins and in prepared statements, but are seldom changed; a reader that forgot the look-up would see
"not known" although the line has the value, or an outdated value. So the values are written, in the transaction of the
change, and `line_drift` proves that every row agrees with its line (`ullage check` runs it).

`LineProduct.own_fields` names the product's own fields. A field that is emptied on a product follows the line again; a
field that the line has and the product doesn't know can be set to `unknown`.
"""

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.shelf import names
from stock.shelf.reactive import STAYS_KNOWN
from stock.shelf.written import OF_LINE, OF_PRODUCT, RecordTables, settle
from stock.store.line_fields import FIELDS, is_said, words
from stock.store.models import (
    Line,
    LineNotWith,
    LinePack,
    LineProduct,
    LineSolvent,
    NotWith,
    Pack,
    Product,
    Solvent,
)
from stock.store.row_values import value_of
from stock.text import plain

ROWS: Mapping[str, tuple[Any, Any, tuple[str, ...]]] = {
    "packs": (Pack, LinePack, ("size_ul", "price_minor")),
    "solvent": (Solvent, LineSolvent, ("name", "percent_milli", "basis", "low_milli")),
    "not_with": (NotWith, LineNotWith, ("other",)),
}
"""For each field with rows: the product's table, the line's, and the inherited columns; the first identifies a row."""


AT = "@"
"""The sign between `packs` and the microlitres of a size that only the product has, or that it has at another price."""


class Belonging(NamedTuple):
    """A product's line, and the product's own fields, such as `packs@120000` for one size."""

    line: int
    own: frozenset[str]


def belongings(products: Collection[int]) -> dict[int, Belonging]:
    """The line of each of these products that has one; one query."""
    rows = LineProduct.select(LineProduct.product, LineProduct.line, LineProduct.own_fields)
    found = rows.where(LineProduct.product.in_(list(products))).tuples() if products else ()
    return {product: Belonging(line, frozenset(own.split())) for product, line, own in found}


def members(line: int) -> list[int]:
    """The numbers of a line's products, by name."""
    query = LineProduct.select(LineProduct.product).join(Product)
    query = query.where((LineProduct.line == line) & ~Product.taken_back)
    return [number for (number,) in query.order_by(Product.name_key).tuples()]


def said_by(tables: RecordTables, row: Any) -> set[str]:
    """The fields that are filled in a record."""
    columns = tables.record._meta.fields
    said = {
        field
        for field, names in FIELDS.items()
        if any(is_said(value_of(row, one), null=columns[one].null) for one in names)
    }
    for field, (of_product, of_line, __) in ROWS.items():
        table = of_product if tables is OF_PRODUCT else of_line
        if table.select().where(tables.of(table, row.id)).exists():
            said.add(field)
    return said


def inherited(product: Product) -> list[str]:
    """The fields that a product inherits: filled in the line, and not its own."""
    belonging = belongings([product.id]).get(product.id)
    if belonging is None:
        return []
    line_says = said_by(OF_LINE, Line.get_by_id(belonging.line))
    return [field for field in FIELDS if field in line_says and field not in belonging.own]


def line_says(product: int, field: str) -> bool:
    """Whether the line of a product has a value for a field."""
    belonging = belongings([product]).get(product)
    return belonging is not None and field in said_by(OF_LINE, Line.get_by_id(belonging.line))


def belong(
    product: int,
    line: str | None,
    said: Collection[str],
    emptied: Collection[str],
    *,
    packs_added: bool = False,
    fresh: bool = False,
) -> None:
    """Note a product's line and its own fields; `follow` then writes the values.

    A product that leaves its line keeps every value as its own. A product that joins a line keeps its known values as
    its own.

    Args:
        product: its number.
        line: the line's name, made if there is none; empty for no line, None for the same as before.
        said: fields that were given a value now.
        emptied: fields that were emptied now.
        packs_added: whether sizes were only added to the known ones, and don't replace them.
        fresh: whether the product is new, so that values in its row that weren't given are the line's.
    """
    before = belongings([product]).get(product)
    if line is None and before is None:
        return
    if line is not None and not line.strip():
        LineProduct.delete().where(LineProduct.product == product).execute()
        Product.update(line="").where(Product.id == product).execute()
        return
    own: set[str] = set()
    if before is not None:
        own = set(before.own)
    elif not fresh:
        own = said_by(OF_PRODUCT, Product.get_by_id(product))
    own = {field for field in (own | set(said)) - set(emptied) if field.partition(AT)[0] not in emptied}
    number = before.line if before is not None else 0
    if line is not None:
        number = names.found_or_made(Line, "line", line).id
    all_own = before is not None and "packs" in before.own  # sizes added to its own are its own, too
    if "packs" in own and (before is None or "packs" in said) and not (all_own and packs_added):
        own = {field for field in own if field.partition(AT)[0] != "packs"}
        own |= _own_packs(product, number, added=packs_added)
    columns = {"line": number, "own_fields": words(own)}
    if before is None:
        LineProduct.insert(product=product, **columns).execute()
    else:
        LineProduct.update(columns).where(LineProduct.product == product).execute()


def _own_packs(product: int, line: int, *, added: bool) -> set[str]:
    """The sizes in which a product differs from its line; all of them if it isn't sold in one of the line's sizes.

    If sizes were only `added`, the line's other sizes are inherited.
    """
    mine, lines = (
        dict(table.select(table.size_ul, table.price_minor).where(owner == number).tuples())
        for table, owner, number in ((Pack, Pack.product, product), (LinePack, LinePack.line, line))
    )
    if not added and not lines.keys() <= mine.keys():
        return {"packs"}
    return {f"packs{AT}{size}" for size, price in mine.items() if size not in lines or lines[size] != price}


def follow(products: Iterable[int]) -> None:
    """Write the inherited values into these products' rows, and check that they can be true.

    Raises:
        BadInput: what a product says itself and what its line says can't both be.
    """
    for number, belonging in belongings(list(products)).items():
        product, line = Product.get_by_id(number), Line.get_by_id(belonging.line)
        taken = [field for field in FIELDS if field not in belonging.own]
        columns = {one: value_of(line, one) for field in taken for one in FIELDS[field]}
        if columns.get("role", "") is None:
            columns["role"] = product.role
        if columns.get("usual_reducer") == number:
            columns["usual_reducer"] = None  # a reducer isn't cut with itself
        Product.update(**columns, line=line.name).where(Product.id == number).execute()
        for field in taken:
            if field in ROWS:
                _take_rows(field, number, line.id, belonging.own)
        try:
            settle(OF_PRODUCT, product, _groups(product, line) if "groups" in taken else None)
        except BadInput as refusal:
            raise BadInput(
                _(
                    "{product} of the line {line}: {message}",
                    product=plain(product.name, 60),
                    line=plain(line.name, 60),
                    message=refusal.message,
                ),
                remedy=refusal.remedy,
            ) from None


def _groups(product: Product, line: Line) -> str:
    """A product's groups from its line; if the line has none, the groups that make the product reactive stay."""
    return line.groups or " ".join(word for word in product.groups.split() if word in STAYS_KNOWN)


def _take_rows(field: str, product: int, line: int, own: Collection[str]) -> None:
    """Replace a product's rows of one list by its line's; other columns of a row stay."""
    mine, lines, columns = ROWS[field]
    key, *others = columns
    wanted = {
        row[0]: dict(zip(columns, row, strict=True))
        for row in lines.select(*(getattr(lines, one) for one in columns)).where(lines.line == line).tuples()
        if f"{field}{AT}{row[0]}" not in own and (field != "not_with" or row[0] != product)
    }
    named = getattr(mine, key)
    own_rows = [int(one.partition(AT)[2]) for one in own if one.startswith(f"{field}{AT}")]
    mine.delete().where((mine.product == product) & named.not_in([*wanted, *own_rows])).execute()
    known = {row for (row,) in mine.select(named).where(mine.product == product).tuples()}
    for value, row in wanted.items():
        if value not in known:
            mine.insert(product=product, **row).execute()
        elif others:
            changed = {one: row[one] for one in others}
            mine.update(changed).where((mine.product == product) & (named == value)).execute()
