"""Opening a studio's books, and the transactions in which everything else runs.

A process has one studio open; `open_books` binds the tables to its database. Every thread reads and writes inside
`connection()`. `writing()` is the transaction of an errand, `reading()` gives several queries one view of the books.

WAL needs a local disk; on a network share use a PostgreSQL server. The idioms that hold on both engines,
and the traps, are explained beside each helper.
"""

import os
import sqlite3
from collections import Counter
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from stock import clock
from stock.errors import BooksUnreachable, UllageError
from stock.language import _
from stock.notation import show_minute
from stock.remedies import Do, Option, Remedy
from stock.store import (
    addresses,
    files,
    migrations,
    models,
    paths,
    remarks,
    triggers,
)
from stock.store.orm import pw
from stock.store.refusals import LineLost, damaged, plainly

if TYPE_CHECKING:
    from pathlib import Path

CLOCKS_DIFFER = timedelta(minutes=2)
"""The difference of two benches' clocks up to which no remark is noted."""


def engine(address: str, *, patient: bool = False) -> pw.Database:
    """The engine of the books at `address`, not yet connected and not bound to the tables.

    Args:
        address: a file path or a server's URL.
        patient: whether a server's statements may take long, as for moving a whole studio.
    """
    if addresses.is_server(address):
        from stock.store import server  # a file does without

        return server.engine(address, patient=patient)
    return files.File(address)


def make_books(address: str, studio: dict[str, Any]) -> None:
    """Make empty books, with the studio's one row, at an unused address.

    Args:
        address: a file path or a server's URL.
        studio: the columns of `models.Studio`, less its number and schema.
    Raises:
        BooksUnreachable: the place can't be written.
        UllageError: something stands there already.
    """
    make_room(address)
    _bind(address)
    with plainly(address), connection():
        database = models.database.obj
        with database.atomic():
            make_tables(database, address)
            models.Studio.insert(id=1, schema_version=migrations.NEWEST, **studio).execute()


def make_room(address: str, beside: str = "") -> None:
    """Make the file for books at `address`; does nothing for a server.

    Args:
        address: a file path or a server's URL.
        beside: the address of books in use, whose own files and backups may not be taken.
    Raises:
        WouldOverwrite: something stands there already.
        BooksUnreachable: the file can't be made.
    """
    if addresses.is_server(address):
        return
    from pathlib import Path

    from stock.store import outputs  # once in the life of a file

    path = Path(address)
    try:
        outputs.check(path, beside, errand=outputs.BOOKS, replace=files.never_finished(path))
        _make_file(path)
    except OSError as error:
        raise BooksUnreachable(
            _("{path} can't be made: {strerror}", path=path, strerror=error.strerror),
            remedy=Remedy(_("Name another file "), Option("studio")),
        ) from error


def make_tables(database: pw.Database, address: str) -> None:
    """Make the tables of the newest schema in an engine's open transaction; a server's schema must hold no books.

    Raises:
        UllageError: there are books in that schema.
    """
    if addresses.is_server(address):
        from stock.store import server  # a file does without

        server.make_schema(database, addresses.schema_of(address))
        if holds_books(database):
            raise UllageError(
                _("there are books on that server already; nothing was changed"),
                remedy=_("Name another schema with ?schema=NAME"),
                code="exists",
            )
    migrations.create(database)


def _make_file(path: "Path") -> None:
    """A file that only its owner may read, since it holds customers' names and prices; marked as ours.

    The mark is written before the write-ahead log is begun, so that it stands in the file's own header. Both steps
    use a rollback journal whose deletion is synced to the disk: a journal that reappeared after a power cut would undo
    what was booked since.
    """
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
    with plainly(str(path)), closing(sqlite3.connect(path)) as fresh:
        fresh.execute(f"PRAGMA application_id = {files.APPLICATION_ID}")
        fresh.execute("PRAGMA journal_mode = wal")
    from stock.store import snapshots  # once in the life of a file

    snapshots.settled(path.parent)


def _bind(address: str) -> None:
    from stock.store import settings  # noqa: F401 - it says from then on how the opened studio writes figures and days

    database = engine(address)
    if models.database.obj is not None and not models.database.is_closed():
        models.database.close()
    models.database.initialize(database)


