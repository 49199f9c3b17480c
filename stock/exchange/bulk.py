"""Many errands written at once, in batches, in one transaction: an import's bookings and mixes, and through the ledger
its bottles and their movements.

No existing row is changed: an import adds bookings and bottles of its own. Numbers above the highest are assigned
here, so that rows can refer to each other; on a server the tables are locked against other writers meanwhile.
"""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from stock.ledger import Batch
from stock.store.models import Booking, Bottle, Close, Mix, Movement, Pour, database
from stock.store.orm import pw
from stock.store.statements import insert, run_many
from stock.store.table import Table

ROWS = 5_000
"""Rows that wait before they are written."""
BEFORE: tuple[type[Table], ...] = (Booking, Mix, Close)
"""Tables that bottles and movements refer to."""
AFTER: tuple[type[Table], ...] = (Pour,)
"""Tables that refer to movements."""
NUMBERED: tuple[type[Table], ...] = (Booking, Bottle, Movement)
BOTTLE = (
    "id", "received_on", "product_id", "delivery_id", "label", "size_ul", "lot", "opened_on", "best_before", "place_id",
    "price_minor", "opened_unknown", "opening_stock", "owner",
)  # fmt: skip
"""The columns of a bottle that `Bulk.ledger` takes."""


class Bulk:
    """Rows waiting to be written, and the next number of each table.

    `ledger` takes bottles and movements; `add` takes rows of the other tables. All rows of a table have the same
    columns.
    """

    def __init__(self) -> None:
        """Lock the tables and read their highest numbers; call it inside `writing()`."""
        if isinstance(database.obj, pw.PostgresqlDatabase):
            tables: tuple[type[Table], ...] = (*BEFORE, Bottle, Movement, *AFTER)
            names = ", ".join(f'"{table._meta.table_name}"' for table in tables)
            database.execute_sql(f"LOCK TABLE {names} IN EXCLUSIVE MODE")
        self.numbers: dict[type[Table], int] = {
            table: (table.select(pw.fn.COALESCE(pw.fn.MAX(table.id), 0)).tuples().get()[0]) + 1
            for table in NUMBERED
        }
        self.ledger = Batch(BOTTLE, before=lambda: self._write(BEFORE))
        self._waiting: dict[type[Table], list[Sequence[Any]]] = defaultdict(list)
        self._columns: dict[type[Table], tuple[str, ...]] = {}

    def number(self, table: type[Table]) -> int:
        """The number of a new row."""
        found = self.numbers[table]
        self.numbers[table] = found + 1
        return found

    def add(self, table: type[Table], columns: tuple[str, ...], row: Sequence[Any]) -> None:
        """Add a row to the next batch."""
        self._columns[table] = columns
        waiting = self._waiting[table]
        waiting.append(row)
        if len(waiting) >= ROWS:
            self.flush()

    def flush(self) -> None:
        """Write all waiting rows, those that others refer to first."""
        self.ledger.write()
        self._write(AFTER)

    def _write(self, tables: Sequence[type[Table]]) -> None:
        for table in tables:
            rows = self._waiting.pop(table, None)
            if rows:
                run_many(insert(table._meta.table_name, self._columns[table]), rows)

    def end(self) -> None:
        """Write the rest, and set the server's numbering to continue after it.

        Raises:
            NotEnough: a bottle would have been below empty.
        """
        self.flush()
        self.ledger.end()
        if isinstance(database.obj, pw.PostgresqlDatabase):
            for table in NUMBERED:
                name = table._meta.table_name
                database.execute_sql(
                    f"SELECT setval(pg_get_serial_sequence('\"{name}\"', 'id'), COALESCE(max(id), 1), "  # noqa: S608
                    f'max(id) IS NOT NULL) FROM "{name}"'
                )
