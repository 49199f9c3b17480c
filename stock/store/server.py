"""Books on a PostgreSQL server: the engine, its sessions, and reconnecting.

`stock.store.addresses` reads the addresses. Behind a pooler in transaction mode each transaction may get another
session of the server, so there every transaction makes its own settings, and no statement is kept prepared.
"""

import select
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from typing import Any

from stock.errors import BooksUnreachable
from stock.language import _
from stock.store import addresses, rights
from stock.store.orm import pw
from stock.text import plain

# A living server refuses within less time than a connection waits for it (`server_connection.QUIET_S`).
WAITS = {"lock_timeout": "8s", "statement_timeout": "9s", "idle_in_transaction_session_timeout": "60s"}
KEPT = "kept"
"""Names the cursor that a line keeps: a new one for each statement takes a third of what a short statement does."""
LINE = {
    "connect_timeout": 10,
    "keepalives_idle": 20,
    "keepalives_interval": 5,
    "keepalives_count": 3,
    "tcp_user_timeout": 30_000,
    "client_encoding": "utf8",
}


class Psycopg(pw.Psycopg3Adapter):
    """Peewee's adapter for psycopg 3, which imports the driver only when a server is used."""

    def __init__(self) -> None:
        import psycopg  # costs what every command on a file saves
        from psycopg.types.json import Json, Jsonb

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

    def connect(self, db: "Server", **params: Any) -> Any:
        """A new connection by the parameters that `engine` took from the address, with its session set up."""
        from stock.store.server_connection import ServerConnection  # imports the driver

        line = ServerConnection.connect(dbname=db.database, autocommit=True, **params)
        # A pooler reports a process number of its own; settings must not stay in a session that others get next.
        elsewhere = f"pg_backend_pid() <> {line.info.backend_pid:d}"
        line.pooled = line.execute(f"SELECT {elsewhere}, {db.settings(local=elsewhere)}").fetchone()[0]
        if line.pooled:
            line.prepare_threshold = None
        line.kept_cursor = line.cursor()
        if db.patient:
            line.still_there = partial(_answers, dbname=db.database, **params)
        return line


def _answers(**parameters: Any) -> bool:
    from stock.store.server_connection import answers  # imports the driver

    return answers(**parameters)


class Server(pw.PostgresqlDatabase):
    """A PostgreSQL server, always by psycopg 3, whichever drivers Peewee finds.

    Args:
        session: the settings that each session, or behind a pooler each transaction, begins with.
        patient: whether a statement may take long, as long as the server answers elsewhere.
    """

    psycopg2_adapter = psycopg3_adapter = Psycopg

    def init(self, database: str, *, session: Mapping[str, str], patient: bool, **parameters: Any) -> None:
        """Keep the settings and pass the rest to Peewee."""
        self.session, self.patient = session, patient
        self.studio: str | None = None
        """What tells the open studio from another one that stands at this address before or after it."""
        super().init(database, **parameters)

    def settings(self, *, local: str) -> str:
        """The SQL that sets up the session, or with `local` only the transaction."""
        return ", ".join(f"set_config('{name}', '{value}', {local})" for name, value in self.session.items())

    def cursor(self, named_cursor: str | None = None) -> Any:
        """A new cursor, or the line's own where `KEPT` is named."""
        return super().cursor() if named_cursor is None else self.connection().kept_cursor

    def begin(self, isolation_level: str | None = None) -> None:
        """Begin a transaction; behind a pooler with the settings, because it may have another session."""
        with pw.__exception_wrapper__:
            self.cursor(KEPT).execute(
                f"BEGIN ISOLATION LEVEL {isolation_level}" if isolation_level else "BEGIN"
            )
        if self.connection().pooled:
            self.cursor(KEPT).execute(f"SELECT {self.settings(local='true')}")

    def commit(self) -> None:
        """End a transaction by psycopg's own way, which takes half of what a statement does."""
        with pw.__exception_wrapper__:
            self.connection().commit()

    def execute_sql(self, sql: str, params: Any = None, *, at_once: bool = False) -> Any:
        """Run a statement; behind a pooler always in a transaction, outside of which the settings would be missing.

        Args:
            sql: the statement.
            params: its values.
            at_once: whether the answer is read before the next statement runs, so that the line's own cursor will do.
        Raises:
            NoRight: the role lacks the right.
        """
        if not self.in_transaction() and not self.is_closed() and self.connection().pooled:
            with self.atomic():
                return self.execute_sql(sql, params)
        try:
            if at_once:
                return self._execute_cursor(sql, params, named_cursor=KEPT)
            return super().execute_sql(sql, params)
        except pw.ProgrammingError as error:
            if rights.is_refusal(error):
                raise rights.refusal(self, error, sql) from None
            raise

    def rows(self, sql: str, params: Any = None) -> list[tuple[Any, ...]]:
        """All rows that a statement answers with."""
        found: list[tuple[Any, ...]] = self.execute_sql(sql, params, at_once=True).fetchall()
        return found

    def know_again(self) -> None:
        """Remember which studio's books these are."""
        self.studio = str(self.execute_sql("SELECT made_at FROM studio").fetchone()[0])

    def another_line(self) -> Any:
        """A second connection, for a query while the first one's transaction has failed."""
        return self._adapter.connect(self, **self.connect_params)


