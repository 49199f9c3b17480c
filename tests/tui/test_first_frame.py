"""What the first frame does without: it stands before the books' tables are loaded."""

import subprocess
import sys

FIRST_FRAME = """
import asyncio, sys
from tui.app import Ullage
Ullage.open_books = lambda self: None
async def first_frame():
    app = Ullage("nowhere.ullage")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert app.screen.query("LowShelf"), "the screen is not made yet"
asyncio.run(first_frame())
print(*sorted(sys.modules))
"""


def test_the_first_frame_stands_before_the_tables_and_the_arithmetic_are_loaded() -> None:
    ran = subprocess.run([sys.executable, "-c", FIRST_FRAME], capture_output=True, text=True, check=True)
    loaded = set(ran.stdout.split())
    assert {"tui.app", "tui.today.low_shelf"} <= loaded
    assert loaded.isdisjoint(("peewee", "sqlite3", "stock.store.models", "stock.shelf.bottles", "numpy"))
