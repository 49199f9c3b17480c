"""The registry of screens: each is entered here, once, in the order of their keys."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from stock.language import _
from stock.named_tuples import NamedTuple

if TYPE_CHECKING:
    from textual.screen import Screen


class ScreenEntry(NamedTuple):
    """A screen of the dashboard.

    Args:
        id: its name in the code: its folder, and what `Shell.go` takes. A command of the same name shows the same.
        key: opens it.
        function_key: opens it where letters belong to a field that is typed in.
        title: its name for a person.
        where: module and class.
        tab: whether it has a tab in the masthead; else it stands beside the day.
        preposition: what a sentence puts before "the" and the title.
    """

    id: str
    key: str
    function_key: str
    title: str
    where: str
    tab: bool = True
    preposition: str = "on"

    def load(self) -> "Screen[Any]":
        """The screen, imported now if it wasn't."""
        module, _, name = self.where.partition(":")
        screen: Screen[Any] = getattr(import_module(module), name)()
        return screen


SCREENS = (
    ScreenEntry("today", "1", "f1", _("Today"), "tui.today.screen:TodayScreen"),
    ScreenEntry("shelf", "2", "f2", _("Shelf"), "tui.shelf.screen:ShelfScreen"),
    ScreenEntry("bench", "3", "f3", _("Bench"), "tui.bench.screen:BenchScreen"),
    ScreenEntry("forecast", "4", "f4", _("Forecast"), "tui.forecast.screen:ForecastScreen"),
    ScreenEntry("cautions", "5", "f5", _("Cautions"), "tui.cautions.screen:CautionsScreen"),
    ScreenEntry("logbook", "6", "f6", _("Logbook"), "tui.logbook.screen:LogbookScreen", preposition="in"),
    ScreenEntry(
        "records", "7", "f12", _("Records"), "tui.records.screen:RecordsScreen", tab=False, preposition="in"
    ),
)
