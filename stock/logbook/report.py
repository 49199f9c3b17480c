"""A report: tables of figures and the rules they follow, independent of the format it is written in."""

from collections.abc import Sequence
from dataclasses import dataclass, field

Cell = str | int | float | None


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

    `subject` tells it from other reports of the same title, and doesn't depend on the day it is made.
    """

    title: str
    studio: str
    about: str
    tables: Sequence[ReportTable]
    notes: Sequence[str] = field(default=())
    subject: str = ""
