"""A dialog that gathers several lines and books them together: a delivery, an order."""

from collections.abc import Sequence
from typing import Any, ClassVar, Generic, TypeVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widget import Widget

from stock.language import _
from tui.widgets.dialog import BookingDialog, Misread
from tui.widgets.drafts import Content
from tui.widgets.fields import Field, Key
from tui.widgets.rows import Cell, ListColumn, Rows

T = TypeVar("T")
MOST_SHOWN = 6


class LinesDialog(BookingDialog[str], Generic[T]):
    """The lines so far, and the fields of one more. F7 adds it, F9 takes a line back into the fields."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "f7", "another", _("Another line"), priority=True
        ),  # what is typed behind it is the next line's
        Binding("f9", "again", _("Correct a line")),
        Binding("delete", "drop", _("Drop the line"), show=False),
    ]
    LINE: ClassVar[Sequence[ListColumn]] = (ListColumn(""), ListColumn("", 16, right=True))
    WHAT: ClassVar[str] = "line"
    TYPED: ClassVar[Sequence[str]] = ()
    """The ids of the fields of one line."""

    def __init__(self, lines: Sequence[T] = ()) -> None:
        super().__init__()
        self.lines: list[T] = list(lines)
        self._lines_at_first = tuple(lines)
        self._to_restore: Content | None = None

    def fields(self) -> ComposeResult:
        """The lines so far, the fields of one line, the keys that add and correct, and the fields of all lines."""
        yield Rows(self.LINE, self.cells, key=self.lines_at, empty="", id="lines")
        yield from self.of_line()
        with Horizontal(classes="linekeys"):
            yield Key(_("F7  Another {what}", what=self.WHAT), plain=True, id="another")
            yield Key(_("F9  Correct"), plain=True, id="again")
            yield Key(_("Del  Leave out"), plain=True, id="drop")
        yield from self.of_all()

    def lines_at(self, line: T) -> int:
        """The position of a line, which identifies it."""
        return next((n for n, one in enumerate(self.lines) if one is line), -1)

    def of_line(self) -> ComposeResult:
        """The fields of one line."""
        raise NotImplementedError

    def of_all(self) -> ComposeResult:
        """The fields that hold for all lines."""
        return iter(())

    def cells(self, line: T) -> Sequence[Cell]:
        """A line as the list shows it."""
        raise NotImplementedError

    def line(self) -> T:
        """Read the fields of one line.

        Raises:
            Misread: one can't be read.
        """
        raise NotImplementedError

    def put(self, line: T | None) -> None:
        """Fill the fields from a line, or empty them."""
        raise NotImplementedError

    @property
    def started(self) -> bool:
        """Whether the fields of the next line are filled in."""
        raise NotImplementedError

    def texts(self, line: T) -> dict[str, str]:
        """The texts of a line's fields, as a draft holds them."""
        raise NotImplementedError

    @property
    def knows(self) -> bool:
        """Whether what a line needs to be read is known."""
        return True

    def draft(self) -> Content:
        """What is typed, and the lines if others were entered or changed here."""
        if self._to_restore is not None:
            return self._to_restore
        changed = tuple(self.lines) != self._lines_at_first
        return super().draft() | ({"lines": [self.texts(line) for line in self.lines]} if changed else {})

    def take_draft(self, content: Content) -> None:
        """Read the lines of a draft once that is possible; what can't be read stays in the fields."""
        self._to_restore = None if self.knows else content
        if not self.knows:
            return
        lines = content.get("lines")
        try:
            if isinstance(lines, list):
                self.lines.clear()
                for texts in lines:
                    for field in self.TYPED:
                        self.query_one(f"#{field}", Field).text = str(texts.get(field, ""))
                    self.lines.append(self.line())
                    self.put(None)
        except Misread:
            pass
        super().take_draft(content)
        self.show_lines()

    def action_throw_away(self) -> None:
        """Forget the lines, too."""
        self.lines = list(self._lines_at_first)
        super().action_throw_away()
        self.show_lines()

    def every_line(self) -> list[T]:
        """All lines, with the one in the fields.

        Raises:
            Misread: the fields can't be read, or there is no line.
        """
        if self.started or not self.lines:
            return [*self.lines, self.line()]
        return list(self.lines)

    def on_mount(self) -> None:
        """Hide the list while it is empty."""
        self.show_lines()

    def show_lines(self) -> None:
        """Show the lines so far, at most six at once."""
        self.keep_draft()
        rows = self.query_one("#lines", Rows)
        for part in (rows, self.query_one("#again"), self.query_one("#drop")):
            part.display = bool(self.lines)
        rows.styles.height = min(MOST_SHOWN, len(self.lines))
        rows.show(self.lines)

    def action_another(self) -> None:
        """Add the line in the fields to the list, and empty the fields."""
        self.refuse("")
        try:
            line = self.line()
        except Misread:
            return
        self.lines.append(line)
        self.put(None)
        self.show_lines()
        self.query_one("#lines", Rows).action_edge(1)
        self.first_field().focus()

    def action_again(self) -> None:
        """Take the selected line back into the fields; a line in the fields takes its place."""
        if not self.lines:
            return
        at = min(self.query_one("#lines", Rows).cursor, len(self.lines) - 1)
        chosen = self.lines[at]
        if self.started:
            try:
                self.lines[at] = self.line()
            except Misread:
                return
        else:
            del self.lines[at]
        self.put(chosen)
        self.show_lines()
        self.first_field().focus()

    def action_drop(self) -> None:
        """Remove the selected line."""
        if self.lines:
            del self.lines[min(self.query_one("#lines", Rows).cursor, len(self.lines) - 1)]
            self.show_lines()
            if not self.lines:
                self.first_field().focus()

    def first_field(self) -> Widget:
        """The widget that gets the focus for the next line."""
        return next(field.input for field in self.query(Field) if field.display)

    @on(Rows.Chosen, "#lines")
    def _chosen(self, message: Rows.Chosen) -> None:
        message.stop()
        self.action_again()

    @on(Key.Pressed, "#another")
    def _more(self, event: Key.Pressed) -> None:
        event.stop()
        self.action_another()

    @on(Key.Pressed, "#again")
    def _again(self, event: Key.Pressed) -> None:
        event.stop()
        self.action_again()

    @on(Key.Pressed, "#drop")
    def _drop(self, event: Key.Pressed) -> None:
        event.stop()
        self.action_drop()

    def line_of(self, *fields: str) -> dict[str, Any]:
        """Read several fields, by their ids.

        Raises:
            Misread: one can't be read.
        """
        return {field: self.read(field) for field in fields}
