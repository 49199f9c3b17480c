"""The first minutes: a dialog that makes a studio, and one that takes the first bottle in."""

from collections.abc import Callable
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widgets import Static

from stock.errors import UllageError
from stock.language import _
from tui.dialogs.delivery import Receive
from tui.drawing.sentences import sentence_for
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field, Key
from tui.widgets.overlay import Overlay, OverlaySheet


def _zone_here() -> str:
    """The time zone of this machine, or UTC if it can't be found out."""
    import os
    from pathlib import Path

    named = os.environ.get("TZ", "").lstrip(":")
    if "/" in named:
        return named
    parts = Path("/etc/localtime").resolve().parts
    return "/".join(parts[parts.index("zoneinfo") + 1 :]) if "zoneinfo" in parts else "UTC"


def _zone(text: str) -> str:
    from stock.clock import zone_named

    return zone_named(text)


def _currency(text: str) -> str:
    from stock.money import currency

    return currency(text.strip())


class NewStudio(BookingDialog[bool | str]):
    """Makes the books where there are none yet; answers "sample" if the sample studio is to be shown first."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("f2", "sample", _("Sample"))]
    HEAD: ClassVar[str] = _("Your studio's books")
    GO: ClassVar[str] = _("Make them")
    DRAFTED = False

    def __init__(self, address: str) -> None:
        super().__init__()
        self._address = address

    def fields(self) -> ComposeResult:
        from stock.store.addresses import shown

        yield Static(
            words(
                _(
                    "There are no books yet at\n{address}\nFour answers make them.",
                    address=shown(self._address),
                )
            )
        )
        yield Field(
            _("Studio's name"),
            example=_("Slipway Studio"),
            id="name",
            hint=_("As it stands on top of every screen."),
        )
        yield Field(_("Currency"), read=_currency, value="EUR", id="currency")
        yield Field(
            _("Time zone"),
            read=_zone,
            value=_zone_here(),
            id="zone",
            hint=_("A city is enough, such as Lisbon."),
        )
        yield Field(_("Measures"), value="metric", id="measures", hint=_("metric, us or imperial"))
        yield Key(_("F2  Look around a sample studio first"), plain=True, id="sample")

    def on_mount(self) -> None:
        self.query_one("#name", Field).input.focus()

    def action_sample(self) -> None:
        """Make nothing, and show the sample studio."""
        self.dismiss("sample")

    @on(Key.Pressed, "#sample")
    def _look_around(self, event: Key.Pressed) -> None:
        event.prevent_default()
        event.stop()
        self.action_sample()

    def errand(self) -> Callable[[], bool]:
        from stock.shelf import studio

        with self.reading(self.query_one("#name", Field)):
            from stock.text import name as clean_name

            name = clean_name(self.query_one("#name", Field).text, what=_("studio's name"))
        currency, zone, measures = self.read("currency"), self.read("zone"), self.read("measures")
        address = self._address

        def make() -> bool:
            studio.make(address, name=name, currency=currency, time_zone=zone, measures=measures.lower())
            return True

        return make

    def _book(self, errand: Callable[[], bool]) -> None:  # type: ignore[override]
        """Make the books without a connection, because there is nothing to connect to yet."""

        def make() -> None:
            answer = errand()
            self.post_message(self.Done(answer))

        self.run_worker(make, thread=True, group="booking", exit_on_error=False)


class NoBooks(Overlay[bool]):
    """Shows why the books can't be opened, with a key to try again."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("r,enter", "dismiss(True)", _("Try again")),
        Binding("q,escape", "dismiss(False)", _("Leave")),
    ]

    def __init__(self, error: UllageError) -> None:
        super().__init__()
        self._error = error

    def compose(self) -> ComposeResult:
        with OverlaySheet(id="sheet", can_focus=False) as sheet:
            sheet.border_title = words(_("The books can't be opened"))
            yield Static(words(sentence_for(self._error)))
            with Horizontal(classes="buttons"):
                yield Key(_("q  Leave"), plain=True, id="leave")
                yield Key(_("r  Try again"), id="again")

    def on_key_pressed(self, event: Key.Pressed) -> None:
        self.dismiss(event.key.id == "again")


class FirstBottle(Receive):
    """The delivery of an empty studio's first bottle, with a few words before its fields."""

    HEAD: ClassVar[str] = _("Your first bottle")

    def fields(self) -> ComposeResult:
        yield Static(
            words(
                _(
                    "Take any bottle from your shelf and write down what its label says. Name, size and role "
                    "are enough; the rest can wait. Esc leaves this: r on the Shelf brings it back."
                )
            )
        )
        yield from super().fields()
