"""The triggers that keep the history append-only on both engines; every migration makes them anew."""

from collections.abc import Collection, Mapping

from stock.store.orm import pw

APPEND_ONLY = ("movement", "booking", "pour", "bottle_change", "weighing", "period_change")
"""The names of the tables whose rows are never changed."""
VERBS = ("UPDATE", "DELETE")
_BODY = " BEGIN RAISE EXCEPTION '% is append-only', TG_TABLE_NAME USING ERRCODE = 'restrict_violation'; END "
# Bits of pg_trigger.tgtype (PostgreSQL's catalog/pg_trigger.h): once a statement, before it, on these verbs.
_BEFORE, _DELETE, _UPDATE, _TRUNCATE = 2, 8, 16, 32
_ON_SERVER = """
    SELECT tgname, relname, tgtype, prosrc
    FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid JOIN pg_proc ON pg_proc.oid = tgfoid
    JOIN pg_language ON pg_language.oid = prolang
    WHERE relnamespace = current_schema()::regnamespace AND NOT tgisinternal AND tgenabled IN ('O', 'A')
    AND tgqual IS NULL AND tgattr = '' AND lanname = 'plpgsql'
"""


def _each() -> list[tuple[str, str, str]]:
    """(trigger, table, verb) of every trigger that books must have."""
    return [(f"{table}_refuses_{verb.lower()}", table, verb) for table in APPEND_ONLY for verb in VERBS]


def names() -> set[str]:
    """The names of all triggers of a studio's books."""
    return {name for name, _, _ in _each()}


def _on_file(name: str, table: str, verb: str) -> str:
    return f"CREATE TRIGGER {name} BEFORE {verb} ON {table} BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"


def create(database: pw.Database) -> None:
    """Make every trigger of the append-only tables, replacing any of the same name."""
    server = isinstance(database, pw.PostgresqlDatabase)
    if server:
        function = (
            f"CREATE OR REPLACE FUNCTION ullage_append_only() RETURNS trigger LANGUAGE plpgsql AS $${_BODY}$$"
        )
        database.execute_sql(function.replace("%", "%%"))
    for name, table, verb in _each():
        if server:
            database.execute_sql(f"DROP TRIGGER IF EXISTS {name} ON {table}")
            database.execute_sql(
                f"CREATE TRIGGER {name} BEFORE {verb}{' OR TRUNCATE' if verb == 'DELETE' else ''} "
                f"ON {table} FOR EACH STATEMENT EXECUTE FUNCTION ullage_append_only()"
            )
        else:
            database.execute_sql(f"DROP TRIGGER IF EXISTS {name}")
            database.execute_sql(_on_file(name, table, verb))


def drop(database: pw.Database, table: str) -> None:
    """Drop the triggers of a table for a migration that fills a new column; `create` makes them again."""
    for name, of, _ in _each():
        if of == table:
            on_table = f" ON {table}" if isinstance(database, pw.PostgresqlDatabase) else ""
            database.execute_sql(f"DROP TRIGGER IF EXISTS {name}{on_table}")


def altered(written: Mapping[str, str], tables: Collection[str] | None = None) -> list[str]:
    """Names of the triggers that a file lacks or has with other SQL than ours.

    Args:
        written: the SQL of each trigger of the file, by its name.
        tables: the names of the tables that the file's schema has; all of ours when None.
    """
    return sorted(
        name
        for name, table, verb in _each()
        if (tables is None or table in tables) and written.get(name) != _on_file(name, table, verb)
    )


def missing(database: pw.Database) -> list[str]:
    """Names of the triggers that are missing or differ from ours; empty if the history is protected.

    On a server this compares each trigger's table, moment and verbs and the body of its function, and requires that no
    condition or column restricts it.
    """
    if not isinstance(database, pw.PostgresqlDatabase):
        return altered(
            dict(database.execute_sql("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"))
        )
    present = {tuple(row) for row in database.execute_sql(_ON_SERVER).fetchall()}
    kinds = {"UPDATE": _BEFORE | _UPDATE, "DELETE": _BEFORE | _DELETE | _TRUNCATE}
    return sorted(name for name, table, verb in _each() if (name, table, kinds[verb], _BODY) not in present)