def open_books(address: str) -> None:
    """Bind the tables to the books at `address`, bringing an older schema to the newest first.

    A backup of an older schema is taken before anything is changed: of a file into the folder of its
    backups, on a server as a schema beside it.

    Raises:
        BooksUnreachable: nothing stands there, it is no studio's books or damaged, a later Ullage wrote
            them, or the triggers that protect the history are gone.
    """
    remarks.forget()
    if not addresses.is_server(address):
        _refuse_foreign_file(address)
    _bind(address)
    with plainly(address), connection():
        database = models.database.obj
        if not holds_books(database):
            raise _no_books(address)
        schema = migrations.written_schema(database)
        migrations.refuse_future(schema)
        if schema < migrations.NEWEST:
            _bring_up(database, address)
        gone = triggers.missing(database)
        if gone:
            raise BooksUnreachable(
                _(
                    "the history of these books is not protected ({gone} triggers are gone or altered)",
                    gone=len(gone),
                ),
                remedy=Remedy(
                    _("They were changed by another program; restore a backup with "), Do("restore", "PATH")
                ),
                code="unprotected",
            )
        database.know_again()
        _note_clock(database)


def _note_clock(database: pw.Database) -> None:
    """Note a remark if the newest booking is later than this machine's clock."""
    now = clock.now()
    row = database.execute_sql("SELECT booked_at FROM booking ORDER BY id DESC LIMIT 1").fetchone()
    newest = row[0] if row is not None else ""
    last_day = database.execute_sql("SELECT MAX(day) FROM booking").fetchone()[0] or ""
    # Both are texts in the order of time; what is no time at all `ullage check` finds.
    if newest > clock.stamp(now + CLOCKS_DIFFER) or last_day > f"{now + timedelta(1):%Y-%m-%d}":
        of = max(newest[:16].replace("T", " "), last_day)
        remarks.note(
            _(
                "the books hold bookings of {of}, and this machine's clock says {now} UTC: it was set "
                "back, or was ahead when they were booked; look at it before you book",
                of=of,
                now=show_minute(now),
            )
        )


def _bring_up(database: pw.Database, address: str) -> None:
    from stock.store import file_checks, server, snapshots  # once a schema

    kind = f"before-schema-{migrations.NEWEST}"
    if addresses.is_server(address):
        keep_as = f"{addresses.schema_of(address)[:33]}_{kind.replace('-', '_')}"
        with server.patiently(database):
            migrations.migrate(database, keep_as=keep_as)
        return
    try:
        snapshots.take(address, kind)
    except (OSError, file_checks.Unsound) as error:
        raise BooksUnreachable(
            _("these books are of an older schema and can't be backed up first ({error})", error=error),
            remedy=_("Free some room beside them; nothing was changed"),
        ) from error
    migrations.migrate(database)


def holds_books(database: pw.Database) -> bool:
    """Whether the connected file or schema contains a studio's tables.

    Raises:
        NoRight: the role may not use the server's schema.
    """
    if isinstance(database, pw.SqliteDatabase):
        query = "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = 'studio'"
        return database.execute_sql(query).fetchone() is not None
    query = "SELECT 1 FROM pg_tables WHERE schemaname = current_schema() AND tablename = 'studio'"
    if database.execute_sql(query).fetchone() is not None:
        return True
    from stock.store import rights  # a file does without

    rights.require_schema(database)
    return False


def _refuse_foreign_file(path: str) -> None:
    """Refuse a file that is no studio's books by its header, before SQLite opens it and writes to it."""
    try:
        kind = paths.odd(path)
        if kind:
            raise BooksUnreachable(
                _("{path} is {kind} and no file of books", path=path, kind=kind),
                remedy=Remedy(_("Name another "), Option("studio")),
                code="no-books",
            )
        if not os.path.isfile(path):
            raise BooksUnreachable(
                _("there are no books at {path}", path=path),
                remedy=Remedy(_("Make them with "), Do("new")),
                code="no-books",
            )
        ours = files.has_our_header(path)
    except OSError as error:
        raise BooksUnreachable(
            _("{path} can't be read: {strerror}", path=path, strerror=error.strerror),
            remedy=_("Check who may read it"),
        ) from error
    if not ours:
        raise _no_books(path)


