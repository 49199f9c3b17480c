"""Fields that say beneath themselves what they can't read, and keep what was typed."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, ClassVar

from rich.highlighter import Highlighter
from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.message import Message
from textual.validation import ValidationResult, Validator
from textual.widget import Widget
from textual.widgets import Input, Label, Static

from stock.errors import BadInput, UllageError
from tui.drawing.sentences import sentence_for
from tui.drawing.strips import shown
from tui.widgets.books_screen import words
from tui.widgets.suggestions import Suggestions

Read = Callable[[str], Any]


def path(text: str) -> Path:
    """A file or folder as a person writes it, `~` being home.

    Raises:
        BadInput: nothing is written, or it can be no path.
    """
    from stock.store.paths import located

    return located(text.strip())


FIELD_KEYS: tuple[BindingType, ...] = (
    Binding("tab", "app.focus_next", "Next field", show=False, priority=True),
    Binding("shift+tab", "app.focus_previous", "Field before", show=False, priority=True),
)
"""Of every form: taken before the field gets it, so that what is typed right behind a Tab is the next field's."""


class Readable(Validator):
    """Accepts what a reader of `stock` accepts, and refuses in that reader's own words."""

    def __init__(self, read: Read, *, blank: bool) -> None:
        super().__init__()
        self._read = read
        self._blank = blank

    def validate(self, value: str) -> ValidationResult:
        """Read it; a blank is fine where the field may stay empty."""
        if self._blank and not value.strip():
            return self.success()
        try:
            self._read(value)
        except UllageError as error:
            return self.failure(sentence_for(error))
        return self.success()


class Field(Vertical):
    """A label, a line to type in, and beneath it what is wrong with what was typed.

    Args:
        label: what is asked.
        read: a reader of `stock` that raises `UllageError` for what it can't read; None takes any text but none.
        value: what stands in it at first.
        example: shown in the empty field.
        blank: whether it may stay empty.
        hint: a line beneath, for what is worth knowing before typing.
        offers: what could stand in it; up, down and the wheel walk through it, a click takes it.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "offer(-1)", "Offer before", show=False),
        Binding("down", "offer(1)", "Next offer", show=False),
    ]

    class Changed(Message):
        """Something was typed."""

        def __init__(self, field: "Field") -> None:
            super().__init__()
            self.field = field

        @property
        def control(self) -> "Field":
            """The field it was typed in."""
            return self.field

    def __init__(
        self,
        label: str,
        *,
        read: Read | None = None,
        value: str = "",
        example: str = "",
        blank: bool = False,
        hint: str = "",
        offers: Sequence[str] = (),
        id: str | None = None,  # noqa: A002 - Textual's own name for it
    ) -> None:
        super().__init__(id=id)
        self._offers = Suggestions(offers)
        self._label = label
        self._read = read
        self._hint = hint
        self._blank = blank
        self.input = Input(
            value=value,
            placeholder=shown(example),
            validators=[Readable(read, blank=blank)] if read else [],
            validate_on=["submitted"],
            highlighter=Plain(),
            select_on_focus=True,
        )
        self.input.cursor_blink = False

    def compose(self) -> ComposeResult:
        """The line, then what stands beneath it."""
        with Horizontal():
            yield Label(words(self._label), classes="label")
            yield self.input
        yield Static(words(self._hint), classes="hint -shown" if self._hint else "hint")
        yield self._offers
        yield Static(classes="wrong")

    def on_descendant_focus(self) -> None:
        """What it offers is in sight while the hand is in it."""
        self._offers.follow(self.text)
        self._show_offers()

    def _show_offers(self) -> None:
        self._offers.display = bool(self._offers.words) and self.input.has_focus

    def offer(self, words: Sequence[str], *, lead: str = "") -> None:
        """Offer other words; `lead` is said before them."""
        self._offers.show(words, self.text, lead=lead)
        self._show_offers()

    def action_offer(self, way: int) -> None:
        """The next word on offer, or the one before."""
        word = self._offers.next(way)
        if word is not None:
            self.text = word

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """The wheel over a field that the hand is in walks through what it offers."""
        self._wheel(event, 1)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """And back."""
        self._wheel(event, -1)

    def _wheel(self, event: events.MouseEvent, way: int) -> None:
        if self.input.has_focus and self._offers.words:
            event.stop()
            event.prevent_default()
            self.action_offer(way)

    @on(Suggestions.Taken)
    def _take(self, message: Suggestions.Taken) -> None:
        message.stop()
        self.text = message.word
        self.input.focus()

    @property
    def text(self) -> str:
        """What is typed in it."""
        return self.input.value

    @text.setter
    def text(self, value: str) -> None:
        self.input.value = value
        if self.input.has_focus:
            self.input.action_select_all()  # what is typed next takes its place, as on coming into the field

    @property
    def meant(self) -> str:
        """The text that counts: what is typed, or what stands for it in a field of names."""
        return self.text

    def read(self) -> Any:
        """What was typed, read; None when it may be blank and is.

        Raises:
            UllageError: it can't be read; the reason also stands beneath the field.
        """
        self.wrong("")
        if self._blank and not self.text.strip():
            return None
        try:
            return self._read(self.meant) if self._read else self._anything()
        except UllageError as error:
            self.wrong(sentence_for(error))
            raise

    def _anything(self) -> str:
        text = self.meant.strip()
        if not text:
            raise BadInput("Nothing is written here", remedy="Write a few words")
        return text

    def hint(self, text: str) -> None:
        """Another line beneath the field."""
        line = self.query_one(".hint", Static)
        line.update(words(text))
        line.set_class(bool(text), "-shown")

    def wrong(self, text: str) -> None:
        """What is wrong with it; empty takes the words away."""
        line = self.query_one(".wrong", Static)
        line.update(words(text))
        line.set_class(bool(text), "-shown")

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        self.wrong("")
        self._offers.follow(self.text)
        self._show_offers()
        self.post_message(self.Changed(self))

    def on_descendant_blur(self) -> None:
        """Say at once what can't be read, when the hand leaves the field."""
        self._offers.display = False
        if self._read is not None and self.text.strip():
            result = self.input.validate(self.text)
            if result is not None and not result.is_valid:
                self.wrong(" ".join(result.failure_descriptions))


class Plain(Highlighter):
    """Shows what is typed as it is; what would steer the terminal is shown as a mark."""

    def highlight(self, text: Any) -> None:
        """Replace control and direction codes, one for one, so the cursor stays right."""
        if not text.plain.isprintable():
            text.plain = "".join(letter if letter.isprintable() else "\ufffd" for letter in text.plain)


class Key(Widget, can_focus=True):
    """A key to press on a dialog, with the hand or the mouse."""

    class Pressed(Message):
        """It was pressed."""

        def __init__(self, key: "Key") -> None:
            super().__init__()
            self.key = key

        @property
        def control(self) -> "Key":
            """The key that was pressed."""
            return self.key

    def __init__(self, text: str, *, plain: bool = False, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, classes="-plain" if plain else "")
        self._text = text

    def render(self) -> Content:
        """Its words."""
        return words(self._text)

    def label(self, text: str) -> None:
        """Show other words on it."""
        if text != self._text:
            self._text = text
            self.refresh(layout=True)

    def on_mouse_down(self) -> None:
        """With the mouse: when it goes down, for what a field offered is put away then and the key may move."""
        self.post_message(self.Pressed(self))

    def on_key(self, event: events.Key) -> None:
        """With the hand."""
        if event.key in ("enter", "space"):
            event.stop()
            self.post_message(self.Pressed(self))
