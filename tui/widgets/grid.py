"""A table whose cells are typed in: a letter begins a cell anew, Enter goes down, pasted rows fill it."""

from collections.abc import Callable, Mapping, Sequence
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from stock.language import _
from stock.named_tuples import NamedTuple
from tui.drawing.bottle import Run
from tui.drawing.strips import colours, fit, strip_of

Cells = dict[str, str]
Parted = Callable[[str], Sequence[Mapping[str, str]]]
LONGEST = 200
NEXT_CELL = ";"
"""The typed sign that goes to the next cell; it also separates the cells of a pasted row."""


class GridColumn(NamedTuple):
    """A column: its key, its title and its width in cells; one without a width takes the rest."""

    key: str
    title: str
    width: int = 0


class Grid(Widget, can_focus=True):
    """Rows of cells to type in; the last row is always empty.

    Args:
        columns: left to right.
        parted: parts a pasted text into rows of cells by column.
        swatch: the colour of a row as #rrggbb, drawn before the column `color`; empty for none.
    """

    DEFAULT_CSS = "Grid { height: 12; background: $ground; }"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "go(-1, 0)", _("Up"), show=False),
        Binding("down", "go(1, 0)", _("Down"), show=False),
        Binding("enter", "next_row", _("Next row"), show=False),
        Binding("left", "go(0, -1)", _("Left"), show=False),
        Binding("right", "go(0, 1)", _("Right"), show=False),
        Binding("pageup", "go(-10, 0)", _("Page up"), show=False),
        Binding("pagedown", "go(10, 0)", _("Page down"), show=False),
        Binding("backspace", "rub_out", _("Rub out"), show=False),
        Binding("delete", "clear", _("Empty the cell"), show=False),
    ]
    cursor: reactive[tuple[int, int]] = reactive((0, 0))

    class Typed(Message):
        """A cell was changed, or the cursor went elsewhere; `row` is the one that the cursor stands in."""

        def __init__(self, row: int) -> None:
            super().__init__()
            self.row = row

    def __init__(
        self,
        columns: Sequence[GridColumn],
        parted: Parted,
        *,
        swatch: Callable[[Mapping[str, str]], str] = lambda _: "",
        id: str | None = None,  # noqa: A002 - Textual's own name for it
    ) -> None:
        super().__init__(id=id)
        self.columns, self._parted, self._swatch = columns, parted, swatch
        self.rows: list[Cells] = [{}]
        self.wrong: dict[int, Mapping[str, str]] = {}
        """By row, the errors of its cells by column."""
        self._top = 0
        self._fresh = True
        """Whether the next letter begins the cell anew."""
        self._begun: int | None = None
        """The column in which a row was begun that goes from cell to cell by semicolons."""

    @property
    def key(self) -> str:
        """The column that the cursor stands in."""
        return self.columns[self.cursor[1]].key

    def filled(self) -> list[tuple[int, Cells]]:
        """The filled rows with their positions."""
        return [(at, row) for at, row in enumerate(self.rows) if any(text.strip() for text in row.values())]

    def show(self, rows: Sequence[Mapping[str, str]]) -> None:
        """Show these rows instead."""
        self.rows = [*(dict(row) for row in rows), {}]
        self.cursor = (0, 0)
        self._changed()

    def show_wrong(self, wrong: dict[int, Mapping[str, str]]) -> None:
        """Mark the cells that can't be read."""
        self.wrong = wrong
        self.refresh()

    def action_next_row(self) -> None:
        """Go to the next row: to the column where this one was begun."""
        begun = self.cursor[1] if self._begun is None else self._begun
        self.action_go(1, begun - self.cursor[1])

    def action_go(self, down: int, right: int) -> None:
        """Go to another cell; from the last row's name not further."""
        row = max(0, min(len(self.rows) - 1, self.cursor[0] + down))
        self.go_to(row, max(0, min(len(self.columns) - 1, self.cursor[1] + right)))

    def go_to(self, row: int, column: int) -> None:
        """Go to a cell; the next typed text replaces its content."""
        self.cursor, self._fresh, self._begun = (row, column), True, None
        self.post_message(self.Typed(row))

    def action_rub_out(self) -> None:
        """Take the last letter of the cell away."""
        text = self.rows[self.cursor[0]].get(self.key, "")
        self._put(text[:-1])
        self._fresh = False

    def action_clear(self) -> None:
        self._put("")

    def on_key(self, event: events.Key) -> None:
        """A letter begins the cell anew, or is added to what was begun; a semicolon goes to the next cell."""
        if event.is_printable and event.character is not None:
            event.stop()
            event.prevent_default()
            if event.character == NEXT_CELL:
                begun = self._begun if self._begun is not None else self.cursor[1]
                self.action_go(0, 1)
                self._begun = begun
                return
            before = "" if self._fresh else self.rows[self.cursor[0]].get(self.key, "")
            self._fresh = False
            self._put((before + event.character)[:LONGEST])

    def on_paste(self, event: events.Paste) -> None:
        """Pasted rows fill the table from the cursor's row; in another column than the first, that column."""
        event.stop()
        lines = [line for line in event.text.splitlines() if line.strip()]
        at = self.cursor[0]
        pasted = (
            self._parted(event.text)
            if self.cursor[1] == 0
            else [{self.key: line.strip()[:LONGEST]} for line in lines]
        )
        for offset, cells in enumerate(pasted):
            while at + offset >= len(self.rows):
                self.rows.append({})
            self.rows[at + offset] |= {key: text for key, text in cells.items() if text}
        self.cursor = (min(at + len(pasted), len(self.rows)), self.cursor[1])
        self._changed()

    def _put(self, text: str) -> None:
        self.rows[self.cursor[0]][self.key] = text
        self._changed()

    def _changed(self) -> None:
        if any(text.strip() for text in self.rows[-1].values()):
            self.rows.append({})
        self.cursor = (min(self.cursor[0], len(self.rows) - 1), self.cursor[1])
        self.refresh()
        self.post_message(self.Typed(self.cursor[0]))

    def watch_cursor(self) -> None:
        """Keep the cursor's row in sight."""
        seen = max(1, self.size.height - 1)
        row = self.cursor[0]
        self._top = min(max(self._top, row - seen + 1), row)
        self.refresh()

    def on_click(self, event: events.Click) -> None:
        """Go to the clicked cell."""
        row, at, x = self._top + event.y - 1, 0, event.x - 4
        if event.y < 1 or not 0 <= row < len(self.rows):
            return
        widths = self._widths()
        while at < len(widths) - 1 and x > widths[at]:
            x -= widths[at] + 1
            at += 1
        self.go_to(row, at)

    def _widths(self) -> list[int]:
        fixed = sum(column.width + 1 for column in self.columns)
        rest = max(8, self.size.width - 4 - fixed)
        return [column.width or rest for column in self.columns]

    def render_line(self, y: int) -> Strip:
        """One line: the titles, or a row with its number."""
        named, width = colours(self.app), self.size.width
        widths = self._widths()
        if y == 0:
            titles = [
                Run(fit(column.title, room) + " ", "quiet")
                for column, room in zip(self.columns, widths, strict=True)
            ]
            return strip_of([Run("    ", "quiet"), *titles], width, named)
        at = self._top + y - 1
        if at >= len(self.rows):
            return strip_of((), width, named)
        row, wrong = self.rows[at], self.wrong.get(at, {})
        runs = [Run(f"{at + 1:>3} ", "stop" if wrong else "quiet", None, bool(wrong))]
        for place, (column, room) in enumerate(zip(self.columns, widths, strict=True)):
            runs += self._cell(
                column, room, row, here=self.has_focus and (at, place) == self.cursor, wrong=wrong
            )
        return strip_of(runs, width, named)

    def _cell(
        self, column: GridColumn, room: int, row: Cells, *, here: bool, wrong: Mapping[str, str]
    ) -> list[Run]:
        text, mark = row.get(column.key, ""), []
        if column.key == "color" and (color := self._swatch(row)):
            mark, room = [Run("█ ", color)], room - 2
        shown_text = f"!{text}" if column.key in wrong else text
        if len(shown_text) >= room and here:
            shown_text = shown_text[-(room - 1) :]
        ink = "stop" if column.key in wrong else "ink"
        run = Run(
            fit(shown_text + ("▏" if here else ""), room),
            "cursor-ink" if here else ink,
            "cursor" if here else None,
        )
        return [*mark, run, Run(" ", "ink")]
