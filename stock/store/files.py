"""SQLite files of books: opening them to book or to read, recognising them again, copying them page by page.

Opening never makes a file. A read-only file is read as it stands. A file that was removed or exchanged while it was
open is refused before anything is booked in it.
"""

import os
import sqlite3
import threading
import time
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from stock.errors import BooksUnreachable
from stock.language import _
from stock.remedies import Do, Remedy
from stock.store import open_files, paths, remarks, seal
from stock.store.orm import pw
from stock.store.paths import AnyPath

if TYPE_CHECKING:
    from tempfile import TemporaryDirectory

APPLICATION_ID = 0x554C4C47
PRAGMAS = (
    ("journal_mode", "wal"),
    ("synchronous", "full"),
    ("foreign_keys", 1),
    ("trusted_schema", 0),
    ("busy_timeout", 5000),
)
ONLY_READING = (("query_only", 1), ("trusted_schema", 0), ("busy_timeout", 5000))
PATIENCE_S = 10
OFTEN = "PRAGMA busy_timeout = 50"
SELDOM = f"PRAGMA busy_timeout = {dict(PRAGMAS)['busy_timeout']}"
PAGE = 4_096
"""Bytes of a page of a database, SQLite's default."""
_AS_THEY_ARE_IN_A_URI = frozenset(b"abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789/-._~")
"""The bytes of a path that stand in a URI as they are (RFC 3986, unreserved); the others are quoted."""
BESIDE = ("-wal", "-shm")
"""Endings of the files that SQLite keeps beside a file in use: its write-ahead log and the log's index."""


class Moved(BooksUnreachable):
    """The open file of books no longer stands at its path."""

    code = "books-moved"


def has_our_header(path: AnyPath) -> bool:
    """Whether the file's first bytes are those of an SQLite database marked as a studio's books.

    Source of the offsets: the SQLite database file format, section 1.3. A file that this process has open as books
    is known to be one, and its header is left alone (`open_files.open_here`).

    Raises:
        OSError: it can't be read.
    """
    with open_files.COUNTING:  # no connection is made while the file is open in another way
        if open_files.open_here(path):
            return True
        with paths.opened(path) as file:
            header = file.read(100)
    return header.startswith(b"SQLite format 3\0") and int.from_bytes(header[68:72], "big") == APPLICATION_ID


def uri(path: AnyPath, how: str) -> str:
    """The URI by which SQLite opens a file with `mode=ro` or `mode=rw`, which never make one."""
    if os.name != "posix":
        from pathlib import Path  # knows how drives are written

        return f"{Path(path).absolute().as_uri()}?{how}"
    whole = path if os.path.isabs(path) else os.path.join(os.getcwd(), path)
    signs = (chr(byte) if byte in _AS_THEY_ARE_IN_A_URI else f"%{byte:02X}" for byte in os.fsencode(whole))
    return f"file://{''.join(signs)}?{how}"


def reader(path: AnyPath) -> sqlite3.Connection:
    """A connection that only reads an existing file.

    Raises:
        sqlite3.Error, OSError: it can't be read.
    """
    return _Reading(os.fspath(path)).connect()


def copy_pages(old: sqlite3.Connection, new: sqlite3.Connection) -> None:
    """Copy a whole database from one connection to another; waits at most `PATIENCE_S` seconds for locks.

    Raises:
        OperationalError: one of them was locked for too long.
    """
    until = time.monotonic() + PATIENCE_S

    def watch(status: int, remaining: int, total: int) -> None:
        del remaining, total
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) and time.monotonic() >= until:
            raise sqlite3.OperationalError("database is locked")

    old.backup(new, progress=watch, sleep=0.05)


