"""The Shelf: every bottle drawn, and what can be done with the selected one."""

from dataclasses import dataclass
from datetime import date
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Input, Static

from stock.cautions.facts import Finding
from stock.language import _
from tui.drawing.boards import WAYS, MarkedBottle, found, ordered, worst
from tui.drawing.bottle import small
from tui.drawing.figures import count, ml, short_day
from tui.drawing.strips import inks
from tui.shelf.boards import Boards
from tui.shelf.detail import BottlePane, one_line
from tui.widgets.books_screen import BooksScreen, show_text, words
from tui.widgets.fields import Plain
from tui.widgets.keys import bindings
from tui.widgets.rows import ListColumn, Rows

COLUMNS = (
    ListColumn("", 9), ListColumn(_("product")), ListColumn(_("bottle"), 7), ListColumn(_("on hand"), 12, right=True),
    ListColumn(_("state"), 18), ListColumn(_("good until"), 12), ListColumn(_("place"), 16),
)  # fmt: skip
NARROW = (*COLUMNS[:4], ListColumn(_("state"), 16))


@dataclass(frozen=True, slots=True)
class ShelfBooks:
    """What the Shelf shows."""

    today: date
    bottles: tuple[MarkedBottle, ...]
    findings: dict[int, tuple[Finding, ...]]
    places: tuple[str, ...]


