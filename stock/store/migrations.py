"""From the schema that the books were written with to the newest, one numbered step at a time.

Schema 1 is the first. To change a table: edit `models.py`, add a function to `STEPS` under the number that
it leads to, name new columns in `ADDED`, and keep a file of the schema before in `tests/store/released/`.
"""

from collections.abc import Callable, Mapping

from stock.errors import BooksUnreachable
from stock.remedies import Do, Remedy
from stock.store import models, triggers
from stock.store.orm import pw

Step = Callable[[pw.Database], None]
NEWEST = 4

ADDED: Mapping[tuple[str, str], int] = {
    ("studio", "spray_ul_per_min"): 2,
    ("studio", "waste_collected_on"): 2,
    ("product", "no_solvent"): 2,
    ("booking", "with_undo_id"): 3,
    ("solvent", "low_milli"): 4,
}
"""Columns that came after schema 1, and with which. Rows written before hold the default of `models`, or what
`FOLLOWS` works out."""


def _to_2(database: pw.Database) -> None:
    """The spray rate, the day of the last waste collection, products that hold no solvent; an index of fillings."""
    on_server = isinstance(database, pw.PostgresqlDatabase)
    untrue = "BOOLEAN NOT NULL DEFAULT FALSE" if on_server else "INTEGER NOT NULL DEFAULT 0"
    for statement in (
        'ALTER TABLE "studio" ADD COLUMN "spray_ul_per_min" INTEGER CHECK (spray_ul_per_min > 0)',
        'ALTER TABLE "studio" ADD COLUMN "waste_collected_on" TEXT',
        f'ALTER TABLE "product" ADD COLUMN "no_solvent" {untrue}',
        """CREATE INDEX "movement_filled" ON "movement" ("id") WHERE kind IN ('moved_in', 'kept')""",
    ):
        database.execute_sql(statement)


def _to_3(database: pw.Database) -> None:
    """The undo that each undo was booked along with."""
    database.execute_sql(
        'ALTER TABLE "booking" ADD COLUMN "with_undo_id" INTEGER REFERENCES "booking" ("id") ON DELETE RESTRICT'
    )


def _to_4(database: pw.Database) -> None:
    """The low end of a solvent's share where a sheet gives a range."""
    database.execute_sql(
        'ALTER TABLE "solvent" ADD COLUMN "low_milli" INTEGER CHECK (low_milli BETWEEN 0 AND percent_milli)'
    )


def _follows_3(database: pw.Database) -> None:
    from stock.store import undone_along  # once in the life of older books

    undone_along.note(database)


STEPS: Mapping[int, Step] = {2: _to_2, 3: _to_3, 4: _to_4}
FOLLOWS: Mapping[int, Step] = {3: _follows_3}
"""For some steps: fill the new columns of rows that an older schema wrote with what follows from the other columns."""


def knows(schema: int, table: str, column: str) -> bool:
    """Whether a column that the newest schema has was there in an older one."""
    return ADDED.get((table, column), 1) <= schema


def written_schema(database: pw.Database) -> int:
    """The schema number that the books say they were written with."""
    row = database.execute_sql("SELECT schema_version FROM studio").fetchone()
    if row is None:
        raise BooksUnreachable(
            "these books have no studio in them", remedy=Remedy("Make one with ", Do("new"))
        )
    return int(row[0])


def refuse_future(schema: int) -> None:
    """Refuse books that a later Ullage wrote, rather than guess at what they mean.

    Raises:
        BooksUnreachable: `schema` is above `NEWEST`.
    """
    if schema > NEWEST:
        raise BooksUnreachable(
            f"these books were written by a later Ullage (schema {schema}, this one knows {NEWEST})",
            remedy="Update Ullage on this machine; nothing was changed",
            code="future-schema",
        )


def migrate(database: pw.Database, *, keep_as: str | None = None) -> list[int]:
    """Bring the books to the schema `NEWEST` in one transaction, then make the triggers anew.

    A table rebuild drops triggers without a word and may leave dangling references, so both are looked at
    before the transaction ends: books are in the old schema whole or in the new one whole.

    Args:
        database: the connected engine.
        keep_as: on a server, the schema in which a copy of the books as they were is left.
    Returns:
        The numbers of the steps taken, in order; empty when the books were up to date.
    Raises:
        BooksUnreachable: the books are of a later schema, a step is missing, or references dangle after it.
    """
    schema = written_schema(database)
    refuse_future(schema)
    wanted = list(range(schema + 1, NEWEST + 1))
    if not wanted:
        return []
    with database.atomic():
        if keep_as is not None:
            _keep_schema(database, keep_as)
        for number in wanted:
            if number not in STEPS:
                raise BooksUnreachable(f"no step leads to schema {number}", remedy="Install Ullage again")
            STEPS[number](database)
        complete(database, schema)
        database.execute_sql(f"UPDATE studio SET schema_version = {NEWEST:d}")  # noqa: S608 - a number of ours
        if isinstance(database, pw.SqliteDatabase):
            dangling = database.execute_sql("PRAGMA foreign_key_check").fetchall()
            if dangling:
                raise BooksUnreachable(
                    f"the new schema would lose {len(dangling)} references; nothing was changed"
                )
    return wanted


def complete(database: pw.Database, schema: int) -> None:
    """Fill the later columns of rows that an older schema wrote, then make the triggers anew.

    Args:
        database: books with the newest columns, inside a transaction.
        schema: the schema that wrote the rows.
    """
    for number in range(schema + 1, NEWEST + 1):
        if number in FOLLOWS:
            FOLLOWS[number](database)
    triggers.create(database)


def create(database: pw.Database) -> None:
    """Make the newest schema in an empty database, with its triggers."""
    for table in models.TABLES:
        pw.SchemaManager(table, database).create_all(safe=False)
    triggers.create(database)


def _keep_schema(database: pw.Database, keep_as: str) -> None:
    """Copy the tables of a server's schema, with their rows, keys and triggers, into one beside it."""
    present = database.execute_sql("SELECT current_schema()").fetchone()[0]
    database.execute_sql("SET LOCAL statement_timeout = 0")
    database.execute_sql(f'CREATE SCHEMA "{keep_as}"')
    for table in database.get_tables():
        database.execute_sql(f'CREATE TABLE "{keep_as}"."{table}" (LIKE "{table}" INCLUDING ALL)')
        database.execute_sql(f'INSERT INTO "{keep_as}"."{table}" SELECT * FROM "{table}"')  # noqa: S608 - names from the schema
    references = database.execute_sql(
        "SELECT conrelid::regclass::text, conname, pg_get_constraintdef(oid) FROM pg_constraint "
        "WHERE contype = 'f' AND connamespace = current_schema()::regnamespace ORDER BY oid"
    ).fetchall()
    database.execute_sql(f'SET LOCAL search_path = "{keep_as}"')
    for table, name, definition in references:
        database.execute_sql(f'ALTER TABLE {table} ADD CONSTRAINT "{name}" {definition}')
    triggers.create(database)
    database.execute_sql(f'SET LOCAL search_path = "{present}"')
