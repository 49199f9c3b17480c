"""Books that many tests begin with: made once a run and copied, as bytes of a file or as a server's template."""

import fcntl
import os
import shutil
import tempfile
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from stock import clock
from tests.clock import SetClock

Make = Callable[[str], None]
_files: dict[tuple[str, str], bytes] = {}
_databases: dict[tuple[str, str, str], str] = {}
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
    """The address of books on a server in a database of their own, a copy of what `make` makes; gone afterwards."""
    import psycopg

    key = (server, name, _instant())
    with psycopg.connect(server, autocommit=True) as maintenance:
        if key not in _databases:
            _databases[key] = _database(maintenance)
            _made(make, _within(server, _databases[key]))
        copy = _database(maintenance, _databases[key])
    try:
        yield _within(server, copy)
    finally:
        with psycopg.connect(server, autocommit=True) as maintenance:
            maintenance.execute(f"DROP DATABASE {copy} WITH (FORCE)")


def _database(maintenance: object, template: str = "template1") -> str:
    name = f"books_{uuid.uuid4().hex[:12]}"
    maintenance.execute(f"CREATE DATABASE {name} TEMPLATE {template} STRATEGY wal_log")  # type: ignore[attr-defined]
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
    """The instant to which the clock of the books is set, or nothing where it is the machine's."""
    owner = getattr(clock.now, "__self__", None)
    return f"{clock.now():%Y-%m-%d %H:%M}" if isinstance(owner, SetClock) else ""
