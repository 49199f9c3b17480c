"""A sheet that is only read: Esc closes it, and so does a click beside it."""

from textual import events
from textual.screen import ModalScreen, ScreenResultType


class Slip(ModalScreen[ScreenResultType]):
    """Closed by a click beside its sheet; the second click of two belongs to what opened it."""

    def on_click(self, event: events.Click) -> None:
        """A single click beside the sheet."""
        sheet = self.query_one("#sheet").region
        if event.chain == 1 and not sheet.contains(event.screen_x, event.screen_y):
            self.put_away()

    def put_away(self) -> None:
        """Close it."""
        self.dismiss(None)
