"""A restore while others book: whatever was confirmed is in the books or in what the restore kept."""

import json
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from stock.errors import BooksUnreachable
from stock.exchange import backup, replacing
from stock.shelf import deliveries
from stock.store import connection, file_checks, files, snapshots
from stock.store.models import Booking, database
from tests.faults import benches

pytestmark = pytest.mark.only("sqlite")
BENCHES, RESTORES, LEAST = 4, 3, 12


def ullage(address, *line):
    """The command as a process, and what it answers."""
    done = subprocess.run(
        [sys.executable, "-m", "tui", "--studio", address, *line, "--json"],
        capture_output=True, text=True, timeout=600,
    )  # fmt: skip
    assert "Traceback" not in done.stderr
    return done.returncode, json.loads(done.stdout or done.stderr)


def keys_in(path):
    with closing(files.reader(Path(path))) as file:
        return {key for (key,) in file.execute("SELECT key FROM request")}


def test_nothing_confirmed_is_lost_by_a_restore(stocked, address, tmp_path, capsys):
    """Processes book without a pause while others restore the same backup again and again, as a process and here."""
    made = backup.make(address, str(tmp_path / "safe.ullage"))
    database.close()
    confirmed, kept, running = set(), [], []
    try:
        running = [benches.start(benches.receive_forever, address, f"b{n}") for n in range(BENCHES)]
        for restore in range(RESTORES):
            seen = dict.fromkeys(range(BENCHES), 0)
            while min(seen.values()) < LEAST:
                for n, (process, line) in enumerate(running):
                    assert process.is_alive()
                    if line.poll(0.01):
                        confirmed.add(line.recv())
                        seen[n] += 1
            if restore:
                kept.append(backup.restore(made.path, address))
            else:
                status, answer = ullage(address, "restore", str(made.path), "--yes")
                assert status == 0, answer
                kept.append(answer["kept"])
    finally:
        for process, line in running:
            benches.kill(process)
            confirmed |= set(benches.heard(line))
    found = keys_in(address).union(*(keys_in(path) for path in kept))
    assert confirmed - found == set()
    lost_to_the_books = confirmed - keys_in(address)
    assert len(lost_to_the_books) >= BENCHES * LEAST * (RESTORES - 1)
    status, proof = ullage(address, "check")
    assert (status, proof["problems"]) == (0, [])
    with capsys.disabled():
        print(f"\n  {len(confirmed)} bookings confirmed through {RESTORES} restores: 0 lost", end="")


def test_a_held_lock_is_waited_for_and_then_said(stocked, address, tmp_path, monkeypatch):
    made = backup.make(address, str(tmp_path / "safe.ullage"))
    deliveries.receive("Harbour Blue", 60_000)
    database.close()
    monkeypatch.setattr(files, "PATIENCE_S", 0.3)
    before = keys_in(address)
    for lock in ("IMMEDIATE", "EXCLUSIVE"):
        with closing(sqlite3.connect(address, isolation_level=None)) as holder:
            holder.execute(f"BEGIN {lock}")
            began = time.monotonic()
            with pytest.raises(BooksUnreachable, match="another program has held the books") as refusal:
                backup.restore(made.path, address)
            assert time.monotonic() - began < 30, "bounded"
            assert "nothing was restored" in str(refusal.value)
    assert keys_in(address) == before
    assert snapshots.listing(address) == []
    assert backup.restore(made.path, address)


def test_a_backup_that_somebody_holds_is_not_waited_for_without_end(stocked, address, tmp_path, monkeypatch):
    made = backup.make(address, str(tmp_path / "safe.ullage"))
    monkeypatch.setattr(files, "PATIENCE_S", 0.3)
    with closing(sqlite3.connect(made.path, isolation_level=None)) as holder:
        holder.execute("BEGIN EXCLUSIVE")
        with pytest.raises(file_checks.Unsound, match="another program holds it"):
            backup.restore(made.path, address)
    assert backup.restore(made.path, address)


def test_what_is_booked_while_damaged_files_are_exchanged_is_refused(stocked, address, tmp_path, monkeypatch):
    """A bench that has the damaged file open is told that it was replaced, and books in the restored one next."""
    made = backup.make(address, str(tmp_path / "safe.ullage"))
    monkeypatch.setattr(
        replacing, "_put_rows", lambda *_: (_ for _ in ()).throw(sqlite3.DatabaseError("malformed"))
    )
    connection.open_books(address)
    with connection.connection():
        bookings = Booking.select().count()
        assert backup.restore(made.path, address)
        with pytest.raises(files.Moved, match="nothing was booked"):
            deliveries.receive("Harbour Blue", 60_000)
    with connection.connection():
        deliveries.receive("Harbour Blue", 60_000)
        assert Booking.select().count() == bookings + 1
