"""Making and opening books: what is refused, and what protects the history."""

import os
import sqlite3
import stat
from datetime import date

import pytest

from stock.bench import counting
from stock.errors import BooksUnreachable, UllageError
from stock.ledger import book
from stock.logbook.proof import prove
from stock.shelf import periods, studio
from stock.store import addresses, connection, migrations, models, snapshots, triggers
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
@pytest.mark.parametrize(
    "table", [table for table in models.TABLES if table._meta.table_name in triggers.APPEND_ONLY]
)
def test_the_history_can_not_be_edited(mixed, verb, table):
    counting.count("1", counting.measured("1", weight="63.2g", tare="20.15g"))
    periods.close(date(2024, 1, 31))
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


NOW, NEXT = migrations.NEWEST, migrations.NEWEST + 1


def lead_to_next(monkeypatch, step):
    monkeypatch.setattr(migrations, "NEWEST", NEXT)
    monkeypatch.setattr(migrations, "STEPS", {NEXT: step})


def test_a_migration_is_whole_and_keeps_the_triggers(books, monkeypatch):
    def rebuild(engine):
        engine.execute_sql("ALTER TABLE studio ADD COLUMN motto TEXT")
        for name in ("movement_refuses_update", "movement_refuses_delete"):
            engine.execute_sql(f"DROP TRIGGER {name}{' ON movement' if engine.for_update else ''}")

    lead_to_next(monkeypatch, rebuild)
    taken = migrations.migrate(database.obj)
    assert taken == [NEXT]
    assert triggers.missing(database.obj) == []
    assert migrations.written_schema(database.obj) == NEXT
    assert database.execute_sql("SELECT motto FROM studio").fetchone() == (None,)


def test_a_migration_that_fails_changes_nothing(books, monkeypatch):
    def half(engine):
        engine.execute_sql("ALTER TABLE studio ADD COLUMN motto TEXT")
        raise RuntimeError("the power went")

    lead_to_next(monkeypatch, half)
    with pytest.raises(RuntimeError):
        migrations.migrate(database.obj)
    assert migrations.written_schema(database.obj) == NOW
    assert "motto" not in {column.name for column in database.obj.get_columns("studio")}


def to_next(engine):
    engine.execute_sql("ALTER TABLE studio ADD COLUMN motto TEXT")
    for name in ("movement_refuses_update", "movement_refuses_delete"):
        engine.execute_sql(f"DROP TRIGGER {name}{' ON movement' if engine.for_update else ''}")


def to_the_one_after(engine):
    engine.execute_sql("CREATE TABLE saying (id INTEGER PRIMARY KEY, words TEXT NOT NULL)")
    engine.execute_sql("INSERT INTO saying SELECT id, note FROM booking")
    engine.execute_sql("UPDATE studio SET motto = 'slow is smooth'")


def counted():
    return {
        table._meta.table_name: table.select().count() for table in models.TABLES if table is not Studio
    } | {"problems": prove().problems}


@pytest.mark.deepens
def test_a_migration_interrupted_at_each_statement_loses_nothing(
    mixed, address, monkeypatch, capsys, engine, request
):
    """Two steps at once; at the n-th statement the line breaks. Then the books are of the schema before, whole.

    On a server, which copies the schema for each try, an ordinary run breaks every sixteenth statement, a deep one
    every fourth.
    """
    step = 1 if engine == "sqlite" else 4 if request.config.getoption("deep") else 16
    before, ran, at, tried = counted(), [0], request.config.option.sample_seed % step, 0
    plain, migrate = pw.Database.execute_sql, migrations.migrate

    def counting(engine, *args, **more):
        if ran[0] > 0:
            ran[0] -= 1
            if ran[0] == 0:
                engine.connection().close()
                raise pw.OperationalError("the line broke")
        return plain(engine, *args, **more)

    def watched(*args, **more):
        ran[0] = at + 1
        taken = migrate(*args, **more)
        ran[0] = 0
        return taken

    def migrated():
        with monkeypatch.context() as patch:
            patch.setattr(migrations, "NEWEST", NEXT + 1)
            patch.setattr(migrations, "STEPS", {NEXT: to_next, NEXT + 1: to_the_one_after})
            patch.setattr(migrations, "migrate", watched)
            patch.setattr(pw.Database, "execute_sql", counting)
            connection.open_books(address)

    while at < 500:
        try:
            migrated()
        except Exception:
            tried += 1
            at += step
            ran[0] = 0
            connection.open_books(address)
            with connection.connection():
                assert migrations.written_schema(database.obj) == NOW
                assert counted() == before
                assert "motto" not in {column.name for column in database.obj.get_columns("studio")}
                assert "saying" not in database.obj.get_tables()
        else:
            break
    with connection.connection():
        assert database.execute_sql("SELECT schema_version, motto FROM studio").fetchone() == (
            NEXT + 1,
            "slow is smooth",
        )
        after = counted()
        # To this Ullage the books are those of a later one now; nothing else is wrong with them.
        assert all("a later Ullage wrote it" in problem for problem in after.pop("problems"))
        assert (triggers.missing(database.obj), after | {"problems": []}) == ([], before)
        if addresses.is_server(address):
            database.execute_sql(
                f"DROP SCHEMA {addresses.schema_of(address)}_before_schema_{NEXT + 1} CASCADE"
            )
    assert tried > 15 // step + 1
    with capsys.disabled():
        print(f"\n  a migration of two steps broken at {tried} statements", end="")


def test_up_to_date_books_need_no_migration(books):
    assert migrations.migrate(database.obj) == []


def test_an_older_file_is_copied_before_it_is_migrated(tmp_path, monkeypatch):
    path = str(tmp_path / "studio.ullage")
    studio.make(path, name="Old", currency="EUR", time_zone="UTC", measures="metric")
    lead_to_next(monkeypatch, lambda engine: None)
    connection.open_books(path)
    [kept] = snapshots.listing(path)
    assert kept.kind == f"before-schema-{NEXT}"
    with sqlite3.connect(kept.path) as copy:
        assert copy.execute("SELECT schema_version, name FROM studio").fetchone() == (NOW, "Old")
    with connection.connection():
        assert migrations.written_schema(database.obj) == NEXT


@pytest.mark.only("postgresql")
def test_an_older_schema_on_a_server_is_kept_beside_it(mixed, address, monkeypatch):
    lead_to_next(monkeypatch, lambda engine: engine.execute_sql("ALTER TABLE studio ADD COLUMN motto TEXT"))
    connection.open_books(address)
    kept = f"{addresses.schema_of(address)}_before_schema_{NEXT}"
    monkeypatch.undo()
    connection.open_books(f"{address}_before_schema_{NEXT}")
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
