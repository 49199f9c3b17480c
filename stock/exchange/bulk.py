"""Many errands written at once: rows of whole new bottles and their movements, in batches, in one transaction.

Nothing that stands is changed: an import adds bookings and bottles of its own, each bottle with all its
movements, and the sums are proven before the transaction ends. Numbers are given here, behind the highest, so
that rows can refer to each other; on a server the tables are locked against other writers meanwhile.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from stock.store.models import Booking, Bottle, Close, Mix, Movement, Pour, database
from stock.store.orm import pw
from stock.store.table import Table

BATCH = 5_000
ORDER: tuple[type[Table], ...] = (Booking, Mix, Close, Bottle, Movement, Pour)
NUMBERED: tuple[type[Table], ...] = (Booking, Bottle, Movement)


@dataclass(slots=True)
class Bulk:
    """Rows waiting to be written, and the next number of each table."""

    waiting: dict[type[Table], list[Sequence[Any]]] = field(default_factory=lambda: defaultdict(list))
    numbers: dict[type[Table], int] = field(default_factory=dict)
    columns: dict[type[Table], tuple[str, ...]] = field(default_factory=dict)
    count: int = 0

    @classmethod
    def begin(cls) -> "Bulk":
        """Lock the tables and read where the numbers go on; call it inside `writing()`."""
        if isinstance(database.obj, pw.PostgresqlDatabase):
            names = ", ".join(f'"{table._meta.table_name}"' for table in ORDER)
            database.execute_sql(f"LOCK TABLE {names} IN EXCLUSIVE MODE")
        numbers = {
            table: (table.select(pw.fn.COALESCE(pw.fn.MAX(table.id), 0)).tuples().get()[0]) + 1
            for table in NUMBERED
        }
        return cls(numbers=numbers)

    def number(self, table: type[Table]) -> int:
        """The number of a new row."""
        found = self.numbers[table]
        self.numbers[table] = found + 1
        return found

    def add(self, table: type[Table], columns: tuple[str, ...], row: Sequence[Any]) -> None:
        """Write a row, soon; all rows of a table have the same columns."""
        self.columns[table] = columns
        self.waiting[table].append(row)
        self.count += 1
        if self.count >= BATCH:
            self.flush()

    def flush(self) -> None:
        """Write everything that waits, what is referred to first."""
        for table in ORDER:
            rows = self.waiting.pop(table, None)
            if rows:
                self._write(table, rows)
        self.count = 0

    def _write(self, table: type[Table], rows: Iterable[Sequence[Any]]) -> None:
        names = self.columns[table]
        mark = database.obj.param
        statement = (
            f'INSERT INTO "{table._meta.table_name}" ({", ".join(names)}) '  # noqa: S608 - names of ours
            f"VALUES ({', '.join([mark] * len(names))})"
        )
        cursor = database.obj.cursor()
        cursor.executemany(statement, rows)

    def end(self) -> None:
        """Write the rest, and let the server's numbering go on behind it."""
        self.flush()
        if isinstance(database.obj, pw.PostgresqlDatabase):
            for table in NUMBERED:
                name = table._meta.table_name
                database.execute_sql(
                    f"SELECT setval(pg_get_serial_sequence('\"{name}\"', 'id'), COALESCE(max(id), 1), "  # noqa: S608
                    f'max(id) IS NOT NULL) FROM "{name}"'
                )
