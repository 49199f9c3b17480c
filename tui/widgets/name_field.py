"""A field for a name: the names that fit the typed letters stand beneath it, and the marked one is what counts.

Enter, Tab, a click elsewhere and a booking key all take the marked name, so what is seen is what is booked.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from rich.cells import cell_len
from textual import events, on
from textual.message import Message
from textual.strip import Strip

from stock.language import _
from stock.named_tuples import NamedTuple
from stock.shelf.name_ranking import WHOLE, fit, ranked
from tui.drawing.bottle import Run
from tui.drawing.strips import apart, colours, strip_of
from tui.widgets.fields import Field
from tui.widgets.suggestions import Suggestions

ROWS = 6
"""Names in sight at once."""
MARK = "› "
NEW = "new"


class NameDetail(NamedTuple):
    """Details that distinguish names: a colour as `#rrggbb` or None, and a few words such as the volume left."""

    color: str | None = None
    note: str = ""


class NameList(Suggestions):
    """Names beneath each other, best match first; the marked one is what the field means."""

    DEFAULT_CSS = "NameList { height: auto; margin-left: 17; display: none; }"

    def __init__(self, words: Sequence[str] = (), *, new: bool = False) -> None:
        super().__init__(words)
        self._new = new
        self._details: Mapping[str, NameDetail] = {}
        self._labels: Mapping[str, str] = {}
        self._fitting: Sequence[str] = tuple(words)
        self._typed = ""

    @property
    def marked(self) -> str | None:
        """The name that Enter and Tab take; None while nothing is typed or nothing fits."""
        return None if self._at is None else self._fitting[self._at]

    def meaning(self, text: str) -> str:
        """The name that a text in the field means, or the text itself if no known name fits."""
        if text != self._typed:  # typed a moment ago: the message that says so is still on its way
            self.follow(text)
        return self.marked or text

    @property
    def complete(self) -> bool:
        """Whether the whole of a known name is typed."""
        return bool(self._typed) and any(fit(name, self._typed) == WHOLE for name in self._fitting)

    def describe(self, details: Mapping[str, NameDetail], labels: Mapping[str, str]) -> None:
        """Set the details beside the names, and the name that each bottle's label (in lower case) means."""
        self._details, self._labels = details, labels
        self.refresh()

    def show(self, words: Sequence[str], text: str) -> None:
        """Offer other names; letters that meant a new name until now are ranked with the names that came."""
        if self.marked not in self._words:
            self._typed = ""
        super().show(words, text)

    def follow(self, text: str) -> None:
        """Rank the names by what stands in the field; the first one is marked if anything is typed."""
        known = self.marked if text == self._typed else None
        self._typed = text
        self._fitting = ranked(self._words, text) if text.strip() else self._words
        labelled = self._labels.get(text.strip().casefold())
        if labelled is not None and not self.complete:
            self._fitting = [labelled, *(name for name in self._fitting if name != labelled)]
        if self.complete:  # a person who returns to a complete name may want any other
            others = [name for name in self._words if name not in self._fitting]
            self._fitting = [*self._fitting, *others]
        elif self._new and text.strip():
            self._fitting = [*self._fitting, text.strip()]
        self._at = 0 if text.strip() and self._fitting else None
        if known in self._fitting:
            self._at = self._fitting.index(known)
        self._first = 0
        self._keep_in_sight()
        self.refresh(layout=True)

    def next(self, way: int) -> str | None:
        """Mark the next name, or the one before; the name, or None where there is none."""
        if not self._fitting:
            return None
        at = (0 if way > 0 else len(self._fitting) - 1) if self._at is None else self._at + way
        if not 0 <= at < len(self._fitting):
            return None
        self._at = at
        self._keep_in_sight()
        self.refresh()
        return self._fitting[at]

    @property
    def _in_sight(self) -> Sequence[str]:
        return self._fitting[self._first : self._first + ROWS]

    def _keep_in_sight(self) -> None:
        if self._at is not None:
            self._first = min(max(self._first, self._at - ROWS + 1), self._at)

    def get_content_height(self, container: Any, viewport: Any, width: int) -> int:
        """As many rows as there are names to show, at most `ROWS`."""
        del container, viewport, width
        return max(1, min(ROWS, len(self._fitting)))

    def render_line(self, y: int) -> Strip:
        """One name: its colour, the name, and what tells it apart; the marked one stands out in shape, too."""
        named, number = colours(self.app), self._first + y
        if not self._fitting and y == 0 and self._typed.strip():
            return strip_of([Run(_("No name fits"), "quiet")], self.size.width, named, self._ground)
        if number >= len(self._fitting):
            return strip_of([], self.size.width, named, self._ground)
        name = self._fitting[number]
        detail = self._details.get(name, NameDetail())
        here = number == self._at
        more = len(self._fitting) - self._first - ROWS
        words = detail.note if name in self._words else NEW
        note = f" +{more}" if y == ROWS - 1 and more > 0 else f" {words}" if words else ""
        swatch = [Run("█ ", detail.color)] if detail.color and not self.app.no_color else []
        used = cell_len(MARK) + 2 * bool(swatch) + cell_len(note)
        runs = [
            Run(MARK if here else "  ", "key", None, here),
            *swatch,
            Run(
                apart(name, self._in_sight, max(4, self.size.width - used)),
                "ink" if here else "key",
                None,
                here,
            ),
            Run(note, "quiet"),
        ]
        return strip_of(runs, self.size.width, named, self._ground)

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """Take the name on this row."""
        event.stop()
        number = self._first + event.y
        if number < len(self._fitting):
            self.post_message(self.Taken(self._fitting[number]))

    def on_click(self, event: events.Click) -> None:
        """The name was taken when the button went down."""
        event.stop()


class NameField(Field):
    """A field whose letters mean the marked name of its list.

    Args:
        label: what is asked.
        offers: the names, in the order in which equally good ones are offered.
        new: whether a name that isn't among them may be meant; it is the list's last row.
        more: what `Field` takes.
    """

    class Settled(Message):
        """Typed letters were replaced by the name that they mean."""

        def __init__(self, field: "NameField", typed: str) -> None:
            super().__init__()
            self.field = field
            self.typed = typed

        @property
        def control(self) -> "NameField":
            return self.field

    def __init__(self, label: str, *, offers: Sequence[str] = (), new: bool = False, **more: Any) -> None:
        super().__init__(label, **more)
        self.names = NameList(offers, new=new)
        self._offers = self.names
        self._walked = False

    @property
    def meant(self) -> str:
        """The marked name, or the text itself if no known name fits."""
        return self.names.meaning(self.text)

    def settle(self) -> None:
        """Replace the letters by the name that is meant."""
        self._walked = False
        typed, meant = self.text, self.meant
        if typed != meant:
            self.text = meant
            self.post_message(self.Settled(self, typed))

    @on(Suggestions.Taken)
    def _taken(self) -> None:
        self._walked = False

    def action_offer(self, way: int) -> None:
        """Mark the next name, or the one before; the letters stay."""
        self._walked = True
        self.names.next(way)
        self._show_offers()
        self.post_message(self.Changed(self))

    def on_descendant_blur(self) -> None:
        """Settle on the marked name when the focus leaves the field."""
        self.settle()
        super().on_descendant_blur()

    def _show_offers(self) -> None:
        known = self.names.complete or (self.names.marked is None and "=" in self.text)  # a blend is no name
        shown = self.input.has_focus and (self._walked or not known)
        self._show_list(shown and bool(self.names.words))
