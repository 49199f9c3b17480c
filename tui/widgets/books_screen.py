"""The base of all screens: a thread reads the books, a message carries the result, a handler draws it."""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any, ClassVar, Generic, TypeVar

from textual import events, on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static
from textual.worker import Worker, WorkerState, get_current_worker

from stock.language import _
from stock.store import remarks
from tui.drawing.sentences import by_keys, sentence_for
from tui.widgets.frame import KeyStrip, Masthead
from tui.widgets.keys import bindings
from tui.widgets.shell import Shell, shell_of
from tui.widgets.styling import StyledOnce

if TYPE_CHECKING:
    from textual.widgets import Input

B = TypeVar("B")
LEAST = (60, 16)
TOO_SMALL = _(
    "Ullage needs {0} columns and {1} rows.\nThis window has {2} and {3}.\nMake it larger, or "
    "the letters smaller."
)


def words(text: str) -> Content:
    """The text as content without markup and without control codes."""
    from stock.text import plain

    return Content("\n".join(plain(line, 2_000) for line in text.split("\n")))


def show_text(line: Static, text: str | Content) -> None:
    """Show a text in its line.

    A line that has the text already, in the same colours, is left alone, and one whose size is fixed is only drawn:
    any other update lays the whole screen out anew, and most come with every key.
    """
    content, before = words(text) if isinstance(text, str) else text, line.content
    if not (isinstance(before, Content) and before.is_same(content)):
        line.update(content, layout=line.styles.auto_dimensions)


def show_words(line: Static, text: str | Content) -> None:
    """Show a text in its line, or hide the line if the text is empty."""
    content = words(text) if isinstance(text, str) else text
    show_text(line, content)
    line.set_class(bool(content.plain), "-shown")


