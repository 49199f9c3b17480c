"""Opening a studio's books, and the transactions that everything else runs in.

One process has one studio open: `open_books` binds the tables to its database. Each thread that reads or
writes does so inside `connection()`; `writing()` is the transaction of an errand, `reading()` a view of
several tables at one moment.

WAL needs a local disk; on a network share use a PostgreSQL server. The idioms that hold on both engines,
and the traps, are explained beside each helper.
"""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

from stock.errors import BadInput, BooksUnreachable, UllageError
from stock.store import migrations, models, snapshots, triggers
from stock.store.orm import pw

APPLICATION_ID = 0x554C4C47
PRAGMAS = (
    ("journal_mode", "wal"),
    ("synchronous", "full"),
    ("foreign_keys", 1),
    ("busy_timeout", 5000),
)
SERVER_PREFIXES = ("postgresql://", "postgres://")


def is_server(address: str) -> bool:
    """Whether the address names a PostgreSQL server rather than a file."""
    return address.startswith(SERVER_PREFIXES)


def shown(address: str) -> str:
    """The address as it may be shown: a server's password is never part of it."""
    if not is_server(address):
        return address
    parts = urlsplit(address)
    host = f"{parts.hostname or ''}{f':{parts.port}' if parts.port else ''}"
    return f"postgresql://{host}{parts.path}{f'?{parts.query}' if parts.query else ''}"


def _server(address: str) -> pw.Database:
    if getattr(pw, "psycopg", None) is None:
        raise BooksUnreachable(
            "these books are on a PostgreSQL server and its driver is not installed",
            remedy="Install ullage[postgresql]",
            code="no-driver",
        )
    parts = urlsplit(address)
    schema = parse_qs(parts.query).get("schema", ["public"])[0]
    if not schema.replace("_", "").isalnum():
        raise BadInput(
            "the schema in the address has signs other than letters, digits and _", remedy="Rename it"
        )
    query = "&".join(part for part in parts.query.split("&") if part and not part.startswith("schema="))
    bare = parts._replace(query=query, scheme="postgresql").geturl()
    options = f"-c search_path={schema} -c lock_timeout=10s -c statement_timeout=60s -c timezone=UTC"
    return pw.PostgresqlDatabase(bare, prefer_psycopg3=True, autoconnect=False, options=options)


def _file(address: str) -> pw.Database:
    return pw.SqliteDatabase(address, pragmas=list(PRAGMAS), lock_type="IMMEDIATE", autoconnect=False)


@contextmanager
def plainly(address: str = "") -> Iterator[None]:
    """Turn what a database engine says into one sentence that a person can act on.

    Raises:
        BooksUnreachable: instead of the engine's own error, whatever it was.
    """
    try:
        yield
    except (pw.OperationalError, pw.InterfaceError, pw.DatabaseError, sqlite3.DatabaseError) as error:
        if isinstance(error, (pw.IntegrityError, pw.ProgrammingError, pw.DataError)):
            raise
        raise _sentence(str(error), address) from error


def _sentence(said: str, address: str) -> BooksUnreachable:
    where = f" at {shown(address)}" if address else ""
    known = (
        ("locked", "another program holds the books", "Try again in a moment; nothing was booked"),
        ("lock timeout", "another bench holds these bottles", "Try again in a moment; nothing was booked"),
        ("statement timeout", "the server took too long", "Try again; nothing was booked"),
        ("readonly", "the books can't be written here", "Give yourself the right to write to the file"),
        ("full", "the disk is full; nothing was booked", "Free some room and do it again"),
        ("disk I/O", "the disk failed; nothing was booked", "Check the disk, then `ullage check`"),
        ("not a database", f"the file{where} is no studio's books", "Name another with --studio"),
        ("malformed", "the books are damaged", "Restore the newest backup: `ullage restore PATH`"),
        (
            "unable to open",
            f"the books{where} can't be opened",
            "Check that the folder exists and may be read",
        ),
    )
    for sign, message, remedy in known:
        if sign in said:
            return BooksUnreachable(message, remedy=remedy)
    first = said.strip().splitlines()[0] if said.strip() else "no reason given"
    return BooksUnreachable(f"the books{where} could not be reached: {first}", remedy="Check the address")


def make_books(address: str, studio: dict[str, Any]) -> None:
    """Make empty books where nothing stands, with the studio's one row.

    Args:
        address: a file path or a server's URL.
        studio: the columns of `models.Studio`, less its number and schema.
    Raises:
        BooksUnreachable: something stands there already, or the place can't be written.
    """
    if not is_server(address):
        path = Path(address)
        if path.exists() and path.stat().st_size:
            raise UllageError(
                f"{address} exists; nothing was changed",
                remedy="Name another file with --studio",
                code="exists",
            )
        _make_file(path)
    _bind(address)
    with plainly(address), connection():
        database = models.database.obj
        if is_server(address):
            _make_schema(address)
            if _holds_books(database):
                raise UllageError(
                    "there are books on that server already; nothing was changed",
                    remedy="Name another schema with ?schema=NAME",
                    code="exists",
                )
        with database.atomic():
            migrations.create(database)
            models.Studio.insert(id=1, schema_version=migrations.NEWEST, **studio).execute()


