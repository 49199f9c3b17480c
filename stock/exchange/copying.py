"""A whole studio moved between a file and a server, or between two of either, and both proven equal.

Every row keeps its number, and the numbering continues after the highest. Both sides are then read anew and compared
row by row before the copy is committed.
"""

import hashlib
import os
from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stock.errors import BadInput, BooksUnreachable, UllageError
from stock.exchange.progress import OnProgress, Tally
from stock.language import _
from stock.remedies import Do, Remedy
from stock.store import addresses, connection, file_checks, files, migrations, server, triggers
from stock.store.models import TABLES
from stock.store.orm import pw
from stock.store.refusals import plainly
from stock.store.table import Table

BATCH = 5_000
Row = tuple[Any, ...]


class NotEqual(UllageError):
    """A copy differs from its original."""

    code = "not-equal"


@dataclass(frozen=True, slots=True)
class Copied:
    """What was copied: the rows of each table, and the digest that both sides have in common."""

    rows: Mapping[str, int]
    digest: str

    def total(self) -> int:
        """All rows together."""
        return sum(self.rows.values())


def copy(source: str, target: str, *, on_progress: OnProgress | None = None) -> Copied:
    """Copy a studio to another address, where none exists yet, and prove both equal.

    Args:
        source: a file or URL of books of the newest schema.
        target: a file or URL; a new file is the owner's only.
        on_progress: called with a table's name, the rows written so far and how many there are.
    Returns:
        The rows copied and the common digest.
    Raises:
        BadInput: both are one address on a server.
        BooksUnreachable, UllageError: the source can't be read or something stands at the target.
        NotEqual: the copy differs; nothing is left of it.
    """
    if source == target and addresses.is_server(source):
        raise BadInput(_("these books are there already"), remedy=_("Name another address to copy them to"))
    with opened(source) as old:
        schema = migrations.written_schema(old)
        if schema != migrations.NEWEST:
            raise BooksUnreachable(
                _("the books are of schema {schema}", schema=schema),
                remedy=_("Open them once, then copy them"),
            )
        connection.make_room(target, beside=source)
        try:
            with fresh(target) as new:
                connection.make_tables(new, target)
                return transfer(old, new, on_progress=on_progress)
        except BaseException:
            _remove(target)
            raise


def _remove(target: str) -> None:
    """Remove the file of a copy that failed; on a server the transaction was rolled back."""
    if not addresses.is_server(target):
        for ending in ("", "-wal", "-shm"):
            Path(target + ending).unlink(missing_ok=True)


@contextmanager
def opened(address: str) -> Iterator[pw.Database]:
    """A separate read-only engine that sees the books at `address` as they are at one moment.

    Raises:
        BooksUnreachable: nothing is there, or it can't be read.
    """
    with plainly(address):
        database = _reader(address)
        with closing(database):
            database.connect()
            if not connection.holds_books(database):
                raise BooksUnreachable(
                    _("{address} holds no studio's books", address=addresses.shown(address)), code="no-books"
                )
            on_file = isinstance(database, pw.SqliteDatabase)
            with (
                database.atomic("DEFERRED") if on_file else database.atomic(isolation_level="REPEATABLE READ")
            ):
                yield database


def _reader(address: str) -> pw.Database:
    if addresses.is_server(address):
        return server.engine(address, patient=True)
    path = Path(address)
    if not os.path.isfile(path):
        raise BooksUnreachable(
            _("there are no books at {address}", address=address), remedy=_("Name another"), code="no-books"
        )
    return files.File(address, only_read=True)


@contextmanager
def fresh(address: str) -> Iterator[pw.Database]:
    """A separate engine for new books, in one transaction.

    References are checked when all rows are in, because a row may refer to a later one.
    """
    with plainly(address):
        database = connection.engine(address, patient=True)
        with closing(database):
            database.connect()
            if isinstance(database, pw.SqliteDatabase):
                database.execute_sql("PRAGMA foreign_keys = 0")
            with database.atomic():
                yield database


def count_rows(database: pw.Database) -> int:
    """How many rows all tables of the books have together."""
    counts = (
        database.execute_sql(f'SELECT count(*) FROM "{table._meta.table_name}"').fetchone()[0]  # noqa: S608
        for table in TABLES
    )
    return sum(int(count) for count in counts)


def transfer(old: pw.Database, new: pw.Database, *, on_progress: OnProgress | None = None) -> Copied:
    """Copy every row between two engines, `new` having empty tables and an open transaction, and compare.

    Raises:
        NotEqual: a table differs, its triggers or references are not whole, or a bottle's sum is off.
    """
    rows, whole = {}, hashlib.sha256()
    tally = Tally(on_progress, 0 if on_progress is None else count_rows(old))
    for table in pw.sort_models(TABLES):
        name = table._meta.table_name
        fill(new, table, tally.through(name, read(old, table)))
        count, digest = digest_of(old, table)
        if (count, digest) != digest_of(new, table):
            raise NotEqual(
                _("the table {name} was not copied as it was", name=name),
                remedy=_("Nothing was left of the copy"),
            )
        rows[name] = count
        whole.update(digest.encode())
    require_whole(new)
    return Copied(rows, whole.hexdigest())


