"""A page of drawn lines that scrolls."""

from collections.abc import Sequence

from textual.geometry import Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from tui.drawing.bottle import Line
from tui.drawing.strips import colours, strip_of


class Page(ScrollView, can_focus=False):
    """Lines of coloured text and drawings."""

    DEFAULT_CSS = "Page { height: 1fr; background: $ground; scrollbar-size-vertical: 1; }"

    class Resized(Message):
        """The page's size changed, so its lines may have to be broken anew.

        A screen's own resize comes too early for that: behind a dialog the screen is laid out only later.
        """

    def __init__(self, *, ground: str = "ground", id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._ground = ground
        self._lines: Sequence[Line] = ()
        self._room = Size(0, 0)

    def on_resize(self) -> None:
        """Post that the size changed; a resize event also comes if only the number of lines changed."""
        if self.size != self._room:
            self._room = self.size
            self.post_message(self.Resized())

    def show(self, lines: Sequence[Line]) -> None:
        """Show other lines, from the top."""
        self._lines = lines
        self.virtual_size = Size(self.size.width, len(lines))
        self.refresh()

    @property
    def text(self) -> str:
        """The text of all lines."""
        return "\n".join("".join(run.text for run in line) for line in self._lines)

    def render_line(self, y: int) -> Strip:
        at = round(self.scroll_y) + y
        line: Line = self._lines[at] if at < len(self._lines) else ()
        return strip_of(line, self.size.width, colours(self.app), self._ground)
