"""Every screen and every dialog of the dashboard, by the keys that lead there in the furnished studio."""

from collections.abc import Awaitable, Callable
from typing import cast

from textual.pilot import Pilot
from textual.screen import ModalScreen
from textual.widgets import Input

from stock.forecast import orders
from stock.scale.listening import ScaleListener
from stock.scale.port import ScalePort
from stock.shelf import products
from stock.store.connection import connection
from tests.tui.driving import press, settle, write
from tui.app import Ullage
from tui.records.kind_tabs import NAMES

SCREENS = {
    "today": "f1", "shelf": "f2", "bench": "f3", "forecast": "f4", "cautions": "f5", "logbook": "f6",
    "records": "f12",
}  # fmt: skip
APART = ("Buoy Red", "Kelp Green")
"""Two paints that may not meet in the furnished studio."""


def furnish() -> None:
    """What the seeded studio lacks for some of the dialogs: an order on the way, and a mix that would be stopped."""
    with connection():
        orders.make(
            [orders.NewOrderLine("Harbour Blue", 60_000, 2), orders.NewOrderLine("Gull White", 120_000, 1)]
        )
        products.change(APART[0], {"not_with": [APART[1]]})


def drawer(name: str, *keys: str) -> tuple[str, ...]:
    """The keys to a drawer of the Records, whichever is open, and on from there: the shorter way from the last one."""
    to_the_right, to_the_left = 1 + NAMES.index(name), len(NAMES) - 1 - NAMES.index(name)
    pulls = ("right",) * to_the_right if to_the_right < to_the_left else ("left",) * to_the_left
    return ("f12", "comma", *pulls, *keys)


async def stopped_mix(pilot: Pilot[None]) -> None:
    """Two paints that may not meet, wished for on the Bench and asked to be booked."""
    await press(pilot, "f3", "escape", "n", "f7")
    for number, name in enumerate(APART):
        pilot.app.screen.query_one(f"#paint-{number} Input", Input).value = name
        pilot.app.screen.query_one(f"#amount-{number} Input", Input).value = "2 ml"
    await settle(pilot)
    await press(pilot, "f8")


async def weighed_mix(pilot: Pilot[None]) -> None:
    """A paint wished for on the Bench and poured by weight, with a scale that is not plugged in."""
    cast("Ullage", pilot.app).scale = ScaleListener(ScalePort("/dev/nowhere"))
    await press(pilot, "f3", "escape", "n")
    pilot.app.screen.query_one("#paint-0 Input", Input).value = "Gull White"
    pilot.app.screen.query_one("#amount-0 Input", Input).value = "2 ml"
    await settle(pilot)
    await press(pilot, "ctrl+g")


Way = tuple[str, ...] | Callable[[Pilot[None]], Awaitable[None]]
DIALOGS: dict[str, Way] = {
    "Again": ("f1", "m"),
    "Receive": ("f2", "r"),
    "WashOut": ("f1", "w"),
    "BottleSheet": ("f2", "enter"),
    "CountBottle": ("f2", "c"),
    "WeighBottle": ("f2", "w"),
    "TeachDensity": ("f2", "w", "f9"),
    "MoveBottle": ("f2", "m"),
    "Decant": ("f2", "t"),
    "Discard": ("f2", "d"),
    "AddStep": ("f3", "S"),
    "BringBack": ("f3", "p"),
    "NoteCupTime": ("f3", "v"),
    "CloseMix": ("f3", "c"),
    "Ask": ("f3", "u"),
    "Accept": stopped_mix,
    "PourByWeight": weighed_mix,
    "MakeOrder": ("f4", "o"),
    "OnOrder": ("f4", "i"),
    "ReceiveOrder": ("f4", "i", "down", "r"),
    "CancelOrder": ("f4", "i", "down", "c"),
    "LookingBack": ("f4", "v"),
    "FindingSheet": ("f5", "enter"),
    "SilenceRule": ("f5", "z"),
    "ProductForm": drawer("Products", "e", "shift+tab", "shift+tab", "shift+tab", "enter"),
    "SheetForm": drawer("Products", "s", "n"),
    "RangeForm": drawer("Products", "s", "n", "tab", "tab", "tab", "enter"),
    "SupplierForm": drawer("Suppliers", "e"),
    "PlaceForm": drawer("Places", "n"),
    "SubstanceForm": drawer("Substances", "e", "shift+tab", "shift+tab", "shift+tab", "enter"),
    "JobForm": drawer("Jobs", "e"),
    "CloseJob": drawer("Jobs", "d"),
    "RecipeForm": drawer("Recipes", "n"),
    "SettingForm": drawer("Studio", "e"),
    "LookForm": drawer("Studio", "slash", *"look", "enter", "e"),
    "SetsForm": drawer("Studio", "slash", *"sets", "enter", "e"),
    "RuleForm": drawer("Studio", "end", "e"),
    "PrintLabels": ("f2", "l"),
    "Safekeeping": ("f6", "y"),
    "TakeIn": ("f6", "y", "t"),
    "Help": ("f2", "question_mark"),
    "Palette": ("f1", "ctrl+p"),
}
"""The dialogs that the furnished studio can open; each by its class."""


async def show(pilot: Pilot[None], view: str) -> None:
    """Bring a screen or a dialog to the front."""
    while isinstance(pilot.app.screen, ModalScreen):
        await press(pilot, "escape")
    if view in SCREENS:
        await press(pilot, SCREENS[view], "escape")
        return
    way = DIALOGS[view]
    if callable(way):
        await way(pilot)
    else:
        screen, *keys = way
        await press(pilot, screen, "escape", "escape", *keys)
    assert type(pilot.app.screen).__name__ == view, view


async def typed_wish(pilot: Pilot[None]) -> None:
    """A wish in the Bench's fields, worked out on its page."""
    await press(pilot, "f3")
    await write(pilot, "Gull White")
    await press(pilot, "tab")
    await write(pilot, "8 ml")
