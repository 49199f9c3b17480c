"""The way into each screen: imported when it is first shown, so that the first frame waits for none of the others."""

from typing import Any

from textual.screen import Screen


def today() -> Screen[None]:
    """The screen Today, imported when it is first shown."""
    from tui.today.screen import Today  # noqa: PLC0415

    return Today()


def shelf() -> Screen[None]:
    """The screen Shelf, imported when it is first shown."""
    from tui.shelf.screen import Shelf  # noqa: PLC0415

    return Shelf()


def bench() -> Screen[None]:
    """The screen Bench, imported when it is first shown."""
    from tui.bench.screen import Bench  # noqa: PLC0415

    return Bench()


def forecast() -> Screen[None]:
    """The screen Forecast, imported when it is first shown."""
    from tui.forecast.screen import Forecast  # noqa: PLC0415

    return Forecast()


def cautions() -> Screen[None]:
    """The screen Cautions, imported when it is first shown."""
    from tui.cautions.screen import Cautions  # noqa: PLC0415

    return Cautions()


def logbook() -> Screen[None]:
    """The screen Logbook, imported when it is first shown."""
    from tui.logbook.screen import Logbook  # noqa: PLC0415

    return Logbook()


def between() -> Screen[None]:
    """What is seen while other books are opened."""
    from tui.visit import Between  # noqa: PLC0415

    return Between()


def records() -> Screen[None]:
    """The Records, imported when they are first shown."""
    from tui.records.screen import RecordsRoom  # noqa: PLC0415

    return RecordsRoom()


def palette() -> type[Any]:
    """The provider behind Ctrl+P, imported when it is first opened."""
    from tui.palette import Everything  # noqa: PLC0415

    return Everything
