"""Books that many tests begin with: made once a run and copied, as bytes of a file or as a server's template."""

import fcntl
import os
import shutil
import tempfile
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from stock import clock
from tests.clock import SetClock

if TYPE_CHECKING:
    import psycopg

Make = Callable[[str], None]
_files: dict[tuple[str, str], bytes] = {}
_databases: dict[tuple[str, str, str], "Rows"] = {}
SCHEMA = "studio"


def file_like(name: str, make: Make, path: str) -> None:
    """Put a copy of the books that `make` makes at `path`, and open it.

    Args:
        name: what the books hold; made anew only for another instant of a set clock.
        make: makes the books at an address.
    """
    from stock.store.connection import open_books

    key = (name, _instant())
    if key not in _files:
        with tempfile.TemporaryDirectory() as folder:
            _made(make, f"{folder}/made.ullage")
            assert not list(Path(folder).glob("made.ullage-*")), "a journal would be left behind"
            _files[key] = Path(folder, "made.ullage").read_bytes()
    with open(os.open(path, os.O_CREAT | os.O_WRONLY | os.O_EXCL, 0o600), "wb") as file:
        file.write(_files[key])
    open_books(path)


def sample_studio(factory: pytest.TempPathFactory) -> str:
    """The address of a sample studio that ends today, a copy of what the first worker of a run to ask for it made."""
    from sample_studio.loader import load

    base = factory.getbasetemp()
    shared = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "sample.ullage"
    with open(f"{shared}.lock", "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not shared.exists():
            _made(load, f"{shared}.made")
            os.rename(f"{shared}.made", shared)
    return os.fspath(shutil.copy(shared, factory.mktemp("sample") / "sample.ullage"))


@contextmanager
def database_like(name: str, make: Make, server: str) -> Iterator[str]:
    """The address of books on a server in a database of their own, a copy of what `make` makes.

    The database is used again afterwards, under another name, with the rows that it began with: making one takes the
    server longer than most tests. It is dropped where anything but rows has changed.
    """
    import psycopg

    key = (server, name, _instant())
    with psycopg.connect(server, autocommit=True) as maintenance:
        if key not in _databases:
            database = _database(maintenance)
            _made(make, _within(server, database))
            _databases[key] = Rows.of(_within(server, database), database)
        made = _databases[key]
        if made.idle:
            copy = _new_name()
            maintenance.execute(f"ALTER DATABASE {made.idle.pop()} RENAME TO {copy}")
        else:
            copy = _database(maintenance, made.database)
    address = _within(server, copy)
    try:
        yield address
    finally:
        with psycopg.connect(server, autocommit=True) as maintenance:
            maintenance.execute(
                "SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity WHERE datname = %s", (copy,)
            )
            if made.put_back(address):
                made.idle.append(copy)
            else:
                maintenance.execute(f"DROP DATABASE {copy} WITH (FORCE)")


FIRST_OID = 16_384
"""The first number that a server gives to what is not its own."""
SHAPE = f"""
    SELECT md5(string_agg(each, E'\\n' ORDER BY each)) FROM (
        SELECT concat_ws(' ', oid, relname, relkind, relowner, relacl) FROM pg_class WHERE oid >= {FIRST_OID}
        UNION ALL SELECT concat_ws(' ', datname, setconfig) FROM pg_db_role_setting JOIN pg_database
            ON pg_database.oid = setdatabase WHERE datname = current_database()
        UNION ALL SELECT a::text FROM pg_attribute AS a WHERE attrelid >= {FIRST_OID} AND attnum > 0
        UNION ALL SELECT n::text FROM pg_namespace AS n WHERE nspname !~ '^pg_(toast_)?temp'
        {
    "".join(
        f"UNION ALL SELECT e::text FROM {each} AS e WHERE oid >= {FIRST_OID} "
        for each in (
            "pg_attrdef",
            "pg_constraint",
            "pg_proc",
            "pg_trigger",
            "pg_type",
            "pg_extension",
            "pg_policy",
        )
    )
}
    ) AS everything (each)
"""
"""All that a database holds but its rows, in one word; the same for each copy of one template."""


@dataclass
class Rows:
    """What copies of a template begin with, and those of them that nobody uses.

    Attributes:
        database: the template.
        shape: all but the rows, in one word.
        rows: the rows of each table that has any, as the server copies them out.
        numbers: where each sequence stands.
        tables: every table.
    """

    database: str
    shape: str
    rows: dict[str, bytes]
    numbers: list[tuple[str, int, bool]]
    tables: list[str]
    idle: list[str] = field(default_factory=list)

    @classmethod
    def of(cls, address: str, database: str) -> "Rows":
        """What a template holds."""
        with _inside(address) as line:
            names = {
                kind: [
                    name
                    for (name,) in line.execute(
                        "SELECT relname FROM pg_class WHERE relkind = %s AND relnamespace = %s::regnamespace",
                        (kind, SCHEMA),
                    )
                ]
                for kind in ("r", "S")
            }
            rows = {}
            for name in names["r"]:
                if line.execute(f'SELECT EXISTS (SELECT FROM {SCHEMA}."{name}")').fetchone()[0]:
                    with line.cursor().copy(f'COPY {SCHEMA}."{name}" TO STDOUT (FORMAT binary)') as out:
                        rows[name] = b"".join(map(bytes, out))
            numbers = [
                (name, *line.execute(f'SELECT last_value, is_called FROM {SCHEMA}."{name}"').fetchone())
                for name in names["S"]
            ]
            return cls(database, line.execute(SHAPE).fetchone()[0], rows, numbers, names["r"])

    def put_back(self, address: str) -> bool:
        """Give a copy the rows again that it began with; whether that could be done, and nothing else has changed."""
        import psycopg

        try:
            with _inside(address) as line:
                if line.execute(SHAPE).fetchone()[0] != self.shape:
                    return False
                with line.transaction():
                    line.execute("SET LOCAL session_replication_role = replica")  # no trigger, no foreign key
                    line.execute(";".join(f'DELETE FROM {SCHEMA}."{name}"' for name in self.tables))
                    for name, kept in self.rows.items():
                        with line.cursor().copy(f'COPY {SCHEMA}."{name}" FROM STDIN (FORMAT binary)') as into:
                            into.write(kept)
                    for name, last, called in self.numbers:
                        line.execute("SELECT setval(%s, %s, %s)", (f'{SCHEMA}."{name}"', last, called))
        except psycopg.Error:
            return False
        return True


def _inside(address: str) -> "psycopg.Connection":
    import psycopg

    return psycopg.connect(address.rpartition("schema=")[0].rstrip("?&"), autocommit=True)


def _new_name() -> str:
    return f"books_{uuid.uuid4().hex[:12]}"


def _database(maintenance: "psycopg.Connection", template: str = "template1") -> str:
    name = _new_name()
    maintenance.execute(f"CREATE DATABASE {name} TEMPLATE {template} STRATEGY wal_log")
    return name


def _within(server: str, database: str) -> str:
    """The address of the books in a database of the server."""
    place, _, more = server.partition("?")
    return f"{place.rpartition('/')[0]}/{database}?{more}{'&' * bool(more)}schema={SCHEMA}"


def _made(make: Make, address: str) -> None:
    from stock.store.models import database

    make(address)
    if not database.is_closed():
        database.close()


def _instant() -> str:
    """The instant to which a test has set the clock of the books, or nothing where it is that of all tests."""
    owner = getattr(clock.now, "__self__", None)
    set_by_a_test = isinstance(owner, SetClock) and not owner.of_the_tests
    return f"{clock.now():%Y-%m-%d %H:%M}" if set_by_a_test else ""
