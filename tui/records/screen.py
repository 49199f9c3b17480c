"""The Records: products, suppliers, places, substances, jobs, recipes and settings, to read, enter and correct."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input, Static
from textual.worker import get_current_worker

from stock.language import _
from tui.dialogs.record_form import ask
from tui.records.jobs import Jobs
from tui.records.kind_tabs import NAMES, KindTabs
from tui.records.lines import Lines
from tui.records.places import Places
from tui.records.products import Products
from tui.records.recipes import Recipes
from tui.records.record_card import CardSentence, lines
from tui.records.record_kind import RecordKind
from tui.records.sheets import Sheets
from tui.records.studio import StudioSettings
from tui.records.substances import Substances
from tui.records.suppliers import Suppliers
from tui.widgets.books_screen import BooksScreen, words
from tui.widgets.fields import Plain
from tui.widgets.keys import bindings
from tui.widgets.page import Page
from tui.widgets.rows import Heading, Rows

OF_KIND = ("like", "mark", "fill", "delete")
"""Actions that only one kind of record has."""


@dataclass(frozen=True, slots=True)
class RecordsBooks:
    """The records of the open tab."""

    kind: RecordKind[Any]
    items: Sequence[Any]


class RecordRows(Rows[Any]):
    """The records of a tab; left and right open the other tabs."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "screen.pull(-1)", _("Tab before"), show=False),
        Binding("right", "screen.pull(1)", _("Next tab"), show=False),
    ]


