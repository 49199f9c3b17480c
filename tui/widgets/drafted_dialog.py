"""A dialog whose typed texts are kept as a draft until they are booked, or thrown away by a key of their own."""

from typing import Any, ClassVar, TypeVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widgets import Static

from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.drafts import Content, Drafts, drafts_of
from tui.widgets.fields import Field

T = TypeVar("T")
LEFT = "What you typed is kept as a draft: the form shows it when you open it again."
KEPT = "What you typed here before and did not book. Ctrl+T throws it away."


class DraftedDialog(BookingDialog[T]):
    """Esc, `q`, a crash and a killed terminal leave what was typed; the form shows it again when it is opened."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+t", "throw_away", "Throw away", show=False, priority=True),
    ]

    def __init__(self, *arguments: Any, **more: Any) -> None:
        super().__init__(*arguments, **more)
        self._drafts: Drafts | None = None
        self._first: dict[str, str] = {}
        self._kept = False
        self._booked = False

    @property
    def form(self) -> str:
        """The name of the form in the file of drafts: its kind, and the record that it is about."""
        return f"{type(self).__name__}: {self.head()}"

    def on_mount(self) -> None:
        """Show the draft once the fields stand."""
        self._first = {str(field.id): field.text for field in self.query(Field)}
        self._drafts = drafts_of(self)
        content = self._drafts.of(self.form)
        if content is not None:
            self.call_after_refresh(self._restore, content)

    def _restore(self, content: Content) -> None:
        self.take_draft(content)
        self._kept = True
        self._tell(KEPT)

    def _tell(self, text: str) -> None:
        line = self.query_one("#draft", Static)
        line.update(words(text))
        line.set_class(bool(text), "-shown")

    def draft(self) -> Content:
        """What was typed; empty where nothing was."""
        texts = {
            str(field.id): field.text
            for field in self.query(Field)
            if field.touched and field.text != self._first.get(str(field.id), "")
        }
        return {"texts": texts} if texts else {}

    def take_draft(self, content: Content) -> None:
        """Put a draft into the fields; what it holds of a field that is gone is left out."""
        texts = content.get("texts")
        for field in self.query(Field):
            text = texts.get(str(field.id)) if isinstance(texts, dict) else None
            if isinstance(text, str):
                field.touched, field.text = True, text

    @on(Field.Changed)
    def keep_draft(self) -> None:
        """Keep what stands in the form, or forget its draft where nothing typed is left."""
        if self._drafts is None or self._booked:
            return
        content = self.draft()
        if content:
            self._drafts.keep(self.form, content)
            self._kept = True
        elif self._kept:
            self._drafts.drop(self.form)
            self._kept = False

    @on(BookingDialog.Done)
    def _forget(self) -> None:
        """What is booked is no draft any more."""
        self._booked = True
        if self._drafts is not None and self._kept:
            self._drafts.drop(self.form)

    def action_leave(self) -> None:
        """Leave, and say that what was typed is kept."""
        super().action_leave()
        if self._kept and not self._booked and self.app.screen is not self:
            self.app.notify(LEFT, markup=False, timeout=4)

    def action_throw_away(self) -> None:
        """Forget the draft, and leave the form as it was at first."""
        for field in self.query(Field):
            field.touched, field.text = False, self._first.get(str(field.id), "")
        if self._drafts is not None:
            self._drafts.drop(self.form)
        self._kept = False
        self._tell("")
