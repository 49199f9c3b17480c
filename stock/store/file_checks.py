"""Checks of a file of books by plain SQL, without opening it as the studio's own.

They are safe on a stranger's file: it is only read, functions in its schema are not trusted, and a trigger or view
that is not ours makes it unsound.
"""

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from itertools import islice
from pathlib import Path
from typing import Any

from stock.errors import UllageError
from stock.language import _
from stock.store import files, migrations, models, open_files, readable, seal, triggers
from stock.store.orm import pw
from stock.store.readable import Ask

MOST_PROBLEMS = 20
CHANGED = _("it is not as it was when this backup was made; something has changed it since")
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
            _("{path} is no sound file of books: {problem}", path=path, problem=problem),
            remedy=_("Use another backup; nothing was changed"),
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
    """Everything wrong with a file of books, in words; empty if it is sound. Never raises."""
    try:
        if not files.has_our_header(path):
            return [_("it does not begin as a studio's books do")]
        changed = [CHANGED] if not open_files.open_here(path) and seal.is_broken(path) else []
        # In memory, since on a file that it may only read SQLite leaves the CHECKs of the tables out.
        with _reading(path) as stored, closing(sqlite3.connect(":memory:")) as file:
            files.copy_pages(stored, file)
            file.execute("PRAGMA trusted_schema = 0")
            return (in_use(file.execute) or _unbalanced(file.execute)) + changed
    except OSError as error:
        return [_("it can't be read ({strerror})", strerror=error.strerror)]
    except sqlite3.OperationalError as error:
        return [
            _("another program holds it, so that it can't be looked at")
            if "locked" in str(error)
            else str(error)
        ]
    except Exception as error:  # in a damaged file even the words for the damage may not be readable
        return [str(error)]


def schema_of(path: Path) -> int:
    """The schema number of a sound file of books."""
    with _reading(path) as file:
        return int(file.execute("SELECT schema_version FROM studio").fetchone()[0])


def _reading(path: Path) -> "closing[sqlite3.Connection]":
    return closing(files.reader(path))


def in_use(ask: Ask) -> list[str]:
    """Everything in an open file of books that would make reading it fail, in words; sums are not checked.

    Args:
        ask: runs a query on it.
    """
    return _damage(ask) or _schema(ask) or _contents(ask)


def _contents(ask: Ask) -> list[str]:
    schema = int(_first(ask("SELECT schema_version FROM studio")))
    return [
        *_strangers(ask),
        *_unprotected(ask, schema),
        *(_odd_values(ask, schema) or readable.problems(ask, schema)),
    ]


def _first(rows: Iterable[tuple[Any, ...]]) -> Any:
    return next(iter(rows))[0]


def _damage(ask: Ask) -> list[str]:
    said = [row[0] for row in ask(f"PRAGMA integrity_check({MOST_PROBLEMS})")]
    found = [line for line in said if line != "ok"]
    dangling = list(islice(ask("PRAGMA foreign_key_check"), MOST_PROBLEMS))
    return found + [
        _("{table} row {row} refers to a {other} that is not there", table=table, row=row, other=other)
        for table, row, other, __ in dangling
    ]


def _schema(ask: Ask) -> list[str]:
    row = next(iter(ask("SELECT schema_version FROM studio")), None)
    if row is None:
        return [_("it has no studio in it")]
    if row[0] > migrations.NEWEST:
        return [
            _(
                "a later Ullage wrote it (schema {row}, this one knows {newest})",
                row=row[0],
                newest=migrations.NEWEST,
            )
        ]
    if row[0] < migrations.NEWEST:
        return []
    present = {name for (name,) in ask("SELECT name FROM sqlite_schema WHERE type = 'table'")}
    return [_("its table {name} is gone", name=name) for name in sorted(_tables() - present)]


def _tables() -> set[str]:
    return {table._meta.table_name for table in models.TABLES}


def _odd_values(ask: Ask, schema: int) -> list[str]:
    """Missing columns, and tables with a value of another type than its column's."""
    found = []
    for table in migrations.tables(schema):
        name = table._meta.table_name
        fields = [one for one in table._meta.sorted_fields if migrations.knows(schema, name, one.column_name)]
        columns = {row[1] for row in ask(f"PRAGMA table_info({name})")}
        gone = [one.column_name for one in fields if one.column_name not in columns]
        if gone:
            found.append(_("its table {name} has no column {gone}", name=name, gone=gone[0]))
            continue
        odd = " OR ".join(_odd(one) for one in fields)
        count = _first(ask(f"SELECT count(*) FROM {name} WHERE {odd}"))  # noqa: S608
        found += (
            [_("{count} rows of {name} hold what can't be read", count=count, name=name)] if count else []
        )
    return found


def _odd(field: "pw.Field") -> str:
    """The SQL condition that a field's value has another type than the field."""
    name = field.column_name
    if isinstance(field, pw.BooleanField):
        return f"{name} NOT IN (0, 1)"
    kind = "text" if isinstance(field, pw.TextField) else "integer"
    nothing = ", 'null'" if field.null else ""
    return f"typeof({name}) NOT IN ('{kind}'{nothing})"


def _strangers(ask: Ask) -> list[str]:
    """Triggers, views and other parts of the schema that are not ours and could act when the books are used."""
    tables, found = _tables(), []
    for kind, name, on in ask("SELECT type, name, tbl_name FROM sqlite_schema"):
        ours = name.startswith("sqlite_") or (
            name in tables
            if kind == "table"
            else on in tables
            if kind == "index"
            else name in triggers.names()
        )
        if not ours or kind == "view":
            found.append(_("it holds a {kind} {name!r} that is not ours", kind=kind, name=name))
    return found


def _unprotected(ask: Ask, schema: int) -> list[str]:
    present = {table._meta.table_name for table in migrations.tables(schema)}
    written: dict[str, str] = dict(ask("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'"))
    return [_("its trigger {name} is gone", name=name) for name in triggers.altered(written, present)]


def _unbalanced(ask: Ask) -> list[str]:
    rows = islice(ask(UNBALANCED), MOST_PROBLEMS)
    return [
        _("bottle {bottle} holds {off} microlitres more than was moved into it", bottle=bottle, off=off)
        for bottle, off in rows
    ]
