"""Dialogs: a question, a few fields, and one key that books what was entered.

What was typed stays until it is booked. Each dialog makes one request key when it opens, so that a second press, or a
retry after the books could not be reached, books nothing twice.
"""

import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, ClassVar, NoReturn, TypeVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.widgets import Input, Static
from textual.worker import Worker, WorkerState

from stock.errors import UllageError
from tui.drawing.sentences import sentence_for
from tui.widgets.books_screen import words
from tui.widgets.fields import FIELD_KEYS, Field, Key
from tui.widgets.overlay import Overlay

T = TypeVar("T")
SOON = 0.4
"""Seconds after which a booking that is not done yet shows its progress."""


class Misread(Exception):
    """A field can't be read; the reason is shown beneath it already."""


class BookingDialog(Overlay[T | None]):
    """A dialog that books one errand, or nothing if it is left with Esc."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave"),
        *FIELD_KEYS,
    ]
    AUTO_FOCUS = "Input, #go"
    VERTICAL_BREAKPOINTS = [(0, "-low"), (32, "-high")]  # noqa: RUF012 - declared so by Textual
    HEAD: ClassVar[str] = ""
    GO: ClassVar[str] = "Book it"
    GO_KEY: ClassVar[str] = "Enter"

    class Done(Message):
        """The errand was booked, with this answer."""

        def __init__(self, answer: Any) -> None:
            super().__init__()
            self.answer = answer

    def __init__(self) -> None:
        super().__init__()
        self.request = secrets.token_hex(12)
        self._busy = False
        self._warned = False
        self._answers: list[Any] = []

    def compose(self) -> ComposeResult:
        """The heading, the fields, the refusal, and the keys."""
        with VerticalScroll(id="sheet", can_focus=False) as sheet:
            sheet.border_title = words(self.head())
            yield Static(id="draft")
            yield from self.fields()
            yield Static(id="progress")
            yield Static(id="refusal")
            with Horizontal(classes="buttons"):
                yield Key("Esc  Leave", plain=True, id="leave")
                yield Key(f"{self.GO_KEY}  {self.go_word()}", id="go")

    def on_mount(self) -> None:
        """Close older notifications, which would cover the dialog."""
        self.app.clear_notifications()

    def head(self) -> str:
        """The heading on the border."""
        return self.HEAD

    def go_word(self) -> str:
        """The label of the key that books."""
        return self.GO

    def fields(self) -> ComposeResult:
        """The fields of the dialog."""
        raise NotImplementedError

    def errand(self) -> Callable[[], T]:
        """Read the fields and return what books them, which is called in a thread with the connection open.

        Raises:
            Misread: a field can't be read.
        """
        raise NotImplementedError

    def read(self, field: str) -> Any:
        """Read a field.

        Raises:
            Misread: the field can't be read; it gets the focus.
        """
        one = self.query_one(f"#{field}", Field)
        with self.reading(one):
            return one.read()

    def stay(self) -> NoReturn:
        """Stay open and book nothing; the reason is shown already.

        Raises:
            Misread: always.
        """
        raise Misread

    @contextmanager
    def reading(self, field: Field) -> Iterator[None]:
        """Show a refusal inside the block beneath the field, and focus the field."""
        try:
            yield
        except UllageError as error:
            field.wrong(sentence_for(error))
            field.input.focus()
            raise Misread from error

    def unbooked(self) -> str:
        """What leaving would throw away, as the beginning of a sentence; empty where nothing much would be lost."""
        return ""

    def warn_again(self) -> None:
        """Something changed: the next Esc asks anew."""
        self._warned = False

    def action_leave(self) -> None:
        """Leave and book nothing; Esc is asked for once more where something is being booked or would be lost."""
        if not self._warned:
            if self._busy:
                self._warned = True
                self.refuse(
                    "It is being booked. Esc once more leaves anyway; the Logbook then shows whether it was booked."
                )
                return
            if lost := self.unbooked():
                self._warned = True
                self.refuse(f"{lost} not booked yet. Esc once more throws that away.")
                return
        self.dismiss(None)

    def action_go(self) -> None:
        """Book it, once."""
        if self._busy:
            return
        self.refuse("")
        try:
            errand = self.errand()
        except Misread:
            return
        self._busy, self._warned = True, False
        self._book(errand)

    @work(thread=True, group="booking", exit_on_error=False)
    def _book(self, errand: Callable[[], T]) -> None:
        from stock.store.connection import connection

        with connection():
            answer = errand()
        self.post_message(self.Done(answer))

    @on(Done)
    def _leave_with(self, message: Done) -> None:
        message.stop()
        self._answers = [message.answer]
        self._end()

    def another(self) -> None:
        """Stay open after something was booked: what is booked next is another errand."""
        self.request = secrets.token_hex(12)
        self._busy = self._warned = False
        self.progress("")

    def on_screen_resume(self) -> None:
        """Leave with an answer that came while another screen was in front."""
        self.call_later(self._end)

    def _end(self) -> None:
        """Leave with the answer, if there is one and this dialog is in front: only then can it be dismissed."""
        if self._answers and self.app.screen is self:
            self.dismiss(self._answers.pop())

    @on(Worker.StateChanged)
    def _refused(self, event: Worker.StateChanged) -> None:
        if event.state == WorkerState.ERROR and event.worker.error is not None:
            self._busy = False
            self.progress("")
            self.refused(event.worker.error)

    def refused(self, error: BaseException) -> None:
        """Show why the errand was refused."""
        self.refuse(sentence_for(error))

    def progress(self, text: str) -> None:
        """Show the progress above the keys; an empty text hides it."""
        line = self.query_one("#progress", Static)
        line.update(words(text))
        line.set_class(bool(text), "-shown")

    def refuse(self, text: str) -> None:
        """Show a sentence above the keys; an empty one hides it."""
        line = self.query_one("#refusal", Static)
        line.update(words(text))
        line.set_class(bool(text), "-shown")
        if text:  # a tall form in a low window would keep it below its edge
            self.call_after_refresh(line.scroll_visible, animate=False)

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        self.action_go()

    @on(Key.Pressed)
    def _pressed(self, event: Key.Pressed) -> None:
        event.stop()
        if event.key.id == "leave":
            self.action_leave()
        elif event.key.id == "go":
            self.action_go()


class Ask(BookingDialog[str]):
    """A question whether to book something; its answer says what was done."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "go", "Yes")]

    def __init__(self, head: str, text: str, *, go: str, errand: Callable[[str], Any], said: str) -> None:
        super().__init__()
        self._head = head
        self._text = text
        self._errand = errand
        self._said = said
        self._go = go

    def go_word(self) -> str:
        return self._go

    def head(self) -> str:
        """The heading on the border."""
        return self._head

    def fields(self) -> ComposeResult:
        yield Static(words(self._text), id="question")

    def errand(self) -> Callable[[], str]:
        def done() -> str:
            self._errand(self.request)
            return self._said

        return done
