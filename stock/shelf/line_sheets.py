"""Data sheets of a whole line: kept with each of its products, and with those that join it later.

A sheet belongs to a product, like its ranges and the sources of its figures. A sheet that is `of_line` is the line's
and is kept with each product of the line in the same words. While a line has no product, its sheets wait for one.
"""

import json
from collections.abc import Collection, Iterable, Sequence
from datetime import date
from typing import Any

from stock.language import _
from stock.shelf.inheritance import AT, belongings, members
from stock.store.models import DataSheet, Dosing, FigureSource, Line, LineSheet
from stock.store.row_values import value_of, values_of


def wait(
    line: int,
    title: str,
    revised_on: date,
    source: str,
    *,
    dosings: Sequence[dict[str, Any]],
    figures: Sequence[dict[str, Any]],
) -> None:
    """Keep a sheet for a line without products, replacing the same revision. Inside `writing()`.

    Args:
        line: its number.
        title, revised_on, source: of the revision.
        dosings, figures: columns of `Dosing` and of `FigureSource`, without the sheet and the product.
    """
    same = (LineSheet.line == line) & (LineSheet.title == title) & (LineSheet.revised_on == revised_on)
    LineSheet.delete().where(same).execute()
    rest = json.dumps({"dosings": list(dosings), "figures": list(figures)}, ensure_ascii=False)
    LineSheet.create(line=line, title=title, revised_on=revised_on, source=source, rest=rest)


def waiting(line: int) -> list[LineSheet]:
    """The sheets that wait for a line's first product, newest revision first."""
    rows = LineSheet.select().where(LineSheet.line == line)
    return list(rows.order_by(LineSheet.revised_on.desc(), LineSheet.id))


def files_waiting() -> dict[str, str]:
    """The line of each file from which a waiting sheet was read, by the hash of its content."""
    rows = LineSheet.select(Line.name, LineSheet.rest).join(Line)
    return {
        one["sha256"]: _("the line {name}", name=name)
        for name, rest in rows.tuples()
        for one in json.loads(rest)["figures"]
    }


def waiting_for(reducer: int) -> str | None:
    """The title of a waiting sheet with a range for this product as the reducer; None if there is none."""
    for title, rest in LineSheet.select(LineSheet.title, LineSheet.rest).tuples():
        if any(one["with_product"] == reducer for one in json.loads(rest)["dosings"]):
            return str(title)
    return None


def _end_waiting(line: int, product: int, own: Collection[str]) -> None:
    """Give the waiting sheets to a line's first product."""
    for row in waiting(line):
        sheet = DataSheet.create(
            product=product, title=row.title, revised_on=row.revised_on, source=row.source, of_line=True
        )
        rest = json.loads(row.rest)
        for one in rest["dosings"]:
            Dosing.create(sheet=sheet, **one)
        _note_figures(product, sheet.id, rest["figures"], own)
        row.delete_instance()


def of_line(line: int) -> list[DataSheet]:
    """The line's sheets that are kept with its products, each once, newest revision first."""
    rows = DataSheet.select().where(DataSheet.of_line & DataSheet.product.in_(members(line)))
    found: dict[tuple[str, Any], DataSheet] = {}
    for row in rows.order_by(DataSheet.revised_on.desc(), DataSheet.id):
        found.setdefault((row.title, row.revised_on), row)
    return list(found.values())


def alike(sheet: DataSheet) -> list[DataSheet]:
    """The copies of a line's sheet with each product of the line; of any other sheet, only itself."""
    line = belongings([sheet.product_id]).get(sheet.product_id)
    if not sheet.of_line or line is None:
        return [sheet]
    same = (DataSheet.title == sheet.title) & (DataSheet.revised_on == sheet.revised_on) & DataSheet.of_line
    return list(DataSheet.select().where(same & DataSheet.product.in_(members(line.line))))


def spread(sheet: DataSheet) -> bool:
    """Make a product's sheet its line's, and keep it with each product of the line; False if it has no line."""
    belonging = belongings([sheet.product_id]).get(sheet.product_id)
    if belonging is None:
        return False
    DataSheet.update(of_line=True).where(DataSheet.id == sheet.id).execute()
    for product in members(belonging.line):
        come(product)
    return True


def come(product: int) -> None:
    """Keep the sheets of its line with a product that doesn't have them yet, with the sources of their figures."""
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
    _end_waiting(belonging.line, product, own)


def leave(product: int) -> None:
    """Make the line's sheets of a product its own, because it leaves the line."""
    DataSheet.update(of_line=False).where((DataSheet.product == product) & DataSheet.of_line).execute()


def _copy(sheet: DataSheet, product: int, own: Collection[str]) -> None:
    """Copy the revision to another product, without the sources of figures that the product has of its own."""
    columns = {name: value_of(sheet, name) for name in ("title", "revised_on", "source", "withdrawn")}
    copy = DataSheet.create(product=product, of_line=True, **columns)
    _insert(Dosing, Dosing.select().where(Dosing.sheet == sheet).order_by(Dosing.id), {"sheet": copy.id})
    rows = FigureSource.select().where(FigureSource.sheet == sheet).order_by(FigureSource.id)
    of_figures = [{key: value_of(row, key) for key in FIGURE} for row in rows]
    _note_figures(product, copy.id, of_figures, own)


FIGURE = ("field", "value", "file", "sha256", "page", "line", "section", "words")
"""The columns of `FigureSource` that are the same for each product."""


def _note_figures(product: int, sheet: int, figures: Iterable[dict[str, Any]], own: Collection[str]) -> None:
    """Note the sources of a sheet's figures, without figures that the product has of its own or from another sheet."""
    mine = FigureSource.select(FigureSource.field).where(FigureSource.product == product)
    known = {field for (field,) in mine.tuples()}
    for one in figures:
        if one["field"] not in known and one["field"].partition(":")[0] not in own:
            FigureSource.create(product=product, sheet=sheet, **one)


def _insert(table: Any, rows: Iterable[Any], other: dict[str, int]) -> None:
    for row in rows:
        table.insert({key: held for key, held in values_of(row).items() if key != "id"} | other).execute()
