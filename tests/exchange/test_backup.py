"""Backing up, and putting back: from either engine to either, and nothing that is replaced is lost."""

import io
import itertools
import json
import os
import sqlite3
import stat
from pathlib import Path

import psycopg
import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.cli.main import main
from stock.errors import BooksUnreachable
from stock.exchange import backup, copying
from stock.logbook.proof import prove
from stock.shelf import deliveries, products
from stock.store import connection, file_checks, migrations, snapshots
from stock.store.models import Booking, Bottle, database
from stock.store.outputs import WouldOverwrite
from tests.clock import clock_at

NUMBERS = itertools.count()
ONE_ML = MixRequest(parts=(("Harbour Blue", 1_000),))


@pytest.fixture
def other(server, tmp_path, request):
    """An address of the named engine at which nothing stands."""
    if request.param == "sqlite":
        yield str(tmp_path / "other" / "studio.ullage")
        return
    schema = f"backup_{next(NUMBERS)}"
    yield f"{server}{'&' if '?' in server else '?'}schema={schema}"
    with psycopg.connect(server, autocommit=True) as engine:
        rows = engine.execute("SELECT nspname FROM pg_namespace WHERE nspname LIKE %s", (f"{schema}%",))
        for (name,) in rows.fetchall():
            engine.execute(f'DROP SCHEMA "{name}" CASCADE')


def rows_of(address):
    with copying.opened(address) as books:
        return {table: list(copying.read(books, table)) for table in copying.TABLES}


@pytest.mark.parametrize("other", ["sqlite", "postgresql"], indirect=True)
def test_a_backup_restores_to_either_engine(stocked, mixed, address, other, tmp_path):
    made = backup.make(address, str(tmp_path / "safe.ullage"))
    assert made.bookings == Booking.select().count()
    assert stat.S_IMODE(os.stat(made.path).st_mode) == 0o600
    assert backup.restore(made.path, other) is None
    assert rows_of(other) == rows_of(address)
    connection.open_books(other)
    with connection.connection():
        assert prove().problems == []
        assert book_mix(ONE_ML)["booked"]


def test_restoring_over_books_keeps_what_stood_there(stocked, address, tmp_path, server):
    made = backup.make(address, str(tmp_path / "safe.ullage"))
    before = rows_of(address)
    book_mix(ONE_ML)
    products.add({"name": "Late Red", "role": "paint"})
    after = rows_of(address)
    loss = backup.loss(made.path, address)
    assert (loss.bookings, loss.rows) == ({"mix": 1}, {"product": 1})
    kept = backup.restore(made.path, address)
    assert rows_of(address) == before
    where = kept if "ullage" in kept else address.rpartition("=")[0] + "=" + kept
    assert rows_of(where) == after
    connection.open_books(address)
    with connection.connection():
        assert book_mix(ONE_ML)["booked"]
        assert prove().problems == []
    if "ullage" not in kept:
        with psycopg.connect(server, autocommit=True) as engine:
            engine.execute(f'DROP SCHEMA "{kept}" CASCADE')


def test_each_restore_of_a_second_keeps_what_stood_there_under_a_name_of_its_own(stocked, address, tmp_path):
    made = backup.make(address, str(tmp_path / "safe.ullage"))
    with clock_at("2026-10-14 12:00:00"):
        kept = [backup.restore(made.path, address) for _ in range(3)]
    assert len(set(kept)) == 3


def test_a_backup_holds_all_that_the_books_hold_at_once(stocked, address, tmp_path):
    made = backup.make(address, str(tmp_path / "safe.ullage"))
    assert not backup.loss(made.path, address)


@pytest.mark.only("sqlite")
def test_a_restore_is_seen_by_whoever_has_the_books_open(stocked, address, tmp_path):
    made = backup.make(address, str(tmp_path / "safe.ullage"))
    deliveries.receive("Harbour Blue", 60_000)
    assert Bottle.select().count() == 5
    backup.restore(made.path, address)
    assert Bottle.select().count() == 4
    assert book_mix(ONE_ML)["booked"]


