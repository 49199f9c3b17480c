"""Backups of a file of books: taken while it is in use, checked before they are trusted, thinned out with time.

A backup is a complete file of books. Automatic ones stand in a folder beside the books, `studio.ullage.backups`; the
moment in their names is UTC.
"""

import os
import re
import sqlite3
from collections.abc import Sequence
from contextlib import closing, suppress
from datetime import date, datetime
from pathlib import Path

from stock import clock
from stock.named_tuples import NamedTuple
from stock.store import file_checks, files, seal

DAILY, WEEKLY, MONTHLY = 7, 4, 12
NAME = re.compile(r"(?P<kind>[a-z0-9-]+?)-(?P<at>\d{4}-\d\d-\d\dT\d{6})Z\.ullage")


class Snapshot(NamedTuple):
    """A backup beside the books: why it was made (`daily`, `asked`, `before-...`) and when, in UTC."""

    path: Path
    kind: str
    at: datetime


def folder(books: str) -> Path:
    """The folder for backups of a file of books, which may not exist yet."""
    return Path(f"{books}.backups")


def listing(books: str) -> list[Snapshot]:
    """The backups beside a file of books, newest first, without unfinished ones."""
    found: list[Snapshot] = []
    if not os.path.isdir(folder(books)):
        return found
    with suppress(FileNotFoundError, NotADirectoryError):
        for path in folder(books).iterdir():
            match = NAME.fullmatch(path.name)
            if match is not None:
                at = datetime.fromisoformat(f"{match['at']}Z")  # for every booking; strptime loads calendars
                found.append(Snapshot(path, match["kind"], at))
    return sorted(found, key=lambda one: (one.at, one.path.name), reverse=True)


def place(books: str, kind: str) -> Path:
    """An unused path for a backup made now; its folder is made for the owner alone."""
    into = folder(books)
    into.mkdir(mode=0o700, exist_ok=True)
    at = clock.now()
    while True:
        path = into / f"{kind}-{at:%Y-%m-%dT%H%M%S}Z.ullage"
        if not path.exists():
            return path
        kind = f"{kind}-again"


def take(books: str, kind: str) -> Path:
    """Back up a file of books into its own folder and check the copy.

    Raises:
        OSError, sqlite3.Error: it can't be read or written.
        Unsound: the copy is no sound file of books, so its source isn't either.
    """
    target = place(books, kind)
    copy_file(books, target)
    return target


def copy_file(source: str, target: Path, *, look: bool = True) -> None:
    """Copy the books at `source`, which may be in use, to a new file that only its owner may read.

    The copy gets its name only when it is whole, on the disk and, with `look`, found sound. Copying the file
    alone would lose what is still in its write-ahead log.

    Raises:
        FileExistsError: `target` exists.
        OSError, sqlite3.Error: it can't be read or written.
        Unsound: the copy is no sound file of books.
    """
    if target.exists():
        raise FileExistsError(target)
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    private(part)
    try:
        with (
            closing(files.reader(Path(source))) as old,
            closing(sqlite3.connect(part)) as new,
        ):
            files.copy_pages(old, new)
            new.execute("PRAGMA journal_mode = DELETE")
            new.execute("PRAGMA user_version = 0")  # the seal of what was copied
        if look:
            file_checks.require(part)
        seal.put_on(part)
        settle(part, target)
    finally:
        part.unlink(missing_ok=True)


def private(path: Path) -> None:
    """Make an empty file that only its owner may read, replacing a leftover of the same name."""
    path.unlink(missing_ok=True)
    os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))


def settle(part: Path, target: Path) -> None:
    """Give a finished file its name, so that after a power cut it is either complete or absent."""
    settled(part)
    os.replace(part, target)
    settled(target.parent)


def settled(path: Path) -> None:
    """Wait until a file or a folder's list of files is on the disk.

    Windows can sync only a writable file and no folder; there nothing is waited for.
    """
    folder = path.is_dir()
    if folder and not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(path, os.O_RDONLY if folder else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def newest_good(books: str) -> Snapshot | None:
    """The newest backup that is a sound file of books, or None."""
    return next((one for one in listing(books) if not file_checks.problems(one.path)), None)


def kept(made: Sequence[date]) -> set[date]:
    """The daily backups to keep: the newest 7 days, and the last one of the newest 4 weeks and 12 months.

    Args:
        made: the days of the backups, in any order.
    Returns:
        The days whose backups stay. Weeks and months without a backup don't count, so an idle studio keeps its old
        backups.
    """
    days = sorted(set(made), reverse=True)
    weeks: dict[tuple[int, int], date] = {}
    months: dict[tuple[int, int], date] = {}
    for day in days:
        weeks.setdefault(day.isocalendar()[:2], day)
        months.setdefault((day.year, day.month), day)
    return {*days[:DAILY], *list(weeks.values())[:WEEKLY], *list(months.values())[:MONTHLY]}


def thin_out(books: str) -> list[Path]:
    """Delete the daily backups that `kept` doesn't keep; others always stay."""
    daily = [one for one in listing(books) if one.kind == "daily"]
    stay = kept([one.at.date() for one in daily])
    gone = []
    for one in daily:
        if one.at.date() not in stay:
            one.path.unlink(missing_ok=True)
            gone.append(one.path)
    return gone


def due(books: str) -> bool:
    """Whether today (the UTC day) has no daily backup yet; costs one look into a folder."""
    today = clock.now().date()
    return not any(one.kind == "daily" and one.at.date() == today for one in listing(books))


def daily(books: str) -> Path | None:
    """Make today's backup if there is none yet, and thin out the older ones.

    Returns:
        The new backup; None if today has one.
    Raises:
        What `take` raises; the older backups are left alone then.
    """
    if not due(books):
        return None
    made = take(books, "daily")
    thin_out(books)
    for leftover in folder(books).glob(".*.part"):
        if leftover.stat().st_mtime < clock.now().timestamp() - 86_400:
            leftover.unlink(missing_ok=True)
    return made
