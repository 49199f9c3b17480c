"""The clock of the books, set by hand.

`stock.clock.now` is the one "now" of the books, so setting it is enough, and everything else (the event loop, the
widgets, pytest) keeps the machine's time.
"""

import datetime as dt
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager

from stock import clock

OF_THE_MACHINE = clock.now
"""The clock as the program has it."""
DAY_OF_THE_TESTS = "2026-10-14 09:30"
"""An ordinary Wednesday: far from the turn of a month, of a year and of summer time."""
BEGAN_S = "ULLAGE_TESTS_BEGAN_S"
"""The variable that holds when the run began, in seconds of the machine's monotonic clock, the same for all workers."""


class SetClock:
    """A clock that stands at an instant, or goes on from it."""

    def __init__(self, at: dt.date | str, *, ticking: bool) -> None:
        self._ticking = ticking
        self.of_the_tests = False
        self.move_to(at)

    def move_to(self, at: dt.date | str) -> None:
        """Set it anew; what names no time zone is UTC, and a day is its first instant."""
        instant = at if isinstance(at, dt.datetime) else dt.datetime.fromisoformat(str(at))
        self._at = instant.replace(tzinfo=instant.tzinfo or dt.UTC).astimezone(dt.UTC)
        self._since_s = time.monotonic()

    def tick(self, seconds: float) -> None:
        """Put it on."""
        self._at += dt.timedelta(seconds=seconds)

    def now(self) -> dt.datetime:
        """What it shows."""
        gone_s = time.monotonic() - self._since_s if self._ticking else 0
        return self._at + dt.timedelta(seconds=gone_s)


@contextmanager
def clock_at(at: dt.date | str, *, ticking: bool = False) -> Iterator[SetClock]:
    """Set the clock of the books while the block lasts."""
    before, standing = clock.now, SetClock(at, ticking=ticking)
    clock.now = standing.now
    try:
        yield standing
    finally:
        clock.now = before


@contextmanager
def clock_of_the_tests() -> Iterator[SetClock]:
    """Set the clock of the books to the day of the tests, and let it go on from when the run began.

    All workers read the same time, so none finds books of another's that were written after its own "now".
    """
    began = dt.datetime.fromisoformat(DAY_OF_THE_TESTS).replace(tzinfo=dt.UTC)
    gone_s = time.monotonic() - float(os.environ.get(BEGAN_S, time.monotonic()))
    with clock_at(began + dt.timedelta(seconds=gone_s), ticking=True) as running:
        running.of_the_tests = True
        yield running
