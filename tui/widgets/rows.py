"""A list of any length: only visible rows are drawn, and the cursor stays on its item."""

from collections.abc import Callable, Hashable, Sequence
from typing import Any, ClassVar, Generic, TypeVar

from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.message import Message
from textual.reactive import var
from textual.scroll_view import ScrollView
from textual.strip import Strip

from stock.language import _
from stock.named_tuples import NamedTuple
from tui.drawing.bottle import Line, Run
from tui.drawing.strips import colours, fit, heading, strip_of

T = TypeVar("T")
UNREAD = _("Reading the books …")


class ListColumn(NamedTuple):
    """One column; those with a width of 0 share what the others leave."""

    title: str
    width: int = 0
    right: bool = False


class Heading(NamedTuple):
    """A line between rows that can't be selected."""

    text: str
    note: str = ""


class Under(NamedTuple):
    """A line that belongs to the row above and can't be selected."""

    line: Line


Cell = str | Line
Passed = (Heading, Under)
Cells = Callable[[Any], Sequence[Cell]]


class Rows(ScrollView, Generic[T], can_focus=True):
    """Rows under fixed column titles, drawn line by line.

    Args:
        columns: the columns; there is no title line if none has a title.
        cells: the cells of an item, one for each column: a text, or runs.
        key: what identifies an item, so that the cursor stays on it when the list changes.
        empty: the text of an empty list.
    """

    DEFAULT_CSS = "Rows { height: 1fr; background: $ground; scrollbar-size-vertical: 1; }"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "step(-1)", _("Up"), show=False),
        Binding("down", "step(1)", _("Down"), show=False),
        Binding("pageup", "leap(-1)", _("Page up"), show=False),
        Binding("pagedown", "leap(1)", _("Page down"), show=False),
        Binding("home", "edge(-1)", _("First"), show=False),
        Binding("end", "edge(1)", _("Last"), show=False),
        Binding("enter", "choose", _("Open"), show=False),
    ]

    cursor: var[int] = var(0)

    class Moved(Message):
        """Another row is selected."""

        def __init__(self, rows: "Rows[Any]", item: Any) -> None:
            super().__init__()
            self.rows = rows
            self.item = item

        @property
        def control(self) -> "Rows[Any]":
            return self.rows

        def can_replace(self, message: Message) -> bool:
            """Replace an older move that is not handled yet."""
            return isinstance(message, Rows.Moved) and message.rows is self.rows

    class Chosen(Moved):
        """The selected item was opened, by Enter or a click."""

        def can_replace(self, message: Message) -> bool:
            """Every choice is handled."""
            del message
            return False

    def __init__(
        self,
        columns: Sequence[ListColumn],
        cells: Cells,
        *,
        key: Callable[[Any], Hashable],
        empty: str = _("Nothing here"),
        id: str | None = None,  # noqa: A002 - Textual's own name for it
    ) -> None:
        super().__init__(id=id)
        self._columns = list(columns)
        self._cells = cells
        self._key = key
        self._empty = empty
        self._items: Sequence[T | Heading | Under] = []
        self._titled = any(column.title for column in columns)
        self._shown = False
        self._top = 0

    @property
    def item(self) -> T | None:
        """The selected item; None for an empty list."""
        if 0 <= self.cursor < len(self._items):
            found = self._items[self.cursor]
            return None if isinstance(found, Passed) else found
        return None

    @property
    def items(self) -> Sequence[T | Heading | Under]:
        """All that is listed, with the headings."""
        return self._items

    def show(self, items: Sequence[T | Heading | Under], *, empty: str | None = None) -> None:
        """Show other rows; the cursor stays on its item if that is still listed."""
        held = self.item
        key = None if held is None else self._key(held)
        self._items = items
        self._shown = True
        if empty is not None:
            self._empty = empty
        place = self.cursor
        if key is not None:
            near = range(min(len(items), 5_000))
            place = next(
                (n for n in near if not isinstance(items[n], Passed) and self._key(items[n]) == key), place
            )
        self.virtual_size = Size(self.size.width, len(items) + self._titled)
        self.set_reactive(Rows.cursor, self._free(min(place, max(0, len(items) - 1)), 1))
        self.refresh()
        self._send_moved()

    def go_to(self, key: Hashable) -> bool:
        """Select the item with this key; False if it is not listed."""
        for number, item in enumerate(self._items):
            if not isinstance(item, Passed) and self._key(item) == key:
                self.cursor = number
                return True
        return False

    def columns_for(self, columns: Sequence[ListColumn]) -> None:
        self._columns = list(columns)
        self._titled = any(column.title for column in columns)
        self.refresh()

    def _free(self, place: int, way: int) -> int:
        """The nearest row that can be selected, looked for first in the direction of the move."""
        ahead = 1 if way > 0 else -1
        for step in (ahead, -ahead):
            at = place
            while 0 <= at < len(self._items):
                if not isinstance(self._items[at], Passed):
                    return at
                at += step
        return 0

    def _send_moved(self) -> None:
        if self.item is not None:
            self.post_message(self.Moved(self, self.item))

    def watch_cursor(self) -> None:
        """Keep the selected row in sight, and send `Moved`."""
        self._top = self._in_sight(round(self.scroll_y))
        self.refresh()
        self._send_moved()

    def _in_sight(self, top: int) -> int:
        """Scroll to `top`, or as little further as shows the selected row; returns the first row in sight."""
        seen = max(1, self.size.height - self._titled)
        if self.cursor < top:
            heading = self.cursor == 1 and isinstance(self._items[0], Heading)
            top = 0 if heading else self.cursor
        elif self.cursor >= top + seen:
            top = self.cursor - seen + 1
        if top != round(self.scroll_y):
            self.scroll_to(y=top, animate=False)
        return top

    def on_resize(self) -> None:
        """Lay the columns out anew, and scroll back to where the last move left the list."""
        self.virtual_size = Size(self.size.width, len(self._items) + self._titled)
        self.call_after_refresh(self._stand)

    def _stand(self) -> None:
        self._in_sight(self._top)

    def action_step(self, way: int) -> None:
        if self._items:
            self.cursor = self._free(max(0, min(len(self._items) - 1, self.cursor + way)), way)

    def action_leap(self, way: int) -> None:
        self.action_step(way * max(1, self.size.height - 2))

    def action_edge(self, way: int) -> None:
        self.action_step(way * len(self._items))

    def action_choose(self) -> None:
        if self.item is not None:
            self.post_message(self.Chosen(self, self.item))

    def on_click(self, event: events.Click) -> None:
        """Select the clicked row, or open it if it is selected."""
        at = round(self.scroll_y) + event.y - self._titled
        if event.y < self._titled or not 0 <= at < len(self._items) or isinstance(self._items[at], Passed):
            return
        if at == self.cursor:
            self.action_choose()
        else:
            self.cursor = at

    def _widths(self, width: int) -> list[int]:
        spare = width - 1 - sum(column.width for column in self._columns) - len(self._columns)
        open_ended = sum(column.width == 0 for column in self._columns) or 1
        return [column.width or max(6, spare // open_ended) for column in self._columns]

    def _line(self, cells: Sequence[Cell], width: int) -> Line:
        runs: list[Run] = [Run(" ", "ink")]
        for column, room, cell in zip(self._columns, self._widths(width), cells, strict=False):
            if isinstance(cell, str):
                runs.append(Run(fit(cell, room, right=column.right) + " ", "ink"))
            else:
                runs.extend(fitted(cell, room, right=column.right))
                runs.append(Run(" ", "ink"))
        return tuple(runs)

    def render_line(self, y: int) -> Strip:
        named, width = colours(self.app), self.size.width
        if self._titled and y == 0:
            titles: list[Cell] = [(Run(column.title, "quiet"),) for column in self._columns]
            return strip_of(self._line(titles, width), width, named)
        if not self._items:
            words = (self._empty if self._shown else UNREAD) if y == self._titled else ""
            return strip_of((Run(f" {words}", "quiet"),), width, named)
        at = round(self.scroll_y) + y - self._titled
        if at >= len(self._items):
            return strip_of((), width, named)
        item = self._items[at]
        if isinstance(item, Heading):
            return strip_of(heading(item.text, width, item.note), width, named)
        if isinstance(item, Under):
            return strip_of(item.line, width, named)
        line = self._line(self._cells(item), width)
        if at == self.cursor and self.has_focus:
            return strip_of(line, width, named, "cursor", "cursor-ink")
        if at == self.cursor:
            return strip_of((Run("▎", "key"), *line[1:]), width, named)
        return strip_of(line, width, named)


def fitted(cell: Line, room: int, *, right: bool = False) -> list[Run]:
    """Runs, cut or padded to `room` cells."""
    from rich.cells import cell_len  # drawn lines only

    runs, left = [], room
    for run in cell:
        if left <= 0:
            break
        length = cell_len(run.text)
        if length > left:
            run, length = run._replace(text=fit(run.text, left)), left  # noqa: PLW2901
        runs.append(run)
        left -= length
    padding = [Run(" " * left, "ink")] if left > 0 else []
    return [*padding, *runs] if right else [*runs, *padding]
