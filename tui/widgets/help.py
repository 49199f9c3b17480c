"""A few lines about a screen, and its keys."""

from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen, Screen
from textual.widgets import Static

from tui.widgets.room import Room, words


class Help(ModalScreen[None]):
    """What a screen is for and every key that works on it; any of Esc, Enter or ? closes it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,question_mark", "dismiss", "Close", key_display="Esc"),
    ]

    def __init__(self, room: Screen[Any]) -> None:
        super().__init__()
        self._about = room.ABOUT if isinstance(room, Room) else ""
        self._keys = []
        told = set()
        for active in room.active_bindings.values():
            binding = active.binding
            if binding.action in told or not (binding.description and (binding.tooltip or binding.show)):
                continue
            told.add(binding.action)
            self._keys.append((room.app.get_key_display(binding), binding.tooltip or binding.description))

    def compose(self) -> ComposeResult:
        """The words, then the keys in two columns."""
        with VerticalScroll(id="sheet", can_focus=True) as sheet:
            sheet.border_title = words("Keys of this screen")
            yield Static(words(self._about), id="about")
            for key, meaning in self._keys:
                yield Static(words(f"{key:>7}  {meaning}"), classes="key")
            yield Static(words("  1 … 6  the six screens      Ctrl+P  everything by name"), classes="key")
            yield Static(words("    Esc  close this"), classes="key")
