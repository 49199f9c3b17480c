"""The drawn shelf: bottles on boards, one of which is selected."""

from collections.abc import Sequence
from datetime import date
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.message import Message
from textual.reactive import var
from textual.scroll_view import ScrollView
from textual.strip import Strip

from stock.language import _
from tui.drawing.boards import CARD, Board, Furniture, MarkedBottle, board_line, boards, head_line
from tui.drawing.strips import colours, inks, said, strip_of


class Boards(ScrollView, can_focus=True):
    """Bottles on boards; the arrows and a click select a bottle, Enter opens it."""

    DEFAULT_CSS = "Boards { height: 1fr; background: $ground; scrollbar-size-vertical: 1; }"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "along(-1)", _("Left"), show=False),
        Binding("right", "along(1)", _("Right"), show=False),
        Binding("up", "across(-1)", _("Up"), show=False),
        Binding("down", "across(1)", _("Down"), show=False),
        Binding("pageup", "across(-2)", _("Page up"), show=False),
        Binding("pagedown", "across(2)", _("Page down"), show=False),
        Binding("home", "edge(0)", _("First"), show=False),
        Binding("end", "edge(-1)", _("Last"), show=False),
        Binding("enter", "choose", _("Open"), show=False),
    ]

    hand: var[int] = var(0)
    """The number of the selected bottle; 0 for none."""

    class Moved(Message):
        """Another bottle was selected."""

        def __init__(self, bottle: MarkedBottle) -> None:
            super().__init__()
            self.bottle = bottle

        def can_replace(self, message: Message) -> bool:
            """Only the last one matters."""
            return isinstance(message, Boards.Moved)

    class Chosen(Message):
        """Enter, or a second click, on the selected bottle."""

        def __init__(self, bottle: MarkedBottle) -> None:
            super().__init__()
            self.bottle = bottle

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's own name for it
        super().__init__(id=id)
        self._bottles: Sequence[MarkedBottle] = ()
        self._furniture: list[Furniture] = []
        self._lines: list[tuple[int, int]] = []
        self._today = date.min
        self._way = "role"
        self._empty = ""

    def show(self, bottles: Sequence[MarkedBottle], today: date, way: str, empty: str) -> None:
        """Show these bottles on the boards; the selected one stays selected if it is among them."""
        self._bottles, self._today, self._way, self._empty = bottles, today, way, empty
        self._arrange()
        order = self._walk()
        if self.hand not in {one.view.id for one in order}:
            self.hand = order[0].view.id if order else 0
        elif self.in_hand is not None:
            self.post_message(self.Moved(self.in_hand))
        self._keep_in_sight()

    def _arrange(self) -> None:
        self._furniture = boards(self._bottles, self.size.width, self._way)
        self._lines = [(n, row) for n, piece in enumerate(self._furniture) for row in range(piece.rows)]
        self.virtual_size = Size(self.size.width, len(self._lines))
        self.refresh()

    def _walk(self) -> list[MarkedBottle]:
        return [one for piece in self._furniture if isinstance(piece, Board) for one in piece.without_gaps]

    @property
    def in_hand(self) -> MarkedBottle | None:
        return next((one for one in self._bottles if one.view.id == self.hand), None)

    def on_resize(self) -> None:
        """Arrange as many bottles on a board as fit."""
        self._arrange()
        self._keep_in_sight()

    def watch_hand(self) -> None:
        """Post which bottle is selected, and scroll to it."""
        self._keep_in_sight()
        self.refresh()
        if self.in_hand is not None:
            self.post_message(self.Moved(self.in_hand))

    def _place(self) -> tuple[int, int] | None:
        """The board of the selected bottle, and its place on the board."""
        for number, piece in enumerate(self._furniture):
            if isinstance(piece, Board):
                for at, one in enumerate(piece.bottles):
                    if one is not None and one.view.id == self.hand:
                        return number, at
        return None

    def _keep_in_sight(self) -> None:
        place = self._place()
        if place is None:
            return
        first = self._lines.index((place[0], 0))
        last = first + self._furniture[place[0]].rows
        if place[0] and not isinstance(self._furniture[place[0] - 1], Board):
            first -= 1
        if first < self.scroll_y or last - first > self.size.height:
            self.scroll_to(y=first, animate=False)
        elif last > self.scroll_y + self.size.height:
            self.scroll_to(y=last - self.size.height, animate=False)

    def action_along(self, way: int) -> None:
        """Select the next bottle to the left or right."""
        walk = self._walk()
        numbers = [one.view.id for one in walk]
        if self.hand in numbers:
            self.hand = numbers[max(0, min(len(numbers) - 1, numbers.index(self.hand) + way))]

    def action_across(self, way: int) -> None:
        """Select the bottle above or below."""
        place = self._place()
        if place is None:
            return
        shelves = [piece for piece in self._furniture if isinstance(piece, Board)]
        present = self._furniture[place[0]]
        number = next(n for n, board in enumerate(shelves) if board is present)
        target = shelves[max(0, min(len(shelves) - 1, number + way))]
        near = [at for at, one in enumerate(target.bottles) if one is not None]
        one = target.bottles[min(near, key=lambda at: abs(at - place[1]))]
        self.hand = one.view.id if one is not None else self.hand

    def action_edge(self, end: int) -> None:
        """Select the first bottle or the last."""
        walk = self._walk()
        if walk:
            self.hand = walk[end].view.id

    def action_choose(self) -> None:
        """Open the selected bottle's sheet."""
        if self.in_hand is not None:
            self.post_message(self.Chosen(self.in_hand))

    def on_click(self, event: events.Click) -> None:
        """Select a bottle; a second click opens its sheet."""
        at = round(self.scroll_y) + event.y
        if not 0 <= at < len(self._lines):
            return
        piece = self._furniture[self._lines[at][0]]
        place = (event.x - 1) // CARD
        if isinstance(piece, Board) and 0 <= place < len(piece.bottles):
            one = piece.bottles[place]
            if one is None:
                return
            if one.view.id == self.hand:
                self.action_choose()
            self.hand = one.view.id

    def render_line(self, y: int) -> Strip:
        """One line of the shelf."""
        named, width = colours(self.app), self.size.width
        if not self._furniture:
            return strip_of(said(f" {self._empty}" if y == 1 else "", "quiet"), width, named)
        at = round(self.scroll_y) + y
        if at >= len(self._lines):
            return strip_of((), width, named)
        number, row = self._lines[at]
        piece = self._furniture[number]
        if isinstance(piece, Board):
            line = board_line(piece, row, width, self._today, inks(self.app), self.hand)
            return strip_of(line, width, named)
        return strip_of(head_line(piece, width), width, named)
