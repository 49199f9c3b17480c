"""Dialogs: a question, a few fields, and one key that books what was entered.

What was typed stays until it is booked: in the dialog, and as a draft after Esc, `q`, a crash or a killed terminal.
Each dialog makes one request key when it opens, which its draft keeps, so that a second press, a retry after the books
could not be reached, or a draft that was booked in the moment of a crash, books nothing twice.
"""

import secrets
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any, ClassVar, NoReturn, TypeVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.message import Message
from textual.widgets import Input, Static
from textual.worker import Worker, WorkerState

from stock.errors import UllageError
from stock.language import _
from tui.drawing.sentences import sentence_for
from tui.widgets.books_screen import show_words, words
from tui.widgets.drafts import Content, Drafts, drafts_of
from tui.widgets.fields import FIELD_KEYS, Field, Key
from tui.widgets.overlay import Overlay, OverlaySheet

T = TypeVar("T")
LEFT = _("What you typed is kept as a draft: the form shows it when you open it again.")
KEPT = _("What you typed here before and did not book. Ctrl+T throws it away.")
SOON = 0.4
"""Seconds after which a booking that is not done yet shows its progress."""


class Misread(Exception):
    """A field can't be read; the reason is shown beneath it already."""


class BookingDialog(Overlay[T | None]):
    """A dialog that books one errand, or nothing if it is left with Esc."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", _("Leave")),
        Binding("ctrl+t", "throw_away", _("Throw away"), show=False, priority=True),
        *FIELD_KEYS,
    ]
    DRAFTED: ClassVar[bool] = True
    """Whether typed texts are kept as a draft; not if the dialog books nothing, or if they must be typed anew."""
    AUTO_FOCUS = "Input, #go"
    VERTICAL_BREAKPOINTS = [(0, "-low"), (32, "-high")]  # noqa: RUF012 - declared so by Textual
    HEAD: ClassVar[str] = ""
    GO: ClassVar[str] = _("Book it")
    GO_KEY: ClassVar[str] = _("Enter")

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
        self._drafts: Drafts | None = None
        self._form = ""
        self._first: dict[str, str] = {}
        self._restored: Content | None = None
        self._kept = False

    def compose(self) -> ComposeResult:
        """The heading, the fields, the refusal, and the keys."""
        with OverlaySheet(id="sheet", can_focus=False) as sheet:
            sheet.border_title = words(self.head())
            yield Static(id="draft")
            yield from self.fields()
            yield Static(id="progress")
            yield Static(id="refusal")
            with Horizontal(classes="buttons"):
                yield Key(_("Esc  Leave"), plain=True, id="leave")
                yield Key(f"{self.GO_KEY}  {self.go_word()}", id="go")

    def on_mount(self) -> None:
        """Close older notifications, which would cover the dialog, and show the draft once the fields stand."""
        self.app.clear_notifications()
        if self.DRAFTED and self._drafts is None:
            self._drafts, self._form = drafts_of(self), self.form
            self._first = {str(field.id): field.text for field in self.every_field()}
            if (content := self._drafts.of(self._form)) is not None:
                self.call_after_refresh(self._restore, content)

    @property
    def form(self) -> str:
        """The name of the form in the file of drafts: its kind, and what it is about."""
        return f"{type(self).__name__}: {self.head()}"

    def _restore(self, content: Content) -> None:
        self.request = str(content.get("request") or self.request)
        self._restored = {name: kept for name, kept in content.items() if name != "request"}
        self._kept = True
        self.take_draft(self._restored)
        self._tell(KEPT)

    def _tell(self, text: str) -> None:
        show_words(self.query_one("#draft", Static), text)

    def draft(self) -> Content:
        """The typed texts; empty if nothing was typed."""
        texts = {
            str(field.id): field.text
            for field in self.every_field()
            if field.touched and field.text != self._first.get(str(field.id), "")
        }
        return {"texts": texts} if texts else {}

    def take_draft(self, content: Content) -> None:
        """Put a draft into the fields; texts of fields that are gone are left out."""
        texts = content.get("texts")
        for field in self.every_field():
            text = texts.get(str(field.id)) if isinstance(texts, dict) else None
            if isinstance(text, str):
                field.touched, field.text = True, text

    @on(Field.Changed)
    def keep_draft(self) -> None:
        """Keep the texts in the form as a draft, or forget the draft if nothing typed is left."""
        if self._drafts is None or self._answers:
            return
        content = self.draft()
        if self._restored is not None and content != self._restored:  # it is another errand than the kept one
            self._restored, self.request = None, secrets.token_hex(12)
        if content:
            self._drafts.keep(self._form, content | {"request": self.request})
            self._kept = True
        else:
            self._forget()

    def _forget(self) -> None:
        if self._drafts is not None and self._kept:
            self._drafts.drop(self._form)
        self._kept, self._restored = False, None

    def action_throw_away(self) -> None:
        """Forget the draft, and leave the form as it was at first."""
        for field in self.every_field():
            field.touched, field.text = False, self._first.get(str(field.id), "")
        self._forget()
        self._tell("")

    def head(self) -> str:
        """The heading on the border."""
        return self.HEAD

    def go_word(self) -> str:
        """The label of the key that books."""
        return self.GO

    def fields(self) -> ComposeResult:
        """The fields of the dialog."""
        raise NotImplementedError

    def every_field(self) -> Sequence[Field]:
        """All fields in their order."""
        return list(self.query(Field))

    def field_named(self, name: str) -> Field:
        """The field with this id."""
        return self.query_one(f"#{name}", Field)

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
        one = self.field_named(field)
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

    def action_leave(self) -> None:
        """Leave and book nothing; what was typed is kept, and said to be. While it is being booked, ask once more."""
        if self._busy and not self._warned:
            self._warned = True
            self.refuse(
                _(
                    "It is being booked. Esc once more leaves anyway; the Logbook then shows whether it was "
                    "booked."
                )
            )
            return
        if self._kept:
            self.app.notify(LEFT, markup=False, timeout=4)
        self.dismiss(None)

    def action_go(self) -> None:
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
        self._forget()
        self._end()

    def another(self) -> None:
        """Stay open after a booking: the next one is another errand."""
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
        show_words(self.query_one("#progress", Static), text)

    def refuse(self, text: str) -> None:
        """Show a sentence above the keys; an empty one hides it."""
        line = self.query_one("#refusal", Static)
        show_words(line, text)
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

    DRAFTED = False

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "go", _("Yes"))]

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
