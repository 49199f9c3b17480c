"""Backups beside the books: how long they are kept, and that only a sound one is trusted."""

import os
import sqlite3
import stat
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.errors import BooksUnreachable
from stock.shelf import deliveries
from stock.store import connection, file_checks, snapshots
from stock.store.models import database
from tests.clock import clock_at

pytestmark = pytest.mark.only("sqlite")
DAYS = st.dates(date(2020, 1, 1), date(2030, 12, 31))


def test_seven_days_four_weeks_twelve_months_of_two_years_of_use():
    """Worked by hand: Friday 2026-01-02 back to 2024-01-03, a backup every day.

    Days 27 Dec - 2 Jan. Weeks: the newest of each, 2 Jan, 28 Dec, 21 Dec, 14 Dec (Sundays). Months: the last
    day of each, 2 Jan 2026 back to 28 Feb 2025.
    """
    newest = date(2026, 1, 2)
    kept = snapshots.kept([newest - timedelta(back) for back in range(730)])
    days = {newest - timedelta(back) for back in range(7)}
    weeks = {newest, date(2025, 12, 28), date(2025, 12, 21), date(2025, 12, 14)}
    months = {
        newest, date(2025, 12, 31), date(2025, 11, 30), date(2025, 10, 31), date(2025, 9, 30), date(2025, 8, 31),
        date(2025, 7, 31), date(2025, 6, 30), date(2025, 5, 31), date(2025, 4, 30),
        date(2025, 3, 31), date(2025, 2, 28),
    }  # fmt: skip
    assert kept == days | weeks | months


@given(st.lists(DAYS, max_size=200))
def test_what_is_kept_is_newest_and_never_more_than_promised(days):
    kept = snapshots.kept(days)
    assert kept <= set(days)
    assert len(kept) <= 7 + 4 + 12
    assert set(sorted(set(days))[-7:]) <= kept
    assert snapshots.kept(sorted(kept)) == kept


def test_daily_use_leaves_what_is_promised(books, address):
    start = date(2025, 1, 1)
    for back in range(40):
        with clock_at(start + timedelta(back)):
            assert snapshots.daily(address) is not None
            assert snapshots.daily(address) is None
    left = {one.at.date() for one in snapshots.listing(address)}
    assert left == snapshots.kept([start + timedelta(back) for back in range(40)])
    assert stat.S_IMODE(os.stat(snapshots.folder(address)).st_mode) == 0o700
    assert {stat.S_IMODE(os.stat(one.path).st_mode) for one in snapshots.listing(address)} == {0o600}


def test_a_backup_is_taken_while_the_books_are_in_use(stocked, address):
    with connection.writing():
        database.execute_sql("UPDATE studio SET name = 'Half way'")
        made = snapshots.take(address, "asked")
    with sqlite3.connect(made) as copy:
        assert copy.execute("SELECT name FROM studio").fetchone() == ("Test studio",)
    assert file_checks.problems(made) == []
    assert not list(made.parent.glob(".*"))


def test_a_folder_of_an_odd_name_can_be_backed_up(tmp_path):
    from stock.shelf import studio

    odd = tmp_path / "100% of #1 ? [ä]"
    studio.make(str(odd / "s.ullage"), name="S", currency="EUR", time_zone="UTC", measures="metric")
    made = snapshots.take(str(odd / "s.ullage"), "asked")
    assert file_checks.problems(made) == []


@pytest.mark.parametrize(
    ("spoil", "problem"),
    [
        ("CREATE TRIGGER quiet AFTER INSERT ON movement BEGIN DELETE FROM request; END", "trigger 'quiet'"),
        ("CREATE VIEW studio2 AS SELECT * FROM studio", "view 'studio2'"),
        ("CREATE TABLE extra (x)", "table 'extra'"),
        ("DROP TRIGGER movement_refuses_update", "movement_refuses_update is gone"),
        ("UPDATE bottle SET on_hand_ul = on_hand_ul + 1 WHERE id = 2", "bottle 2 holds 1 microlitres more"),
        ("UPDATE bottle SET product_id = 99 WHERE id = 1", "refers to a product"),
        ("DROP TABLE studio", "no such table: studio"),
        ("DROP TABLE recipe_part", "recipe_part is gone"),
        ("UPDATE studio SET schema_version = 99", "later Ullage"),
        ("PRAGMA application_id = 7", "does not begin"),
    ],
)
def test_an_unsound_file_is_told_apart(stocked, address, spoil, problem, tmp_path):
    made = snapshots.take(address, "asked")
    with sqlite3.connect(made) as copy:
        copy.execute(spoil)
    assert problem in " ".join(file_checks.problems(made))
    assert snapshots.newest_good(address) is None


def test_triggers_that_only_bear_the_names_protect_nothing(stocked, address):
    name = "movement_refuses_update"
    database.execute_sql(f"DROP TRIGGER {name}")
    database.execute_sql(f"CREATE TRIGGER {name} BEFORE UPDATE ON movement BEGIN SELECT 1; END")
    with pytest.raises(BooksUnreachable, match="not protected"):
        connection.open_books(address)


def test_damaged_books_name_the_newest_good_backup(stocked, address):
    with clock_at("2026-03-01 10:00:00"):
        good = snapshots.take(address, "daily")
    with clock_at("2026-03-02 10:00:00"):
        bad = snapshots.take(address, "daily")
    database.close()
    for path in (bad, address):
        with open(path, "r+b") as file:
            file.truncate(9_000)
    with pytest.raises(BooksUnreachable) as refusal:
        connection.open_books(address)
        with connection.connection():
            deliveries.receive("Harbour Blue", 60_000)
    assert refusal.value.code == "damaged"
    assert f"newest good backup is of 2026-03-01 10:00 UTC: `ullage restore {good}`" in refusal.value.remedy
    with open(address, "r+b") as file:
        file.write(b"no header any more")
    with pytest.raises(BooksUnreachable, match="damaged"):
        connection.open_books(address)
