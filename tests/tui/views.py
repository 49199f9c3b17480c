"""Every screen and every dialog of the dashboard, by the keys that lead there in the seeded studio."""

from textual.pilot import Pilot

from tests.tui.driving import press, write

SCREENS = {"today": "1", "shelf": "2", "bench": "3", "forecast": "4", "cautions": "5", "logbook": "6"}
DIALOGS = {
    "Again": ("1", "m"),
    "Receive": ("2", "r"),
    "WashOut": ("1", "w"),
    "BottleSheet": ("2", "enter"),
    "CountBottle": ("2", "c"),
    "MoveBottle": ("2", "m"),
    "Decant": ("2", "t"),
    "Discard": ("2", "d"),
    "AddStep": ("3", "escape", "S"),
    "BringBack": ("3", "escape", "p"),
    "CupTime": ("3", "escape", "v"),
    "CloseMix": ("3", "escape", "c"),
    "Ask": ("3", "escape", "u"),
    "OrderBasket": ("4", "o"),
    "LookingBack": ("4", "v"),
    "FindingSheet": ("5", "enter"),
    "Silence": ("5", "z"),
    "Help": ("2", "question_mark"),
    "CommandPalette": ("1", "ctrl+p"),
}
"""The dialogs that the seeded studio can open; each by its class."""


async def show(pilot: Pilot[None], view: str) -> None:
    """Bring a screen or a dialog to the front."""
    if view in SCREENS:
        await press(pilot, "escape", SCREENS[view], "escape")
        return
    await press(pilot, "escape", *DIALOGS[view])
    assert type(pilot.app.screen).__name__ == view


async def typed_wish(pilot: Pilot[None]) -> None:
    """A wish in the Bench's fields, worked out on its page."""
    await press(pilot, "escape", "3")
    await write(pilot, "Gull White")
    await press(pilot, "tab")
    await write(pilot, "8 ml")
