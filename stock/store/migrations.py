"""Migration of books from their schema to the newest, one schema number at a time.

Schema 1 is the first. Later additions are listed here and made from `models.py`: new columns in `ADDED`, new tables in
`ADDED_TABLES`, columns whose list of words grew in `REWORDED`. Anything else that a step does is a function in `STEPS`.
`tests/store/released/` keeps books of every older schema.
"""

import re
from collections.abc import Callable, Mapping

from stock.errors import BooksUnreachable
from stock.language import _
from stock.remedies import Do, Remedy
from stock.store import models, triggers
from stock.store.orm import pw
from stock.store.table import Table

Step = Callable[[pw.Database], None]
NEWEST = 7

ADDED: Mapping[tuple[str, str], int] = {
    ("studio", "spray_ul_per_min"): 2,
    ("studio", "waste_collected_on"): 2,
    ("product", "no_solvent"): 2,
    ("booking", "with_undo_id"): 3,
    ("solvent", "low_milli"): 4,
    ("product", "signal_word"): 5,
    ("product", "h_statements"): 5,
    ("product", "p_statements"): 5,
    ("product", "pictograms"): 5,
    ("product", "gloves"): 5,
    ("product", "eye_protection"): 5,
    ("product", "breathing_protection"): 5,
    ("product", "un_number"): 5,
    ("product", "transport_class"): 5,
    ("product", "packing_group"): 5,
    ("product", "incompatible"): 5,
    ("product", "pot_life_minutes"): 5,
    ("product", "hot_pot_life_minutes"): 5,
    ("product", "hot_pot_life_mc"): 5,
    ("step", "purpose"): 5,
    ("count", "reason"): 5,
    ("product", "voc_categories"): 5,
    ("studio", "room_l"): 5,
    ("studio", "closed_until"): 5,
    ("product", "code"): 5,
    ("studio", "labour_minor_per_h"): 5,
    ("studio", "markup_milli"): 5,
    ("job", "worked_min"): 5,
    ("bottle", "opened_unknown"): 5,
    ("bottle", "opening_stock"): 5,
    ("bottle", "owner"): 5,
    ("silence", "other_id"): 6,
    ("product", "taken_back"): 6,
    ("supplier", "taken_back"): 6,
    ("line", "taken_back"): 6,
    ("place", "taken_back"): 6,
    ("studio", "address"): 6,
    ("studio", "voc_limit_mg"): 6,
    ("data_sheet", "of_line"): 6,
    ("bottle", "priced_ul"): 7,
    ("job", "taken_back"): 7,
    ("product", "ph_low_milli"): 7,
    ("product", "ph_high_milli"): 7,
    ("line", "ph_low_milli"): 7,
    ("line", "ph_high_milli"): 7,
    ("place", "flammable_limit_mg"): 7,
    ("studio", "decimal_mark"): 7,
    ("studio", "date_order"): 7,
    ("studio", "paper"): 7,
}
"""Columns newer than schema 1, each with the schema that added it. Older rows get the default of `models`, or the value
that `FOLLOWS` works out."""
ADDED_TABLES: Mapping[str, int] = {
    "planned_mix": 5,
    "training": 5,
    "period_change": 5,
    "invoice": 5,
    "invoice_delivery": 5,
    "weighing": 5,
    "line": 5,
    "line_pack": 5,
    "line_solvent": 5,
    "line_not_with": 5,
    "line_product": 5,
    "own_substance": 5,
    "figure_source": 5,
    "silence": 5,
    "card_test": 5,
    "past_facts": 6,
    "past_owner": 7,
    "past_substance": 7,
    "line_sheet": 7,
}
"""Tables newer than schema 1, each with the schema that added it."""
REWORDED: Mapping[tuple[str, str], int] = {
    ("place", "kind"): 5,
    ("bottle", "container"): 5,
    ("place", "premises"): 5,
    ("booking", "kind"): 6,
    ("count", "reason"): 6,
}
"""Columns whose list of words in `words.py` has grown, each with the schema in which it last did."""


def _index_fillings(database: pw.Database) -> None:
    database.execute_sql(
        """CREATE INDEX "movement_filled" ON "movement" ("id") WHERE kind IN ('moved_in', 'kept')"""
    )


STEPS: Mapping[int, Step] = {2: _index_fillings}
"""What else a step does, on both engines, by the schema it leads to."""


def _follows_3(database: pw.Database) -> None:
    from stock.store import undone_along  # once in the life of older books

    undone_along.note(database)


def _follows_5(database: pw.Database) -> None:
    from stock.store import lines_of_older_books  # once in the life of older books

    lines_of_older_books.note(database)


def _follows_7(database: pw.Database) -> None:
    """Rename the field of pH sources, which older schemas noted for the sheet's words and not for a figure."""
    database.execute_sql("UPDATE figure_source SET field = 'ph_printed' WHERE field = 'ph'")


FOLLOWS: Mapping[int, Step] = {3: _follows_3, 5: _follows_5, 7: _follows_7}
"""For some schemas the function that fills new columns of older rows from their other columns."""


def knows(schema: int, table: str, column: str) -> bool:
    """Whether an older schema had a column of the newest one."""
    return max(ADDED_TABLES.get(table, 1), ADDED.get((table, column), 1)) <= schema


def tables(schema: int) -> tuple[type[Table], ...]:
    """The tables of the newest schema that an older one had."""
    return tuple(table for table in models.TABLES if ADDED_TABLES.get(table._meta.table_name, 1) <= schema)


