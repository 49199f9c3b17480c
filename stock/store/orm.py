"""Peewee, without the time that importing its database drivers takes.

Peewee imports every driver that is installed, and psycopg alone takes longer than all else that a command on an
SQLite file does. So the drivers that are not in use yet are kept out while Peewee is imported. Nothing depends
on which of them Peewee found: SQLite uses Python's own module, and `stock.store.server` brings psycopg itself.
"""

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

_DRIVERS = frozenset({"psycopg2cffi", "psycopg2", "psycopg", "pymysql", "MySQLdb", "pysqlite3"})


class _NoDriver:
    """Finds no database driver for the thread that made it; every other import goes on as ever."""

    def __init__(self) -> None:
        self.thread = threading.get_ident()

    def find_spec(self, fullname: str, *_: object) -> None:
        """Refuse a driver, and leave every other module to the finders behind this one.

        Raises:
            ModuleNotFoundError: a driver was asked for.
        """
        if fullname in _DRIVERS and threading.get_ident() == self.thread:
            raise ModuleNotFoundError(f"{fullname} is not imported here", name=fullname)


@contextmanager
def _without_drivers() -> Iterator[None]:
    finder = _NoDriver()
    sys.meta_path.insert(0, finder)
    try:
        yield
    finally:
        sys.meta_path.remove(finder)


with _without_drivers():
    import peewee as pw

__all__ = ["pw"]
