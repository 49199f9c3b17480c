"""A backup's seal: a checksum of all its bytes in its own header, which shows later damage.

It stands in the header's user version (four bytes at offset 60; SQLite database file format, section 1.3.15),
which SQLite leaves to the program. 0 means unsealed. A program that books in a backup takes the seal off first.
"""

import sqlite3
import zlib
from contextlib import closing

from stock.store.paths import AnyPath

AT, LENGTH = 60, 4
BLOCK = 1 << 20


def put_on(path: AnyPath) -> None:
    """Seal a finished file that no process has open.

    Raises:
        OSError: it can't be written.
    """
    with open(path, "r+b") as file:
        file.seek(AT)
        file.write(_sum(path).to_bytes(LENGTH, "big"))


def is_broken(path: AnyPath) -> bool:
    """Whether a sealed file has changed since it was sealed; False for an unsealed file.

    Raises:
        OSError: it can't be read.
    """
    sealed = _sealed(path)
    return sealed != 0 and sealed != _sum(path)


def take_off(path: AnyPath) -> bool:
    """Remove the seal of a file before it is written to; return whether the seal was intact.

    Raises:
        OSError, sqlite3.Error: it can't be read or written.
    """
    if not _sealed(path):
        return True
    whole = not is_broken(path)
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA user_version = 0")
    return whole


def _sealed(path: AnyPath) -> int:
    with open(path, "rb") as file:
        file.seek(AT)
        return int.from_bytes(file.read(LENGTH), "big")


def _sum(path: AnyPath) -> int:
    """CRC-32 of the file with its seal's four bytes taken as 0; never 0 itself, which means unsealed."""
    with open(path, "rb") as file:
        head = file.read(AT + LENGTH)
        total = zlib.crc32(head[:AT] + bytes(LENGTH))
        while block := file.read(BLOCK):
            total = zlib.crc32(block, total)
    return total or 1
