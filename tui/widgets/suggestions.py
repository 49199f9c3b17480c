"""The words that a field offers, to be taken by keys, the wheel or a click."""

from collections.abc import Sequence

from rich.cells import cell_len
from textual import events
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from tui.drawing.bottle import Run
from tui.drawing.strips import colours, fit, strip_of

AMOUNTS = tuple(f"{ml} ml" for ml in (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 120))
"""Amounts for fields that ask how much."""
MORE = "…"


class Suggestions(Widget):
    """One line of offered words, shown while their field has the focus."""

    DEFAULT_CSS = "Suggestions { height: 1; margin-left: 17; display: none; }"

    class Taken(Message):
        """A word was clicked."""

        def __init__(self, word: str) -> None:
            super().__init__()
            self.word = word

    def __init__(self, words: Sequence[str] = ()) -> None:
        super().__init__()
        self._ground = "card"
        self._words: Sequence[str] = tuple(words)
        self._first = 0
        self._at: int | None = None

    @property
    def words(self) -> Sequence[str]:
        return self._words

    def on_mount(self) -> None:
        """Take the ground of a dialog or of a screen."""
        self._ground = "card" if self.screen.is_modal else "ground"

    def show(self, words: Sequence[str], text: str) -> None:
        """Offer other words; `text` is the field's text."""
        self._words = tuple(words)
        self._first = 0
        self.follow(text)

    def follow(self, text: str) -> None:
        """Follow the field's text, and keep it in sight if it is one of the words."""
        wanted = text.strip().casefold()
        self._at = next((n for n, word in enumerate(self._words) if word.casefold() == wanted), None)
        if self._at is not None and not any(n == self._at for n, _, _ in self._placed()):
            self._first = max(0, self._at - 1)
        self.refresh()

    def next(self, way: int) -> str | None:
        """The word after or before the field's text; None if there is none."""
        if not self._words:
            return None
        at = (0 if way > 0 else len(self._words) - 1) if self._at is None else self._at + way
        return self._words[at] if 0 <= at < len(self._words) else None

    def _placed(self) -> list[tuple[int, int, int]]:
        """Number, first cell and the cell after the last of each visible word; -1 and -2 mean more words."""
        placed: list[tuple[int, int, int]] = []
        at = 0
        if self._first:
            placed.append((-1, at, at + 2))
            at += 3
        for number in range(self._first, len(self._words)):
            after = at + min(cell_len(self._words[number]), max(4, self.size.width - 8))
            room = 0 if number == len(self._words) - 1 else 3
            if after + room > self.size.width and number > self._first:
                placed.append((-2, at, at + 2))
                break
            placed.append((number, at, after))
            at = after + 2
        return placed

    def render_line(self, y: int) -> Strip:
        del y
        runs: list[Run] = []
        for number, first, after in self._placed():
            word = MORE if number < 0 else self._words[number]
            here = number >= 0 and number == self._at
            runs.append(Run(fit(word, after - first), "key" if not here else "ink", None, here))
            runs.append(Run("  " if number >= 0 else " ", "quiet"))
        return strip_of(runs, self.size.width, colours(self.app), self._ground)

    def on_click(self, event: events.Click) -> None:
        """Take the clicked word, or show more words."""
        event.stop()
        placed = self._placed()
        for number, first, after in placed:
            if first <= event.x < after:
                if number == -1:
                    self._first = max(0, self._first - max(1, len(placed) - 2))
                elif number == -2:
                    self._first = placed[-2][0] + 1
                else:
                    self.post_message(self.Taken(self._words[number]))
                self.refresh()
                return
