"""The schemas of a server that hold books; a chain of studios is one database with a schema for each."""

import re
from contextlib import closing

from stock.errors import BadInput
from stock.language import _
from stock.remedies import Option, Remedy
from stock.store import addresses, server
from stock.store.refusals import plainly

KEPT = re.compile(r".*_before_(restore_\d{8}_\d{6}|schema_\d+)")
"""The names of schemas with books that a restore or a migration replaced."""
_HOLDING = """
    SELECT nspname FROM pg_namespace JOIN pg_class ON relnamespace = pg_namespace.oid
    WHERE relkind = 'r' AND relname IN ('studio', 'booking', 'bottle', 'movement', 'product')
    GROUP BY nspname HAVING count(*) = 5 ORDER BY nspname
"""


def schemas(address: str) -> list[str]:
    """The schemas of a server that hold books, by name, without those that a restore or a migration replaced.

    Args:
        address: a server's URL; its schema is ignored.
    Raises:
        BadInput: it is a file's address.
        BooksUnreachable: the server can't be reached.
    """
    if not addresses.is_server(address):
        raise BadInput(
            _("a file holds one studio; only a server holds several"),
            remedy=Remedy(_("Name the server "), Option("studio", "postgresql://user@host/database")),
        )
    with plainly(), closing(server.engine(address)) as database:
        database.connect()
        found = [row[0] for row in database.execute_sql(_HOLDING).fetchall()]
    return [
        schema for schema in found if re.fullmatch(addresses.SCHEMA, schema) and not KEPT.fullmatch(schema)
    ]
