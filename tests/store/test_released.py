"""Books of every released schema open in the newest, whole, and go on."""

import re
import sqlite3
from pathlib import Path

import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.logbook.proof import prove
from stock.store import connection, migrations, models, sound
from stock.store.models import Bottle, Mix, Movement, Request, Studio, database
from stock.store.orm import pw

FILES = sorted((Path(__file__).parent / "released").glob("schema-*.sql"))


def book_of(path, tmp_path):
    made = tmp_path / "studio.ullage"
    with sqlite3.connect(made) as file:
        file.executescript(path.read_text(encoding="utf-8"))
        file.execute(f"PRAGMA application_id = {sound.APPLICATION_ID}")
    file.close()
    return made


def test_every_released_schema_has_its_file():
    assert [int(re.sub(r"\D", "", path.stem)) for path in FILES] == list(range(1, migrations.NEWEST + 1))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_released_books_open_in_the_newest_and_go_on(path, tmp_path):
    made = book_of(path, tmp_path)
    connection.open_books(str(made))
    with connection.connection():
        assert Studio.get_by_id(1).schema_version == migrations.NEWEST
        assert prove().problems == []
        assert dict(Bottle.select(Bottle.id, Bottle.on_hand_ul).order_by(Bottle.id).tuples()) == {
            1: 44_000, 2: 60_000, 3: 118_400, 4: 0, 5: 250_000, 6: 250_000,
        }  # fmt: skip
        assert (Mix.select().count(), Request.select().count()) == (2, 4)
        again = book_mix(MixRequest(parts=(("Harbour Blue", 1_000),)), key="mix")
        assert again["total_ml"] == 9.6
        assert book_mix(MixRequest(parts=(("Harbour Blue", 1_000),)))["booked"]
        with pytest.raises(pw.IntegrityError, match="append-only"), connection.writing():
            Movement.delete().execute()
        assert prove().problems == []


def test_the_newest_file_is_what_the_tables_say(tmp_path):
    """Whoever changes a table writes a migration, or before a release the file anew."""
    made = book_of(FILES[-1], tmp_path)
    fresh = pw.SqliteDatabase(":memory:")
    for table in models.TABLES:
        pw.SchemaManager(table, fresh).create_all(safe=False)
    with sqlite3.connect(made) as file:
        kept = set(file.execute("SELECT name, sql FROM sqlite_schema WHERE type <> 'trigger' AND sql <> ''"))
    file.close()
    assert kept == set(fresh.execute_sql("SELECT name, sql FROM sqlite_schema WHERE sql <> ''").fetchall())
    fresh.close()
    assert not database.in_transaction()
