"""Style sheets that are parsed once, and screens that compute their styles when they open, not at each visit."""

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from textual import events
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet

if TYPE_CHECKING:
    from textual.screen import Screen

    AnyScreen = Screen[Any]
else:
    AnyScreen = (
        object  # Textual reads styles from the first of its own base classes, which must not be this one
    )


_parsed: dict[object, list[RuleSet]] = {}
"""The rules of each style sheet in the colours in which it was parsed."""


class ParsedOnce(Stylesheet):
    """All style sheets of the app, each parsed once in the same colours.

    Textual parses every sheet anew whenever a screen or a widget brings one more: five times while the dashboard
    starts, and three times when a screen first opens.
    """

    def reparse(self) -> None:
        self.parse()

    def _parse_rules(self, css: str, *place: Any, **more: Any) -> list[RuleSet]:
        key = (css, place, *more.items(), frozenset(self._variables.items()))
        if key not in _parsed:
            _parsed[key] = super()._parse_rules(css, *place, **more)
        return _parsed[key]


class StyledOnce(AnyScreen):
    """A screen that comes to the front without computing its styles again.

    Textual computes the styles of all children each time a screen comes to the front, twice when it opens, once more
    for the classes of the window's size, and again on the second visit, as if the colours had changed. They can only
    differ if another screen added a style sheet, or if the theme changed.
    """

    _sheets: int = 0
    """How many style sheets there were when the styles were computed."""

    def on_compose(self) -> None:
        """Set the classes of the window's size before the children exist, so that their first styles are right."""
        self._sheets = self._sheets_now()
        self._css_update_count = self.app._css_update_count
        width, height = self.app.size
        self.add_class(
            *_fitting(self.HORIZONTAL_BREAKPOINTS or [], width),
            *_fitting(self.VERTICAL_BREAKPOINTS or [], height),
        )

    def _on_screen_resume(self, event: events.ScreenResume) -> None:
        """Ask for styles only if they can have changed. Textual's own handler runs after this one."""
        if event.refresh_styles:
            before, self._sheets = self._sheets, self._sheets_now()
            event.refresh_styles = before != self._sheets

    def _sheets_now(self) -> int:
        """How many style sheets there are, without the defaults of widget classes, which style only those widgets."""
        return sum(not one.is_defaults for one in self.app.stylesheet.source.values())


def _fitting(breakpoints: Iterable[tuple[int, str]], length: int) -> Iterator[str]:
    """The class of the largest breakpoint within a length, if there is one."""
    fitting = [one for one in breakpoints if one[0] <= length]
    if fitting:
        yield max(fitting)[1]
