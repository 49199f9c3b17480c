"""How long 1,000,000 rows take to come in and go out: `python -m tests.benchmarks.exchange [ROWS]`.

The floor beside it, measured in the same run, is Python's own CSV reader and one plain `sqlite3` executemany
of as many rows into a table of the same width without indexes or checks.
"""

import csv
import sqlite3
import sys
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from stock.exchange import folder, incoming
from stock.shelf import products, studio
from stock.store.connection import connection


def timed(what: str, rows: int, work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    took = time.perf_counter() - start
    print(f"{what:<44}{took:8.1f} s {rows / took:12,.0f} rows/s", flush=True)
    return took


def write_stock(path: Path, rows: int) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["Product", "Size", "Left", "Lot", "Received", "Price"])
        for at in range(rows):
            received = f"2025-{1 + at % 12:02}-{1 + at % 28:02}"
            writer.writerow([f"Blue {at % 40}", "60 ml", f"{at % 60}.5 ml", f"L{at % 900}", received, "7.90"])


def write_mixes(path: Path, rows: int) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["Date", "Paint", "Amount", "Reducer", "Reduction", "Needle", "Outcome"])
        for at in range(rows):
            when = f"2025-{1 + at % 12:02}-{1 + at % 28:02} {at % 24:02}:{at % 60:02}"
            writer.writerow([when, f"Blue {at % 40}", f"{1 + at % 9} ml", "Thinner", "20%", "0.35", "good"])


def floor(path: Path) -> None:
    with sqlite3.connect(":memory:") as plain, path.open(newline="", encoding="utf-8") as file:
        plain.execute("CREATE TABLE t (a, b, c, d, e, f)")
        plain.executemany("INSERT INTO t VALUES (?, ?, ?, ?, ?, ?)", (row[:6] for row in csv.reader(file)))


def book(path: Path) -> None:
    made = incoming.plan(str(path))
    incoming.book(made)


def main(rows: int) -> None:
    with TemporaryDirectory() as place:
        here = Path(place)
        books = str(here / "books.ullage")
        studio.make(books, name="Large", currency="EUR", time_zone="UTC", measures="metric")
        with connection():
            products.add({"name": "Thinner", "role": "reducer"})
            for number in range(40):
                products.add({"name": f"Blue {number}", "role": "paint"})
            stock, mixes = here / "stock.csv", here / "mixes.csv"
            write_stock(stock, rows)
            write_mixes(mixes, rows)
            least = timed("floor: csv reader and plain executemany", rows, lambda: floor(stock))
            took = [
                timed("a spreadsheet of stock looked at", rows, lambda: incoming.plan(str(stock))),
                timed("a spreadsheet of stock looked at and booked", rows, lambda: book(stock)),
                timed("past mixes looked at and booked", rows, lambda: book(mixes)),
            ]
        whole = 10 * rows  # a bottle is two rows of the books, a closed mix eight
        out = timed("the whole studio exported", whole, lambda: folder.export(books, str(here / "out")))
        back = timed(
            "the whole studio taken back and proven",
            whole,
            lambda: folder.take_in(str(here / "out"), str(here / "b.ullage")),
        )
        print("times the floor: " + ", ".join(f"{each / least:.0f}" for each in [*took, out, back]))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000)