class _Reading:
    """Reads a file without write access: as it stands, or from a private copy that includes its log.

    SQLite reads a file with a write-ahead log only if it may write the log's index beside it. Without a log the file
    is complete (`immutable`); a leftover log is played into a copy.
    """

    def __init__(self, path: str) -> None:
        self.path = path
        self.copied: TemporaryDirectory[str] | None = None

    def connect(self, **options: Any) -> sqlite3.Connection:
        log = f"{self.path}-wal"
        folder = os.path.dirname(self.path) or os.curdir
        if os.path.exists(log) or (os.access(self.path, os.W_OK) and os.access(folder, os.W_OK)):
            try:
                return _probed(uri(self.path, "mode=ro"), options)
            except sqlite3.OperationalError as error:
                if not _unwritable(error):
                    raise
        if not os.path.exists(log) or not os.path.getsize(log):
            return _probed(uri(self.path, "mode=ro&immutable=1"), options)
        if self.copied is None:
            from tempfile import TemporaryDirectory  # only for a file that may not be written

            self.copied = TemporaryDirectory(prefix="ullage")
            for source in (log, self.path):
                _copy(source, os.path.join(self.copied.name, f"books{source.removeprefix(self.path)}"))
        return _probed(uri(os.path.join(self.copied.name, "books"), "mode=rw"), options)


def _copy(source: str, target: str) -> None:
    import shutil  # only for a file that may not be written

    try:
        shutil.copyfile(source, target)
    except (OSError, shutil.SpecialFileError) as error:
        raise BooksUnreachable(
            _(
                "{source} can't be read: {error}",
                source=source,
                error=getattr(error, "strerror", None) or error,
            ),
            remedy=_("Check what it is and who may read it"),
        ) from error


def _unwritable(error: sqlite3.Error) -> bool:
    return any(sign in str(error) for sign in ("unable to open", "readonly"))


def _probed(address: str, options: dict[str, Any]) -> sqlite3.Connection:
    """The connection after a first read, with which SQLite opens the file's log."""
    line = sqlite3.connect(address, uri=True, **options)
    try:
        line.execute("SELECT 1 FROM sqlite_schema").fetchone()
    except BaseException:
        line.close()
        raise
    return line


class File(pw.SqliteDatabase):
    """An SQLite file of books whose write lock is tried every few milliseconds until `PATIENCE_S` ends.

    SQLite's own busy handler retries less and less often, down to ten times a second. Where several benches book
    without a pause, one of them could wait for seconds.

    `studio` is when the studio was made, which identifies it; None until the books are opened.

    Args:
        path: the file.
        only_read: whether nothing is to be changed, even if it could be.
    """

    def __init__(self, path: str, *, only_read: bool = False) -> None:
        super().__init__(path, lock_type="IMMEDIATE", autoconnect=False)
        self.studio: str | None = None
        self._only_read = only_read
        self._stood = threading.local()
        self._reading = _Reading(path)

    def _connect(self) -> sqlite3.Connection:
        path = str(self.database)
        if self.studio is not None:
            self._refuse_if_gone(path)
        self._stood.counted = open_files.count_in(self.database)
        try:
            line = self._line(path)
            try:
                self._stood.file = open_files.identity(self.database)
                if self.studio is not None:
                    self._refuse_another(line)
            except BaseException:
                line.close()
                raise
        except BaseException:
            open_files.count_out(self._stood.counted)
            raise
        return line

    def _close(self, conn: sqlite3.Connection) -> None:
        super()._close(conn)
        open_files.count_out(self._stood.counted)

    def _line(self, path: str) -> sqlite3.Connection:
        if not self._only_read and os.access(path, os.W_OK):
            mend_modes(path)
            if self.studio is None and not open_files.open_here(path, besides=1) and not seal.take_off(path):
                remarks.note(
                    Remedy(
                        _(
                            "{path} was a backup and is not as it was when it was made: look at it with ",
                            path=path,
                        ),
                        Do("check"),
                    )
                )
            line = sqlite3.connect(
                uri(path, "mode=rw"), uri=True, timeout=self._timeout, isolation_level=None
            )
            try:
                self._prepare(line, PRAGMAS)
                return line
            except sqlite3.OperationalError as error:
                line.close()
                if not _unwritable(error):
                    raise
            except BaseException:
                line.close()
                raise
        line = self._reading.connect(timeout=self._timeout, isolation_level=None)
        self._prepare(line, ONLY_READING)
        if not self._only_read:
            remarks.note(
                _(
                    "{path} can't be written here: it is read as it stands, and nothing can be booked in it",
                    path=path,
                )
            )
        return line

    def _prepare(self, line: sqlite3.Connection, pragmas: Sequence[tuple[str, object]]) -> None:
        for pragma, value in pragmas:
            line.execute(f"PRAGMA {pragma} = {value}")
        self._add_conn_hooks(line)

    def _refuse_if_gone(self, path: str) -> None:
        try:
            ours = has_our_header(path)
        except FileNotFoundError:
            raise _moved(path, _("was taken away")) from None
        if not ours:
            raise _moved(path, _("was replaced by something that is no studio's books"))

    def _refuse_another(self, line: sqlite3.Connection) -> None:
        row = line.execute("SELECT made_at, name FROM studio").fetchone()
        if row is not None and row[0] != self.studio:
            raise _moved(str(self.database), _("holds the books of another studio now, {row!r},", row=row[1]))

    def begin(self, lock_type: str | None = None) -> None:
        """Begin a transaction; waits for another writer.

        Raises:
            OperationalError: the lock did not become free in time.
            Moved: other books, or none, stand at the path; nothing was booked.
        """
        if lock_type == "DEFERRED":
            super().begin(lock_type)
            return
        line = self.connection()
        line.execute(OFTEN)
        until = time.monotonic() + PATIENCE_S
        try:
            while True:
                try:
                    super().begin(lock_type)
                    break
                except pw.OperationalError as error:
                    if "locked" not in str(error) or time.monotonic() >= until:
                        raise
        finally:
            line.execute(SELDOM)
        if self._moved():
            self.rollback()
            raise _moved(str(self.database), _("was taken away or replaced"))

    def rows(self, sql: str, params: Any = None) -> list[tuple[Any, ...]]:
        """All rows that a statement answers with."""
        found: list[tuple[Any, ...]] = self.execute_sql(sql, params).fetchall()
        return found

    def know_again(self) -> None:
        """Remember whose books these are, and from now on refuse others at the same path."""
        self.studio = self.execute_sql("SELECT made_at FROM studio").fetchone()[0]

    def require_unmoved(self) -> None:
        """Check after a booking that the file still stands at its path.

        Raises:
            Moved: the booking is in a file that no longer stands there.
        """
        if not self.in_transaction() and self._moved():
            raise Moved(
                _(
                    "the file of books {database} was taken away or replaced while this was being booked: it "
                    "is booked in the file that was taken away",
                    database=self.database,
                ),
                remedy=_("Look for that file, or book it again in the books that stand there now"),
            )

    def _moved(self) -> bool:
        """Whether this thread is connected to a file that no longer stands at the path."""
        stood = getattr(self._stood, "file", None)
        return stood is not None and open_files.identity(self.database) != stood


