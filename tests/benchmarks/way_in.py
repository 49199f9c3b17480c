"""How a shelf comes into the books: `python -m tests.benchmarks.way_in`.

Keys for each product by each road, pressed on the real screens (`tests/journeys/roads.py` says how they are counted);
rows a second of a workbook of 10,000 rows, looked at and booked, beside openpyxl reading the same file; seconds for a
data sheet of ten pages. The aims: under 10 keys a product by each road, at most twice openpyxl's seconds to look at
the workbook and to book it, one second a data sheet. openpyxl is no part of the tests: install it to see the floor.
Seconds are those of the processor, each the best of several runs.
"""

import asyncio
import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from sample_studio.loader import load
from stock.exchange.incoming import ImportPlan, Wishes, book, plan
from tests.benchmarks import datasheets
from tests.exchange.workbook_files import Cell, xlsx
from tests.journeys.roads import ROADS
from tests.tui.driving import opened

ROWS, RUNS = 10_000, 3


def workbook(folder: Path) -> Path:
    """10,000 rows of stock with the columns that people keep."""
    heads: list[Cell] = ["Paint", "Size ml", "Left", "Lot", "Received", "Price", "Place"]
    rows: list[list[Cell]] = [heads]
    rows += [
        [f"Paint {at % 300}", 60, "half" if at % 3 else 0.4, f"L{at % 40}", f"2025-0{1 + at % 9}-1{at % 9}",
         7.9 + at % 20, f"Shelf {at % 12}"]
        for at in range(ROWS)
    ]  # fmt: skip
    path = folder / "shelf.xlsx"
    xlsx(path, {"Shelf": rows})
    return path


def seconds(work: Callable[[], Any], runs: int = RUNS) -> float:
    """The processor's seconds for a piece of work, the best of several runs."""
    best = float("inf")
    for _ in range(runs):
        began = time.process_time()
        work()
        best = min(best, time.process_time() - began)
    return best


def by_openpyxl(path: Path) -> float | None:
    """Seconds to read every cell of the file with openpyxl; None where it isn't installed."""
    try:
        import openpyxl  # type: ignore[import-untyped,unused-ignore]
    except ImportError:
        return None

    def read() -> None:
        opened_book = openpyxl.load_workbook(path, read_only=True, data_only=True)
        for row in opened_book.active.iter_rows(values_only=True):
            for _ in row:
                pass
        opened_book.close()

    return seconds(read)


def rows_a_second(folder: Path, show: Callable[[str], Any]) -> bool:
    """Print the speeds of a workbook; whether the aim is kept."""
    path, books = workbook(folder), folder / "books.ullage"
    load(str(books))
    wishes = Wishes(make=True, role="paint")
    made: list[ImportPlan] = []
    looking = seconds(lambda: made.append(plan(str(path), wishes)))
    booking = seconds(lambda: book(made[0]), runs=1)
    show(
        f"workbook of {ROWS:,} rows: looked at {ROWS / looking:,.0f} rows a second, booked {ROWS / booking:,.0f}"
    )
    floor = by_openpyxl(path)
    if floor is None:
        show("  openpyxl isn't installed, so there is no floor to compare with")
        return True
    show(
        f"  looking at it takes {looking:.2f} s, booking it {booking:.2f} s, openpyxl reading it {floor:.2f} s: "
        f"{looking / floor:.2f} x and {booking / floor:.2f} x (aim 2 each)"
    )
    return looking <= 2 * floor and booking <= 2 * floor


async def keys(folder: Path, show: Callable[[str], Any]) -> bool:
    """Print the keys for each product by each road; whether a line's form keeps its aim."""
    kept = True
    for name, road in ROADS.items():
        place = folder / name.replace(" ", "-").replace("'", "")
        place.mkdir()
        address = str(place / "sample.ullage")
        load(address)
        many = road.make(place)
        async with opened(address, size=(140, 45)) as pilot:
            pressed = await road.go(pilot, place)
        show(f"{name:24} {pressed:4} keys for {many:2} products: {pressed / many:5.1f} each")
        kept = kept and pressed / many < 10
    return kept


def main(show: Callable[[str], Any] = print) -> int:
    """Print the figures; the exit status is 1 if an aim is missed."""
    with tempfile.TemporaryDirectory() as text:
        folder = Path(text)
        os.environ["XDG_STATE_HOME"] = text
        kept = asyncio.run(keys(folder, show))
        kept = rows_a_second(folder, show) and kept
        sheet = datasheets.ten_pages(folder)
        used, clock, memory, _ = datasheets.best(datasheets.OURS, sheet)
        show(f"data sheet of ten pages: {used:.2f} s, {clock:.2f} s by the clock, {memory} MB (aim 1 s)")
    return 0 if kept and used <= 1 else 1


if __name__ == "__main__":
    sys.exit(main())
