"""The tabs of the Records, one for each kind of record."""

from collections.abc import Sequence

from rich.cells import cell_len
from textual import events
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from stock.language import _
from tui.drawing.bottle import Run
from tui.drawing.strips import colours, strip_of

NAMES = (
    _("Products"),
    _("Lines"),
    _("Suppliers"),
    _("Places"),
    _("Substances"),
    _("Jobs"),
    _("Recipes"),
    _("Studio"),
)


def _cells(names: Sequence[str]) -> int:
    """What these tabs take."""
    return sum(cell_len(name) + 2 for name in names)


class KindTabs(Widget):
    """The tabs, one for each kind of record; a click opens one."""

    DEFAULT_CSS = "KindTabs { height: 1; background: $ground; }"

    class KindChosen(Message):
        """A tab was clicked."""

        def __init__(self, name: str) -> None:
            super().__init__()
            self.name = name

    opened = NAMES[0]
    deeper = ""

    def show(self, opened: str, deeper: str) -> None:
        """Show which tab is open, or the sheets of a product as a level deeper."""
        self.opened, self.deeper = opened, deeper
        self.refresh()

    def _placed(self) -> list[tuple[str, int, int]]:
        """The tabs between the arrows, and from which cell to which; the first ones give way to the opened one."""
        here, first = NAMES.index(self.opened), 0
        while first < here and _cells(NAMES[first : here + 1]) > self.size.width - 3:
            first += 1
        placed, at = [], 2
        for name in NAMES[first:]:
            after = at + _cells([name])
            if after > self.size.width - 1:
                break
            placed.append((name, at, after))
            at = after
        return placed

    def render_line(self, y: int) -> Strip:
        del y
        runs = [Run("◂ ", "key", None, True)]
        if self.deeper:
            runs += [Run(_("Esc"), "key", None, True), Run(f" {self.opened}  ", "ink")]
            runs.append(Run(f" {self.deeper} ", "tape-ink", "tape", bold=True))
            return strip_of(runs, self.size.width, colours(self.app))
        for name, __, ___ in self._placed():
            here = name == self.opened
            runs.append(Run(f" {name} ", "tape-ink" if here else "ink", "tape" if here else None, here))
        return strip_of([*runs, Run("▸", "key", None, True)], self.size.width, colours(self.app))

    def on_click(self, event: events.Click) -> None:
        """Open the clicked tab; a level deeper, go back."""
        if self.deeper:
            self.post_message(self.KindChosen(self.opened))
            return
        placed = self._placed()
        here = NAMES.index(self.opened)
        for name, first, after in [
            (NAMES[here - 1], 0, 2),
            *placed,
            (NAMES[(here + 1) % len(NAMES)], placed[-1][2], 99),
        ]:
            if first <= event.x < after:
                self.post_message(self.KindChosen(name))
                return
