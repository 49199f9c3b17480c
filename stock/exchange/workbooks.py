"""The rows of one sheet of a workbook, `.xlsx` or `.ods`, as the texts that a CSV file would have.

A cell with a number, a day or a share is read as the program stored it, whatever language it is shown in.
"""

import datetime as dt
import zipfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from stock.errors import BadInput
from stock.exchange.csv_rows import CsvRow
from stock.exchange.figures import Number
from stock.grammar import exact, pointed
from stock.language import _
from stock.notation import in_thousands
from stock.remedies import Option, Remedy
from stock.text import folded, plain

ENDINGS = (".xlsx", ".xlsm", ".xlsb", ".xls", ".ods")
STARTS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
"""The first bytes of a zip archive and of older workbooks, whatever the file's name."""
LARGEST = 600_000_000
"""Bytes of a workbook unpacked; a larger one is refused before it is read."""
MOST_MERGED = 1_000
"""Rows over which a cell can be merged and still stand in each of them."""
DIGITS = 6
"""Decimals of a number that are read; a program's own rounding lies far behind them."""


class Workbook:
    """One sheet of a workbook, loaded."""

    def __init__(self, path: Path, sheet: Any, kind: str) -> None:
        self.path, self.kind = path, kind
        self.name: str = sheet.name
        self._sheet = sheet
        self._merged = _filled_down(sheet)
        self._beside = _filled_beside(sheet)

    def rows(self, *, beside: bool = False) -> Iterator[CsvRow]:
        """Every row with its number in the sheet, counted from 1; a text that is merged over rows stands in each.

        Args:
            beside: whether a text that is merged over columns stands in each of them, too; not so where nothing else
                stands in the row, as in a title or the name of a group.
        """
        texts_of: dict[tuple[int, int], str] = {}
        firsts: dict[int, set[int]] = {}
        for row, column in (first for covered in self._merged.values() for first in covered.values()):
            firsts.setdefault(row, set()).add(column)
        for number, cells in enumerate(self._sheet.iter_rows(), 1):
            texts = [_text(cell) for cell in cells]
            for column in firsts.get(number, ()):
                if not isinstance(texts[column], Number):
                    texts_of[number, column] = texts[column]
            for column, first in self._merged.get(number, {}).items():
                texts[column] = texts[column] or texts_of.get(first, "")
            if beside:
                _fill_beside(texts, self._beside.get(number, ()))
            yield CsvRow(number, texts, "")


def _filled_down(sheet: Any) -> dict[int, dict[int, tuple[int, int]]]:
    """The first cell, as (row, column), of the cells that are merged beneath it, by row and column.

    A number is not repeated: a price for three bottles is not the price of each.
    """
    found: dict[int, dict[int, tuple[int, int]]] = {}
    for (top, left), (bottom, _right) in sheet.merged_cell_ranges or ():
        if bottom - top < MOST_MERGED:
            for row in range(top + 1, bottom + 1):
                found.setdefault(row + 1, {})[left] = (top + 1, left)
    return found


def _filled_beside(sheet: Any) -> dict[int, list[tuple[int, int]]]:
    """The first and the last column of the cells that are merged over several columns, by row."""
    found: dict[int, list[tuple[int, int]]] = {}
    for (top, left), (bottom, right) in sheet.merged_cell_ranges or ():
        if left < right and bottom - top < MOST_MERGED:
            for row in range(top, bottom + 1):
                found.setdefault(row + 1, []).append((left, right))
    return found


def _fill_beside(texts: list[str], merged: Sequence[tuple[int, int]]) -> None:
    """Write a text that is merged over columns into each of them; a number stays only in the first."""
    before = list(texts)
    for left, right in merged:
        text = before[left] if left < len(before) else ""
        others = [*before[:left], *before[right + 1 :]]
        if text and not isinstance(text, Number) and any(others):
            for column in range(left + 1, min(right + 1, len(texts))):
                texts[column] = texts[column] or text