def _moved(path: str, how: str) -> Moved:
    return Moved(
        _(
            "the file of books {path} {how} since it was opened; nothing was booked, and nothing was "
            "made in its place",
            path=path,
            how=how,
        ),
        remedy=Remedy(_("Put it back, or a backup: "), Do("restore"), _(" lists them; then open it again")),
    )


def mend_modes(path: str) -> None:
    """Make a leftover log writable that was made while the books were read-only.

    SQLite gives the files beside the books the mode that the books have at that moment.

    Raises:
        BooksUnreachable: the log belongs to another user; the sentence names it and the command that helps.
    """
    for ending in BESIDE:
        beside = f"{path}{ending}"
        if not os.path.exists(beside) or os.access(beside, os.W_OK):
            continue
        try:
            os.chmod(beside, os.stat(path).st_mode & 0o777)
        except OSError as error:
            raise BooksUnreachable(
                _("{beside} may not be written, and without it nothing can be booked", beside=beside),
                remedy=_(
                    "It is left from when the books could only be read; let its owner run: chmod u+w {beside}",
                    beside=beside,
                ),
            ) from error
        remarks.note(
            _("{beside} could only be read, as the books once could; it can be written again", beside=beside)
        )


def never_finished(path: AnyPath) -> bool:
    """Whether making books stopped before the first table, so that the file has at most one page and no log.

    Bookings may still stand in the log only. A file with a second name may have its log beside that name, so it counts
    as finished.

    Raises:
        OSError: it can't be read.
    """
    if os.path.islink(path) or not os.path.isfile(path):
        return False
    state = os.stat(path)
    log = f"{os.fspath(path)}-wal"
    if state.st_nlink > 1 or (os.path.exists(log) and os.path.getsize(log)):
        return False
    return not state.st_size or (state.st_size <= PAGE and has_our_header(path))
