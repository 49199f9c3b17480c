"""What telling the sample studio's story costs, beside its rows written one by one by plain sqlite3.

    python -m tests.benchmarks.sample_loading [ROUNDS]

The floor makes the same tables with the same pragmas and triggers in a fresh file, and inserts the very rows
that the story left, in one transaction. Rounds alternate; medians of processor and of wall time are printed.
"""

import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from functools import partial
from pathlib import Path

from sample_studio.loader import load
from stock.shelf import studio
from stock.store.files import PRAGMAS
from stock.store.models import TABLES


def rows_of(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every row of the told books, by table."""
    with closing(sqlite3.connect(path)) as engine:
        names = [table._meta.table_name for table in TABLES]
        return {
            name: engine.execute(f"SELECT * FROM {name}").fetchall() for name in names if name != "studio"
        }


def by_hand(path: Path, rows: dict[str, list[tuple[object, ...]]]) -> None:
    """The floor: empty books, then plain INSERTs."""
    studio.make(str(path), name="Floor", currency="EUR", time_zone="Europe/Lisbon", measures="metric")
    with closing(sqlite3.connect(path, isolation_level=None)) as engine:
        for name, value in PRAGMAS:
            engine.execute(f"PRAGMA {name} = {value}")
        engine.execute("PRAGMA foreign_keys = 0")
        engine.execute("BEGIN IMMEDIATE")
        for name, table in rows.items():
            for row in table:
                engine.execute(f"INSERT INTO {name} VALUES ({', '.join('?' * len(row))})", row)
        engine.execute("COMMIT")


def timed(work: Callable[[], None]) -> tuple[float, float]:
    """Seconds of the processor and of the wall."""
    wall, processor = time.perf_counter(), time.process_time()
    work()
    return time.process_time() - processor, time.perf_counter() - wall


def main() -> None:
    """Measure in turn, so that other work on the machine falls on both alike."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    loaded, floor = [], []
    with tempfile.TemporaryDirectory() as spare:
        folder = Path(spare)
        load(str(folder / "first.ullage"))
        rows = rows_of(folder / "first.ullage")
        for number in range(rounds):
            loaded.append(timed(partial(load, str(folder / f"told{number}.ullage"))))
            floor.append(timed(partial(by_hand, folder / f"floor{number}.ullage", rows)))
    bookings = len(rows["booking"])
    print(f"{bookings} bookings, {sum(map(len, rows.values()))} rows, {rounds} rounds, medians")
    for name, at in (("processor", 0), ("wall", 1)):
        ours, theirs = (statistics.median(each[at] for each in times) for times in (loaded, floor))
        print(
            f"{name:9} told {ours:6.3f} s ({1000 * ours / bookings:.2f} ms a booking), "
            f"by hand {theirs:6.3f} s, {ours / theirs:.1f}x"
        )


if __name__ == "__main__":
    main()
