"""Books of every released schema open in the newest, whole, and go on."""

import re
import shutil
import sqlite3
from fractions import Fraction
from pathlib import Path

import pytest

from stock.bench.closing import Ending, close
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.step_requests import StepRequest
from stock.bench.steps import book_step
from stock.exchange import backup, incoming
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import lines, products
from stock.shelf.product_view import as_json
from stock.store import connection, files, migrations, models, triggers
from stock.store.models import Bottle, Mix, Movement, Request, Studio, database
from stock.store.orm import pw

FILES = sorted((Path(__file__).parent / "released").glob("schema-*.sql"))


def book_of(path, tmp_path):
    made = tmp_path / "studio.ullage"
    with sqlite3.connect(made) as file:
        file.executescript(path.read_text(encoding="utf-8"))
        file.execute(f"PRAGMA application_id = {files.APPLICATION_ID}")
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


def shape(engine):
    """Each table's columns, whatever their order, and the names of its indexes."""
    return {
        table._meta.table_name: (
            {
                (column.name, column.data_type, column.null, column.primary_key)
                for column in engine.get_columns(table._meta.table_name)
            },
            {index.name for index in engine.get_indexes(table._meta.table_name)},
        )
        for table in models.TABLES
    }


def step_back(engine):
    """Take from the newest books what came since schema 1."""
    later = {}
    for table, column in migrations.ADDED:
        later.setdefault(table, set()).add(column)
    if isinstance(engine, pw.SqliteDatabase):  # it drops no column that a reference names
        engine.execute_sql("PRAGMA foreign_keys = 0")
        for table, columns in later.items():
            without(engine, table, columns)
        engine.execute_sql("PRAGMA foreign_keys = 1")
    else:
        for table, columns in later.items():
            for column in columns:
                engine.execute_sql(f'ALTER TABLE "{table}" DROP COLUMN "{column}"')
    for table in reversed(pw.sort_models(models.TABLES)):
        if table._meta.table_name in migrations.ADDED_TABLES:
            engine.execute_sql(f'DROP TABLE "{table._meta.table_name}"')
    engine.execute_sql("DROP INDEX movement_filled")
    engine.execute_sql("UPDATE studio SET schema_version = 1")


def without(engine, table, columns):
    """Make a table of a file anew without some of its columns, with the rows and the other indexes that it had."""
    kept = ", ".join(f'"{c.name}"' for c in engine.get_columns(table) if c.name not in columns)
    (made,) = engine.execute_sql("SELECT sql FROM sqlite_schema WHERE name = ?", (table,)).fetchone()
    for column in columns:
        made = re.sub(rf', FOREIGN KEY \("{column}"\) REFERENCES [^,]*?\("id"\)( ON DELETE \w+)?', "", made)
        made = re.sub(rf', "{column}" (?:[^,()]|\([^()]*(?:\([^()]*\)[^()]*)*\))*', "", made)
    indexes = engine.execute_sql(
        "SELECT sql FROM sqlite_schema WHERE tbl_name = ? AND type = 'index'", (table,)
    )
    again = [sql for (sql,) in indexes.fetchall() if sql and not any(f'"{c}"' in sql for c in columns)]
    for statement in (
        made.replace(f'"{table}"', '"older"', 1),
        f'INSERT INTO "older" SELECT {kept} FROM "{table}"',
        f'DROP TABLE "{table}"',
        f'ALTER TABLE "older" RENAME TO "{table}"',
        *again,
    ):
        engine.execute_sql(statement)


def test_what_comes_after_the_first_schema_is_known_by_it():
    assert {(table, column) for (table, column), schema in migrations.ADDED.items() if schema == 2} == {
        ("studio", "spray_ul_per_min"), ("studio", "waste_collected_on"), ("product", "no_solvent"),
    }  # fmt: skip


