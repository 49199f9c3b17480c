"""Events on which Textual fails: a mouse press on a widget that was just removed, a page key in an empty palette."""

from typing import Any

from textual import events
from textual.dom import NoScreen
from textual.screen import Screen


def fails_on(screen: Screen[Any], event: events.Event) -> bool:
    """Whether Textual would fail on this event with this screen in front."""
    if isinstance(event, events.MouseDown):
        return _removed_there(screen, event)
    return isinstance(event, events.Key) and event.key in ("pageup", "pagedown") and _nothing_offered(screen)


def _removed_there(screen: Screen[Any], event: events.MouseDown) -> bool:
    try:
        under, _ = screen.get_widget_and_offset_at(event.x, event.y)
    except NoScreen:
        return True
    return under is not None and under.parent is None and under is not screen


def _nothing_offered(screen: Screen[Any]) -> bool:
    """Whether the palette is in front without an entry."""
    from textual.command import CommandList, CommandPalette  # not before the first frame

    return isinstance(screen, CommandPalette) and not screen.query_one(CommandList).option_count
