"""Each table's columns as a Frictionless Table Schema describes them, and each value as a cell of CSV.

Volumes, masses, money and temperatures stay the whole numbers of the books; the column's name ends in its unit.
An empty cell is a missing value. If a column may have missing values, an empty text is written as one apostrophe,
which `cells.restored` takes away.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from stock.clock import read_stamp
from stock.errors import BadInput
from stock.exchange.cells import harmless, restored
from stock.language import _
from stock.store.fields import DayField, InstantField
from stock.store.orm import pw
from stock.store.table import Table

_WHOLE = re.compile(r"-?\d{1,19}", re.ASCII)
_LARGEST = 2**63 - 1
INSTANTS = "%Y-%m-%dT%H:%M:%S.%fZ"


@dataclass(frozen=True, slots=True)
class Column:
    """One column: how it is described, written and read back."""

    name: str
    kind: str
    optional: bool
    unique: bool
    refers_to: tuple[str, str] | None
    write: Callable[[Any], str]
    read: Callable[[str], Any]

    def described(self) -> dict[str, Any]:
        """The column as a field of a Table Schema."""
        field: dict[str, Any] = {"name": self.name, "type": self.kind}
        if self.kind == "datetime":
            field["format"] = INSTANTS
        if self.kind == "boolean":
            field |= {"trueValues": ["true"], "falseValues": ["false"]}
        constraints = {}
        if not self.optional and self.kind != "string":
            constraints["required"] = True
        if self.unique:
            constraints["unique"] = True
        return field | ({"constraints": constraints} if constraints else {})

    def value(self, cell: str) -> Any:
        """The value of a cell.

        Raises:
            BadInput: the cell can't be read as what the column holds, or may not be empty.
        """
        if cell == "" and self.optional:
            return None
        if cell == "" and self.kind != "string":
            raise BadInput(
                _("{name} is empty", name=self.name), remedy=_("It holds a {kind}", kind=_(self.kind))
            )
        return self.read(cell)

    def cell(self, value: Any) -> str:
        """The cell of a value."""
        if value is None:
            return ""
        written = self.write(value)
        return "'" if written == "" and self.optional else written


def columns(table: type[Table]) -> list[Column]:
    """A table's columns in the order of its rows."""
    return [_column(field) for field in table._meta.sorted_fields]


def schema(table: type[Table]) -> dict[str, Any]:
    """The table's Frictionless Table Schema."""
    found = columns(table)
    key = table._meta.primary_key
    described: dict[str, Any] = {
        "fields": [column.described() for column in found],
        "primaryKey": [key.column_name],
        "missingValues": [""],
    }
    links = [
        {
            "fields": [column.name],
            "reference": {
                "resource": "" if column.refers_to[0] == table._meta.table_name else column.refers_to[0],
                "fields": [column.refers_to[1]],
            },
        }
        for column in found
        if column.refers_to is not None
    ]
    return described | ({"foreignKeys": links} if links else {})


def _column(field: Any) -> Column:
    refers_to = None
    if isinstance(field, pw.ForeignKeyField):
        refers_to = (field.rel_model._meta.table_name, field.rel_field.column_name)
    kind, write, read = _manner(field)
    return Column(
        name=field.column_name,
        kind=kind,
        optional=field.null,
        unique=bool(field.unique) and not field.primary_key,
        refers_to=refers_to,
        write=write,
        read=read,
    )


def _manner(field: Any) -> tuple[str, Callable[[Any], str], Callable[[str], Any]]:
    if isinstance(field, InstantField):
        return "datetime", str, _instant
    if isinstance(field, DayField):
        return "date", str, _day
    if isinstance(field, pw.TextField):
        return "string", harmless, restored
    if isinstance(field, pw.BooleanField):
        return "boolean", lambda value: "true" if value else "false", _truth
    return "integer", str, _whole


def _whole(cell: str) -> int:
    number = int(cell) if _WHOLE.fullmatch(cell) else None
    if number is None or not -_LARGEST - 1 <= number <= _LARGEST:
        raise BadInput(_("{cell!r} is no whole number", cell=cell[:40]), remedy=_("Write digits alone"))
    return number


def _truth(cell: str) -> int:
    if cell not in ("true", "false"):
        raise BadInput(
            _("{cell!r} is neither true nor false", cell=cell[:40]), remedy=_("Write true or false")
        )
    return int(cell == "true")


def _day(cell: str) -> str:
    try:
        if date.fromisoformat(cell).isoformat() == cell:
            return cell
    except ValueError:
        pass
    raise BadInput(_("{cell!r} is no day", cell=cell[:40]), remedy=_("Write it as 2026-03-01"))


def _instant(cell: str) -> str:
    read_stamp(cell)
    return cell


def reader(found: Sequence[Column]) -> Callable[[Sequence[str]], tuple[Any, ...]]:
    """A function that turns a row of cells into a row of values; it refuses a row with too few or too many cells."""

    def read(cells: Sequence[str]) -> tuple[Any, ...]:
        if len(cells) != len(found):
            raise BadInput(
                _("it has {cells} cells, not {found}", cells=len(cells), found=len(found)),
                remedy=_("Put a cell under each head"),
            )
        return tuple([column.value(cell) for column, cell in zip(found, cells, strict=True)])

    return read
