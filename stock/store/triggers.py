"""The triggers that keep the history append-only, on both engines; made anew after every migration."""

from stock.store import models
from stock.store.orm import pw

VERBS = ("UPDATE", "DELETE")


def _names() -> set[str]:
    return {
        f"{table._meta.table_name}_refuses_{verb.lower()}" for table in models.APPEND_ONLY for verb in VERBS
    }


def create(database: pw.Database) -> None:
    """Make every trigger of the append-only tables, replacing any of the same name."""
    server = isinstance(database, pw.PostgresqlDatabase)
    if server:
        database.execute_sql(
            "CREATE OR REPLACE FUNCTION ullage_append_only() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
            "RAISE EXCEPTION '%% is append-only', TG_TABLE_NAME USING ERRCODE = 'restrict_violation'; END $$"
        )
    for table in models.APPEND_ONLY:
        name = table._meta.table_name
        for verb in VERBS:
            trigger = f"{name}_refuses_{verb.lower()}"
            if server:
                database.execute_sql(f"DROP TRIGGER IF EXISTS {trigger} ON {name}")
                database.execute_sql(
                    f"CREATE TRIGGER {trigger} BEFORE {verb}{' OR TRUNCATE' if verb == 'DELETE' else ''} "
                    f"ON {name} FOR EACH STATEMENT EXECUTE FUNCTION ullage_append_only()"
                )
            else:
                database.execute_sql(f"DROP TRIGGER IF EXISTS {trigger}")
                database.execute_sql(
                    f"CREATE TRIGGER {trigger} BEFORE {verb} ON {name} "
                    f"BEGIN SELECT RAISE(ABORT, '{name} is append-only'); END"
                )


def missing(database: pw.Database) -> list[str]:
    """Names of the triggers that should stand and don't; empty when the history is protected."""
    if isinstance(database, pw.PostgresqlDatabase):
        query = (
            "SELECT tgname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid "
            "WHERE relnamespace = current_schema()::regnamespace AND NOT tgisinternal AND tgenabled <> 'D'"
        )
    else:
        query = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    present = {row[0] for row in database.execute_sql(query).fetchall()}
    return sorted(_names() - present)
