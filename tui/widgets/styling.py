"""Style sheets that are parsed once, and screens that compute their styles when they open, not at each visit."""

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any
from weakref import WeakKeyDictionary

from textual import events
from textual.app import App
from textual.css.model import RuleSet, Selector, SelectorType
from textual.css.stylesheet import Stylesheet
from textual.dom import DOMNode

if TYPE_CHECKING:
    from textual.screen import Screen

    AnyScreen = Screen[Any]
else:
    AnyScreen = (
        object  # Textual reads styles from the first of its own base classes, which must not be this one
    )


_parsed: dict[object, list[RuleSet]] = {}
"""The rules of each style sheet in the colours in which it was parsed."""
_followed: WeakKeyDictionary[DOMNode, frozenset[RuleSet]] = WeakKeyDictionary()
"""The rules by which the styles of each screen were computed last, without the defaults of widget classes."""
PREFIXES = {SelectorType.CLASS: ".", SelectorType.ID: "#"}


class ParsedOnce(Stylesheet):
    """All style sheets of the app, each parsed once in the same colours.

    Textual parses every sheet anew whenever a screen or a widget brings one more: five times while the dashboard
    starts, and three times when a screen first opens. It also computes the styles of everything on the open screen
    anew for each sheet, though most sheets are about one screen that is about to open.
    """

    def reparse(self) -> None:
        self.parse()

    def _parse_rules(self, css: str, *place: Any, **more: Any) -> list[RuleSet]:
        key = (css, place, *more.items(), frozenset(self._variables.items()))
        if key not in _parsed:
            _parsed[key] = super()._parse_rules(css, *place, **more)
        return _parsed[key]

    def update(self, root: DOMNode, animate: bool = False) -> None:
        styled = root.screen_stack[-1] if isinstance(root, App) and root.screen_stack else root
        if follows(self, styled):
            super().update(root, animate=animate)


def follows(sheet: Stylesheet, screen: DOMNode) -> bool:
    """Whether the rules have changed for a screen since it was last asked: then its styles are to be computed anew.

    Added rules change nothing where one of the names that a selector asks for is on no part of the screen. The
    defaults of a widget class style only its own widgets, and those as they are mounted.
    """
    before = _followed.get(screen)
    now = _followed[screen] = frozenset(rule for rule in sheet.rules if not rule.is_default_rules)
    return before is None or (before != now and _concern(now - before, screen))


def _concern(rules: Iterable[RuleSet], screen: DOMNode) -> bool:
    """Whether any of these rules can apply to a part of the screen."""
    nodes = [*screen.ancestors_with_self, *screen.walk_children(with_self=False)]
    there = set[str]().union(*(node._selector_names for node in nodes))
    return any(
        all(_name(selector) in there for selector in one.selectors)
        for rule in rules
        for one in rule.selector_set
    )


def _name(selector: Selector) -> str:
    """A selector as a part of a screen says which it answers to."""
    return PREFIXES.get(selector.type, "") + selector.name


class StyledOnce(AnyScreen):
    """A screen that comes to the front without computing its styles again.

    Textual computes the styles of all children each time a screen comes to the front, twice when it opens, once more
    for the classes of the window's size, and again on the second visit, as if the colours had changed. They can only
    differ if another screen added a style sheet, or if the theme changed.
    """

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self._css_update_count = self.app._css_update_count  # its first styles use the present colours

    def on_compose(self) -> None:
        """Set the classes of the window's size before the children exist, so that their first styles are right."""
        follows(self.app.stylesheet, self)
        self._css_update_count = self.app._css_update_count
        width, height = self.app.size
        self.add_class(
            *_fitting(self.HORIZONTAL_BREAKPOINTS or [], width),
            *_fitting(self.VERTICAL_BREAKPOINTS or [], height),
        )

    def _on_screen_resume(self, event: events.ScreenResume) -> None:
        """Ask for styles only if they can have changed. Textual's own handler runs after this one."""
        if event.refresh_styles:
            event.refresh_styles = follows(self.app.stylesheet, self)


def _fitting(breakpoints: Iterable[tuple[int, str]], length: int) -> Iterator[str]:
    """The class of the largest breakpoint within a length, if there is one."""
    fitting = [one for one in breakpoints if one[0] <= length]
    if fitting:
        yield max(fitting)[1]