def is_workbook(path: Path) -> bool:
    """Whether a file is a workbook, by its first bytes, or by its name if it is empty or doesn't exist yet.

    Raises:
        OSError: it can't be read.
    """
    with path.open("rb") as file:
        start = file.read(4)
    return start in STARTS or path.suffix.lower() in ENDINGS


def load(path: Path, wanted: str | None) -> Workbook:
    """Load one sheet.

    Args:
        path: the workbook.
        wanted: the sheet's name; may be None if only one sheet holds anything.
    Raises:
        BadInput: what reads workbooks isn't installed, it can't be read, or it isn't known which sheet is meant.
    """
    calamine = _calamine(path)
    name = plain(path.name, 60)
    _refuse_huge(path)
    try:
        book = calamine.CalamineWorkbook.from_path(str(path))
        sheets = [
            book.get_sheet_by_name(one.name)
            for one in book.sheets_metadata
            if one.typ == calamine.SheetTypeEnum.WorkSheet
            and (wanted is not None or one.visible == calamine.SheetVisibleEnum.Visible)
        ]
    except calamine.PasswordError:
        raise BadInput(
            _("the workbook {name} is locked with a password", name=name),
            remedy=_("Save it without one, or as CSV"),
        ) from None
    except (calamine.CalamineError, OSError, ValueError) as error:
        raise BadInput(
            _(
                "the file {name} can't be read as a workbook: {error}",
                name=name,
                error=plain(str(error), 100),
            ),
            remedy=_("Save it anew, or as CSV"),
        ) from None
    filled = [sheet for sheet in sheets if sheet.height]
    named = filled if wanted is None else [one for one in sheets if folded(one.name) == folded(wanted)]
    listed = ", ".join(plain(sheet.name, 40) for sheet in filled[:20])
    if wanted is not None and not named:
        raise BadInput(
            _("no sheet of {name} is called {wanted!r}", name=name, wanted=plain(wanted, 40)),
            remedy=Remedy(_("It has {listed}: name one ", listed=listed), Option("sheet", "NAME")),
        )
    if not named:
        raise BadInput(
            _("the workbook {name} holds no rows", name=name),
            remedy=_("Fill its first sheet, or name another file"),
        )
    if len(named) > 1:
        raise BadInput(
            _("the workbook {name} has {named} sheets: {listed}", name=name, named=len(named), listed=listed),
            remedy=Remedy(
                _("Name one "), Option("sheet", plain(named[0].name, 40)), _("; nothing was booked")
            ),
        )
    return Workbook(path, named[0], path.suffix.lower().strip(".") or "workbook")


def _calamine(path: Path) -> Any:
    try:
        import python_calamine  # an extra, only for workbooks
    except ImportError:
        raise BadInput(
            _("{name} is a workbook, and what reads workbooks isn't installed", name=plain(path.name, 60)),
            remedy=_("Save it as CSV, or install it: pip install 'ullage[spreadsheets]'"),
        ) from None
    return python_calamine


def _refuse_huge(path: Path) -> None:
    if not zipfile.is_zipfile(path):
        return
    try:
        with zipfile.ZipFile(path) as archive:
            size = sum(one.file_size for one in archive.infolist())
    except (zipfile.BadZipFile, OSError, ValueError):
        return  # the reader's error says what is wrong
    if size > LARGEST:
        raise BadInput(
            _(
                "{name} is {size} MB unpacked, more than {largest}",
                name=plain(path.name, 60),
                size=in_thousands(size // 1000000),
                largest=LARGEST // 1000000,
            ),
            remedy=_("Save its sheet as CSV, or in parts"),
        )


def _text(cell: Any) -> str:
    if isinstance(cell, str):
        return cell
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, int | float):
        return Number(pointed(exact(cell), DIGITS))
    if isinstance(cell, dt.datetime):
        midnight = cell.time() == dt.time()
        return cell.date().isoformat() if midnight else cell.isoformat(" ", "seconds")
    return cell.isoformat() if isinstance(cell, dt.date | dt.time) else str(cell)
