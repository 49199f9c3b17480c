"""Books on a PostgreSQL server: what its address means, and a line to it that can't hang or tell a password.

An address is `postgresql://[user[:password]@]host[:port]/database[?schema=NAME]`; each studio has a schema of
its own. A password is better kept in the environment (PGPASSWORD) or in ~/.pgpass than in the address.
"""

import re
import select
from typing import Any
from urllib.parse import parse_qsl, unquote, urlencode, urlsplit

from stock.errors import BadInput, BooksUnreachable
from stock.store.orm import pw
from stock.text import plain

PREFIXES = ("postgresql://", "postgres://")
SECRETS = ("password", "sslpassword", "passfile", "user", "options")
SCHEMA = re.compile(r"(?!pg_)[a-z_][a-z0-9_]{0,50}")
WAITS = {"lock_timeout": "10s", "statement_timeout": "60s", "idle_in_transaction_session_timeout": "60s"}
LINE = {
    "connect_timeout": 10,
    "keepalives_idle": 20,
    "keepalives_interval": 5,
    "keepalives_count": 3,
    "tcp_user_timeout": 30_000,
    "client_encoding": "utf8",
}


def is_server(address: str) -> bool:
    """Whether the address names a PostgreSQL server rather than a file."""
    return address.startswith(PREFIXES)


def shown(address: str) -> str:
    """The address as it may be shown: a server's password and user are never part of it."""
    if not is_server(address):
        return address
    # Everything before the last @ may be a password with signs in it that should have been quoted.
    parts = urlsplit("//" + address.partition("://")[2].rpartition("@")[2])
    asked = urlencode(
        [(name, value) for name, value in parse_qsl(parts.query) if name not in SECRETS], safe="/"
    )
    return f"postgresql://{parts.netloc}{parts.path}{f'?{asked}' if asked else ''}"


def without_secrets(said: str, address: str) -> str:
    """What a server or driver said, with every password that the address holds made unreadable."""
    if not is_server(address):
        return said
    told = address.partition("://")[2].rpartition("@")[0].partition(":")[2]
    asked = dict(parse_qsl(urlsplit(address).query))
    secrets = {told, unquote(told), asked.get("password", ""), asked.get("sslpassword", "")}
    # A password with an unquoted sign in it is taken apart by the driver, which then speaks of its pieces.
    pieces = {piece for secret in secrets for piece in re.split(r"[@:/?#&=\s]+", secret) if len(piece) > 2}
    for secret in sorted(secrets | pieces, key=len, reverse=True):
        said = said.replace(secret, "***") if secret else said
    return said


def schema_of(address: str) -> str:
    """The schema that holds the studio; `public` when the address names none.

    Raises:
        BadInput: a name that would have to be quoted.
    """
    schema = dict(parse_qsl(urlsplit(address).query)).get("schema", "public")
    if not SCHEMA.fullmatch(schema):
        raise BadInput(
            "the schema in the address has signs other than a-z, 0-9 and _, or is too long",
            remedy="Write it as ?schema=north",
        )
    return schema


class Psycopg(pw.Psycopg3Adapter):
    """Peewee's way to psycopg 3, with the driver imported when a server is wanted and not when Peewee is."""

    def __init__(self) -> None:
        import psycopg  # noqa: PLC0415 - costs what every command on a file saves
        from psycopg.types.json import Json, Jsonb  # noqa: PLC0415

        super().__init__()
        self.driver = psycopg
        self.json_type, self.jsonb_type = Json, Jsonb
        status = psycopg.pq.TransactionStatus
        self.txn_idle, self.txn_inerror, self.txn_unknown = status.IDLE, status.INERROR, status.UNKNOWN

    def check_driver(self) -> None:
        """Nothing to check: the driver was imported when this was made."""

    def get_binary_type(self) -> Any:
        """The driver's type of bytes."""
        return self.driver.Binary

    def connect(self, db: pw.Database, **params: Any) -> Any:
        """A new connection, by the parameters that `engine` took from the address."""
        return self.driver.connect(dbname=db.database, **params)


class Server(pw.PostgresqlDatabase):
    """A PostgreSQL server, always by psycopg 3, whichever drivers Peewee found or did not find."""

    psycopg2_adapter = psycopg3_adapter = Psycopg


def engine(address: str, *, patient: bool = False) -> pw.Database:
    """The server's engine for these books, not yet connected.

    Args:
        address: the URL.
        patient: True for what moves whole studios, which may take longer than an errand at the bench.
    Raises:
        BooksUnreachable: the driver isn't installed, or can't be loaded.
        BadInput: the address can't be read.
    """
    waits = WAITS | (
        {"statement_timeout": "0", "idle_in_transaction_session_timeout": "0"} if patient else {}
    )
    settings = {"search_path": schema_of(address), "timezone": "UTC", **waits}
    options = " ".join(f"-c {name}={value}" for name, value in settings.items())
    parameters = {"options": options, **LINE, **_parameters(address)}
    try:
        return Server(_database(address), autoconnect=False, **parameters)
    except ImportError as error:
        missing = isinstance(error, ModuleNotFoundError) and error.name == "psycopg"
        raise BooksUnreachable(
            "these books are on a PostgreSQL server and its driver "
            + ("is not installed" if missing else f"can't be loaded ({plain(str(error), 200)})"),
            remedy="Install it: pip install 'ullage[postgresql]'",
            code="no-driver",
        ) from error


def _database(address: str) -> str:
    name = unquote(urlsplit(address).path.lstrip("/"))
    if not name:
        raise BadInput("the address names no database", remedy="Write it as postgresql://host/database")
    return name


def _parameters(address: str) -> dict[str, Any]:
    """What the driver needs to connect, taken apart here so that it never has to speak of the address."""
    parts = urlsplit(address)
    try:
        named = {
            "host": parts.hostname,
            "port": parts.port,
            "user": parts.username,
            "password": parts.password,
        }
    except ValueError:
        raise BadInput(
            "the port in the address is no number",
            remedy="Write signs in a password as %XX: @ is %40, / is %2F",
        ) from None
    given = {name: unquote(str(value)) for name, value in named.items() if value is not None}
    asked = {name: value for name, value in parse_qsl(parts.query) if name not in ("schema", "options")}
    return given | asked


def make_schema(database: pw.Database, schema: str) -> None:
    """Make the schema if it isn't there, on a server that can hold every text.

    Raises:
        BooksUnreachable: the database is not in UTF-8.
    """
    encoding = database.execute_sql("SHOW server_encoding").fetchone()[0]
    if encoding != "UTF8":
        raise BooksUnreachable(
            f"the server's database holds {encoding}, which can't hold every name",
            remedy="Make one with CREATE DATABASE ... ENCODING 'UTF8'",
        )
    if database.execute_sql("SELECT 1 FROM pg_namespace WHERE nspname = %s", (schema,)).fetchone() is None:
        database.execute_sql(f'CREATE SCHEMA IF NOT EXISTS "{schema}"')


def revive(database: pw.Database) -> None:
    """Connect anew where the server dropped the line while nothing was under way.

    Costs a look at the socket and no question to the server: on an idle line nothing is to be read unless
    the server has closed it or has a notice.
    """
    import psycopg  # noqa: PLC0415

    line = database.connection()
    if not line.closed:
        if not select.select([line.fileno()], [], [], 0)[0]:
            return
        try:
            line.execute("SELECT 1")
            return
        except psycopg.Error:
            pass
    database.close()
    database.connect()
