"""Fields that keep what was typed and show beneath it why it can't be read."""

import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, ClassVar

from rich.highlighter import Highlighter
from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.validation import ValidationResult, Validator
from textual.widget import Widget
from textual.widgets import Input, Static

from stock.errors import BadInput, UllageError
from stock.grammar import figure_and_unit
from stock.language import _
from stock.notation import example as as_written
from tui.drawing.sentences import sentence_for
from tui.drawing.strips import shown
from tui.widgets.books_screen import show_words, words
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
    Binding("tab", "app.focus_next", _("Next field"), show=False, priority=True),
    Binding("shift+tab", "app.focus_previous", _("Field before"), show=False, priority=True),
)
"""Keys of every form, handled before the field: a letter typed right after Tab then reaches the next field."""


def with_unit(text: str, unit: str) -> str:
    """The text with a unit behind it if it is a bare figure; any other text as it is."""
    if not unit:
        return text
    try:
        return text if figure_and_unit(text, _("amount"), "")[1] else f"{text.strip()} {unit}"
    except UllageError:
        return text


def such_as(example: str) -> str:
    """An example of a value as an empty field shows it, so that nobody takes it for one."""
    return _("such as {example}", example=example)


def _no_value(example: str) -> str:
    """What an empty field shows; what a figure, a sign or a name begins is taken for an example of a value."""
    return such_as(example) if re.match(r"[\dA-Z#/]|\w+(=|://)", example) else example


class Readable(Validator):
    """Accepts what a reader of `stock` accepts, and shows that reader's error."""

    def __init__(self, read: Read, *, blank: bool) -> None:
        super().__init__()
        self._read = read
        self._blank = blank

    def validate(self, value: str) -> ValidationResult:
        """Whether the text can be read, or is blank where that is allowed."""
        if self._blank and not value.strip():
            return self.success()
        try:
            self._read(value)
        except UllageError as error:
            return self.failure(sentence_for(error))
        return self.success()


