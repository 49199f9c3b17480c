"""Backups of a studio, and putting one back without losing what it replaces.

A backup of a file and one of a studio on a server are the same: a complete file of books, which can be restored to
either. The books that a restore replaces are kept, and the answer says where.
"""

import os
import sqlite3
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from itertools import chain, count
from pathlib import Path
from tempfile import TemporaryDirectory

from stock import clock
from stock.errors import BadInput, BooksUnreachable, UllageError
from stock.exchange import copying, replacing
from stock.language import _
from stock.remedies import Do, Remedy
from stock.store import addresses, connection, file_checks, migrations, models, outputs, seal, snapshots
from stock.store.orm import pw
from stock.store.refusals import damaged, plainly

MOST_LISTED = 10
# Records that a person keeps beside the bookings; rows that a backup lacks or has differently are counted by table.
TOLD_TABLES = (
    models.Studio, models.Supplier, models.Product, models.Line, models.Pack, models.DataSheet, models.Dosing,
    models.Place, models.Job, models.Recipe, models.OwnSubstance, models.RuleChoice, models.Training, models.Invoice,
    models.Silence, models.CardTest,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Made:
    """A backup that was made and found sound."""

    path: Path
    size_bytes: int
    bookings: int


@dataclass(frozen=True, slots=True)
class Loss:
    """The content of the present books that a backup doesn't have: bookings by kind, and rows by table.

    `newest` are (number, kind, when) of the last bookings, newest first. `readable` is False if the present books are
    damaged, so that their content is not known.
    """

    bookings: Mapping[str, int] = field(default_factory=dict)
    newest: tuple[tuple[int, str, datetime], ...] = ()
    rows: Mapping[str, int] = field(default_factory=dict)
    readable: bool = True

    def __bool__(self) -> bool:
        return bool(self.bookings or self.rows or not self.readable)

    def as_json(self) -> dict[str, object]:
        """The loss for scripts."""
        return {
            "readable": self.readable,
            "bookings": dict(self.bookings),
            "newest": [
                {"id": number, "kind": kind, "at": clock.stamp(at)} for number, kind, at in self.newest
            ],
            "changed_rows": dict(self.rows),
        }


def make(books: str, target: str | None = None) -> Made:
    """Back the books up, even while they are in use, and check the backup.

    Args:
        books: their address.
        target: a file to make or a folder to put it in; for a file of books, its folder of backups when None.
    Raises:
        BadInput: a server's studio was given no target.
        outputs.WouldOverwrite: something stands at the target.
        BooksUnreachable: it can't be written, or the books can't be read or are damaged; no backup is left
            that could be mistaken for a good one.
    """
    with copying.opened(books):
        pass  # there are books
    path = _target(books, target)
    with _plain_paths(path), plainly(books), _sound_source(books):
        if addresses.is_server(books):
            _from_server(books, path)
        else:
            snapshots.copy_file(books, path)
    with copying.opened(str(path)) as made:
        count = made.execute_sql("SELECT count(*) FROM booking").fetchone()[0]
    return Made(path, path.stat().st_size, int(count))


def _target(books: str, target: str | None) -> Path:
    kind = "asked"
    if target is None and addresses.is_server(books):
        raise BadInput(
            _("where should the backup of a server's studio go?"),
            remedy=Remedy(_("Name a file: "), Do("backup", "PATH")),
        )
    with _plain_paths(Path(books)):
        path = snapshots.place(books, kind) if target is None else Path(target)
        if os.path.isdir(path):
            path = path / f"{kind}-{clock.now():%Y-%m-%dT%H%M%S}Z.ullage"
    outputs.check(path, books, errand=outputs.BOOKS)
    return path


@contextmanager
def _sound_source(books: str) -> Iterator[None]:
    try:
        yield
    except file_checks.Unsound as error:
        raise BooksUnreachable(
            _("these books are not sound and were not backed up: {problem}", problem=error.problem),
            remedy=damaged(books).remedy,
            code="damaged",
        ) from error


@contextmanager
def _plain_paths(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise BooksUnreachable(
            _("{path} can't be written: {strerror}", path=path, strerror=error.strerror or error),
            remedy=_("Check that its folder exists, may be written and has room"),
        ) from error


def _from_server(books: str, path: Path) -> None:
    """A server's studio as a file: copied under another name, checked, and only then renamed."""
    with TemporaryDirectory(dir=path.parent, prefix=f".{path.name}.") as folder:
        part = Path(folder) / path.name
        copying.copy(books, str(part))
        with closing(sqlite3.connect(part)) as file:
            file.execute("PRAGMA journal_mode = DELETE")
        file_checks.require(part)
        seal.put_on(part)
        snapshots.settle(part, path)


def loss(backup: Path, books: str) -> Loss:
    """The content of the present books that is missing or different in the backup.

    Args:
        backup: a sound file of books.
        books: the address to restore to; if nothing is there, nothing can be lost.
    """
    if not addresses.is_server(books) and not os.path.exists(books):
        return Loss()
    try:
        with TemporaryDirectory() as folder:
            source = _of_newest_schema(backup, Path(folder))
            with copying.opened(str(source)) as old, copying.opened(books) as new:
                return _difference(old, new)
    except BooksUnreachable as error:
        return Loss() if error.code == "no-books" and addresses.is_server(books) else Loss(readable=False)
    except (UllageError, ValueError, pw.ProgrammingError):
        return Loss(readable=False)


def _difference(old: pw.Database, new: pw.Database) -> Loss:
    query = "SELECT id, kind, at, booked_at FROM booking"
    had = {row[0]: row for row in old.execute_sql(query)}
    lost = [row for row in new.execute_sql(query) if had.get(row[0]) != row]
    lost.sort(key=lambda row: row[0], reverse=True)
    rows = {}
    for table in TOLD_TABLES:
        old_rows = set(copying.read(old, table))
        changed = sum(row not in old_rows for row in copying.read(new, table))
        if changed:
            rows[table._meta.table_name] = changed
    return Loss(
        bookings=Counter(row[1] for row in lost),
        newest=tuple((row[0], row[1], clock.read_stamp(row[2])) for row in lost[:MOST_LISTED]),
        rows=rows,
    )


def restore(backup: Path, books: str) -> str | None:
    """Put a backup in the place of the books at an address, whole or not at all.

    Errands that are under way finish first and are in the books that are kept. Later ones work on the restored books,
    also in other programs that have them open.

    Returns:
        Where the previous books are kept: a file's path or a server's schema; None if there were none.
    Raises:
        sound.Unsound: the backup is no sound file of books; nothing is changed.
        BooksUnreachable: it can't be written; the books are as they were.
    """
    file_checks.require(backup)
    if addresses.is_server(books):
        return _to_server(backup, books)
    with _plain_paths(Path(books)), plainly(books):
        return _to_file(backup, Path(books).resolve())


def _to_file(backup: Path, path: Path) -> str | None:
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with TemporaryDirectory(dir=path.parent, prefix=f".{path.name}.") as folder:
        source = _copy_of_newest_schema(backup, Path(folder))
        if path.exists():
            return str(replacing.replace(source, path))
        replacing.set_log_aside(path, path)
        snapshots.copy_file(str(source), path)
        return None


def _to_server(backup: Path, books: str) -> str | None:
    """Make the restored studio in place of the old one, in one transaction; the old one moves to another schema."""
    schema = addresses.schema_of(books)
    with TemporaryDirectory() as folder:
        source = _of_newest_schema(backup, Path(folder))
        with copying.opened(str(source)) as old, copying.fresh(books) as new:
            kept = None
            if connection.holds_books(new):
                kept = _free_schema(new, f"{schema[:20]}_before_restore_{clock.now():%Y%m%d_%H%M%S}")
                new.execute_sql("LOCK TABLE booking IN ACCESS EXCLUSIVE MODE")
                new.execute_sql(f'ALTER SCHEMA "{schema}" RENAME TO "{kept}"')
            connection.make_tables(new, books)
            copying.transfer(old, new)
    return kept


def _free_schema(database: pw.Database, name: str) -> str:
    """The name, or where another restore of that second has taken it, the name with the next number behind it."""
    taken = {row[0] for row in database.execute_sql("SELECT nspname FROM pg_namespace").fetchall()}
    numbered = (f"{name}_{number}" for number in count(2))
    return next(free for free in chain([name], numbered) if free not in taken)


def _of_newest_schema(backup: Path, folder: Path) -> Path:
    """The backup itself, or a copy upgraded to the newest schema, which a server's tables always have."""
    return (
        backup
        if file_checks.schema_of(backup) == migrations.NEWEST
        else _copy_of_newest_schema(backup, folder)
    )


def _copy_of_newest_schema(backup: Path, folder: Path) -> Path:
    """A checked copy that nobody else writes to, upgraded to the newest schema."""
    copied = folder / "restoring.ullage"
    snapshots.copy_file(str(backup), copied)
    if file_checks.schema_of(copied) < migrations.NEWEST:
        with copying.fresh(str(copied)) as database:
            migrations.migrate(database)
    return copied


def due(books: str) -> bool:
    """Whether a file of books has no backup of today yet; cheap enough for a program that runs for days."""
    return not addresses.is_server(books) and snapshots.due(books)


def daily(books: str) -> Path | None:
    """Make today's backup of a file of books if there is none yet; a server's studio is backed up only on request.

    Returns:
        The new backup, or None.
    Raises:
        BooksUnreachable: it could not be made, in one sentence.
    """
    if addresses.is_server(books):
        return None
    with _plain_paths(snapshots.folder(books)), plainly(books), _sound_source(books):
        return snapshots.daily(books)
