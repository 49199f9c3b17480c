"""Queries that every booking runs: the SQL is written once and then only executed.

Peewee takes several times longer to write a statement than the database takes to run it (tests/benchmarks/load.py).
The tables still define what is asked and how a column is read.
"""

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any

from stock.store.fields import DayField, InstantField, LifeField
from stock.store.orm import pw
from stock.store.table import database

Place = tuple[int, int | None]
"""The number of the value that stands at a place, and of its member if the value is a list."""
READ = (DayField, InstantField, LifeField, pw.BooleanField)


class _Written:
    """A statement as SQL of one engine, for lists of certain lengths."""

    def __init__(self, query: "pw.ModelSelect") -> None:
        self.model: Callable[..., Any] = query.model
        self.sql, given = query.sql()
        self.given: list[Any] = [None if isinstance(one, _Mark) else one for one in given]
        self.places = [(at, *one.place) for at, one in enumerate(given) if isinstance(one, _Mark)]
        self.names = [getattr(column, "name", "") for column in query.selected_columns]
        # A shelf repeats few days and lives many times, so the converted values are cached.
        self.reads = [
            (at, lru_cache(maxsize=1_024)(column.python_value))
            for at, column in enumerate(query.selected_columns)
            if isinstance(column, READ)
        ]

    def run(self, values: Sequence[Any]) -> list[tuple[Any, ...]]:
        given = self.given.copy()
        for position, at, member in self.places:
            given[position] = values[at] if member is None else values[at][member]
        rows: list[tuple[Any, ...]] = database.obj.rows(self.sql, given)
        return rows

    def read(self, row: tuple[Any, ...]) -> tuple[Any, ...]:
        cells = list(row)
        for at, read in self.reads:
            cells[at] = read(cells[at])
        return tuple(cells)


class _Mark:
    """A placeholder in a query for a value that is given when it runs."""

    def __init__(self, place: Place) -> None:
        self.place = place


class Prepared:
    """A query with placeholders.

    Args:
        build: makes the query from one placeholder for each value; for a list of values from a list of placeholders,
            for `in_`.
    """

    def __init__(self, build: Callable[..., "pw.ModelSelect"]) -> None:
        self.build = build
        self.written: dict[tuple[Any, ...], _Written] = {}

    def rows(self, *values: Any) -> list[tuple[Any, ...]]:
        """The rows for these values; a day is given as text, and a list must not be empty."""
        written, rows = self._asked(values)
        return list(map(written.read, rows)) if written.reads else rows

    def instances(self, *values: Any) -> list[Any]:
        """The rows as objects of the table, whose columns the query must select in full."""
        written, rows = self._asked(values)
        return [written.model(**dict(zip(written.names, written.read(row), strict=True))) for row in rows]

    def records(self, kind: type[Any], *values: Any) -> list[Any]:
        """The rows as named tuples whose fields are the selected columns, in their order."""
        return list(map(kind._make, self.rows(*values)))

    def _asked(self, values: Sequence[Any]) -> tuple[_Written, list[tuple[Any, ...]]]:
        given = [_padded(value) if isinstance(value, list) else value for value in values]
        written = self._written(given)
        return written, written.run(given)

    def _written(self, values: Sequence[Any]) -> _Written:
        lengths = tuple(len(value) if isinstance(value, list) else None for value in values)
        key = (type(database.obj), lengths)
        written = self.written.get(key)
        if written is None:
            marks = [
                _mark((at, None)) if length is None else [_mark((at, member)) for member in range(length)]
                for at, length in enumerate(lengths)
            ]
            written = self.written[key] = _Written(self.build(*marks))
        return written


def _mark(place: Place) -> "pw.Value":
    return pw.Value(_Mark(place), converter=False, unpack=False)


def _padded(values: list[Any]) -> list[Any]:
    """The list with its last member repeated up to a power of two in length, so that few statements are written."""
    wanted = 1 << (len(values) - 1).bit_length()
    return values + values[-1:] * (wanted - len(values))
