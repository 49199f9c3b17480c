"""The help of a screen or a sheet: a few lines about it, and its keys, which can be clicked."""

from typing import Any, ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Static

from stock.language import _
from tui.widgets.books_screen import words
from tui.widgets.overlay import OverlaySheet, ReadingOverlay
from tui.widgets.shell import shell_of


class KeyLine(Static):
    """One key and what it does; in brackets while it can't act."""

    def __init__(self, key: str, meaning: str, action: str, owner: Any, *, enabled: bool) -> None:
        super().__init__(words(f"{key if enabled else f'({key})':>7}  {meaning}"), classes="key")
        self.set_class(not enabled, "-off")
        self._do = (action, owner) if enabled else None

    def on_click(self, event: events.Click) -> None:
        """Close the help and do what the key does."""
        event.stop()
        if self._do is not None and isinstance(self.screen, Help):
            self.screen.dismiss(None)
            self.app.call_later(self.app.run_action, *self._do)


class Help(ReadingOverlay[None]):
    """What a screen is for, and every key that works on it; Esc, Enter and ? close it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,question_mark", "dismiss", _("Close"), key_display=_("Esc")),
    ]

    def __init__(self, room: Screen[Any], about: str) -> None:
        super().__init__()
        self._about = about
        self._on_a_sheet = room.is_modal
        self._keys = []
        seen = {"help"}
        for active in room.active_bindings.values():
            binding = active.binding
            if (
                binding.action in seen
                or active.node is room.app
                or not (binding.description and (binding.tooltip or binding.show))
            ):
                continue
            seen.add(binding.action)
            line = (room.app.get_key_display(binding), binding.tooltip or binding.description, binding.action)
            self._keys.append((*line, active.node, active.enabled))

    def compose(self) -> ComposeResult:
        with OverlaySheet(id="sheet", can_focus=True) as sheet:
            sheet.border_title = words(
                _("Keys of this sheet") if self._on_a_sheet else _("Keys of this screen")
            )
            sheet.border_subtitle = words(_("a click on a key does it; Esc  close"))
            yield Static(words(self._about), id="about")
            for key, meaning, action, owner, enabled in self._keys:
                yield KeyLine(key, meaning, action, owner, enabled=enabled)
            if not self._on_a_sheet:  # a sheet is closed before another screen is gone to
                first, *__, last = shell_of(self).screens
                keys = f"{first.key} … {last.key}"
                yield Static(
                    words(_("{keys:>7}  the screens          Ctrl+P  everything by name", keys=keys)),
                    classes="key",
                )
            yield Static(words(_("    Esc  close this")), classes="key")
