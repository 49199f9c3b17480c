"""Making and opening books: what is refused, and what protects the history."""

import os
import sqlite3
import stat

import pytest

from stock.errors import BooksUnreachable, UllageError
from stock.ledger import book
from stock.logbook.proof import prove
from stock.shelf import studio
from stock.store import connection, migrations, server, snapshots, triggers
from stock.store.models import Booking, Movement, Studio, database
from stock.store.orm import pw


def test_new_books_hold_the_studios_settings(books):
    made = studio.settings()
    assert (made.name, made.currency, made.time_zone, made.measures) == (
        "Test studio", "EUR", "Europe/Lisbon", "metric",
    )  # fmt: skip


def test_books_are_not_made_over_others(books, address):
    with pytest.raises(UllageError) as refusal:
        studio.make(address, name="Other", currency="EUR", time_zone="UTC", measures="metric")
    assert refusal.value.exit_status == 2
    connection.open_books(address)
    assert studio.settings().name == "Test studio"


def test_only_the_owner_may_read_the_file(tmp_path):
    path = tmp_path / "deep" / "studio.ullage"
    studio.make(str(path), name="S", currency="EUR", time_zone="UTC", measures="metric")
    assert stat.S_IMODE(os.stat(path).st_mode) == 0o600


@pytest.mark.parametrize("verb", ["update", "delete"])
@pytest.mark.parametrize("table", triggers.models.APPEND_ONLY)
def test_the_history_can_not_be_edited(mixed, verb, table):
    assert table.select().exists()
    field = table._meta.sorted_fields[-1]
    statement = table.delete() if verb == "delete" else table.update({field: field})
    with pytest.raises(pw.IntegrityError, match="append-only"), connection.writing():
        statement.execute()
    assert table.select().exists()


def test_books_without_their_triggers_are_refused(books, address):
    with connection.writing():
        on = " ON movement" if database.obj.for_update else ""
        database.execute_sql(f"DROP TRIGGER movement_refuses_update{on}")
    with pytest.raises(BooksUnreachable, match="not protected"):
        connection.open_books(address)


def test_books_of_a_later_schema_are_refused(books, address):
    Studio.update(schema_version=migrations.NEWEST + 1).execute()
    with pytest.raises(BooksUnreachable, match="later Ullage"):
        connection.open_books(address)


@pytest.mark.parametrize(
    "content", [b"", b"not a database at all", bytes(range(256)) * 16], ids=["empty", "text", "bytes"]
)
def test_a_file_that_is_no_studio_is_refused(tmp_path, content):
    path = tmp_path / "other.db"
    path.write_bytes(content)
    with pytest.raises(BooksUnreachable) as refusal:
        connection.open_books(str(path))
    assert refusal.value.exit_status == 3
    assert path.read_bytes() == content


def test_another_programs_sqlite_file_is_refused(tmp_path):
    path = tmp_path / "other.db"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE things (id)")
    with pytest.raises(BooksUnreachable, match="holds no studio"):
        connection.open_books(str(path))


def test_where_nothing_is_nothing_is_made(tmp_path):
    with pytest.raises(BooksUnreachable, match="no books"):
        connection.open_books(str(tmp_path / "none.ullage"))
    assert not (tmp_path / "none.ullage").exists()


def lead_to_two(monkeypatch, step):
    monkeypatch.setattr(migrations, "NEWEST", 2)
    monkeypatch.setattr(migrations, "STEPS", {2: step})


def test_a_migration_is_whole_and_keeps_the_triggers(books, monkeypatch):
    def rebuild(engine):
        engine.execute_sql("ALTER TABLE studio ADD COLUMN motto TEXT")
        for name in ("movement_refuses_update", "movement_refuses_delete"):
            engine.execute_sql(f"DROP TRIGGER {name}{' ON movement' if engine.for_update else ''}")

    lead_to_two(monkeypatch, rebuild)
    taken = migrations.migrate(database.obj)
    assert taken == [2]
    assert triggers.missing(database.obj) == []
    assert migrations.written_schema(database.obj) == 2
    assert database.execute_sql("SELECT motto FROM studio").fetchone() == (None,)


def test_a_migration_that_fails_changes_nothing(books, monkeypatch):
    def half(engine):
        engine.execute_sql("ALTER TABLE studio ADD COLUMN motto TEXT")
        raise RuntimeError("the power went")

    lead_to_two(monkeypatch, half)
    with pytest.raises(RuntimeError):
        migrations.migrate(database.obj)
    assert migrations.written_schema(database.obj) == 1
    assert "motto" not in {column.name for column in database.obj.get_columns("studio")}


def test_up_to_date_books_need_no_migration(books):
    assert migrations.migrate(database.obj) == []


def test_an_older_file_is_copied_before_it_is_migrated(tmp_path, monkeypatch):
    path = str(tmp_path / "studio.ullage")
    studio.make(path, name="Old", currency="EUR", time_zone="UTC", measures="metric")
    lead_to_two(monkeypatch, lambda engine: None)
    connection.open_books(path)
    [kept] = snapshots.listing(path)
    assert kept.kind == "before-schema-2"
    with sqlite3.connect(kept.path) as copy:
        assert copy.execute("SELECT schema_version, name FROM studio").fetchone() == (1, "Old")
    with connection.connection():
        assert migrations.written_schema(database.obj) == 2


@pytest.mark.only("postgresql")
def test_an_older_schema_on_a_server_is_kept_beside_it(mixed, address, monkeypatch):
    lead_to_two(monkeypatch, lambda engine: engine.execute_sql("ALTER TABLE studio ADD COLUMN motto TEXT"))
    connection.open_books(address)
    kept = f"{server.schema_of(address)}_before_schema_2"
    monkeypatch.undo()
    connection.open_books(f"{address}_before_schema_2")
    with connection.connection():
        assert studio.settings().name == "Test studio"
        assert prove().problems == []
        assert Movement.select().count() > 0
        with pytest.raises(pw.IntegrityError, match="append-only"):
            Movement.delete().execute()
        database.execute_sql(f"DROP SCHEMA {kept} CASCADE")


def test_a_booking_is_whole_or_not_at_all(books):
    def half(errand):
        raise RuntimeError("the power went")

    with pytest.raises(RuntimeError):
        book("wash", half)
    assert Booking.select().count() == 0
    assert Movement.select().count() == 0
