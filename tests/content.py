"""What a studio's books hold, table by table, read beside the program: for tests that something changed nothing."""

import hashlib
import sqlite3
from contextlib import closing
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import psycopg


def content(address: str) -> dict[str, str]:
    """A digest of every table's rows, whatever their order."""
    if address.startswith("postgresql://"):
        return _on_server(address)
    with closing(sqlite3.connect(f"{Path(address).absolute().as_uri()}?mode=ro", uri=True)) as books:
        names = [name for (name,) in books.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
        return {name: _digest(books.execute(f'SELECT * FROM "{name}"')) for name in sorted(names)}


class Watched:
    """What books hold as time goes on; they are read anew only where somebody committed to them."""

    def __init__(self, address: str) -> None:
        self.address = address
        self.line: sqlite3.Connection | psycopg.Connection | None = None
        self.seen: tuple[int, int] | None = None
        self.held: dict[str, str] = {}

    def now(self) -> dict[str, str]:
        """What they hold now."""
        at = self._committed()
        if self.seen != at:
            self.seen, self.held = at, content(self.address)
        return self.held

    def _committed(self) -> tuple[int, int]:
        """Another pair of numbers after each commit: of anybody to a file, or on a server to any of its books."""
        if self.address.startswith("postgresql://"):
            if self.line is None:
                self.line = psycopg.connect(_url(self.address)[0], autocommit=True)
            (newest,) = self.line.execute("SELECT pg_snapshot_xmax(pg_current_snapshot())::text").fetchone()
            return 0, int(newest)
        inode = Path(self.address).stat().st_ino
        if self.line is None or self.seen is None or inode != self.seen[0]:
            self.close()
            self.line = sqlite3.connect(f"{Path(self.address).absolute().as_uri()}?mode=ro", uri=True)
        return inode, self.line.execute("PRAGMA data_version").fetchone()[0]

    def close(self) -> None:
        """Let go of the books."""
        if self.line is not None:
            self.line.close()
        self.line = self.seen = None


def _digest(rows: "sqlite3.Cursor") -> str:
    return hashlib.sha256("\n".join(sorted(map(repr, rows))).encode(errors="surrogatepass")).hexdigest()


def _on_server(address: str) -> dict[str, str]:
    url, schema = _url(address)
    with psycopg.connect(url, autocommit=True) as line:
        found = line.execute("SELECT tablename FROM pg_tables WHERE schemaname = %s ORDER BY 1", (schema,))
        parts = [
            f"SELECT '{name}', md5(coalesce(string_agg(t::text, E'\\n' ORDER BY t::text), ''))"
            f' FROM "{schema}"."{name}" AS t'
            for (name,) in found
        ]
        return dict(line.execute(" UNION ALL ".join(parts)).fetchall()) if parts else {}


def _url(address: str) -> tuple[str, str]:
    """The database of books on a server, and their schema."""
    url, _, asked = address.rpartition("schema=")
    schema = parse_qs(urlsplit(address).query)["schema"][0]
    assert asked == schema, "the schema is named last"
    return url.rstrip("?&"), schema
