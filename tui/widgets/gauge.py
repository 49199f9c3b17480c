"""A drawn bottle as a widget."""

from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from tui.drawing.bottle import DrawnBottle, Line, large, medium, small
from tui.drawing.strips import colours, inks, strip_of


class Gauge(Widget):
    """A drawn bottle.

    Args:
        size: `small` (one line), `medium` (on a board) or `large` (with its scale).
        bottle: what it shows; nothing is drawn without one.
    """

    DEFAULT_CSS = """
    Gauge { width: auto; height: auto; background: $ground; }
    """

    bottle: reactive[DrawnBottle | None] = reactive(None, layout=True)

    def __init__(
        self,
        form: str = "large",
        bottle: DrawnBottle | None = None,
        *,
        id: str | None = None,  # noqa: A002
    ) -> None:
        super().__init__(id=id)
        self.form = form
        self.set_reactive(Gauge.bottle, bottle)

    def show(self, bottle: DrawnBottle | None) -> None:
        """Draw another bottle, or none."""
        self.bottle = bottle

    def _lines(self) -> list[Line]:
        if self.bottle is None:
            return []
        if self.form == "small":
            return [small(self.bottle, inks(self.app))]
        draw = medium if self.form == "medium" else large
        return draw(self.bottle, inks(self.app))

    def get_content_width(self, *_: object) -> int:
        from tui.drawing.strips import width_of

        return max((width_of(line) for line in self._lines()), default=0)

    def get_content_height(self, *_: object) -> int:
        return len(self._lines())

    def render_line(self, y: int) -> Strip:
        lines = self._lines()
        line: Line = lines[y] if y < len(lines) else ()
        return strip_of(line, self.size.width, colours(self.app))
