"""Screens whose parts get their styles once when they open, and not again each time they come to the front."""

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from textual import events

if TYPE_CHECKING:
    from textual.screen import Screen

    AnyScreen = Screen[Any]
else:
    AnyScreen = object  # Textual looks for styles in the first of its own classes, and there are none here


class StyledOnce(AnyScreen):
    """A screen that comes to the front without working its styles out again.

    Textual works out the styles of every part each time a screen comes to the front, twice when it opens, and once
    more for the classes that go by the window's size, and again on the second visit, for it takes the first for one
    under other colours. They can only differ if another screen brought a style sheet, or there is another theme.
    """

    _sheets: int = 0
    """How many style sheets there were when all parts got their styles."""

    def on_compose(self) -> None:
        """Take the classes that go by the window's size before there are parts, so that they begin with them."""
        self._sheets = self._sheets_now()
        self._css_update_count = self.app._css_update_count
        width, height = self.app.size
        self.add_class(
            *_fitting(self.HORIZONTAL_BREAKPOINTS or [], width),
            *_fitting(self.VERTICAL_BREAKPOINTS or [], height),
        )

    def _on_screen_resume(self, event: events.ScreenResume) -> None:
        """Ask for styles only if they can have changed; Textual's own handler comes after this one."""
        if event.refresh_styles:
            before, self._sheets = self._sheets, self._sheets_now()
            event.refresh_styles = before != self._sheets

    def _sheets_now(self) -> int:
        """What a widget class brings along as its own defaults isn't counted: that concerns only its own widgets."""
        return sum(not one.is_defaults for one in self.app.stylesheet.source.values())


def _fitting(breakpoints: Iterable[tuple[int, str]], length: int) -> Iterator[str]:
    """The class of the largest breakpoint that fits into a length, if one does."""
    fitting = [one for one in breakpoints if one[0] <= length]
    if fitting:
        yield max(fitting)[1]
