"""Checking that every product has its line's values, as the books require."""

from collections.abc import Mapping
from typing import Any

from stock.language import _
from stock.shelf.inheritance import AT, ROWS, Belonging
from stock.store.line_fields import FIELDS
from stock.store.models import Line, LineProduct, Product
from stock.store.row_values import value_of


def drift() -> list[str]:
    """Every field of a product that differs from its line without being the product's own, in words.

    Groups of the line must be among the product's, which may have others because of its own solvents.
    """
    lines = {line.id: line for line in Line.select()}
    found: list[str] = []
    query = LineProduct.select(LineProduct.product, LineProduct.line, LineProduct.own_fields)
    belonging = {product: Belonging(line, frozenset(own.split())) for product, line, own in query.tuples()}
    rows = {field: _all_rows(field) for field in ROWS} if belonging else {}
    for product in Product.select().order_by(Product.name_key):
        line = lines[belonging[product.id].line] if product.id in belonging else None
        if product.line != (line.name if line is not None else ""):
            found.append(_("{name}: it says another line than it belongs to", name=product.name))
        if line is None:
            continue
        own = belonging[product.id].own
        astray = [
            field
            for field in FIELDS
            if field not in own
            and (
                any(not _agrees(product, line, column) for column in FIELDS[field])
                or (field in ROWS and not _rows_agree(field, *rows[field], product.id, belonging[product.id]))
            )
        ]
        found += [
            _(
                "{product}: its {field} isn't that of its line {line}",
                product=product.name,
                field=field.replace("_", " "),
                line=line.name,
            )
            for field in astray
        ]
    return found


def _agrees(product: Product, line: Line, column: str) -> bool:
    mine, lines = value_of(product, column), value_of(line, column)
    if column == "groups":
        return set(lines.split()) <= set(mine.split())
    if column == "role" and lines is None:
        return True
    return mine == (None if column == "usual_reducer" and lines == product.id else lines)


Listed = Mapping[int, Mapping[Any, tuple[Any, ...]]]
"""The rows of a list by the record's number and by the row's key."""


def _all_rows(field: str) -> tuple[Listed, Listed]:
    """A list's rows of all products, and of all lines."""
    found: list[dict[int, dict[Any, tuple[Any, ...]]]] = []
    for table, owner in ((ROWS[field][0], "product"), (ROWS[field][1], "line")):
        by_owner: dict[int, dict[Any, tuple[Any, ...]]] = {}
        columns = [getattr(table, name) for name in (owner, *ROWS[field][2])]
        for number, key, *rest in table.select(*columns).tuples():
            by_owner.setdefault(number, {})[key] = tuple(rest)
        found.append(by_owner)
    return found[0], found[1]


def _rows_agree(
    field: str, of_products: Listed, of_lines: Listed, product: int, belonging: Belonging
) -> bool:
    def not_own(rows: Mapping[Any, tuple[Any, ...]]) -> dict[Any, tuple[Any, ...]]:
        return {key: row for key, row in rows.items() if f"{field}{AT}{key}" not in belonging.own}

    theirs = not_own(of_lines.get(belonging.line, {}))
    if field == "not_with":
        theirs.pop(product, None)
    return not_own(of_products.get(product, {})) == theirs