class BooksScreen(StyledOnce, Screen[None], Generic[B]):
    """A screen of the dashboard.

    A subclass reads the books in `read_books`, called in a thread inside a connection, and shows them in `draw`.
    It reads again each time it comes to the front and whenever something was booked.
    """

    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012 - declared so by Textual
        (0, "-tiny"),
        (LEAST[0], "-narrow"),
        (100, "-wide"),
        (130, "-broad"),
    ]
    VERTICAL_BREAKPOINTS = [  # noqa: RUF012
        (0, "-flat"),
        (LEAST[1], "-low"),
        (32, "-high"),
    ]
    BINDINGS: ClassVar[list[BindingType]] = bindings("any")
    ABOUT: ClassVar[str] = ""

    class BooksRead(Message):
        """The books were read."""

        def __init__(self, books: Any, reading: int) -> None:
            super().__init__()
            self.books, self.reading = books, reading

        def can_replace(self, message: Message) -> bool:
            """Replace older readings that are not drawn yet."""
            return isinstance(message, BooksScreen.BooksRead)

    def __init__(self) -> None:
        super().__init__()
        self.books: B | None = None
        self._afterwards: Callable[[], Any] | None = None
        self._held: Widget | None = None
        self._to_read = False
        self._asked = self._drawn = 0

    @property
    def shell(self) -> Shell:
        """The app that this screen is part of."""
        return shell_of(self)

    @property
    def behind(self) -> bool:
        """Whether the books are being read, and what is shown is what they were before."""
        return self.shell.books_open and (self._to_read or self.books is None or self._drawn < self._asked)

    def take(self, in_hand: Any) -> None:
        """Show what another screen brings along. Most screens ignore it."""

    def compose(self) -> ComposeResult:
        """The frame, with the screen's own widgets inside."""
        yield Masthead()
        with Vertical(id="room"):
            yield from self.furniture()
        yield Static(id="notice")
        yield Static(id="too-small")
        yield KeyStrip()

    def furniture(self) -> ComposeResult:
        """The screen's own widgets."""
        raise NotImplementedError

    def read_books(self) -> B:
        """Read what this screen shows; called in a thread with the connection open."""
        raise NotImplementedError

    def readings(self) -> Iterator[B]:
        """Read in one or several steps, each of which is drawn as soon as it is read."""
        yield self.read_books()

    def draw(self, books: B) -> None:
        """Show what was read."""
        raise NotImplementedError

    def on_screen_resume(self) -> None:
        """Read again: another screen may have booked something. Textual calls this twice when a screen opens."""
        if not self._to_read:
            self._to_read = True
            self.call_later(self._read_anew)

    def _read_anew(self) -> None:
        self._to_read = False
        self.reload()

    def on_resize(self) -> None:
        """If the window is too small, show the size that is needed."""
        width, height = self.app.size
        if width >= LEAST[0] and height >= LEAST[1]:
            self.call_after_refresh(self._take_up)
        else:
            self.query_one("#too-small", Static).update(words(TOO_SMALL.format(*LEAST, width, height)))

    @on(events.DescendantFocus)
    def _hold(self, event: events.DescendantFocus) -> None:
        """Remember the focus, which a widget loses when a small window hides it."""
        self._held = event.widget

    def _take_up(self) -> None:
        """Restore the focus when the window is large enough again."""
        if self.focused is None and self._held is not None and self._held.focusable:
            self.set_focus(self._held, scroll_visible=False)

    def reload(self) -> None:
        """Read the books again, in a thread."""
        if self.shell.books_open:
            self._asked += 1
            self._read(self._asked)

    @work(thread=True, exclusive=True, group="books", exit_on_error=False)
    def _read(self, number: int) -> None:
        from stock.store.connection import connection, reading  # not before the first frame

        with connection(), reading():
            for books in self.readings():
                if get_current_worker().is_cancelled:
                    return
                self.post_message(self.BooksRead(books, number))

    @on(BooksRead)
    def _draw(self, message: BooksRead) -> None:
        message.stop()
        if message.reading < self._drawn:  # its thread was overtaken by that of a newer reading
            return
        self.books, self._drawn = message.books, message.reading
        self.notice(". ".join(map(by_keys, remarks.noted())))
        self.draw(message.books)
        self.refresh_bindings()
        if self._afterwards is not None:
            act, self._afterwards = self._afterwards, None
            self.call_after_refresh(act)

    def when_read(self, act: Callable[[], Any]) -> None:
        """Call `act` after the next refresh, or once the books are read."""
        if self.books is None:
            self._afterwards = act
        else:
            self.call_after_refresh(act)

    @on(Worker.StateChanged)
    def _say_what_failed(self, event: Worker.StateChanged) -> None:
        if event.state == WorkerState.ERROR and event.worker.error is not None:
            self._drawn = self._asked
            self.shell.note_failure(event.worker.error)
            self.notice(sentence_for(event.worker.error))

    def notice(self, text: str, *, good: bool = False) -> None:
        """Show a sentence above the keys until the next reading; an empty one hides it."""
        line = self.query_one("#notice", Static)
        show_words(line, text)
        line.set_class(good, "-good")

    def action_help(self) -> None:
        """Show what this screen is for, and its keys."""
        from tui.widgets.help import Help

        self.app.push_screen(Help(self, self.ABOUT))

    def action_step_back(self) -> None:
        """Move the focus out of a field."""
        usual = self.default_focus()
        if usual is not None:
            usual.focus()

    @work(thread=True, exclusive=True, group="label", exit_on_error=False)
    def go_by_label(self, find: "Input") -> None:
        """Go to the bottle whose label was typed into a find box, and empty the box. Do nothing for other text."""
        from stock.store.connection import connection
        from tui.widgets.label_scan import labelled

        with connection():
            bottle = labelled(find.value)
        if bottle is not None:
            self.app.call_from_thread(self._go_to_bottle, find, bottle)

    def _go_to_bottle(self, find: "Input", bottle: int) -> None:
        find.value = ""
        self.shell.go("shelf", bottle)

    def default_focus(self) -> Widget | None:
        """The widget that has the focus when no field is typed in."""
        return None
