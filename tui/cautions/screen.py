"""The Cautions: the findings about the stock, the most severe first, grouped by what to do about them."""

from dataclasses import dataclass, field
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import Static

from stock.cautions.facts import Finding
from stock.cautions.headings import beside_its_name, under_headings
from stock.cautions.moves import Plan
from stock.language import _
from tui.cautions.remedies import TESTED_ON_A_CARD, can_note, record_of
from tui.cautions.sheet import about, finding_text
from tui.drawing.boards import MarkedBottle
from tui.drawing.bottle import Run
from tui.drawing.figures import count, short_day
from tui.drawing.severity import sign
from tui.widgets.books_screen import BooksScreen, show_text, words
from tui.widgets.keys import bindings
from tui.widgets.rows import Heading, ListColumn, Rows

COLUMNS = (ListColumn("", 11), ListColumn("", 30), ListColumn(""), ListColumn("", 12, right=True))
BROAD = (ListColumn("", 11), ListColumn("", 42), ListColumn(""), ListColumn("", 12, right=True))
NARROW = (ListColumn("", 11), ListColumn("", 24), ListColumn(""))
SAFETY = _(
    "Figures are estimates from what was entered. The safety data sheet, local fire and "
    "environmental codes and licensed practice decide."
)


@dataclass(frozen=True, slots=True)
class CautionBooks:
    """The findings, the bottles they concern, and what could be moved."""

    findings: tuple[Finding, ...]
    bottles: dict[int, MarkedBottle] = field(default_factory=dict)
    places: tuple[str, ...] = ()
    plan: Plan = field(default_factory=Plan)
    silenced: tuple[str, ...] = ()


