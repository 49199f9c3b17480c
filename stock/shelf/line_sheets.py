"""Data sheets of a whole line: kept with each of its products, and with those that come into it later.

A sheet belongs to a product, as its ranges and the places of its figures do; one that is `of_line` is its line's, and
stands with each product of the line in the same words.
"""

from collections.abc import Collection, Iterable
from typing import Any

from stock.shelf.inheritance import AT, belongings, members
from stock.store.models import DataSheet, Dosing, FigureSource


def of_line(line: int) -> list[DataSheet]:
    """The line's sheets, each once, newest revision first."""
    rows = DataSheet.select().where(DataSheet.of_line & DataSheet.product.in_(members(line)))
    found: dict[tuple[str, Any], DataSheet] = {}
    for row in rows.order_by(DataSheet.revised_on.desc(), DataSheet.id):
        found.setdefault((row.title, row.revised_on), row)
    return list(found.values())


def alike(sheet: DataSheet) -> list[DataSheet]:
    """A sheet of a line as it stands with each product of the line; any other alone."""
    line = belongings([sheet.product_id]).get(sheet.product_id)
    if not sheet.of_line or line is None:
        return [sheet]
    same = (DataSheet.title == sheet.title) & (DataSheet.revised_on == sheet.revised_on) & DataSheet.of_line
    return list(DataSheet.select().where(same & DataSheet.product.in_(members(line.line))))


def spread(sheet: DataSheet) -> bool:
    """Make a product's sheet its line's, and keep it with each product of the line; False where it has no line."""
    belonging = belongings([sheet.product_id]).get(sheet.product_id)
    if belonging is None:
        return False
    DataSheet.update(of_line=True).where(DataSheet.id == sheet.id).execute()
    for product in members(belonging.line):
        come(product)
    return True


def come(product: int) -> None:
    """Keep the sheets of its line with a product, where it doesn't have them yet, with the places of their figures."""
    belonging = belongings([product]).get(product)
    if belonging is None:
        return
    mine = {
        (row.title, row.revised_on): row for row in DataSheet.select().where(DataSheet.product == product)
    }
    own = {word.partition(AT)[0] for word in belonging.own}
    for sheet in of_line(belonging.line):
        there = mine.get((sheet.title, sheet.revised_on))
        if there is None:
            _copy(sheet, product, own)
        elif not there.of_line:
            DataSheet.update(of_line=True).where(DataSheet.id == there.id).execute()


def leave(product: int) -> None:
    """A product that leaves its line keeps its sheets as its own."""
    DataSheet.update(of_line=False).where((DataSheet.product == product) & DataSheet.of_line).execute()


def _copy(sheet: DataSheet, product: int, own: Collection[str]) -> None:
    """The same revision for another product; where the figures stand that it says itself isn't noted."""
    columns = {name: sheet.__data__[name] for name in ("title", "revised_on", "source", "withdrawn")}
    copy = DataSheet.create(product=product, of_line=True, **columns)
    _insert(Dosing, Dosing.select().where(Dosing.sheet == sheet).order_by(Dosing.id), {"sheet": copy.id})
    known = {
        field
        for (field,) in FigureSource.select(FigureSource.field)
        .where(FigureSource.product == product)
        .tuples()
    }
    rows = FigureSource.select().where(FigureSource.sheet == sheet).order_by(FigureSource.id)
    kept = [row for row in rows if row.field not in known and row.field.partition(":")[0] not in own]
    _insert(FigureSource, kept, {"sheet": copy.id, "product": product})


def _insert(table: Any, rows: Iterable[Any], other: dict[str, int]) -> None:
    for row in rows:
        table.insert({key: value for key, value in row.__data__.items() if key != "id"} | other).execute()