def require_whole(new: pw.Database) -> None:
    """Refuse books that were just filled and aren't sound.

    Raises:
        NotEqual: triggers or references are missing, or a bottle's sum is off.
    """
    wrong = triggers.missing(new) + [
        _("bottle {row}", row=row[0]) for row in new.execute_sql(file_checks.UNBALANCED).fetchall()
    ]
    if isinstance(new, pw.SqliteDatabase):
        wrong += [
            _("{table} row {row}", table=row[0], row=row[1])
            for row in new.execute_sql("PRAGMA foreign_key_check").fetchall()
        ]
    if wrong:
        raise NotEqual(
            _("the copy does not add up: {wrong}", wrong=wrong[0]),
            remedy=Remedy(_("Check the original: "), Do("check")),
        )


def read(database: pw.Database, table: type[Table], *, schema: int = migrations.NEWEST) -> Iterator[Row]:
    """Every row of a table by its key, in columns' order, as the same plain values on both engines.

    Args:
        schema: only the columns that this schema knew are read.
    """
    name = table._meta.table_name
    fields = [
        field for field in table._meta.sorted_fields if migrations.knows(schema, name, field.column_name)
    ]
    key = table._meta.primary_key
    names = ", ".join(f'"{field.column_name}"' for field in fields)
    on_server = isinstance(database, pw.PostgresqlDatabase)
    order = f'"{key.column_name}"' + (' COLLATE "C"' if on_server and isinstance(key, pw.TextField) else "")
    query = f'SELECT {names} FROM "{name}" ORDER BY {order}'  # noqa: S608 - names of ours
    truths = [at for at, field in enumerate(fields) if isinstance(field, pw.BooleanField)]
    for row in _streamed(database, query):
        if truths and on_server:
            values = list(row)
            for at in truths:
                values[at] = None if values[at] is None else int(values[at])
            yield tuple(values)
        else:
            yield row


def _streamed(database: pw.Database, query: str) -> Iterator[Row]:
    """The rows as a stream, on a server by a server-side cursor."""
    if not isinstance(database, pw.PostgresqlDatabase):
        yield from database.execute_sql(query)
        return
    with database.connection().cursor(
        name="ullage_reading", withhold=not database.in_transaction()
    ) as cursor:
        cursor.itersize = BATCH
        cursor.execute(query)
        yield from cursor


def digest_of(
    database: pw.Database, table: type[Table], *, schema: int = migrations.NEWEST
) -> tuple[int, str]:
    """How many rows a table has, and a digest that is the same on both engines if every value is.

    Args:
        schema: only the columns that this schema knew are looked at.
    """
    count, digest = 0, hashlib.sha256()
    for row in read(database, table, schema=schema):
        count += 1
        digest.update(repr(row).encode())
    return count, digest.hexdigest()


def fill(new: pw.Database, table: type[Table], rows: Iterable[Row]) -> None:
    """Write rows, as `read` gives them, into an empty table; they may refer to rows that come later."""
    fields = table._meta.sorted_fields
    columns = ", ".join(f'"{field.column_name}"' for field in fields)
    name = table._meta.table_name
    if isinstance(new, pw.SqliteDatabase):
        marks = ", ".join("?" for _ in fields)
        new.connection().executemany(f'INSERT INTO "{name}" ({columns}) VALUES ({marks})', rows)  # noqa: S608
        return
    line = new.connection()
    truths = [at for at, field in enumerate(fields) if isinstance(field, pw.BooleanField)]
    # References of a table to itself hold at the end of a statement, so all rows go in by one.
    line.execute(f'CREATE TEMP TABLE "incoming_{name}" (LIKE "{name}") ON COMMIT DROP')
    with line.cursor().copy(f'COPY "incoming_{name}" ({columns}) FROM STDIN') as sink:
        for row in rows:
            sink.write_row([bool(v) if at in truths and v is not None else v for at, v in enumerate(row)])
    line.execute(f'INSERT INTO "{name}" ({columns}) SELECT {columns} FROM "incoming_{name}"')  # noqa: S608
    if isinstance(table._meta.primary_key, pw.AutoField):
        line.execute(
            f"SELECT setval(pg_get_serial_sequence('\"{name}\"', 'id'), COALESCE(max(id), 1), max(id) IS NOT NULL) "  # noqa: S608
            f'FROM "{name}"'
        )
