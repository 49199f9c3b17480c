"""The locks by which another program sees that the books are open stay, whatever else this program looks at.

POSIX drops all of a process's locks on a file as soon as the process closes any descriptor of it (fcntl(2); SQLite,
"How To Corrupt An SQLite Database File", section 2.2). Another program would then take itself for the last one,
and take the log away in which the next booking is written.
"""

import json
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from stock.exchange.backup import make
from stock.ledger import run
from stock.shelf import deliveries
from stock.store import file_checks, outputs
from stock.store.connection import connection, open_books
from stock.store.past_volumes import HELD_NOW

pytestmark = pytest.mark.only("sqlite")
LEAVE = """
import sqlite3, sys
line = sqlite3.connect(sys.argv[1])
line.execute("SELECT count(*) FROM bottle").fetchone()
line.close()
"""


def another_thread(work):
    failed = []

    def run_it():
        try:
            work()
        except BaseException as error:  # told by the test's own thread
            failed.append(error)

    thread = threading.Thread(target=run_it)
    thread.start()
    thread.join(60)
    assert not failed, failed


def read_beside():
    with connection():
        run(HELD_NOW, 1).fetchall()


@pytest.mark.parametrize(
    "look", ["another thread reads", "opened once more", "checked", "named as an output", "backed up"]
)
def test_what_is_booked_stays_though_another_program_leaves_meanwhile(look, stocked, address, tmp_path):
    looks = {
        "another thread reads": lambda: another_thread(read_beside),
        "opened once more": lambda: another_thread(lambda: open_books(address)),
        "checked": lambda: file_checks.problems(Path(address)),
        "named as an output": lambda: outputs._is_books(Path(address)),
        "backed up": lambda: another_thread(lambda: make(address, str(tmp_path / "kept.ullage"))),
    }
    with connection():
        run(HELD_NOW, 1).fetchall()
        looks[look]()
        subprocess.run([sys.executable, "-c", LEAVE, address], check=True, timeout=300)
        assert Path(f"{address}-wal").exists()
        deliveries.receive("Harbour Blue", 60_000)
    done = subprocess.run(
        [sys.executable, "-m", "tui", "--studio", address, "check", "--json"],
        check=True, capture_output=True, text=True, timeout=300,
    )  # fmt: skip
    answer = json.loads(done.stdout)
    assert (answer["problems"], answer["bottles"]) == ([], 5)
