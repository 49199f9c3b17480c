"""The mixes of yesterday, or of the last day before today on which anything was mixed, to repeat one of them."""

from collections.abc import Sequence
from datetime import date
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Static

from stock.language import _
from tui.drawing.bottle import Run
from tui.drawing.figures import ml, written
from tui.widgets.books_screen import words
from tui.widgets.overlay import ReadingOverlay
from tui.widgets.rows import ListColumn, Rows


class Yesterdays(ReadingOverlay[Any]):
    """A list of mixes; Enter answers with the request that repeats the selected one as it ended."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q", "dismiss(None)", _("Leave"))]
    DEFAULT_CSS = "Yesterdays #sheet > Static { padding: 0 2 0 0; }"

    def __init__(self, today: date) -> None:
        super().__init__()
        self._today = today

    def compose(self) -> ComposeResult:
        """The list, and what Enter does."""
        with Vertical(id="sheet") as sheet:
            sheet.border_title = words(_("Repeat a mix"))
            yield Rows(
                (ListColumn(_("Reading the books …")), ListColumn("", 9, right=True)),
                self._row,
                key=lambda mix: mix.id,
                empty=_("Nothing was mixed before today"),
                id="mixes",
            )
            yield Static(words(_("Enter shows the mix before it is booked; Esc leaves.")))

    def _row(self, mix: Any) -> tuple[Any, ...]:
        swatch = Run("██", mix.color, mix.color) if mix.color else Run("▒▒", "outline")
        return (swatch, Run(f" {mix.words}", "ink")), (Run(f"{ml(mix.cup.total_ul)} ml", "quiet"),)

    def on_mount(self) -> None:
        """Read the mixes in a thread."""
        self.query_one(Rows).focus()
        self.run_worker(self._learn, thread=True, group="known", exit_on_error=False)

    def _learn(self) -> None:
        from stock.bench.mixes import of_last_day
        from stock.store.connection import connection

        with connection():
            found = of_last_day(self._today)
        self.app.call_from_thread(self._learned, found)

    def _learned(self, found: Sequence[Any]) -> None:
        rows = self.query_one(Rows)
        day = written(found[0].day) if found else _("Mixes")
        rows.columns_for((ListColumn(day), ListColumn("", 9, right=True)))
        rows.styles.height = min(12, len(found) + 1)
        rows.show(list(found))

    @on(Rows.Chosen)
    def _chosen(self, message: Rows.Chosen) -> None:
        from stock.bench.scaling import once_more

        message.stop()
        self.dismiss(once_more(message.item))