class CautionsScreen(BooksScreen[CautionBooks]):
    """Findings by what to do, the selected one in full, and keys that do it."""

    CSS_PATH = "cautions.tcss"
    ABOUT = _(
        "The findings about the stock, grouped by what to do, the most severe first. Each says "
        "why, what to do and where the rule comes from, and a key does it. {safety}",
        safety=SAFETY,
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings("cautions")

    def __init__(self) -> None:
        super().__init__()
        self._notes = True

    def furniture(self) -> ComposeResult:
        """The findings, and the selected one in full."""
        yield Rows(
            COLUMNS, self._cells, key=lambda one: (one.code, one.bottle, one.product, one.place), id="found"
        )
        yield Static(id="why")
        yield Static(words(SAFETY), id="safety")

    def on_mount(self) -> None:
        """Focus the findings; the most severe is the first."""
        self.query_one(Rows).focus()

    def on_resize(self) -> None:
        """Show the day only where there is room for it."""
        super().on_resize()
        width = self.app.size.width
        self.query_one(Rows).columns_for(BROAD if width >= 130 else COLUMNS if width >= 100 else NARROW)

    def default_focus(self) -> Widget:
        return self.query_one(Rows)

    def read_books(self) -> CautionBooks:
        """Read the findings, and what the keys need to act on them."""
        from stock.cautions import books  # read in a thread, after the first frame
        from stock.shelf import places
        from stock.shelf.bottles import on_shelf
        from tui.cautions.choices import quiet

        as_of = self.shell.as_of
        views = on_shelf(as_of)
        facts = books.facts(as_of, views)
        return CautionBooks(
            tuple(books.findings(as_of, facts)),
            {view.id: MarkedBottle(view) for view in views},
            tuple(place.name for place in places.everything()),
            books.moves(facts),
            tuple(quiet(facts.changes)),
        )

    def draw(self, books: CautionBooks) -> None:
        """Show the findings by what to do, the more severe groups first."""
        shown = [one for one in books.findings if self._notes or one.severity != "note"]
        items: list[Finding | Heading] = []
        for head in under_headings(shown):
            items += [Heading(head.words, count(len(head.findings), head.unit)), *head.findings]
        hidden = len(books.findings) - len(shown)
        empty = (
            _("Only {hidden}, hidden: n shows them.", hidden=count(hidden, "note"))
            if hidden
            else _("No cautions.")
        )
        self.query_one(Rows).show(items, empty=empty)
        if not items:
            show_text(self.query_one("#why", Static), "")
        quiet = _(" Silenced here: {silenced}.", silenced=", ".join(books.silenced)) if books.silenced else ""
        show_text(self.query_one("#safety", Static), SAFETY + quiet)

    def _cells(self, one: Finding) -> tuple[Any, ...]:
        ink = one.severity if one.severity in ("stop", "warn") else "quiet"
        cells = (
            (Run(sign(one), ink, None, one.not_to_use),),
            about(one), beside_its_name(one), short_day(one.since) if one.since else "",
        )  # fmt: skip
        return cells if self.app.size.width >= 100 else cells[:3]

    @property
    def in_hand(self) -> Finding | None:
        return self.query_one(Rows).item if self.is_mounted else None

    @property
    def bottle(self) -> MarkedBottle | None:
        """The bottle that the finding concerns, while it is in the studio."""
        one = self.in_hand
        if one is None or one.bottle is None or self.books is None:
            return None
        return self.books.bottles.get(one.bottle)

    @property
    def to_move(self) -> MarkedBottle | None:
        """The bottle that `m` moves: the finding's own, or the first whose place nobody has noted."""
        one = self.in_hand
        if self.bottle is not None or one is None or one.code != "place-unknown" or self.books is None:
            return self.bottle
        return next(
            (self.books.bottles[number] for number in one.bottles if number in self.books.bottles), None
        )

    @on(Rows.Moved)
    def _moved(self, message: Rows.Moved) -> None:
        show_text(self.query_one("#why", Static), finding_text(message.item))
        self.refresh_bindings()

    @on(Rows.Chosen)
    def _chosen(self) -> None:
        from tui.cautions.sheet import FindingSheet

        if self.in_hand is not None:
            self.app.push_screen(FindingSheet(self.in_hand, SAFETY))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for an action that the selected finding doesn't allow; its key is shown in brackets."""
        del parameters
        one = self.in_hand
        can = {
            "shelf": self.bottle is not None,
            "discard": self.bottle is not None,
            "move": self.to_move is not None or any(self._plan_here()),
            "note": one is not None and can_note(one),
            "mix": one is not None and one.product is not None and one.action == "use_first",
            "carry": self.books is not None and any(self.books.plan),
            "tested": self.bottle is not None and one is not None and one.code in TESTED_ON_A_CARD,
            "opened": self.bottle is not None and self.bottle.view.opened_on is None,
            "record": one is not None and bool(one.product or one.place),
            "silence": one is not None,
            "tighten": one is not None and one.severity != "stop",
        }
        return True if can.get(action, True) else None

    def _plan_here(self) -> Plan:
        """The moves out of the finding's place, and what they leave unsolved."""
        one = self.in_hand
        if one is None or one.place is None or self.books is None:
            return Plan()
        plan = self.books.plan
        return Plan(
            tuple(move for move in plan.moves if move.come_from == one.place),
            tuple(left for left in plan.unsolved if left.finding.place == one.place),
        )

    def action_shelf(self) -> None:
        """Show its bottle on the Shelf."""
        if self.bottle is not None:
            self.shell.go("shelf", self.bottle.view.id)

    def action_discard(self) -> None:
        from tui.dialogs.bottles import Discard

        if self.bottle is not None:
            self._ask(Discard(self.bottle))

    def action_move(self) -> None:
        """Move its bottle; for a finding about a place, show what to move out of it."""
        from tui.cautions.remedies import Carry
        from tui.dialogs.bottles import MoveBottle

        bottle = self.to_move
        if bottle is None or self.books is None:
            self._ask(Carry(self._plan_here()))
            return
        advised = [move.to for move in self.books.plan.moves if move.bottle == bottle.view.id]
        others = [place for place in self.books.places if place not in advised]
        self._ask(MoveBottle(bottle, (*advised, *others)))

    def action_note(self) -> None:
        """Open the record at the field that is missing."""
        from tui.dialogs.record_form import ask

        one = self.in_hand
        opening = record_of(one, self.books.bottles) if one is not None and self.books is not None else None
        if opening is not None:
            ask(self, opening, self._done)

    def action_mix(self) -> None:
        """Take the product to the Bench."""
        one = self.in_hand
        if one is not None and one.product is not None:
            self.shell.go("bench", one.product)

    def action_carry(self) -> None:
        """Show everything that should be moved."""
        from tui.cautions.remedies import Carry

        if self.books is not None:
            self._ask(Carry(self.books.plan))

    def action_silence(self) -> None:
        """Silence the finding's rule."""
        from tui.cautions.remedies import SilenceRule

        if self.in_hand is not None:
            self._ask(SilenceRule(self.in_hand))

    def action_tighten(self) -> None:
        """Make the finding's rule stricter."""
        from tui.cautions.choices import Tighten

        if self.in_hand is not None:
            self._ask(Tighten(self.in_hand))

    def action_choices(self) -> None:
        """Show the choices about rules."""
        from tui.cautions.choices import Chosen

        self.app.push_screen(Chosen(), lambda booked: self.reload() if booked else None)

    def action_opened(self) -> None:
        """Note the day on which its bottle was opened."""
        from tui.dialogs.bottles import Opened

        if self.bottle is not None:
            self._ask(Opened(self.bottle))

    def action_tested(self) -> None:
        """Note that its bottle was tested on a card and is good."""
        from tui.cautions.remedies import Tested

        if self.bottle is not None:
            self._ask(Tested(self.bottle))

    def action_record(self) -> None:
        """Show the record of its product or place."""
        one = self.in_hand
        if one is not None and one.product is not None:
            self.shell.go("records", (_("Products"), one.product_id or self._product_of(one)))
        elif one is not None and one.place is not None:
            self.shell.go("records", (_("Places"), one.place_id))

    def _product_of(self, one: Finding) -> int | None:
        bottles = self.books.bottles.values() if self.books is not None else ()
        return next((each.view.product_id for each in bottles if each.view.product == one.product), None)

    def action_notes(self) -> None:
        """Show or hide notes."""
        self._notes = not self._notes
        if self.books is not None:
            self.draw(self.books)

    def _ask(self, errand: Any) -> None:
        self.app.push_screen(errand, self._done)

    def _done(self, text: str | None) -> None:
        """Say what was done, and read again."""
        if text:
            self.shell.announce(text)
            self.reload()