class Field(Vertical):
    """A label, a line to type in, and beneath it the error of the typed text.

    Args:
        label: the label.
        read: a reader that raises `UllageError` for a text that it can't read; None accepts any text but an empty one.
        value: the text at first.
        example: shown in the empty field.
        blank: whether it may stay empty.
        hint: a line beneath the field.
        offers: words that could be its text; up, down and the wheel step through them, a click takes one.
        unit: the unit that a bare figure has here; beneath the field it is shown as it is read.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "offer(-1)", _("Offer before"), show=False),
        Binding("down", "offer(1)", _("Next offer"), show=False),
    ]

    class Changed(Message):
        """Something was typed."""

        def __init__(self, field: "Field") -> None:
            super().__init__()
            self.field = field

        @property
        def control(self) -> "Field":
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
        unit: str = "",
        id: str | None = None,  # noqa: A002 - Textual's own name for it
    ) -> None:
        super().__init__(id=id)
        self._unit = unit
        self.touched = False
        """Whether a person typed or chose the text."""
        self._refused: str | None = None
        """The text that can't be read, while that is shown."""
        self._filled = value
        self._offers = Suggestions(offers)
        self._texts: dict[str, Content] = {"hint": words(hint)}
        """The texts beneath the field, or to be shown once it is mounted: a `hint`, and what is `wrong`."""
        self._beneath: dict[str, Static] = {}
        self._label = words(label)
        self._read = read
        self._hint = hint
        self._blank = blank
        self.input = Input(
            value=value,
            placeholder=shown(_no_value(as_written(example))),
            validators=[Readable(lambda text: read(with_unit(text, unit)), blank=blank)] if read else [],
            validate_on=["submitted"],
            highlighter=Plain(),
            select_on_focus=True,
        )
        self.input.cursor_blink = False

    def compose(self) -> ComposeResult:
        """The input; the offers, the hint and the error have their lines once there is something to show."""
        yield self.input
        self._texts, texts = {}, self._texts
        yield from (self._line_beneath(kind, text) for kind, text in texts.items() if text.plain)

    def render(self) -> Content:
        """The label, left of the input: a form of many fields opens sooner without a widget for each label."""
        return self._label

    def _line_beneath(self, kind: str, text: Content) -> Static:
        self._beneath[kind] = Static(text, classes=f"{kind} -shown")
        return self._beneath[kind]

    def _show_beneath(self, kind: str, text: Content) -> None:
        """Show a text in the line of this kind, which few fields ever need."""
        if kind in self._beneath:
            show_words(self._beneath[kind], text)
        elif not self.input.is_attached:
            self._texts[kind] = text
        elif text.plain:
            above = self._offers if self._offers.is_attached else self.input
            self.mount(self._line_beneath(kind, text), after=above if kind == "hint" else None)

    def on_descendant_focus(self) -> None:
        """Show the offers while the field has the focus."""
        self._offers.follow(self.text)
        self._show_offers()

    def _show_offers(self) -> None:
        self._show_list(bool(self._offers.words) and self.input.has_focus)

    def _show_list(self, shown: bool) -> None:
        """Show the offers, or hide them; few fields have any, and those get them with the first focus."""
        if shown and not self._offers.is_attached:
            self.mount(self._offers, after=self.input)
        self._offers.display = shown

    def offer(self, words: Sequence[str]) -> None:
        self._offers.show(words, self.text)
        self._show_offers()

    def action_offer(self, way: int) -> None:
        """Take the next offered word, or the previous one."""
        word = self._offers.next(way)
        if word is not None:
            self.touched, self.text = True, word

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Take the next offered word, if the field has the focus."""
        self._wheel(event, 1)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        self._wheel(event, -1)

    def _wheel(self, event: events.MouseEvent, way: int) -> None:
        if self.input.has_focus and self._offers.words:
            event.stop()
            event.prevent_default()
            self.action_offer(way)

    @on(Suggestions.Taken)
    def _take(self, message: Suggestions.Taken) -> None:
        message.stop()
        self.touched, self.text = True, message.word
        self.input.focus()

    @property
    def text(self) -> str:
        return self.input.value

    @text.setter
    def text(self, value: str) -> None:
        self._filled = value
        self.input.value = value
        if self.input.has_focus:
            self.input.action_select_all()  # typing replaces it, as when the field gets the focus

    @property
    def meant(self) -> str:
        """The text that counts: the typed text with its unit, or the name that it means in a field of names."""
        return with_unit(self.text, self._unit)

    def read(self) -> Any:
        """The value of the typed text; None if the field may be blank and is.

        Raises:
            UllageError: the text can't be read; the reason is also shown beneath the field.
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
            raise BadInput(_("Nothing is written here"), remedy=_("Write a few words"))
        return text

    def hint(self, text: str) -> None:
        """Show another hint beneath the field."""
        self._hint = text
        self._show_beneath("hint", words(text))

    def swatch(self, color: str, text: str) -> None:
        """Show a colour, as #rrggbb, and its name beneath the field."""
        self._hint = text
        self._show_beneath("hint", Content.assemble(("██████ ", color), words(text)))

    def wrong(self, text: str) -> None:
        """Show why the text can't be read; an empty text hides that."""
        self._refused = self.text if text else None
        self._show_beneath("wrong", words(text))

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        if self.text != self._refused:
            self.wrong("")
        self.touched = self.touched or event.value != self._filled
        if self._unit:
            self._show_beneath("hint", words(f"= {self.meant}" if self.meant != self.text else self._hint))
        self._offers.follow(self.text)
        self._show_offers()
        self.post_message(self.Changed(self))

    def on_descendant_blur(self) -> None:
        """Hide the offers, and show at once why the text can't be read."""
        self._show_list(False)
        if self._unit and self.meant != self.text:
            self.text = self.meant
        if self._read is not None and self.text.strip():
            result = self.input.validate(self.text)
            if result is not None and not result.is_valid:
                self.wrong(" ".join(result.failure_descriptions))


class Plain(Highlighter):
    """Shows typed text without markup; characters that would control the terminal are shown as marks."""

    def highlight(self, text: Any) -> None:
        """Replace control and direction characters one for one, so that the cursor stays in place."""
        if not text.plain.isprintable():
            text.plain = "".join(letter if letter.isprintable() else "\ufffd" for letter in text.plain)


class Key(Widget, can_focus=True):
    """A button of a dialog, for the keyboard and the mouse."""

    class Pressed(Message):
        """The button was pressed."""

        def __init__(self, key: "Key") -> None:
            super().__init__()
            self.key = key

        @property
        def control(self) -> "Key":
            return self.key

    def __init__(self, text: str, *, plain: bool = False, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, classes="-plain" if plain else "")
        self._text = text

    def render(self) -> Content:
        return words(self._text)

    def label(self, text: str) -> None:
        """Show other words on it."""
        if text != self._text:
            self._text = text
            self.refresh(layout=True)

    def on_mouse_down(self) -> None:
        """Press when the mouse goes down: offers that close at that moment may move the button."""
        self.post_message(self.Pressed(self))

    def on_key(self, event: events.Key) -> None:
        if event.key in ("enter", "space"):
            event.stop()
            self.post_message(self.Pressed(self))