def _no_books(address: str) -> BooksUnreachable:
    from stock.store import snapshots  # only for the refusal

    if not addresses.is_server(address) and snapshots.listing(address):
        return damaged(address)
    return BooksUnreachable(
        _("{address} holds no studio's books", address=addresses.shown(address)),
        remedy=Remedy(_("Name another "), Option("studio")),
        code="no-books",
    )


@contextmanager
def connection() -> Iterator[None]:
    """Connect this thread for the block; a nested block uses the same connection.

    Raises:
        BooksUnreachable: the engine failed; the message is a sentence, not the engine's.
    """
    database = models.database.obj
    if not models.database.is_closed():
        if isinstance(database, pw.PostgresqlDatabase):
            with plainly():
                _revive(database)
        yield
        return
    with plainly(_address(database)):
        database.connect()
        try:
            yield
        finally:
            if models.database.obj is database and not database.is_closed():
                database.close()


def _address(database: pw.Database) -> str:
    """The path of an engine's file, for a refusal that names its backups; empty for a server."""
    return str(database.database) if isinstance(database, pw.SqliteDatabase) else ""


_written: Counter[str] = Counter()


def wrote_to(address: str) -> bool:
    """Whether this process has booked in the file of books at `address`."""
    return address in _written


def landed() -> int:
    """The number of errands' transactions that this process has committed, in any books."""
    return _written.total()


@contextmanager
def writing(*, books: bool = True) -> Iterator[None]:
    """The transaction of one errand, committed whole or not at all; a nested block is part of the outer one.

    SQLite takes the write lock at once (BEGIN IMMEDIATE), because a transaction that begins with a read and then
    writes is refused without waiting; the busy timeout only covers the wait at the start.

    Args:
        books: False to take only the lock and write nothing.
    Raises:
        LineLost: a server went away; the sentence says whether nothing was booked or this is unknown.
    """
    database = models.database.obj
    finished = False
    try:
        with plainly(_address(database)):
            _revive(database)
            with database.atomic():
                yield
                finished = True
            if books and not database.in_transaction():
                _written[_address(database)] += 1
            if isinstance(database, files.File):
                database.require_unmoved()
    except LineLost as lost:
        if not finished:
            raise
        remedy = Remedy(
            _("Look at "),
            Do("logbook"),
            _(" whether it was booked, or repeat it "),
            Option("key"),
            _(" as it had"),
        )
        raise LineLost(lost.message, remedy=remedy) from None
    except files.Moved:
        raise
    except BooksUnreachable as failed:
        if not finished or not isinstance(database, pw.SqliteDatabase):
            raise
        # All of it may stand in the log already, from which whoever opens the books next would bring it back.
        what = failed.message.partition(";")[0]
        raise BooksUnreachable(
            _("{what} in the moment of booking, and it can't be known whether it was booked", what=what),
            remedy=Remedy(
                _("Look at "),
                Do("logbook"),
                _(", or repeat it "),
                Option("key"),
                _(" as it had; check the disk and its free room"),
            ),
            code="unsure",
        ) from failed


@contextmanager
def reading() -> Iterator[None]:
    """Let all queries of the block see the books as they were at one moment."""
    database = models.database.obj
    if database.in_transaction():
        yield
        return
    manner = {} if isinstance(database, pw.SqliteDatabase) else {"isolation_level": "REPEATABLE READ"}
    args = ("DEFERRED",) if isinstance(database, pw.SqliteDatabase) else ()
    with plainly(_address(database)):
        _revive(database)
        with database.atomic(*args, **manner):
            yield


def _revive(database: pw.Database) -> None:
    if isinstance(database, pw.PostgresqlDatabase) and not database.in_transaction():
        from stock.store import server  # a file does without

        server.revive(database)


def locked(query: "pw.ModelSelect") -> "pw.ModelSelect":
    """The query with its rows locked until the transaction ends, on an engine that locks rows."""
    return query.for_update() if models.database.obj.for_update else query
