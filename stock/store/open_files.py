"""Which SQLite files this process has a connection to: such a file must not be opened in any other way."""

import os
import threading
from collections import Counter

_open_here: Counter[tuple[int, int]] = Counter()
"""How many connections this process has to each file, by the file's device and inode."""
COUNTING = threading.Lock()
"""Held while connections are counted, and by whoever opens a file in another way, so that none is made meanwhile."""


def open_here(path: str | os.PathLike[str], *, besides: int = 0) -> bool:
    """Whether this process has a connection to the file, so that it must not be opened in any other way.

    `besides` connections of whoever asks don't count.

    POSIX drops all of a process's locks on a file when the process closes any descriptor of it (fcntl(2); SQLite,
    "How To Corrupt An SQLite Database File", section 2.2). Another program would then believe to be the last one
    and delete the log in which this one's next booking is written.
    """
    file = identity(os.fspath(path))
    return file is not None and _open_here[file] > besides


def identity(path: str) -> tuple[int, int] | None:
    """The device and inode of the file that stands at a path; None where none does."""
    try:
        found = os.stat(path)  # asked twice a booking; a Path takes longer to make than the question
    except OSError:
        return None
    return found.st_dev, found.st_ino


def count_in(path: str) -> tuple[int, int] | None:
    """Count one connection more to the file at a path; what is returned is handed to `count_out` when it closes."""
    with COUNTING:
        file = identity(path)
        if file is not None:
            _open_here[file] += 1
        return file


def count_out(file: tuple[int, int] | None) -> None:
    """Count one connection less to a file that `count_in` counted."""
    with COUNTING:
        if file is not None:
            _open_here[file] -= 1
            if not _open_here[file]:
                del _open_here[file]
