"""The roads by which a shelf comes into the books: a line's form, a workbook, a messy file, a folder of data sheets.

Each presses the keys that a person presses, on the real screens. A paste, and a text that is put into a field at once
such as the path of a file, count as one key.
"""

from collections.abc import Awaitable, Callable, Mapping
from pathlib import Path
from typing import NamedTuple

from textual import events
from textual.pilot import Pilot

from stock.shelf import lines, products
from stock.store.connection import connection
from tests.datasheets.invented import FACTS, Wording, plain_lines
from tests.exchange.workbook_files import xlsx
from tests.tui.driving import press, seen, settle, until
from tui.dialogs.line_form import LineForm
from tui.records.sheet_folder import SheetFolder
from tui.widgets.fields import Field
from tui.widgets.grid import Grid

COLOURS = 25
UNSURE = "Tern"


class Road(NamedTuple):
    """What one road takes: makes its file beside the books, and presses its way; both answer how many there are."""

    name: str
    make: Callable[[Path], int]
    go: Callable[[Pilot[None], Path], Awaitable[int]]


def _names() -> list[str]:
    return [f"{shade} {name}" for shade in ("Pale", "Deep", "Old", "Wet", "Dry")
            for name in ("Kelp", "Rust", "Slate", "Sand", "Foam")]  # fmt: skip


def _rows() -> str:
    """The rows that are pasted into a line's form."""
    return "\n".join(f"{name}; P-{at:02}" for at, name in enumerate(_names()))


class _Hand:
    """Presses keys and counts them."""

    def __init__(self, pilot: Pilot[None]) -> None:
        self.pilot, self.keys = pilot, 0

    async def press(self, *keys: str) -> None:
        self.keys += len(keys)
        await press(self.pilot, *keys)
        await settle(self.pilot)

    def put(self, field: str, text: str) -> None:
        """Put a text into a field at once, which is one key."""
        self.keys += 1
        self.pilot.app.screen.query_one(f"#{field}", Field).text = text


def _line(folder: Path) -> int:
    (folder / "rows.txt").write_text(_rows(), encoding="utf-8")
    with connection():
        lines.add({"name": "Aa Pier", "role": "paint", "price": "60ml=7.90"})
    return COLOURS


async def _line_form(pilot: Pilot[None], folder: Path) -> int:
    del folder
    hand = _Hand(pilot)
    await hand.press("7", "right")
    await until(lambda: "Aa Pier" in seen(pilot.app))
    await hand.press("f")
    await until(lambda: isinstance(pilot.app.screen, LineForm))
    pilot.app.screen.query_one(Grid).post_message(events.Paste(_rows()))
    hand.keys += 1
    await until(lambda: len(pilot.app.screen.query_one(Grid).filled()) == COLOURS)
    await hand.press("f8")
    return hand.keys


def _workbook(folder: Path) -> int:
    rows = [["Paint shelf"], ["Paint", "Size ml", "Left", "Price", "Maker"]]
    rows += [[name, 60, 0.5, 7.9, "Quayside"] for name in _names()]  # type: ignore[list-item]
    xlsx(folder / "shelf.xlsx", {"Shelf": rows})
    return COLOURS


def _messy(folder: Path) -> int:
    rows = "".join(f"{name};1.000 ml;halb;7,90 €\r\n" for name in _names())
    text = f"Unser Bestand;;;\r\n;;;\r\nFarbe;Inhalt;Rest;Preis\r\nTöne;;;\r\n{rows}Summe;;;197,50 €\r\n"
    (folder / "bestand.csv").write_bytes(text.encode("cp1252"))
    return COLOURS


async def _take_in(hand: _Hand, file: Path) -> None:
    await hand.press("6", "y", "t")
    hand.put("path", str(file))
    await hand.press("tab", "tab")
    hand.put("new", "make")
    await hand.press("tab")
    hand.put("role", "paint")
    await hand.press("enter")


async def _from_workbook(pilot: Pilot[None], folder: Path) -> int:
    hand = _Hand(pilot)
    await _take_in(hand, folder / "shelf.xlsx")
    await hand.press("b", "enter")
    return hand.keys


async def _from_messy(pilot: Pilot[None], folder: Path) -> int:
    hand = _Hand(pilot)
    await _take_in(hand, folder / "bestand.csv")
    await hand.press("c")
    hand.put("answer-size-1", "1000 ml")
    await hand.press("enter", "b", "enter")
    return hand.keys


def _folder_of_sheets(folder: Path) -> int:
    """Sheets whose products are called as they are, but for the last one, whose name is only like it."""
    (folder / "sheets").mkdir()
    for at, facts in enumerate(FACTS):
        plain_lines(Wording(facts, "en"), folder / "sheets" / f"sheet-{at}.pdf")
        with connection():
            products.add({"name": facts.name if at < len(FACTS) - 1 else UNSURE, "role": "clear"})
    return len(FACTS)


async def _from_sheets(pilot: Pilot[None], folder: Path) -> int:
    hand = _Hand(pilot)
    await hand.press("7", "r")
    hand.put("path", str(folder / "sheets"))
    await hand.press("enter")
    await until(lambda: isinstance(pilot.app.screen, SheetFolder))
    await hand.press("b", "enter")
    await until(lambda: isinstance(pilot.app.screen, SheetFolder) and "booked" in seen(pilot.app))
    await hand.press("end", "enter", "enter", "a", "b", "enter")  # the one that isn't sure
    return hand.keys


ROADS: Mapping[str, Road] = {
    road.name: road
    for road in (
        Road("a line's form", _line, _line_form),
        Road("a workbook", _workbook, _from_workbook),
        Road("a messy CSV", _messy, _from_messy),
        Road("a folder of data sheets", _folder_of_sheets, _from_sheets),
    )
}
