"""A mix that is stopped: each caution in full, and accepted only by typing its name."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from stock.cautions.facts import Finding
from tui.drawing.severity import findings_text
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field


class Accept(BookingDialog[tuple[str, ...]]):
    """Asks for the name of every caution that stops the mix; answers with their codes."""

    HEAD: ClassVar[str] = "This mix is stopped"
    GO: ClassVar[str] = "I accept; book it"

    def __init__(self, stops: Sequence[Finding]) -> None:
        super().__init__()
        self._stops = list({stop.code: stop for stop in stops}.values())

    def fields(self) -> ComposeResult:
        """Each caution, and a field for its name."""
        yield Static(findings_text(self._stops))
        yield Static(
            words("The safety data sheet, local codes and licensed practice decide, not this program.")
        )
        for number, stop in enumerate(self._stops):
            yield Field(
                "Type its name",
                example=stop.code,
                id=f"code-{number}",
                hint=f"To mix all the same, type {stop.code}",
            )

    def errand(self) -> Callable[[], tuple[str, ...]]:
        """The codes, if every one was typed as it is written."""
        for number, stop in enumerate(self._stops):
            field = self.query_one(f"#code-{number}", Field)
            if field.text.strip().lower() != stop.code:
                field.wrong(f"Type {stop.code}, or leave with Esc. Nothing was booked.")
                field.input.focus()
                self.stay()
        codes = tuple(stop.code for stop in self._stops)
        return lambda: codes
