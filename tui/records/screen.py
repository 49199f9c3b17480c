"""The Records: what the studio knows, in drawers; each record beside its list, entered and corrected here."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from rich.cells import cell_len
from textual import events, on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Input, Static
from textual.worker import get_current_worker

from tui.dialogs.record_form import ask
from tui.drawing.bottle import Run
from tui.drawing.strips import colours, strip_of
from tui.records.card import Said, lines
from tui.records.drawer import Drawer
from tui.records.jobs import Jobs
from tui.records.places import Places
from tui.records.products import Products
from tui.records.recipes import Recipes
from tui.records.sheets import Sheets
from tui.records.studio import StudioDrawer
from tui.records.suppliers import Suppliers
from tui.widgets.books_screen import BooksScreen, words
from tui.widgets.fields import Plain
from tui.widgets.keys import bindings
from tui.widgets.page import Page
from tui.widgets.rows import Heading, Rows

NAMES = ("Products", "Suppliers", "Places", "Jobs", "Recipes", "Studio")


@dataclass(frozen=True, slots=True)
class Records:
    """What is in a drawer."""

    drawer: Drawer[Any]
    items: Sequence[Any]


class DrawerTabs(Widget):
    """The drawers by name, the open one on tape; a click opens one."""

    DEFAULT_CSS = "DrawerTabs { height: 1; background: $ground; }"

    class Pulled(Message):
        """A drawer was clicked."""

        def __init__(self, name: str) -> None:
            super().__init__()
            self.name = name

    opened = NAMES[0]
    deeper = ""

    def show(self, opened: str, deeper: str) -> None:
        """Another drawer is open, or something deeper in it."""
        self.opened, self.deeper = opened, deeper
        self.refresh()

    def _placed(self) -> list[tuple[str, int, int]]:
        placed, at = [], 2
        for name in NAMES:
            placed.append((name, at, at + cell_len(name) + 2))
            at += cell_len(name) + 3
        return placed

    def render_line(self, y: int) -> Strip:
        """One line."""
        del y
        runs = [Run("◂ ", "key", None, True)]
        if self.deeper:
            runs += [Run("Esc", "key", None, True), Run(f" {self.opened}  ", "ink")]
            runs.append(Run(f" {self.deeper} ", "tape-ink", "tape", bold=True))
            return strip_of(runs, self.size.width, colours(self.app))
        for name, _, _ in self._placed():
            here = name == self.opened
            runs += [
                Run(f" {name} ", "tape-ink" if here else "ink", "tape" if here else None, here),
                Run(" ", "ink"),
            ]
        return strip_of([*runs, Run("▸", "key", None, True)], self.size.width, colours(self.app))

    def on_click(self, event: events.Click) -> None:
        """Open the drawer that was clicked; deeper in one, come back."""
        if self.deeper:
            self.post_message(self.Pulled(self.opened))
            return
        placed = self._placed()
        here = NAMES.index(self.opened)
        for name, first, after in [
            (NAMES[here - 1], 0, 2),
            *placed,
            (NAMES[(here + 1) % len(NAMES)], placed[-1][2], 99),
        ]:
            if first <= event.x < after:
                self.post_message(self.Pulled(name))
                return


class Listed(Rows[Any]):
    """The records of a drawer; to the left and right are the other drawers."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "screen.pull(-1)", "Drawer before", show=False),
        Binding("right", "screen.pull(1)", "Next drawer", show=False),
    ]


