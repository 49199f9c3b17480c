"""The registry of screens: each is entered here, once, in the order of their keys."""

from tui.widgets.shell import ScreenEntry

SCREENS = (
    ScreenEntry("today", "1", "f1", "Today", "tui.today.screen:TodayScreen"),
    ScreenEntry("shelf", "2", "f2", "Shelf", "tui.shelf.screen:ShelfScreen"),
    ScreenEntry("bench", "3", "f3", "Bench", "tui.bench.screen:BenchScreen"),
    ScreenEntry("forecast", "4", "f4", "Forecast", "tui.forecast.screen:ForecastScreen"),
    ScreenEntry("cautions", "5", "f5", "Cautions", "tui.cautions.screen:CautionsScreen"),
    ScreenEntry("logbook", "6", "f6", "Logbook", "tui.logbook.screen:LogbookScreen"),
    ScreenEntry("records", "7", "f12", "Records", "tui.records.screen:RecordsScreen", tab=False),
)
