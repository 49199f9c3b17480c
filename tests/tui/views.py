"""Every screen and every dialog of the dashboard, by the keys that lead there in the seeded studio."""

from textual.pilot import Pilot
from textual.screen import ModalScreen

from tests.tui.driving import press, write

SCREENS = {"today": "f1", "shelf": "f2", "bench": "f3", "forecast": "f4", "cautions": "f5", "logbook": "f6"}
DIALOGS = {
    "Again": ("f1", "m"),
    "Receive": ("f2", "r"),
    "WashOut": ("f1", "w"),
    "BottleSheet": ("f2", "enter"),
    "CountBottle": ("f2", "c"),
    "MoveBottle": ("f2", "m"),
    "Decant": ("f2", "t"),
    "Discard": ("f2", "d"),
    "AddStep": ("f3", "S"),
    "BringBack": ("f3", "p"),
    "CupTime": ("f3", "v"),
    "CloseMix": ("f3", "c"),
    "Ask": ("f3", "u"),
    "MakeOrder": ("f4", "o"),
    "LookingBack": ("f4", "v"),
    "FindingSheet": ("f5", "enter"),
    "Silence": ("f5", "z"),
    "Help": ("f2", "question_mark"),
    "CommandPalette": ("f1", "ctrl+p"),
}
"""The dialogs that the seeded studio can open; each by its class."""


async def show(pilot: Pilot[None], view: str) -> None:
    """Bring a screen or a dialog to the front."""
    while isinstance(pilot.app.screen, ModalScreen):
        await press(pilot, "escape")
    if view in SCREENS:
        await press(pilot, SCREENS[view], "escape")
        return
    screen, *keys = DIALOGS[view]
    await press(pilot, screen, "escape", "escape", *keys)
    assert type(pilot.app.screen).__name__ == view, view


async def typed_wish(pilot: Pilot[None]) -> None:
    """A wish in the Bench's fields, worked out on its page."""
    await press(pilot, "f3")
    await write(pilot, "Gull White")
    await press(pilot, "tab")
    await write(pilot, "8 ml")