@pytest.mark.only("postgresql")
def test_an_errand_under_way_finishes_before_a_server_is_restored(stocked, address, tmp_path, server):
    """The restore waits for the errand (here: gives up after the lock time-out), and has changed nothing."""
    made = backup.make(address, str(tmp_path / "safe.ullage"))
    before = rows_of(address)
    from stock.store import addresses
    from stock.store import server as lines

    with psycopg.connect(server) as bench, pytest.MonkeyPatch.context() as patched:
        patched.setitem(lines.WAITS, "lock_timeout", "100ms")
        bench.execute(f"LOCK TABLE {addresses.schema_of(address)}.booking IN ROW EXCLUSIVE MODE")
        with pytest.raises(BooksUnreachable, match="another bench"):
            backup.restore(made.path, address)
    assert rows_of(address) == before


@pytest.mark.only("sqlite")
@pytest.mark.parametrize("damage", ["cut", "header", "gone", "empty", "flipped"])
def test_damaged_books_are_put_back_and_what_is_left_of_them_kept(stocked, address, damage):
    """With the log of the damaged file still beside it, which must not be played into the restored one."""
    made = backup.make(address)
    before = rows_of(address)
    book_mix(ONE_ML)
    saved = {ending: Path(address + ending).read_bytes() for ending in ("", "-wal")}
    database.close()
    for ending, content in saved.items():
        Path(address + ending).write_bytes(content)
    path = Path(address)
    content = saved[""]
    match damage:
        case "cut":
            path.write_bytes(content[:9_000])
        case "header":
            path.write_bytes(b"x" * 100 + content[100:])
        case "gone":
            path.unlink()
        case "empty":
            path.write_bytes(b"")
        case "flipped":
            Path(address + "-wal").unlink()
            path.write_bytes(
                content[:4_096] + bytes(255 - byte for byte in content[4_096:20_000]) + content[20_000:]
            )
    assert not backup.loss(made.path, address).readable or damage == "gone"
    kept = backup.restore(made.path, address)
    assert (kept is None) == (damage == "gone")
    assert rows_of(address) == before
    connection.open_books(address)
    with connection.connection():
        assert prove().problems == []
        assert book_mix(ONE_ML)["booked"]
        assert prove().problems == []


def test_an_older_backup_comes_up_to_the_newest_schema(stocked, address, tmp_path, monkeypatch):
    made = backup.make(address, str(tmp_path / "safe.ullage"))
    now, following = migrations.NEWEST, migrations.NEWEST + 1
    monkeypatch.setattr(migrations, "NEWEST", following)
    monkeypatch.setattr(
        migrations, "STEPS", {following: lambda engine: engine.execute_sql("UPDATE studio SET name = 'Two'")}
    )
    backup.restore(made.path, address)
    connection.open_books(address)
    with connection.connection():
        assert migrations.written_schema(database.obj) == following
        assert database.execute_sql("SELECT name FROM studio").fetchone() == ("Two",)
        assert prove().problems == []
    if database.obj.for_update:
        assert file_checks.schema_of(made.path) == now


def test_nothing_is_written_over_or_into_what_is_there(stocked, address, tmp_path):
    there = tmp_path / "there"
    there.write_text("mine")
    with pytest.raises(WouldOverwrite, match="exists"):
        backup.make(address, str(there))
    assert there.read_text() == "mine"
    with pytest.raises(BooksUnreachable, match="can't be written"):
        backup.make(address, str(tmp_path / "no folder" / "b.ullage"))
    folder = tmp_path / "folder"
    folder.mkdir()
    assert backup.make(address, str(folder)).path.parent == folder
    assert [path.name for path in folder.iterdir() if path.name.startswith(".")] == []


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 a zip", b"SQLite format 3\0" + b"\0" * 200])
def test_what_is_no_backup_changes_nothing(stocked, address, tmp_path, content):
    strange = tmp_path / "strange"
    strange.write_bytes(content)
    before = rows_of(address)
    with pytest.raises(file_checks.Unsound):
        backup.restore(strange, address)
    assert rows_of(address) == before