def test_migrated_books_have_the_shape_of_new_ones(mixed, address):
    fresh, rows = shape(database.obj), list(models.Product.select().order_by(models.Product.id).dicts())
    step_back(database.obj)
    assert migrations.migrate(database.obj) == list(range(2, migrations.NEWEST + 1))
    assert shape(database.obj) == fresh
    assert list(models.Product.select().order_by(models.Product.id).dicts()) == rows
    assert triggers.missing(database.obj) == []
    assert prove().problems == []


def test_the_lines_of_older_books_become_records_and_every_product_says_what_was_noted_of_it(books):
    products.add(
        {"name": "Kelp Green", "role": "paint", "line": "Quay", "flash_point": "0C", "price": "60ml=7"}
    )
    products.add({"name": "Rust", "role": "paint", "line": "Pier", "sealed_life": "3y"})
    products.add({"name": "Alone", "role": "clear", "water": "0"})
    with connection.writing():
        models.Product.update(line="quay ").where(models.Product.name == "Rust").execute()
    before = [as_json(row) for row in products.everything()]
    step_back(database.obj)
    migrations.migrate(database.obj)
    assert [row.name for row in lines.everything()] == ["Quay"]
    own_texts = lines.products_of(lines.find("Quay"))
    assert [(row.name, set(own)) for row, own in own_texts] == [
        ("Kelp Green", {"role", "flash_point", "packs"}), ("Rust", {"role", "sealed_life"}),
    ]  # fmt: skip
    rust = next(own_texts for own_texts in before if own_texts["name"] == "Rust")
    rust["line"] = "Quay"
    assert [as_json(row) | {"inherited": []} for row in products.everything()] == [
        own_texts | {"inherited": []} for own_texts in before
    ]
    assert prove().problems == []
    assert as_json(lines.change("Quay", {"water": "50"}) and products.find("Rust"))["water_percent"] == 50


def test_what_an_undo_took_along_is_worked_out_for_older_books(stocked, tmp_path):
    mix = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20)))["mix"]
    alone = book_step(mix, StepRequest(Fraction(5)))["step"]
    book_step(mix, StepRequest(Fraction(5)))
    undo("step", alone)  # taken back by itself, so it does not come again with its mix
    close(mix, Ending("good"))
    file = tmp_path / "mixes.csv"
    file.write_text(
        "Date,Paint,Amount\n2025-01-05 10:00,Harbour Blue,8 ml\n2025-01-06 10:00,Gull White,2 ml\n"
    )
    number = undo("mix", mix)["undo"]
    for _ in range(2):
        number = undo("undo", number)["undo"]
    imported = incoming.book(incoming.plan(str(file), incoming.Wishes()))["import"]
    back = undo("import", imported)["undo"]
    written = dict(models.Booking.select(models.Booking.id, models.Booking.with_undo).tuples())
    assert sum(along is not None for along in written.values()) == 3 * 2 + 2
    step_back(database.obj)
    migrations.migrate(database.obj)
    assert dict(models.Booking.select(models.Booking.id, models.Booking.with_undo).tuples()) == written
    assert triggers.missing(database.obj) == []
    assert len(undo("undo", number)["undid"]) == 3
    assert undo("undo", back)["bookings"] == 3
    assert prove().problems == []


@pytest.mark.only("sqlite")
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_old_books_are_brought_to_the_newest_shape(path, tmp_path, books):
    fresh, older = shape(database.obj), tmp_path / "older"
    older.mkdir()
    connection.open_books(str(book_of(path, older)))
    with connection.connection():
        assert shape(database.obj) == fresh


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_backup_of_an_older_schema_is_not_said_to_lack_what_it_holds(path, tmp_path):
    old = book_of(path, tmp_path)
    brought_up = tmp_path / "now.ullage"
    shutil.copy(old, brought_up)
    connection.open_books(str(brought_up))
    assert not backup.loss(old, str(brought_up))
    with connection.connection():
        book_mix(MixRequest(parts=(("Harbour Blue", 1_000),)))
    lost = backup.loss(old, str(brought_up))
    assert (lost.bookings, lost.rows) == ({"mix": 1}, {})
