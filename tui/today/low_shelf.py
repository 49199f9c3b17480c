"""The board under Today: the drawn bottles in use."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from textual.strip import Strip
from textual.widget import Widget

from stock.language import _
from tui.drawing.boards import BOARD_ROWS, CARD, Board, MarkedBottle, board_line
from tui.drawing.strips import colours, heading, inks, strip_of


def bottles_in_use(day: Any, bottles: Sequence[Any]) -> list[MarkedBottle]:
    """Open bottles of products that are to be ordered or usually mixed, then those with a caution."""
    severity: dict[int, str] = {}
    for caution in day.cautions:
        for bottle in caution.bottles:
            if caution.first.grade == "stop" or bottle not in severity:
                severity[bottle] = caution.first.grade
    names = [one.product for one in day.order]
    names += [name for mix in day.usual for name, _ in (*mix.request.parts, *mix.request.reducers)]
    rank = {name: number for number, name in reversed(list(enumerate(names)))}
    opened = [view for view in bottles if not view.gone and view.state == "open"]
    near = sorted(
        (view for view in opened if view.product in rank or view.id in severity),
        key=lambda view: (rank.get(view.product, len(rank)), view.id),
    )
    return [MarkedBottle(view, severity.get(view.id, "")) for view in near]


class LowShelf(Widget):
    """One board with as many bottles as it has room for."""

    ROWS = BOARD_ROWS + 1
    DEFAULT_CSS = (
        f"LowShelf {{ height: {ROWS}; dock: bottom; margin-bottom: 1; background: $ground; display: none; }}"
    )

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._bottles: Sequence[MarkedBottle] = ()
        self._today = date.min

    def show(self, bottles: Sequence[MarkedBottle], today: date) -> None:
        self._bottles, self._today = bottles, today
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """The heading, then the board."""
        named, width = colours(self.app), self.size.width
        if y == 0:
            return strip_of(heading(_("In use"), width), width, named)
        most = max(1, (width - 2) // CARD)
        board = Board(tuple(self._bottles[:most]))
        return strip_of(board_line(board, y - 1, width, self._today, inks(self.app), None), width, named)
