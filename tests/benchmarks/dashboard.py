"""From a key to the screen, and what the dashboard holds in memory, beside a bare Textual app.

    python -m tests.benchmarks.dashboard [keys] [movements]

A key moves the hand one row; the clock stops when the changed cells are handed to the terminal. The floor is a
bare app that moves its cursor in a DataTable of a thousand rows, in the same run. The Shelf has a thousand
bottles; then come a Shelf and a Logbook on books of so many movements (a million unless told), and each screen of
the sample studio opened for the second time, until its picture is complete. Memory is the
most that the process of the screens ever held (VmHWM of Linux) when its first screen is complete; the process
that reads Today ahead of it is gone by then and not counted.
"""

import asyncio
import sys
import tempfile
import time
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from typing import Any

from textual import events
from textual.app import App, ComposeResult
from textual.pilot import Pilot
from textual.widgets import DataTable

from stock.shelf import deliveries, places, products, studio
from stock.store.connection import connection, writing
from stock.store.models import database
from tests.benchmarks.first_words import BARE, until
from tests.benchmarks.load import age, stocked
from tests.tui.driving import press, settle
from tui.app import Ullage

BOTTLES, PRODUCTS = 1_000, 50
SCREENS = (
    ("Shelf", "f2"), ("Bench", "f3"), ("Forecast", "f4"), ("Cautions", "f5"), ("Logbook", "f6"), ("Records", "f12"),
)  # fmt: skip


class Bare(App[None]):
    """A table of a thousand rows and nothing else."""

    def compose(self) -> ComposeResult:
        """The table."""
        table: DataTable[str] = DataTable(cursor_type="row")
        table.add_columns("product", "bottle", "on hand", "state")
        for number in range(BOTTLES):
            table.add_row(f"Paint {number}", f"B{number:04d}", "41.5/60 ml", "open")
        yield table


def thousand(address: str) -> None:
    """A studio with a thousand bottles of fifty paints."""
    studio.make(address, name="Many", currency="EUR", time_zone="UTC", measures="metric")
    with connection(), writing():
        places.add("Long shelf", kind="shelf", premises="workshop")
        for number in range(PRODUCTS):
            name = f"Paint {number}"
            products.add(
                {"name": name, "role": "paint", "color": f"#{number * 5:02x}6f97", "flash_point": "none"}
            )
            deliveries.receive(name, 60_000, count=BOTTLES // PRODUCTS, place="Long shelf")


@contextmanager
def drawn(app: Any) -> Iterator[asyncio.Event]:
    """An event that is set whenever something is handed to the terminal."""
    done, display = asyncio.Event(), app._display

    def shown(screen: Any, what: Any) -> None:
        display(screen, what)
        if what is not None:
            done.set()

    app._display = shown
    try:
        yield done
    finally:
        del app._display


async def keys(pilot: Pilot[None], key: str, many: int) -> tuple[float, float]:
    """Milliseconds from a key to the changed screen, by the wall and by the processor; medians."""
    wall, work = [], []
    with drawn(pilot.app) as done:
        for _ in range(many):
            await settle(pilot)
            done.clear()
            began, used = time.perf_counter(), time.process_time()
            pressed = events.Key(key, None)
            pressed.set_sender(pilot.app)
            pilot.app._driver.send_message(pressed)  # type: ignore[union-attr]
            await asyncio.wait_for(done.wait(), 10)
            wall.append((time.perf_counter() - began) * 1_000)
            work.append((time.process_time() - used) * 1_000)
    return median(wall), median(work)


async def measured(app: App[None], to: tuple[str, ...], key: str, many: int) -> tuple[float, float]:
    """Open an app, go there, and press the key so often."""
    async with app.run_test(size=(120, 40)) as pilot:
        await settle(pilot)
        await press(pilot, *to)
        return await keys(pilot, key, many)


async def opened_again(app: App[None], key: str, many: int = 5) -> tuple[float, float]:
    """From a screen's key to its complete picture, when it was open before and Today is in front; medians."""
    wall, work = [], []
    async with app.run_test(size=(120, 40)) as pilot:
        await settle(pilot)
        await press(pilot, key)
        for _ in range(many):
            await press(pilot, "f1")
            await settle(pilot)
            began, used = time.perf_counter(), time.process_time()
            await press(pilot, key)
            await settle(pilot)
            wall.append((time.perf_counter() - began) * 1_000)
            work.append((time.process_time() - used) * 1_000)
    return median(wall), median(work)


def memory(argv: list[str], words: str) -> float:
    """Megabytes that a process held at most until these words were on its screen."""
    held: list[int] = []

    def look(child: int) -> None:
        for line in Path(f"/proc/{child}/status").read_text(encoding="ascii").splitlines():
            if line.startswith("VmHWM"):
                held.append(int(line.split()[1]))

    until(argv, words, at_end=look)
    return held[-1] / 1_024


def figure_line(name: str, figure: tuple[float, float], floor: tuple[float, float]) -> None:
    """One line: what was measured, and how often the floor."""
    print(
        f"{name:44}{figure[0]:7.1f} ms{figure[0] / floor[0]:6.2f} x"
        f"{figure[1]:9.1f} ms of the processor{figure[1] / floor[1]:6.2f} x",
        flush=True,
    )


def run(work: Callable[[], Awaitable[tuple[float, float]]]) -> tuple[float, float]:
    """In an event loop of its own, the books closed after."""
    try:
        return asyncio.run(work())  # type: ignore[arg-type]
    finally:
        if database.obj is not None and not database.is_closed():
            database.close()


def again(address: str, key: str) -> Callable[[], Awaitable[tuple[float, float]]]:
    """The measurement of a screen's second opening, not yet begun."""
    return lambda: opened_again(Ullage(address), key)


def main(words: list[str]) -> None:
    """Measure, a floor beside each."""
    many, movements = (int(words[0]) if words else 60), (int(words[1]) if len(words) > 1 else 1_000_000)
    with tempfile.TemporaryDirectory() as spare:
        shelf, old = str(Path(spare) / "shelf.ullage"), str(Path(spare) / "old.ullage")
        thousand(shelf)
        floor = run(lambda: measured(Bare(), (), "down", many))
        figure_line("bare app, a table of 1,000 rows", floor, floor)
        figure_line(
            "Shelf of 1,000 bottles, drawn",
            run(lambda: measured(Ullage(shelf), ("f2",), "right", many)),
            floor,
        )
        figure_line(
            "Shelf of 1,000 bottles, listed",
            run(lambda: measured(Ullage(shelf), ("f2", "v"), "down", many)),
            floor,
        )
        stocked(old)
        database.close()
        age(old, movements)
        for name, to in (("Shelf", ("f2", "v")), ("Logbook", ("f6",))):
            figure = run(lambda to=to: measured(Ullage(old), to, "down", many))  # type: ignore[misc]
            figure_line(f"{name} on {movements:,} movements", figure, floor)
        from sample_studio.loader import load

        sample = str(Path(spare) / "sample.ullage")
        load(sample)
        for name, key in SCREENS:
            figure_line(f"{name} of the sample studio, opened again", run(again(sample, key)), floor)
        bare = memory(["-c", BARE], "first-words-here")
        print(f"bare app's memory                           {bare:7.1f} MB", flush=True)
        for name, path in (("sample studio", sample), ("1,000 bottles", shelf)):
            ours = memory(["-m", "tui", "--studio", path], " products" if path == sample else "Just done")
            print(f"dashboard's memory, {name:24}{ours:7.1f} MB{ours / bare:6.2f} x", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
