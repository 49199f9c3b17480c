"""A copy of an SQLite file while it is in use, by SQLite's own online backup."""

import os
import sqlite3
from contextlib import closing


def copy_file(source: str, target: str) -> None:
    """Copy the books at `source` to a new file `target` that only its owner may read.

    Copying the file alone would lose what is still in its write-ahead log.

    Raises:
        FileExistsError: `target` exists.
        sqlite3.DatabaseError: `source` can't be read.
    """
    os.close(os.open(target, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
    with (
        closing(sqlite3.connect(f"file:{source}?mode=ro", uri=True)) as old,
        closing(sqlite3.connect(target)) as new,
    ):
        old.backup(new)
