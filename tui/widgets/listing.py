"""Sheets over a screen: a list with its own keys, or a page to read. Esc or a click beside them closes them."""

from collections.abc import Hashable, Sequence
from typing import Any, ClassVar, Generic, TypeVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.widgets import Static
from textual.worker import Worker, WorkerState, get_current_worker

from stock.language import _
from tui.drawing.bottle import Line
from tui.drawing.sentences import sentence_for
from tui.widgets.books_screen import show_words, words
from tui.widgets.frame import KeyStrip
from tui.widgets.overlay import ReadingOverlay
from tui.widgets.page import Page
from tui.widgets.rows import Cell, Heading, ListColumn, Rows, Under

T = TypeVar("T")


class KeysSheet(ReadingOverlay[bool]):
    """A sheet with a strip of its keys; its answer is whether something was booked from it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", _("Close"), key_display=_("Esc")),
        Binding("question_mark", "help", _("Keys"), key_display="?"),
    ]
    HEAD: ClassVar[str] = ""
    ABOUT: ClassVar[str] = ""

    def __init__(self) -> None:
        super().__init__()
        self.booked = False

    def compose(self) -> ComposeResult:
        """The sheet's own widgets, then its keys."""
        with Vertical(id="sheet") as sheet:
            sheet.border_title = words(self.head())
            yield from self.furniture()
            yield Static(id="refusal")
            yield KeyStrip()

    def head(self) -> str:
        """The heading on the border."""
        return self.HEAD

    def furniture(self) -> ComposeResult:
        """The sheet's own widgets."""
        raise NotImplementedError

    def refuse(self, text: str) -> None:
        """Show a sentence above the keys; an empty one hides it."""
        show_words(self.query_one("#refusal", Static), text)

    def action_leave(self) -> None:
        self.dismiss(self.booked)

    def action_help(self) -> None:
        """Show what this sheet is for, and its keys."""
        from tui.widgets.help import Help

        self.app.push_screen(Help(self, self.ABOUT))

    def put_away(self) -> None:
        self.action_leave()

    def ask(self, errand: Any) -> None:
        """Open a dialog; if it books something, say so and read again."""
        self.refuse("")
        self.app.push_screen(errand, self._answered)

    def _answered(self, said: str | None) -> None:
        if said:
            self.booked = True
            self.shell.announce(said)
            self.reload()

    def reload(self) -> None:
        """Read what the sheet shows again."""

    @on(Worker.StateChanged)
    def _say_what_failed(self, event: Worker.StateChanged) -> None:
        if event.state == WorkerState.ERROR and event.worker.error is not None:
            self.shell.note_failure(event.worker.error)
            self.refuse(sentence_for(event.worker.error))


class Listing(KeysSheet, Generic[T]):
    """A list that is read in a thread. Enter or a second click opens the selected item; other keys act on it."""

    COLUMNS: ClassVar[Sequence[ListColumn]] = ()
    EMPTY: ClassVar[str] = _("Nothing here")

    class ItemsRead(Message):
        """The list was read."""

        def __init__(self, items: Sequence[Any]) -> None:
            super().__init__()
            self.items = items

    def furniture(self) -> ComposeResult:
        """The list, and a line or two about it."""
        yield Rows(self.COLUMNS, self.cells, key=self.ident, empty=self.EMPTY, id="listed")
        if self.ABOUT:
            yield Static(words(self.ABOUT), id="purpose")

    def on_mount(self) -> None:
        """Read the list and focus it."""
        self.query_one(Rows).focus()
        self.reload()

    def read(self) -> Sequence[T | Heading | Under]:
        """Read what is listed; called in a thread with the connection open."""
        raise NotImplementedError

    def cells(self, item: T) -> Sequence[Cell]:
        """The cells of an item's row."""
        raise NotImplementedError

    def ident(self, item: T) -> Hashable:
        """What identifies an item."""
        raise NotImplementedError

    def chosen(self, item: T) -> None:
        """Open an item, after Enter or a second click."""

    @property
    def item(self) -> T | None:
        found: T | None = self.query_one(Rows).item if self.is_mounted else None
        return found

    def reload(self) -> None:
        self._read()

    @work(thread=True, exclusive=True, group="listing", exit_on_error=False)
    def _read(self) -> None:
        from stock.store.connection import connection, reading

        with connection(), reading():
            items = self.read()
        if not get_current_worker().is_cancelled:
            self.post_message(self.ItemsRead(items))

    @on(ItemsRead)
    def _show(self, message: ItemsRead) -> None:
        message.stop()
        self.query_one(Rows).show(message.items)
        self.refresh_bindings()

    @on(Rows.Moved)
    def _moved(self) -> None:
        self.refresh_bindings()

    @on(Rows.Chosen)
    def _chosen(self, message: Rows.Chosen) -> None:
        message.stop()
        self.chosen(message.item)


class PageSheet(KeysSheet):
    """A page to read, scrolled by keys or the wheel."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "scroll(1)", _("Down"), show=False),
        Binding("up", "scroll(-1)", _("Up"), show=False),
        Binding("pagedown,space", "leaf(1)", _("Page down"), show=False),
        Binding("pageup", "leaf(-1)", _("Page up"), show=False),
        Binding("home", "edge(-1)", _("Top"), show=False),
        Binding("end", "edge(1)", _("End"), show=False),
    ]

    def furniture(self) -> ComposeResult:
        yield Page(ground="card", id="page")

    def show(self, lines: Sequence[Line]) -> None:
        self.query_one(Page).show(lines)

    def action_scroll(self, way: int) -> None:
        self.query_one(Page).scroll_relative(y=way, animate=False)

    def action_leaf(self, way: int) -> None:
        page = self.query_one(Page)
        page.scroll_relative(y=way * max(1, page.size.height - 2), animate=False)

    def action_edge(self, way: int) -> None:
        page = self.query_one(Page)
        page.scroll_to(y=0 if way < 0 else page.virtual_size.height, animate=False)