def _make_file(path: Path) -> None:
    """A file that only its owner may read, since it holds customers' names and prices; marked as ours."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
        with plainly(str(path)), closing(sqlite3.connect(path)) as fresh:
            fresh.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    except OSError as error:
        raise BooksUnreachable(
            f"{path} can't be made: {error.strerror}", remedy="Name another file with --studio"
        ) from error


def _make_schema(address: str) -> None:
    schema = parse_qs(urlsplit(address).query).get("schema", ["public"])[0]
    models.database.execute_sql(f'CREATE SCHEMA IF NOT EXISTS "{schema}"')


def _bind(address: str) -> None:
    database = _server(address) if is_server(address) else _file(address)
    if models.database.obj is not None and not models.database.is_closed():
        models.database.close()
    models.database.initialize(database)


def open_books(address: str) -> None:
    """Bind the tables to the books at `address`, bringing an older schema to the newest first.

    A copy of a file of an older schema is left beside it before anything is changed.

    Raises:
        BooksUnreachable: nothing stands there, it is no studio's books, a later Ullage wrote them, or
            the triggers that protect the history are gone.
    """
    if not is_server(address) and not Path(address).is_file():
        raise BooksUnreachable(
            f"there are no books at {address}", remedy="Make them with `ullage new`", code="no-books"
        )
    if not is_server(address):
        _refuse_foreign_file(Path(address))
    _bind(address)
    with plainly(address), connection():
        database = models.database.obj
        if not _holds_books(database):
            raise _no_books(address)
        schema = migrations.written_schema(database)
        migrations.refuse_future(schema)
        if schema < migrations.NEWEST:
            if not is_server(address):
                snapshots.copy_file(address, f"{address}.before-schema-{migrations.NEWEST}")
            migrations.migrate(database)
        gone = triggers.missing(database)
        if gone:
            raise BooksUnreachable(
                f"the history of these books is not protected ({len(gone)} triggers are gone)",
                remedy="They were changed by another program; restore a backup with `ullage restore PATH`",
                code="unprotected",
            )


def _holds_books(database: pw.Database) -> bool:
    if isinstance(database, pw.SqliteDatabase):
        query = "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = 'studio'"
    else:
        query = "SELECT 1 FROM pg_tables WHERE schemaname = current_schema() AND tablename = 'studio'"
    return database.execute_sql(query).fetchone() is not None


def _refuse_foreign_file(path: Path) -> None:
    """Look at the file's own header before SQLite does, which would write to it at once.

    Source of the offsets: the SQLite database file format, section 1.3.
    """
    try:
        with path.open("rb") as file:
            header = file.read(100)
    except OSError as error:
        raise BooksUnreachable(
            f"{path} can't be read: {error.strerror}", remedy="Check who may read it"
        ) from error
    if not header.startswith(b"SQLite format 3\0") or int.from_bytes(header[68:72], "big") != APPLICATION_ID:
        raise _no_books(str(path))


def _no_books(address: str) -> BooksUnreachable:
    return BooksUnreachable(
        f"{shown(address)} holds no studio's books", remedy="Name another with --studio", code="no-books"
    )


@contextmanager
def connection() -> Iterator[None]:
    """This thread's connection for as long as the block runs; inside another it is the same one."""
    if not models.database.is_closed():
        yield
        return
    with plainly():
        models.database.connect()
    try:
        yield
    finally:
        models.database.close()


@contextmanager
def writing() -> Iterator[None]:
    """The transaction of one errand: it lands whole or not at all. Inside another it is part of it.

    SQLite takes the write lock at once (BEGIN IMMEDIATE), since a read that later wants to write is
    refused without waiting; the busy timeout only covers the wait at the start.
    """
    with plainly(), models.database.atomic():
        yield


@contextmanager
def reading() -> Iterator[None]:
    """Several queries that see the books at one moment."""
    database = models.database.obj
    if database.in_transaction():
        yield
        return
    manner = "DEFERRED" if isinstance(database, pw.SqliteDatabase) else "REPEATABLE READ"
    with plainly():
        if isinstance(database, pw.SqliteDatabase):
            with database.atomic(manner):
                yield
        else:
            with database.atomic(isolation_level=manner):
                yield


def locked(query: "pw.ModelSelect") -> "pw.ModelSelect":
    """The query, its rows locked until the transaction ends where the engine locks rows."""
    return query.for_update() if models.database.obj.for_update else query