class RecordsScreen(BooksScreen[Records]):
    """Drawers, the list of the open one, and the record under the hand."""

    CSS_PATH = "records.tcss"
    ABOUT = (
        "What the studio knows: products with their sheets, suppliers, places, jobs, recipes, and the settings. "
        "◂ ▸ or a click open another drawer; the record under the hand stands beside the list. n enters a new one, "
        "e or Enter corrects it. What nobody has noted is treated as the worse case, and said so."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings("records"),
        Binding("pageup", "scroll(-1)", "Record up", show=False, priority=True),
        Binding("pagedown", "scroll(1)", "Record down", show=False, priority=True),
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
        self._drawer: Drawer[Any] = Products()
        self._wanted: Any = None
        self._card: Any = ()
        self._stood: set[Any] | None = None

    def furniture(self) -> ComposeResult:
        """The drawers, the find box, the list, the record."""
        yield DrawerTabs(id="labels")
        with Horizontal(id="findbar"):
            yield Static(words("/"), id="slash")
            find = Input(id="find", placeholder="find by a few letters", highlighter=Plain())
            find.cursor_blink = False
            yield find
        with Horizontal(id="open"):
            yield Listed(self._drawer.NARROW, self._cells, key=self._ident, id="list")
            yield Page(id="card")

    def on_mount(self) -> None:
        """The hand starts on the list."""
        self._label()
        self.query_one(Listed).focus()

    def _label(self) -> None:
        drawer = self._drawer
        deeper = f"Sheets of {drawer.product}" if isinstance(drawer, Sheets) else ""
        self.query_one(DrawerTabs).show("Products" if deeper else drawer.NAME, deeper)

    def resting(self) -> Widget:
        """The list."""
        return self.query_one(Listed)

    def read_books(self) -> Records:
        """What is in the open drawer."""
        drawer = self._drawer
        return Records(drawer, drawer.read())

    def draw(self, books: Records) -> None:
        """List what fits the letters looked for."""
        if books.drawer is not self._drawer:
            return
        letters = self.query_one("#find", Input).value.casefold().split()
        rows = self.query_one(Listed)
        fitting = [
            item for item in books.items
            if (isinstance(item, Heading) and not letters)
            or (not isinstance(item, Heading)
                and all(part in self._drawer.letters(item).casefold() for part in letters))
        ]  # fmt: skip
        rows.columns_for(self._drawer.WIDE if self._wide else self._drawer.NARROW)
        rows.show(fitting, empty="Nothing fits." if letters and books.items else "Nothing yet.")
        if self._wanted is not None and rows.go_to(self._wanted):
            self._wanted = None
        if self._stood is not None:
            fresh = [one for one in map(self._ident, self._records()) if one not in self._stood]
            self._stood = None
            if fresh:
                rows.go_to(fresh[0])
        if rows.item is None:
            self._card = () if books.items else (Said(self._drawer.EMPTY),)
            self._show_card()
        self.refresh_bindings()

    @property
    def _wide(self) -> bool:
        return self.app.size.width >= 100

    @property
    def in_hand(self) -> Any:
        """The record under the hand."""
        return self.query_one(Listed).item if self.is_mounted else None

    def _cells(self, item: Any) -> Sequence[Any]:
        return self._drawer.cells(item, self._wide)

    def _ident(self, item: Any) -> Any:
        return self._drawer.ident(item)

    def take(self, in_hand: tuple[str, Any]) -> None:
        """A drawer's name, and what tells the record from others that the hand goes to."""
        self.open(*in_hand)

    def open(self, name: str, ident: Any = None) -> None:
        """Open a drawer, with the hand on one record if it is there."""
        made: dict[str, Any] = {
            "Products": Products, "Suppliers": Suppliers, "Places": Places, "Jobs": Jobs, "Recipes": Recipes,
        }  # fmt: skip
        self._turn(StudioDrawer(self.app) if name == "Studio" else made[name](), ident)

    def _turn(self, drawer: Drawer[Any], ident: Any = None) -> None:
        if self.is_mounted:
            self.query_one(Listed).show([], empty="Reading the books …")
        self._drawer, self._wanted, self.books = drawer, ident, None
        self._card = ()
        if self.is_mounted:
            self.query_one("#find", Input).value = ""
            self._label()
            self._show_card()
            self.query_one(Listed).focus()
            self.reload()

    @on(DrawerTabs.Pulled)
    def _pulled(self, message: DrawerTabs.Pulled) -> None:
        self.open(message.name, self._product())

    def _product(self) -> Any:
        return self._drawer.ident_of if isinstance(self._drawer, Sheets) else None

    def action_pull(self, way: int) -> None:
        """The next drawer or the one before."""
        here = "Products" if isinstance(self._drawer, Sheets) else self._drawer.NAME
        self.open(NAMES[(NAMES.index(here) + way) % len(NAMES)])

    def action_step_back(self) -> None:
        """Out of the find box; out of the sheets, back to their product."""
        find = self.query_one("#find", Input)
        if find.has_focus:
            self.query_one(Listed).focus()
        elif find.value:
            find.value = ""
        elif isinstance(self._drawer, Sheets):
            self.open("Products", self._product())

    def action_find(self) -> None:
        """Into the find box."""
        self.query_one("#find", Input).focus()

    @on(Input.Changed, "#find")
    def _typed(self) -> None:
        if self.books is not None:
            self.draw(self.books)

    @on(Input.Submitted, "#find")
    def _found(self, event: Input.Submitted) -> None:
        """The records; a bottle's label leads to the bottle."""
        self.query_one(Listed).focus()
        self.go_by_label(event.input)

    @on(Rows.Moved)
    def _moved(self, message: Rows.Moved) -> None:
        self.refresh_bindings()
        if self.shell.books_open and message.item is self.in_hand:  # not what lay in the drawer before
            self._look(self._drawer, message.item)

    @work(thread=True, exclusive=True, group="card", exit_on_error=False)
    def _look(self, drawer: Drawer[Any], item: Any) -> None:
        from stock.store.connection import connection, reading

        with connection(), reading():
            card = drawer.card(item)
        if not get_current_worker().is_cancelled:
            self.post_message(self.CardRead(drawer.ident(item), card))

    @on(CardRead)
    def _card_read(self, message: CardRead) -> None:
        message.stop()
        if self.in_hand is not None and self._drawer.ident(self.in_hand) == message.ident:
            self._card = message.card
            self._show_card()

    def _show_card(self) -> None:
        page = self.query_one(Page)
        page.show(lines(self._card, page.size.width - 1))
        page.scroll_home(animate=False)

    def on_resize(self) -> None:
        """Lines follow the width."""
        super().on_resize()
        self.query_one(Listed).columns_for(self._drawer.WIDE if self._wide else self._drawer.NARROW)
        self.call_after_refresh(self._show_card)

    def action_scroll(self, way: int) -> None:
        """More of the record."""
        page = self.query_one(Page)
        page.scroll_relative(y=way * max(1, page.size.height - 2), animate=False)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """What means nothing in this drawer is left out; what can't be done now is shown in brackets."""
        del parameters
        if action not in ("new", "correct", "sheets", "discontinue", "close", "bottles", "mix"):
            return True
        if action not in self._drawer.CAN:
            return False
        return True if self._drawer.may(action, self.in_hand) else None

    @on(Rows.Chosen)
    def _chosen(self) -> None:
        self.action_correct()

    def action_new(self) -> None:
        """A new record; the hand is on it once it is entered."""
        ask(self, self._drawer.new(self.in_hand), self._entered)

    def _entered(self, said: str | None) -> None:
        if said:
            self._stood = set(map(self._ident, self._records()))
            self.query_one("#find", Input).value = ""
            self._done(said)

    def _records(self) -> list[Any]:
        """What is in the drawer, without headings."""
        items = self.books.items if self.books is not None else ()
        return [item for item in items if not isinstance(item, Heading)]

    def action_correct(self) -> None:
        """The record under the hand is put right."""
        opening = self._drawer.correct(self.in_hand) if self.in_hand is not None else None
        if opening is not None:
            ask(self, opening, self._done)

    def action_sheets(self) -> None:
        """Deeper: the sheets of the product under the hand."""
        if self.in_hand is not None:
            self._turn(Sheets(self.in_hand.name, self.in_hand.id))

    def action_discontinue(self) -> None:
        """It is no longer made, or is made after all."""
        self._end()

    def action_close(self) -> None:
        """The job is done, or goes on."""
        self._end()

    def _end(self) -> None:
        if self.in_hand is not None:
            self.app.push_screen(self._drawer.end(self.in_hand), self._done)

    def action_bottles(self) -> None:
        """Its bottles on the Shelf."""
        if self.in_hand is not None:
            self.shell.go("shelf", self.in_hand.name)

    def action_mix(self) -> None:
        """To the Bench."""
        from tui.dialogs.typed_mix import RECIPE

        if self.in_hand is not None:
            before = RECIPE if isinstance(self._drawer, Recipes) else ""
            self.shell.go("bench", f"{before}{self.in_hand.name}")

    def _done(self, said: str | None) -> None:
        """Say what was done, and read the drawer anew."""
        if said:
            self.shell.say(said)
            self.shell.know_again()
            self.reload()
