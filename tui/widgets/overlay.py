"""Dialogs and sheets over a screen."""

from typing import TYPE_CHECKING, Any

from textual import events
from textual.await_complete import AwaitComplete
from textual.containers import VerticalScroll
from textual.geometry import Size
from textual.screen import ModalScreen, ScreenResultType

from tui.widgets.shell import Shell, shell_of
from tui.widgets.styling import StyledOnce

if TYPE_CHECKING:
    Whatever = ModalScreen[Any]
else:
    Whatever = (
        object  # Textual reads styles from the first of its own base classes, which must not be this one
    )


class LeftOnce(Whatever):
    """A modal screen that can be dismissed only once."""

    def dismiss(self, result: Any = None) -> AwaitComplete:
        """Dismiss it if it is in front; a second key or click may come after it was dismissed.

        If dismissed before mounting, dismiss after mounting: Textual would look for the children of a removed screen.
        """
        if not self.is_mounted:
            self.call_later(self._leave, result)
        elif self.is_active:
            return super().dismiss(result)
        return AwaitComplete()

    def _leave(self, result: Any) -> None:
        self.dismiss(result)


class Overlay(LeftOnce, StyledOnce, ModalScreen[ScreenResultType]):
    """A modal screen of the dashboard."""

    @property
    def shell(self) -> Shell:
        """The app that it is part of."""
        return shell_of(self)


class OverlaySheet(VerticalScroll):
    """The content of an overlay. It is as high as its text in the width that the scroll bar leaves."""

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """The height; Textual would measure the text as if it had the scroll bar's cell, too."""
        return super().get_content_height(container, viewport, width - self.scrollbar_gutter.width)


class ReadingOverlay(Overlay[ScreenResultType]):
    """A sheet that a click beside it closes, unless that is the second of the double click that opened it."""

    def on_click(self, event: events.Click) -> None:
        """Close the sheet after a single click beside it."""
        sheet = self.query_one("#sheet").region
        if event.chain == 1 and not sheet.contains(event.screen_x, event.screen_y):
            self.put_away()

    def put_away(self) -> None:
        self.dismiss(None)
