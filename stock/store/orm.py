"""Peewee, imported without the database drivers that this process won't use.

Peewee imports every driver it finds; with psycopg installed that costs a command on an SQLite file more
than everything else it does. Whoever opens books on a server calls `want_server_driver()` before anything
of `stock.store` is imported.
"""

import importlib.util
import sys

_DRIVERS = ("psycopg2cffi", "psycopg2", "psycopg", "pymysql", "MySQLdb", "mysql", "pysqlite3")


def want_server_driver() -> bool:
    """Import psycopg so that Peewee will find it; False when it isn't installed."""
    if importlib.util.find_spec("psycopg") is None:
        return False
    __import__("psycopg")
    return True


_hidden = [name for name in _DRIVERS if name not in sys.modules]
sys.modules.update(dict.fromkeys(_hidden))  # type: ignore[arg-type]  # None makes `import name` fail at once
try:
    import peewee as pw
finally:
    for _name in _hidden:
        del sys.modules[_name]

__all__ = ["pw", "want_server_driver"]
