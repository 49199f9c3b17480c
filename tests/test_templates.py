"""Books that many tests begin with: no test finds what another left in its copy on the server."""

import psycopg
import pytest

from stock.shelf import deliveries
from stock.store.connection import connection, open_books
from stock.store.models import database
from tests import templates
from tests.conftest import make_stocked
from tests.content import content

pytestmark = pytest.mark.only("postgresql")
CHANGES = (
    "CREATE TABLE studio.more (id int)",
    "ALTER TABLE studio.place ADD COLUMN more text",
    "DROP TRIGGER {trigger} ON studio.{table}",
    "ALTER TABLE studio.{table} DISABLE TRIGGER {trigger}",
    "CREATE SCHEMA studio_two",
    "ALTER SCHEMA studio RENAME TO elsewhere",
    "ALTER DATABASE {database} SET lock_timeout = '7s'",
)


def test_a_copy_is_used_again_with_the_rows_it_began_with_and_under_another_name(server, engine):
    seen = []
    for _ in range(2):
        with templates.database_like("stocked", make_stocked, server) as address:
            began = content(address)
            open_books(address)
            with connection():
                (bottle,) = deliveries.receive("Gull White", 30_000)["bottles"]
            assert content(address) != began
            left = templates._inside(address)  # a session that nobody closes
            (oid,) = left.execute("SELECT oid FROM pg_database WHERE datname = current_database()").fetchone()
            seen.append((oid, began, bottle["id"], address))
            database.close()
    (first, *began, one), (second, *again, other) = seen
    assert (second, again) == (first, began)
    assert one != other
    with pytest.raises(psycopg.OperationalError):
        left.execute("SELECT 1")


@pytest.mark.parametrize("change", CHANGES)
def test_a_copy_in_which_more_than_rows_has_changed_is_used_by_nobody_again(server, engine, change):
    with templates.database_like("stocked", make_stocked, server) as address:
        kept = len(templates._databases[server, "stocked", ""].idle)
        with templates._inside(address) as line:
            trigger, table = line.execute(
                "SELECT tgname, relname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid"
                " WHERE NOT tgisinternal LIMIT 1"
            ).fetchone()
            name = line.info.dbname
            line.execute(change.format(trigger=trigger, table=table, database=name))
    assert len(templates._databases[server, "stocked", ""].idle) == kept
    with psycopg.connect(server) as line:
        assert not line.execute("SELECT FROM pg_database WHERE datname = %s", (name,)).fetchall()
