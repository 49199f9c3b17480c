"""The SQLite files to which this process has a connection and which it must not open in any other way."""

import os
import threading
from collections import Counter

_open_here: Counter[tuple[int, int]] = Counter()
"""How many connections this process has to each file, by the file's device and inode."""
COUNTING = threading.Lock()
"""Held while connections are counted and while a file is opened in another way, so that neither overlaps the other."""


def open_here(path: str | os.PathLike[str], *, besides: int = 0) -> bool:
    """Whether this process has a connection to the file and so must not open it in any other way.

    The caller's own connections, `besides` of them, don't count.

    POSIX drops all of a process's locks on a file when the process closes any descriptor of it (fcntl(2); SQLite,
    "How To Corrupt An SQLite Database File", section 2.2). Another program would then take itself for the last user
    and delete the log that holds this program's next booking.
    """
    file = identity(os.fspath(path))
    return file is not None and _open_here[file] > besides


def identity(path: str) -> tuple[int, int] | None:
    """The device and inode of the file at a path; None if there is none."""
    try:
        found = os.stat(path)  # runs twice a booking, and making a Path takes longer than the system call
    except OSError:
        return None
    return found.st_dev, found.st_ino


def count_in(path: str) -> tuple[int, int] | None:
    """Count a new connection to the file at a path; returns the identity that `count_out` needs when it closes."""
    with COUNTING:
        file = identity(path)
        if file is not None:
            _open_here[file] += 1
        return file


def count_out(file: tuple[int, int] | None) -> None:
    """Count a closed connection to a file that `count_in` counted."""
    with COUNTING:
        if file is not None:
            _open_here[file] -= 1
            if not _open_here[file]:
                del _open_here[file]
