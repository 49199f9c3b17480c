"""A report: tables of figures and the rules that they follow, independent of the file format."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from stock import notation
from stock.named_tuples import NamedTuple

Cell = str | int | float | None


class FlatColumn(NamedTuple):
    """One column of a flat table: its name, its type in the words of Table Schema, and what it holds."""

    name: str
    kind: str
    about: str


@dataclass(frozen=True, slots=True)
class FlatTable:
    """A report as one table for other programs: one fact a row, no titles, no totals, always the same columns.

    Attributes:
        name: lower-case letters, digits and dashes.
        title: what it holds.
        columns: in their order. Money is in the currency's main unit.
        rows: a text for a `string`, a `date` or a `yearmonth`; None for an unknown value.
        key: the columns that identify a row; none if rows may be equal.
    """

    name: str
    title: str
    columns: Sequence[FlatColumn]
    rows: Sequence[Sequence[Cell]]
    key: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class ReportTable:
    """One table; a heading that ends with `>` marks a column of figures. `totals` is the row beneath."""

    title: str
    heads: Sequence[str]
    rows: Sequence[Sequence[Cell]]
    totals: Sequence[Cell] | None = None


@dataclass(frozen=True, slots=True)
class Report:
    """A report for a bookkeeper or inspector: the studio, the period, the tables, and the rules beneath.

    `subject` distinguishes it from other reports of the same title and doesn't depend on the day it is made. `flat`
    works out its flat table, with all months if none was asked for.
    """

    title: str
    studio: str
    about: str
    tables: Sequence[ReportTable]
    notes: Sequence[str] = field(default=())
    subject: str = ""
    flat: Callable[[], FlatTable] | None = None


def shown_cell(cell: Cell) -> str:
    """A cell for a person to read: a figure with the studio's decimal mark, nothing for None."""
    if cell is None:
        return ""
    return notation.shown().figure(str(cell)) if isinstance(cell, int | float) else str(cell)
