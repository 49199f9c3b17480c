"""The statements that every booking runs, as SQL, since building them takes longer than running them.

Values are marked with `?` on both engines (tests/benchmarks/booking.py measures them).
"""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

from stock.store.orm import pw
from stock.store.table import database


def run(statement: str, *values: object) -> Any:
    """Run a statement once; returns the engine's cursor."""
    engine = database.obj
    return engine.execute_sql(statement.replace("?", engine.param), values)


def rows(statement: str, *values: object) -> list[tuple[Any, ...]]:
    """Run a statement once; returns all rows that it answers with."""
    engine = database.obj
    found: list[tuple[Any, ...]] = engine.rows(statement.replace("?", engine.param), values)
    return found


def run_many(statement: str, each: Iterable[Sequence[object]]) -> int:
    """Run a statement once for each row; returns the number of changed rows of the table."""
    engine = database.obj
    cursor = engine.cursor()
    cursor.executemany(statement.replace("?", engine.param), list(each))
    return int(cursor.rowcount)


def number(statement: str, *values: object) -> int:
    """Run an INSERT of one row; returns the new row's number."""
    found = number_if_any(statement, *values)
    if found is None:
        raise LookupError(statement)
    return found


def number_if_any(statement: str, *values: object) -> int | None:
    """Run an INSERT of one row or none; returns the new row's number, or None."""
    if isinstance(database.obj, pw.SqliteDatabase):
        cursor = run(statement, *values)
        return int(cursor.lastrowid) if cursor.rowcount else None  # RETURNING takes 1.5 times as long
    answer = rows(statement + " RETURNING id", *values)
    return int(answer[0][0]) if answer else None


@lru_cache(maxsize=128)
def insert(table: str, columns: tuple[str, ...], rows: int = 1) -> str:
    """The SQL of an INSERT of rows, with a `?` for each column."""
    marks = ", ".join([f"({', '.join('?' * len(columns))})"] * rows)
    return f'INSERT INTO "{table}" ({", ".join(columns)}) VALUES {marks}'  # noqa: S608 - names of ours
