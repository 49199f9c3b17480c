"""The registry of screens: each is entered here, once, in the order of their keys."""

from tui.widgets.shell import ScreenEntry

SCREENS = (
    ScreenEntry("today", "1", "f1", "Today", "tui.today.screen:Today"),
    ScreenEntry("shelf", "2", "f2", "Shelf", "tui.shelf.screen:Shelf"),
    ScreenEntry("bench", "3", "f3", "Bench", "tui.bench.screen:Bench"),
    ScreenEntry("forecast", "4", "f4", "Forecast", "tui.forecast.screen:Forecast"),
    ScreenEntry("cautions", "5", "f5", "Cautions", "tui.cautions.screen:Cautions"),
    ScreenEntry("logbook", "6", "f6", "Logbook", "tui.logbook.screen:Logbook"),
    ScreenEntry("records", "7", "f12", "Records", "tui.records.screen:RecordsRoom", tab=False),
)
