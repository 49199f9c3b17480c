"""Today: what to order, what not to use, what was just done, and the usual mixes."""

from collections.abc import Iterator
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widget import Widget

from stock.language import _
from stock.named_tuples import NamedTuple
from tui.today.books import TodayBooks
from tui.widgets.books_screen import BooksScreen
from tui.widgets.keys import bindings
from tui.widgets.rows import Cell, ListColumn, Rows

COLUMNS = (ListColumn("", 11), ListColumn(""), ListColumn("", 13, right=True))


COUNT_DOWN_EVERY = 20.0
"""Seconds after which what is left of a pot life is shown anew."""


class Item(NamedTuple):
    """One line of Today: what it shows, and what Enter does with it."""

    key: str
    cells: tuple[Cell, ...]
    act: str = ""
    about: Any = None


class TodayScreen(BooksScreen[TodayBooks]):
    """Four short lists; side by side where there is room, with the bottles in use beneath."""

    CSS_PATH = "today.tcss"
    ABOUT = _(
        "What to order, what not to use, the usual mixes, and what was just done. Enter acts on "
        "the selected line. m shows the most usual mix, and Enter then books it."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings("today"),
        Binding("tab", "other", _("Other side"), show=False),
    ]

    def furniture(self) -> ComposeResult:
        """Two lists and a board; only one list where there is little room."""
        from tui.today.low_shelf import LowShelf

        with Horizontal(id="lists"):
            yield Rows(
                COLUMNS,
                lambda item: item.cells,
                key=lambda item: item.key,
                empty="",
                id="left",
            )
            yield Rows(COLUMNS, lambda item: item.cells, key=lambda item: item.key, empty="", id="right")
        yield LowShelf(id="low")

    def on_mount(self) -> None:
        """Focus the first list, and count pot lives down."""
        self.query_one("#left").focus()
        self.set_interval(COUNT_DOWN_EVERY, self._count_down)

    def default_focus(self) -> Widget:
        return self.query_one("#left")

    def readings(self) -> Iterator[TodayBooks]:
        """Read in two steps the first time, because the forecast takes longer than everything else."""
        from tui.today.reading import readings

        ahead = self.shell.take_ahead()
        for books in readings(self.shell.as_of, foresee=ahead.answer if ahead is not None else lambda: None):
            if books.forecast or self.books is None:
                yield books

    def draw(self, books: TodayBooks) -> None:
        """Draw the lists for this size; an empty studio gets the guide to its first bottle."""
        self._arrange()
        if books.empty and self.app.screen is self:
            self.shell.guide()

    def _count_down(self) -> None:
        if self.books is not None and self.books.day.two_part:
            self._arrange()

    def on_resize(self) -> None:
        """One list or two."""
        super().on_resize()
        if self.books is not None:
            self.call_after_refresh(self._arrange)

    def _arrange(self) -> None:
        from tui.today import lists
        from tui.today.low_shelf import LowShelf, bottles_in_use

        books = self.books
        if books is None:
            return
        wide = self.app.size.width >= 116
        tall = self.app.size.height >= 32
        board = self.query_one(LowShelf)
        board.display = tall
        if tall:
            board.show(bottles_in_use(books.day, books.bottles), self.shell.the_day)
        room = self.app.size.height - 3 - (board.ROWS + 1 if tall else 0)
        left, right = self.query_one("#left", Rows), self.query_one("#right", Rows)
        right.display = wide
        if wide:
            left.show(lists.left_side(books, room))
            right.show(lists.right_side(books, right.size.width or self.app.size.width // 2))
        else:
            left.show(lists.one_list(books, room))
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for "Mix again" without a usual mix."""
        del parameters
        if action == "again":
            return True if self.books is not None and self.books.day.usual else None
        return True

    @on(Rows.Chosen)
    def _chosen(self, message: Rows.Chosen) -> None:
        self._act(message.item)

    def _act(self, item: Item) -> None:
        if item.act == "mix":
            self._again(item.about)
        elif item.act == "bottle":
            self.shell.go("shelf", item.about)
        elif item.act:
            self.app.switch_mode(item.act)

    def action_act(self) -> None:
        """Act on the selected line; the lists handle Enter themselves, this shows it in the strip of keys."""
        for rows in self.query(Rows):
            if rows.has_focus and rows.item is not None:
                self._act(rows.item)

    def action_other(self) -> None:
        """Focus the other list."""
        left, right = self.query_one("#left", Rows), self.query_one("#right", Rows)
        (right if left.has_focus and right.display else left).focus()

    def action_again(self) -> None:
        """Show the most usual mix to book it again."""
        if self.books is not None and self.books.day.usual:
            self._again(self.books.day.usual[0].request)

    def action_yesterdays(self) -> None:
        """Show the mixes of yesterday, or of the last day before today, to repeat one."""
        from tui.dialogs.yesterdays import Yesterdays

        self.app.push_screen(Yesterdays(self.shell.the_day), self._repeat)

    def _repeat(self, request: Any) -> None:
        if request is not None:
            self._again(request)

    def _again(self, request: Any) -> None:
        from tui.dialogs.mix_again import Again

        self.app.push_screen(Again(request), self._done)

    def action_new_mix(self) -> None:
        """Go to the Bench."""
        self.app.switch_mode("bench")

    def action_receive(self) -> None:
        """Ask for a delivery."""
        from tui.dialogs.delivery import Receive

        self.app.push_screen(Receive(), self._done)

    def action_wash(self) -> None:
        """Ask for a wash."""
        from tui.dialogs.washing import WashOut

        self.app.push_screen(WashOut(None), self._done)

    def _done(self, text: str | None) -> None:
        if text:
            self.shell.announce(text)
            self.reload()