def engine(address: str, *, patient: bool = False) -> pw.Database:
    """The server's engine for these books, not yet connected.

    Args:
        address: the URL.
        patient: True for moving whole studios, which may take longer than an errand at the bench.
    Raises:
        BooksUnreachable: the driver isn't installed, or can't be loaded.
        BadInput: the address can't be read.
    """
    waits = WAITS | (
        {"statement_timeout": "0", "idle_in_transaction_session_timeout": "0"} if patient else {}
    )
    asked = addresses.parsed(address)
    session = {"search_path": asked.schema, "timezone": "UTC", **waits}
    parameters = LINE | asked.parameters
    try:
        return Server(asked.database, session=session, patient=patient, autoconnect=False, **parameters)
    except ImportError as error:
        missing = isinstance(error, ModuleNotFoundError) and error.name == "psycopg"
        raise BooksUnreachable(
            _("these books are on a PostgreSQL server and its driver ")
            + (
                _("is not installed")
                if missing
                else _("can't be loaded ({error})", error=plain(str(error), 200))
            ),
            remedy=_("Install it: pip install 'ullage[postgresql]'"),
            code="no-driver",
        ) from error


def make_schema(database: pw.Database, schema: str) -> None:
    """Make the schema if it is missing; the database must be able to hold every text.

    Raises:
        BooksUnreachable: the database is not in UTF-8.
    """
    encoding = database.execute_sql("SHOW server_encoding").fetchone()[0]
    if encoding != "UTF8":
        raise BooksUnreachable(
            _("the server's database holds {encoding}, which can't hold every name", encoding=encoding),
            remedy="Make one with CREATE DATABASE ... ENCODING 'UTF8'",
        )
    if database.execute_sql("SELECT 1 FROM pg_namespace WHERE nspname = %s", (schema,)).fetchone() is None:
        database.execute_sql(f'CREATE SCHEMA IF NOT EXISTS "{schema}"')


def _can_be_read(descriptor: int) -> bool:
    """Whether something came on a socket, or it was closed; one call to the system."""
    if not hasattr(select, "poll"):  # Windows
        return bool(select.select([descriptor], [], [], 0)[0])
    look = select.poll()
    look.register(descriptor, select.POLLIN)
    return bool(look.poll(0))


def revive(database: pw.Database) -> None:
    """Reconnect if the server dropped the idle connection.

    Costs a look at the socket and no query: an idle connection has nothing to read unless the server has closed it or
    sent a notice.
    """
    import psycopg

    line = database.connection()
    if not line.closed:
        if not _can_be_read(line.fileno()):
            return
        try:
            line.execute("SELECT 1")
            return
        except psycopg.Error:
            pass
    database.close()
    database.connect()


@contextmanager
def patiently(database: "Server") -> Iterator[None]:
    """Let statements of the block take long, as long as the server answers on another connection."""
    line = database.connection()
    line.still_there = partial(_answers, dbname=database.database, **database.connect_params)
    try:
        yield
    finally:
        line.still_there = None
