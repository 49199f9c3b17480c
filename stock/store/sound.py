"""Whether a file is a sound file of books, by plain SQL and without opening it as the studio's own.

Safe on a file from a stranger: it is only read, functions in its schema are not trusted, and anything in it
that could act by itself (a trigger or view that is not ours) makes it unsound.
"""

import sqlite3
from contextlib import closing
from pathlib import Path

from stock.errors import UllageError
from stock.store import files, migrations, models, triggers
from stock.store.orm import pw

MOST_PROBLEMS = 20
UNBALANCED = """
    SELECT bottle.id, bottle.on_hand_ul - COALESCE(moved.change_ul, 0)
    FROM bottle LEFT JOIN (SELECT bottle_id, SUM(change_ul) AS change_ul FROM movement GROUP BY bottle_id) AS moved
    ON moved.bottle_id = bottle.id WHERE bottle.on_hand_ul <> COALESCE(moved.change_ul, 0)
"""


class Unsound(UllageError):
    """A file that is no sound file of books; `problem` is the first thing wrong with it."""

    code = "unsound"

    def __init__(self, path: Path, problem: str) -> None:
        super().__init__(
            f"{path} is no sound file of books: {problem}", remedy="Use another backup; nothing was changed"
        )
        self.problem = problem


def require(path: Path) -> None:
    """Refuse a file that is not sound.

    Raises:
        Unsound: with its first problem.
    """
    found = problems(path)
    if found:
        raise Unsound(path, found[0])


def problems(path: Path) -> list[str]:
    """Everything that is wrong with a file of books, in words; empty when it is sound. Never raises."""
    try:
        if not files.has_our_header(path):
            return ["it does not begin as a studio's books do"]
        # In memory, since on a file that it may only read SQLite leaves the CHECKs of the tables out.
        with _reading(path) as stored, closing(sqlite3.connect(":memory:")) as file:
            files.copy_pages(stored, file)
            file.execute("PRAGMA trusted_schema = 0")
            return _damage(file) or _schema(file) or _strangers(file) or _contents(file)
    except OSError as error:
        return [f"it can't be read ({error.strerror})"]
    except sqlite3.OperationalError as error:
        return [
            "another program holds it, so that it can't be looked at"
            if "locked" in str(error)
            else str(error)
        ]
    except Exception as error:  # in a damaged file even the words for the damage may not be readable
        return [str(error)]


def schema_of(path: Path) -> int:
    """The schema number that a sound file of books was written with."""
    with _reading(path) as file:
        return int(file.execute("SELECT schema_version FROM studio").fetchone()[0])


def _reading(path: Path) -> "closing[sqlite3.Connection]":
    return closing(files.reader(path))


def _contents(file: sqlite3.Connection) -> list[str]:
    return [*_unprotected(file), *_unbalanced(file), *_odd_values(file)]


def _damage(file: sqlite3.Connection) -> list[str]:
    said = [row[0] for row in file.execute(f"PRAGMA integrity_check({MOST_PROBLEMS})")]
    found = [line for line in said if line != "ok"]
    dangling = file.execute("PRAGMA foreign_key_check").fetchmany(MOST_PROBLEMS)
    return found + [
        f"{table} row {row} refers to a {other} that is not there" for table, row, other, _ in dangling
    ]


def _schema(file: sqlite3.Connection) -> list[str]:
    row = file.execute("SELECT schema_version FROM studio").fetchone()
    if row is None:
        return ["it has no studio in it"]
    if row[0] > migrations.NEWEST:
        return [f"a later Ullage wrote it (schema {row[0]}, this one knows {migrations.NEWEST})"]
    if row[0] < migrations.NEWEST:
        return []
    present = {name for (name,) in file.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}
    return [f"its table {name} is gone" for name in sorted(_tables() - present)]


def _tables() -> set[str]:
    return {table._meta.table_name for table in models.TABLES}


def _odd_values(file: sqlite3.Connection) -> list[str]:
    """Tables with a value of another kind than its column's: SQLite would hand it on, we can't read it."""
    found = []
    for table in models.TABLES:
        odd = " OR ".join(
            f"typeof({field.column_name}) NOT IN ('{'text' if isinstance(field, pw.TextField) else 'integer'}', 'null')"
            for field in table._meta.sorted_fields
        )
        name = table._meta.table_name
        columns = {row[1] for row in file.execute(f"PRAGMA table_info({name})")}
        if columns.issuperset(field.column_name for field in table._meta.sorted_fields):
            count = file.execute(f"SELECT count(*) FROM {name} WHERE {odd}").fetchone()[0]  # noqa: S608
            found += [f"{count} rows of {name} hold what can't be read"] if count else []
    return found


def _strangers(file: sqlite3.Connection) -> list[str]:
    """What stands in the schema and is not ours: it could act when the books are used."""
    tables, found = _tables(), []
    for kind, name, on in file.execute("SELECT type, name, tbl_name FROM sqlite_schema"):
        ours = name.startswith("sqlite_") or (
            name in tables
            if kind == "table"
            else on in tables
            if kind == "index"
            else name in triggers.names()
        )
        if not ours or kind == "view":
            found.append(f"it holds a {kind} {name!r} that is not ours")
    return found


def _unprotected(file: sqlite3.Connection) -> list[str]:
    written = dict(file.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'"))
    return [f"its trigger {name} is gone" for name in triggers.altered(written)]


def _unbalanced(file: sqlite3.Connection) -> list[str]:
    rows = file.execute(UNBALANCED).fetchmany(MOST_PROBLEMS)
    return [f"bottle {bottle} holds {off} microlitres more than was moved into it" for bottle, off in rows]