class RecordsScreen(BooksScreen[RecordsBooks]):
    """Tabs, the records of the open tab, and the selected record."""

    CSS_PATH = "records.tcss"
    ABOUT = _(
        "Products with their sheets, lines, suppliers, places, substances, jobs, recipes, and "
        "the settings. ◂ ▸ or a click opens another tab; the selected record is shown beside the "
        "list. n enters a new record, e or Enter corrects one. What nobody has noted is treated "
        "as the worse case, and the record says so."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings("records"),
        Binding("pageup", "scroll(-1)", _("Record up"), show=False, priority=True),
        Binding("pagedown", "scroll(1)", _("Record down"), show=False, priority=True),
    ]

    class CardRead(Message):
        """A record was read."""

        def __init__(self, ident: Any, card: Any) -> None:
            super().__init__()
            self.ident = ident
            self.card = card

        def can_replace(self, message: Message) -> bool:
            """Only the newest is shown."""
            return isinstance(message, RecordsScreen.CardRead)

    def __init__(self) -> None:
        super().__init__()
        self._kind: RecordKind[Any] = Products()
        self._to_select: Any = None
        self._card: Any = ()
        self._before_entry: set[Any] | None = None

    def furniture(self) -> ComposeResult:
        """The tabs, the find box, the list, the record."""
        yield KindTabs(id="labels")
        with Horizontal(id="findbar"):
            yield Static(words("/"), id="slash")
            find = Input(id="find", placeholder=_("find by a few letters"), highlighter=Plain())
            find.cursor_blink = False
            yield find
        with Horizontal(id="open"):
            yield RecordRows(self._kind.NARROW, self._cells, key=self._ident, id="list")
            yield Page(id="card")

    def on_mount(self) -> None:
        self._label()
        self.query_one(RecordRows).focus()

    def _label(self) -> None:
        kind = self._kind
        deeper = _("Sheets of {product}", product=kind.product) if isinstance(kind, Sheets) else ""
        self.query_one(KindTabs).show(_("Products") if deeper else kind.NAME, deeper)

    def default_focus(self) -> Widget:
        return self.query_one(RecordRows)

    def read_books(self) -> RecordsBooks:
        """The records of the open tab."""
        kind = self._kind
        return RecordsBooks(kind, kind.read())

    def draw(self, books: RecordsBooks) -> None:
        """List the records that match the find box."""
        if books.kind is not self._kind:
            return
        letters = self.query_one("#find", Input).value.casefold().split()
        rows = self.query_one(RecordRows)
        fitting = [
            item for item in books.items
            if (isinstance(item, Heading) and not letters)
            or (not isinstance(item, Heading)
                and all(part in self._kind.letters(item).casefold() for part in letters))
        ]  # fmt: skip
        rows.columns_for(self._kind.WIDE if self._wide else self._kind.NARROW)
        rows.show(fitting, empty=_("Nothing matches.") if letters and books.items else _("Nothing yet."))
        if self._to_select is not None and rows.go_to(self._to_select):
            self._to_select = None
        if self._before_entry is not None:
            fresh = [one for one in map(self._ident, self._records()) if one not in self._before_entry]
            self._before_entry = None
            if fresh:
                rows.go_to(fresh[0])
        if rows.item is None:
            self._card = () if books.items else (CardSentence(self._kind.EMPTY),)
            self._show_card()
        self.refresh_bindings()

    @property
    def _wide(self) -> bool:
        return self.app.size.width >= 100

    @property
    def in_hand(self) -> Any:
        return self.query_one(RecordRows).item if self.is_mounted else None

    def _cells(self, item: Any) -> Sequence[Any]:
        return self._kind.cells(item, self._wide)

    def _ident(self, item: Any) -> Any:
        return self._kind.ident(item)

    def take(self, in_hand: tuple[str, Any]) -> None:
        """Open a tab by its name, and select the record with that identity."""
        self.open(*in_hand)

    def open(self, name: str, ident: Any = None) -> None:
        """Open a tab, and select one record if it is there."""
        kinds: Any = (Products, Lines, Suppliers, Places, Substances, Jobs, Recipes)
        made = {kind.NAME: kind for kind in kinds}
        self._turn(StudioSettings(self.app) if name == StudioSettings.NAME else made[name](), ident)

    def _turn(self, kind: RecordKind[Any], ident: Any = None) -> None:
        if self.is_mounted:
            self.query_one(RecordRows).show([], empty=_("Reading the books …"))
        self._kind, self._to_select, self.books = kind, ident, None
        self._card = ()
        if self.is_mounted:
            self.query_one("#find", Input).value = ""
            self._label()
            self._show_card()
            self.query_one(RecordRows).focus()
            self.reload()

    @on(KindTabs.KindChosen)
    def _pulled(self, message: KindTabs.KindChosen) -> None:
        self.open(message.name, self._product())

    def _product(self) -> Any:
        return self._kind.ident_of if isinstance(self._kind, Sheets) else None

    def action_pull(self, way: int) -> None:
        """Open the next tab, or the previous one."""
        here = _("Products") if isinstance(self._kind, Sheets) else self._kind.NAME
        self.open(NAMES[(NAMES.index(here) + way) % len(NAMES)])

    def action_step_back(self) -> None:
        """Leave the find box, or go from the sheets back to their product."""
        find = self.query_one("#find", Input)
        if find.has_focus:
            self.query_one(RecordRows).focus()
        elif find.value:
            find.value = ""
        elif isinstance(self._kind, Sheets):
            self.open(_("Products"), self._product())

    def action_find(self) -> None:
        """Focus the find box."""
        self.query_one("#find", Input).focus()

    @on(Input.Changed, "#find")
    def _typed(self) -> None:
        if self.books is not None:
            self.draw(self.books)

    @on(Input.Submitted, "#find")
    def _found(self, event: Input.Submitted) -> None:
        """Go to the records; a bottle's label goes to the bottle."""
        self.query_one(RecordRows).focus()
        self.go_by_label(event.input)

    @on(Rows.Moved)
    def _moved(self, message: Rows.Moved) -> None:
        self.refresh_bindings()
        if self.shell.books_open and message.item is self.in_hand:  # not a record of the previous tab
            self._look(self._kind, message.item)

    @work(thread=True, exclusive=True, group="card", exit_on_error=False)
    def _look(self, kind: RecordKind[Any], item: Any) -> None:
        from stock.store.connection import connection, reading

        with connection(), reading():
            card = kind.card(item)
        if not get_current_worker().is_cancelled:
            self.post_message(self.CardRead(kind.ident(item), card))

    @on(CardRead)
    def _card_read(self, message: CardRead) -> None:
        message.stop()
        if self.in_hand is not None and self._kind.ident(self.in_hand) == message.ident:
            self._card = message.card
            self._show_card()

    @on(Page.Resized)
    def _show_card(self) -> None:
        page = self.query_one(Page)
        page.show(lines(self._card, page.size.width - 1))
        page.scroll_home(animate=False)

    def on_resize(self) -> None:
        """Draw the list for the new width."""
        super().on_resize()
        self.query_one(RecordRows).columns_for(self._kind.WIDE if self._wide else self._kind.NARROW)

    def action_scroll(self, way: int) -> None:
        """Scroll the record by a page."""
        page = self.query_one(Page)
        page.scroll_relative(y=way * max(1, page.size.height - 2), animate=False)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """False for an action that this tab doesn't have, None for one that can't be done now (shown in brackets)."""
        del parameters
        if action not in (
            "new",
            "correct",
            "sheets",
            "read",
            "discontinue",
            "close",
            "bottles",
            "mix",
            *OF_KIND,
        ):
            return True
        if action not in self._kind.CAN:
            return False
        return True if self._kind.may(action, self.in_hand) else None

    @on(Rows.Chosen)
    def _chosen(self) -> None:
        self.action_correct()

    def action_new(self) -> None:
        """Enter a new record, and select it afterwards."""
        ask(self, self._kind.new(self.in_hand), self._entered)

    def _entered(self, text: str | None) -> None:
        if text:
            self._before_entry = set(map(self._ident, self._records()))
            self.query_one("#find", Input).value = ""
            self._done(text)

    def _records(self) -> list[Any]:
        """The records of the open tab, without headings."""
        items = self.books.items if self.books is not None else ()
        return [item for item in items if not isinstance(item, Heading)]

    def action_correct(self) -> None:
        """Correct the selected record."""
        opening = self._kind.correct(self.in_hand) if self.in_hand is not None else None
        if opening is not None:
            ask(self, opening, self._done)

    def action_like(self) -> None:
        """Enter a product like the selected one."""
        if self.in_hand is not None:
            ask(self, self._kind.like(self.in_hand), self._entered)

    def action_mark(self) -> None:
        """Mark the selected product, or take its mark away, and go on to the next."""
        if self.in_hand is not None:
            self._kind.mark(self.in_hand)
            rows = self.query_one(RecordRows)
            rows.action_step(1)
            rows.refresh()

    def action_fill(self) -> None:
        """Enter many products of the selected line."""
        from tui.dialogs.line_form import opening

        if self.in_hand is not None:
            ask(self, opening(self.in_hand.name), self._done)

    def action_sheets(self) -> None:
        """Show the sheets of the selected product."""
        if self.in_hand is not None:
            self._turn(Sheets(self.in_hand.name, self.in_hand.id))

    def action_read(self) -> None:
        """Read figures of the selected product or line from a data sheet's file."""
        from tui.records.sheet_reading import Whose, read_sheet

        name = self._kind.product if isinstance(self._kind, Sheets) else self.in_hand.name
        read_sheet(self.app, Whose(name, is_line=isinstance(self._kind, Lines)), self._done)

    def action_discontinue(self) -> None:
        """Discontinue the selected product, or reverse that."""
        self._end()

    def action_close(self) -> None:
        """Close the selected job, or open it again."""
        self._end()

    def _end(self) -> None:
        if self.in_hand is not None:
            self.app.push_screen(self._kind.end(self.in_hand), self._done)

    def action_delete(self) -> None:
        """Delete the selected product, which nothing uses."""
        if self.in_hand is not None:
            self.app.push_screen(self._kind.delete(self.in_hand), self._done)

    def action_bottles(self) -> None:
        """Show its bottles on the Shelf."""
        if self.in_hand is not None:
            self.shell.go("shelf", self.in_hand.name)

    def action_mix(self) -> None:
        """Take it to the Bench."""
        from tui.dialogs.typed_mix import RECIPE

        if self.in_hand is not None:
            before = RECIPE if isinstance(self._kind, Recipes) else ""
            self.shell.go("bench", f"{before}{self.in_hand.name}")

    def _done(self, text: str | None) -> None:
        """Say what was done, and read the records again."""
        if text:
            self.shell.announce(text)
            self.shell.know_again()
            self.reload()
