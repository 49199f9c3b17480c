"""What stands over a screen; a sheet that is only read: Esc closes it, and so does a click beside it."""

from typing import TYPE_CHECKING, Any

from textual import events
from textual.await_complete import AwaitComplete
from textual.screen import ModalScreen, ScreenResultType

from tui.widgets.shell import Shell, shell_of
from tui.widgets.styling import StyledOnce

if TYPE_CHECKING:
    Whatever = ModalScreen[Any]
else:
    Whatever = object  # Textual looks for styles in the first of its own classes, and there are none here


class LeftOnce(Whatever):
    """What stands over a screen, and is left once."""

    def dismiss(self, result: Any = None) -> AwaitComplete:
        """Leave it, if it stands in front: a second key or click may come when it has been left already.

        Asked before its parts are there, it is left once they are: Textual would look for them in what is gone.
        """
        if not self.is_mounted:
            self.call_later(self._leave, result)
        elif self.is_active:
            return super().dismiss(result)
        return AwaitComplete()

    def _leave(self, result: Any) -> None:
        self.dismiss(result)


class Overlay(LeftOnce, StyledOnce, ModalScreen[ScreenResultType]):
    """Stands over a screen until it is left."""

    @property
    def shell(self) -> Shell:
        """The app around it."""
        return shell_of(self)


class ReadingOverlay(Overlay[ScreenResultType]):
    """Closed by a click beside its sheet; the second click of two belongs to what opened it."""

    def on_click(self, event: events.Click) -> None:
        """A single click beside the sheet."""
        sheet = self.query_one("#sheet").region
        if event.chain == 1 and not sheet.contains(event.screen_x, event.screen_y):
            self.put_away()

    def put_away(self) -> None:
        """Close it."""
        self.dismiss(None)
