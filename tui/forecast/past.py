"""The sheet that compares past forecasts with what then happened, to show how far they can be trusted."""

from contextlib import suppress
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import Static
from textual.worker import Worker, WorkerCancelled, WorkerState, get_current_worker

from stock.language import _
from tui.drawing.figures import bar
from tui.drawing.sentences import sentence_for
from tui.widgets.books_screen import words
from tui.widgets.overlay import OverlaySheet, ReadingOverlay

if TYPE_CHECKING:
    from datetime import date


REPEATING = _("Repeating the forecasts of the past year …")


class LookingBack(ReadingOverlay[None]):
    """Repeats the forecasts of each past month in a thread; closing the sheet ends it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,enter,v", "dismiss", _("Close"))]

    class Looked(Message):
        """The comparison is done; `lines` is its text."""

        def __init__(self, lines: list[str]) -> None:
            super().__init__()
            self.lines = lines

    class Far(Message):
        """The share that is done, 0 to 1."""

        def __init__(self, share: float) -> None:
            super().__init__()
            self.share = share

        def can_replace(self, message: Message) -> bool:
            """Only the newest share is drawn."""
            return isinstance(message, LookingBack.Far)

    def compose(self) -> ComposeResult:
        """A sheet that is filled when the comparison is done."""
        with OverlaySheet(id="sheet") as sheet:
            sheet.border_title = words(_("Looking back"))
            sheet.border_subtitle = words(_("Esc  close"))
            yield Static(words(REPEATING), id="past")

    def on_mount(self) -> None:
        self._look(self.shell.as_of)

    @work(thread=True, exclusive=True, group="past", exit_on_error=False)
    def _look(self, as_of: "date | None") -> None:
        from stock.forecast.looking_back import look_back

        worker = get_current_worker()

        def progress(share: float) -> None:
            if worker.is_cancelled:
                raise WorkerCancelled
            self.post_message(self.Far(share))

        with suppress(WorkerCancelled):
            self.post_message(self.Looked(look_back(as_of, progress=progress).lines()))

    @on(Far)
    def _show_how_far(self, message: Far) -> None:
        self.query_one("#past", Static).update(words(f"{REPEATING}\n{bar(message.share)}"))

    @on(Looked)
    def _show(self, message: Looked) -> None:
        self.query_one("#past", Static).update(words("\n".join(message.lines)))

    @on(Worker.StateChanged)
    def _say_what_failed(self, event: Worker.StateChanged) -> None:
        if event.state == WorkerState.ERROR and event.worker.error is not None:
            self.query_one("#past", Static).update(words(sentence_for(event.worker.error)))
