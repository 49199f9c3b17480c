"""How long 1,000,000 rows take to come in and go out: `python -m tests.benchmarks.exchange [ROWS]`.

Two floors, measured in the same run: Python's own CSV reader and one plain `sqlite3` executemany of as many rows
into a table without indexes or checks; and the very rows that the import made, by plain executemany into the same
tables with their indexes and triggers, in one transaction.
"""

import csv
import sqlite3
import sys
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from stock.exchange import folder, incoming
from stock.shelf import products, studio
from stock.store.connection import connection
from stock.store.models import TABLES
from stock.store.orm import pw


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


def the_same_rows(books: str, made: str) -> float:
    """The rows of some books into others by plain executemany."""
    studio.make(made, name="By hand", currency="EUR", time_zone="UTC", measures="metric")
    with closing(sqlite3.connect(books)) as source:
        names = [table._meta.table_name for table in pw.sort_models(TABLES)]
        rows = {
            name: source.execute(f'SELECT * FROM "{name}"').fetchall() for name in names if name != "studio"
        }
    with closing(sqlite3.connect(made)) as plain:
        plain.execute("PRAGMA synchronous = FULL")

        def write() -> None:
            with plain:
                for name, each in rows.items():
                    if each:
                        marks = ", ".join("?" * len(each[0]))
                        plain.executemany(f'INSERT INTO "{name}" VALUES ({marks})', each)

        return timed("floor: the same rows by plain executemany", sum(map(len, rows.values())), write)


def book(path: Path) -> None:
    made = incoming.plan(str(path))
    incoming.book(made)


def make(books: str) -> None:
    studio.make(books, name="Large", currency="EUR", time_zone="UTC", measures="metric")
    with connection():
        products.add({"name": "Thinner", "role": "reducer"})
        for number in range(40):
            products.add({"name": f"Blue {number}", "role": "paint"})


def main(rows: int) -> None:
    with TemporaryDirectory() as place:
        here = Path(place)
        books = str(here / "books.ullage")
        stock, mixes = here / "stock.csv", here / "mixes.csv"
        write_stock(stock, rows)
        write_mixes(mixes, rows)
        plain = timed("floor: csv reader and plain executemany", rows, lambda: floor(stock))
        for what, path in (("a spreadsheet of stock", stock), ("past mixes", mixes)):
            Path(books).unlink(missing_ok=True)
            make(books)
            looked = timed(f"{what} looked at", rows, lambda path=path: incoming.plan(str(path)))
            took = timed(f"{what} looked at and booked", rows, lambda path=path: book(path))
            hand = the_same_rows(books, str(here / f"{path.stem}.ullage"))
            beside = f"{looked / plain:.0f} and {took / plain:.0f} x the first floor"
            print(f"  {beside}; {took / hand:.1f} x the same rows by hand")
        whole = 8 * rows  # a closed mix is eight rows of the books
        out = timed("the whole studio exported", whole, lambda: folder.export(books, str(here / "out")))
        back = timed(
            "the whole studio taken back and proven",
            whole,
            lambda: folder.take_in(str(here / "out"), str(here / "b.ullage")),
        )
        print(f"  {out / hand:.1f} and {back / hand:.1f} x the same rows by hand")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000)
