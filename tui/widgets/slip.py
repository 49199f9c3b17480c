"""What stands over a screen; a sheet that is only read: Esc closes it, and so does a click beside it."""

from textual import events
from textual.await_complete import AwaitComplete
from textual.screen import ModalScreen, ScreenResultType


class Over(ModalScreen[ScreenResultType]):
    """Stands over a screen until it is left."""

    def dismiss(self, result: ScreenResultType | None = None) -> AwaitComplete:
        """Leave it; asked before its parts are there, once they are: Textual would look for them in what is gone."""
        if self.is_mounted:
            return super().dismiss(result)
        self.call_later(self._leave, result)
        return AwaitComplete()

    def _leave(self, result: ScreenResultType | None) -> None:
        if self.app.screen is self:
            self.dismiss(result)


class Slip(Over[ScreenResultType]):
    """Closed by a click beside its sheet; the second click of two belongs to what opened it."""

    def on_click(self, event: events.Click) -> None:
        """A single click beside the sheet."""
        sheet = self.query_one("#sheet").region
        if event.chain == 1 and not sheet.contains(event.screen_x, event.screen_y):
            self.put_away()

    def put_away(self) -> None:
        """Close it."""
        self.dismiss(None)
