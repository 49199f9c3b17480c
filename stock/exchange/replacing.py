"""Replacing the books of a file by a backup: the old ones are kept and replaced in one step, under the booking lock.

Programs that have the file open see the restored books at their next look, because the file stays and its rows are
exchanged in one transaction. Only a file that is too damaged for that is exchanged as a whole.
"""

import os
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from stock.errors import BooksUnreachable
from stock.language import _
from stock.store import file_checks, files, snapshots


def replace(backup: Path, path: Path) -> Path:
    """Replace the books at `path` by a sound backup of the newest schema; whole or not at all.

    Everything that was booked before the lock is taken is in the books that are kept; later bookings go into the
    restored books or are refused.

    Args:
        backup: a file of books that nobody writes to.
        path: a file, of books that may be in use and may be damaged; no link.
    Returns:
        Where the previous books are kept.
    Raises:
        BooksUnreachable: another program went on writing; nothing was changed.
        OSError, sqlite3.Error: it can't be written; the books are as they were.
    """
    kind = "damaged" if file_checks.problems(path) else "before-restore"
    with _held(path) as live:
        if live is not None:
            kept = _exchange_rows(live, backup, path, kind)
            if kept is not None:
                return kept
        return _exchange_files(backup, path)


@contextmanager
def _held(path: Path) -> Iterator[sqlite3.Connection | None]:
    """The file with its write lock held, or None if it is too damaged to be locked."""
    if not files.has_our_header(path):
        yield None
        return
    try:
        live = sqlite3.connect(files.uri(path, "mode=rw"), uri=True, isolation_level=None, timeout=0.05)
    except sqlite3.DatabaseError:
        yield None
        return
    with closing(live):
        try:
            _wait(live, "PRAGMA journal_mode = wal")
            live.execute("PRAGMA synchronous = full")
            _wait(live, "BEGIN IMMEDIATE")
        except sqlite3.DatabaseError as error:
            if _is(error, "locked", "readonly", "unable to open", "full", "disk I/O"):
                raise
            yield None
            return
        try:
            yield live
        finally:
            with suppress(sqlite3.Error):
                if live.in_transaction:
                    live.execute("ROLLBACK")


def _is(error: sqlite3.Error, *signs: str) -> bool:
    return any(sign in str(error) for sign in signs)


def _wait(live: sqlite3.Connection, statement: str) -> None:
    """Run a statement that needs a lock, trying every few milliseconds until the patience ends.

    Raises:
        BooksUnreachable: the holder did not release it.
    """
    until = time.monotonic() + files.PATIENCE_S
    while True:
        try:
            live.execute(statement)
            return
        except sqlite3.OperationalError as error:
            if not _is(error, "locked"):
                raise
            if time.monotonic() >= until:
                raise BooksUnreachable(
                    _(
                        "another program has held the books for {patience_s} seconds; nothing was restored",
                        patience_s=files.PATIENCE_S,
                    ),
                    remedy=_("End it, or wait until it is done, then restore again"),
                ) from error


def _exchange_rows(live: sqlite3.Connection, backup: Path, path: Path, kind: str) -> Path | None:
    """Keep a copy and replace all rows by the backup's; None if damage prevents it."""
    kept = snapshots.place(str(path), kind)
    try:
        snapshots.copy_file(str(path), kept, look=False)
        _put_rows(live, backup)
        if live.execute("PRAGMA main.integrity_check(1)").fetchone() != ("ok",):
            raise sqlite3.DatabaseError("malformed")
        live.execute("COMMIT")
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
        with suppress(sqlite3.Error):
            live.execute("ROLLBACK")
        kept.unlink(missing_ok=True)
        if isinstance(error, sqlite3.Error) and _is(error, "locked", "readonly", "full", "disk I/O"):
            raise
        with suppress(sqlite3.Error):
            _wait(live, "BEGIN IMMEDIATE")
        return None
    with suppress(sqlite3.Error):
        live.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return kept


def _put_rows(live: sqlite3.Connection, backup: Path) -> None:
    """Replace the present tables by the backup's, in the open transaction.

    The backup is read by a connection of its own, because SQLite can't attach a file inside a transaction.
    """
    for kind in ("trigger", "table"):
        for (name,) in live.execute(
            "SELECT name FROM sqlite_schema WHERE type = ? AND name NOT LIKE 'sqlite_%'", (kind,)
        ).fetchall():
            live.execute(f'DROP {kind} "{name}"')
    with closing(files.reader(backup)) as old:
        made = old.execute("SELECT type, name, sql FROM sqlite_schema WHERE sql IS NOT NULL").fetchall()
        tables = [(name, sql) for kind, name, sql in made if kind == "table"]
        for name, sql in tables:
            live.execute(sql)
            columns = len(old.execute(f'PRAGMA table_info("{name}")').fetchall())
            marks = ", ".join("?" * columns)
            live.executemany(
                f'INSERT INTO "{name}" VALUES ({marks})',  # noqa: S608 - a name of ours, looked at by `sound`
                old.execute(f'SELECT * FROM "{name}"'),  # noqa: S608
            )
        for kind, __, sql in made:
            if kind != "table":
                live.execute(sql)


def _exchange_files(backup: Path, path: Path) -> Path:
    """Swap files, because a damaged file can't be written to; its log must not be applied to the restored file."""
    kept = snapshots.place(str(path), "damaged")
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    part.unlink(missing_ok=True)
    try:
        snapshots.copy_file(str(backup), part)
        set_log_aside(path, kept)
        snapshots.private(kept)
        kept.write_bytes(path.read_bytes())
        snapshots.settle(part, path)
    finally:
        part.unlink(missing_ok=True)
    return kept


def set_log_aside(path: Path, kept: Path) -> None:
    """Move away the log of lost or damaged books, which would be applied to any new file of that name."""
    for ending in files.BESIDE:
        with suppress(FileNotFoundError):
            os.replace(f"{path}{ending}", f"{kept}.left{ending}")
