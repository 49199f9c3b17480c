"""Dialogs: a question, a few fields, and one key that books what they say.

What is typed stays until it is booked. Each dialog makes one request key when it opens, so that a second
press, or a retry after the books were out of reach, books nothing twice.
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
"""Seconds after which an errand that is still being done says so."""


class Misread(Exception):
    """A field could not be read; its reason stands beneath it already."""


class BookingDialog(Overlay[T | None]):
    """A dialog that books one errand, or is left with Esc and books nothing."""

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
        """It was booked, with this answer."""

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
        """The head on the border, the fields, what was refused, and the keys."""
        with VerticalScroll(id="sheet", can_focus=False) as sheet:
            sheet.border_title = words(self.head())
            yield from self.fields()
            yield Static(id="progress")
            yield Static(id="refusal")
            with Horizontal(classes="buttons"):
                yield Key("Esc  Leave", plain=True, id="leave")
                yield Key(f"{self.GO_KEY}  {self.go_word()}", id="go")

    def on_mount(self) -> None:
        """What was said before must not cover the question."""
        self.app.clear_notifications()

    def head(self) -> str:
        """What stands on the border."""
        return self.HEAD

    def go_word(self) -> str:
        """What stands on the key that books."""
        return self.GO

    def fields(self) -> ComposeResult:
        """What is asked."""
        raise NotImplementedError

    def errand(self) -> Callable[[], T]:
        """Read the fields, and return what books them; called in a thread with the connection open.

        Raises:
            Misread: a field can't be read.
        """
        raise NotImplementedError

    def read(self, field: str) -> Any:
        """What is typed in a field, read.

        Raises:
            Misread: it can't be; the hand is put into that field.
        """
        one = self.query_one(f"#{field}", Field)
        with self.reading(one):
            return one.read()

    def stay(self) -> NoReturn:
        """Book nothing; what is wrong has been said.

        Raises:
            Misread: always.
        """
        raise Misread

    @contextmanager
    def reading(self, field: Field) -> Iterator[None]:
        """Turns a refusal inside the block into words beneath the field, and the hand goes there."""
        try:
            yield
        except UllageError as error:
            field.wrong(sentence_for(error))
            field.input.focus()
            raise Misread from error

    def action_leave(self) -> None:
        """Nothing is booked; what is just being booked is waited for, unless Esc is pressed once more."""
        if self._busy and not self._warned:
            self._warned = True
            self.refuse("It is being booked. Esc once more leaves all the same: the Logbook says if it was.")
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

    def on_screen_resume(self) -> None:
        """What was booked while another screen stood in front is told now."""
        self.call_later(self._end)

    def _end(self) -> None:
        """Leave with the answer, once there is one, if this dialog stands in front: only that can be taken away."""
        if self._answers and self.app.screen is self:
            self.dismiss(self._answers.pop())

    @on(Worker.StateChanged)
    def _refused(self, event: Worker.StateChanged) -> None:
        if event.state == WorkerState.ERROR and event.worker.error is not None:
            self._busy = False
            self.progress("")
            self.refused(event.worker.error)

    def refused(self, error: BaseException) -> None:
        """Say why it was not done."""
        self.refuse(sentence_for(error))

    def progress(self, text: str) -> None:
        """How far it is, above the keys; empty takes it away."""
        line = self.query_one("#progress", Static)
        line.update(words(text))
        line.set_class(bool(text), "-shown")

    def refuse(self, text: str) -> None:
        """A sentence above the keys; empty takes it away."""
        line = self.query_one("#refusal", Static)
        line.update(words(text))
        line.set_class(bool(text), "-shown")

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
    """A yes-or-no question about something that will be booked; answers with what was done."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "go", "Yes")]

    def __init__(self, head: str, text: str, *, go: str, errand: Callable[[str], Any], said: str) -> None:
        super().__init__()
        self._head = head
        self._text = text
        self._errand = errand
        self._said = said
        self._go = go

    def go_word(self) -> str:
        """Its own words on its own key."""
        return self._go

    def head(self) -> str:
        """What stands on the border."""
        return self._head

    def fields(self) -> ComposeResult:
        """Only the question."""
        yield Static(words(self._text), id="question")

    def errand(self) -> Callable[[], str]:
        """What was asked about."""

        def done() -> str:
            self._errand(self.request)
            return self._said

        return done
