"""A report: tables of figures with the rule they follow, whatever it is printed on."""

from collections.abc import Sequence
from dataclasses import dataclass, field

Cell = str | int | float | None


@dataclass(frozen=True, slots=True)
class Table:
    """One table; a head that ends with `>` is a column of figures. `totals` stands beneath the rows."""

    title: str
    heads: Sequence[str]
    rows: Sequence[Sequence[Cell]]
    totals: Sequence[Cell] | None = None


@dataclass(frozen=True, slots=True)
class Report:
    """What a bookkeeper or inspector is handed: whose, of when, the tables, and the rules beneath.

    `subject` tells it from others of its title, whatever the day on which it is made.
    """

    title: str
    studio: str
    about: str
    tables: Sequence[Table]
    notes: Sequence[str] = field(default=())
    subject: str = ""