class ShelfScreen(BooksScreen[ShelfBooks]):
    """Bottles on boards, a find box above them, and the selected bottle beside or below."""

    CSS_PATH = "shelf.tcss"
    ABOUT = _(
        "Every bottle in the studio, drawn with its own paint and its level. One with a cap is "
        "sealed, one with a bare neck is open. ✕ marks what must not be used, ! what needs a "
        "look. Select one with the arrows or the mouse."
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings("shelf")

    def __init__(self) -> None:
        super().__init__()
        self._way = WAYS[0]
        self._listed = False
        self._empties = False
        self._to_select: int | None = None
        self._letters: str | None = None

    def furniture(self) -> ComposeResult:
        """The find box, the boards or the list, the selected bottle."""
        with Horizontal(id="findbar"):
            yield Static(words("/"), id="slash")
            find = Input(id="find", placeholder=_("find a paint, place or label"), highlighter=Plain())
            find.cursor_blink = False
            yield find
            yield Static(id="shown")
        with Horizontal(id="stand"):
            yield Boards(id="boards")
            yield Rows(NARROW, self._cells, key=lambda one: one.view.id, id="list")
            yield BottlePane(id="detail")
        yield Static(id="hand")

    def on_mount(self) -> None:
        self.query_one("#list").display = False
        self.query_one(Boards).focus()

    def read_books(self) -> ShelfBooks:
        """The bottles, their cautions and the places."""
        from stock.cautions import books  # read in a thread, after the first frame
        from stock.cautions.findings import by_bottle, findings
        from stock.shelf import places
        from stock.shelf.bottles import on_shelf

        as_of = self.shell.as_of
        bottles = on_shelf(as_of)
        facts = books.facts(as_of, bottles)
        about = by_bottle(findings(facts, self.shell.the_day), facts.bottles)
        severities = {bottle: [one.grade for one in mine] for bottle, mine in about.items()}
        return ShelfBooks(
            self.shell.the_day,
            tuple(MarkedBottle(view, worst(severities, view.id)) for view in bottles),
            {bottle: tuple(mine) for bottle, mine in about.items()},
            tuple(place.name for place in places.everything()),
        )

    def draw(self, books: ShelfBooks) -> None:
        """Show the bottles that match the find box."""
        find = self.query_one("#find", Input)
        if self._letters is not None:
            find.value, self._letters = self._letters, None
        letters = find.value
        present = [one for one in books.bottles if self._empties or not one.view.gone]
        fitting = found(present, letters)
        if not present:
            empty = _("There is no bottle yet: press r to receive the first one.")
        else:
            empty = _("No bottle matches {letters!r}.", letters=letters)
        self.query_one(Boards).show(fitting, books.today, self._way, empty)
        self.query_one(Rows).show(ordered(fitting, self._way), empty=empty)
        many = count(len(fitting), "bottle")
        note = (
            _("{many} by {way}", many=many, way=_(self._way))
            if len(fitting) == len(present)
            else _("{many} of {present}", many=many, present=len(present))
        )
        show_text(self.query_one("#shown", Static), note)
        if self._to_select is not None:
            self.take(self._to_select)
        if not fitting:
            self._show_hand(None)

    def take(self, in_hand: int | str) -> None:
        """Select a bottle by its number, or find by letters; now or as soon as the books are read."""
        if isinstance(in_hand, str):
            self.look_for(in_hand)
        else:
            self._take_bottle(in_hand)

    def _take_bottle(self, bottle: int) -> None:
        self._to_select = bottle
        if self.books is None:
            return
        self._to_select = None
        one = next((one for one in self.books.bottles if one.view.id == bottle), None)
        if one is not None and not self.query_one(Rows).go_to(bottle):
            self._empties = self._empties or one.view.gone
            self.look_for("")
        self.query_one(Boards).hand = bottle
        self.query_one(Rows).go_to(bottle)

    def look_for(self, letters: str) -> None:
        """Show only what matches these letters, now or as soon as the books are read."""
        self._letters = letters
        if self.books is not None:
            self.draw(self.books)

    @property
    def in_hand(self) -> MarkedBottle | None:
        """The selected bottle, in either view."""
        return self.query_one(Rows).item if self._listed else self.query_one(Boards).in_hand

    def default_focus(self) -> Widget:
        """The boards, or the list."""
        return self.query_one("#list" if self._listed else "#boards")

    def action_step_back(self) -> None:
        """Leave the find box; a second time, show everything again."""
        find = self.query_one("#find", Input)
        if not find.has_focus:
            find.value = ""
        self.default_focus().focus()

    def _cells(self, one: MarkedBottle) -> tuple[Any, ...]:
        view = one.view
        state = (
            _("open {opened_on}", opened_on=short_day(view.opened_on))
            if view.opened_on and view.state == "open"
            else _(view.state)
        )
        return (
            small(one.drawn, inks(self.app)), view.product, view.label,
            f"{ml(view.on_hand_ul)}/{ml(view.size_ul)} ml", state,
            _("perhaps over") if view.perhaps_over else short_day(view.good_until), view.place or "-",
        )  # fmt: skip

    def on_resize(self) -> None:
        """Show more columns where there is room."""
        super().on_resize()
        self.query_one(Rows).columns_for(COLUMNS if self.app.size.width >= 100 else NARROW)

    @on(Boards.Moved)
    @on(Rows.Moved)
    def _moved(self) -> None:
        self._show_hand(self.in_hand)

    def _show_hand(self, one: MarkedBottle | None) -> None:
        today = self.shell.the_day
        findings = self.books.findings if self.books else {}
        mine = findings.get(one.view.id, ()) if one else ()
        self.query_one(BottlePane).show(one, today, mine)
        show_text(self.query_one("#hand", Static), "\n".join(one_line(one, today, mine)) if one else "\n")
        self.refresh_bindings()

    @on(Input.Changed, "#find")
    def _typed(self) -> None:
        if self.books is not None:
            self.draw(self.books)

    @on(Input.Submitted, "#find")
    def _found(self, event: Input.Submitted) -> None:
        """Go to the boards; a bottle's label, as a scanner types it, selects the bottle and opens its sheet."""
        label = event.value.strip().casefold()
        bottles = self.books.bottles if self.books else ()
        one = next((one for one in bottles if one.view.label.casefold() == label), None)
        self.default_focus().focus()
        if one is not None:
            event.input.value = ""
            self.take(one.view.id)
            self._open(one)

    def _open(self, one: MarkedBottle) -> None:
        from tui.shelf.detail import BottleSheet

        mine = self.books.findings.get(one.view.id, ()) if self.books else ()
        self.app.push_screen(BottleSheet(one, self.shell.the_day, mine), self._sheet_left)

    def _sheet_left(self, weigh: bool | None) -> None:
        if weigh and self.check_action("weigh", ()):
            self.action_weigh()

    @on(Boards.Chosen)
    @on(Rows.Chosen)
    def _chosen(self) -> None:
        if self.in_hand is not None:
            self._open(self.in_hand)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for an action that can't be done with the selected bottle; its key is shown in brackets."""
        del parameters
        if action not in ("open", "count", "weigh", "move", "decant", "discard", "mix", "freeze", "record"):
            return True
        one = self.in_hand if self.is_mounted else None
        if action == "record":
            return True if one is not None else None
        if one is None or one.view.state == "discarded":
            return None
        if action == "freeze":
            return True if one.view.frozen_on is None else None
        if action == "open":
            return True if one.view.state == "sealed" else None
        if action in ("decant", "mix") and one.view.on_hand_ul == 0:
            return None
        return True

    def action_find(self) -> None:
        """Focus the find box."""
        self.query_one("#find", Input).focus()

    def action_group(self) -> None:
        """Group the bottles in the next way."""
        self._way = WAYS[(WAYS.index(self._way) + 1) % len(WAYS)]
        if self.books is not None:
            self.draw(self.books)

    def action_view(self) -> None:
        """Switch between drawn bottles and a list."""
        one = self.in_hand
        self._listed = not self._listed
        self.query_one(Boards).display = not self._listed
        self.query_one(Rows).display = self._listed
        if one is not None:
            self.take(one.view.id)
        self.default_focus().focus()

    def action_empties(self) -> None:
        """Show or hide empty and discarded bottles."""
        self._empties = not self._empties
        if self.books is not None:
            self.draw(self.books)

    def action_receive(self) -> None:
        """Ask for a delivery."""
        from tui.dialogs.delivery import Receive

        view = self.in_hand.view if self.in_hand else None
        self._ask(Receive(view.product, view.place or "") if view else Receive())

    def action_open(self) -> None:
        """Note that the selected bottle was opened."""
        from tui.dialogs.bottles import Opened

        self._with_hand(Opened)

    def action_count(self) -> None:
        """Count the selected bottle."""
        from tui.dialogs.bottle_counts import CountBottle

        self._with_hand(CountBottle)

    def action_weigh(self) -> None:
        """Count the selected bottle, and further ones, on the scale."""
        from tui.dialogs.weigh_bottle import WeighBottle

        self._with_hand(lambda one: WeighBottle(one.view.label))

    def action_spill(self) -> None:
        """Book what was spilled from the selected bottle."""
        from tui.dialogs.bottle_counts import Spill

        self._with_hand(Spill)

    def action_move(self) -> None:
        """Move the selected bottle."""
        from tui.dialogs.bottles import MoveBottle

        places = self.books.places if self.books else ()
        self._with_hand(lambda one: MoveBottle(one, places))

    def action_decant(self) -> None:
        """Decant some of the selected bottle into another container."""
        from tui.dialogs.bottles import Decant

        bottles = self.books.bottles if self.books else ()
        self._with_hand(
            lambda one: Decant(
                one,
                [
                    each.view.label
                    for each in bottles
                    if each.view.product_id == one.view.product_id
                    and each.view.id != one.view.id
                    and each.view.state != "discarded"
                ],
            )
        )

    def action_discard(self) -> None:
        """Discard the selected bottle."""
        from tui.dialogs.bottles import Discard

        self._with_hand(Discard)

    def action_freeze(self) -> None:
        """Note that the selected bottle froze."""
        from tui.dialogs import bottles

        self._with_hand(bottles.freezing)

    def action_facts(self) -> None:
        """Note what the label of the selected bottle says, what it is made of and whose it is."""
        from tui.dialogs.bottles import NotedFacts

        self._with_hand(NotedFacts)

    def action_labels(self) -> None:
        from tui.shelf.labels import PrintLabels

        self._ask(PrintLabels(self.shell.address, self.in_hand.view.label if self.in_hand else None))

    def action_record(self) -> None:
        """Go to its product's record."""
        if self.in_hand is not None:
            self.shell.go("records", (_("Products"), self.in_hand.view.product_id))

    def action_mix(self) -> None:
        """Take this paint to the Bench."""
        one = self.in_hand
        if one is not None:
            self.shell.go("bench", one.view.product)

    def _with_hand(self, question: Any) -> None:
        if self.in_hand is not None:
            self._ask(question(self.in_hand))

    def _ask(self, errand: Any) -> None:
        self.app.push_screen(errand, self._done)

    def _done(self, text: str | None) -> None:
        """Say what was booked, and read the shelf again."""
        if text:
            self.shell.announce(text)
            self.reload()