def test_a_backup_that_acts_by_itself_is_refused(stocked, address, tmp_path):
    made = backup.make(address, str(tmp_path / "safe.ullage"))
    with sqlite3.connect(made.path) as file:
        file.execute("CREATE TRIGGER quiet AFTER INSERT ON booking BEGIN DELETE FROM request; END")
    with pytest.raises(file_checks.Unsound, match="'quiet'"):
        backup.restore(made.path, address)


@pytest.mark.only("sqlite")
def test_a_link_is_followed_to_the_books_and_not_replaced(stocked, address, tmp_path):
    link = tmp_path / "link.ullage"
    link.symlink_to(address)
    made = backup.make(str(link), str(tmp_path / "safe.ullage"))
    book_mix(ONE_ML)
    backup.restore(made.path, str(link))
    assert link.is_symlink()
    assert rows_of(address) == rows_of(str(made.path))


def mixes():
    with connection.connection():
        return Booking.select().where(Booking.kind == "mix").count()


def run(capsys, *line):
    status = main([*line, "--json"])
    out, err = capsys.readouterr()
    return status, json.loads(out or err)


def test_the_commands_answer_for_scripts(stocked, address, tmp_path, capsys):
    status, made = run(capsys, "--studio", address, "backup", str(tmp_path / "b.ullage"))
    assert (status, made["checked"], made["bookings"]) == (0, True, 3)
    run(capsys, "--studio", address, "mix", "Harbour Blue=2ml")
    status, shown = run(capsys, "--studio", address, "restore", made["backup"], "--dry-run")
    assert (shown["restored"], shown["lost"]["bookings"]) == (False, {"mix": 1})
    status, done = run(capsys, "--studio", address, "restore", made["backup"])
    assert (status, done["restored"], done["ok"], done["lost"]["bookings"]) == (0, True, True, {"mix": 1})
    assert done["kept"]
    status, checked = run(capsys, "--studio", address, "check")
    assert (status, checked["mixes"]) == (0, 0)
    status, copied = run(capsys, "--studio", address, "copy", str(tmp_path / "copy.ullage"))
    assert (status, copied["equal"]) == (0, True)


@pytest.mark.only("sqlite")
def test_a_person_is_asked_before_something_is_lost(stocked, address, monkeypatch, capsys):
    made = backup.make(address)
    book_mix(ONE_ML)
    asked = []
    monkeypatch.setattr("sys.stdin", type("Terminal", (io.StringIO,), {"isatty": lambda self: True})())
    monkeypatch.setattr("builtins.input", lambda text: asked.append(text) or "n")
    assert main(["--studio", address, "restore", str(made.path)]) == 0
    assert "Nothing was restored" in capsys.readouterr().out
    assert "lost: 1 (1 mix)" in asked[0]
    assert mixes() == 1
    monkeypatch.setattr("builtins.input", lambda text: "y")
    assert main(["--studio", address, "restore", str(made.path)]) == 0
    assert mixes() == 0


@pytest.mark.only("sqlite")
def test_the_first_booking_of_a_day_makes_the_days_backup_and_reading_never_does(stocked, address, capsys):
    connection._written.clear()
    with clock_at("2030-01-01 10:00:00"):
        main(["--studio", address, "shelf"])
        assert snapshots.listing(address) == []
        main(["--studio", address, "mix", "Harbour Blue=2ml"])
        main(["--studio", address, "mix", "Harbour Blue=2ml"])
    with clock_at("2030-01-02 10:00:00"):
        main(["--studio", address, "mix", "Harbour Blue=2ml"])
    assert [one.kind for one in snapshots.listing(address)] == ["daily", "daily"]
    capsys.readouterr()
    _, listed = run(capsys, "--studio", address, "restore")
    assert [(one["good"], one["bookings_since"]) for one in listed["backups"]] == [(True, 0), (True, 2)]


@pytest.mark.only("sqlite")
def test_a_daily_backup_that_fails_is_said_and_the_mix_stands(stocked, address, capsys):
    Path(f"{address}.backups").write_text("in the way")
    assert main(["--studio", address, "mix", "Harbour Blue=2ml"]) == 0
    out, err = capsys.readouterr()
    assert "Mix" in out
    assert "the day's backup could not be made" in err
    assert err.count("\n") == 1
