"""An errand that is stopped: each caution in full, and accepted only by typing its name."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from stock.cautions.facts import Finding
from stock.language import _
from tui.drawing.severity import findings_text
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field


class Accept(BookingDialog[tuple[str, ...]]):
    """Asks for the name of every caution that stops an errand; answers with their codes.

    Args:
        stops: the cautions.
        what: what is stopped, as `mix`.
    """

    GO: ClassVar[str] = _("I accept; book it")
    DRAFTED = False

    def __init__(self, stops: Sequence[Finding], what: str = _("mix")) -> None:
        super().__init__()
        self._what = what
        self._stops = list({stop.code: stop for stop in stops}.values())

    def head(self) -> str:
        return _("This {what} is stopped", what=self._what)

    def fields(self) -> ComposeResult:
        """Each caution, and a field for its name."""
        yield Static(findings_text(self._stops))
        yield Static(
            words(_("The safety data sheet, local codes and licensed practice decide, not this program."))
        )
        for number, stop in enumerate(self._stops):
            yield Field(
                _("Type its name"),
                example=stop.code,
                id=f"code-{number}",
                hint=_("To book the {what} all the same, type {code}", what=self._what, code=stop.code),
            )

    def errand(self) -> Callable[[], tuple[str, ...]]:
        """The codes, if every one was typed as it is written."""
        for number, stop in enumerate(self._stops):
            field = self.query_one(f"#code-{number}", Field)
            if field.text.strip().lower() != stop.code:
                field.wrong(_("Type {code}, or press Esc to leave. Nothing was booked.", code=stop.code))
                field.input.focus()
                self.stay()
        codes = tuple(stop.code for stop in self._stops)
        return lambda: codes


class StopsFound(Exception):
    """The errand is stopped by these cautions, which nobody has accepted by name yet."""

    def __init__(self, stops: Sequence[Finding]) -> None:
        super().__init__()
        self.stops = stops


class StoppableDialog(BookingDialog[str]):
    """A dialog whose errand a caution can stop: it asks for the caution's name, and books it then."""

    STOPPED: ClassVar[str] = "mix"

    def __init__(self) -> None:
        super().__init__()
        self.accepted: tuple[str, ...] = ()

    def refused(self, error: BaseException) -> None:
        """A stop is asked about, by name; anything else is said."""
        if isinstance(error, StopsFound):
            self.app.push_screen(Accept(error.stops, self.STOPPED), self._take_accepted)
        else:
            super().refused(error)

    def _take_accepted(self, codes: tuple[str, ...] | None) -> None:
        if codes:
            self.accepted = codes
            self.action_go()