def step_to(database: pw.Database, number: int, begun: int) -> None:
    """Make the tables and columns of one schema in books of the schema before it.

    Args:
        database: the connected engine.
        number: the new schema.
        begun: the books' schema before all steps; tables made by a step since then have every column already.
    """
    new = [table for table in models.TABLES if ADDED_TABLES.get(table._meta.table_name) == number]
    for table in pw.sort_models(new):
        pw.SchemaManager(table, database).create_all(safe=False)
    for table in models.TABLES:
        name = table._meta.table_name
        if ADDED_TABLES.get(name, 1) > begun:
            continue
        for field in table._meta.sorted_fields:
            if ADDED.get((name, field.column_name)) == number:
                _add_column(database, table, field)
            if REWORDED.get((name, field.column_name)) == number:
                _reword(database, name, field)
    if number in STEPS:
        STEPS[number](database)


def _add_column(database: pw.Database, table: type[Table], field: pw.Field) -> None:
    """Add a column with the type of its field; older rows get the field's default, which the column then keeps."""
    name = table._meta.table_name
    definition, _ = database.get_sql_context().sql(field.ddl(database.get_sql_context())).query()
    if not field.null:
        definition += f" DEFAULT {_literal(field.default, database)}"
    if isinstance(field, pw.ForeignKeyField):
        other, key = field.rel_model._meta.table_name, field.rel_field.column_name
        definition += f' REFERENCES "{other}" ("{key}") ON DELETE {field.on_delete}'
    database.execute_sql(f'ALTER TABLE "{name}" ADD COLUMN {definition}')
    for index in table._meta.fields_to_index():
        if [one.name for one in index._expressions] == [field.name]:
            database.execute_sql(*database.get_sql_context().sql(index.safe(False)).query())


def _literal(value: object, database: pw.Database) -> str:
    if isinstance(value, bool):
        return str(value).upper() if isinstance(database, pw.PostgresqlDatabase) else str(int(value))
    return str(value) if isinstance(value, int) else "'" + str(value).replace("'", "''") + "'"


def _reword(database: pw.Database, table: str, field: pw.Field) -> None:
    """Replace the list of words in a column's CHECK by the longer one of the newest schema.

    SQLite has no statement for it and documents this way of changing a CHECK (ALTER TABLE, section 7): the table's
    own text is written anew, which leaves every row as it is.
    """
    column = field.column_name
    words = next(check.sql for check in field.constraints if f"{column} IN (" in check.sql)
    if isinstance(database, pw.PostgresqlDatabase):
        database.execute_sql(f'ALTER TABLE "{table}" DROP CONSTRAINT "{table}_{column}_check"')
        database.execute_sql(f'ALTER TABLE "{table}" ADD CONSTRAINT "{table}_{column}_check" {words}')
        return
    (made,) = database.execute_sql(
        "SELECT sql FROM sqlite_schema WHERE type = 'table' AND name = ?", (table,)
    ).fetchone()
    anew = re.sub(rf"CHECK \({column} IN \([^)]*\)\)", lambda _: words, made)
    (version,) = database.execute_sql("PRAGMA schema_version").fetchone()
    database.execute_sql("PRAGMA writable_schema = 1")
    database.execute_sql("UPDATE sqlite_schema SET sql = ? WHERE type = 'table' AND name = ?", (anew, table))
    database.execute_sql(f"PRAGMA schema_version = {version + 1:d}")
    database.execute_sql("PRAGMA writable_schema = 0")


def written_schema(database: pw.Database) -> int:
    """The schema number that the books say they were written with."""
    row = database.execute_sql("SELECT schema_version FROM studio").fetchone()
    if row is None:
        raise BooksUnreachable(
            _("these books have no studio in them"), remedy=Remedy(_("Make one with "), Do("new"))
        )
    return int(row[0])


def refuse_future(schema: int) -> None:
    """Refuse books of a later Ullage.

    Raises:
        BooksUnreachable: `schema` is above `NEWEST`.
    """
    if schema > NEWEST:
        raise BooksUnreachable(
            _(
                "these books were written by a later Ullage (schema {schema}, this one knows {newest})",
                schema=schema,
                newest=NEWEST,
            ),
            remedy=_("Update Ullage on this machine; nothing was changed"),
            code="future-schema",
        )


def migrate(database: pw.Database, *, keep_as: str | None = None) -> list[int]:
    """Bring the books to the schema `NEWEST` in one transaction, then make the triggers anew.

    Rebuilding a table drops its triggers silently and may leave dangling references, so both are checked before the
    transaction ends. Books are wholly in the old schema or wholly in the new one.

    Args:
        database: the connected engine.
        keep_as: on a server, the schema in which a copy of the books as they were is left.
    Returns:
        The numbers of the steps taken, in order; empty when the books were up to date.
    Raises:
        BooksUnreachable: the books are of a later schema, or references dangle after it.
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
            step_to(database, number, schema)
        complete(database, schema)
        database.execute_sql(f"UPDATE studio SET schema_version = {NEWEST:d}")  # noqa: S608 - a number of ours
        if isinstance(database, pw.SqliteDatabase):
            dangling = database.execute_sql("PRAGMA foreign_key_check").fetchall()
            if dangling:
                raise BooksUnreachable(
                    _(
                        "the new schema would lose {dangling} references; nothing was changed",
                        dangling=len(dangling),
                    )
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
